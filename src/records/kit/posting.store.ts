import type { OperationTenant, SubjectRef } from '../../platform/database/types.js';
import type { Posting } from './posting.read.js';

/** Records that an entry was posted late, if it was. */
export async function notePosting(
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
