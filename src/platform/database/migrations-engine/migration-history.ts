import { createHash } from 'node:crypto';
import { existsSync, readFileSync } from 'node:fs';
import path from 'node:path';
import type pg from 'pg';

/** The database and the release do not belong together; a person has to decide. */
class MigrationProblem extends Error {
  override name = 'MigrationProblem';
}

const TABLE = '_prisma_migrations';

/**
 * Sent after a migration's script in the same transaction: records that it was applied. At most one line is unfinished,
 * that of this script, since only one server migrates at a time.
 */
export const WRITE_DOWN_AS_APPLIED = `
;
DO $$ BEGIN
  IF to_regclass('${TABLE}') IS NOT NULL THEN
    UPDATE ${TABLE} SET finished_at = now(), applied_steps_count = 1
     WHERE finished_at IS NULL AND rolled_back_at IS NULL;
  END IF;
END $$;`;

/**
 * Before anything is applied: clears migrations that were begun but not finished, which left nothing behind, and
 * refuses a history that does not match the folder.
 * @throws MigrationProblem naming the migrations, with what to do.
 */
export async function reconcileHistory(db: pg.Pool, folder: string): Promise<void> {
  const { rows: known } = await db.query<{ known: boolean }>(`SELECT to_regclass('${TABLE}') IS NOT NULL AS known`);
  if (known[0]?.known !== true) return;
  await db.query(`DELETE FROM ${TABLE} WHERE finished_at IS NULL AND rolled_back_at IS NULL`);
  const { rows } = await db.query<{ name: string; checksum: string }>(
    `SELECT migration_name AS name, checksum FROM ${TABLE} WHERE rolled_back_at IS NULL ORDER BY 1`,
  );
  const script = (name: string): string => path.join(folder, name, 'migration.sql');
  const later = rows.filter(({ name }) => !existsSync(script(name)));
  if (later.length > 0)
    throw new MigrationProblem(
      `The database was brought up by a later release, which this one does not know: ${namesOf(later)}. Start that ` +
        'release, or restore a backup from before it.',
    );
  const changed = rows.filter(({ name, checksum }) => digestOf(script(name)) !== checksum);
  if (changed.length > 0)
    throw new MigrationProblem(
      `These migrations were changed after they had been applied to the database: ${namesOf(changed)}. Put back the ` +
        'scripts of the release; a change belongs in a migration of its own.',
    );
}

function digestOf(file: string): string {
  return createHash('sha256').update(readFileSync(file)).digest('hex');
}

function namesOf(migrations: readonly { name: string }[]): string {
  return migrations.map(({ name }) => name).join(', ');
}
