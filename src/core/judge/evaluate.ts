import { worstFirst, type RaisedCaution } from '../cautions/caution.js';
import { DEFAULT_GUIDES, type GuideChoices } from '../cautions/guides.data.js';
import { labTestCautions, type LotTesting } from '../cautions/lab-tests.js';
import { mineralCautions, tetanyRatio, totalSulfur, type MineralStage } from '../cautions/minerals.js';
import { nitrateCautions, type NitrateVerdict } from '../cautions/nitrate.js';
import {
  abruptChangeCautions,
  acidosisCautions,
  legumeBloatCautions,
  proteinForRumenCautions,
  ureaCautions,
  type LotShare,
} from '../cautions/rumen.js';
import { waterCautions, type WaterOnTheDay } from '../cautions/water.js';
import { type Outcome, refused, succeeded } from '../outcome/outcome.js';
import type { Problem } from '../outcome/problem.js';
import { daysToChangeOneScore } from '../requirements/body-condition.js';
import { energyAllowableGain, equivalentShrunkBodyWeight, standardReferenceWeight } from '../requirements/gain.js';
import { SHRUNK_SHARE_OF_FULL_WEIGHT } from '../requirements/maintenance.js';
import { proteinAllowableGain } from '../requirements/protein.js';
import type { AnimalClass, AnimalDescription, DietContext, RequirementSet } from '../requirements/requirement-set.js';
import { decimalFromFloat } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { Money } from '../units/money.js';
import type { NutrientLine } from './nutrient-line.js';
import { nutrientLines, type TableNeeds } from './nutrient-lines.js';
import type { MissingReason, RationLayer } from '../ration/ration.js';
import {
  metabolizableProteinOfRation,
  partsOf,
  rationSupply,
  valueOf,
  type MetabolizableProteinOfRation,
  type RationSupply,
  type Supply,
} from './ration-supply.js';

export interface EvaluationRequest {
  readonly animal: AnimalDescription;
  /** Of this animal with this ration's diet (see `dietContextOf`), on this day. */
  readonly requirement: RequirementSet;
  /** Build order, bottom first. */
  readonly layers: readonly RationLayer[];
  readonly tableNeeds?: TableNeeds;
  /** Refused or wasted share of what is offered, 0 to below 1. */
  readonly wastedShare?: number;
  /** Whether the reader may see prices; without it no cost is worked out. */
  readonly showCost?: boolean;
  readonly guides?: GuideChoices;
  /** Ration before this one, by share of dry matter. */
  readonly before?: readonly LotShare[];
  /** True if hay is laid with dew, frost, rain or snow on it. */
  readonly fedWet?: boolean;
  readonly water?: WaterOnTheDay;
  readonly testing?: readonly LotTesting[];
}

export interface GainVerdict {
  readonly energyAllowableKgPerDay: number | null;
  readonly proteinAllowableKgPerDay: number | null;
  /**
   * The smaller of the two; `null` while the energy is not known. Where protein is not known, the energy alone, and
   * `ruledBy` says so.
   */
  readonly expectedKgPerDay: number | null;
  readonly ruledBy: 'energy' | 'protein' | 'energy, protein not known' | null;
  readonly unknownBecause: MissingReason | 'mature-cattle' | null;
}

export interface ConditionVerdict {
  readonly netEnergyBalanceMcalPerDay: number | null;
  readonly direction: 'gain' | 'loss' | 'steady' | null;
  /** Days to gain or lose one condition score; `null` when steady, at the end of the scale, or not known. */
  readonly daysToOneScore: number | null;
  readonly unknownBecause: MissingReason | 'growing-cattle' | null;
}

export interface CostVerdict {
  readonly perHeadDay: Money | null;
  readonly perLot: readonly { readonly lotId: string; readonly lotName: string; readonly perHeadDay: Money | null }[];
  readonly unknownBecause: 'prices-not-shown' | 'a-price-is-missing' | null;
}

