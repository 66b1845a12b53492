/**
 * Factor of predicted intake by equivalent shrunk weight (fatter animals eat less), kg. Source: NRC 2000 intake
 * adjustments (from memory).
 */
export const BODY_FAT_INTAKE_FACTORS: readonly {
  readonly equivalentWeightKg: number;
  readonly factor: number;
  readonly source: string;
}[] = [
  { equivalentWeightKg: 350, factor: 1, source: 'NRC 2000 (from memory)' },
  { equivalentWeightKg: 400, factor: 0.97, source: 'NRC 2000 (from memory)' },
  { equivalentWeightKg: 450, factor: 0.9, source: 'NRC 2000 (from memory)' },
  { equivalentWeightKg: 500, factor: 0.82, source: 'NRC 2000 (from memory)' },
  { equivalentWeightKg: 550, factor: 0.73, source: 'NRC 2000 (from memory)' },
];

/**
 * Factor of predicted intake by mean temperature, °C, at or above which it holds. Source: NRC 2000, after NRC 1981
 * (from memory).
 */
export const TEMPERATURE_INTAKE_FACTORS: readonly {
  readonly fromC: number;
  readonly factor: number;
  readonly source: string;
}[] = [
  { fromC: 35, factor: 0.65, source: 'NRC 2000: above 35 °C without cool nights (from memory)' },
  { fromC: 25, factor: 0.9, source: 'NRC 2000 (from memory)' },
  { fromC: 15, factor: 1, source: 'NRC 2000 (from memory)' },
  { fromC: 5, factor: 1.03, source: 'NRC 2000 (from memory)' },
  { fromC: -5, factor: 1.05, source: 'NRC 2000 (from memory)' },
  { fromC: -15, factor: 1.07, source: 'NRC 2000 (from memory)' },
  { fromC: -Infinity, factor: 1.16, source: 'NRC 2000 (from memory)' },
];

/** Factor of predicted intake by mud depth, cm, at or above which it holds. Source: NRC 2000 (from memory). */
export const MUD_INTAKE_FACTORS: readonly {
  readonly fromCm: number;
  readonly factor: number;
  readonly source: string;
}[] = [
  { fromCm: 30, factor: 0.7, source: 'NRC 2000: severe mud of 30 to 60 cm (from memory)' },
  { fromCm: 10, factor: 0.85, source: 'NRC 2000: mild mud of 10 to 20 cm (from memory)' },
  { fromCm: 0, factor: 1, source: 'NRC 2000' },
];

/** Growing cattle without an anabolic implant eat 6 % less. Source: NRC 2000 (from memory). */
export const NO_IMPLANT_INTAKE_FACTOR = 0.94;
/** Intake with an ionophore. Source: NRC 2000 and NASEM 2016: 3 % less (from memory). */
export const IONOPHORE_INTAKE_FACTOR = 0.97;
/** NEm of the diet with an ionophore. Source: NRC 2000 (12 %), NASEM 2016 (2.3 %), both from memory. */
export const IONOPHORE_MAINTENANCE_ENERGY_FACTORS = { NRC2000: 1.12, NASEM2016: 1.023 } as const;

/**
 * Forage that beef cows can hold, % of body weight in dry matter, by digestibility (TDN % of DM). Source: Hibberd &
 * Thrift 1992, as reprinted by Oklahoma State University (Lalman, 2024), who found dry cows overestimated by it.
 */
export const FORAGE_CAPACITY: readonly {
  readonly tdnFromPercent: number;
  readonly dryPercent: number;
  readonly lactatingPercent: number;
  readonly source: string;
}[] = [
  { tdnFromPercent: 59, dryPercent: 2.5, lactatingPercent: 2.7, source: 'Hibberd & Thrift 1992' },
  { tdnFromPercent: 52, dryPercent: 2.2, lactatingPercent: 2.5, source: 'Hibberd & Thrift 1992' },
  { tdnFromPercent: 0, dryPercent: 1.8, lactatingPercent: 2.2, source: 'Hibberd & Thrift 1992 (with enough protein)' },
];

/**
 * NDF that cattle can hold, % of body weight a day. Source: Mertens 1987, J. Anim. Sci. 64:1548 (1.2, from memory).
 */
export const FIBER_CAPACITY_PERCENT_OF_WEIGHT = 1.2;

/**
 * Crude protein of the diet, % of DM, below which microbes and so intake run short. Source: University of Arizona
 * AZ9523; University of Idaho (Sprinkle).
 */
export const PROTEIN_THRESHOLD_PERCENT = 7;
/**
 * Intake of low-protein forage, % of body weight: 1.5 for dry, 2.0 for lactating cows when nothing is supplemented.
 * Source: University of Nebraska Extension (Rasby), table of forage intake by quality (from memory).
 */
export const LOW_PROTEIN_INTAKE_PERCENT_OF_WEIGHT = { dry: 1.5, lactating: 2 } as const;

/**
 * Days over which intake shifts from the equation of open cows to that of pregnant ones, and from that of growing
 * cattle to that of cows, so that no animal eats a seventh less on the day after she is bred. The published tables
 * count to the end of each month of pregnancy and are reproduced as printed. Common practice, no source.
 */
export const FIRST_MONTH_OF_PREGNANCY_DAYS = 30;
