import { bookValue } from '../feeds/book-values.js';
import type { ForageAnalysis } from '../forage/forage-analysis.js';
import { feedValue } from '../feeds/feed-values.data.js';
import { averageLabTests, type WeighableLabTest } from '../forage/lab-test-average.js';
import { estimateTdn } from '../forage/tdn-estimate.js';
import { LAB_NUTRIENTS, labReport } from '../nutrients/nutrients.js';
import { RATION_FIELDS, type RationField, type RationLot, type TestsThatDiffer } from './ration.js';
import type { PricePerMass } from '../units/money.js';
import { HAY_KINDS, type HayKind, type HayKindCode } from '../feeds/hay-kinds.data.js';
import { isOtherFeed, OTHER_FEEDS, type OtherFeed, type OtherFeedCode } from '../feeds/other-feeds.data.js';

type Stated = NonNullable<RationLot['composition'][RationField]> & { readonly source: string };
type Tested = ReturnType<typeof averageLabTests>;

/**
 * A lot as the ration math needs it: tested values where there are tests (several of one lot averaged by method), TDN
 * by the best published equation that the test allows, and book values of its kind for the rest, each marked with
 * where it comes from.
 * @throws RangeError if the kind has no book value.
 */
export function rationLotOf({ movedIn = [], ...lot }: LotAsked): RationLot {
  return carryingDangersOf(movedIn, testedLotOf(lot));
}

interface LotAsked {
  readonly lotId: string;
  readonly lotName: string;
  readonly hayKind: HayKindCode | OtherFeedCode;
  readonly tests: readonly WeighableLabTest[];
  /** Tests of hay that was moved into the lot from others: of them only the dangers count. */
  readonly movedIn?: readonly WeighableLabTest[] | undefined;
  readonly price?: PricePerMass | undefined;
}

const DANGERS = LAB_NUTRIENTS.map(labReport).flatMap(({ field, severalTests }) =>
  severalTests === 'mean' ? [] : RATION_FIELDS.filter((one) => one === field),
);

const differing = (least: number, most: number): { differ?: TestsThatDiffer } =>
  least < most ? { differ: { least, most } } : {};

/** A lot with the worst of each danger that was tested in hay moved into it: any feeding may be of that hay alone. */
function carryingDangersOf(movedIn: readonly WeighableLabTest[], lot: RationLot): RationLot {
  const composition = { ...lot.composition };
  const knownInPart: RationField[] = [];
  for (const field of DANGERS) {
    const values = movedIn.flatMap((test) => (test.method === 'label' ? [] : (test.analysis[field] ?? [])));
    if (values.length === 0) continue;
    const stated = composition[field];
    const highest = Math.max(...values);
    if (stated === undefined) knownInPart.push(field);
    const value = stated?.value ?? highest;
    const known = [
      ...values,
      value,
      ...(stated?.differ === undefined ? [] : [stated.differ.least, stated.differ.most]),
    ];
    composition[field] = {
      ...(stated ?? { value, origin: 'lab-test', source: 'lab test of hay that was moved into the lot' }),
      ...(highest > Math.max(value, stated?.atMost ?? 0) ? { atMost: highest } : {}),
      ...differing(Math.min(...known), Math.max(...known)),
    };
  }
  return { ...lot, composition, ...(knownInPart.length === 0 ? {} : { knownInPart }) };
}

function testedLotOf({ lotId, lotName, hayKind, tests, price }: Omit<LotAsked, 'movedIn'>): RationLot {
  if (isOtherFeed(hayKind)) return otherFeedLotOf({ lotId, lotName, feed: OTHER_FEEDS[hayKind], tests, price });
  const kind: HayKind = HAY_KINDS[hayKind];
  const book = bookValue(kind.bookValueKey);
  if (book === undefined) throw new RangeError(`No book value ${kind.bookValueKey}`);
  const averaged = tests.length === 0 ? undefined : averageLabTests(tests);
  const tested = averaged?.analysis;
  const energy = tested === undefined ? undefined : estimateTdn({ analysis: tested, family: kind.family });
  const composition: Partial<Record<RationField, Stated>> = {};
  for (const field of RATION_FIELDS) {
    const stated = statedValue(field, averaged, energy, book.analysis, book.source);
    if (stated !== undefined) composition[field] = stated;
  }
  return {
    lotId,
    lotName,
    composition,
    dryMatterPercent:
      tested === undefined
        ? { value: book.analysis.dryMatterPercent, origin: 'book-value' }
        : { value: tested.dryMatterPercent, origin: 'lab-test' },
    feedGroup: 'hay',
    isForage: true,
    isLongStem: true,
    isStraw: kind.family === 'straw',
    isStarchyGrain: false,
    legumeShare: kind.legumeShare,
    canGatherNitrate: kind.canGatherNitrate,
    ...(price === undefined ? {} : { price }),
  };
}

/** A feed other than hay: what was tested, and the book value of its kind for the rest where there is one. */
function otherFeedLotOf({
  lotId,
  lotName,
  feed,
  tests,
  price,
}: {
  readonly lotId: string;
  readonly lotName: string;
  readonly feed: OtherFeed;
  readonly tests: readonly WeighableLabTest[];
  readonly price: PricePerMass | undefined;
}): RationLot {
  const averaged = tests.length === 0 ? undefined : averageLabTests(tests);
  const tested = averaged?.analysis;
  const book = feed.bookValueKey === undefined ? undefined : feedValue(feed.bookValueKey);
  const composition: Partial<Record<RationField, Stated>> = {};
  for (const field of RATION_FIELDS) {
    const stated = statedValue(field, averaged, undefined, book?.analysis, book?.source ?? '');
    if (stated !== undefined) composition[field] = stated;
  }
  return {
    lotId,
    lotName,
    composition,
    dryMatterPercent:
      tested === undefined
        ? { value: feed.dryMatterPercent, origin: 'book-value' }
        : { value: tested.dryMatterPercent, origin: 'lab-test' },
    feedGroup: feed.group,
    isForage: feed.isForage,
    isLongStem: false,
    isStraw: false,
    isStarchyGrain: feed.isStarchyGrain,
    legumeShare: 0,
    canGatherNitrate: false,
    ...(price === undefined ? {} : { price }),
  };
}

function statedValue(
  field: RationField,
  tested: Tested | undefined,
  energy: ReturnType<typeof estimateTdn>,
  book: ForageAnalysis | undefined,
  bookSource: string,
): Stated | undefined {
  const atMost = tested?.atMost[field];
  const measured = tested?.analysis[field] ?? (atMost === undefined ? undefined : 0);
  const tests = DANGERS.includes(field) ? tested?.fields[field] : undefined;
  const differ = tests === undefined ? {} : differing(tests.least, tests.most);
  if (measured !== undefined)
    return atMost === undefined
      ? { value: measured, origin: 'lab-test', source: 'lab test', ...differ }
      : { value: measured, origin: 'lab-test', source: sourceOfMost(tested?.fields[field]), atMost, ...differ };
  // What follows from the lot's own test comes before what a book says of its kind.
  if (field === 'totalDigestibleNutrientsPercent' && energy !== undefined)
    return {
      value: energy.totalDigestibleNutrientsPercent,
      origin: 'lab-test',
      source: `${energy.method} from the lab test (${energy.source})`,
    };
  const printed = book?.[field];
  return printed === undefined ? undefined : { value: printed, origin: 'book-value', source: bookSource };
}

function sourceOfMost(tests: Tested['fields'][RationField]): string {
  return tests === undefined || tests.most === tests.least
    ? 'label, guaranteed analysis'
    : `lab tests that differ, ${tests.least} to ${tests.most}`;
}
