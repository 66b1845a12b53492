import { z } from 'zod';
import { HAY_KIND_CODES } from '../../core/feeds/hay-kinds.data.js';
import { FEED_GROUP_CODES, type FeedGroup } from '../../core/nutrients/feed-groups.data.js';
import { rationLotOf } from '../../core/ration/ration-lot.js';
import { checkLabTest } from '../../core/forage/lab-test-plausibility.js';
import { RATION_FIELDS, type RationField, type RationLot } from '../../core/ration/ration.js';
import { analysisIn, toAnalysis } from './forage-analysis.schema.js';
import { accepted, percent, present, priceIn, toPrice, under } from './quantities.js';

const lotName = z.string().trim().min(1).max(80).describe('Name of the feed');
const tested = analysisIn.describe('Composition in the dry matter');

/**
 * Hay of a known kind: values missing from its test come from the book values of its kind, and the answer says so. Any
 * other feed uses only what is given.
 */
export const rationLotIn = z
  .union([
    z.strictObject({
      name: lotName,
      hayKind: z
        .enum(HAY_KIND_CODES as [(typeof HAY_KIND_CODES)[number], ...typeof HAY_KIND_CODES])
        .describe('Kind of hay, by its code'),
      analysis: tested.optional(),
      price: priceIn.optional(),
    }),
    z.strictObject({
      name: lotName,
      analysis: tested,
      restsOnBookValues: z
        .boolean()
        .default(false)
        .describe('True if the composition comes from a book, not from a test'),
      group: z
        .enum(FEED_GROUP_CODES)
        .optional()
        .describe(
          'Kind of feed by whose limits the composition is checked; left out, hay for a forage, grain for a starchy ' +
            'grain, protein supplement for any other feed',
        ),
      forage: z.boolean().describe('True if the feed counts as forage'),
      longStem: z.boolean().default(false).describe('True for hay or straw that was not chopped or ground'),
      straw: z.boolean().default(false).describe('True if the feed is straw'),
      starchyGrain: z.boolean().default(false).describe('True if the feed is starchy grain'),
      legumePercent: percent('Legume, of the dry matter').optional(),
      canGatherNitrate: z
        .boolean()
        .default(false)
        .describe('True for cereal, sorghum, millet or stressed hay, which can accumulate nitrate'),
      nonProteinNitrogenPercent: percent('Protein equivalent from urea, biuret or ammonia, of dry matter', {
        to: 300,
      }).optional(),
      price: priceIn.optional(),
    }),
  ])
  .meta({
    id: 'RationFeedInput',
    description: 'A feed of a ration: a hay of a known kind, or any other feed by its composition',
  });
type RationLotIn = z.output<typeof rationLotIn>;

function groupOf(given: RationLotIn): FeedGroup {
  if ('hayKind' in given) return 'hay';
  return given.group ?? (given.forage ? 'hay' : given.starchyGrain ? 'grain' : 'protein');
}

/** `at` is the feed's place in the body. */
export function toRationLot(given: RationLotIn, at: string): RationLot {
  const analysis =
    given.analysis === undefined
      ? undefined
      : accepted(
          checkLabTest({ analysis: toAnalysis(given.analysis), basis: 'dry-matter', group: groupOf(given) }),
          under(`${at}/analysis`),
        ).value.analysis;
  const priced = present({ price: given.price && toPrice(given.price) });
  if ('hayKind' in given) {
    return rationLotOf({
      lotId: given.name,
      lotName: given.name,
      hayKind: given.hayKind,
      tests: analysis === undefined ? [] : [{ id: given.name, method: 'wet-chemistry', analysis }],
      ...priced,
    });
  }
  const origin = given.restsOnBookValues ? ('book-value' as const) : ('lab-test' as const);
  const composition: Partial<Record<RationField, { value: number; origin: typeof origin }>> = {};
  for (const field of RATION_FIELDS) {
    const value = analysis?.[field];
    if (value !== undefined) composition[field] = { value, origin };
  }
  return {
    lotId: given.name,
    lotName: given.name,
    composition,
    dryMatterPercent: { value: given.analysis.dryMatterPercent, origin },
    isForage: given.forage,
    isLongStem: given.longStem,
    isStraw: given.straw,
    isStarchyGrain: given.starchyGrain,
    legumeShare: given.legumePercent === undefined ? (given.forage ? null : 0) : given.legumePercent / 100,
    canGatherNitrate: given.canGatherNitrate,
    ...present({ nonProteinNitrogenPercent: given.nonProteinNitrogenPercent ?? analysis?.nonProteinNitrogenPercent }),
    ...priced,
  };
}
