import type { ForageAnalysis, ForageAnalysisField } from './forage-analysis.js';
import { LAB_NUTRIENTS, labReport } from '../nutrients/nutrients.js';
import { CORES_WANTED, LAB_METHOD_WEIGHTS, type LabMethod } from './lab-test-methods.data.js';

export interface WeighableLabTest {
  readonly id: string;
  /** The lot that was sampled, and when; for words. */
  readonly lotName?: string;
  readonly sampledOn?: string;
  readonly method: LabMethod;
  /** Cores in the composite sample; unknown counts as the full number wanted. */
  readonly coresSampled?: number;
  /** On the dry matter basis. For a label, its guaranteed minimums. */
  readonly analysis: ForageAnalysis;
  /** A label's guaranteed maximums, on the dry matter basis; absent where it gives none. */
  readonly atMost?: Readonly<Partial<Record<ForageAnalysisField, number>>>;
}

interface AveragedField {
  readonly mean: number;
  readonly least: number;
  readonly most: number;
  readonly tests: readonly { readonly id: string; readonly weight: number; readonly value: number }[];
}

/**
 * Weight of one test: its method times the share of the wanted cores it holds (at most 1). Source:
 * `lab-test-methods.data.ts`.
 */
export function labTestWeight({ method, coresSampled }: { method: LabMethod; coresSampled?: number | undefined }): {
  weight: number;
} {
  const row = LAB_METHOD_WEIGHTS.find((candidate) => candidate.method === method);
  if (row === undefined) throw new RangeError(`No weight for ${method}`);
  if (coresSampled !== undefined && !(coresSampled > 0)) throw new RangeError('Cores sampled must be above zero');
  return { weight: row.weight * Math.min(1, (coresSampled ?? CORES_WANTED) / CORES_WANTED) };
}

/**
 * Several tests of one lot as one analysis: every field is the mean over the tests that measured it, weighted by
 * method and cores. Where wet chemistry measured a mineral, near-infrared figures of it are left out. Nitrate is a
 * danger, so its highest value is used, not its mean; of a mineral that is needed and a danger, the highest is the most
 * it may hold and `fields` has the lowest. What a label guarantees counts only for what no test measured;
 * `atMost` is the most that the lot may contain by its labels or by tests that differ.
 * @throws RangeError if no test carries weight.
 */
export function averageLabTests(tests: readonly WeighableLabTest[]): {
  analysis: ForageAnalysis;
  atMost: Readonly<Partial<Record<ForageAnalysisField, number>>>;
  fields: Readonly<Partial<Record<ForageAnalysisField, AveragedField>>>;
} {
  const weighed = tests
    .map((test) => ({ ...test, weight: labTestWeight(test).weight }))
    .filter((test) => test.weight > 0);
  if (weighed.length === 0) throw new RangeError('No test of this lot carries weight');
  const fields: Partial<Record<ForageAnalysisField, AveragedField>> = {};
  const atMost: Partial<Record<ForageAnalysisField, number>> = {};
  const means: Partial<Record<ForageAnalysisField, number>> = {};
  for (const { field, weakByNearInfrared, severalTests } of LAB_NUTRIENTS.map(labReport)) {
    let measured = weighed.flatMap((test) => {
      const value = test.analysis[field];
      return value === undefined ? [] : [{ id: test.id, weight: test.weight, value, method: test.method }];
    });
    if (measured.some((one) => one.method !== 'label')) measured = measured.filter((one) => one.method !== 'label');
    else {
      const guaranteed = weighed.flatMap((test) => test.atMost?.[field] ?? []);
      if (guaranteed.length > 0) atMost[field] = Math.max(...guaranteed);
      // That a label guarantees so much at least says nothing of a danger: more may be in it.
      if (severalTests === 'highest') measured = [];
    }
    if (weakByNearInfrared === true && measured.some((one) => one.method === 'wet-chemistry'))
      measured = measured.filter((one) => one.method !== 'near-infrared');
    if (measured.length === 0) continue;
    const total = measured.reduce((sum, one) => sum + one.weight, 0);
    const values = measured.map((one) => one.value);
    const most = Math.max(...values);
    const mean =
      severalTests === 'highest' ? most : measured.reduce((sum, one) => sum + one.weight * one.value, 0) / total;
    means[field] = mean;
    if (severalTests === 'mean-and-worst' && most > mean) atMost[field] = Math.max(most, atMost[field] ?? 0);
    fields[field] = {
      mean,
      least: Math.min(...values),
      most,
      tests: measured.map(({ id, weight, value }) => ({ id, weight, value })),
    };
  }
  const { dryMatterPercent } = means;
  if (dryMatterPercent === undefined) throw new RangeError('No test reports the dry matter');
  return { analysis: { ...means, dryMatterPercent }, atMost, fields };
}
