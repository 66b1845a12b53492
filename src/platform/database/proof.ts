import { sql, type Transaction } from 'kysely';
import type { DB } from './types.js';

/**
 * Proofs that open rows in a transaction nobody has entered as themselves: each a setting `rickyard.*`, until the
 * transaction ends.
 */
export type Proof = Partial<
  Readonly<
    Record<
      | 'sign_in_email'
      | 'proof'
      | 'subjects'
      | 'enrolling_id'
      | 'person_id'
      | 'key_id'
      | 'audited_operation'
      | 'counting_invitations'
      | 'settling'
      | 'mailing'
      | 'delivering'
      | 'delivering_everywhere'
      | 'moment',
      string
    >
  >
>;

export async function showProof(trx: Transaction<DB>, proof: Proof): Promise<void> {
  for (const [name, value] of Object.entries(proof))
    await sql`SELECT set_config(${`rickyard.${name}`}, ${String(value)}, true)`.execute(trx);
}

/** From here on the transaction runs as this person at that moment: the database decides what they see. */
export async function enterAs(
  trx: Transaction<DB>,
  {
    personId,
    apiKeyId,
    moment,
    operationId,
  }: { personId: string; apiKeyId?: string | undefined; moment: Date; operationId: string },
): Promise<void> {
  await sql`SELECT * FROM rickyard.enter(${personId}::uuid, ${apiKeyId ?? null}::uuid,
    ${moment.toISOString()}::timestamptz, ${operationId}::uuid)`.execute(trx);
}
