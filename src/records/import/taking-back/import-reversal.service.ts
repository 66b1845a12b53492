import { Injectable } from '@nestjs/common';
import { counted } from '../../../core/units/counted.js';
import { problemOfDatabaseError } from '../../../platform/database/database-errors.js';
import type { AuditEntry, OperationTenant } from '../../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { type FieldProblem, Problem } from '../../../platform/http/problem.js';
import { RECORD_KINDS, type RecordKind } from '../../../platform/wire/record-kinds.data.js';
import { type ClosingRow, lastClosing, postedUnder } from '../../kit/posting.read.js';
import { ImportRead, type ImportRow } from '../import.read.js';
import { IMPORT_ACCESS } from '../import.schema.js';
import { ImportStore } from '../import.store.js';
import { listed } from '../listed.js';
import {
  type CorrectingEntry,
  ImportReversalRead,
  type ImportReversalRow,
  type StandingRecord,
} from './import-reversal.read.js';
import type * as api from './import-reversal.schema.js';
import { ImportReversalStore } from './import-reversal.store.js';
import { RecordReversals } from './record-reversals.js';

type Body = InputOf<typeof api.reverseImport>['body'];
type Answer = AnswerOf<typeof api.reverseImport>;

/** What stands in the way, and the records of the import that it stands in the way of. */
interface Obstacle {
  readonly errors: readonly FieldProblem[];
  readonly held: ReadonlySet<string>;
}

const ROWS_NAMED = 10;

/** Takes an import back: all its records are reversed in the request's transaction, or none. */
@Injectable()
export class ImportReversalService {
  constructor(
    private readonly imports: ImportRead,
    private readonly files: ImportStore,
    private readonly read: ImportReversalRead,
    private readonly store: ImportReversalStore,
    private readonly reversals: RecordReversals,
  ) {}

  async reverse(tenant: OperationTenant, { params, body }: InputOf<typeof api.reverseImport>): Promise<Answer> {
    const taken = await this.imports.one(tenant, params.importId);
    refuseTo(tenant, taken);
    await this.files.holdFile(tenant, { kind: taken.kind, fileSha256: taken.file_sha256 });
    const before = (await this.read.of(tenant, [taken.id])).get(taken.id);
    const records = before === undefined ? await this.read.standing(tenant, taken.id) : [];
    const corrected = before === undefined ? correctedSince(await this.read.correcting(tenant, taken.id)) : [];
    if (records.length === 0 && corrected.length === 0) throw nothingToReverse(taken, before);
    const refused = [...corrected, ...refusedDays(records, body, await lastClosing(tenant))];
    if (refused.length > 0) throw notReversed(refused);
    await this.store.holdTouched(
      tenant,
      records.map(({ id }) => id),
    );
    // The audit's lock comes last, after every lock on lots and herds, here as everywhere.
    const audits: AuditEntry[] = [];
    const inside: OperationTenant = {
      ...tenant,
      audit: (entry) => Promise.resolve(void audits.push(...[entry].flat())),
    };
    await this.#reverseAll(inside, records, body);
    const row = await this.store.insert(tenant, {
      data_import_id: taken.id,
      effective_on: body.effectiveOn ?? null,
      reason: body.reason,
      record_count: records.length,
    });
    await tenant.audit([
      ...audits,
      { action: 'import.reverse', subjectKind: 'import', subjectId: taken.id, after: row },
    ]);
    return importReversalAnswer(row);
  }

  /**
   * As one entry, so that only what is left after all of them counts. Where that fails, the rest is tried without the
   * records that were in the way, so that everything that stands in the way is named at once.
   * @throws Problem import-not-reversed
   */
  async #reverseAll(tenant: OperationTenant, records: readonly StandingRecord[], body: Body): Promise<void> {
    const savepoint = await this.files.savepoint(tenant);
    const errors: FieldProblem[] = [];
    let left = records;
    while (left.length > 0) {
      try {
        await this.reversals.write(tenant, left, body);
        break;
      } catch (error) {
        const problem =
          error instanceof Problem ? error : problemOfDatabaseError(error, tenant.operation.unitPreference);
        if (problem === undefined) throw error;
        await savepoint.undo();
        const obstacle = await this.#obstacle(tenant, records, problem);
        errors.push(...obstacle.errors);
        const without = left.filter(({ id }) => !obstacle.held.has(id));
        if (without.length === left.length) break;
        left = without;
      }
    }
    if (errors.length > 0) throw notReversed(errors);
  }

  async #obstacle(tenant: OperationTenant, records: readonly StandingRecord[], problem: Problem): Promise<Obstacle> {
    const ids = records.map(({ id }) => id);
    const subject = problem.subject?.id;
    const found =
      subject === undefined
        ? undefined
        : problem.code === 'lot-short'
          ? {
              held: await this.read.inLot(tenant, subject, ids),
              resting: await this.read.drawing(tenant, subject, ids),
            }
          : problem.code === 'herd-short'
            ? {
                held: await this.read.inHerd(tenant, subject, ids),
                resting: await this.read.leaving(tenant, subject, ids),
              }
            : undefined;
    if (found === undefined || found.resting.length === 0) return { errors: errorsOf(problem), held: new Set() };
    const parameter = rowsNamed(records.filter(({ id }) => found.held.has(id)));
    return {
      held: found.held,
      errors: found.resting.map(({ kind, id, on }) => ({
        parameter,
        code: problem.code,
        given: id,
        allowed: 'reversed first',
        message: `The ${kind.replaceAll('-', ' ')} of ${on} rests on it. ${problem.detail ?? ''}`.trim(),
      })),
    };
  }
}

