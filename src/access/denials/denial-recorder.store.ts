import { createHash } from 'node:crypto';
import { Inject, Injectable, type OnModuleDestroy } from '@nestjs/common';
import type { FastifyRequest } from 'fastify';
import { sql, type Transaction } from 'kysely';
import { type Clock, CLOCK } from '../../platform/clock.js';
import { Database } from '../../platform/database/database.js';
import type { DB } from '../../platform/database/types.js';
import type { ReceivedRequest } from '../../platform/http/endpoint.js';
import { hidesAnOperation } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { id as identifier } from '../../platform/wire/common.schema.js';
import { AccountEventStore } from '../account/account-event.store.js';
import { AuditStore } from '../audit/audit.store.js';

/** A refused attempt: who, as far as is known, from where, at which endpoint and why. */
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

/** An attempt on a person's account, outside any operation. */
export interface AccountDenial extends Pick<Denial, 'address' | 'requestId' | 'moment'> {
  endpoint: string;
  code:
    | 'sign-in-failed'
    | 'second-factor-failed'
    | 'refresh-failed'
    | 'wrong-passphrase'
    | 'recovery-failed'
    | 'passkey-failed';
}

/** A key that used to work and came with the request. */
export interface StaleKey {
  id: string;
  createdBy: string;
  operationId: string;
}

export type DeniableRequest = FastifyRequest & ReceivedRequest & { staleKey?: StaleKey };

/** Most distinct attempts that may wait to be written; beyond that a flood is dropped, since it adds nothing new. */
const WAITING_MOST = 200;
/** How many are written at a time; the rest of the pool is for requests that are allowed. */
const WRITERS = 2;
/**
 * Distinct kinds of denied attempts written for one operation in one hour, counted separately for members and others;
 * the rest goes into one row for each group.
 */
export const KINDS_AN_HOUR = 50;
/**
 * A row counts up to this and then means "that many or more": a flood of attempts must not become a flood of writes.
 */
const COUNTED_MOST = 1000;
const HOUR_MS = 3_600_000;
const OVERFLOW = 'more-of-this-hour';

interface Waiting {
  attempts: number;
  write: (attempts: number) => Promise<void>;
}

/**
 * Writes denied attempts outside the request, after it is answered, so that the time of the answer does not tell
 * whether the operation exists. Equal attempts within an hour share one row with a count; the first of each goes into
 * the operation's audit chain.
 */
@Injectable()
export class DenialRecorder implements OnModuleDestroy {
  readonly #waiting = new Map<string, Waiting>();
  readonly #writing = new Set<Promise<void>>();

  constructor(
    private readonly database: Database,
    private readonly audit: AuditStore,
    private readonly events: AccountEventStore,
    @Inject(CLOCK) private readonly clock: Clock,
  ) {}

  /**
   * Every answer passes here once. Noted are 401, 403 and the 404 that hides an operation, whether the guard or a
   * service gave it.
   */
  noteAnswer(request: DeniableRequest): void {
    const { problem, endpoint, asker, staleKey } = request;
    if (problem === undefined || endpoint === undefined) return;
    const at = {
      endpoint: endpoint.operationId,
      address: request.ip,
      requestId: String(request.id),
      moment: this.clock.now(),
    };
    if (staleKey !== undefined)
      this.note({
        ...at,
        operationId: staleKey.operationId,
        code: 'key-no-longer-good',
        personId: staleKey.createdBy,
        apiKeyId: staleKey.id,
      });
    const named = (request.params as Record<string, string | undefined> | undefined)?.['operationId'];
    const operationId = named ?? asker?.keyOperationId;
    if (
      operationId === undefined ||
      operationId === staleKey?.operationId ||
      !identifier.safeParse(operationId).success
    )
      return;
    const denied =
      problem.code === 'not-permitted' ||
      hidesAnOperation(problem) ||
      // A browser without a session is sent to the sign-in form; that is not an attempt.
      (problem.code === 'not-signed-in' && !(endpoint.browser === true && request.headers.authorization === undefined));
    if (denied)
      this.note({ ...at, operationId, code: problem.code, personId: asker?.personId, apiKeyId: asker?.apiKeyId });
  }

