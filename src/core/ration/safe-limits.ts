import { plain, type RaisedCaution } from '../cautions/caution.js';
import { quantity, sentence, type Words } from '../units/wording.js';
import { CAUTIONS } from '../cautions/cautions.data.js';
import { DEFAULT_GUIDES, type GuideChoices } from '../cautions/guides.data.js';
import { HIGH_FORAGE_SHARE, sulfurMaximum } from '../cautions/minerals.js';
import { mostNitrateUnheeded, nitrateShareAllowed } from '../cautions/nitrate.js';
import { anyInMilk } from '../judge/in-milk.js';
import { wordsOfAnotherUnit } from '../forage/nitrate-unit.data.js';
import { pregnancyOf } from '../judge/pregnancy.js';
import { mostOf, nitrateOfAnotherUnit, valueOf } from '../judge/ration-supply.js';
import { FIBER_CAPACITY_PERCENT_OF_WEIGHT } from '../requirements/intake-factors.data.js';
import { type AnimalDescription, MATURE_COWS } from '../requirements/requirement-set.js';
import type { CautionLimits } from './caution-rows.js';
import type { RationLot } from './ration.js';
import type { Candidate } from './ration-row.js';
import type { JudgedLimit, RationLimits } from './ration-rows.js';
import { INSIDE, SAFE_LIMITS } from './safe-limits.data.js';

/** What the asker may loosen or tighten; what is left out follows the judge's cautions. */
export interface SafetyAsked {
  /** Lots of kinds that can gather nitrate and have no nitrate test are considered too. */
  readonly allowUntested?: boolean;
  /** `told`: no hay is kept out or held to a share for its nitrate; the answer's cautions report it. */
  readonly nitrate?: 'by-guide' | 'told';
  /** `told`: no hay is kept out for a danger seen or measured in it; the answer's cautions report it. */
  readonly lotDangers?: 'by-caution' | 'told';
  readonly maxNitrateNitrogenPpm?: number;
  readonly maxSulfurPercent?: number;
  readonly maxLegumeShare?: number;
  readonly minCalciumToPhosphorus?: number;
  /** % of full body weight a day. */
  readonly maxFiberPercentOfWeight?: number;
  /** Degradable protein at least, as a share of what the microbes need; 1 if not given, 0 asks for none. */
  readonly minDegradableShare?: number;
  /** Dry matter at least, as a share of the intake predicted for the mixture; not asked if absent. */
  readonly intakeFloorShare?: number;
}

/** For whom, with what loosened, by which guides. */
export interface Safety {
  readonly animal: AnimalDescription;
  /** True if some of the herd are pregnant, though the mean animal is not. */
  readonly anyPregnant?: boolean | undefined;
  /** True if some of the herd are in milk on any of the days. */
  readonly anyMilking?: boolean | undefined;
  readonly asked: SafetyAsked;
  readonly guides?: GuideChoices | undefined;
  /** The cautions that a lot carries wherever it is fed, as the judge gives them; none if left out. */
  readonly ownCautions?: ((lot: RationLot) => readonly RaisedCaution[]) | undefined;
}

const forPregnant = ({ animal, anyPregnant = false }: Pick<Safety, 'animal' | 'anyPregnant'>): boolean =>
  anyPregnant || pregnancyOf([animal]) !== 'no';

/** Whom the guide is asked for, in words: a herd of open animals may be bred within the days asked about. */
function animalsOf({ animal, anyPregnant = false }: Safety): string {
  const pregnancy = pregnancyOf([animal]);
  if (pregnancy === 'yes') return 'pregnant animals';
  if (pregnancy === 'may-be') return 'animals that may be pregnant (no stage on record)';
  return anyPregnant
    ? 'a herd in which some are or may be pregnant within these days'
    : 'animals that are not pregnant';
}

/** Why a lot may not be fed to these animals, in words. */
export interface KeptOut {
  readonly because: 'danger-caution' | 'nitrate-not-tested' | 'nitrate-above-guide' | 'urea-for-calves';
  readonly missing: readonly string[];
  readonly words: Words;
}

const NITRATE = 'nitrateNitrogenPpm';

