import { NUTRIENTS } from '../nutrients/nutrients.data.js';
import type { Mineral } from '../nutrients/nutrients.js';
import { quantity, sentence } from '../units/wording.js';
import { BY_THE, CAUTIONS } from './cautions.data.js';
import { plain, plainAtLeast, plainBeyond, raiseIfPassed, type RaisedCaution, type Threshold } from './caution.js';
import { DEFAULT_GUIDES, type GuideChoices } from './guides.data.js';

/** Grams per equivalent: K 39.10/1, Ca 40.08/2, Mg 24.31/2. */
const GRAMS_PER_EQUIVALENT = { potassium: 39.1, calcium: 20.04, magnesium: 12.15 } as const;
const mostOfCow = CAUTIONS['sulfur-mature-cow'].thresholds.gramsPerDay;
/** Share of sulfur in sulfate by mass: 32.06 / 96.06; sources round it to one third. */
const SULFUR_IN_SULFATE = 32.06 / (32.06 + 4 * 15.999);

/**
 * K/(Ca+Mg) in equivalents; a risk of grass tetany above 2.2.
 * Source: Rahman et al. 2022, Open Access Library Journal 9:1-24; equivalents from the atomic masses.
 * `ratio` is `null` if there is neither calcium nor magnesium.
 */
export function tetanyRatio({
  potassiumPercent,
  calciumPercent,
  magnesiumPercent,
}: {
  readonly potassiumPercent: number;
  readonly calciumPercent: number;
  readonly magnesiumPercent: number;
}): {
  readonly ratio: number | null;
  readonly potassiumEquivalents: number;
  readonly calciumEquivalents: number;
  readonly magnesiumEquivalents: number;
} {
  const potassiumEquivalents = potassiumPercent / GRAMS_PER_EQUIVALENT.potassium;
  const calciumEquivalents = calciumPercent / GRAMS_PER_EQUIVALENT.calcium;
  const magnesiumEquivalents = magnesiumPercent / GRAMS_PER_EQUIVALENT.magnesium;
  const below = calciumEquivalents + magnesiumEquivalents;
  return {
    ratio: below === 0 ? null : potassiumEquivalents / below,
    potassiumEquivalents,
    calciumEquivalents,
    magnesiumEquivalents,
  };
}

/** Grams of sulfur drunk in a day with water of so much sulfate. */
export function sulfurFromWater({
  waterLPerDay,
  sulfateMgPerL,
}: {
  readonly waterLPerDay: number;
  readonly sulfateMgPerL: number;
}): { readonly sulfurGPerDay: number; readonly sulfateGPerDay: number } {
  const sulfateGPerDay = (waterLPerDay * sulfateMgPerL) / 1000;
  return { sulfateGPerDay, sulfurGPerDay: sulfateGPerDay * SULFUR_IN_SULFATE };
}

/** Share of forage in the dry matter above which the higher sulfur maximum holds. */
export const HIGH_FORAGE_SHARE = 0.4;

/**
 * The maximum tolerable sulfur of the diet. The sources give limits for under 15 % and over 40 % forage; in between
 * they say nothing, and the lower limit is kept.
 */
export function sulfurMaximum({
  forageShare,
  choice = DEFAULT_GUIDES.sulfurMaximum,
}: {
  readonly forageShare: number;
  readonly choice?: GuideChoices['sulfurMaximum'];
}): Threshold {
  const limits = CAUTIONS['sulfur-total'].thresholds;
  if (choice === 'single-0.40') return limits.oldMaximumPercent;
  return forageShare > HIGH_FORAGE_SHARE ? limits.highForagePercent : limits.lowForagePercent;
}

export type MineralStage = 'growing' | 'pregnant' | 'early-milk' | 'dry';

/** The ratio by the tests that make it lowest and by those that make it highest; equal where no tests differ. */
export interface CalciumToPhosphorus {
  readonly least: number | null;
  readonly most: number | null;
}

