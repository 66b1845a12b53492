import type { FeedGroup } from '../nutrients/feed-groups.data.js';
import { toBaseUnit } from '../units/unit.js';

/** The form that hay is in: a kind of bale, or loose once it was unrolled or forked. */
export const HAY_FORMS = ['round-bale', 'small-square-bale', 'large-square-bale', 'loose-hay', 'loose-straw'] as const;
type HayForm = (typeof HAY_FORMS)[number];

interface BulkDensityRow {
  readonly form: HayForm;
  /** kg as fed per cubic meter. */
  readonly kgPerM3: number;
  readonly rangeKgPerM3: readonly [number, number];
  readonly source: string;
  readonly status: 'confirmed in page' | 'from memory';
}

const LB_PER_FT3 = toBaseUnit(1, 'lb/ft3');

/**
 * Book densities, for turning volume into weight where nobody has weighed a measured stack. Hay varies by a factor of
 * two; a measured density of the lot replaces these, and an answer that uses them says so.
 */
export const BULK_DENSITIES: readonly BulkDensityRow[] = [
  {
    form: 'round-bale',
    kgPerM3: 11.21 * LB_PER_FT3,
    rangeKgPerM3: [9 * LB_PER_FT3, 12 * LB_PER_FT3],
    status: 'confirmed in page',
    source:
      'Banta, J., Texas A&M AgriLife Extension: 11.21 lb/ft3; range 9 to 12 lb DM/ft3 by Hancock, D., as given ' +
      'by University of Missouri Extension',
  },
  {
    form: 'small-square-bale',
    kgPerM3: 9 * LB_PER_FT3,
    rangeKgPerM3: [6 * LB_PER_FT3, 12 * LB_PER_FT3],
    status: 'from memory',
    source: 'from memory: 6 to 12 lb/ft3',
  },
  {
    form: 'large-square-bale',
    kgPerM3: 13 * LB_PER_FT3,
    rangeKgPerM3: [10 * LB_PER_FT3, 16 * LB_PER_FT3],
    status: 'from memory',
    source: 'from memory: 10 to 16 lb/ft3',
  },
  {
    form: 'loose-hay',
    kgPerM3: 4.25 * LB_PER_FT3,
    rangeKgPerM3: [3 * LB_PER_FT3, 5 * LB_PER_FT3],
    status: 'from memory',
    source: 'from memory: settled loose hay about 470 ft3 a short ton',
  },
  {
    form: 'loose-straw',
    kgPerM3: 2.5 * LB_PER_FT3,
    rangeKgPerM3: [2 * LB_PER_FT3, 3 * LB_PER_FT3],
    status: 'from memory',
    source: 'from memory: 2 to 3 lb/ft3',
  },
];

export function bookBulkDensity({ form }: { readonly form: HayForm }): BulkDensityRow {
  const row = BULK_DENSITIES.find((each) => each.form === form);
  if (row === undefined) throw new RangeError(`No bulk density for ${form}`);
  return row;
}

/** Book densities of feeds that are no hay, in the bag, the bin or the heap; silage as it comes off the face. */
export const FEED_DENSITIES: Readonly<
  Record<Exclude<FeedGroup, 'hay'>, Pick<BulkDensityRow, 'kgPerM3' | 'source' | 'status'>>
> = {
  grain: {
    kgPerM3: 45 * LB_PER_FT3,
    status: 'from memory',
    source: 'from memory: shelled corn of 56 lb a bushel, and 1.2445 ft3 to a bushel',
  },
  protein: {
    kgPerM3: 40 * LB_PER_FT3,
    status: 'from memory',
    source: 'from memory: pellets and cubes 38 to 42 lb/ft3',
  },
  mineral: {
    kgPerM3: 65 * LB_PER_FT3,
    status: 'from memory',
    source: 'from memory: loose mineral and salt 55 to 80 lb/ft3',
  },
  silage: {
    kgPerM3: 20 * LB_PER_FT3,
    status: 'from memory',
    source: 'from memory: loose silage, unpacked, 15 to 25 lb/ft3',
  },
};