/** Why a lot is left out before anything is solved; `null` where it may be fed. */
export function keptOut(lot: RationLot, safety: Safety): KeptOut | null {
  const { animal, asked, guides = DEFAULT_GUIDES } = safety;
  const calfWeight = CAUTIONS['urea-share'].thresholds.calfWeightKg.value;
  const limit = quantity(calfWeight, 'kg', 0);
  if ((lot.nonProteinNitrogenPercent ?? 0) > 0 && animal.fullBodyWeightKg < calfWeight)
    return {
      because: 'urea-for-calves',
      missing: [],
      words: sentence`${lot.lotName} contains urea or similar, which calves under ${limit} must not have.`,
    };
  const inDanger = underDanger(lot, safety);
  if (inDanger !== null) return inDanger;
  const nitrate = valueOf({ lot, field: NITRATE });
  const untested = nitrate.value === null || nitrate.restsOnBookValue;
  if (lot.canGatherNitrate && untested && asked.allowUntested !== true) {
    const ofAnotherUnit = nitrateOfAnotherUnit(lot);
    const why = ofAnotherUnit === null ? 'nobody has tested it for nitrate' : wordsOfAnotherUnit(ofAnotherUnit);
    return {
      because: 'nitrate-not-tested',
      missing: [NITRATE],
      words: `${lot.lotName} is of a kind that can accumulate nitrate, and ${why}.`,
    };
  }
  if (nitrate.value === null || asked.nitrate === 'told') return null;
  const pregnant = forPregnant(safety);
  const most = mostOf({ lot, field: NITRATE }) ?? nitrate.value;
  const share = nitrateShareAllowed({ guide: guides.nitrate, pregnant, nitrateNitrogenPpmDm: most });
  if (share !== null && share > 0) return null;
  return {
    because: 'nitrate-above-guide',
    missing: [],
    words:
      `${lot.lotName} holds ${plain(most, 0)} ppm NO3-N, which the nitrate guide does not allow for ` +
      `${animalsOf(safety)}.`,
  };
}

/** A lot that is moldy, hot or spoiled is not laid because it is cheap. */
function underDanger(lot: RationLot, { asked, ownCautions }: Safety): KeptOut | null {
  if (asked.lotDangers === 'told') return null;
  const dangers = (ownCautions?.(lot) ?? []).filter(({ severity }) => severity === 'danger');
  if (dangers.length === 0) return null;
  const said = dangers.reduce<Words>((words, { message }) => sentence`${words} ${message}`, '');
  return { because: 'danger-caution', missing: [], words: sentence`${lot.lotName} is under a danger caution.${said}` };
}

/**
 * Ways to keep what can be kept in two ways: enough protein or straw not most of the ration, mostly forage or the lower
 * sulfur maximum, cattle filled by dry matter or by fiber. Every way is tried, and the cheapest answer taken.
 */
export interface SafeWay {
  readonly limits: Pick<
    RationLimits,
    | 'maxNitrateNitrogenPpm'
    | 'maxSulfurPercent'
    | 'maxSulfurGPerDay'
    | 'maxSaltPercent'
    | 'tolerable'
    | 'maxLegumeShare'
    | 'minCalciumToPhosphorus'
    | 'maxFiberPercentOfWeight'
    | 'minDegradableShare'
    | 'cautions'
    | 'asTheJudge'
  >;
  /** Whether the protein of the mixture may be so low that cattle eat less of it. */
  readonly lowProtein: boolean;
  /** What fills them, where they are to be filled: as much as the energy lets them eat, or the fiber they can hold. */
  readonly filledBy: 'energy' | 'fiber' | null;
}

