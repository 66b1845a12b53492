import { setImmediate } from 'node:timers/promises';
import { problemOfDatabaseError } from '../../platform/database/database-errors.js';
import type { AuditEntry, OperationTenant, SubjectRef } from '../../platform/database/types.js';
import { Problem } from '../../platform/http/problem.js';
import type { FileRow } from './csv-file.js';
import type { MadeRecord, Savepoint } from './import.store.js';
import type { RowDoubt, RowProblem } from './row-problem.js';

/** A record that an import will write: its rows, and how to write it. */
export interface Pending {
  readonly rows: readonly FileRow[];
  /** Where records of this kind can be written many at once: how, from what `ready` gave as their bodies. */
  readonly writeAll?: ((tenant: OperationTenant, bodies: readonly unknown[]) => Promise<SubjectRef[]>) | undefined;
  /** Where the records of a file are judged by one another: by what they are sorted, whatever order the file has. */
  readonly order?: ((body: unknown) => string) | undefined;
  /**
   * Returns its problems, or the function that writes it. Called in the order of the file, since a row may name what an
   * earlier one made.
   */
  readonly ready: () => { readonly problems: readonly RowProblem[] } | Ready;
}

interface Ready {
  readonly body?: unknown;
  readonly write: (tenant: OperationTenant) => Promise<SubjectRef>;
  readonly blame: (error: Problem) => RowProblem[];
  /** The cell that a field of the body came from; of what did not come as a table there is none. */
  readonly cellOf?: (pointer: string) => { row: number; column: string | null; given: string | null };
}

export interface Outcome {
  problems: RowProblem[];
  /** What is unlikely of what was made. */
  asked: RowDoubt[];
  made: MadeRecord[];
}

type Waiting = Ready & Pick<Pending, 'rows' | 'writeAll'>;

const ROWS_A_TURN = 10;
const RECORDS_AT_ONCE = 500;

/**
 * Writes the records of a file, many at once where their kind allows it. Behind a savepoint, so that a refused record
 * does not hide the problems of those after it: of records that are refused together, halves are tried again until the
 * one is found, as if they had been written one by one.
 */
export class ImportRun {
  #rowsDone = 0;

  constructor(
    private readonly tenant: OperationTenant,
    private readonly outcome: Outcome,
    private readonly audits: AuditEntry[],
    private readonly savepoint: Savepoint,
  ) {}

  async write(pending: readonly Pending[], tell: (rowsDone: number) => void): Promise<void> {
    if (pending.some((one) => one.order !== undefined)) await this.#inOrder(pending, tell);
    else await this.#asInTheFile(pending, tell);
  }

  /** Reads all of it first, then writes it sorted. */
  async #inOrder(pending: readonly Pending[], tell: (rowsDone: number) => void): Promise<void> {
    const read: { readonly key: string; readonly record: Waiting }[] = [];
    for (const [at, { rows, writeAll, order, ready: readyOf }] of pending.entries()) {
      if (at % ROWS_A_TURN === 0) await setImmediate();
      const ready = readyOf();
      if ('problems' in ready) {
        this.outcome.problems.push(...ready.problems);
        this.#rowsDone += rows.length;
      } else read.push({ key: order?.(ready.body) ?? '', record: { ...ready, rows, writeAll } });
    }
    // Sorting keeps the order of the file among equals.
    read.sort((one, other) => (one.key < other.key ? -1 : one.key > other.key ? 1 : 0));
    for (const { record } of read) {
      await this.#some([record]);
      this.#rowsDone += record.rows.length;
      tell(this.#rowsDone);
    }
  }

  async #asInTheFile(pending: readonly Pending[], tell: (rowsDone: number) => void): Promise<void> {
    let waiting: Waiting[] = [];
    for (const [at, one] of pending.entries()) {
      // Reading rows asks the database nothing, so without this nobody else would get a turn.
      if (at % ROWS_A_TURN === 0) await setImmediate();
      const ready = one.ready();
      if ('problems' in ready) this.outcome.problems.push(...ready.problems);
      else waiting.push({ ...ready, rows: one.rows, writeAll: one.writeAll });
      this.#rowsDone += one.rows.length;
      if (one.writeAll !== undefined && waiting.length < RECORDS_AT_ONCE && at < pending.length - 1) continue;
      await this.#some(waiting);
      if (waiting.length > 1) await this.savepoint.planAnew();
      waiting = [];
      tell(this.#rowsDone);
    }
  }

  async #some(some: readonly Waiting[]): Promise<void> {
    const [first] = some;
    if (first === undefined) return;
    const auditedBefore = this.audits.length;
    const doubtsBefore = this.tenant.doubts.mark();
    try {
      const made = await this.#made(some, first);
      await this.savepoint.keep();
      this.outcome.made.push(...made);
      for (const [at, record] of made.entries()) this.outcome.asked.push(...this.#doubtsOf(record, some[at]));
    } catch (error) {
      const { unitPreference } = this.tenant.operation;
      const problem = error instanceof Problem ? error : problemOfDatabaseError(error, unitPreference);
      if (problem === undefined) throw error;
      await this.savepoint.undo();
      this.audits.length = auditedBefore;
      this.tenant.doubts.backTo(doubtsBefore);
      if (some.length === 1) this.outcome.problems.push(...first.blame(problem));
      else {
        const half = Math.ceil(some.length / 2);
        await this.#some(some.slice(0, half));
        await this.#some(some.slice(half));
      }
    }
  }

  #doubtsOf({ id, row }: MadeRecord, from: Waiting | undefined): RowDoubt[] {
    return this.tenant.doubts.about(id).map((doubt) => {
      const cell = from?.cellOf?.(doubt.pointer);
      return {
        ...doubt,
        row: cell?.row ?? row,
        column: cell?.column ?? null,
        given: cell?.given ?? doubt.given,
      };
    });
  }

  async #made(some: readonly Waiting[], first: Waiting): Promise<MadeRecord[]> {
    if (some.length === 1 || first.writeAll === undefined)
      return [{ row: firstRow(first.rows), ...(await first.write(this.tenant)) }];
    const made = await first.writeAll(
      this.tenant,
      some.map(({ body }) => body),
    );
    return made.map((record, at) => ({ row: firstRow(some[at]?.rows ?? []), ...record }));
  }
}

export function firstRow(rows: readonly FileRow[]): number {
  return rows[0]?.number ?? 0;
}