export interface RationEvaluation {
  readonly supply: RationSupply;
  readonly lines: readonly NutrientLine[];
  readonly metabolizableProtein: MetabolizableProteinOfRation | null;
  /** Degradable protein supplied less what the microbes can use, g/d. */
  readonly degradableProteinBalanceG: number | null;
  readonly calciumToPhosphorus: number | null;
  /** K/(Ca+Mg) in equivalents. */
  readonly tetanyRatio: number | null;
  readonly sulfurPercentOfDryMatter: number | null;
  readonly nitrate: {
    readonly wholeRationNitrateNitrogenPpmDm: number | null;
    readonly verdict: NitrateVerdict | null;
  };
  readonly forageShare: number;
  readonly longStemShare: number;
  readonly gain: GainVerdict;
  readonly condition: ConditionVerdict;
  readonly cost: CostVerdict;
  /** Lots and values that come from a book and not from a test. */
  readonly bookValues: readonly { readonly lotName: string; readonly fields: readonly string[] }[];
  /** Worst first. */
  readonly cautions: readonly RaisedCaution[];
}

/** Where a mature animal only changes condition, and gain equations do not apply. */
const MATURE_COWS: readonly AnimalClass[] = ['dry-open-cow', 'dry-pregnant-cow', 'lactating-cow'];
/** Final shrunk weight at 28 % fat where nothing is known of the cattle, as `AnimalDescription` says. */
const DEFAULT_FINAL_SHRUNK_WEIGHT_KG = 533;

/** The diet of a ration, to ask the requirement with. Unknown parts are left out. */
export function dietContextOf(supply: RationSupply): DietContext {
  const { dryMatterKg } = supply;
  const percent = (each: Supply) => (each.value === null || dryMatterKg === 0 ? null : each.value / dryMatterKg);
  const protein = percent(supply.crudeProteinG);
  const fiber = percent(supply.neutralDetergentFiberKg);
  const fat = percent(supply.fatKg);
  return {
    ...(supply.netEnergyMaintenanceMcalPerKg === null
      ? {}
      : { netEnergyMaintenanceMcalPerKg: supply.netEnergyMaintenanceMcalPerKg }),
    ...(supply.netEnergyGainMcalPerKg === null ? {} : { netEnergyGainMcalPerKg: supply.netEnergyGainMcalPerKg }),
    ...(supply.totalDigestibleNutrientsPercent === null
      ? {}
      : { totalDigestibleNutrientsPercent: supply.totalDigestibleNutrientsPercent }),
    ...(fiber === null ? {} : { neutralDetergentFiberPercent: fiber * 100 }),
    ...(protein === null ? {} : { crudeProteinPercent: protein / 10 }),
    ...(fat === null ? {} : { fatPercent: fat * 100 }),
    ...(dryMatterKg === 0 ? {} : { forageShare: supply.forageDryMatterKg / dryMatterKg }),
  };
}

/**
 * Supply of a layered ration against what one animal needs: every nutrient with surplus and shortfall, gain or change
 * of condition, cost, what rests on book values, and the cautions. Unknown values stay unknown. Equations:
 * `requirements/*` (each names its source). Refuses amounts that cannot be.
 */