export function importReversalAnswer(row: ImportReversalRow): Answer;
export function importReversalAnswer(row: ImportReversalRow | undefined): Answer | null;
export function importReversalAnswer(row: ImportReversalRow | undefined): Answer | null {
  if (row === undefined) return null;
  return {
    id: row.id,
    importId: row.data_import_id,
    reason: row.reason,
    effectiveOn: row.effective_on,
    recordCount: row.record_count,
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}

/** Whoever may not reverse such records one by one does not reverse a file of them. */
function refuseTo(tenant: OperationTenant, { kind }: ImportRow): void {
  const act = IMPORT_ACCESS[kind];
  if (!tenant.may(act, tenant.operationId))
    throw new Problem('not-permitted', `Taking back a file of ${kind} needs the permission "${act}".`);
  if (kind === 'yardage-rates' && !tenant.may('prices', tenant.operationId))
    throw new Problem('not-permitted', 'Taking back a file of rates needs to see them: the permission "prices".');
}

/** Days that are closed, or before which a reversal cannot lie, row by row. */
function refusedDays(
  records: readonly StandingRecord[],
  { effectiveOn, postTo }: Body,
  closing: ClosingRow | undefined,
): FieldProblem[] {
  return records.flatMap(({ row, kind, on }) => {
    const parameter = `row ${row}`;
    const statedOn = effectiveOn ?? on;
    if (statedOn < on)
      return [
        {
          parameter,
          code: 'before-what-it-reverses',
          given: statedOn,
          allowed: `${on} or later`,
          message: 'A reversal cannot be dated before what it reverses.',
        },
      ];
    if (!entersTheBooks(kind)) return [];
    try {
      postedUnder(closing, { statedOn, postTo, pointer: '#/effectiveOn' });
      return [];
    } catch (error) {
      if (!(error instanceof Problem)) throw error;
      return error.errors.map(({ pointer: _, ...one }) => ({ ...one, parameter }));
    }
  });
}

/** The hay or head of such a row would stay in the books, and come once more if the file is entered again. */
function correctedSince(entries: readonly CorrectingEntry[]): FieldProblem[] {
  return entries.map(({ row, kind, id }) => ({
    parameter: `row ${row}`,
    code: 'corrected-since',
    given: id,
    allowed: 'reversed first',
    message: `The ${kind.replaceAll('-', ' ')} ${id} was entered in the place of row ${row} and stands.`,
  }));
}

function entersTheBooks(kind: RecordKind | 'head-change'): boolean {
  return kind === 'head-change' || RECORD_KINDS[kind].entersTheBooks;
}

function nothingToReverse({ id, state }: ImportRow, before: ImportReversalRow | undefined): Problem {
  if (before === undefined && state !== 'done') {
    const message = 'Nothing of this file was saved, so there is nothing to take back.';
    return new Problem('conflict', message, [
      { code: 'nothing-imported', given: state, allowed: 'an import that is done', message },
    ]);
  }
  const message =
    before === undefined ? 'All of its records were reversed one by one.' : 'This import was already taken back.';
  return new Problem('conflict', message, [
    { code: 'already-reversed', given: id, allowed: 'an import with records that stand', message },
  ]);
}

function notReversed(errors: readonly FieldProblem[]): Problem {
  return new Problem(
    'import-not-reversed',
    `${counted(errors.length, 'obstacle')} to taking the import back; nothing was reversed.`,
    listed(errors),
  );
}

function errorsOf({ code, detail, message, errors }: Problem): FieldProblem[] {
  if (errors.length > 0) return errors.map(({ pointer: _, ...one }) => one);
  return [{ code, allowed: 'what the message says', message: detail ?? message }];
}

function rowsNamed(records: readonly StandingRecord[]): string {
  const rows = records.map(({ row }) => `row ${row}`);
  return rows.length <= ROWS_NAMED
    ? rows.join(', ')
    : `${rows.slice(0, ROWS_NAMED).join(', ')} and ${rows.length - ROWS_NAMED} more`;
}