/** The end of the ratio that is judged: the one that is warned of, the lower first, since it is the worse. */
export function worseOfRatio({ least, most }: CalciumToPhosphorus): number | null {
  const { low, high } = CAUTIONS['calcium-phosphorus-ratio'].thresholds;
  const isTooHigh = most !== null && most > high.value && least !== null && least >= low.value;
  return isTooHigh ? most : least;
}

export interface MineralsOfTheRation {
  readonly stage: MineralStage;
  readonly matureCow: boolean;
  readonly dryMatterKgPerDay: number;
  readonly forageShare: number;
  /** Per cent of ration dry matter; `null` if one lot's value is not known. */
  readonly calciumPercent: number | null;
  readonly phosphorusPercent: number | null;
  readonly magnesiumPercent: number | null;
  readonly potassiumPercent: number | null;
  readonly sulfurPercent: number | null;
  readonly sodiumPercent: number | null;
  readonly sodiumNeedGPerDay: number | null;
  readonly waterLPerDay: number | null;
  /** `null`: the water was not tested, so only the feed's sulfur counts. */
  readonly waterSulfateMgPerL: number | null;
  readonly restsOnBookValue: boolean;
  readonly sulfurMaximum?: GuideChoices['sulfurMaximum'];
  /** Of the lots that tell all that goes into the ratio; from the percentages above if left out. */
  readonly calciumToPhosphorus?: CalciumToPhosphorus;
  readonly tetanyRatio?: number | null;
  /** Dry matter that the sulfur is held against, where a part that nobody tested thins it out no further. */
  readonly sulfurHeldAgainstKg?: number;
  /** True where a lot does not tell its sulfur. */
  readonly sulfurIsAtLeast?: boolean;
  /** Of each mineral what there is at least, by labels at most, % of dry matter; not judged if left out. */
  readonly mostPercent?: Readonly<Record<Mineral, number | null>>;
  readonly milking?: boolean;
  /** Salt and minerals as a share of the dry matter, 0 to 1. */
  readonly mineralFeedShare?: number;
  /** Of salt that is nothing else, kg as fed a head a day. */
  readonly plainSaltKg?: number;
  /** What to say of the lots that do not tell a mineral that is held to a least share; nothing if left out. */
  readonly wordsOfUnknown?: (mineral: 'magnesium' | 'sodium', leastPercent: number) => string;
  /** What the whole ration holds of a mineral at least, where a lot does not tell it; nothing if left out. */
  readonly wordsOfAtLeast?: (mineral: Mineral, told: (percent: number) => string) => string;
  /** What to say of lots whose tests contradict each other in any of these; nothing if left out. */
  readonly wordsOfTestsThatDiffer?: (...minerals: readonly Mineral[]) => string;
}

/** Tetany ratio, magnesium, calcium to phosphorus, sulfur of feed and water, sodium. */
export function mineralCautions(ration: MineralsOfTheRation): RaisedCaution[] {
  return [
    ...tetanyCautions(ration),
    ...magnesiumCautions(ration),
    ...calciumToPhosphorusCautions(ration),
    ...sulfurCautions(ration),
    ...sodiumCautions(ration),
    ...excessCautions(ration),
    ...saltCautions(ration),
    ...mineralFeedCautions(ration),
  ];
}

/** Minerals beyond what cattle tolerate; sulfur and salt have limits of their own. */
function excessCautions({
  mostPercent,
  restsOnBookValue,
  wordsOfAtLeast,
  wordsOfTestsThatDiffer,
}: MineralsOfTheRation): RaisedCaution[] {
  if (mostPercent === undefined) return [];
  const limits = CAUTIONS['mineral-above-maximum'].thresholds;
  const steps = [
    { mineral: 'magnesium', watch: limits.magnesiumWatch, danger: limits.magnesium },
    { mineral: 'potassium', watch: limits.potassium, danger: null },
    { mineral: 'phosphorus', watch: limits.phosphorus, danger: null },
  ] as const;
  return steps.flatMap(({ mineral, watch, danger }) => {
    const given = mostPercent[mineral];
    const isDanger = danger !== null && given !== null && given > danger.value;
    const threshold = isDanger ? danger : watch;
    return raiseIfPassed({
      code: 'mineral-above-maximum',
      severity: isDanger ? 'danger' : 'watch',
      given,
      restsOnBookValue,
      threshold,
      message:
        `${NUTRIENTS[mineral].name} is ${plain(given ?? 0, 2)} % of the dry matter; cattle tolerate ` +
        `${threshold.value} %.` +
        (wordsOfAtLeast?.(mineral, (percent) => `${plainAtLeast(percent, 2)} %`) ?? '') +
        (wordsOfTestsThatDiffer?.(mineral) ?? ''),
    });
  });
}