export function evaluateRation(request: EvaluationRequest): Outcome<RationEvaluation> {
  const problems = problemsOf(request);
  if (problems.length > 0) return refused(problems);
  const { animal, requirement, layers, wastedShare = 0 } = request;
  const supply = rationSupply({ layers, wastedShare });
  const metabolizableProtein = metabolizableProteinOfRation({ supply, edition: requirement.edition });
  const energy = energyOf(request, supply);
  const minerals = supply.minerals;
  const percentOf = (each: Supply) => (each.value === null ? null : each.value / (supply.dryMatterKg * 10));
  const calcium = percentOf(minerals.calcium);
  const phosphorus = percentOf(minerals.phosphorus);
  const magnesium = percentOf(minerals.magnesium);
  const potassium = percentOf(minerals.potassium);
  const nitrate = nitrateOf(request, supply);
  return succeeded({
    supply,
    lines: nutrientLines({
      animal,
      requirement,
      supply,
      protein: metabolizableProtein,
      retainedEnergyMcalPerDay: energy?.retainedEnergyMcalPerDay ?? null,
      tableNeeds: request.tableNeeds,
      guides: request.guides,
      sulfurFromWaterG: sulfurInput(request, supply, 0)?.fromWaterG ?? 0,
    }),
    metabolizableProtein,
    degradableProteinBalanceG:
      metabolizableProtein === null || supply.degradableProteinG.value === null
        ? null
        : supply.degradableProteinG.value - metabolizableProtein.degradableProteinNeededG,
    calciumToPhosphorus: calcium === null || phosphorus === null || phosphorus === 0 ? null : calcium / phosphorus,
    tetanyRatio:
      calcium === null || magnesium === null || potassium === null
        ? null
        : tetanyRatio({ potassiumPercent: potassium, calciumPercent: calcium, magnesiumPercent: magnesium }).ratio,
    sulfurPercentOfDryMatter: sulfurInput(request, supply, percentOf(minerals.sulfur))?.percentOfDryMatter ?? null,
    nitrate: { wholeRationNitrateNitrogenPpmDm: nitrate.wholeRationNitrateNitrogenPpmDm, verdict: nitrate.verdict },
    forageShare: supply.forageDryMatterKg / supply.dryMatterKg,
    longStemShare: supply.longStemDryMatterKg / supply.dryMatterKg,
    gain: gainOf(request, energy, metabolizableProtein),
    condition: conditionOf(animal, requirement, energy),
    cost: costOf(request),
    bookValues: bookValuesOf(layers),
    cautions: worstFirst([...nitrate.cautions, ...otherCautions(request, supply, percentOf)]),
  });
}

interface EnergyOfRation {
  readonly shrunkGainKgPerDay: number;
  readonly retainedEnergyMcalPerDay: number;
  readonly netEnergyBalanceMcalPerDay: number;
  readonly equivalentShrunkBodyWeightKg: number;
}

function equivalentWeight(animal: AnimalDescription, requirement: RequirementSet): number {
  const finalShrunkBodyWeightKg =
    animal.finalShrunkBodyWeightKg ??
    (animal.matureFullBodyWeightKg === undefined
      ? DEFAULT_FINAL_SHRUNK_WEIGHT_KG
      : animal.matureFullBodyWeightKg * SHRUNK_SHARE_OF_FULL_WEIGHT);
  const { standardReferenceWeightKg } = standardReferenceWeight({
    finishEndPoint: animal.finishEndPoint ?? 'small-28',
  });
  return equivalentShrunkBodyWeight({
    shrunkBodyWeightKg: requirement.shrunkBodyWeightKg,
    finalShrunkBodyWeightKg,
    standardReferenceWeightKg,
  }).equivalentShrunkBodyWeightKg;
}

function energyOf({ animal, requirement }: EvaluationRequest, supply: RationSupply): EnergyOfRation | null {
  const { netEnergyMaintenanceMcalPerKg, netEnergyGainMcalPerKg } = supply;
  if (netEnergyMaintenanceMcalPerKg === null || netEnergyGainMcalPerKg === null || netEnergyMaintenanceMcalPerKg <= 0)
    return null;
  const equivalentShrunkBodyWeightKg = equivalentWeight(animal, requirement);
  const energy = energyAllowableGain({
    equivalentShrunkBodyWeightKg,
    dryMatterIntakeKgPerDay: supply.dryMatterKg,
    netEnergyMaintenanceMcalPerKg,
    netEnergyGainMcalPerKg,
    netEnergyMaintenanceTotalMcalPerDay: requirement.netEnergyMaintenanceTotalMcalPerDay,
  });
  return { ...energy, equivalentShrunkBodyWeightKg };
}