/** The judge's cautions as limits of a mixture of these lots for these animals. */
export function safeWays(candidates: readonly Candidate[], safety: Safety): SafeWay[] {
  const { asked, guides = DEFAULT_GUIDES } = safety;
  const pregnant = forPregnant(safety);
  const inside = (edge: number) => edge * (1 - INSIDE);
  const byGuide = asked.nitrate !== 'told';
  const nitrate =
    asked.maxNitrateNitrogenPpm ??
    (byGuide ? inside(mostNitrateUnheeded({ guide: guides.nitrate, pregnant })) : undefined);
  const { minDegradableShare = 1, minCalciumToPhosphorus, maxFiberPercentOfWeight } = asked;
  const common = {
    ...(nitrate === undefined ? {} : { maxNitrateNitrogenPpm: nitrate }),
    maxLegumeShare: asked.maxLegumeShare ?? inside(CAUTIONS['legume-bloat'].thresholds.legumeShare.value),
    minCalciumToPhosphorus:
      minCalciumToPhosphorus ?? CAUTIONS['calcium-phosphorus-ratio'].thresholds.low.value * (1 + INSIDE),
    maxFiberPercentOfWeight: maxFiberPercentOfWeight ?? inside(FIBER_CAPACITY_PERCENT_OF_WEIGHT),
    ...(minDegradableShare > 0 ? { minDegradableShare: minDegradableShare * (1 + INSIDE) } : {}),
    ...gramsOfSulfur(safety),
    maxSaltPercent: inside(mostSalt(safety)),
    tolerable: true,
    asTheJudge: judgedLimits(asked, safety),
  };
  const always = alwaysKept(candidates, safety);
  return proteinWays(candidates, minDegradableShare < 1).flatMap(({ lowProtein, ...protein }) =>
    sulfurWays(candidates, asked, guides).flatMap(({ maxSulfurPercent, forageShare }) =>
      fillWays(asked).map((filledBy) => ({
        limits: { ...common, maxSulfurPercent, cautions: { ...always, ...protein, forageShare } },
        lowProtein,
        filledBy,
      })),
    ),
  );
}

/** Predicted intake is the less of two, what the energy and what the fiber of the mixture allow. */
function fillWays({ intakeFloorShare = 0, maxFiberPercentOfWeight: fiber }: SafetyAsked): SafeWay['filledBy'][] {
  if (intakeFloorShare <= 0 || (fiber !== undefined && fiber < FIBER_CAPACITY_PERCENT_OF_WEIGHT)) return [null];
  return ['energy', 'fiber'];
}

/** Mature cows are held to grams a day, unless the asker lets them have more of it than the judge does. */
function gramsOfSulfur({ animal, asked, guides = DEFAULT_GUIDES }: Safety): Pick<RationLimits, 'maxSulfurGPerDay'> {
  const most = sulfurMaximum({ forageShare: 1, choice: guides.sulfurMaximum }).value;
  if (!MATURE_COWS.includes(animal.class) || (asked.maxSulfurPercent ?? 0) > most) return {};
  return { maxSulfurGPerDay: CAUTIONS['sulfur-mature-cow'].thresholds.gramsPerDay.value * (1 - INSIDE) };
}

/** Cattle in milk tolerate less. */
function mostSalt({ animal, anyMilking = false }: Safety): number {
  const { milkingPercent, percent } = CAUTIONS['salt-above-maximum'].thresholds;
  return anyMilking || anyInMilk([animal]) ? milkingPercent.value : percent.value;
}

/** Limits that are not asked for, or no stricter than the judge's own: to loosen one leaves no lot out. */
function judgedLimits(asked: SafetyAsked, { guides = DEFAULT_GUIDES, ...safety }: Safety): JudgedLimit[] {
  const pregnant = forPregnant(safety);
  const limits: readonly (readonly [JudgedLimit, number | undefined, number])[] = [
    ['nitrate', asked.maxNitrateNitrogenPpm, mostNitrateUnheeded({ guide: guides.nitrate, pregnant })],
    ['sulfur', asked.maxSulfurPercent, sulfurMaximum({ forageShare: 1, choice: guides.sulfurMaximum }).value],
    ['legume', asked.maxLegumeShare, CAUTIONS['legume-bloat'].thresholds.legumeShare.value],
    ['fiber', asked.maxFiberPercentOfWeight, FIBER_CAPACITY_PERCENT_OF_WEIGHT],
  ];
  const ratio = asked.minCalciumToPhosphorus ?? 0;
  return [
    ...limits.flatMap(([limit, value = Infinity, judged]) => (value >= judged ? [limit] : [])),
    ...(ratio <= CAUTIONS['calcium-phosphorus-ratio'].thresholds.low.value ? (['calcium-to-phosphorus'] as const) : []),
  ];
}