/** Sodium in sodium chloride by mass, IUPAC atomic masses of Na and Cl. */
export const SODIUM_IN_SALT = 22.9898 / (22.9898 + 35.453);

/** All sodium taken as salt: how a ration of salt by the pound looks. */
function saltCautions({
  mostPercent,
  milking = false,
  restsOnBookValue,
  wordsOfAtLeast,
}: MineralsOfTheRation): RaisedCaution[] {
  const sodium = mostPercent?.sodium ?? null;
  const given = sodium === null ? null : sodium / SODIUM_IN_SALT;
  const { milkingPercent, percent } = CAUTIONS['salt-above-maximum'].thresholds;
  const threshold = milking ? milkingPercent : percent;
  return raiseIfPassed({
    code: 'salt-above-maximum',
    severity: 'danger',
    given,
    restsOnBookValue,
    threshold,
    message:
      `Salt comes to ${plain(given ?? 0, 1)} % of the dry matter; cattle tolerate ${threshold.value} %.` +
      (wordsOfAtLeast?.('sodium', (percent) => `${plainAtLeast(percent / SODIUM_IN_SALT, 1)} % salt`) ?? ''),
  });
}

/** By their share of what is eaten; salt that is no such share, by how much of it cattle eat. */
function mineralFeedCautions({ mineralFeedShare = 0, plainSaltKg = 0 }: MineralsOfTheRation): RaisedCaution[] {
  const { watch, danger, saltKg } = CAUTIONS['mineral-by-the-pound'].thresholds;
  const isDanger = mineralFeedShare > danger.value;
  const ofShare = raiseIfPassed({
    code: 'mineral-by-the-pound',
    severity: isDanger ? 'danger' : 'watch',
    given: mineralFeedShare,
    threshold: isDanger ? danger : watch,
    message: `Salt and minerals make ${plain(mineralFeedShare * 100, 1)} % of the dry matter.`,
  });
  if (ofShare.length > 0) return ofShare;
  const inWords = (kilograms: number) => quantity(kilograms * 1000, BY_THE, { metric: 0, us: 1 });
  return raiseIfPassed({
    code: 'mineral-by-the-pound',
    severity: 'notice',
    given: plainSaltKg,
    threshold: saltKg,
    message: sentence`Salt comes to ${inWords(plainSaltKg)} a head a day; cattle eat ${inWords(saltKg.value)} at most.`,
  });
}

function tetanyCautions({
  calciumPercent,
  magnesiumPercent,
  potassiumPercent,
  stage,
  restsOnBookValue,
  tetanyRatio: ofKnown,
  wordsOfTestsThatDiffer,
}: MineralsOfTheRation): RaisedCaution[] {
  const ofAll =
    calciumPercent === null || magnesiumPercent === null || potassiumPercent === null
      ? null
      : tetanyRatio({ potassiumPercent, calciumPercent, magnesiumPercent }).ratio;
  const ratio = ofKnown === undefined ? ofAll : ofKnown;
  return raiseIfPassed({
    code: 'grass-tetany-ratio',
    severity: stage === 'growing' ? 'notice' : 'watch',
    given: ratio,
    restsOnBookValue,
    threshold: CAUTIONS['grass-tetany-ratio'].thresholds.ratio,
    message:
      `K/(Ca+Mg) of the ration is ${plain(ratio ?? 0)} in equivalents.` +
      (wordsOfTestsThatDiffer?.('potassium', 'calcium', 'magnesium') ?? ''),
  });
}

