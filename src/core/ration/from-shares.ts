import { type Outcome, refused, succeeded } from '../outcome/outcome.js';
import type { Problem } from '../outcome/problem.js';
import type { LayerBasis, LayerRole } from '../laying/layer.js';
import { convertShares, shareOn, type ConvertedShares, type StatedValue } from '../laying/layer-shares.js';
import type { RationLayer, RationLot } from './ration.js';

interface SharedLayer {
  readonly role: LayerRole;
  readonly lot: RationLot;
  /** 0 to 1 on the basis of the ration. */
  readonly share: number;
  readonly bulkDensityKgPerM3: StatedValue;
}

/** How much is laid per head per day: as fed or as dry matter, never both. */
type AmountPerHead = { readonly asFedKg: number } | { readonly dryMatterKg: number };

/** The dry matter of a lot as a stated value. */
export function dryMatterOf({ dryMatterPercent: { value, origin } }: RationLot): StatedValue {
  return { value, origin: origin === 'lab-test' ? 'measured' : 'book-value', source: origin };
}

/**
 * A ration given as layer shares, converted to kg as fed per head, with the shares on all three bases and the
 * densities and dry matters used.
 */
export function rationFromShares({
  basis,
  layers,
  amount,
}: {
  readonly basis: LayerBasis;
  readonly layers: readonly SharedLayer[];
  readonly amount: AmountPerHead;
}): Outcome<{
  readonly layers: readonly RationLayer[];
  readonly shares: ConvertedShares;
}> {
  const total = 'asFedKg' in amount ? amount.asFedKg : amount.dryMatterKg;
  const wrongAmount: Problem[] =
    total > 0 && Number.isFinite(total)
      ? []
      : [
          {
            code: 'amount-out-of-range',
            field: 'amount',
            given: total,
            allowed: 'above 0 kg per head',
            message: `${total} kg per head is not a valid amount.`,
          },
        ];
  const converted = convertShares({
    basis,
    layers: layers.map(({ lot, share, bulkDensityKgPerM3 }) => ({
      name: lot.lotName,
      share,
      bulkDensityKgPerM3,
      dryMatterPercent: dryMatterOf(lot),
    })),
  });
  if (!converted.ok) return refused([...wrongAmount, ...converted.problems]);
  if (wrongAmount.length > 0) return refused(wrongAmount);
  const asFed = converted.value.layers.map((layer) =>
    'asFedKg' in amount
      ? total * shareOn({ layer, basis: 'as-fed' })
      : (total * shareOn({ layer, basis: 'dry-matter' })) / (layer.dryMatterPercent.value / 100),
  );
  return succeeded({
    layers: layers.map(({ role, lot }, index) => ({ role, lots: [{ lot, asFedKgPerHeadPerDay: asFed[index] ?? 0 }] })),
    shares: converted.value,
  });
}
