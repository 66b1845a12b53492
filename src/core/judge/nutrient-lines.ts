import { DEFAULT_GUIDES, type GuideChoices } from '../cautions/guides.data.js';
import { highestTolerable } from '../cautions/trace-minerals.js';
import { CAUTIONS } from '../cautions/cautions.data.js';
import { mostEatenOf } from '../cautions/left-over.js';
import { sulfurMaximum } from '../cautions/minerals.js';
import type { NutrientRow } from '../nutrients/nutrient-row.js';
import { NUTRIENTS } from '../nutrients/nutrients.data.js';
import { type Mineral, MINERALS, TRACE_NUTRIENTS } from '../nutrients/nutrients.js';
import type { MissingReason } from '../ration/ration.js';
import { digestibleNeedKg } from '../requirements/digestible-need.js';
import { mertens1987FiberLimitedIntake } from '../requirements/intake.js';
import { type AnimalDescription, MATURE_COWS, type RequirementSet } from '../requirements/requirement-set.js';
import { JUDGEMENT } from './judgement.data.js';
import { needAsEaten } from './need-as-eaten.js';
import { type NutrientLine, nutrientLine } from './nutrient-line.js';
import type { MetabolizableProteinOfRation, RationSupply, Supply } from './ration-supply.js';

/** Needs read off a published table, to be judged alongside the equations. */
export interface TableNeeds {
  readonly totalDigestibleNutrientsKgPerDay: number;
  /** In place of the equation's figure. */
  readonly crudeProteinGPerDay: number;
  readonly source: string;
}

interface LinesRequest {
  readonly animal: AnimalDescription;
  readonly requirement: RequirementSet;
  /** What is eaten of it. */
  readonly supply: RationSupply;
  /** What they have to eat from, less waste: more than `supply` where they cannot hold it. */
  readonly offered: RationSupply;
  readonly protein: MetabolizableProteinOfRation | null;
  /** Energy that stays in gain; `null` while an energy value is missing. */
  readonly retainedEnergyMcalPerDay: number | null;
  readonly tableNeeds: TableNeeds | undefined;
  readonly guides: GuideChoices | undefined;
  /** Sulfur that the water brings, g/d. */
  readonly sulfurFromWaterG: number;
}

const { gramsPerDay: mostSulfurOfMatureCow } = CAUTIONS['sulfur-mature-cow'].thresholds;

const known = (value: number, bookValueLots: readonly string[]): Supply => ({
  value,
  isAtLeast: false,
  reason: null,
  missingIn: [],
  atLeast: value,
  atMost: value,
  bookValueLots,
});
const unknown = (reason: MissingReason, missingIn: readonly string[]): Supply => ({
  value: null,
  isAtLeast: false,
  reason,
  missingIn,
  atLeast: 0,
  atMost: 0,
  bookValueLots: [],
});

type Line = ReturnType<typeof nutrientLine>;

/** Supply against need, one line per nutrient: intake and energy, protein, minerals, structure. */
export function nutrientLines(request: LinesRequest): NutrientLine[] {
  return [
    dryMatterLine(request),
    ...energyLines(request),
    ...proteinLines(request),
    ...MINERALS.map((mineral) => mineralLine(mineral, request)),
    ...traceLines(request),
    ...structureLines(request),
  ].map((line) => ({ ...line, shareOfKg: request.supply.dryMatterKg }));
}

function dryMatterLine({ requirement: { dryMatterIntakeKgPerDay }, offered: supply }: LinesRequest): Line {
  return nutrientLine({
    nutrient: 'dryMatter',
    supply: known(
      supply.dryMatterKg,
      supply.parts.filter((part) => part.lot.dryMatterPercent.origin === 'book-value').map((part) => part.lot.lotName),
    ),
    need: dryMatterIntakeKgPerDay,
    harmfulAbove: mostEatenOf(dryMatterIntakeKgPerDay),
  });
}

function energyLines(request: LinesRequest): Line[] {
  const { requirement, supply, retainedEnergyMcalPerDay } = request;
  const { missingIn, isAtLeast, reason, bookValueLots } = supply.netEnergyMaintenanceMcal;
  return [
    nutrientLine({
      nutrient: 'netEnergyMaintenance',
      supply: supply.netEnergyMaintenanceMcal,
      need: requirement.netEnergyMaintenanceTotalMcalPerDay,
    }),
    nutrientLine({
      nutrient: 'netEnergyGain',
      supply:
        retainedEnergyMcalPerDay === null
          ? unknown('no-energy-value', missingIn)
          : { ...known(retainedEnergyMcalPerDay, bookValueLots), isAtLeast, reason, missingIn },
      need: requirement.netEnergyGainMcalPerDay,
    }),
    nutrientLine({
      nutrient: 'totalDigestibleNutrients',
      supply: supply.totalDigestibleNutrientsKg,
      need: request.tableNeeds?.totalDigestibleNutrientsKgPerDay ?? digestibleNeedKg(requirement, supply),
    }),
  ];
}

