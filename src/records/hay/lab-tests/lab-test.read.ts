import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { analysisOnDryMatter } from '../../../core/forage/basis.js';
import type { ForageAnalysis } from '../../../core/forage/forage-analysis.js';
import { type AnalysisField, type LabNutrient, labReport } from '../../../core/nutrients/nutrients.js';
import type { LabMethod } from '../../../core/forage/lab-test-methods.data.js';
import { type Books, operationsOf } from '../../../platform/database/books.js';
import { PLANNED_ONCE } from '../../../platform/database/prepared-statements.js';
import type { DB, OperationTenant, Queries } from '../../../platform/database/types.js';
import { notFound } from '../../../platform/http/problem.js';
import { eventCursor } from '../../kit/day-range.js';
import type { EventsAsked } from '../../kit/newest-first.read.js';
import { notReversed } from '../../kit/not-reversed.read.js';
import { type KnownUntil, type LotLine, lotLine } from '../lots/lot-line.read.js';

export type LabTestRow = Selectable<DB['lab_test']>;
/**
 * As typed. On a label, `value` is the guaranteed minimum, or the maximum where `guarantee` says so; `maximum` stands
 * beside a minimum.
 */
export type TypedAnalysis = Partial<
  Record<LabNutrient, { value: string; unit: string; guarantee?: 'minimum' | 'maximum'; maximum?: string }>
>;

export interface KnownLabTest {
  id: string;
  /** The lot that was sampled: the lot asked for, or one that it was split from. */
  hayLotId: string;
  hayLot: string;
  lab: string;
  sampledOn: string;
  method: LabMethod;
  cores: number | null;
  /** On the dry matter basis. */
  analysis: ForageAnalysis;
  /** A label's guaranteed maxima, on the same basis; empty for a laboratory test. */
  atMost: Partial<Record<AnalysisField, number>>;
  /** Where only hay moved into the lot was sampled: how much was moved in. */
  movedInKg: number | null;
}

const figuresOf = (
  typed: TypedAnalysis,
  pick: (value: NonNullable<TypedAnalysis[LabNutrient]>) => string | undefined,
): Record<string, number> =>
  Object.fromEntries(
    Object.entries(typed).flatMap(([name, value]): [string, number][] => {
      const { field, typedIn } = labReport(name as LabNutrient);
      const figure = pick(value);
      return figure === undefined ? [] : [[field, Number(figure) * (typedIn[value.unit] ?? 1)]];
    }),
  );
const withDryMatter = (numbers: Record<string, number>, dryMatter: number | undefined): ForageAnalysis => ({
  ...numbers,
  dryMatterPercent: dryMatter ?? Number.NaN,
});

/** Typed values as the core's analysis, on the basis they were typed in; for a label, its guaranteed minima. */
export function analysisOf(typed: TypedAnalysis): ForageAnalysis {
  const numbers = figuresOf(typed, ({ value, guarantee }) => (guarantee === 'maximum' ? undefined : value));
  return withDryMatter(numbers, numbers['dryMatterPercent']);
}

/** A label's guaranteed maxima, with its dry matter, on the basis it was typed in. */
export function mostOf(typed: TypedAnalysis): ForageAnalysis {
  const numbers = figuresOf(typed, ({ value, guarantee, maximum }) => (guarantee === 'maximum' ? value : maximum));
  return withDryMatter(numbers, analysisOf(typed).dryMatterPercent);
}

export function labTestOf(
  row: Pick<LabTestRow, 'id' | 'hay_lot_id' | 'lab' | 'sampled_on' | 'method' | 'basis' | 'cores' | 'analysis'>,
): Omit<KnownLabTest, 'hayLot' | 'movedInKg'> {
  const analysis = analysisOnDryMatter({
    analysis: analysisOf(row.analysis as TypedAnalysis),
    basis: row.basis,
  });
  const { dryMatterPercent: _dryMatter, ...atMost } = analysisOnDryMatter({
    analysis: mostOf(row.analysis as TypedAnalysis),
    basis: row.basis,
  });
  return {
    id: row.id,
    hayLotId: row.hay_lot_id,
    lab: row.lab,
    sampledOn: row.sampled_on,
    method: row.method,
    cores: row.cores,
    analysis,
    atMost,
  };
}

