import { type RawBuilder, sql } from 'kysely';
import type { OperationTenant } from '../../platform/database/types.js';
import { Problem } from '../../platform/http/problem.js';
import { correctionOf, kindInWords } from './corrected-at.data.js';
import { notReversed } from './not-reversed.read.js';

/** What stands in the place of an entry that was corrected. */
interface Replacement {
  readonly kind: string;
  readonly id: string;
  readonly herdId: string | null;
}

/** Whether neither a reversal of its own nor, of a head change, a reversing row takes it back. */
const stands = (records: string): RawBuilder<boolean> => sql<boolean>`${notReversed(records, { id: 'subject_id' })}
  AND NOT EXISTS (SELECT 1 FROM head_change h WHERE h.operation_id = ${sql.ref(`${records}.operation_id`)}
    AND (h.reverses_id = ${sql.ref(`${records}.subject_id`)}
      OR h.id = ${sql.ref(`${records}.subject_id`)} AND h.reverses_id IS NOT NULL))`;

/**
 * The entry that was entered in the place of this one and stands; or where that was reversed, what stands in its place
 * in turn, unless only what names this one itself is asked for.
 */
export async function replacementOf(
  { db, operationId }: OperationTenant,
  id: string,
  asked: 'itself' | 'in turn',
): Promise<Replacement | undefined> {
  const { rows } = await sql<Replacement>`
    WITH RECURSIVE link AS NOT MATERIALIZED (
      SELECT operation_id, subject_id, subject_kind, corrects_id FROM entry_correction
       WHERE operation_id = ${operationId}::uuid
      UNION
      -- What an earlier release kept of it. A reversal corrects in its own way.
      SELECT operation_id, subject_id, subject_kind, corrects_id FROM late_posting
       WHERE operation_id = ${operationId}::uuid AND corrects_id IS NOT NULL AND subject_kind <> 'reversal'),
    after AS (
      SELECT l.operation_id, l.subject_id, l.subject_kind FROM link l WHERE l.corrects_id = ${id}::uuid
      UNION
      SELECT l.operation_id, l.subject_id, l.subject_kind FROM after a JOIN link l ON l.corrects_id = a.subject_id
       WHERE ${asked === 'in turn'})
    SELECT a.subject_kind AS kind, a.subject_id AS id, COALESCE(h.herd_id, e.herd_id) AS "herdId"
      FROM after a
      LEFT JOIN head_change h ON h.operation_id = a.operation_id AND h.id = a.subject_id
      LEFT JOIN herd_event e ON e.operation_id = a.operation_id AND e.id = a.subject_id
     WHERE ${stands('a')}
     ORDER BY a.subject_id DESC LIMIT 1`.execute(db);
  return rows[0];
}

/** What took these entries back, if anything did: reversals, or reversing rows of head changes; by the entry. */
export async function takenBackBy(
  { db, operationId }: OperationTenant,
  ids: readonly string[],
): Promise<ReadonlyMap<string, { readonly id: string; readonly on: string }>> {
  const { rows } = await sql<{ id: string; on: string; of: string }>`
    SELECT id, effective_on AS "on", subject_id AS "of" FROM reversal
     WHERE operation_id = ${operationId}::uuid AND subject_id = ANY (${[...ids]}::uuid[])
    UNION ALL
    SELECT id, happened_on, reverses_id FROM head_change
     WHERE operation_id = ${operationId}::uuid AND reverses_id = ANY (${[...ids]}::uuid[])`.execute(db);
  return new Map(rows.map(({ of, ...one }) => [of, one]));
}

/** That something was reversed before, and what to do: the entry in its place may be corrected. */
export async function reversedBefore(
  tenant: OperationTenant,
  subject: { readonly kind: string; readonly id: string },
  reversal: { readonly id: string; readonly on: string },
): Promise<Problem> {
  const replacement = await replacementOf(tenant, subject.id, 'in turn');
  const step = replacement === undefined ? ' Enter what is right, if something is.' : ` ${toCorrect(replacement)}`;
  const message = `This was already reversed on ${reversal.on} by the reversal ${reversal.id}.${step}`;
  const allowed =
    (replacement === undefined ? undefined : correctionOf(replacement)) ?? 'a record that was not reversed';
  const errors = [{ code: 'already-reversed', given: subject.id, allowed, message }];
  return new Problem('conflict', message, errors, {}, { id: subject.id, what: kindInWords(subject.kind) });
}

/** That another entry corrects this one and stands. */
export function correctedBefore(id: string, replacement: Replacement, pointer?: string): Problem {
  const message = `This was corrected before. ${toCorrect(replacement)}`;
  const allowed = correctionOf(replacement) ?? 'an entry that no standing entry corrects';
  const errors = [
    { ...(pointer === undefined ? {} : { pointer }), code: 'corrected-already', given: id, allowed, message },
  ];
  return new Problem('conflict', message, errors, {}, pointer === undefined ? { id, what: 'entry' } : undefined);
}

function toCorrect(replacement: Replacement): string {
  const at = correctionOf(replacement);
  return (
    `The ${kindInWords(replacement.kind)} ${replacement.id} stands in its place` +
    (at === undefined ? '; reverse that one.' : `; if that is wrong too, correct it: ${at}.`)
  );
}