function gainOf(
  { animal, requirement }: EvaluationRequest,
  energy: EnergyOfRation | null,
  protein: MetabolizableProteinOfRation | null,
): GainVerdict {
  if (MATURE_COWS.includes(animal.class)) {
    return {
      energyAllowableKgPerDay: null,
      proteinAllowableKgPerDay: null,
      expectedKgPerDay: null,
      ruledBy: null,
      unknownBecause: 'mature-cattle',
    };
  }
  if (energy === null)
    return {
      energyAllowableKgPerDay: null,
      proteinAllowableKgPerDay: null,
      expectedKgPerDay: null,
      ruledBy: null,
      unknownBecause: 'no-energy-value',
    };
  const byEnergy = energy.shrunkGainKgPerDay;
  const needed = requirement.metabolizableProteinParts;
  const byProtein =
    protein?.supply.value === undefined || protein.supply.value === null
      ? null
      : proteinAllowableGain({
          equivalentShrunkBodyWeightKg: energy.equivalentShrunkBodyWeightKg,
          metabolizableProteinForGainGPerDay:
            protein.supply.value - needed.maintenanceGPerDay - needed.pregnancyGPerDay - needed.lactationGPerDay,
        }).shrunkGainKgPerDay;
  return {
    energyAllowableKgPerDay: byEnergy,
    proteinAllowableKgPerDay: byProtein,
    expectedKgPerDay: byProtein === null ? byEnergy : Math.min(byEnergy, byProtein),
    ruledBy: byProtein === null ? 'energy, protein not known' : byProtein < byEnergy ? 'protein' : 'energy',
    unknownBecause: null,
  };
}

function conditionOf(
  animal: AnimalDescription,
  requirement: RequirementSet,
  energy: EnergyOfRation | null,
): ConditionVerdict {
  if (!MATURE_COWS.includes(animal.class))
    return {
      netEnergyBalanceMcalPerDay: energy?.netEnergyBalanceMcalPerDay ?? null,
      direction: null,
      daysToOneScore: null,
      unknownBecause: 'growing-cattle',
    };
  if (energy === null)
    return {
      netEnergyBalanceMcalPerDay: null,
      direction: null,
      daysToOneScore: null,
      unknownBecause: 'no-energy-value',
    };
  const { days, direction } = daysToChangeOneScore({
    shrunkBodyWeightKg: requirement.shrunkBodyWeightKg,
    bodyConditionScore: animal.bodyConditionScore ?? 5,
    netEnergyBalanceMcalPerDay: energy.netEnergyBalanceMcalPerDay,
  });
  return {
    netEnergyBalanceMcalPerDay: energy.netEnergyBalanceMcalPerDay,
    direction,
    daysToOneScore: days,
    unknownBecause: null,
  };
}

/** What is offered is paid for, eaten or not. */
function costOf({ layers, showCost = false }: EvaluationRequest): CostVerdict {
  if (!showCost) return { perHeadDay: null, perLot: [], unknownBecause: 'prices-not-shown' };
  const perLot = partsOf(layers).map(({ lot, asFedKgPerHeadPerDay }) => ({
    lotId: lot.lotId,
    lotName: lot.lotName,
    perHeadDay:
      lot.price === undefined ? null : lot.price.for(Mass.kilograms(decimalFromFloat(asFedKgPerHeadPerDay, 9))),
  }));
  const priced = perLot.flatMap(({ perHeadDay }) => (perHeadDay === null ? [] : [perHeadDay]));
  const [first] = priced;
  if (first === undefined || priced.length < perLot.length)
    return { perHeadDay: null, perLot, unknownBecause: 'a-price-is-missing' };
  return { perHeadDay: Money.sum(priced, first.currency), perLot, unknownBecause: null };
}

