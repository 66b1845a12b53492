import { cpSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { applyMigrations } from '../../src/platform/database/migrations-engine/schema-engine.js';

const MIGRATIONS = path.resolve(__dirname, '..', '..', 'prisma', 'migrations');

/** The state before the rules had files of their own: these migrations made functions, triggers and policies. */
export const BEFORE_GUARDS = [
  '20261125000001_tables',
  '20261125000002_guards',
  '20261125000010_access',
  '20261125000020_books',
  '20261125000030_desk',
  '20261125000040_trials',
  '20261125000050_imports_and_hay_budgets',
  '20261125000060_ledger_from_the_earliest',
  '20261125000061_figures_as_typed',
  '20261125000070_sealed_secrets',
  '20261125000071_lapsed_engagements',
];

/** Turns an empty database into what the last release before guards left. Returns the migrations it applied. */
export async function migrateAsBeforeGuards(url: string): Promise<string[]> {
  const only = mkdtempSync(path.join(tmpdir(), 'rickyard-earlier-'));
  try {
    cpSync(MIGRATIONS, only, { recursive: true });
    for (const entry of readdirSync(only, { withFileTypes: true }))
      if (entry.isDirectory() && !BEFORE_GUARDS.includes(entry.name))
        rmSync(path.join(only, entry.name), { recursive: true });
    return await applyMigrations(url, only);
  } finally {
    rmSync(only, { recursive: true, force: true });
  }
}
