import type { Outcome } from '../outcome/outcome.js';
import type { Problem } from '../outcome/problem.js';
import type { Words } from '../units/wording.js';
import type { Mineral, TraceNutrient } from '../nutrients/nutrients.js';

export type { Outcome, Problem };

/**
 * Which published system answers. `NRC2000`: National Research Council, Nutrient Requirements of Beef Cattle, 7th
 * revised edition, Update 2000. `NASEM2016`: National Academies of Sciences, Engineering, and Medicine, Nutrient
 * Requirements of Beef Cattle, 8th revised edition, 2016.
 */
export const REQUIREMENT_EDITIONS = ['NRC2000', 'NASEM2016'] as const;
export type RequirementEdition = (typeof REQUIREMENT_EDITIONS)[number];

export const ANIMAL_CLASSES = [
  'dry-open-cow',
  'dry-pregnant-cow',
  'lactating-cow',
  'first-calf-heifer',
  'replacement-heifer',
  'growing-calf',
  'yearling',
  'finishing',
  'bull',
] as const;
export type AnimalClass = (typeof ANIMAL_CLASSES)[number];

/** Mature cows: only their condition changes, and gain equations do not apply. */
export const MATURE_COWS: readonly AnimalClass[] = ['dry-open-cow', 'dry-pregnant-cow', 'lactating-cow'];

export const ANIMAL_SEXES = ['cow', 'heifer', 'steer', 'bull'] as const;
export type AnimalSex = (typeof ANIMAL_SEXES)[number];

/** Types whose maintenance differs; the multipliers and their sources are in `maintenance-factors.data.ts`. */
export const BREED_TYPES = [
  'bos-taurus-beef',
  'bos-indicus',
  'bos-indicus-cross',
  'dual-purpose',
  'dairy',
  'dairy-beef-cross',
] as const;
export type BreedType = (typeof BREED_TYPES)[number];

/**
 * The fat end point to which growing cattle are scaled: 25 % (trace), 27 % (slight) or 28 % (small marbling) of
 * empty-body fat.
 */
export const FINISH_END_POINTS = ['trace-25', 'slight-27', 'small-28'] as const;
export type FinishEndPoint = (typeof FINISH_END_POINTS)[number];

/** One animal, or the mean animal of a herd. Weights are full (unshrunk) unless the name says shrunk. */
export interface AnimalDescription {
  readonly class: AnimalClass;
  readonly sex: AnimalSex;
  /** Live weight with the gut full, calf and fluids left out, kg. Shrunk weight is taken as 0.96 of it. */
  readonly fullBodyWeightKg: number;
  /** True if the weight of a pregnant animal is as the scale shows it, calf and fluids in it; false if not given. */
  readonly weighedWithCalf?: boolean;
  /** Full weight when mature, kg: cows, heifers and bulls for breeding. Cows default to their own weight. */
  readonly matureFullBodyWeightKg?: number;
  /**
   * Growing and finishing cattle: shrunk weight at the end point, kg. Defaults to the shrunk mature weight, else to
   * 533 kg.
   */
  readonly finalShrunkBodyWeightKg?: number;
  readonly finishEndPoint?: FinishEndPoint;
  /** 1 (emaciated) to 9 (obese); 5 if not given. */
  readonly bodyConditionScore?: number;
  readonly breedType?: BreedType;
  /**
   * Shrunk gain wanted, kg/d, pregnant uterus not included. If not given, heifers for breeding are asked for what
   * brings them to their target weights, other cattle for none.
   */
  readonly targetShrunkGainKgPerDay?: number;
  readonly ageMonths?: number;
  /** Days since conception; needed for pregnant classes. */
  readonly daysPregnant?: number;
  /** Open heifers: days until they are first bred; their growth is counted toward it. */
  readonly daysToBreeding?: number;
  /** Expected weight of the calf at birth, kg. Defaults to 38.5. */
  readonly calfBirthWeightKg?: number;
  /** Days since calving; needed for `lactating-cow` unless `milkKgPerDay` is given. */
  readonly daysInMilk?: number;
  /** First-calf heifers that have weaned their calf: true, since neither milk nor stage tells it. */
  readonly hasCalved?: boolean;
  /** Milk at the peak, kg/d. Defaults to 8. */
  readonly peakMilkKgPerDay?: number;
  /** Milk of the day, kg/d, if measured; used instead of the curve. */
  readonly milkKgPerDay?: number;
  readonly milkFatPercent?: number;
  readonly milkSolidsNotFatPercent?: number;
  readonly milkProteinPercent?: number;
  /** True for growing cattle that get an ionophore; changes energy and intake. */
  readonly ionophore?: boolean;
  /**
   * Growing cattle: `false` lowers predicted intake (NRC 2000 factor 0.94 without an anabolic implant). No adjustment
   * if not given.
   */
  readonly implanted?: boolean;
}

