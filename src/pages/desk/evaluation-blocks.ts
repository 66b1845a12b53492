import { spelledNutrient } from '../../core/nutrients/nutrients.js';
import type { AnswerOf } from '../../platform/http/endpoint.js';
import type { Block } from '../document/document.js';
import { needBars } from '../pictures/need-bars.js';
import { figure, linesTable } from '../yard/nutrient-lines.js';
import { daysSaid, grouped, left, paid, right, shown } from '../yard/words.js';
import type { rationPage } from './desk-page.schema.js';

export type Evaluation = AnswerOf<typeof rationPage>['evaluation'];

/** Cost, gain and condition in a line. */
function outcomeWords({
  perHead,
  expectedDailyGain,
  gainInWords,
  daysToOneConditionScore,
  conditionDirection,
  costPerHeadDay,
}: Evaluation): string {
  return [
    `${shown(perHead.asFed, 1)} a head as fed, ${shown(perHead.dryMatter, 1)} dry matter.`,
    expectedDailyGain === null ? '' : `Gain to expect: ${shown(expectedDailyGain, 2)} a day. ${gainInWords ?? ''}`,
    conditionDirection === null
      ? ''
      : daysToOneConditionScore === null || conditionDirection === 'steady'
        ? 'Condition stays as it is.'
        : `Condition: one score of ${conditionDirection} in ${daysSaid(Math.round(daysToOneConditionScore))}.`,
    costPerHeadDay === null ? '' : `Hay costs ${paid(costPerHeadDay)} per head per day.`,
  ]
    .filter((one) => one !== '')
    .join(' ');
}

/** Need against supply as bars with numbers, what it brings, and its cautions. */
export async function evaluationBlocks(name: string, evaluation: Evaluation, withTable: boolean): Promise<Block[]> {
  const drawing = await needBars(name, evaluation.lines);
  const refused = evaluation.refusedBecause.map((one) => `Not judged: ${one.message}`);
  const cautions = [...evaluation.cautions, ...evaluation.layingCautions];
  return [
    ...(refused.length === 0 ? [] : [{ kind: 'list', items: refused } as const]),
    { kind: 'words', strong: true, text: outcomeWords(evaluation) },
    ...(drawing === null
      ? []
      : [
          {
            kind: 'picture',
            drawing,
            caption: `${name}: supply as a share of the need; the upright is the need.`,
          } as const,
        ]),
    ...(withTable ? [linesTable(evaluation.lines)] : []),
    ...(cautions.length === 0
      ? [{ kind: 'words', text: 'No caution.' } as const]
      : [
          { kind: 'words', strong: true, text: `Cautions: ${name}` } as const,
          {
            kind: 'list',
            items: cautions.map(
              (one) =>
                `${one.severity === 'danger' ? 'DANGER. ' : ''}${one.title}. ${one.message} ${one.advice} ` +
                `Ask: ${one.consult.join(', ')}.`,
            ),
          } as const,
        ]),
  ];
}

/** What is laid beside what is in use, a row for each nutrient. */
export function sideBySideTable(laid: Evaluation, inUse: Evaluation): Block {
  const beside = new Map(inUse.lines.map((one) => [one.nutrient, one]));
  return {
    kind: 'table',
    caption: 'Side by side, per head per day',
    columns: [
      left('Nutrient', 1.6),
      right('Needed'),
      right('Laid here'),
      right('In use'),
      left('Laid here', 1.2),
      left('In use', 1.2),
    ],
    rows: [
      ...laid.lines.map(({ nutrient, need, supply, unit, verdict }) => {
        const other = beside.get(nutrient);
        return [
          spelledNutrient(nutrient),
          verdict === 'no-need' ? '' : figure(need, unit),
          figure(supply, unit),
          other === undefined ? '' : figure(other.supply, other.unit),
          verdict === 'no-need' ? '' : verdict,
          other === undefined || other.verdict === 'no-need' ? '' : other.verdict,
        ];
      }),
      ['As fed', '', shown(laid.perHead.asFed, 1), shown(inUse.perHead.asFed, 1), '', ''],
      ...(laid.costPerHeadDay === null
        ? []
        : [['Cost', '', paid(laid.costPerHeadDay), paid(inUse.costPerHeadDay), '', '']]),
      ...(laid.daysToOneConditionScore === null && inUse.daysToOneConditionScore === null
        ? []
        : [['Days to one condition score', '', conditionOf(laid), conditionOf(inUse), '', '']]),
    ],
  };
}

function conditionOf({ daysToOneConditionScore, conditionDirection }: Evaluation): string {
  return daysToOneConditionScore === null ? '' : `${grouped(daysToOneConditionScore)} (${conditionDirection ?? ''})`;
}
