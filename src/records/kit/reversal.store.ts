import { Injectable } from '@nestjs/common';
import type { z } from 'zod';
import type { OperationTenant } from '../../platform/database/types.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import type { reversalIn } from './reversal.schema.js';
import { postingDay } from './posting.read.js';
import { notePosted } from './posting.store.js';
import { type ReversalRow, reversalsOf } from './reversal.read.js';
import { RECORD_KINDS, type RecordReference } from '../../platform/wire/record-kinds.data.js';

/** Reverses records. One table for all kinds, one rule: once, with a reason, not before the record itself. */
@Injectable()
export class Reversals {
  async write(
    tenant: OperationTenant,
    subject: RecordReference & { happenedOn: string },
    body: z.output<typeof reversalIn>,
    effects?: (reversal: ReversalRow) => Promise<void>,
  ): Promise<ReversalRow> {
    const statedOn = body.effectiveOn ?? subject.happenedOn;
    if (statedOn < subject.happenedOn)
      throw ruleBroken(
        '#/effectiveOn',
        'before-what-it-reverses',
        statedOn,
        `${subject.happenedOn} or later`,
        'A reversal cannot be dated before what it reverses.',
      );
    const posting = RECORD_KINDS[subject.kind].entersTheBooks
      ? await postingDay(tenant, {
          statedOn: statedOn,
          postTo: body.postTo,
          pointer: '#/effectiveOn',
          mayLieAhead: 'as its record',
        })
      : { on: statedOn };
    const before = await reversalsOf(tenant, [subject.id]);
    if (before.has(subject.id)) throw reversedBefore(subject);
    const row = await tenant.db
      .insertInto('reversal')
      .values({
        operation_id: tenant.operationId,
        id: newId(),
        subject_kind: subject.kind,
        subject_id: subject.id,
        effective_on: posting.on,
        reason: body.reason,
        recorded_at: tenant.moment.toISOString(),
        recorded_by: tenant.personId,
      })
      .returningAll()
      .executeTakeFirstOrThrow();
    await notePosted(tenant, { kind: 'reversal', id: row.id }, posting, subject.id);
    // The audit's lock comes after the ledger's, here as everywhere, so that two requests never deadlock.
    await effects?.(row);
    await tenant.audit({
      action: `${subject.kind}.reverse`,
      subjectKind: subject.kind,
      subjectId: subject.id,
      after: row,
    });
    return row;
  }

  /** The reversals of these records, if any. */
  of(tenant: OperationTenant, subjectIds: readonly string[]): Promise<Map<string, ReversalRow>> {
    return reversalsOf(tenant, subjectIds);
  }
}

function reversedBefore({ kind, id }: RecordReference): Problem {
  const message = 'This was already reversed.';
  return new Problem(
    'conflict',
    message,
    [{ code: 'already-reversed', given: id, allowed: 'a record that was not reversed', message }],
    {},
    { id, what: kind },
  );
}
