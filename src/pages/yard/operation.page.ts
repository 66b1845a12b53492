import type { z } from 'zod';
import type { rationOut } from '../../desk/rations/ration.schema.js';
import type { judgementSummary } from '../../desk/trials/trial-judgement.schema.js';
import type { trialOut } from '../../desk/trials/trial.schema.js';
import { between, BREAK, html, type Html, scrolling } from '../html.js';
import { page } from '../layout.js';
import { sheetList } from './start.page.js';
import { spelled, shown, perHeadShown } from './words.js';
import type { hayLotOut } from '../../records/hay/lots/hay-lot.schema.js';
import type { OperationHead } from './yard.schema.js';

type Ration = z.output<typeof rationOut>;
type Layer = Ration['layers'][number];
type Lot = z.output<typeof hayLotOut>;
type Look = z.output<typeof judgementSummary>;
interface HerdNamed {
  herdId: string;
  herd: string;
}
type Judged = { trial: z.output<typeof trialOut>; judgements: readonly Look[] };

/** One operation: sheets, rations in use, trials with their reports, the hay. */
export function operationHtml({
  operation,
  herds,
  rations,
  lots,
  trials,
  closeouts,
}: {
  operation: OperationHead;
  herds: readonly HerdNamed[];
  rations: readonly Ration[];
  lots: readonly Lot[];
  trials: readonly Judged[];
  closeouts: readonly HerdNamed[];
}): string {
  const at = `/yard/operations/${operation.id}`;
  return page(
    operation.name,
    html`
${operation.invented ? html`<p>Invented demo books: no person, ranch or animal in them exists.</p>` : null}
<h2>Feed sheets today</h2>
${sheetList(operation)}
<p><a href="${at}/today">All sheets on one page</a>, to enter what was fed, bought, weighed or counted</p>
${herdsPart(at, herds)}
<h2>Rations in use</h2>
${rations.length === 0 ? html`<p>No ration is in use today.</p>` : rations.map((one, nth) => rationPart(at, one, nth))}
<p><a href="${at}/ration-report">Ration report</a>: what each herd is fed against what it needs</p>
<h2>Feeding trials</h2>
${trials.length === 0 ? html`<p>No trial has been planned.</p>` : trials.map((one) => trialPart(at, one))}
<h2>Hay</h2>
<ul>
<li><a href="${at}/hay-budget">Hay budget</a>: whether the hay lasts, and what it would take to buy</li>
${operation.seesPrices ? positionPart(at) : null}
</ul>
${operation.seesPrices ? officePart(at, operation.mayOffice) : null}
${closeoutsPart(at, closeouts)}
${lots.length === 0 ? html`<p>No hay is on hand.</p>` : lotsPart(at, lots)}`,
    [{ href: '/yard', words: 'Home' }],
  );
}

function herdsPart(at: string, herds: readonly HerdNamed[]): Html {
  if (herds.length === 0) return html``;
  return html`<h2>Herds</h2>
<ul>
${herds.map(
  ({ herdId, herd }) => html`<li><a href="${at}/herds/${herdId}">${herd}</a>: weight, and what it was fed</li>
`,
)}</ul>`;
}

/** Every lot that has something left, with the way to its own page. */
function lotsPart(at: string, lots: readonly Lot[]): Html {
  const rows = lots.map(
    ({
      id,
      name,
      hayKind,
      balance,
      labTest,
    }) => html`<tr><th scope="row"><a href="${at}/hay-lots/${id}">${name}</a></th>
<td>${spelled(hayKind)}</td><td class="number">${shown(balance, 1)}</td>
<td>${labTest === null ? 'none: book values' : `sampled ${labTest.sampledOn}`}</td></tr>
`,
  );
  return scrolling(
    'Lots on hand',
    html`<table>
<caption>Lots on hand: which bales to core for the lab, and what was seen of the hay</caption>
<thead><tr><th scope="col">Lot</th><th scope="col">Kind</th><th scope="col" class="number">On hand</th>
<th scope="col">Lab test</th></tr></thead>
<tbody>${rows}</tbody>
</table>`,
  );
}

function positionPart(at: string): Html {
  return html`<li><a href="${at}/hay-position">Hay position</a>: what is on hand, and what it is worth</li>`;
}