  note(denial: Denial): void {
    this.#later(JSON.stringify([denial.operationId, hourOf(denial.moment), subjectOf(denial)]), (attempts) =>
      this.#write(denial, attempts),
    );
  }

  /** An attempt on an account is shown to its person, and to the owners of the operations that they belong to. */
  noteAccount(person: { id: string }, at: AccountDenial): void {
    this.#later(JSON.stringify([person.id, hourOf(at.moment), at.endpoint, at.code, at.address]), async (attempts) => {
      await this.events.noteFailure(person.id, {
        kind: at.code === 'wrong-passphrase' ? 'wrong-passphrase-failed' : at.code,
        address: at.address,
        moment: at.moment,
        attempts,
      });
      const operations = await this.database.withProof({ person_id: person.id }, (db) =>
        db
          .selectFrom('membership')
          .select('operation_id')
          .distinct()
          .where('person_id', '=', person.id)
          .where('from_at', '<=', at.moment.toISOString())
          .where((e) => e.or([e('until_at', 'is', null), e('until_at', '>', at.moment.toISOString())]))
          .execute(),
      );
      for (const { operation_id: operationId } of operations)
        await this.#write({ ...at, operationId, personId: person.id, apiKeyId: undefined }, attempts);
    });
  }

  /** Waits until everything noted so far is written. */
  async settled(): Promise<void> {
    while (this.#writing.size > 0) await Promise.all(this.#writing);
  }

  async onModuleDestroy(): Promise<void> {
    await this.settled();
  }

  /** Equal attempts that arrive while one is waiting are written with it. */
  #later(key: string, write: Waiting['write']): void {
    const known = this.#waiting.get(key);
    if (known !== undefined) known.attempts += 1;
    else if (this.#waiting.size < WAITING_MOST) this.#waiting.set(key, { attempts: 1, write });
    if (this.#writing.size >= WRITERS) return;
    const writing: Promise<void> = this.#writeAll().finally(() => this.#writing.delete(writing));
    this.#writing.add(writing);
  }

  async #writeAll(): Promise<void> {
    for (let next = this.#waiting.entries().next(); next.done !== true; next = this.#waiting.entries().next()) {
      const [key, { write, attempts }] = next.value;
      this.#waiting.delete(key);
      // Nothing can be noted for an operation that does not exist (the foreign key refuses), nor while the database is
      // shutting down.
      await write(attempts).catch(() => undefined);
    }
  }

  async #write(denial: Denial, attempts: number): Promise<void> {
    const { operationId, moment } = denial;
    const hour = hourOf(moment);
    await this.database.withProof({ audited_operation: operationId, moment: moment.toISOString() }, async (db) => {
      const hash = subjectOf(denial);
      if (await this.#count(db, operationId, hour, hash, denial, attempts)) return;
      const inside = isInside(denial);
      const kinds = await db
        .selectFrom('denied_attempt')
        .select((e) => e.fn.countAll<string>().as('kinds'))
        .where('operation_id', '=', operationId)
        .where('hour', '=', hour)
        .where('code', inside ? '=' : '<>', 'not-permitted')
        .executeTakeFirstOrThrow();
      if (Number(kinds.kinds) < KINDS_AN_HOUR) return this.#begin(db, denial, hour, hash, attempts);
      const rest = inside ? OVERFLOW : `${OVERFLOW} of others`;
      if (await this.#count(db, operationId, hour, rest, denial, attempts)) return;
      await this.#begin(
        db,
        { ...denial, personId: undefined, apiKeyId: undefined, address: '', endpoint: OVERFLOW },
        hour,
        rest,
        attempts,
      );
    });
  }

  async #count(
    db: Transaction<DB>,
    operationId: string,
    hour: string,
    hash: string,
    { moment }: Denial,
    attempts: number,
  ): Promise<boolean> {
    const row = await db
      .selectFrom('denied_attempt')
      .select(['id', 'attempts'])
      .where('operation_id', '=', operationId)
      .where('hour', '=', hour)
      .where('subject_hash', '=', hash)
      .executeTakeFirst();
    if (row === undefined) return false;
    if (row.attempts < COUNTED_MOST) {
      await db
        .updateTable('denied_attempt')
        .set({ attempts: sql`LEAST(attempts + ${attempts}, ${COUNTED_MOST})`, last_at: moment.toISOString() })
        .where('operation_id', '=', operationId)
        .where('id', '=', row.id)
        .where('attempts', '<', COUNTED_MOST)
        .execute();
    }
    return true;
  }

  async #begin(db: Transaction<DB>, denial: Denial, hour: string, hash: string, attempts: number): Promise<void> {
    const at = denial.moment.toISOString();
    const id = newId();
    const made = await db
      .insertInto('denied_attempt')
      .values({
        operation_id: denial.operationId,
        id,
        hour,
        subject_hash: hash,
        endpoint: denial.endpoint,
        code: denial.code,
        person_id: denial.personId ?? null,
        api_key_id: denial.apiKeyId ?? null,
        address: denial.address,
        request_id: denial.requestId,
        first_at: at,
        last_at: at,
        attempts: Math.min(attempts, COUNTED_MOST),
      })
      .onConflict((conflict) =>
        conflict
          .columns(['operation_id', 'hour', 'subject_hash'])
          .doUpdateSet({ attempts: sql`LEAST(denied_attempt.attempts + ${attempts}, ${COUNTED_MOST})`, last_at: at }),
      )
      .returning(['id'])
      .executeTakeFirst();
    if (made?.id !== id) return;
    await this.audit.append(db, {
      ...denial,
      personId: denial.personId ?? null,
      action: 'access.denied',
      subjectKind: 'denied-attempt',
      subjectId: id,
      after: { endpoint: denial.endpoint, code: denial.code },
    });
  }
}

function hourOf(moment: Date): string {
  return new Date(Math.floor(moment.getTime() / HOUR_MS) * HOUR_MS).toISOString();
}

/** A member who tried more than the role allows; others must not be able to crowd these out. */
function isInside({ code }: Denial): boolean {
  return code === 'not-permitted';
}

/**
 * For unknown callers, all attempts from one network address count as one kind: which endpoints they try says little
 * and would use up the hour's limit.
 */
function subjectOf({ endpoint, code, personId, apiKeyId, address }: Denial): string {
  return createHash('sha256')
    .update(
      JSON.stringify([personId === undefined ? null : endpoint, code, personId ?? null, apiKeyId ?? null, address]),
    )
    .digest('hex');
}