type Always = Omit<CautionLimits, 'strawShare' | 'crudeProteinPercent' | 'forageShare'>;

function alwaysKept(candidates: readonly Candidate[], safety: Safety): Always {
  const { animal, asked, guides = DEFAULT_GUIDES } = safety;
  const grain = candidates.some(({ lot }) => lot.isStarchyGrain);
  const acidosis = CAUTIONS.acidosis.thresholds;
  const urea = candidates.some(({ lot }) => (lot.nonProteinNitrogenPercent ?? 0) > 0);
  const ofUrea = CAUTIONS['urea-amount'].thresholds;
  const shares = candidates.flatMap(({ lot }): (readonly [string, number])[] => {
    const value = mostOf({ lot, field: NITRATE });
    if (value === null || asked.nitrate === 'told') return [];
    const share = nitrateShareAllowed({
      guide: guides.nitrate,
      pregnant: forPregnant(safety),
      nitrateNitrogenPpmDm: value,
    });
    return share === null || share >= 1 ? [] : [[lot.lotId, share * (1 - INSIDE)]];
  });
  return {
    nitrateShares: new Map(shares),
    grainKg: grain ? (animal.fullBodyWeightKg * acidosis.grainPercentOfWeight.value * (1 - INSIDE)) / 100 : null,
    longStemFiberPercent: grain ? acidosis.effectiveFiberPercent.value * (1 + INSIDE) : null,
    nonProteinNitrogenShare: urea ? CAUTIONS['urea-share'].thresholds.shareOfCrudeProtein.value * (1 - INSIDE) : null,
    ureaPercent: urea ? ofUrea.percentOfDryMatter.value * (1 - INSIDE) : null,
    ureaKg: urea ? ((animal.fullBodyWeightKg * ofUrea.gramsPerKgOfWeight.value) / 1000) * (1 - INSIDE) : null,
    mineralFeedShare: candidates.some(({ lot }) => lot.feedGroup === 'mineral')
      ? CAUTIONS['mineral-by-the-pound'].thresholds.watch.value * (1 - INSIDE)
      : null,
    fatPercent: SAFE_LIMITS.fatPercent.value,
  };
}

type ProteinWay = Pick<CautionLimits, 'strawShare' | 'crudeProteinPercent'> & { readonly lowProtein: boolean };

function proteinWays(candidates: readonly Candidate[], mayBeLow: boolean): ProteinWay[] {
  const straw = CAUTIONS['straw-impaction'].thresholds;
  const least = CAUTIONS['low-protein-forage'].thresholds.crudeProteinPercent.value * (1 + INSIDE);
  const hasStraw = candidates.some(({ lot }) => lot.isStraw);
  const strawShare = hasStraw ? straw.strawShare.value * (1 - INSIDE) : null;
  return [
    { crudeProteinPercent: least, strawShare, lowProtein: false },
    ...(hasStraw
      ? [{ crudeProteinPercent: straw.crudeProteinPercent.value * (1 + INSIDE), strawShare: null, lowProtein: false }]
      : []),
    ...(mayBeLow ? [{ crudeProteinPercent: null, strawShare, lowProtein: true }] : []),
  ];
}

function sulfurWays(
  candidates: readonly Candidate[],
  { maxSulfurPercent }: SafetyAsked,
  { sulfurMaximum: choice }: GuideChoices,
): { readonly maxSulfurPercent: number; readonly forageShare: number | null }[] {
  if (maxSulfurPercent !== undefined) return [{ maxSulfurPercent, forageShare: null }];
  const maximum = (forageShare: number) => sulfurMaximum({ forageShare, choice }).value * (1 - INSIDE);
  if (candidates.every(({ lot }) => lot.isForage)) return [{ maxSulfurPercent: maximum(1), forageShare: null }];
  return [
    { maxSulfurPercent: maximum(1), forageShare: HIGH_FORAGE_SHARE * (1 + INSIDE) },
    { maxSulfurPercent: maximum(0), forageShare: null },
  ];
}
