import type { AnimalSex, BreedType } from './requirement-set.js';

export interface FactorRow<Key extends string> {
  readonly key: Key;
  readonly factor: number;
  readonly source: string;
}

/** Multipliers of fasting heat by breed type. */
export const BREED_MAINTENANCE_FACTORS: readonly FactorRow<BreedType>[] = [
  { key: 'bos-taurus-beef', factor: 1, source: 'NRC 2000, breed table of the model (from memory)' },
  { key: 'bos-indicus', factor: 0.9, source: 'NRC 2000: Bos indicus about 10 % lower (from memory)' },
  {
    key: 'bos-indicus-cross',
    factor: 0.95,
    source: 'NRC 2000: crosses take the mean of the parent types (from memory)',
  },
  { key: 'dual-purpose', factor: 1.2, source: 'NRC 2000: dual-purpose breeds 20 % higher (from memory)' },
  { key: 'dairy', factor: 1.2, source: 'NRC 2000: dairy breeds 20 % higher (from memory)' },
  { key: 'dairy-beef-cross', factor: 1.1, source: 'NRC 2000: crosses take the mean of the parent types (from memory)' },
];

/** Multipliers by sex. */
export const SEX_MAINTENANCE_FACTORS: readonly FactorRow<AnimalSex>[] = [
  { key: 'cow', factor: 1, source: 'NRC 2000' },
  { key: 'heifer', factor: 1, source: 'NRC 2000' },
  { key: 'steer', factor: 1, source: 'NRC 2000' },
  { key: 'bull', factor: 1.15, source: 'NRC 2000: bulls 15 % higher (from memory)' },
];

/**
 * Lactating cows need about a fifth more. Source: NRC 2000; University of Florida AN190 gives about 20 % between
 * lactating and dry.
 */
export const LACTATION_MAINTENANCE_FACTOR = 1.2;

/** Panting raises maintenance. Source: NRC 2000, heat stress (from memory). */
export const PANTING_MAINTENANCE_FACTORS = { none: 1, 'rapid-shallow': 1.07, 'open-mouth': 1.18 } as const;