function bookValuesOf(layers: readonly RationLayer[]): RationEvaluation['bookValues'] {
  const lots = [...new Map(partsOf(layers).map(({ lot }) => [lot.lotId, lot])).values()];
  return lots.flatMap((lot) => {
    const fields = [
      ...(lot.dryMatterPercent.origin === 'book-value' ? ['dryMatterPercent'] : []),
      ...Object.entries(lot.composition)
        .filter(([, value]) => value.origin === 'book-value')
        .map(([field]) => field),
    ];
    return fields.length === 0 ? [] : [{ lotName: lot.lotName, fields }];
  });
}

const isPregnant = ({ class: animalClass, daysPregnant }: AnimalDescription): boolean =>
  animalClass === 'dry-pregnant-cow' || (daysPregnant ?? 0) > 0;

function mineralStage(animal: AnimalDescription, requirement: RequirementSet): MineralStage {
  // A first-calf heifer in milk needs the magnesium of any milking cow.
  if (requirement.milkKgPerDay > 0) return 'early-milk';
  if (isPregnant(animal)) return 'pregnant';
  return animal.class === 'dry-open-cow' ? 'dry' : 'growing';
}

function nitrateOf({ animal, guides = DEFAULT_GUIDES }: EvaluationRequest, supply: RationSupply) {
  return nitrateCautions({
    pregnant: isPregnant(animal),
    guide: guides.nitrate,
    lots: supply.parts.map(({ lot, shareOfDryMatter }) => {
      const nitrate = valueOf({ lot, field: 'nitrateNitrogenPpm' });
      return {
        name: lot.lotName,
        shareOfRationDryMatter: shareOfDryMatter,
        canGatherNitrate: lot.canGatherNitrate,
        nitrateNitrogenPpmDm: nitrate.value,
        restsOnBookValue: nitrate.value !== null && nitrate.restsOnBookValue,
      };
    }),
  });
}

function sulfurInput({ requirement, water }: EvaluationRequest, supply: RationSupply, sulfurPercent: number | null) {
  return totalSulfur({
    sulfurPercent,
    dryMatterKgPerDay: supply.dryMatterKg,
    waterLPerDay: requirement.waterLPerDay,
    waterSulfateMgPerL: water?.sulfateMgPerL ?? null,
  });
}

function otherCautions(
  request: EvaluationRequest,
  supply: RationSupply,
  percentOf: (supply: Supply) => number | null,
): RaisedCaution[] {
  const { animal, requirement, guides = DEFAULT_GUIDES, before = [], fedWet = false, water, testing = [] } = request;
  const { minerals, dryMatterKg } = supply;
  const crudeProteinPercent = percentOf(supply.crudeProteinG);
  const shares = supply.parts.map(({ lot, shareOfDryMatter }) => ({ lotId: lot.lotId, shareOfDryMatter }));
  return [
    ...mineralCautions({
      stage: mineralStage(animal, requirement),
      matureCow: MATURE_COWS.includes(animal.class),
      dryMatterKgPerDay: dryMatterKg,
      forageShare: supply.forageDryMatterKg / dryMatterKg,
      calciumPercent: percentOf(minerals.calcium),
      phosphorusPercent: percentOf(minerals.phosphorus),
      magnesiumPercent: percentOf(minerals.magnesium),
      potassiumPercent: percentOf(minerals.potassium),
      sulfurPercent: percentOf(minerals.sulfur),
      sodiumPercent: percentOf(minerals.sodium),
      sodiumNeedGPerDay: requirement.minerals.sodium,
      waterLPerDay: requirement.waterLPerDay,
      waterSulfateMgPerL: water?.sulfateMgPerL ?? null,
      restsOnBookValue: Object.values(minerals).some((each) => each.bookValueLots.length > 0),
      sulfurMaximum: guides.sulfurMaximum,
    }),
    ...(supply.legumeDryMatterKg === null
      ? []
      : legumeBloatCautions({ legumeShareOfDryMatter: supply.legumeDryMatterKg / dryMatterKg, fedWet })),
    ...acidosisCautions({
      starchyGrainKgPerDay: supply.starchyGrainAsFedKg,
      bodyWeightKg: animal.fullBodyWeightKg,
      longStemFiberPercent:
        supply.longStemFiberKg.value === null ? null : (supply.longStemFiberKg.value / dryMatterKg) * 100,
    }),
    ...abruptChangeCautions({ before, now: shares }),
    ...ureaCautions({
      proteinEquivalentFromNonProteinNitrogenG: supply.nonProteinNitrogenG,
      crudeProteinG: supply.crudeProteinG.value,
      bodyWeightKg: animal.fullBodyWeightKg,
      hayCrudeProteinPercent: forageProteinPercent(supply),
    }),
    ...proteinForRumenCautions({
      strawShareOfDryMatter: supply.strawDryMatterKg / dryMatterKg,
      crudeProteinPercent,
      restsOnBookValue: supply.crudeProteinG.bookValueLots.length > 0,
    }),
    ...(water === undefined ? [] : waterCautions(water)),
    ...testing.flatMap((lot) => labTestCautions(lot)),
  ];
}

