import type { PenFeed } from '../../core/trial/feed-of-pens.js';
import { decimal } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import type { AttachedFeeding, TrialBooks } from './trial-books.read.js';

/** What each pen was fed, where pens have herds of their own; refused and wasted are null where never recorded. */
export function hayByPen(books: Pick<TrialBooks, 'feedings' | 'lots'>): PenFeed[] {
  const pens = new Map<string, AttachedFeeding[]>();
  for (const feeding of books.feedings) {
    const key = JSON.stringify([feeding.armId, feeding.pen]);
    if (feeding.pen !== null) pens.set(key, [...(pens.get(key) ?? []), feeding]);
  }
  const kg = (mass: Mass): number => mass.kilograms.toDecimalPlaces(9).toNumber();
  return [...pens].map(([key, feedings]) => {
    const [armId, penId] = JSON.parse(key) as [string, string];
    const summed = (pick: (one: AttachedFeeding) => Mass | null): number | null => {
      const known = feedings.flatMap((one) => pick(one)?.times(one.share) ?? []);
      return known.length === 0 ? null : kg(Mass.sum(known));
    };
    const layers = feedings.flatMap((one) =>
      one.layers.map(({ hayLotId, mass }) => ({ fed: mass.times(one.share), hayLotId })),
    );
    const fed = Mass.sum(layers.map((layer) => layer.fed));
    const dry = Mass.sum(
      layers.map((layer) => layer.fed.times(books.lots.get(layer.hayLotId)?.dryMatterShare ?? decimal(1))),
    );
    return {
      armId,
      penId,
      fedKg: kg(fed),
      refusedKg: summed((one) => one.refused),
      wastedKg: summed((one) => one.wasted),
      dryMatterShare: fed.isZero() ? 1 : dry.ratioTo(fed).toDecimalPlaces(9).toNumber(),
    };
  });
}
