import { sql } from 'kysely';
import type { OperationTenant, SubjectRef } from '../../platform/database/types.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { BOOK_RECORD_KINDS } from '../../platform/wire/record-kinds.data.js';
import { correctionOf, kindInWords } from './corrected-at.data.js';
import { correctedBefore, replacementOf, takenBackBy } from './replaced.read.js';
import type { Posting } from './posting.read.js';

/** What enters the books, and so what an entry can correct. */
const ENTERED = ['head-change', ...BOOK_RECORD_KINDS] as const;

interface NamedEntry {
  readonly kind: (typeof ENTERED)[number];
  readonly id: string;
  readonly herdId: string | null;
}

/**
 * Records that an entry was posted late, if it was, and which entry it corrects, if it corrects one: one of its own
 * kind that was taken back, or is by this same correction, and that no other entry corrects.
 * @throws Problem rule-broken, conflict
 */
export async function notePosting(
  tenant: OperationTenant,
  subject: SubjectRef | readonly SubjectRef[],
  posting: Posting,
  correctsId?: string,
): Promise<void> {
  const subjects = 'id' in subject ? [subject] : subject;
  if (correctsId !== undefined) {
    for (const one of subjects.slice(0, 1)) await refuseUnfit(tenant, one.kind, correctsId);
    await refuseBeforeLateReversal(tenant, correctsId, posting.on);
    await noteCorrections(tenant, subjects, correctsId);
  }
  for (const one of subjects) await notePosted(tenant, one, posting, correctsId);
}

/** An entry stands in the place of one of its own kind that was taken back, and beside no other that does. */
async function refuseUnfit(tenant: OperationTenant, kind: SubjectRef['kind'], correctsId: string): Promise<void> {
  const named = await refuseAnotherKind(tenant, kind, correctsId);
  await refuseCorrected(tenant, correctsId);
  await refuseStanding(tenant, named);
}

/** Before other corrections of the same entry, which wait for this one. */
async function refuseCorrected(tenant: OperationTenant, id: string): Promise<void> {
  await sql`SELECT pg_advisory_xact_lock(hashtextextended(${id}, 746))`.execute(tenant.db);
  const replacement = await replacementOf(tenant, id, 'itself');
  if (replacement !== undefined) throw correctedBefore(id, replacement, '#/correctsId');
}

/**
 * What an entry corrects may itself have corrected another, whose reversal was posted late since its day was closed
 * then: from its own day until that one both would stand, if the new entry came before.
 */
async function refuseBeforeLateReversal(
  { db, operationId }: OperationTenant,
  correctsId: string,
  on: string,
): Promise<void> {
  const { rows } = await sql<{ posted: string | null }>`
    WITH RECURSIVE before AS (
      SELECT corrects_id AS id FROM entry_correction
       WHERE operation_id = ${operationId}::uuid AND subject_id = ${correctsId}::uuid
      UNION
      SELECT c.corrects_id FROM before b JOIN entry_correction c ON c.operation_id = ${operationId}::uuid
         AND c.subject_id = b.id)
    SELECT max(l.posted_on)::text AS posted FROM before b
      JOIN reversal r ON r.operation_id = ${operationId}::uuid AND r.subject_id = b.id
      JOIN late_posting l ON l.operation_id = r.operation_id AND l.subject_id = r.id`.execute(db);
  const posted = rows[0]?.posted;
  if (posted === undefined || posted === null || on >= posted) return;
  throw new Problem('conflict', `What was corrected first was taken back on ${posted}, as its days were closed.`, [
    {
      pointer: '#/correctsId',
      code: 'before-late-reversal',
      given: on,
      allowed: `${posted} or later`,
      message:
        `Dated ${on}, this would stand beside the first entry, which was taken back as of ${posted} only. Enter it ` +
        `on ${posted} or later.`,
    },
  ]);
}

/** That these stand in the place of another entry. */
export async function noteCorrections(
  { db, operationId, moment }: OperationTenant,
  subjects: readonly SubjectRef[],
  correctsId: string,
): Promise<void> {
  await db
    .insertInto('entry_correction')
    .values(
      subjects.map(({ id, kind }) => ({
        operation_id: operationId,
        subject_id: id,
        subject_kind: kind,
        corrects_id: correctsId,
        recorded_at: moment.toISOString(),
      })),
    )
    .execute();
}

/** @throws Problem where it is no entry of these books, or one of another kind */
async function refuseAnotherKind(
  { db, operationId }: OperationTenant,
  asked: SubjectRef['kind'],
  id: string,
): Promise<NamedEntry> {
  const named = sql`operation_id = ${operationId}::uuid AND id = ${id}::uuid`;
  const entries = ENTERED.map((kind) =>
    kind === 'head-change'
      ? sql`SELECT ${kind} AS kind, id, herd_id FROM head_change WHERE ${named} AND reverses_id IS NULL`
      : sql`SELECT ${kind}, id, NULL::uuid FROM ${sql.table(kind.replaceAll('-', '_'))} WHERE ${named}`,
  );
  const anyOf = sql<NamedEntry>`SELECT kind, id, herd_id AS "herdId" FROM (
    ${sql.join(entries, sql` UNION ALL `)}) AS entry (kind, id, herd_id)`;
  const { rows } = await anyOf.execute(db);
  const [entry] = rows;
  if (entry === undefined)
    throw ruleBroken(
      '#/correctsId',
      'not-a-record',
      id,
      'the id of an entry of this operation: a purchase, harvest, sale, transfer, count, loss, bill, feeding, ' +
        'yardage rate, cost of a herd or change of the head',
      'There is no such entry in these books.',
    );
  if (entry.kind !== asked)
    throw ruleBroken(
      '#/correctsId',
      'another-kind',
      id,
      `a ${kindInWords(asked)} that was reversed`,
      `${id} is a ${kindInWords(entry.kind)}: a ${kindInWords(asked)} cannot stand in its place. ${toTakeBack(entry)}`,
    );
  return entry;
}

/**
 * Its own correction enters what is right before it takes the mistake back (`corrected`); any other entry comes after
 * the reversal, or both would stand.
 */
async function refuseStanding(tenant: OperationTenant, entry: NamedEntry): Promise<void> {
  if ((await takenBackBy(tenant, [entry.id])).has(entry.id)) return;
  const { rows } = await sql<{ id: string | null }>`SELECT rickyard.setting('correcting_entry') AS id`.execute(
    tenant.db,
  );
  if (rows[0]?.id === entry.id) return;
  throw ruleBroken(
    '#/correctsId',
    'still-stands',
    entry.id,
    `a ${kindInWords(entry.kind)} that was reversed`,
    `The ${kindInWords(entry.kind)} ${entry.id} still stands. ${toTakeBack(entry)}`,
  );
}

function toTakeBack(entry: NamedEntry): string {
  const at = correctionOf(entry);
  return at === undefined ? 'Reverse it first.' : `Correct it in one call: ${at}; or reverse it first.`;
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