function forageProteinPercent(supply: RationSupply): number | null {
  let protein = 0;
  for (const { lot, dryMatterEatenKg } of supply.parts) {
    if (!lot.isForage || dryMatterEatenKg === 0) continue;
    const content = valueOf({ lot, field: 'crudeProteinPercent' });
    if (content.value === null) return null;
    protein += content.value * dryMatterEatenKg;
  }
  return supply.forageDryMatterKg === 0 ? null : protein / supply.forageDryMatterKg;
}

function problemsOf({ layers, wastedShare = 0 }: EvaluationRequest): Problem[] {
  const problems: Problem[] = [];
  layers.forEach((layer, index) =>
    layer.lots.forEach(({ lot, asFedKgPerHeadPerDay }, place) => {
      const field = `layers[${index}].lots[${place}]`;
      if (!(asFedKgPerHeadPerDay >= 0) || !Number.isFinite(asFedKgPerHeadPerDay)) {
        problems.push({
          code: 'amount-out-of-range',
          field: `${field}.asFedKgPerHeadPerDay`,
          given: asFedKgPerHeadPerDay,
          allowed: '0 kg or more',
          message: `${lot.lotName}: ${asFedKgPerHeadPerDay} kg per head is not an amount.`,
        });
      }
      const dryMatter = lot.dryMatterPercent.value;
      if (!(dryMatter > 0 && dryMatter <= 100)) {
        problems.push({
          code: 'dry-matter-out-of-range',
          field: `${field}.lot.dryMatterPercent`,
          given: dryMatter,
          allowed: 'above 0 and at most 100 %',
          message: `${lot.lotName}: dry matter of ${dryMatter} % cannot be.`,
        });
      }
    }),
  );
  if (!(wastedShare >= 0 && wastedShare < 1)) {
    problems.push({
      code: 'waste-out-of-range',
      field: 'wastedShare',
      given: wastedShare,
      allowed: '0 to below 1',
      message: `A wasted share of ${wastedShare} cannot be.`,
    });
  }
  if (problems.length === 0 && !partsOf(layers).some((part) => part.asFedKgPerHeadPerDay > 0)) {
    problems.push({
      code: 'ration-empty',
      field: 'layers',
      given: null,
      allowed: 'at least one lot with more than 0 kg',
      message: 'The ration holds nothing.',
    });
  }
  const currencies = new Set(
    partsOf(layers).flatMap(({ lot }) => (lot.price === undefined ? [] : [lot.price.currency])),
  );
  if (currencies.size > 1) {
    problems.push({
      code: 'currencies-mixed',
      field: 'layers',
      given: [...currencies].join(', '),
      allowed: 'prices in one currency',
      message: 'The lots are priced in more than one currency.',
    });
  }
  return problems;
}
