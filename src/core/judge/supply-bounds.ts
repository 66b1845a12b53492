import { plain } from '../cautions/caution.js';
import { NUTRIENTS } from '../nutrients/nutrients.data.js';
import type { Mineral } from '../nutrients/nutrients.js';
import type { BoundedSupply, EatenPart, RationSupply } from './ration-supply.js';

/** Share of a sum that has to be known before what is known may speak for the whole. */
const MOST_OF_IT = 0.5;

/**
 * Content in a kilogram of dry matter that a limit against too much is held against: at least so much there is, by
 * labels at most. `null` where no lot tells it.
 */
export function perKgForTooMuch(supply: BoundedSupply): number | null {
  return supply.knownOfKg > 0 && supply.heldAgainstKg > 0 ? supply.atMost / supply.heldAgainstKg : null;
}

/**
 * What all of the ration holds at least in a kilogram of dry matter: parts that do not tell it count as holding none,
 * and all of them in the weight.
 */
function perKgAtLeast({ dryMatterKg }: RationSupply, { atMost }: BoundedSupply): number {
  return dryMatterKg > 0 ? atMost / dryMatterKg : 0;
}

/**
 * What a caution about too much says where parts of the ration do not tell it: what its figure is of, and what all of
 * the ration holds at least. Empty where all is known.
 */
export function wordsOfAtLeast(ration: RationSupply, supply: BoundedSupply, told: (perKg: number) => string): string {
  if (supply.missingIn.length === 0) return '';
  const lots = [...new Set(supply.missingIn)].join(', ');
  const percent = (supply.heldAgainstKg / ration.dryMatterKg) * 100;
  const ofPart =
    percent < 100 - 1e-6
      ? ` That is of ${plain(percent, 1)} % of the dry matter, so that what nobody tested thins nothing out.`
      : '';
  return `${ofPart} Not known of ${lots}: the whole ration holds at least ${told(perKgAtLeast(ration, supply))}.`;
}

/**
 * Content in a kilogram of dry matter that a limit against too little is held against: of the part that tells it, where
 * that is most of the ration; by the lowest of the tests of a danger. `null` where it is not. Whether the unknown rest
 * may make up for it: `wordsOfUnknown`.
 */
export function perKgForTooLittle({ dryMatterKg }: RationSupply, supply: BoundedSupply): number | null {
  if (supply.value !== null) return supply.lowest / dryMatterKg;
  return supply.knownOfKg > 0 && supply.knownOfKg >= dryMatterKg * MOST_OF_IT ? supply.lowest / supply.knownOfKg : null;
}

/**
 * What a caution about too little says of the lots that do not tell the nutrient: that even at the most that is likely
 * for their kinds they do not make up for it, or that nobody can say. Empty where all is known.
 */
export function wordsOfUnknown(
  { dryMatterKg }: RationSupply,
  { missingIn, couldReach }: BoundedSupply,
  leastPerKg: number,
): string {
  if (missingIn.length === 0) return '';
  const lots = [...new Set(missingIn)].join(', ');
  return couldReach / dryMatterKg < leastPerKg
    ? ` Not known of ${lots}; even as much as such feed may hold would not make up for it.`
    : ` Not known of ${lots}: whether that makes up for it can't be judged without a test or a label.`;
}

/** What a caution says of lots whose tests contradict each other in a mineral; empty where none do. */
export function wordsOfTestsThatDiffer({ parts }: RationSupply, minerals: readonly Mineral[]): string {
  return parts
    .flatMap(({ lot }) =>
      minerals.flatMap((mineral) => {
        const { name, lab } = NUTRIENTS[mineral];
        const differ = lot.composition[lab.field]?.differ;
        if (differ === undefined) return [];
        const [least, most] = [plain(differ.least, 3), plain(differ.most, 3)];
        const found = `${name.toLowerCase()} ${least} to ${most} %`;
        return least === most ? [] : ` Tests of ${lot.lotName} contradict each other: ${found}; the worse counts.`;
      }),
    )
    .join('');
}

/**
 * Amounts over the lots that tell all that goes into a ratio, `null` where none does. A lot that tells a part of it
 * counts where it is a small part of the ration, one that tells nothing never changes it.
 */
export function knownParts<Name extends string>(
  parts: readonly EatenPart[],
  contentOf: (part: EatenPart) => Readonly<Record<Name, number | null>>,
  smallShare: number,
): Readonly<Record<Name, number>> | null {
  const sums = new Map<Name, number>();
  for (const part of parts) {
    const content = Object.entries(contentOf(part)) as [Name, number | null][];
    const known = content.every(([, value]) => value !== null);
    if (!known && part.shareOfDryMatter > smallShare) continue;
    for (const [name, value] of content) sums.set(name, (sums.get(name) ?? 0) + (value ?? 0) * part.dryMatterEatenKg);
  }
  return sums.size === 0 ? null : (Object.fromEntries(sums) as Record<Name, number>);
}
