import { PROTEIN_EQUIVALENT_OF_UREA } from '../nutrients/nutrients.data.js';
import { OUNCES_IN_100_POUNDS, quantity, sentence } from '../units/wording.js';
import { CAUTIONS } from './cautions.data.js';
import { plain, plainAtLeast, plainBeyond, raiseCaution, raiseIfPassed, type RaisedCaution } from './caution.js';

/** Bloat: legume share of the dry matter, worse when the hay is fed wet. */
export function legumeBloatCautions({
  legumeShareOfDryMatter,
  fedWet,
  wordsOfAtLeast = () => '',
}: {
  readonly legumeShareOfDryMatter: number;
  readonly fedWet: boolean;
  /** What the whole ration is at least, where a forage does not tell its share. */
  readonly wordsOfAtLeast?: (told: (share: number) => string) => string;
}): RaisedCaution[] {
  return raiseIfPassed({
    code: 'legume-bloat',
    severity: fedWet ? 'watch' : 'notice',
    given: legumeShareOfDryMatter,
    threshold: CAUTIONS['legume-bloat'].thresholds.legumeShare,
    message:
      `Legume is ${plain(legumeShareOfDryMatter * 100, 0)} % of the ration${fedWet ? ', fed wet' : ''}.` +
      wordsOfAtLeast((share) => `${plainAtLeast(share * 100, 0)} % legume`),
  });
}

/**
 * Acidosis: starchy grain as a share of body weight, and whether long-stem fiber is left in the ration. Grain over
 * the limit alone is to be watched; grain along with too little long fiber is a danger.
 */
export function acidosisCautions({
  starchyGrainKgPerDay,
  bodyWeightKg,
  longStemFiberPercent,
  addedAtOnceKgPerDay = null,
}: {
  readonly starchyGrainKgPerDay: number;
  /** Grain above what they were fed before; `null` where that is not known. */
  readonly addedAtOnceKgPerDay?: number | null;
  readonly bodyWeightKg: number;
  /** NDF from long-stem forage, % of ration dry matter; `null` if not known. */
  readonly longStemFiberPercent: number | null;
}): RaisedCaution[] {
  if (bodyWeightKg <= 0) throw new RangeError(`Not a body weight: ${bodyWeightKg}`);
  const limits = CAUTIONS.acidosis.thresholds;
  const grainPercent = (starchyGrainKgPerDay / bodyWeightKg) * 100;
  const fiberShort =
    longStemFiberPercent !== null && starchyGrainKgPerDay > 0
      ? raiseIfPassed({
          code: 'acidosis',
          severity: grainPercent > limits.grainPercentOfWeight.value ? 'danger' : 'watch',
          given: longStemFiberPercent,
          threshold: limits.effectiveFiberPercent,
          message: sentence`With ${quantity(starchyGrainKgPerDay, 'kg', 1)} of grain, long-stem fiber is ${plain(
            longStemFiberPercent,
            1,
          )} % of the dry matter.`,
        })
      : [];
  const addedPercent = ((addedAtOnceKgPerDay ?? 0) / bodyWeightKg) * 100;
  const atOnce = addedPercent > limits.grainPercentOfWeight.value;
  return [
    ...raiseIfPassed({
      code: 'acidosis',
      severity: atOnce ? 'danger' : 'watch',
      given: grainPercent,
      threshold: limits.grainPercentOfWeight,
      message:
        `Starchy grain is ${plainBeyond(grainPercent, 2, limits.grainPercentOfWeight.value)} % of body weight a day` +
        (atOnce ? `, ${plain(addedPercent, 2)} % more than they were fed before, all at once.` : '.'),
    }),
    ...fiberShort,
  ];
}

/** A lot and its share of the dry matter on one day. */
export interface LotShare {
  readonly lotId: string;
  readonly shareOfDryMatter: number;
}

/** How much of the ration's dry matter differs from the ration before: half the sum of the absolute changes, 0 to 1. */
export function changedShare({
  before,
  now,
}: {
  readonly before: readonly LotShare[];
  readonly now: readonly LotShare[];
}): { readonly changedShare: number } {
  const shares = new Map<string, number>();
  for (const { lotId, shareOfDryMatter } of now) shares.set(lotId, (shares.get(lotId) ?? 0) + shareOfDryMatter);
  for (const { lotId, shareOfDryMatter } of before) shares.set(lotId, (shares.get(lotId) ?? 0) - shareOfDryMatter);
  let changed = 0;
  for (const difference of shares.values()) changed += Math.abs(difference);
  return { changedShare: changed / 2 };
}

/**
 * Caution if more than a step of the ration changed since the last feeding. Nothing is raised where nothing was fed
 * before.
 */
export function abruptChangeCautions({
  before,
  now,
}: {
  readonly before: readonly LotShare[];
  readonly now: readonly LotShare[];
}): RaisedCaution[] {
  if (before.length === 0 || now.length === 0) return [];
  const { changedShare: changed } = changedShare({ before, now });
  return raiseIfPassed({
    code: 'abrupt-change',
    severity: changed > 0.5 ? 'watch' : 'notice',
    given: changed,
    threshold: CAUTIONS['abrupt-change'].thresholds.changedShare,
    message: `${plain(changed * 100, 0)} % of the ration differs from the one before.`,
  });
}

