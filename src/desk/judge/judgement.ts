import type { z } from 'zod';
import { laidForWasteNote } from '../../core/cautions/left-over.js';
import { amountShown } from '../../core/nutrients/amount-shown.js';
import { decimalFromFloat } from '../../core/units/decimal.js';
import { wordsIn } from '../../core/units/wording.js';
import type { RequirementNote } from '../../core/requirements/requirement-set.js';
import { Mass } from '../../core/units/mass.js';
import { type UnitSystem, formatMass, formatMoney } from '../../platform/wire/quantity.schema.js';
import { cautionAnswer } from '../../records/kit/caution.schema.js';
import { judgementShape } from './judgement.schema.js';
import type { JudgedRation } from './ration-judge.js';

export type Judgement = { [Field in keyof typeof judgementShape]: z.input<(typeof judgementShape)[Field]> };

/** What the judge found, in the units of the answer. If the herd cannot be judged: its cautions and the reasons. */
export function judgementAnswer(
  {
    requirement,
    evaluation,
    cautions,
    wasted,
    refusedBecause,
  }: Pick<JudgedRation, 'requirement' | 'evaluation' | 'cautions' | 'wasted' | 'refusedBecause'>,
  units: UnitSystem,
): Judgement {
  const gain = evaluation?.gain.expectedKgPerDay ?? null;
  const words = evaluation?.gain.words ?? null;
  const daysToOneScore = evaluation?.condition.daysToOneScore ?? null;
  const cost = evaluation?.cost.perHeadDay ?? null;
  return {
    lines: evaluation === null ? [] : linesAnswer(evaluation.lines, units),
    expectedDailyGain: gain === null ? null : formatMass(Mass.kilograms(decimalFromFloat(gain, 4)), units, 'small'),
    gainInWords: words === null ? null : wordsIn(units, words),
    gainRuledBy: evaluation?.gain.ruledBy ?? null,
    daysToOneConditionScore: daysToOneScore === null ? null : Math.round(daysToOneScore),
    conditionDirection: evaluation?.condition.direction ?? null,
    costPerHeadDay: cost === null ? null : formatMoney(cost),
    cautions: cautions.map((one) => cautionAnswer(one, units)),
    bookValues: (evaluation?.bookValues ?? []).map((one) => ({ hayLot: one.lotName, fields: [...one.fields] })),
    wastedPercent: Number((wasted.share * 100).toFixed(3)),
    wastedRestsOn: wasted.restsOn,
    notes: notesAnswer([...(requirement?.notes ?? []), ...wasteNotes({ requirement, evaluation, wasted })], units),
    refusedBecause: refusedBecause.map(({ code, message }) => ({ code, message })),
  };
}

/** How the waste was counted, where it was read from feedings. */
function wasteNotes({
  requirement,
  evaluation,
  wasted,
}: Pick<JudgedRation, 'requirement' | 'evaluation' | 'wasted'>): RequirementNote[] {
  const laidFor =
    requirement === null || evaluation === null || wasted.restsOn !== 'measured'
      ? null
      : laidForWasteNote({
          laidKg: evaluation.supply.dryMatterOfferedKg,
          wastedShare: wasted.share,
          predictedKg: requirement.dryMatterIntakeKgPerDay,
        });
  return [...(wasted.note === undefined ? [] : [wasted.note]), ...(laidFor === null ? [] : [laidFor])];
}

/** A figure per head per day in a unit that both systems use. */
export function dailyAmount<Unit extends 'Mcal/d' | 'g/d' | 'mg/d' | 'IU/d'>(
  value: number,
  unit: Unit,
  places: number,
) {
  return { value: Number(value.toFixed(places)), unit };
}

/** Protein per head per day, in the units of the answer; `places` of a gram, a thousandth of a pound in US units. */
export function proteinAmount(
  nutrient: 'crudeProtein' | 'degradableProtein' | 'metabolizableProtein',
  grams: number,
  units: UnitSystem,
  places = 1,
): { value: number; unit: 'g/d' | 'lb/d' } {
  const { value, unit } = amountShown(units, nutrient, grams);
  return unit === 'lb/d'
    ? { value: Number(value.toFixed(3)), unit }
    : { value: Number(value.toFixed(places)), unit: 'g/d' };
}

/** What the need had to assume, in the units of the answer. */
export function notesAnswer(notes: readonly RequirementNote[], units: UnitSystem): Judgement['notes'] {
  return notes.map(({ code, message, source }) => ({ code, message: wordsIn(units, message), source }));
}

type Line = NonNullable<JudgedRation['evaluation']>['lines'][number];

/** Supply against need, one line for each nutrient, in the units of the answer. */
export function linesAnswer(lines: readonly Line[], units: UnitSystem): Judgement['lines'] {
  return lines.map((line) => lineAnswer(line, units));
}

/** One divisor for supply and need, so that the shares agree with the amounts. */
function ofDryMatter({ nutrient, unit, supply, need, shareOfKg }: Line) {
  const perKg = { 'kg/d': 100, 'g/d': 0.1 }[unit as string];
  if (perKg === undefined || nutrient === 'dryMatter' || shareOfKg === null || shareOfKg <= 0) return null;
  const share = (value: number | null): number | null =>
    value === null ? null : Number(((value * perKg) / shareOfKg).toFixed(3));
  return { supply: share(supply), need: share(need) };
}

function lineAnswer(line: Line, units: UnitSystem): Judgement['lines'][number] {
  const shown = (value: number | null): number | null =>
    value === null ? null : Number(amountShown(units, line.nutrient, value).value.toFixed(3));
  return {
    nutrient: line.nutrient,
    unit: amountShown(units, line.nutrient, 0).unit as Judgement['lines'][number]['unit'],
    supply: shown(line.supply),
    supplyIsAtLeast: line.supplyIsAtLeast,
    missingIn: [...line.missingIn],
    need: shown(line.need),
    atMost: shown(line.harmfulAbove),
    surplus: shown(line.surplus),
    percentOfDryMatter: ofDryMatter(line),
    surplusPercent: line.surplusPercent === null ? null : Number(line.surplusPercent.toFixed(1)),
    verdict: line.verdict,
    unknownBecause: line.unknownBecause,
    restsOnBookValues: line.restsOnBookValues,
  };
}