/**
 * The diet the requirement is asked for. Without an energy concentration the one that just covers the need is solved
 * for.
 */
export interface DietContext {
  readonly netEnergyMaintenanceMcalPerKg?: number;
  readonly netEnergyGainMcalPerKg?: number;
  readonly metabolizableEnergyMcalPerKg?: number;
  readonly totalDigestibleNutrientsPercent?: number;
  readonly neutralDetergentFiberPercent?: number;
  readonly crudeProteinPercent?: number;
  /** Ether extract or fatty acids, % of DM: the 2016 bacterial protein equation subtracts fat from TDN. */
  readonly fatPercent?: number;
  /** Share of forage in the dry matter, 0 to 1. 1 if not given. */
  readonly forageShare?: number;
  /** What the ration brings, as far as it is known: cattle that eat salt drink more. */
  readonly sodiumGPerDay?: number;
}

export const COAT_CONDITIONS = [
  'clean-and-dry',
  'some-mud-on-lower-body',
  'wet-and-matted',
  'covered-with-wet-snow-or-mud',
] as const;
export type CoatCondition = (typeof COAT_CONDITIONS)[number];

export const HIDE_THICKNESSES = ['thin', 'average', 'thick'] as const;
export type HideThickness = (typeof HIDE_THICKNESSES)[number];

/**
 * `heat-balance`: the model of the edition. `rule-of-thumb`: 1 % of the need (without gain) per °F below the lower
 * critical temperature.
 */
export const COLD_METHODS = ['heat-balance', 'rule-of-thumb'] as const;
export type ColdMethod = (typeof COLD_METHODS)[number];

export interface WeatherContext {
  /** Mean air temperature now, °C. */
  readonly temperatureC: number;
  /** Mean temperature of the previous month, °C: what the animals are used to. 20 if not given. */
  readonly previousMonthTemperatureC?: number;
  readonly windKmPerHour?: number;
  readonly coat?: CoatCondition;
  readonly hairDepthCm?: number;
  readonly hide?: HideThickness;
  readonly coldMethod?: ColdMethod;
  /** Depth of mud in the lot, cm: lowers intake. */
  readonly mudDepthCm?: number;
  /** Heat: panting seen. `none` if not given. */
  readonly panting?: 'none' | 'rapid-shallow' | 'open-mouth';
}

export const TERRAINS = ['level', 'hilly'] as const;
export type Terrain = (typeof TERRAINS)[number];

/** Walking and grazing; a herd fed hay in a pen needs none of this. */
export interface ActivityContext {
  readonly grazing: boolean;
  readonly terrain?: Terrain;
  /** Standing forage, metric tons of dry matter per hectare. */
  readonly availableForageTonnesPerHectare?: number;
  /** Digestibility of the pasture's dry matter, 0 to 1. */
  readonly pastureDigestibility?: number;
  readonly pastureIntakeKgPerDay?: number;
  /** For the 2016 system: level and sloped walking, km/d, and hours standing more than penned cattle. */
  readonly flatWalkingKmPerDay?: number;
  readonly slopedWalkingKmPerDay?: number;
  readonly hoursStandingPerDay?: number;
  readonly positionChangesPerDay?: number;
}

