import { sql } from 'kysely';
import type { OperationTenant } from '../../platform/database/types.js';
import { entered, takenOut } from './correction.js';

/**
 * Takes a mistake out and enters what is right, as one entry of the books: the database asks once, after both, whether
 * a lot or a herd is below zero, so that later entries may lean on either.
 */
export async function corrected<Reversal, Entry extends { readonly id: string }>(
  tenant: OperationTenant,
  mistakeId: string,
  {
    reverse,
    enter,
  }: {
    /** On the mistake's own day. */
    reverse: () => Promise<Reversal>;
    enter: (correctsId: string) => Promise<Entry>;
  },
): Promise<{ correctedId: string; reversal: Reversal; entry: Entry }> {
  await sql`SELECT set_config('rickyard.correcting', 'yes', true)`.execute(tenant.db);
  const reversal = await takenOut(reverse);
  const entry = await entered(tenant, () => enter(mistakeId));
  await sql`SELECT set_config('rickyard.correcting', '', true)`.execute(tenant.db);
  await sql`SET CONSTRAINTS stock_movement_correction, head_change_correction IMMEDIATE`.execute(tenant.db);
  return { correctedId: mistakeId, reversal, entry };
}