function magnesiumCautions({
  magnesiumPercent,
  stage,
  restsOnBookValue,
  wordsOfUnknown,
  wordsOfTestsThatDiffer,
}: MineralsOfTheRation): RaisedCaution[] {
  const { earlyMilk, growing, pregnant } = CAUTIONS['magnesium-low'].thresholds;
  const limit = stage === 'early-milk' ? earlyMilk : stage === 'growing' ? growing : pregnant;
  return raiseIfPassed({
    code: 'magnesium-low',
    severity: 'watch',
    given: magnesiumPercent,
    restsOnBookValue,
    threshold: limit,
    message:
      `Magnesium is ${plain(magnesiumPercent ?? 0, 3)} % of the dry matter; ${limit.value} % is called for.` +
      (wordsOfUnknown?.('magnesium', limit.value) ?? '') +
      (wordsOfTestsThatDiffer?.('magnesium') ?? ''),
  });
}

function calciumToPhosphorusCautions({
  calciumPercent,
  phosphorusPercent,
  restsOnBookValue,
  calciumToPhosphorus: ofKnown,
  wordsOfTestsThatDiffer,
}: MineralsOfTheRation): RaisedCaution[] {
  const ofAll =
    calciumPercent === null || phosphorusPercent === null || phosphorusPercent === 0
      ? null
      : calciumPercent / phosphorusPercent;
  const { least, most } = ofKnown ?? { least: ofAll, most: ofAll };
  const { low, high } = CAUTIONS['calcium-phosphorus-ratio'].thresholds;
  const differ = wordsOfTestsThatDiffer?.('calcium', 'phosphorus') ?? '';
  const common = { code: 'calcium-phosphorus-ratio', restsOnBookValue } as const;
  return [
    ...raiseIfPassed({
      ...common,
      given: least,
      severity: 'watch',
      threshold: low,
      message: `Ca:P is ${plainBeyond(least ?? 0, 2, low.value)}:1, below 1:1.${differ}`,
    }),
    ...raiseIfPassed({
      ...common,
      given: most,
      severity: 'notice',
      threshold: high,
      message: `Ca:P is ${plainBeyond(most ?? 0, 2, high.value)}:1, above 7:1.${differ}`,
    }),
  ];
}

function sodiumCautions({
  sodiumPercent,
  sodiumNeedGPerDay,
  dryMatterKgPerDay,
  restsOnBookValue,
  wordsOfUnknown,
}: MineralsOfTheRation): RaisedCaution[] {
  const grams = sodiumPercent === null ? null : sodiumPercent * 10 * dryMatterKgPerDay;
  const shareOfNeed =
    grams === null || sodiumNeedGPerDay === null || sodiumNeedGPerDay === 0 ? null : grams / sodiumNeedGPerDay;
  return raiseIfPassed({
    code: 'sodium-low',
    severity: 'notice',
    given: shareOfNeed,
    restsOnBookValue,
    threshold: CAUTIONS['sodium-low'].thresholds.shareOfNeed,
    message:
      `The feed gives ${plain(grams ?? 0, 1)} g sodium a day of ${plain(sodiumNeedGPerDay ?? 0, 1)} g ` +
      'needed; salt kept in front of them counts only as part of the ration.' +
      (sodiumNeedGPerDay === null || dryMatterKgPerDay <= 0
        ? ''
        : (wordsOfUnknown?.('sodium', sodiumNeedGPerDay / (dryMatterKgPerDay * 10)) ?? '')),
  });
}

