import { readdir } from 'node:fs/promises';
import path from 'node:path';
import pg from 'pg';
import type { BackupSource } from './take-backup.js';
import { pruneBackups, takeBackup } from './take-backup.js';

const KEPT = 3;

/**
 * Before the tables of books are changed for a new release, they are copied: to a folder of the data folder, where the
 * three newest stay. Nothing for books that are current, or that are yet to be made.
 * @returns lines for whoever starts it
 */
export async function backedUpBefore(source: BackupSource, prisma: string): Promise<string[]> {
  const applied = await appliedMigrations(source.url);
  if (applied.size === 0) return [];
  const entries = await readdir(path.join(prisma, 'migrations'), { withFileTypes: true });
  const pending = entries.filter((entry) => entry.isDirectory() && !applied.has(entry.name));
  if (pending.length === 0) return [];
  const backups = path.join(source.dataFolder, 'backups-before-upgrades');
  const { folder } = await takeBackup(source, backups, { moment: new Date() });
  await pruneBackups(backups, KEPT);
  return [`backed up to ${folder} before ${pending.length} migrations`];
}

async function appliedMigrations(url: string): Promise<ReadonlySet<string>> {
  const client = new pg.Client({ connectionString: url });
  client.on('error', () => undefined);
  await client.connect();
  try {
    const { rows } = await client.query<{ name: string }>(
      'SELECT migration_name AS name FROM _prisma_migrations WHERE finished_at IS NOT NULL AND rolled_back_at IS NULL',
    );
    return new Set(rows.map((row) => row.name));
  } catch (error) {
    // A database without a schema has no such table.
    if ((error as { code?: string }).code === '42P01') return new Set();
    throw error;
  } finally {
    await client.end();
  }
}
