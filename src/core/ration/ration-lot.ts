import { bookValue } from '../feeds/book-values.js';
import type { ForageAnalysis } from '../forage/forage-analysis.js';
import { feedValue } from '../feeds/feed-values.data.js';
import { averageLabTests, type WeighableLabTest } from '../forage/lab-test-average.js';
import { estimateTdn } from '../forage/tdn-estimate.js';
import { LAB_NUTRIENTS, labReport } from '../nutrients/nutrients.js';
import { RATION_FIELDS, type RationField, type RationLot, type TestsThatDiffer, type WorstSample } from './ration.js';
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
export function rationLotOf({ forDangers = [], ...lot }: LotAsked): RationLot {
  const nonProteinNitrogenPercent = mostNonProteinNitrogen(lot.tests, forDangers);
  return {
    ...carryingDangersOf(lot.tests, forDangers, testedLotOf(lot)),
    ...(nonProteinNitrogenPercent > 0 ? { nonProteinNitrogenPercent } : {}),
  };
}

/** The most that any test or label of the lot, or of hay moved into it, gives; nobody adds it without saying so. */
function mostNonProteinNitrogen(own: readonly WeighableLabTest[], others: readonly WeighableLabTest[]): number {
  const most = (analysis: Partial<ForageAnalysis>, atMost: WeighableLabTest['atMost']): number =>
    Math.max(analysis.nonProteinNitrogenPercent ?? 0, atMost?.nonProteinNitrogenPercent ?? 0);
  const averaged = own.length === 0 ? undefined : averageLabTests(own);
  return Math.max(
    averaged === undefined ? 0 : most(averaged.analysis, averaged.atMost),
    ...others.map((test) => most(test.analysis, test.atMost)),
  );
}

interface LotAsked {
  readonly lotId: string;
  readonly lotName: string;
  readonly hayKind: HayKindCode | OtherFeedCode;
  readonly tests: readonly WeighableLabTest[];
  /** Tests of hay that was moved into the lot, or of one that it was split from: of them only the dangers count. */
  readonly forDangers?: readonly SampledHay[] | undefined;
  readonly price?: PricePerMass | undefined;
}

interface SampledHay extends WeighableLabTest {
  /** How much of it was moved into the lot, kg; `null` where the lot is that hay. */
  readonly movedInKg: number | null;
}

const DANGERS = LAB_NUTRIENTS.map(labReport).flatMap(({ field, severalTests }) =>
  severalTests === 'mean' ? [] : RATION_FIELDS.filter((one) => one === field),
);

const differing = (least: number, most: number): { differ?: TestsThatDiffer } =>
  least < most ? { differ: { least, most } } : {};

/**
 * A lot with the most of each danger that was tested in its hay or in hay moved into it: any feeding may be of that hay
 * alone, and a later, lower test of the same hay only shows that its bales differ.
 */
function carryingDangersOf(own: readonly WeighableLabTest[], others: readonly SampledHay[], lot: RationLot): RationLot {
  const composition = { ...lot.composition };
  const knownInPart: RationField[] = [];
  for (const field of DANGERS) {
    const worst = worstOf(field, [...own.map((test) => ({ ...test, movedInKg: null })), ...others]);
    const stated = composition[field];
    if (worst === undefined) continue;
    const { value, sample } = worst;
    const isKnown = stated !== undefined && own.some((test) => test.analysis[field] !== undefined);
    if (stated === undefined && sample?.movedInKg !== null) knownInPart.push(field);
    const ofSample = sample === undefined ? {} : { worst: sample };
    if (stated === undefined)
      composition[field] = {
        value,
        origin: 'lab-test',
        source: 'lab test of hay that is part of the lot',
        ...ofSample,
      };
    else if (value > Math.max(stated.value, stated.atMost ?? 0))
      composition[field] = { ...stated, atMost: value, ...ofSample };
    else if (isKnown && value === stated.value) composition[field] = { ...stated, ...ofSample };
    const now = composition[field];
    if (now !== undefined)
      composition[field] = {
        ...now,
        ...differing(Math.min(now.value, worst.lowest), Math.max(now.atMost ?? now.value, value)),
      };
  }
  return { ...lot, composition, ...(knownInPart.length === 0 ? {} : { knownInPart }) };
}

/**
 * The highest and the lowest value of a field, and the sample of the highest where it is not the only one or not of
 * the whole lot.
 */
function worstOf(
  field: RationField,
  tests: readonly SampledHay[],
): { readonly value: number; readonly lowest: number; readonly sample: WorstSample | undefined } | undefined {
  const values = tests.flatMap(({ method, analysis, ...test }) => {
    const value = method === 'label' ? undefined : analysis[field];
    return value === undefined ? [] : [{ ...test, value }];
  });
  const [highest] = [...values].sort((a, b) => b.value - a.value);
  if (highest === undefined) return undefined;
  const { value, lotName, sampledOn, movedInKg } = highest;
  const lowest = Math.min(...values.map((one) => one.value));
  const isAlone = movedInKg === null && values.every((one) => one.value === value);
  if (isAlone || lotName === undefined || sampledOn === undefined) return { value, lowest, sample: undefined };
  return { value, lowest, sample: { lotName, sampledOn, movedInKg } };
}

function testedLotOf({ lotId, lotName, hayKind, tests, price }: Omit<LotAsked, 'forDangers'>): RationLot {
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
