import type { Tenant } from './types.js';

/**
 * A question whose answer stays while a transaction goes on: asked once in it for each key, however many records of a
 * file need it. Not for what the same transaction may change.
 */
export function onceInTransaction<Within extends Pick<Tenant, 'db'>, Answer>(
  ask: (tenant: Within, key: string) => Promise<Answer>,
): (tenant: Within, key: string) => Promise<Answer> {
  const known = new WeakMap<object, Map<string, Promise<Answer>>>();
  return (tenant, key) => {
    const within = known.get(tenant.db) ?? new Map<string, Promise<Answer>>();
    known.set(tenant.db, within);
    const answer = within.get(key) ?? ask(tenant, key);
    within.set(key, answer);
    return answer;
  };
}
