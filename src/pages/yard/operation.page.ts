import type { z } from 'zod';
import type { rationOut } from '../../desk/rations/ration.schema.js';
import type { judgementSummary } from '../../desk/trials/trial-judgement.schema.js';
import type { trialOut } from '../../desk/trials/trial.schema.js';
import { page, text } from '../layout.js';
import { sheetList } from './start.page.js';
import { told } from './words.js';
import type { OperationHead } from './yard.schema.js';

type Ration = z.output<typeof rationOut>;
type Judged = { trial: z.output<typeof trialOut>; judgements: readonly z.output<typeof judgementSummary>[] };

/** One operation: sheets, rations in use, trials with their reports, the hay. */
export function operationHtml({
  operation,
  rations,
  trials,
}: {
  operation: OperationHead;
  rations: readonly Ration[];
  trials: readonly Judged[];
}): string {
  const at = `/yard/operations/${operation.id}`;
  return page(
    operation.name,
    `
${operation.invented ? '<p>Invented demo books: no person, ranch or animal in them exists.</p>' : ''}
<h2>Feed sheets today</h2>
${sheetList(operation)}
<h2>Rations in use</h2>
${rations.length === 0 ? '<p>No ration is in use today.</p>' : rations.map(rationPart).join('\n')}
<h2>Feeding trials</h2>
${trials.length === 0 ? '<p>No trial was planned.</p>' : trials.map((one) => trialPart(at, one)).join('\n')}
<h2>Hay</h2>
<ul>
<li><a href="${at}/hay-budget">Hay budget</a>: whether the hay lasts, and what would have to be bought</li>
${operation.seesPrices ? `<li><a href="${at}/hay-position">Hay position</a>: what lies in the yard, and what it is worth</li>` : ''}
</ul>`,
    [{ href: '/yard', words: 'Start' }],
  );
}

function rationPart(ration: Ration): string {
  const rows = ration.layers.map(
    (layer) =>
      `<tr><td>${layer.position}</td><td>${layer.role}</td><td>${layer.parts.map((part) => `${text(part.hayLot)}`).join('<br>')}</td><td class="number">${layer.parts.map((part) => told(part.perHead, 1)).join('<br>')}</td><td class="number">${layer.parts.map((part) => `${part.dryMatterSharePercent.toFixed(0)} %`).join('<br>')}</td></tr>`,
  );
  return `<h3>${text(ration.herd)}: ${text(ration.name)}</h3>
<p>In use from ${ration.inUseFrom ?? ''}. ${told(ration.perHead.asFed, 1)} a head as fed, ${told(ration.perHead.dryMatter, 1)} dry matter.${ration.restsOnBookValues ? ' Some of it rests on book values.' : ''}</p>
<div class="wide"><table><thead><tr><th>Step</th><th>Layer</th><th>Lot</th><th class="number">A head</th><th class="number">Of dry matter</th></tr></thead><tbody>${rows.join('')}</tbody></table></div>`;
}

const VERDICTS = {
  favours: 'favours one feeding',
  'no-clear-difference': 'no clear difference',
  'too-small-to-tell': 'too small to tell',
} as const;
const STATES = { draft: 'a draft', running: 'running', closed: 'closed' } as const;

function trialPart(operationAt: string, { trial, judgements }: Judged): string {
  const at = `${operationAt}/trials/${trial.id}`;
  const looks = judgements.map(
    (one) =>
      `<li><a href="${at}/judgements/${one.id}">Report of ${one.asOf}</a>: ${one.verdicts.map((verdict) => VERDICTS[verdict]).join('; ')}${one.final ? '' : ', the trial still running'}${one.peeking && !one.final ? ', a look that was not planned' : ''}</li>`,
  );
  return `<h3>${text(trial.name)}</h3>
<p>${text(trial.plan.question)} <small>(${STATES[trial.state]}${trial.beginsOn === null ? '' : `, ${trial.beginsOn} to ${trial.endsOn ?? ''}`})</small></p>
<ul>${looks.join('')}<li><a href="${at}/plan">What it can see</a></li><li><a href="${at}/protocol">Protocol</a></li></ul>`;
}
