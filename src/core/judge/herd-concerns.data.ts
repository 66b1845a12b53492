import type { Severity } from '../cautions/caution.js';
import type { CautionCode } from '../cautions/cautions.data.js';

/**
 * When something about a herd is a concern to its nutritionist, and how much it counts against others. All of it
 * common practice, no source.
 */
export const CONCERN_GUIDES = {
  gainOffTargetShare: { value: 0.1, source: 'common practice, no source' },
  gainOffTargetKgPerDay: { value: 0.05, source: 'common practice, no source' },
  hayUrgentDays: { value: 14, source: 'common practice, no source' },
  conditionLossDays: { value: 90, source: 'common practice, no source' },
  testOldDays: { value: 365, source: 'common practice, no source; the same as the caution lab-test-old' },
} as const;

export const CONCERN_CODES = [
  'danger',
  'no-ration-in-use',
  'cannot-be-judged',
  'hay-urgent',
  'nutrient-short',
  'nutrient-excess',
  'dry-matter-short',
  'watch',
  'cold-left-out',
  'fed-long-ago',
  'hay-short',
  'condition-loss',
  'measured-gain-below-target',
  'gain-below-target',
  'test-missing',
  'mineral-short',
  'measured-gain-above-target',
  'gain-above-target',
  'test-old',
] as const;
export type ConcernCode = (typeof CONCERN_CODES)[number];

/** 0 to 100, the larger the sooner. */
export const CONCERN_WEIGHTS: Readonly<Record<ConcernCode, number>> = {
  danger: 100,
  'hay-urgent': 95,
  'no-ration-in-use': 90,
  'cannot-be-judged': 85,
  'nutrient-short': 80,
  'nutrient-excess': 58,
  'fed-long-ago': 45,
  'hay-short': 70,
  watch: 65,
  'condition-loss': 60,
  'measured-gain-below-target': 55,
  'gain-below-target': 50,
  'cold-left-out': 48,
  'test-missing': 40,
  'mineral-short': 30,
  'dry-matter-short': 28,
  'measured-gain-above-target': 25,
  'gain-above-target': 20,
  'test-old': 15,
};

/** Cautions of the judge that are a concern of their own; of the others a danger is `danger`, a watch is `watch`. */
export const CONCERN_OF_CAUTION: Partial<Readonly<Record<CautionCode, ConcernCode>>> = {
  'cold-left-out': 'cold-left-out',
};

interface CautionNotListed {
  /** Only those of this code, and of this severity, where one is given. */
  readonly code?: CautionCode;
  readonly severity?: Severity;
  readonly reason: string;
}

/** Cautions of the judge that are not told as such in a list of herds. Whatever is not named here is told. */
export const CAUTIONS_NOT_LISTED: readonly CautionNotListed[] = [
  {
    severity: 'notice',
    reason: 'good to know, nothing to do before the next feedings: it stands on the review of the herd',
  },
  { code: 'lab-test-missing', severity: 'watch', reason: 'the concern test-missing tells it of every lot that is fed' },
];
