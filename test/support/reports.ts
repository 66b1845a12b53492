import type { Operation } from './people.js';

const DAYS = { from: '2026-11-01', until: '2027-01-15' };

/** Reports that hay, its bills and what was fed of it change, over a winter. */
const REPORTS: readonly (readonly [path: string, query: Record<string, string>])[] = [
  ['/reports/hay-position', { on: DAYS.until }],
  ['/reports/hay-balances', { on: DAYS.until }],
  ['/reports/season-cost', { ...DAYS, by: 'herd' }],
  ['/reports/trial-balance', DAYS],
  ['/reports/cost-variances', DAYS],
  ['/reports/inventory-roll-forward', DAYS],
  ['/reports/feed-conversion', DAYS],
  ['/reports/tie-out', DAYS],
  ['/journal', DAYS],
];
const UUID = /[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}/g;
/** What tells when and from what a report was made, not what it says. */
const OF_THE_MAKING = /^(generatedAt|asOf|knownAt|sha256|.*Hash|ledgerSequence|movementCount|operation)$/i;

/**
 * What the reports of two operations have in common if their books are the same: without the ids, but for those that
 * `names` has a name for, and without what tells of the making.
 */
export async function reportsOf(operation: Operation, names: ReadonlyMap<string, string>): Promise<unknown> {
  const told: Record<string, unknown> = {};
  for (const [path, query] of REPORTS) {
    const { body } = await operation.as.accountant.get<object>(operation.at(path), { query, expect: 200 });
    const text = JSON.stringify(body, (key, value: unknown) => (OF_THE_MAKING.test(key) ? undefined : value));
    told[path] = JSON.parse(text.replace(UUID, (id) => names.get(id) ?? 'an id')) as unknown;
  }
  return told;
}