/** Urea and other non-protein nitrogen against the protein of the ration, the hay that carries it, and light calves. */
export function ureaCautions({
  proteinEquivalentFromNonProteinNitrogenG,
  crudeProteinG,
  dryMatterKg,
  hayCrudeProteinPercent,
  bodyWeightKg,
}: {
  /** Crude protein equivalent that comes from urea, biuret or ammonia, g/d. */
  readonly proteinEquivalentFromNonProteinNitrogenG: number;
  readonly crudeProteinG: number | null;
  /** Of the ration, kg/d. */
  readonly dryMatterKg: number;
  readonly hayCrudeProteinPercent: number | null;
  readonly bodyWeightKg: number;
}): RaisedCaution[] {
  if (proteinEquivalentFromNonProteinNitrogenG <= 0) return [];
  const limits = CAUTIONS['urea-share'].thresholds;
  const share =
    crudeProteinG === null || crudeProteinG <= 0 ? null : proteinEquivalentFromNonProteinNitrogenG / crudeProteinG;
  return [
    ...raiseIfPassed({
      code: 'urea-share',
      severity: 'danger',
      given: share,
      threshold: limits.shareOfCrudeProtein,
      message: `${plain((share ?? 0) * 100, 0)} % of the crude protein is urea or other non-protein nitrogen.`,
    }),
    ...raiseIfPassed({
      code: 'urea-share',
      severity: 'watch',
      given: hayCrudeProteinPercent,
      threshold: limits.lowQualityHayCrudeProteinPercent,
      message:
        `Urea is fed with hay of ${plain(hayCrudeProteinPercent ?? 0, 1)} % crude protein: little ready energy to ` +
        'use it.',
    }),
    ...raiseIfPassed({
      code: 'urea-share',
      severity: 'danger',
      given: bodyWeightKg,
      threshold: limits.calfWeightKg,
      message: sentence`Urea is fed to calves of ${quantity(bodyWeightKg, 'kg', 0)}.`,
    }),
    ...ureaByAmount(proteinEquivalentFromNonProteinNitrogenG / PROTEIN_EQUIVALENT_OF_UREA, dryMatterKg, bodyWeightKg),
  ];
}

/** Urea, or as much of what acts like it, held against the dry matter and against the weight of the animal. */
function ureaByAmount(ureaG: number, dryMatterKg: number, bodyWeightKg: number): RaisedCaution[] {
  const { percentOfDryMatter, gramsPerKgOfWeight } = CAUTIONS['urea-amount'].thresholds;
  const percent = dryMatterKg > 0 ? ureaG / (dryMatterKg * 10) : null;
  const perKg = ureaG / bodyWeightKg;
  const urea = quantity(ureaG, { metric: 'g', us: 'oz' }, { metric: 0, us: 1 });
  const amount = sentence`A head gets ${urea} of urea or what amounts to it a day`;
  const dose = {
    metric: `${plain(perKg, 2)} g for each kg`,
    us: `${plain(perKg * OUNCES_IN_100_POUNDS, 2)} oz for each 100 lb`,
  };
  return [
    ...raiseIfPassed({
      code: 'urea-amount',
      severity: 'watch',
      given: percent,
      threshold: percentOfDryMatter,
      message: sentence`${amount}: ${plain(percent ?? 0, 1)} % of the dry matter.`,
    }),
    ...raiseIfPassed({
      code: 'urea-amount',
      severity: 'danger',
      given: perKg,
      threshold: gramsPerKgOfWeight,
      message: sentence`${amount}: ${dose} of body weight, which can poison cattle not used to it.`,
    }),
  ];
}

/** Straw as most of the ration with too little protein; and hay rations below the protein that the rumen needs. */
export function proteinForRumenCautions({
  strawShareOfDryMatter,
  crudeProteinPercent,
  restsOnBookValue,
  wordsOfUnknown = () => '',
}: {
  readonly strawShareOfDryMatter: number;
  readonly crudeProteinPercent: number | null;
  readonly restsOnBookValue: boolean;
  /** What to say of the lots whose protein is not known, where at least so much is called for. */
  readonly wordsOfUnknown?: (leastPercent: number) => string;
}): RaisedCaution[] {
  if (crudeProteinPercent === null) return [];
  const straw = CAUTIONS['straw-impaction'].thresholds;
  const mostlyStraw = strawShareOfDryMatter > straw.strawShare.value;
  if (mostlyStraw && crudeProteinPercent < straw.crudeProteinPercent.value) {
    return [
      raiseCaution({
        code: 'straw-impaction',
        severity: crudeProteinPercent < 7 ? 'danger' : 'watch',
        given: crudeProteinPercent,
        threshold: straw.crudeProteinPercent,
        restsOnBookValue,
        message:
          `Straw is ${plain(strawShareOfDryMatter * 100, 0)} % of the ration and crude protein ` +
          `${plain(crudeProteinPercent, 1)} %.${wordsOfUnknown(straw.crudeProteinPercent.value)}`,
      }),
    ];
  }
  const threshold = CAUTIONS['low-protein-forage'].thresholds.crudeProteinPercent;
  return raiseIfPassed({
    code: 'low-protein-forage',
    severity: 'watch',
    given: crudeProteinPercent,
    threshold,
    restsOnBookValue,
    message: `Crude protein of the ration is ${plain(crudeProteinPercent, 1)} %.` + wordsOfUnknown(threshold.value),
  });
}
