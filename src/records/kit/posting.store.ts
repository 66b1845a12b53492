import { sql } from 'kysely';
import type { OperationTenant, SubjectRef } from '../../platform/database/types.js';
import { ruleBroken } from '../../platform/http/problem.js';
import { BOOK_RECORD_KINDS } from '../../platform/wire/record-kinds.data.js';
import type { Posting } from './posting.read.js';

/** Tables of what enters the books, and so of what an entry can correct. */
const ENTERED = [...BOOK_RECORD_KINDS, 'head-change'].map((kind) => kind.replaceAll('-', '_'));

/**
 * Records that an entry was posted late, if it was. What it says to correct must be an entry of these books, whether it
 * is late or not. @throws Problem rule-broken
 */
export async function notePosting(
  tenant: OperationTenant,
  subject: SubjectRef,
  posting: Posting,
  correctsId?: string,
): Promise<void> {
  if (correctsId !== undefined) await refuseUnknown(tenant, correctsId);
  await notePosted(tenant, subject, posting, correctsId);
}

async function refuseUnknown({ db, operationId }: OperationTenant, id: string): Promise<void> {
  const named = sql`operation_id = ${operationId}::uuid AND id = ${id}::uuid`;
  const entries = ENTERED.map((table) => sql`SELECT 1 FROM ${sql.table(table)} WHERE ${named}`);
  const anyOf = sql<{ known: boolean }>`SELECT EXISTS (${sql.join(entries, sql` UNION ALL `)}) AS known`;
  const { rows } = await anyOf.execute(db);
  if (rows[0]?.known !== true)
    throw ruleBroken(
      '#/correctsId',
      'not-a-record',
      id,
      'the id of an entry of this operation: a purchase, harvest, sale, transfer, count, loss, bill, feeding, ' +
        'yardage rate, cost of a herd or change of the head',
      'There is no such entry in these books.',
    );
}

/** The same for an entry whose record is known, as that of a reversal is. */
export async function notePosted(
  tenant: OperationTenant,
  subject: SubjectRef,
  { on, late }: Posting,
  correctsId?: string,
): Promise<void> {
  if (late === undefined) return;
  await tenant.db
    .insertInto('late_posting')
    .values({
      operation_id: tenant.operationId,
      subject_id: subject.id,
      subject_kind: subject.kind,
      told_on: late.toldOn,
      posted_on: on,
      book_closing_id: late.closingId,
      corrects_id: correctsId ?? null,
      recorded_at: tenant.moment.toISOString(),
    })
    .execute();
}
