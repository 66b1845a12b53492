import type { Act } from '../http/act.js';
import { actorOf, type Idempotency } from '../http/asker.js';
import { Problem } from '../http/problem.js';
import type { Tenant } from './types.js';

const IDEMPOTENCY_HOURS = 48;

/** Marks a repeated answer: the work was not done again. */
const replayed = new WeakSet();

export function wasReplayed(answer: object): boolean {
  return replayed.has(answer);
}

/** A transaction that may send its last statement with its COMMIT. */
interface Ending {
  endWith(statement: Promise<unknown>): void;
}

interface End<T> {
  kept: ((answer: T) => T) | undefined;
  open: Ending;
  passed: (() => Date) | undefined;
}

/**
 * Does the work once per (actor, route, key). The key's row is inserted first, on a unique index, in the same
 * transaction as the work: a simultaneous equal request waits here until the first commits and then gets its answer; if
 * the first fails, its row is gone with it. The stored answer is given only if the caller may still do everything they
 * could when it was made: what they may no longer see (a price) must not come back through a repeat.
 * @param acts what the caller may do in the operation now.
 * @param end `kept`: the part of the answer stored for a repeat, if not all of it; `open`: the transaction, which ends
 * with storing it; `passed`: a clock that does not run ahead, by which no key is forgotten before its time.
 * @throws Problem idempotency-key-reused if the key came before with another payload; not-permitted if the caller could
 * do more when the first answer was made.
 */
export async function answerOnce<T>(
  { db: trx, asker }: Pick<Tenant, 'db' | 'asker'>,
  once: Idempotency | undefined,
  acts: readonly Act[],
  work: () => Promise<T>,
  { kept = (answer) => answer, open, passed }: End<T>,
): Promise<T> {
  if (once === undefined) return work();
  const actor = actorOf(asker);
  const expires = new Date(asker.moment.getTime() + IDEMPOTENCY_HOURS * 3_600_000).toISOString();
  const over = new Date(Math.min(asker.moment.getTime(), (passed?.() ?? asker.moment).getTime()));
  const forgotten = trx
    .deleteFrom('idempotency_record')
    .where('actor', '=', actor)
    .where('expires_at', '<=', over.toISOString())
    .execute();
  const inserted = trx
    .insertInto('idempotency_record')
    .values({
      actor,
      route: once.route,
      key: once.key,
      payload_hash: once.payloadHash,
      status: null,
      answer: null,
      acts: [...acts],
      expires_at: expires,
    })
    .onConflict((conflict) => conflict.doNothing())
    .executeTakeFirst();
  const [begun] = await Promise.all([inserted, forgotten]);
  if (begun.numInsertedOrUpdatedRows === 0n) {
    const first = await trx
      .selectFrom('idempotency_record')
      .select(['payload_hash', 'answer', 'acts'])
      .where('actor', '=', actor)
      .where('route', '=', once.route)
      .where('key', '=', once.key)
      .executeTakeFirstOrThrow();
    if (first.payload_hash !== once.payloadHash) throw new Problem('idempotency-key-reused');
    if (!first.acts.every((act) => acts.includes(act))) throw doneButHidden(once, first.answer);
    const answer = first.answer as T & object;
    replayed.add(answer);
    return answer;
  }
  const answer = await work();
  open.endWith(
    trx
      .updateTable('idempotency_record')
      .set({ status: 201, answer: JSON.stringify(kept(answer) ?? {}) })
      .where('actor', '=', actor)
      .where('route', '=', once.route)
      .where('key', '=', once.key)
      .execute(),
  );
  return answer;
}

/** Whether this request was answered before; `answerOnce` then gives that answer, or says why it does not. */
export async function wasAnswered(
  { db: trx, asker }: Pick<Tenant, 'db' | 'asker'>,
  once: Idempotency | undefined,
): Promise<boolean> {
  if (once === undefined) return false;
  const row = await trx
    .selectFrom('idempotency_record')
    .select('key')
    .where('actor', '=', actorOf(asker))
    .where('route', '=', once.route)
    .where('key', '=', once.key)
    .where('expires_at', '>', asker.moment.toISOString())
    .executeTakeFirst();
  return row !== undefined;
}

function doneButHidden(once: Idempotency, firstAnswer: unknown): Problem {
  const at = once.recordAt?.(firstAnswer);
  return new Problem(
    'not-permitted',
    'This request was done once, and is not done again. Its answer is not shown again: your rights have changed ' +
      'since. ' +
      (at === undefined ? 'Read the record instead.' : 'Read the record at the address in Location.'),
    [],
    at === undefined ? {} : { Location: at },
  );
}
