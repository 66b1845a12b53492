import type { AnimalFacts } from './animal-facts.js';
import type { DietEnergy } from './diet-energy.js';
import { IONOPHORE_INTAKE_FACTOR, NO_IMPLANT_INTAKE_FACTOR } from './intake-factors.data.js';
import {
  lowProteinIntakeLimit,
  mertens1987FiberLimitedIntake,
  nrc2000BodyFatIntakeFactor,
  nrc2000CowIntake,
  nrc2000GrowingIntake,
  nrc2000MudIntakeFactor,
  nrc2000TemperatureIntakeFactor,
} from './intake.js';
import type { AnimalDescription, RequirementConditions } from './requirement-set.js';
import { NRC, type Working } from './working.js';

/** Dry matter intake, kg/d. */
interface PredictedIntake {
  readonly kg: number;
  /** Before fiber and low protein hold it down. */
  readonly predictedKg: number;
  readonly limitedBy: 'prediction' | 'fiber' | 'protein';
  /** For weather, implant and ionophore. */
  readonly factor: number;
}

/** Predicted intake on a diet, with its adjustments and limits. */
export function predictedIntake(
  animal: AnimalDescription,
  conditions: RequirementConditions,
  facts: AnimalFacts,
  diet: DietEnergy,
): PredictedIntake {
  const { unadjustedKg, withAidsKg } = byTheEquations(animal, facts, diet);
  const predictedKg = withAidsKg * weatherFactor(conditions);
  const { kg, limitedBy } = [
    { kg: fiberLimit(animal, conditions), limitedBy: 'fiber' as const },
    { kg: proteinLimit(animal, conditions, facts), limitedBy: 'protein' as const },
  ].reduce<Pick<PredictedIntake, 'kg' | 'limitedBy'>>(
    (least, limit) => (limit.kg !== null && limit.kg < least.kg ? { kg: limit.kg, limitedBy: limit.limitedBy } : least),
    { kg: predictedKg, limitedBy: 'prediction' },
  );
  return { kg, predictedKg, limitedBy, factor: unadjustedKg > 0 ? predictedKg / unadjustedKg : 1 };
}

/** The equations for growing cattle and for cows, each by its share; implant and ionophore act on the first alone. */
function byTheEquations(
  animal: AnimalDescription,
  facts: AnimalFacts,
  { netEnergyMaintenanceMcalPerKg }: DietEnergy,
): { unadjustedKg: number; withAidsKg: number } {
  const growing =
    facts.cowIntakeShare < 1 ? (1 - facts.cowIntakeShare) * asGrowing(facts, netEnergyMaintenanceMcalPerKg) : 0;
  const cow = facts.cowIntakeShare > 0 ? facts.cowIntakeShare * asCow(facts, netEnergyMaintenanceMcalPerKg) : 0;
  return { unadjustedKg: growing + cow, withAidsKg: growing * aidsFactor(animal) + cow };
}

function asGrowing(facts: AnimalFacts, netEnergyMaintenanceMcalPerKg: number): number {
  const growing = nrc2000GrowingIntake({
    shrunkBodyWeightKg: facts.shrunkKg,
    netEnergyMaintenanceMcalPerKg,
    age: facts.intakeAge,
  });
  const { factor } = nrc2000BodyFatIntakeFactor({ equivalentShrunkBodyWeightKg: facts.equivalentKg });
  return growing.dryMatterIntakeKgPerDay * factor;
}

function asCow(facts: AnimalFacts, netEnergyMaintenanceMcalPerKg: number): number {
  const of = (pregnant: boolean) =>
    nrc2000CowIntake({
      shrunkBodyWeightKg: facts.shrunkKg,
      netEnergyMaintenanceMcalPerKg,
      pregnant,
      milkKgPerDay: facts.milkKg,
    }).dryMatterIntakeKgPerDay;
  const share = facts.pregnantIntakeShare;
  return (1 - share) * of(false) + share * of(true);
}

function aidsFactor({ implanted, ionophore }: AnimalDescription): number {
  return (implanted === false ? NO_IMPLANT_INTAKE_FACTOR : 1) * (ionophore === true ? IONOPHORE_INTAKE_FACTOR : 1);
}

function weatherFactor({ weather }: RequirementConditions): number {
  if (weather === undefined) return 1;
  return (
    nrc2000TemperatureIntakeFactor({ temperatureC: weather.temperatureC }).factor *
    nrc2000MudIntakeFactor({ mudDepthCm: weather.mudDepthCm ?? 0 }).factor
  );
}

/** `null` where the diet's fiber is not given. */
function fiberLimit({ fullBodyWeightKg }: AnimalDescription, { diet }: RequirementConditions): number | null {
  const neutralDetergentFiberPercent = diet?.neutralDetergentFiberPercent;
  if (neutralDetergentFiberPercent === undefined) return null;
  return mertens1987FiberLimitedIntake({ fullBodyWeightKg, neutralDetergentFiberPercent }).dryMatterIntakeKgPerDay;
}

/** `null` where the diet's protein is not given or not low. */
function proteinLimit(
  { fullBodyWeightKg }: AnimalDescription,
  { diet }: RequirementConditions,
  { lactating }: AnimalFacts,
): number | null {
  const crudeProteinPercent = diet?.crudeProteinPercent;
  if (crudeProteinPercent === undefined) return null;
  return lowProteinIntakeLimit({ fullBodyWeightKg, crudeProteinPercent, lactating }).dryMatterIntakeKgPerDay;
}

const LIMIT_SOURCES = {
  prediction: 'predicted',
  fiber: 'Mertens 1987 fiber capacity',
  protein: 'University of Nebraska, low-protein forage',
} as const;

function equationsOf({ cowIntakeShare, intakeAge }: AnimalFacts): string {
  const growing = intakeAge === 'calf' ? 'calves' : 'yearlings';
  if (cowIntakeShare === 0) return growing;
  return cowIntakeShare === 1 ? 'cows' : `${growing}, shifting to cows in the first month of pregnancy`;
}

/** The intake in the working, with a note where something holds it down or the equation is known to read low. */
export function tellIntake(intake: PredictedIntake, facts: AnimalFacts, working: Working): void {
  working.step('intake', 'predicted dry matter intake', intake.predictedKg, 'kg/d', `${NRC} ${equationsOf(facts)}`);
  working.step('intake', 'adjustment for weather, implant and ionophore', intake.factor, '', NRC);
  working.step('intake', 'dry matter intake', intake.kg, 'kg/d', LIMIT_SOURCES[intake.limitedBy]);
  if (intake.limitedBy === 'fiber')
    working.note(
      'intake-limited-by-fibre',
      'The fiber of this diet fills the animal before it has eaten the predicted amount.',
      'Mertens 1987',
    );
  if (intake.limitedBy === 'protein')
    working.note(
      'intake-limited-by-protein',
      'Crude protein below 7 % of dry matter holds the intake of this forage down.',
      'University of Arizona AZ9523; University of Nebraska',
    );
  if (intake.limitedBy === 'prediction' && facts.cowLike)
    working.note(
      'cow-intake-reads-low',
      'The equation for cows reads about 14 % low for dry and 17 % low for lactating cows against pens weighed ' +
        'since 2002; allow for it in a hay budget.',
      'Gross et al. 2024, Transl. Anim. Sci. txae001; Gross, Oklahoma State University thesis',
    );
}
