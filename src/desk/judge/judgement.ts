import { fromBaseUnit } from '../../core/units/unit.js';
import type { z } from 'zod';
import type { RationEvaluation } from '../../core/judge/evaluation.js';
import { decimalFromFloat } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import { type UnitSystem, formatMass, formatMoney } from '../../platform/wire/quantity.schema.js';
import { cautionAnswer } from '../../records/kit/caution.schema.js';
import { judgementShape } from './judgement.schema.js';

export type Judgement = { [Field in keyof typeof judgementShape]: z.input<(typeof judgementShape)[Field]> };

/** An evaluation of the core in the units of the answer. */
export function judgementAnswer(evaluation: RationEvaluation, units: UnitSystem): Judgement {
  const { gain, condition, cost } = evaluation;
  return {
    lines: evaluation.lines.map((line) => {
      const pounds = line.unit === 'kg/d' && units === 'us';
      const shown = (value: number | null): number | null =>
        value === null ? null : Number((pounds ? fromBaseUnit(value, 'lb') : value).toFixed(3));
      return {
        nutrient: line.nutrient,
        unit: pounds ? ('lb/d' as const) : line.unit,
        supply: shown(line.supply),
        need: shown(line.need),
        atMost: shown(line.harmfulAbove),
        surplus: shown(line.surplus),
        surplusPercent: line.surplusPercent === null ? null : Number(line.surplusPercent.toFixed(1)),
        verdict: line.verdict,
        unknownBecause: line.unknownBecause,
        restsOnBookValues: line.restsOnBookValues,
      };
    }),
    expectedDailyGain:
      gain.expectedKgPerDay === null
        ? null
        : formatMass(Mass.kilograms(decimalFromFloat(gain.expectedKgPerDay, 4)), units, 'small'),
    gainRuledBy: gain.ruledBy,
    daysToOneConditionScore: condition.daysToOneScore === null ? null : Math.round(condition.daysToOneScore),
    conditionDirection: condition.direction,
    costPerHeadDay: cost.perHeadDay === null ? null : formatMoney(cost.perHeadDay),
    cautions: evaluation.cautions.map(cautionAnswer),
    bookValues: evaluation.bookValues.map((one) => ({ hayLot: one.lotName, fields: [...one.fields] })),
  };
}
