import published from '../../reference/published-values.json';
import tables from '../../reference/requirement-tables.json';

export interface PublishedCase {
  readonly id: string;
  readonly topic: string;
  readonly inputs: Readonly<Record<string, unknown>>;
  readonly expected: unknown;
  readonly unit: string;
  readonly tolerance?: number | Readonly<Record<string, number>>;
  readonly source: string;
  readonly status: string;
}

const SHARED_CASES: readonly PublishedCase[] = published;
export const TABLE_CASES: readonly PublishedCase[] = tables;
export const ALL_CASES: readonly PublishedCase[] = [...SHARED_CASES, ...TABLE_CASES];

export function caseById(id: string): PublishedCase {
  const found = ALL_CASES.find((one) => one.id === id);
  if (found === undefined) throw new Error(`No published case ${id}`);
  return found;
}

/** A number of a case's inputs or expectations; a missing one is a broken case, not a zero. */
export function numberIn(record: unknown, key: string): number {
  const value = (record as Record<string, unknown>)[key];
  if (typeof value !== 'number') throw new Error(`No number ${key} in ${JSON.stringify(record)}`);
  return value;
}

export interface ComparisonRow {
  readonly id: string;
  readonly quantity: string;
  readonly unit: string;
  readonly source: string;
  readonly status: string;
  readonly published: readonly [from: number, to: number];
  readonly computed: number;
  /** Distance to the published figure or to the nearer end of the published range. */
  readonly difference: number;
  readonly tolerance: number;
  readonly within: boolean;
}

export interface UnansweredCase {
  readonly id: string;
  readonly reason: string;
}

export function compare(
  one: PublishedCase,
  quantity: string,
  unit: string,
  published: number | readonly [number, number],
  computed: number,
  tolerance: number,
): ComparisonRow {
  const [from, to] = typeof published === 'number' ? [published, published] : published;
  const difference = computed < from ? computed - from : computed > to ? computed - to : 0;
  return {
    id: one.id,
    quantity,
    unit,
    source: one.source,
    status: one.status,
    published: [from, to],
    computed,
    difference,
    tolerance,
    within: Math.abs(difference) <= tolerance + 1e-12,
  };
}

export type Run = (one: PublishedCase) => ComparisonRow[];
/** A case whose expectation is one number in one unit. */
export const single =
  (unit: string, tolerance: number, compute: (inputs: Readonly<Record<string, unknown>>) => number): Run =>
  (one) => [compare(one, unit, unit, one.expected as number, compute(one.inputs), tolerance)];