function sulfurCautions(ration: MineralsOfTheRation): RaisedCaution[] {
  const total = totalSulfur({
    ...ration,
    dryMatterKgPerDay: ration.sulfurHeldAgainstKg ?? ration.dryMatterKgPerDay,
  });
  if (total === null) return [];
  const { gramsPerDay, percentOfDryMatter, fromWaterG } = total;
  const { restsOnBookValue, sulfurIsAtLeast = false } = ration;
  const known =
    fromWaterG === null
      ? 'water not tested, feed only'
      : ration.sulfurPercent === null
        ? 'water only, feed not tested: at least'
        : `${plain(fromWaterG, 1)} g of it from water`;
  const parts =
    sulfurIsAtLeast && ration.sulfurPercent !== null ? `${known}; at least, not every feed is tested` : known;
  const { dryMatterKgPerDay, sulfurHeldAgainstKg = dryMatterKgPerDay } = ration;
  const atLeast = plainAtLeast(gramsPerDay / (dryMatterKgPerDay * 10), 3);
  const ofPart = sulfurHeldAgainstKg < dryMatterKgPerDay;
  const rest =
    sulfurIsAtLeast && ofPart
      ? ` That is of ${plain((sulfurHeldAgainstKg / dryMatterKgPerDay) * 100, 1)} % of the dry matter, so that what ` +
        `nobody tested thins nothing out; the whole ration holds at least ${atLeast} %.`
      : '';
  const differ = `${rest}${ration.wordsOfTestsThatDiffer?.('sulfur') ?? ''}`;
  const maximum = sulfurMaximum({
    forageShare: ration.forageShare,
    ...(ration.sulfurMaximum === undefined ? {} : { choice: ration.sulfurMaximum }),
  });
  const over = raiseIfPassed({
    code: 'sulfur-total',
    severity: 'danger',
    given: percentOfDryMatter,
    restsOnBookValue,
    threshold: maximum,
    message:
      `Sulfur is ${plain(percentOfDryMatter, 3)} % of the dry matter (${plain(gramsPerDay, 1)} g a day, ` +
      `${parts}).${differ}`,
  });
  return [
    ...over,
    ...raiseIfPassed({
      code: 'sulfur-antagonism',
      severity: 'notice',
      given: percentOfDryMatter,
      restsOnBookValue,
      threshold: CAUTIONS['sulfur-antagonism'].thresholds.percent,
      message:
        `Sulfur is ${plain(percentOfDryMatter, 3)} % of the dry matter (${parts}): copper and selenium are tied ` +
        `up.${differ}`,
    }),
    ...(ration.matureCow
      ? raiseIfPassed({
          code: 'sulfur-mature-cow',
          severity: 'watch',
          given: gramsPerDay,
          restsOnBookValue,
          threshold: mostOfCow,
          message: `A cow takes in ${plainBeyond(gramsPerDay, 1, mostOfCow.value)} g sulfur a day (${parts}).${differ}`,
        })
      : []),
  ];
}

/**
 * Sulfur of feed and water together, as a share of feed dry matter. Where the feed's sulfur is not known, the water's
 * alone: there is at least that much. `null` if neither is known or nothing is eaten.
 */
export function totalSulfur(
  ration: Pick<MineralsOfTheRation, 'sulfurPercent' | 'dryMatterKgPerDay' | 'waterLPerDay' | 'waterSulfateMgPerL'>,
): {
  readonly gramsPerDay: number;
  readonly percentOfDryMatter: number;
  readonly fromFeedG: number;
  readonly fromWaterG: number | null;
} | null {
  if (ration.dryMatterKgPerDay <= 0) return null;
  const fromWaterG =
    ration.waterLPerDay === null || ration.waterSulfateMgPerL === null
      ? null
      : sulfurFromWater({ waterLPerDay: ration.waterLPerDay, sulfateMgPerL: ration.waterSulfateMgPerL }).sulfurGPerDay;
  if (ration.sulfurPercent === null && fromWaterG === null) return null;
  const fromFeedG = (ration.sulfurPercent ?? 0) * 10 * ration.dryMatterKgPerDay;
  const gramsPerDay = fromFeedG + (fromWaterG ?? 0);
  return { gramsPerDay, fromFeedG, fromWaterG, percentOfDryMatter: gramsPerDay / (ration.dryMatterKgPerDay * 10) };
}
