import type { z } from 'zod';
import type { OperationTenant, SubjectRef } from '../../platform/database/types.js';
import { confirmedAnswer, type confirmedReason } from '../../platform/wire/confirm.schema.js';

export type Confirmed = z.input<typeof confirmedReason>;

/** What was confirmed of these records when they were entered; what is about money to whoever sees prices. */
export async function confirmedOf(
  { db, operationId }: OperationTenant,
  ids: readonly string[],
): Promise<(id: string) => Confirmed[]> {
  if (ids.length === 0) return () => [];
  const rows = await db
    .selectFrom('confirmed_entry')
    .select(['subject_id', 'code', 'pointer', 'given', 'usual', 'source', 'message'])
    .where('operation_id', '=', operationId)
    .where('subject_id', 'in', [...ids])
    .orderBy('id')
    .execute();
  return (id) => rows.filter((row) => row.subject_id === id).map(({ subject_id: _subject, ...reason }) => reason);
}

/** Of a record of this transaction, what was raised so far: it is asked before it is kept. */
export function confirmedNow(tenant: OperationTenant, id: string): Confirmed[] {
  return confirmedAnswer(tenant.doubts.about(id), tenant.may('prices', tenant.operationId));
}

/** Of a record just written, on its day: all that was raised of the entry is about it. */
export function doubtsConfirmed(tenant: OperationTenant, subject: SubjectRef, on: string): Confirmed[] {
  tenant.doubts.of(subject, on);
  return confirmedNow(tenant, subject.id);
}
