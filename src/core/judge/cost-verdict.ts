import { decimalFromFloat } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { Money } from '../units/money.js';
import type { CostVerdict, EvaluationRequest } from './evaluation.js';
import { partsOf } from './ration-supply.js';

/** What is offered is paid for, eaten or not. */
export function costOf({ layers, showCost = false }: EvaluationRequest): CostVerdict {
  if (!showCost) return { perHeadDay: null, perLot: [], unknownBecause: 'prices-not-shown' };
  const perLot = partsOf(layers).map(({ lot, asFedKgPerHeadPerDay }) => ({
    lotId: lot.lotId,
    lotName: lot.lotName,
    perHeadDay:
      lot.price === undefined ? null : lot.price.for(Mass.kilograms(decimalFromFloat(asFedKgPerHeadPerDay, 9))),
  }));
  const priced = perLot.flatMap(({ perHeadDay }) => (perHeadDay === null ? [] : [perHeadDay]));
  const [first] = priced;
  if (first === undefined || priced.length < perLot.length)
    return { perHeadDay: null, perLot, unknownBecause: 'a-price-is-missing' };
  return { perHeadDay: Money.sum(priced, first.currency), perLot, unknownBecause: null };
}
