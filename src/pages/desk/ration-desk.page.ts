import type { AnswerOf } from '../../platform/http/endpoint.js';
import { blocksAsHtml } from '../document/as-page.js';
import type { Block } from '../document/document.js';
import { html, type Html, scrolling } from '../html.js';
import { htmlDocument } from '../layout.js';
import type { rationDeskPage } from './desk-page.schema.js';
import { evaluationBlocks, sideBySideTable } from './evaluation-blocks.js';
import { RATION_ROWS, SAME_LAYER } from './ration-form.js';

type Page = AnswerOf<typeof rationDeskPage>;

/** A form as wide as its page, its rows in a table that scrolls on a phone; what is wrong stands at its field. */
export const DESK_STYLE = `
form.lay { margin: 0 0 1.5rem; }
.lay .rows input, .lay .rows select { width: auto; min-width: 5.5rem; max-width: 14rem; }
.lay .rows label { margin: 0; font-weight: 400; position: relative; }
.lay .two label { display: inline-block; }
.lay .rows input { min-width: 4.5rem; }
.lay .rows td:nth-child(5) select { min-width: 6.5rem; }
.unseen { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
.lay .tick { width: var(--touch); min-width: var(--touch); }
.lay .pairs { display: grid; grid-template-columns: repeat(auto-fill, minmax(13rem, 1fr)); gap: 0 1rem; }
.wrong { color: var(--warn); font-weight: 700; margin: .2rem 0; }
.lay [aria-invalid="true"] { border: 3px solid var(--warn); }
.buttons { display: flex; flex-wrap: wrap; gap: .8rem; margin: 1rem 0; align-items: end; }
button { min-height: 3rem; }`;

const ROLES = { '': 'choose', coarse: 'coarse', rich: 'rich', mixed: 'mixed', [SAME_LAYER]: 'same layer as above' };
const BASES = { 'as-fed': 'weight as fed', 'dry-matter': 'dry matter', volume: 'volume as laid' };
const AMOUNTS = { 'as-fed': 'as fed', 'dry-matter': 'dry matter' };

export async function rationDeskHtml(page: Page): Promise<string> {
  const at = `/yard/operations/${page.operationId}`;
  return htmlDocument({
    title: `Lay a ration: ${page.herd}`,
    style: DESK_STYLE,
    links: [
      { href: at, words: 'All sheets' },
      { href: `${at}/herds/${page.herdId}`, words: 'The herd' },
      { href: '/yard/portfolio', words: 'All herds' },
    ],
    body: html`<h1>Lay a ration: ${page.herd}</h1>
<p class="subtitle">${page.operation}, judged on ${page.on}</p>
${layForm(page)}
${blocksAsHtml({ title: page.herd, blocks: await reviewBlocks(page) })}`,
  });
}

async function reviewBlocks({ laid, inUse }: Page): Promise<Block[]> {
  return [
    ...(laid === null
      ? []
      : [
          { kind: 'heading', text: 'As laid here' } as const,
          ...(await evaluationBlocks('As laid here', laid, inUse === null)),
          ...(inUse === null ? [] : [sideBySideTable(laid, inUse.evaluation)]),
        ]),
    ...(inUse === null
      ? [{ kind: 'words', text: 'No ration of this herd is in use on this day.' } as const]
      : [
          { kind: 'heading', text: `In use: ${inUse.ration}` } as const,
          ...(await evaluationBlocks('In use', inUse.evaluation, laid === null)),
        ]),
    {
      kind: 'words',
      text:
        'These figures aid the judgment of a licensed nutritionist and do not replace it. Before acting on a ' +
        'caution, ask the people it names, and the lab.',
    },
  ];
}

function layForm(page: Page): Html {
  const { typed, problems, on, units } = page;
  const unit = typed['unit'] ?? (units === 'us' ? 'lb' : 'kg');
  const whole = problems.filter((one) => one.field === '');
  const at = `/yard/operations/${page.operationId}/herds/${page.herdId}/ration-desk`;
  // Named, since a form without it is sent to where the page was read: with the query of what was judged before.
  return html`<form class="lay" method="get" action="${at}">
${problems.length === 0 ? null : NOT_YET}
${whole.map((one) => html`<p class="wrong">${one.message}</p>`)}
<div class="pairs">
${field(page, 'name', 'Name of the ration')}
<div><label for="on">Judged on</label><input id="on" name="on" type="date" value="${on}" required></div>
${field(page, 'amount', 'Amount a head a day')}
${choice(page, 'amountBasis', 'The amount is', AMOUNTS)}
${choice(page, 'basis', 'Shares are of', BASES)}
${choice({ ...page, typed: { ...typed, unit } }, 'unit', 'Amount in', WEIGHTS)}
${field(page, 'wasted', 'Not eaten, %')}
<div><label for="units">Shown in</label><select id="units" name="units">
${options({ us: 'Pounds and short tons', metric: 'Kilograms and metric tons' }, units)}</select></div>
</div>
<h2>Layers, bottom first</h2>
${scrolling('Layers, bottom first', rowsTable(page))}
<p>Give each lot a share of the amount, or a weight a head a day on top of it, as for mineral.</p>
<p class="buttons"><button type="submit">Judge it</button>
<button class="quiet" type="submit" formmethod="post">Keep it as a draft</button>
</p>
</form>`;
}

