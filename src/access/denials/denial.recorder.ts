import { createHash } from 'node:crypto';
import { Injectable, type OnModuleDestroy } from '@nestjs/common';
import { sql, type Transaction } from 'kysely';
import { Database } from '../../platform/database/database.js';
import type { DB } from '../../platform/database/types.js';
import { newId } from '../../platform/identifiers.js';

/** Somebody was turned away: who as far as it is known, whence, at which endpoint, why. */
export interface Denial {
  operationId: string;
  endpoint: string;
  code: string;
  personId: string | undefined;
  apiKeyId: string | undefined;
  address: string;
  requestId: string;
  moment: Date;
}

/** What waits to be written; a flood beyond it is not written at all, since what it says is there already. */
const WAITING_MOST = 200;
/** Distinct kinds of denied attempts written for one operation in one hour; the rest is counted in one row. */
export const KINDS_AN_HOUR = 50;
/** A row counts so far and then says "that many or more": a flood must not become a flood of writes. */
export const COUNTED_MOST = 1000;
const HOUR_MS = 3_600_000;
const OVERFLOW = 'more-of-this-hour';

/**
 * Denied attempts, written beside the request and after it: how long the answer takes must not tell whether the operation exists. Equal
 * attempts of an hour are one row with a count; the first of each goes into the operation's audit chain.
 */
@Injectable()
export class DenialRecorder implements OnModuleDestroy {
  readonly #waiting = new Set<Promise<void>>();

  constructor(private readonly database: Database) {}

  note(denial: Denial): void {
    this.#later(() => this.#write(denial));
  }

  /** A sign-in that failed for somebody who belongs to operations shows to the owners of those. */
  noteSignIn(person: { id: string }, at: Pick<Denial, 'address' | 'requestId' | 'moment' | 'code'>): void {
    this.#later(async () => {
      const operations = await this.database.withProof({ person_id: person.id }, (db) => db.selectFrom('membership').select('operation_id').distinct()
        .where('person_id', '=', person.id).where('from_at', '<=', at.moment.toISOString())
        .where((e) => e.or([e('until_at', 'is', null), e('until_at', '>', at.moment.toISOString())])).execute());
      for (const { operation_id: operationId } of operations) await this.#write({ ...at, operationId, endpoint: 'signIn', personId: person.id, apiKeyId: undefined });
    });
  }

  /** Waits until everything noted so far is written. */
  async settled(): Promise<void> {
    while (this.#waiting.size > 0) await Promise.all(this.#waiting);
  }

  async onModuleDestroy(): Promise<void> {
    await this.settled();
  }

  #later(work: () => Promise<void>): void {
    if (this.#waiting.size >= WAITING_MOST) return;
    // An operation that does not exist takes no note (its foreign key refuses); neither does a database that is going away.
    const writing: Promise<void> = work().catch(() => undefined).finally(() => this.#waiting.delete(writing));
    this.#waiting.add(writing);
  }

  async #write(denial: Denial): Promise<void> {
    const { operationId, moment } = denial;
    const hour = new Date(Math.floor(moment.getTime() / HOUR_MS) * HOUR_MS).toISOString();
    await this.database.withProof({ audited_operation: operationId, moment: moment.toISOString() }, async (db) => {
      const hash = subjectOf(denial);
      const known = await this.#count(db, operationId, hour, hash, moment);
      if (known) return;
      const kinds = await db.selectFrom('denied_attempt').select((e) => e.fn.countAll<string>().as('kinds')).where('operation_id', '=', operationId).where('hour', '=', hour).executeTakeFirstOrThrow();
      if (Number(kinds.kinds) < KINDS_AN_HOUR) return this.#begin(db, denial, hour, hash);
      if (await this.#count(db, operationId, hour, OVERFLOW, moment)) return;
      await this.#begin(db, { ...denial, personId: undefined, apiKeyId: undefined, address: '', endpoint: OVERFLOW }, hour, OVERFLOW);
    });
  }

  async #count(db: Transaction<DB>, operationId: string, hour: string, hash: string, moment: Date): Promise<boolean> {
    const row = await db.selectFrom('denied_attempt').select(['id', 'attempts']).where('operation_id', '=', operationId).where('hour', '=', hour).where('subject_hash', '=', hash).executeTakeFirst();
    if (row === undefined) return false;
    if (row.attempts < COUNTED_MOST) {
      await db.updateTable('denied_attempt').set((e) => ({ attempts: e('attempts', '+', 1), last_at: moment.toISOString() }))
        .where('operation_id', '=', operationId).where('id', '=', row.id).where('attempts', '<', COUNTED_MOST).execute();
    }
    return true;
  }

  async #begin(db: Transaction<DB>, denial: Denial, hour: string, hash: string): Promise<void> {
    const at = denial.moment.toISOString();
    const id = newId();
    const made = await db.insertInto('denied_attempt').values({
      operation_id: denial.operationId, id, hour, subject_hash: hash, endpoint: denial.endpoint, code: denial.code, person_id: denial.personId ?? null, api_key_id: denial.apiKeyId ?? null,
      address: denial.address, request_id: denial.requestId, first_at: at, last_at: at, attempts: 1,
    }).onConflict((conflict) => conflict.columns(['operation_id', 'hour', 'subject_hash']).doUpdateSet({ attempts: sql`LEAST(denied_attempt.attempts + 1, ${COUNTED_MOST})`, last_at: at }))
      .returning(['id']).executeTakeFirst();
    if (made?.id !== id) return;
    await db.insertInto('audit_entry').values({
      operation_id: denial.operationId, sequence: '0', person_id: denial.personId ?? null, api_key_id: denial.apiKeyId ?? null, request_id: denial.requestId, address: denial.address,
      action: 'access.denied', subject_kind: 'denied-attempt', subject_id: id, before: null, after: JSON.stringify({ endpoint: denial.endpoint, code: denial.code }), chain_hash: '',
    }).execute();
  }
}

function subjectOf({ endpoint, code, personId, apiKeyId, address }: Denial): string {
  return createHash('sha256').update(JSON.stringify([endpoint, code, personId ?? null, apiKeyId ?? null, address])).digest('hex');
}
