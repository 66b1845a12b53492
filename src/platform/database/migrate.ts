import path from 'node:path';
import { installJobs } from '../jobs/install-jobs.js';
import { applyGuards } from './guards.js';
import { refuseOwnerWithoutRoles } from './owner-rights.js';
import { applyMigrations } from './migrations-engine/schema-engine.js';

/**
 * Brings a database to this release, from nothing or from an earlier one: first the tables (`migrations`), then those
 * of the job library, then the rules over both (`guards`), ours under the folder `prisma`. Returns the names of what
 * was applied, if anything.
 */
export async function migrate(ownerUrl: string, prisma: string): Promise<{ migrations: string[]; guards: string[] }> {
  await refuseOwnerWithoutRoles(ownerUrl);
  const migrations = await applyMigrations(ownerUrl, path.join(prisma, 'migrations'));
  await installJobs(ownerUrl);
  const guards = await applyGuards(ownerUrl, path.join(prisma, 'guards'));
  return { migrations, guards };
}