function officePart(at: string, mayOffice: boolean): Html {
  return html`<h2>Office</h2>
<ul>
<li><a href="${at}/season-cost">Season cost</a>: what feeding cost, by herd, ranch, kind or month</li>
<li><a href="${at}/cost-of-gain">Cost of gain</a>: what a pound or a kilogram of it cost</li>
<li><a href="${at}/roll-forward">Inventory roll-forward</a>: what came, went and is left, in tons and money</li>
<li><a href="${at}/money-budget">Money budget</a>: what was planned and what came</li>
${mayOffice ? closingsPart(at) : null}
<li><a href="${at}/journal">Journal</a>: the double entries of the hay books</li>
</ul>`;
}

function closingsPart(at: string): Html {
  return html`<li><a href="${at}/closings">Closed periods</a>: what was closed, and closing a period</li>`;
}

function closeoutsPart(at: string, herds: readonly HerdNamed[]): Html {
  if (herds.length === 0) return html``;
  return html`<h2>Closeouts</h2>
<ul>
${herds.map(
  ({ herdId, herd }) => html`<li><a href="${at}/herds/${herdId}/closeout">${herd}</a>: what it cost and brought</li>
`,
)}</ul>`;
}

function rationPart(at: string, ration: Ration, index: number): Html {
  const { asFed, dryMatter } = ration.perHead;
  return html`<h3>${ration.herd}: <a href="${at}/rations/${ration.id}">${ration.name}</a></h3>
<p>In use from ${ration.inUseFrom ?? ''}. ${shown(asFed, 1)} per head as fed, ${shown(dryMatter, 1)} dry matter.
${ration.restsOnBookValues ? 'Some of it rests on book values.' : null}</p>
${scrolling(
  `Ration ${index + 1}, ${ration.herd}: layers`,
  html`<table>
<thead><tr><th scope="col">Step</th><th scope="col">Layer</th><th scope="col">Lot</th>
<th scope="col" class="number">Per head</th><th scope="col" class="number">Of dry matter</th></tr></thead>
<tbody>${ration.layers.map(layerRow)}</tbody>
</table>`,
)}
${cautionList(ration.cautions)}
`;
}

/** Cautions while it is fed, dangers in bold. */
function cautionList(cautions: Ration['cautions']): Html | null {
  if (cautions.length === 0) return null;
  const items = cautions.map(({ severity, title, message, advice }) => {
    const head = severity === 'danger' ? html`<b>DANGER. ${title}.</b>` : `${title}.`;
    return html`<li>${head} ${message} ${advice}</li>
`;
  });
  return html`<ul>${items}</ul>`;
}

function layerRow({ position, role, parts }: Layer): Html {
  const lines = (cell: (part: Layer['parts'][number]) => string) => between(parts.map(cell), BREAK);
  return html`<tr><td>${position}</td><td>${role}</td><td>${lines((part) => part.hayLot)}</td>
<td class="number">${lines((part) => perHeadShown(part.perHead))}</td>
<td class="number">${lines((part) => `${part.dryMatterSharePercent.toFixed(0)} %`)}</td></tr>
`;
}

const VERDICTS = {
  favours: 'favors one feeding',
  'no-clear-difference': 'no clear difference',
  'too-small-to-tell': 'too small to tell',
} as const;
const STATES = { draft: 'a draft', running: 'running', closed: 'closed' } as const;

function trialPart(operationAt: string, { trial, judgements }: Judged): Html {
  const at = `${operationAt}/trials/${trial.id}`;
  const days = trial.beginsOn === null ? null : `, ${trial.beginsOn} to ${trial.endsOn ?? ''}`;
  return html`<h3>${trial.name}</h3>
<p>${trial.plan.question} <small>(${STATES[trial.state]}${days})</small></p>
<ul>
${judgements.map((look) => lookPart(at, look))}
<li><a href="${at}/plan">What it can see</a></li>
<li><a href="${at}/protocol">Protocol</a></li>
</ul>
`;
}

function lookPart(trialAt: string, { id, asOf, verdicts, final, peeking }: Look): Html {
  const found = verdicts.map((verdict) => VERDICTS[verdict]).join('; ');
  const running = final ? null : ', the trial still running';
  const peeked = peeking && !final ? ', a look that was not planned' : null;
  return html`<li><a href="${trialAt}/judgements/${id}">Report of ${asOf}</a>: ${found}${running}${peeked}</li>
`;
}
