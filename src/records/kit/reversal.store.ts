import { Injectable } from '@nestjs/common';
import type { z } from 'zod';
import { insertedRows, recordStamp } from '../../platform/database/rows.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { ruleBroken } from '../../platform/http/problem.js';
import type { reversalIn } from './reversal.schema.js';
import { type ClosingRow, lastClosing, postedUnder, type Posting } from './posting.read.js';
import { notePosted } from './posting.store.js';
import { reversedBefore } from './replaced.read.js';
import { type ReversalRow, reversalsOf } from './reversal.read.js';
import { RECORD_KINDS, type RecordReference } from '../../platform/wire/record-kinds.data.js';

/** A record to be reversed, and its day. */
export type ReversalSubject = RecordReference & { readonly happenedOn: string };
type Body = z.output<typeof reversalIn>;

/** Reverses records. One table for all kinds, one rule: once, with a reason, not before the record itself. */
@Injectable()
export class Reversals {
  async write(
    tenant: OperationTenant,
    subject: ReversalSubject,
    body: Body,
    effects?: (reversal: ReversalRow) => Promise<void>,
  ): Promise<ReversalRow> {
    const [row] = await this.writeAll(tenant, [subject], body, async ([written]) => {
      if (written !== undefined) await effects?.(written);
    });
    if (row === undefined) throw new RangeError('The reversal that was just written did not come back');
    return row;
  }

  /** Several at once, each on its own day unless the body says one for all; `effects` gets them in the same order. */
  async writeAll(
    tenant: OperationTenant,
    subjects: readonly ReversalSubject[],
    body: Body,
    effects?: (reversals: readonly ReversalRow[]) => Promise<void>,
  ): Promise<ReversalRow[]> {
    const closing = subjects.some(({ kind }) => RECORD_KINDS[kind].entersTheBooks)
      ? await lastClosing(tenant)
      : undefined;
    const postings = subjects.map((subject) => postingOf(subject, body, closing));
    const before = await reversalsOf(
      tenant,
      subjects.map(({ id }) => id),
    );
    for (const subject of subjects) {
      const reversal = before.get(subject.id);
      if (reversal !== undefined)
        throw await reversedBefore(tenant, subject, { id: reversal.id, on: reversal.effective_on });
    }
    const rows = await insertedRows(
      tenant.db,
      'reversal',
      subjects.map(({ kind, id }, at) => ({
        ...recordStamp(tenant),
        subject_kind: kind,
        subject_id: id,
        effective_on: postings[at]?.on ?? '',
        reason: body.reason,
      })),
    );
    for (const [at, row] of rows.entries()) {
      const posting = postings[at];
      if (posting !== undefined) await notePosted(tenant, { kind: 'reversal', id: row.id }, posting, row.subject_id);
    }
    // The audit's lock comes after the ledger's, here as everywhere, so that two requests never deadlock.
    await effects?.(rows);
    await tenant.audit(
      rows.map((row) => ({
        action: `${row.subject_kind}.reverse`,
        subjectKind: row.subject_kind,
        subjectId: row.subject_id,
        after: row,
      })),
    );
    return rows;
  }

  /** The reversals of these records, if any. */
  of(tenant: OperationTenant, subjectIds: readonly string[]): Promise<Map<string, ReversalRow>> {
    return reversalsOf(tenant, subjectIds);
  }
}

/** @throws Problem rule-broken before the record's own day, period-closed */
function postingOf({ kind, happenedOn }: ReversalSubject, body: Body, closing: ClosingRow | undefined): Posting {
  const statedOn = body.effectiveOn ?? happenedOn;
  if (statedOn < happenedOn)
    throw ruleBroken(
      '#/effectiveOn',
      'before-what-it-reverses',
      statedOn,
      `${happenedOn} or later`,
      'A reversal cannot be dated before what it reverses.',
    );
  if (!RECORD_KINDS[kind].entersTheBooks) return { on: statedOn };
  return postedUnder(closing, { statedOn, postTo: body.postTo, pointer: '#/effectiveOn' });
}