const NOT_YET = html`<p class="told" role="alert">Not judged yet: what is wrong stands at its field.</p>`;
const WEIGHTS = { lb: 'pounds', oz: 'ounces', kg: 'kilograms', g: 'grams' };

function rowsTable(page: Page): Html {
  const lots = Object.fromEntries([
    ['', 'none'] as const,
    ...page.lots.map(({ id, name, kind, left }) => [id, `${name} (${kind}, ${left} left)`] as const),
  ]);
  const usual = page.units === 'us' ? 'lb' : 'kg';
  const units = Object.fromEntries(RATION_ROWS.map((n) => [`unit${n}`, page.typed[`unit${n}`] ?? usual]));
  const withUnit = { ...page, typed: { ...page.typed, ...units } };
  const row = (n: number): Html => html`<tr><th scope="row">${n}</th>
<td>${bare(page, `role${n}`, `Layer of row ${n}`, ROLES)}</td>
<td>${bare(page, `lot${n}`, `Lot of row ${n}`, lots)}</td>
<td>${bareField(page, `share${n}`, `Share of row ${n}, %`)}</td>
<td class="two">${bareField(page, `weight${n}`, `Weight of row ${n}`)}
${bare(withUnit, `unit${n}`, `Unit of the weight of row ${n}`, WEIGHTS)}</td>
<td>${tick(page, `free${n}`, `Free choice, row ${n}`)}</td></tr>
`;
  return html`<table class="rows">
<thead><tr><th scope="col">Row</th><th scope="col">Layer</th><th scope="col">Lot</th><th scope="col">Share, %</th>
<th scope="col">or weight</th><th scope="col">Free choice</th></tr></thead>
<tbody>${RATION_ROWS.map(row)}</tbody></table>`;
}

type Fields = Pick<Page, 'typed' | 'problems'>;

function wrongAt({ problems }: Fields, name: string): Html | null {
  const own = problems.filter((one) => one.field === name);
  return own.length === 0
    ? null
    : html`<p class="wrong" id="${name}-wrong">${own.map((one) => one.message).join(' ')}</p>`;
}

function marked({ problems }: Fields, name: string): Html | null {
  if (!problems.some((one) => one.field === name)) return null;
  return html` aria-invalid="true" aria-describedby="${name}-wrong"`;
}

function field(page: Fields, name: string, label: string): Html {
  return html`<div><label for="${name}">${label}</label>
<input id="${name}" name="${name}" value="${page.typed[name] ?? ''}" maxlength="120"${marked(page, name)}>
${wrongAt(page, name)}</div>`;
}

function choice(page: Fields, name: string, label: string, of: Readonly<Record<string, string>>): Html {
  return html`<div><label for="${name}">${label}</label>
<select id="${name}" name="${name}"${marked(page, name)}>${options(of, page.typed[name] ?? '')}</select>
${wrongAt(page, name)}</div>`;
}

/** In a table the heads say what a field is; who does not see them is told with the row. */
const unseen = (label: string): Html => html`<span class="unseen">${label}</span>`;

function bare(page: Fields, name: string, label: string, of: Readonly<Record<string, string>>): Html {
  const choices = options(of, page.typed[name] ?? '');
  return html`<label>${unseen(label)}
<select name="${name}" id="${name}"${marked(page, name)}>${choices}</select></label>
${wrongAt(page, name)}`;
}

function bareField(page: Fields, name: string, label: string): Html {
  const { [name]: value = '' } = page.typed;
  return html`<label>${unseen(label)}<input name="${name}" id="${name}" size="6" maxlength="40" inputmode="decimal"
 value="${value}"${marked(page, name)}></label>
${wrongAt(page, name)}`;
}

function tick({ typed }: Fields, name: string, label: string): Html {
  const checked = (typed[name] ?? '') === '' ? null : html` checked`;
  return html`<label>${unseen(label)}<input class="tick" type="checkbox" name="${name}" id="${name}"
 value="yes"${checked}></label>`;
}

function options(of: Readonly<Record<string, string>>, chosen: string): Html[] {
  return Object.entries(of).map(([value, words]) =>
    value === chosen
      ? html`<option value="${value}" selected>${words}</option>`
      : html`<option value="${value}">${words}</option>`,
  );
}