function proteinLines({ requirement, supply, protein, tableNeeds }: LinesRequest): Line[] {
  const missingIn = [
    ...new Set([...supply.degradableProteinG.missingIn, ...supply.totalDigestibleNutrientsKg.missingIn]),
  ];
  return [
    nutrientLine({
      nutrient: 'metabolizableProtein',
      supply: protein?.supply ?? unknown('a-lot-lacks-it', missingIn),
      need: requirement.metabolizableProteinGPerDay,
    }),
    nutrientLine({
      nutrient: 'crudeProtein',
      supply: supply.crudeProteinG,
      need: tableNeeds?.crudeProteinGPerDay ?? requirement.crudeProteinGPerDay,
    }),
    nutrientLine({
      nutrient: 'degradableProtein',
      supply: supply.degradableProteinG,
      need: needAsEaten(requirement, supply, protein).degradableProteinG,
    }),
  ];
}

function mineralLine(mineral: Mineral, request: LinesRequest): Line {
  const { need }: NutrientRow = NUTRIENTS[mineral];
  if (need?.kind === 'range' && need.tooMuch === 'sulfur of feed and water') return sulfurLine(request);
  return nutrientLine({
    nutrient: mineral,
    supply: request.supply.minerals[mineral],
    need: request.requirement.minerals[mineral],
    harmfulAbove: tooMuchOf(mineral, request),
  });
}

/**
 * Sulfur of feed and water together, against limits on the same sum: the one count that the cautions and the ratio
 * take. The need is that of the rumen's microbes, so a share of what is eaten, not of what cattle could eat; a small
 * part that does not tell its sulfur makes neither need nor limit larger, as in the cautions.
 */
function sulfurLine({ animal, requirement, supply, protein, guides = DEFAULT_GUIDES, sulfurFromWaterG }: LinesRequest) {
  const { sulfur } = supply.minerals;
  const { heldAgainstKg } = sulfur;
  const forageShare = supply.forageDryMatterKg / supply.dryMatterKg;
  const tolerated = sulfurMaximum({ forageShare, choice: guides.sulfurMaximum }).value * 10 * heldAgainstKg;
  const withWater = (grams: number) => grams + sulfurFromWaterG;
  return nutrientLine({
    nutrient: 'sulfur',
    supply: {
      ...sulfur,
      value: sulfur.value === null ? null : withWater(sulfur.value),
      atLeast: withWater(sulfur.atLeast),
      atMost: withWater(sulfur.atMost),
    },
    need: needAsEaten(requirement, supply, protein).sulfurG,
    harmfulAbove: MATURE_COWS.includes(animal.class) ? Math.min(tolerated, mostSulfurOfMatureCow.value) : tolerated,
  });
}

/** Trace minerals and vitamins that some feed in the ration reports; those that nobody tested are left out. */
function traceLines({ requirement, supply }: LinesRequest): Line[] {
  return TRACE_NUTRIENTS.filter((code) => supply.traces[code].atMost > 0 || supply.traces[code].value !== null).map(
    (code) => {
      const highest = highestTolerable(NUTRIENTS[code].ofDryMatter);
      return nutrientLine({
        nutrient: code,
        supply: supply.traces[code],
        need: requirement.traces[code],
        harmfulAbove: highest === null ? null : highest * supply.dryMatterKg,
      });
    },
  );
}

/** Grams a day above which a mineral does harm; `null` where its row has no upper end. */
function tooMuchOf(mineral: Mineral, { supply }: LinesRequest): number | null {
  const { need, ofDryMatter }: NutrientRow = NUTRIENTS[mineral];
  const percent = need?.kind !== 'range' || ofDryMatter === undefined ? null : highestTolerable(ofDryMatter);
  return percent === null ? null : percent * 10 * supply.dryMatterKg;
}

function structureLines({ animal, supply }: LinesRequest): Line[] {
  const capacity = fiberCapacityKg(animal, supply);
  return [
    // Fiber fills the animal: above its capacity it eats less than by energy alone.
    nutrientLine({
      nutrient: 'fiberCapacity',
      supply: supply.neutralDetergentFiberKg,
      need: capacity === null ? null : 0,
      harmfulAbove: capacity,
    }),
    nutrientLine({
      nutrient: 'longStemForage',
      supply: known(supply.longStemDryMatterKg, []),
      need: (animal.fullBodyWeightKg * JUDGEMENT.longStemPercentOfWeight.value) / 100,
    }),
  ];
}

function fiberCapacityKg({ fullBodyWeightKg }: AnimalDescription, supply: RationSupply): number | null {
  const fiberKg = supply.neutralDetergentFiberKg.value;
  const neutralDetergentFiberPercent = fiberKg === null ? null : (fiberKg / supply.dryMatterKg) * 100;
  if (neutralDetergentFiberPercent === null || neutralDetergentFiberPercent === 0) return null;
  return mertens1987FiberLimitedIntake({ fullBodyWeightKg, neutralDetergentFiberPercent }).fiberCapacityKgPerDay;
}
