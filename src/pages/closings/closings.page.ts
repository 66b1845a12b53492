import type { AnswerOf } from '../../platform/http/endpoint.js';
import { html, type Html, scrolling } from '../html.js';
import { page } from '../layout.js';
import { spelled } from '../yard/words.js';
import type { closingsPage } from './closing-page.schema.js';

type Page = AnswerOf<typeof closingsPage>;

export function closingsHtml(closings: Page): string {
  const { operationId, operation, made, closings: all } = closings;
  return page(
    `Closed periods: ${operation}`,
    html`
${made === null ? null : html`<p class="told" role="status">Closed: ${made.from} to ${made.until}.</p>`}
${closings.sure ? confirmation(closings) : asking(closings)}
<h2>What was closed</h2>
${all.length === 0 ? html`<p>No period has been closed.</p>` : scrolling('Closed periods', table(all))}`,
    [{ href: `/yard/operations/${operationId}`, words: 'All sheets' }],
  );
}

/** First the day: nothing is done yet. */
function asking({ until, note, problem, openFrom, today }: Page): Html {
  const wrong = html` aria-invalid="true" aria-describedby="until-wrong"`;
  return html`<h2>Close a period</h2>
<p>${openFrom === null ? 'Nothing was closed so far: the period begins with the books.' : `Open from ${openFrom}.`}
Its reports are stored and never change again; nothing can be dated within it any more.</p>
<form method="get">
<label for="until">Last day of the period <small>it must be over: before ${today}</small></label>
<input id="until" name="until" type="date" value="${until}" required${problem === null ? null : wrong}>
${problem === null ? null : html`<p class="told" role="alert" id="until-wrong">${problem}</p>`}
<label for="note">Note <small>if there is something to say</small></label>
<input id="note" name="note" value="${note}" maxlength="2000">
<p><button type="submit">See what would be closed</button></p>
</form>`;
}

/** Then what it holds, with the button that does it. */
function confirmation({ operationId, until, note, openFrom }: Page): Html {
  const at = `/yard/operations/${operationId}`;
  return html`<h2>Close the books through ${until}?</h2>
<p>${openFrom === null ? 'From the first day in the books' : `From ${openFrom}`} to ${until}. As they stand now:</p>
<ul>
${openFrom === null ? null : ofTheDays(at, `from=${openFrom}&until=${until}`)}
<li><a href="${at}/hay-position?on=${until}">Hay position</a> at the end of ${until}</li>
</ul>
<p>From then on the reports of these days read as stored, and no entry can be dated on or before ${until}. The last
closed period can be opened again, with a reason, which is kept.</p>
<form method="post" action="${at}/closings">
<input type="hidden" name="until" value="${until}"><input type="hidden" name="note" value="${note}">
<input type="hidden" name="sure" value="yes">
<p><button type="submit">Close the books through ${until}</button></p>
</form>
<p><a href="${at}/closings">Not now</a></p>`;
}

function ofTheDays(at: string, days: string): Html {
  return html`<li><a href="${at}/season-cost?${days}">Season cost</a> of these days</li>
<li><a href="${at}/cost-of-gain?${days}">Cost of gain</a> of these days</li>
<li><a href="${at}/roll-forward?${days}">Inventory roll-forward</a> of these days</li>`;
}

function table(closings: Page['closings']): Html {
  const rows = closings.map(
    (one) => html`<tr><td class="day">${one.from}</td><td class="day">${one.until}</td>
<td>${spelled(one.costingMethod)}</td>
<td>${one.reopening === null ? 'closed' : `opened again: ${one.reopening.reason}`}</td>
<td>${[...new Set(one.reports.map((report) => spelled(report.name)))].join(', ')}</td><td>${one.note ?? ''}</td></tr>
`,
  );
  return html`<table>
<thead><tr><th scope="col">From</th><th scope="col">To</th><th scope="col">Valued by</th><th scope="col">State</th>
<th scope="col">Stored reports</th><th scope="col">Note</th></tr></thead>
<tbody>${rows}</tbody></table>`;
}