/** A test as tests of one lot are averaged. */
export const weighable = (test: KnownLabTest) => ({
  id: test.id,
  lotName: test.hayLot,
  sampledOn: test.sampledOn,
  movedInKg: test.movedInKg,
  method: test.method,
  analysis: test.analysis,
  atMost: test.atMost,
  ...(test.cores === null ? {} : { coresSampled: test.cores }),
});

/**
 * The tests of each lot, and others that its hay was in: of hay that was moved into it, and of the lot it was split
 * from where it has nearer ones.
 */
export interface KnownLabTests {
  own: ReadonlyMap<string, readonly KnownLabTest[]>;
  /** They say nothing of the rest of the lot, or are not the nearest, so of them only the dangers count. */
  forDangers: ReadonlyMap<string, readonly KnownLabTest[]>;
}

@Injectable()
export class LabTestRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<LabTestRow> {
    const row = await db
      .selectFrom('lab_test')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('lab test', id);
    return row;
  }

  /** Those of one lot that were not withdrawn, oldest entry first. */
  async standingOf({ db, operationId }: OperationTenant, lotId: string): Promise<LabTestRow[]> {
    return db
      .selectFrom('lab_test')
      .selectAll('lab_test')
      .where('lab_test.operation_id', '=', operationId)
      .where('lab_test.hay_lot_id', '=', lotId)
      .where(notReversed('lab_test', {}))
      .orderBy('lab_test.recorded_at')
      .orderBy('lab_test.id')
      .execute();
  }

  /** By sampling day, newest first, including withdrawn ones. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { hayLotId?: string | undefined },
  ): Promise<LabTestRow[]> {
    const before = eventCursor(query.cursor);
    let select = db
      .selectFrom('lab_test')
      .selectAll()
      .where('operation_id', '=', operationId)
      .orderBy('sampled_on', 'desc')
      .orderBy('id', 'desc')
      .limit(query.limit + 1);
    if (query.hayLotId !== undefined) select = select.where('hay_lot_id', '=', query.hayLotId);
    if (query.from !== undefined) select = select.where('sampled_on', '>=', query.from);
    if (query.until !== undefined) select = select.where('sampled_on', '<=', query.until);
    if (before !== undefined)
      select = select.where((e) =>
        e.or([e('sampled_on', '<', before.day), e.and([e('sampled_on', '=', before.day), e('id', '<', before.id)])]),
      );
    return select.execute();
  }

  /**
   * The tests that count for each lot at an instant (entered by then and not withdrawn by then), newest sample first.
   * The first of each is the one in force. A lot that was split off another and has no test of its own uses those of
   * the lot it came from, and so on up; each test names the lot that was sampled.
   */
  async knownAt(
    { db, operationId }: OperationTenant,
    lotIds: readonly string[],
    instant: string,
    sampledUntil?: string,
  ): Promise<Map<string, KnownLabTest[]>> {
    const { own } = await this.known(db, [{ operationId, instant, sampledUntil }], lotIds);
    return new Map([...own].map(([lotId, tests]) => [lotId, [...tests]]));
  }

  /** The same for lots of several operations, with the tests of the hay that was moved into each. */
  async known(db: Queries, operations: readonly KnownUntil[], lotIds: readonly string[]): Promise<KnownLabTests> {
    return sortedOut(await this.#tests(db, operations, lotIds));
  }

  /**
   * The tests in force for a lot on any day, as `known` has them, of all results that are on record now: the same list
   * for every day that has the same tests.
   */
  async through(
    books: Books,
    lotIds: readonly string[],
  ): Promise<(lotId: string, day: string) => readonly KnownLabTest[]> {
    const operations = operationsOf(books).map((operationId) => ({ operationId, instant: 'infinity' }));
    const rows = await this.#tests(books.db, operations, lotIds);
    // Between two samples every day has the same tests: as many as were sampled by then tell which.
    const sorted = new Map<string, readonly KnownLabTest[]>();
    return (lotId, day) => {
      const sampled = rows.filter((row) => row.for_lot_id === lotId && row.sampled_on <= day);
      const key = `${lotId} ${sampled.length}`;
      const tests = sorted.get(key) ?? sortedOut(sampled).own.get(lotId) ?? [];
      sorted.set(key, tests);
      return tests;
    };
  }

  async #tests(db: Queries, operations: readonly KnownUntil[], lotIds: readonly string[]): Promise<TestInLine[]> {
    if (lotIds.length === 0 || operations.length === 0) return [];
    const operationIds = operations.map((one) => one.operationId);
    const until = sql<string>`(SELECT d.until FROM unnest(${operationIds}::uuid[],
      ${operations.map((one) => one.instant)}::timestamptz[]) AS d (operation_id, until)
      WHERE d.operation_id = lab_test.operation_id)`;
    const sampledUntil = sql<string>`(SELECT coalesce(d.sampled, 'infinity') FROM unnest(${operationIds}::uuid[],
      ${operations.map((one) => one.sampledUntil ?? null)}::date[]) AS d (operation_id, sampled)
      WHERE d.operation_id = lab_test.operation_id)`;
    return db
      .selectFrom('lab_test')
      .innerJoin(lotLine(operations, lotIds), (join) =>
        join.onRef('line.operation_id', '=', 'lab_test.operation_id').onRef('line.lot_id', '=', 'lab_test.hay_lot_id'),
      )
      .modifyFront(PLANNED_ONCE)
      .selectAll('lab_test')
      .select(['line.for_lot_id', 'line.source_id', 'line.lot_name', 'line.splits'])
      .select(['line.together_until', 'line.moved_kg'])
      .where('lab_test.operation_id', 'in', operationIds)
      .where('lab_test.recorded_at', '<=', until)
      .where('lab_test.sampled_on', '<=', sampledUntil)
      .where(notReversed('lab_test', { knownAt: until }))
      .orderBy('line.splits')
      .orderBy('lab_test.sampled_on', 'desc')
      .orderBy('lab_test.recorded_at', 'desc')
      .execute();
  }
}

