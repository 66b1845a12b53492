import { addDays } from '../core/time/calendar-day.js';
import type { ToldMethodChange } from '../records/hay/costing/method-stretches.js';
import { inWords } from './corrections.js';
import type { Flag } from './report.schema.js';

/**
 * Which changes of the costing method a reader of some days should know of: those in them, and before them the last
 * one, as long as none of its days was closed since. Without `from`, all since the books began.
 */
export function methodChangeFlags(
  changes: readonly ToldMethodChange[],
  { from, until }: { from?: string | undefined; until: string },
): Flag[] {
  return changes
    .filter(({ on, closedSince }) => on <= until && (from === undefined || on >= from || !closedSince))
    .map(({ on, from: before, to, amount }) => ({
      code: 'costing-method-changed',
      message:
        `Up to ${addDays(on, -1)} hay was valued by ${before}, from ${on} on it is by ${to}. The change itself is ` +
        `${inWords(amount)} of the hay on hand then: an entry of ${on}, and in an inventory a line of its own.`,
    }));
}
