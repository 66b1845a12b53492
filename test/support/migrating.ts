import { applyMigrations } from '../../src/platform/database/schema-engine.js';

/**
 * Prisma's schema engine arms a deadline of ten seconds for its lock and forgets it; a run would wait for that at its
 * end. Whatever it arms while it works must not keep the process.
 */
export async function withoutLingeringTimers<T>(work: () => Promise<T>): Promise<T> {
  const arm = globalThis.setTimeout;
  const armLoosely: unknown = (...given: Parameters<typeof arm>) => arm(...given).unref();
  globalThis.setTimeout = armLoosely as typeof arm;
  try {
    return await work();
  } finally {
    globalThis.setTimeout = arm;
  }
}

export function migrate(url: string, folder: string): Promise<string[]> {
  return withoutLingeringTimers(() => applyMigrations(url, folder));
}
