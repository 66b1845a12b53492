import { sql } from 'kysely';
import { nameKey } from '../../../core/units/name-key.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { notReversed } from '../../kit/not-reversed.read.js';

const PARTY = { hay_purchase: 'vendor', hay_sale: 'buyer' } as const;

interface Numbered {
  ticketNumber?: string | undefined;
  /** Vendor or buyer. */
  party: string;
  correctsId?: string | undefined;
}

/**
 * Doubts a ticket whose number its vendor, or buyer, gave out before: on a ticket that stands and is not the one that
 * this entry corrects.
 */
export async function doubtTicketNumber(
  tenant: OperationTenant,
  table: keyof typeof PARTY,
  { ticketNumber: number, party, correctsId }: Numbered,
): Promise<void> {
  if (number === undefined) return;
  const { rows } = await sql<{ id: string; on: string; party: string }>`
    SELECT it.id, COALESCE(late.told_on, it.happened_on) AS on, it.${sql.ref(PARTY[table])} AS party
      FROM ${sql.table(table)} it
      LEFT JOIN late_posting late ON late.operation_id = it.operation_id AND late.subject_id = it.id
     WHERE it.operation_id = ${tenant.operationId}::uuid AND lower(it.ticket_number) = lower(${number})
       AND ${notReversed('it')}
     ORDER BY it.happened_on, it.id`.execute(tenant.db);
  const before = rows.find((row) => row.id !== correctsId && nameKey(row.party) === nameKey(party));
  if (before === undefined) return;
  tenant.doubts.raise({
    code: 'ticket-number-again',
    pointer: '#/ticketNumber',
    given: number,
    usual: 'a number of its own on each ticket of one vendor or buyer',
    source: 'common practice, no source',
    message: `Ticket ${number} of ${before.party} is entered already, for ${before.on}. Check whether it is the same.`,
  });
}
