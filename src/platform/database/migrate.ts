import path from 'node:path';
import { applyGuards } from './guards.js';
import { applyMigrations } from './migrations-engine/schema-engine.js';

/**
 * Brings a database to this release, from nothing or from an earlier one: first the tables (`migrations`), then the
 * rules over them (`guards`), both under the folder `prisma`. Returns the names of what was applied, if anything.
 */
export async function migrate(ownerUrl: string, prisma: string): Promise<{ migrations: string[]; guards: string[] }> {
  const migrations = await applyMigrations(ownerUrl, path.join(prisma, 'migrations'));
  const guards = await applyGuards(ownerUrl, path.join(prisma, 'guards'));
  return { migrations, guards };
}
