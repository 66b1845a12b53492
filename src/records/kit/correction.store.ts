import { sql } from 'kysely';
import type { OperationTenant } from '../../platform/database/types.js';
import { RECORD_KINDS } from '../../platform/wire/record-kinds.data.js';
import type { CorrectedEntry, CorrectedKind } from './corrected-at.data.js';
import { entered, takenOut } from './correction.js';
import { leanedOn } from './leaned-on.js';
import { correctedBefore, replacementOf, reversedBefore, takenBackBy } from './replaced.read.js';
import { noteCorrections } from './posting.store.js';

interface Correcting<Reversal, Entry> {
  /** On the mistake's own day. Gets what is right where that was entered first. */
  readonly reverse: (right?: Entry) => Promise<Reversal>;
  readonly enter: (correctsId: string) => Promise<Entry>;
  /** What brings hay from outside is entered before the mistake goes out. */
  readonly first?: 'mistake out' | 'right in';
}

/**
 * Takes a mistake out and enters what is right, as one entry of the books: the database asks once, after both, whether
 * a lot or a herd is below zero, so that later entries may lean on either. Once: what was corrected is corrected in the
 * entry that stands in its place.
 */
export async function corrected<Reversal, Entry extends { readonly id: string }>(
  tenant: OperationTenant,
  mistake: CorrectedEntry,
  { reverse, enter, first = 'mistake out' }: Correcting<Reversal, Entry>,
): Promise<{ correctedId: string; reversal: Reversal; entry: Entry }> {
  await refuseCorrectedBefore(tenant, mistake);
  const { db } = tenant;
  await sql`SELECT set_config('rickyard.correcting', 'yes', true),
    set_config('rickyard.correcting_entry', ${mistake.id}, true)`.execute(db);
  const enteredRight = () => entered(tenant, () => enter(mistake.id));
  const both = async (): Promise<{ reversal: Reversal; entry: Entry }> => {
    if (first === 'mistake out') return { reversal: await takenOut(() => reverse()), entry: await enteredRight() };
    const entry = await enteredRight();
    return { reversal: await takenOut(() => reverse(entry)), entry };
  };
  const { reversal, entry } = await both();
  if (!entersTheBooks(mistake.kind)) await noteCorrections(tenant, [{ kind: mistake.kind, id: entry.id }], mistake.id);
  await sql`SELECT set_config('rickyard.correcting', '', true),
    set_config('rickyard.correcting_entry', '', true)`.execute(db);
  await sql`SET CONSTRAINTS stock_movement_correction, head_change_correction IMMEDIATE`
    .execute(db)
    .catch((error: unknown) => {
      throw leanedOn(error, tenant, { ...mistake, how: 'correction' });
    });
  return { correctedId: mistake.id, reversal, entry };
}

/** What enters the books says so itself, with its posting. */
function entersTheBooks(kind: CorrectedKind): boolean {
  return kind === 'head-change' || RECORD_KINDS[kind].entersTheBooks;
}

/** @throws Problem that names what stands in its place */
async function refuseCorrectedBefore(tenant: OperationTenant, mistake: CorrectedEntry): Promise<void> {
  const reversal = (await takenBackBy(tenant, [mistake.id])).get(mistake.id);
  if (reversal !== undefined) throw await reversedBefore(tenant, mistake, reversal);
  const replacement = await replacementOf(tenant, mistake.id, 'itself');
  if (replacement !== undefined) throw correctedBefore(mistake.id, replacement);
}