/** A test with the place of its lot in the line of a lot that was asked for. */
type TestInLine = LabTestRow &
  Pick<LotLine, 'for_lot_id' | 'source_id' | 'lot_name' | 'splits' | 'together_until' | 'moved_kg'>;

/**
 * All tests come from one lot: those of a lot further up count only where no nearer lot was tested, but for a danger in
 * a sample that the hay was part of. `rows`: those of the nearest lots first.
 */
function sortedOut(rows: readonly TestInLine[]): KnownLabTests {
  const own = new Map<string, KnownLabTest[]>();
  const forDangers = new Map<string, KnownLabTest[]>();
  const nearest = new Map<string, string>();
  for (const { for_lot_id: lotId, source_id: sourceId, lot_name: hayLot, splits: _splits, ...row } of rows) {
    const line = `${lotId} ${sourceId}`;
    const isNearest = (nearest.get(line) ?? row.hay_lot_id) === row.hay_lot_id;
    if (isNearest) nearest.set(line, row.hay_lot_id);
    else if (row.together_until !== null && row.sampled_on > row.together_until) continue;
    const byLot = isNearest && sourceId === lotId ? own : forDangers;
    const test = { ...labTestOf(row), hayLot, movedInKg: row.moved_kg === null ? null : Number(row.moved_kg) };
    byLot.set(lotId, [...(byLot.get(lotId) ?? []), test]);
  }
  return { own, forDangers };
}

/** The lot that a lot's tests were taken from, where they are not its own. */
export function testedAs(lotId: string, tests: readonly KnownLabTest[]): { hayLotId: string; hayLot: string } | null {
  const [test] = tests;
  return test === undefined || test.hayLotId === lotId ? null : { hayLotId: test.hayLotId, hayLot: test.hayLot };
}
