import { counted } from '../../units/counted.js';
import type { ArmsCompared } from '../compare-arms.js';
import { daysOfGain, daysOfOneFeeding, hasPeriods, type TrialDesign } from '../trial-design.js';
import { confidenceText, shown } from '../words.js';
import type { Comparison } from './comparison.js';
import type { DesignJudged } from './judgement.js';

/** What the mixed model of a design says beside its answer; null where arms stood side by side. */
export function designJudged({ trial }: Comparison, { designed }: ArmsCompared): DesignJudged | null {
  if (!trial.designed || !designed) return null;
  const { rows, answer } = designed;
  return {
    kind: trial.designed.design.kind,
    pens: new Set(rows.map((row) => row.penId)).size,
    periods: new Set(rows.map((row) => row.period)).size,
    betweenSdKgPerDay: answer.betweenSdKgPerDay,
    residualSdKgPerDay: answer.residualSdKgPerDay,
    carryOver: answer.carryOver,
  };
}

/** How the design came to its answer, and whether anything of one period worked on in the next. */
export function designInWords(comparison: Comparison, compared: ArmsCompared): string[] {
  const judged = designJudged(comparison, compared);
  const design = comparison.trial.designed?.design;
  if (judged === null || !design) return [];
  return [
    howItWasHeld(comparison, judged, design),
    ...(hasPeriods(design) ? [lingeringInWords(comparison, judged)] : []),
  ];
}

function howItWasHeld({ trial, usual, change }: Comparison, judged: DesignJudged, design: TrialDesign): string {
  const { protocol, wordsIn: toldIn } = trial;
  const pens = counted(judged.pens, 'pen or herd', 'pens or herds');
  if (!hasPeriods(design))
    return (
      `${pens} stood in ${counted(design.blocks.length, 'block')}, and each was held against its own neighbor on the ` +
      'other feeding, so that what sets one block apart from another falls out of the answer.'
    );
  const days = daysOfOneFeeding(design, protocol.lengthDays);
  const washout =
    design.washoutDays === 0
      ? ''
      : ` (gain counts over the last ${daysOfGain(design, protocol.lengthDays)} days of each; the first ` +
        `${design.washoutDays} let the cattle get used to the feed)`;
  const within = `${shown(judged.residualSdKgPerDay, toldIn).toFixed(2)} ${toldIn} a day`;
  const how =
    design.kind === 'switchback'
      ? `${pens} changed between ${usual.name} and ${change.name}, over`
      : `${pens} went over from ${usual.name} to ${change.name} one after another, over`;
  return (
    `${how} ${counted(judged.periods, 'period')} of ${days} days${washout}. Each was held against itself, so that ` +
    'what sets one herd apart from another falls out of the answer; from period to period a herd still differed from ' +
    `what its feeding, its own level and the season explain by some ${within}.`
  );
}

function lingeringInWords({ trial, usual, change }: Comparison, { carryOver }: DesignJudged): string {
  if (carryOver === null)
    return (
      'Whether one feeding still works on in the period after it could not be told here from the feedings ' +
      'themselves; only a washout that is long enough guards against it.'
    );
  const { wordsIn: toldIn } = trial;
  const { difference, low, high, confidence } = carryOver.effect;
  const told = (kg: number) => shown(kg, toldIn).toFixed(2);
  return (
    `Did one feeding work on in the next period? After ${change.name} cattle then gained ${told(difference)} ` +
    `${toldIn} a day more than after ${usual.name}, anywhere between ${told(low)} and ${told(high)} at ` +
    `${confidenceText(confidence)}${low <= 0 && high >= 0 ? ': nothing that could be told from chance' : ''}.`
  );
}

/** Why a design has no answer. */
export function whyDesignCannotTell(design: TrialDesign): string {
  return hasPeriods(design)
    ? 'The trial cannot tell yet: pens that are held against themselves need weights from more periods. Two herds ' +
        'that change over need three periods or more, and each needs a weight at both ends of a period on either ' +
        'feeding.'
    : 'The trial cannot tell: it needs two blocks or more in which both feedings have gains.';
}
