import { addDays } from '../../../core/time/calendar-day.js';
import { html, type Html } from '../../html.js';
import {
  asWeighed,
  baleWords,
  dangersOf,
  dayWords,
  freeChoiceWords,
  type HerdSheet,
  SHEET_FOOTER,
  weighed,
  whole,
} from '../../feed-sheets/feed-sheet.words.js';
import { asShown } from './fed-kind.js';
import { yardPage } from '../entry/yard-layout.js';
import { COUNT, HEAD, TICKET, WATER, WEATHER, WEIGH_IN } from '../entry/entry-kinds.js';
import type { z } from 'zod';
import type { todayPage } from './today.schema.js';

type Today = z.output<NonNullable<typeof todayPage.answer>>;
type Sheet = Today['sheets'][number];

/** The first day that the books take. */
const FIRST_DAY = '1990-01-01';

/** Every sheet of the day with its button, and the other things that are entered in the yard. */
export function todayHtml(today: Today): string {
  const { operationId, operation, onDay, sheets, withoutPlace, fed, invented } = today;
  const at = `/yard/operations/${operationId}`;
  const beside = (days: number): string => `${at}/today?on=${addDays(onDay, days)}`;
  const herds = sheets.flatMap((sheet) => sheet.herds.map((herd) => ({ sheet, herd })));
  return yardPage({
    title: dayWords(onDay),
    links: [
      { href: '/yard', words: 'Home' },
      ...(onDay > FIRST_DAY ? [{ href: beside(-1), words: 'Day before' }] : []),
      { href: onDay === today.today ? beside(1) : `${at}/today`, words: onDay === today.today ? 'Next day' : 'Today' },
    ],
    body: html`<p class="subtitle">${operation}${invented ? ', invented demo books' : null}</p>
${fed === null ? null : fedPart(fed)}
${herds.length === 0 ? html`<p>No herd with cattle stands at a place on this day.</p>` : null}
${herds.map(({ sheet, herd }, index) => herdPart(today, sheet, herd, index))}
${withoutPlace.map((herd) => html`<p class="done">${herd} has no place in the books, so there is no sheet for it.</p>`)}
${tasksPart(today, at)}
<p class="quiet">${SHEET_FOOTER}</p>`,
  });
}

function fedPart({ title, lines, warnings }: NonNullable<Today['fed']>): Html {
  return html`<section class="entered" role="status">
<h2>${title}</h2>
${lines.map((words) => html`<p>${words}</p>`)}
${warnings.length === 0 ? null : html`<ul class="warnings">${warnings.map((words) => html`<li>${words}</li>`)}</ul>`}
</section>`;
}

function herdPart(today: Today, sheet: Sheet, herd: HerdSheet, index: number): Html {
  const full = `/yard/operations/${today.operationId}/places/${sheet.placeId}/feed-sheet?on=${sheet.onDay}`;
  return html`<section class="herd">
<header><h2>${herd.herd}</h2><span class="head">${whole(herd.head)} head</span></header>
<p class="beside">${sheet.place}, ${sheet.ranch}. <a href="${full}">Whole sheet of ${sheet.place}</a></p>
${dangersOf(herd).map(({ title, message }) => html`<p class="danger"><b>DANGER. ${title}.</b> ${message}</p>`)}
${herd.fedThatDay.map((one) => html`<p class="done">${fedWords(one)}</p>`)}
${herd.nothingBecause === null ? layPart(herd) : html`<p>${herd.nothingBecause}</p>`}
${today.mayFeed && herd.nothingBecause === null ? feedingPart(today, herd, index) : null}
</section>
`;
}

function fedWords({ total, fedAtRanch, enteredBy, fromTheSheet, headFed }: HerdSheet['fedThatDay'][number]): string {
  const at = fedAtRanch === null ? '' : ` at ${fedAtRanch}`;
  const by = enteredBy === null ? '' : `, entered by ${enteredBy}`;
  const how = fromTheSheet ? '' : ', without the sheet';
  return `Fed${at}: ${weighed(total)} for ${whole(headFed)} head${how}${by}.`;
}

function layPart(herd: HerdSheet): Html {
  const lines = herd.layers.flatMap(({ step, role, lines: own }) =>
    own.map(
      (line, at) => html`<li><span class="step">${at === 0 ? step : ''}</span> <span>${line.hayLot}</span>
<span class="weight">${asWeighed(line.lay)}</span>
<small>${role}, ${baleWords(line, herd)}${line.liesAt === null ? null : `, lies at ${line.liesAt}`}</small></li>
`,
    ),
  );
  const short = herd.shortLots.map(
    (one) => html`<p class="danger"><b>NOT ENOUGH.</b> ${one.hayLot} is ${weighed(one.shortBy)} short.</p>`,
  );
  const total = herd.total === null ? null : html`<p>In all <b>${weighed(herd.total)}</b>.</p>`;
  return html`<ol class="lay">${lines}</ol>
${total}
${freeChoiceWords(herd).map((words) => html`<p>${words}</p>`)}
${short}`;
}

/** What was fed already is not offered for a second tap; a second feeding goes through the form. */
function feedingPart({ operationId, onDay, once, by }: Today, herd: HerdSheet, index: number): Html {
  const at = `/yard/operations/${operationId}`;
  const form = `${at}/herds/${herd.herdId}/fed?on=${onDay}`;
  const isFed = herd.fedThatDay.length > 0;
  const nothing = herd.total === null || Number(herd.total.value) === 0;
  const oneTap = html`<form method="post" action="${at}/fed" data-entry="${herd.herd}, fed as shown">
<input type="hidden" name="once" value="${once}.${index}">
<input type="hidden" name="by" value="${by}">
${Object.entries(asShown(herd, onDay)).map(
  ([name, value]) => html`<input type="hidden" name="${name}" value="${value}">
`,
)}<button type="submit">Fed as shown</button></form>`;
  const otherwise = isFed ? `Feed ${herd.herd} a second time` : `Fed ${herd.herd} otherwise`;
  return html`<div class="fed">${isFed || nothing ? null : oneTap}
<a href="${form}">${otherwise}</a></div>`;
}

function tasksPart({ mayFeed, mayRecord }: Today, at: string): Html | null {
  const kinds = [
    ...(mayRecord ? [TICKET] : []),
    ...(mayFeed ? [WEIGH_IN] : []),
    ...(mayRecord ? [COUNT, HEAD] : []),
    ...(mayFeed ? [WATER, WEATHER] : []),
  ];
  if (kinds.length === 0) return null;
  return html`<h2 id="enter">Enter</h2>
<ul class="tasks">${kinds.map(({ what, title }) => html`<li><a href="${at}/${what}">${title}</a></li>`)}</ul>`;
}