export interface RequirementConditions {
  readonly edition: RequirementEdition;
  readonly diet?: DietContext;
  readonly weather?: WeatherContext;
  readonly activity?: ActivityContext;
}

/** One step of the working: a name, a figure, its unit and where the equation comes from. */
export interface WorkingStep {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  readonly source: string;
}

export type RequirementFamily =
  | 'maintenance'
  | 'activity'
  | 'cold'
  | 'heat'
  | 'pregnancy'
  | 'lactation'
  | 'gain'
  | 'protein'
  | 'intake'
  | 'minerals'
  | 'water'
  | 'diet';

/** A default used, a limit met or a doubt about a source; never hidden. */
export interface RequirementNote {
  readonly code: string;
  readonly message: Words;
  readonly source: string;
}

/** What one animal needs in a day. Energy in Mcal, protein and minerals in g, dry matter in kg, water in L. */
export interface RequirementSet {
  readonly edition: RequirementEdition;
  readonly animalClass: AnimalClass;
  readonly shrunkBodyWeightKg: number;
  /** Predicted dry matter intake with the diet given (or solved for). */
  readonly dryMatterIntakeKgPerDay: number;
  /** Of the mean of several days: what is eaten on the day on which they eat least, as a share of that mean. */
  readonly leastIntakeShare?: number;
  /** Of the mean of several days: what is drunk on the day on which they drink most. */
  readonly mostWaterLPerDay?: number;
  /** Maintenance with activity and weather in it. */
  readonly netEnergyMaintenanceMcalPerDay: number;
  /** Retained energy at the target gain (or of growing heifers and first-calf cows). */
  readonly netEnergyGainMcalPerDay: number;
  /** As NEm. */
  readonly netEnergyPregnancyMcalPerDay: number;
  /** As NEm (1:1 with milk energy). */
  readonly netEnergyLactationMcalPerDay: number;
  /** Maintenance + pregnancy + lactation: what has to be supplied as NEm. */
  readonly netEnergyMaintenanceTotalMcalPerDay: number;
  readonly milkKgPerDay: number;
  readonly shrunkGainKgPerDay: number;
  readonly metabolizableProteinGPerDay: number;
  readonly metabolizableProteinParts: {
    readonly maintenanceGPerDay: number;
    readonly gainGPerDay: number;
    readonly pregnancyGPerDay: number;
    readonly lactationGPerDay: number;
  };
  /** Approximation, MP / 0.67. */
  readonly crudeProteinGPerDay: number;
  /** What the rumen microbes need on the energy of the diet; they can make use of more (`bacterialProtein`). */
  readonly rumenDegradableProteinGPerDay: number;
  /** Equivalent shrunk weight: what gain, protein and the allowable-gain functions scale on. */
  readonly equivalentShrunkBodyWeightKg: number;
  readonly bacterialProteinGPerDay: number;
  /** g/d. */
  readonly minerals: Readonly<Record<Mineral, number>>;
  /** Trace minerals mg/d, vitamins IU/d. */
  readonly traces: Readonly<Record<TraceNutrient, number>>;
  readonly waterLPerDay: number;
  /** Efficiency with which the diet's ME serves maintenance (NEm/ME). */
  readonly efficiencyOfMaintenance: number;
  /** The diet that was used: given, or the concentration at which predicted intake just covers the energy need. */
  readonly diet: {
    readonly netEnergyMaintenanceMcalPerKg: number;
    readonly netEnergyGainMcalPerKg: number;
    readonly totalDigestibleNutrientsPercent: number;
    /** `closest`: no diet covers the need at the predicted intake; this one comes nearest. */
    readonly origin: 'given' | 'solved' | 'closest';
  };
  /** Which cold model answered; `none` when no weather was given. */
  readonly coldMethod: ColdMethod | 'none';
  readonly lowerCriticalTemperatureC: number | null;
  /** The working, family by family, so that a report can show where each number comes from. */
  readonly parts: Readonly<Partial<Record<RequirementFamily, readonly WorkingStep[]>>>;
  readonly notes: readonly RequirementNote[];
}
