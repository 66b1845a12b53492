import {
  type AccessMode,
  type ConnectionProvider,
  type DatabaseConnection,
  type Dialect,
  type Driver,
  Kysely,
  PostgresDialect,
  sql,
  Transaction,
} from 'kysely';
import type pg from 'pg';
import { type Act, ACTS, mayAct } from '../roles/roles.data.js';
import { actorOf, type Asker, type Idempotency, PERSON_ACTOR } from '../http/asker.js';
import { notFound, Problem } from '../http/problem.js';
import { answerOnce } from './idempotency.js';
import { problemOfDatabaseError } from './database-errors.js';
import { FairShare } from './fair-share.js';
import { isStalePlan, preparing } from './prepared-statements.js';
import { type Proof, showProof } from './proof.js';
import { pulledWithin } from './pull.js';
import { insertRows } from './rows.js';
import type {
  AuditEntry,
  DB,
  Lacking,
  LateWork,
  MembershipNow,
  OperationBooks,
  OperationSettings,
  OperationTenant,
  Tenant,
  Words,
} from './types.js';

type Settle = (operationId: string, by: Asker) => Promise<void>;
/** A session's token as shown; whose it is, is found by the statement that enters. */
export interface ShownToken {
  tokenHash: string;
  moment: Date;
  /** @throws Problem where the token opens no session. */
  askerOf: (session: { personId: string; provenAt: string | undefined } | undefined) => Asker;
}
/** The caller, or how to find out who it is inside the transaction they will work in. */
export type Who = Asker | ShownToken | ((db: Transaction<DB>) => Promise<Asker>);

/** What a write does, and how much of its answer a repeat of the request gets. */
export interface Work<Within, Answer> {
  /**
   * Checks that the caller may, and parses what was sent. Runs first; its result identifies a repeat. Throws a Problem
   * if they may not.
   */
  admit?: (tenant: Within) => Idempotency | undefined;
  work: (tenant: Within) => Promise<Answer>;
  kept?: ((answer: Answer) => Answer) | undefined;
}

/** Without the values that went with it. */
interface StatementRun {
  text: string;
  ms: number;
}

const TRIES = 4;
/** Name of the share for callers not known yet, or outside any operation. */
const OUTSIDE = 'outside any operation';
const SIGNING_IN = 'signing in';
/** Of all operations together: somebody who takes lines slowly keeps a connection meanwhile. */
const PULLS = 'pulls';
const PULL_MOST_MS = 600_000;
/** One operation may use a quarter of the connections, and at least two. */
const SHARE_OF_POOL = 0.25;
const WAITING_MOST = 200;
const RETRIABLE = new Set(['40001', '40P01']);

/**
 * The only way to the database. Every entry states who is asking and when, opens one transaction and hands out the
 * query builder; row-level security limits that transaction to what the person may see. There is no way around it.
 */
export class Database {
  readonly #kysely: Kysely<DB>;
  /** What every transaction's query builder is made of. */
  readonly #parts: { dialect: Dialect; config: { dialect: Dialect }; driver: Driver };
  readonly #shares: FairShare;
  #settle: Settle | undefined;
  #tell: ((statement: StatementRun) => void) | undefined;

  constructor(private readonly pool: pg.Pool) {
    const dialect = new PostgresDialect({ pool: preparing(pool) });
    this.#kysely = new Kysely<DB>({
      dialect,
      log: ({ query, queryDurationMillis }) => this.#tell?.({ text: query.sql, ms: queryDurationMillis }),
    });
    this.#parts = { dialect, config: { dialect }, driver: dialect.createDriver() };
    this.#shares = new FairShare({
      atOnce: Math.max(2, Math.floor(pool.options.max * SHARE_OF_POOL)),
      waiting: WAITING_MOST,
      patienceMs: pool.options.connectionTimeoutMillis ?? 0,
    });
  }

  /** Reads across every operation of the person asking (a portfolio, a list of a person's operations). */
  read<T>(who: Who, work: (tenant: Tenant) => Promise<T>): Promise<T> {
    return this.#transaction(OUTSIDE, async (trx) => work(await enter(trx, who)), 'read only');
  }

  /** Reads inside one operation. Not-found for anybody who does not belong to it at this moment. */
  readIn<T>(who: Who, operationId: string, work: (tenant: OperationTenant) => Promise<T>): Promise<T> {
    return this.#transaction(
      operationId,
      async (trx) => {
        const { tenant } = await enterOperation(trx, who, operationId, false);
        return work(tenant);
      },
      'read only',
    );
  }

  /**
   * Reads inside one operation, all of it in one snapshot: what commits while the lines are taken is left out as a
   * whole. The transaction stays open until the last line is taken, or nobody takes more, or `PULL_MOST_MS` are over.
   */
  pull(
    asker: Asker,
    operationId: string,
    lines: (tenant: OperationTenant) => AsyncIterable<string>,
  ): Promise<AsyncIterable<string>> {
    return pulledWithin(this.#snapshot(asker, operationId, lines), PULL_MOST_MS);
  }

  async *#snapshot(
    asker: Asker,
    operationId: string,
    lines: (tenant: OperationTenant) => AsyncIterable<string>,
  ): AsyncGenerator<string> {
    const places = [await this.#shares.hold(PULLS)];
    try {
      places.push(await this.#shares.hold(operationId));
      const begin = this.#kysely.startTransaction().setIsolationLevel('repeatable read').setAccessMode('read only');
      const trx = await begin.execute();
      try {
        const { tenant } = await enterOperation(trx, asker, operationId, false);
        yield* lines(tenant);
      } finally {
        // Nothing was written; a connection that is gone has no transaction left.
        await trx
          .rollback()
          .execute()
          .catch(() => undefined);
      }
    } catch (error) {
      throw problemOfDatabaseError(error) ?? error;
    } finally {
      places.forEach((giveBack) => giveBack());
    }
  }

  /** Writes outside any operation (opening one, a person's own account). */
  write<T>(asker: Asker, work: (tenant: Tenant) => Promise<T>): Promise<T> {
    return this.writeOnce(asker, { work, admit: () => asker.idempotency });
  }

  /** Writes inside one operation: work, audit, ledger and the stored first answer commit together or not at all. */
  writeIn<T>(asker: Asker, operationId: string, work: (tenant: OperationTenant) => Promise<T>): Promise<T> {
    return this.writeOnceIn(asker, operationId, { work, admit: () => asker.idempotency });
  }

  /** Like `write`, for a caller identified in the transaction; the work is done once for each Idempotency-Key. */
  writeOnce<T>(who: Who, { admit, work, kept }: Work<Tenant, T>): Promise<T> {
    return this.#transaction(OUTSIDE, async (trx, open) => {
      const tenant = await enter(trx, who);
      return answerOnce(tenant, admit?.(tenant), [], () => work(tenant), { kept, open });
    });
  }

  /** Like `writeIn`, for a caller identified in the transaction; the work is done once for each Idempotency-Key. */
  async writeOnceIn<T>(who: Who, operationId: string, { admit, work, kept }: Work<OperationTenant, T>): Promise<T> {
    const write = (): Promise<{ answer: T } | { lapsedFor: Asker }> =>
      this.#transaction(operationId, async (trx, open) => {
        const { tenant, lapsed, late } = await enterOperation(trx, who, operationId, true);
        const once = admit?.(tenant);
        if (this.#settle !== undefined && lapsed) return { lapsedFor: tenant.asker };
        const all = async (): Promise<T> => {
          const answer = await work(tenant);
          for (const lateWork of late.values()) await lateWork((statement) => open.endWith(statement));
          return answer;
        };
        const answer = await answerOnce(tenant, once, actsIn(tenant), all, { kept, open }).catch((error: unknown) => {
          throw problemOfDatabaseError(error, tenant.operation.unitPreference) ?? error;
        });
        return { answer };
      });
    const first = await write();
    if ('answer' in first) return first.answer;
    await this.#settle?.(operationId, first.lapsedFor);
    const second = await write();
    if ('answer' in second) return second.answer;
    throw new Error(`Something in operation ${operationId} has ended and could not be settled`);
  }

  /**
   * Work that is due before an operation may change again because the end date of something has passed: the first write
   * to come takes the consultant's copy as of the end. In a transaction of its own, so that no locks wait for each
   * other.
   */
  settleBeforeWrites(settle: Settle): void {
    this.#settle = settle;
  }

  /**
   * For signing in, when nobody is known yet: the transaction sees only rows that the given proof opens
   * (`sign_in_email`, the hash of a token as `proof`, the counted `subjects`).
   */
  withProof<T>(proof: Proof, work: (db: Transaction<DB>) => Promise<T>): Promise<T> {
    return this.#transaction(SIGNING_IN, async (trx) => {
      await showProof(trx, proof);
      return work(trx);
    });
  }

  /** The operations that have costs of hay: all, or those of which some are due. */
  operationsWithCosts(which: 'all' | 'due'): Promise<string[]> {
    return this.#transaction(
      OUTSIDE,
      async (trx) => {
        await sql`SELECT set_config('rickyard.costing', 'everywhere', true)`.execute(trx);
        const rows = await trx
          .selectFrom(which === 'due' ? 'costing_due' : 'costing_pool')
          .select('operation_id')
          .distinct()
          .execute();
        return rows.map((row) => row.operation_id);
      },
      'read only',
    );
  }

  /** The books of one operation, asked for by nobody: for costs to be written, or compared with the ledger. */
  keepBooks<T>(operationId: string, work: (books: OperationBooks) => Promise<T>): Promise<T> {
    return this.#transaction(operationId, async (trx) => {
      // The lock keeps the method of costing as it is read next.
      await sql`SELECT set_config('rickyard.may_' || act, ${`{${operationId}}`}, true),
        pg_advisory_xact_lock_shared(hashtextextended(${operationId}, 731))
        FROM unnest(ARRAY['read', 'prices', 'daily']) AS act`.execute(trx);
      const row = await trx.selectFrom('operation').selectAll().where('id', '=', operationId).executeTakeFirstOrThrow();
      return work({ db: trx, operationId, operation: settingsOf(row) });
    });
  }

  /** Who is asking, for work that opens its own transactions. @throws Problem where nobody is. */
  identify(who: Who): Promise<Asker> {
    return this.#transaction(SIGNING_IN, (trx) => askerOf(trx, who), 'read only');
  }

  /** Told of each statement once it has run, whether or not it succeeded. */
  watchStatements(tell: (statement: StatementRun) => void): void {
    this.#tell = tell;
  }

  /** How many connections there are, and how many requests wait for one. */
  connections(): { inUse: number; idle: number; waiting: number } {
    const { totalCount, idleCount, waitingCount } = this.pool;
    return { inUse: totalCount - idleCount, idle: idleCount, waiting: waitingCount };
  }

  /** Whether the database answers. */
  async answers(): Promise<boolean> {
    try {
      await this.pool.query('SELECT 1');
      return true;
    } catch {
      return false;
    }
  }

  async close(): Promise<void> {
    await this.#kysely.destroy();
  }

  #transaction<T>(
    whose: string,
    work: (trx: Transaction<DB>, open: OpenTransaction) => Promise<T>,
    accessMode?: AccessMode,
  ): Promise<T> {
    return this.#shares.of(whose, () => this.#inTransaction(work, accessMode));
  }

  /** PostgreSQL holds readers to reading, by the statement that begins the transaction. */
  async #inTransaction<T>(
    work: (trx: Transaction<DB>, open: OpenTransaction) => Promise<T>,
    accessMode?: AccessMode,
  ): Promise<T> {
    const begin = this.#kysely.transaction();
    const transaction = accessMode === undefined ? begin : begin.setAccessMode(accessMode);
    for (let attempt = 1; ; attempt += 1) {
      let open: OpenTransaction | undefined;
      try {
        return await transaction.execute(async (trx) => {
          const executor = trx.getExecutor();
          const opened = new OpenTransaction(await executor.provideConnection((one) => Promise.resolve(one)));
          open = opened;
          const sideBySide = new Transaction<DB>({ ...this.#parts, executor: executor.withConnectionProvider(opened) });
          return work(sideBySide, opened).finally(() => opened.end());
        });
      } catch (caught) {
        const error = (await open?.failedLast()) ?? caught;
        if (mayBeTriedAgain(error) && attempt < TRIES) continue;
        throw problemOfDatabaseError(error) ?? error;
      }
    }
  }
}

/**
 * Statements run side by side, so one may still be to come when another has failed. It must not reach the connection
 * after the transaction has ended: that may be somebody else's by then.
 */
class OpenTransaction implements ConnectionProvider {
  #ended = false;
  readonly #last: Promise<unknown>[] = [];

  constructor(private readonly connection: DatabaseConnection) {}

  end(): void {
    this.#ended = true;
  }

  /** A last statement before COMMIT, which is sent with it: if it fails, COMMIT does. */
  endWith(statement: Promise<unknown>): void {
    this.#last.push(statement);
    statement.catch(() => undefined);
  }

  /** What went wrong with the last statements, if COMMIT failed for that. */
  async failedLast(): Promise<unknown> {
    const settled = await Promise.allSettled(this.#last);
    return settled.find((one) => one.status === 'rejected')?.reason as unknown;
  }

  /** Kysely would have each statement wait for the answer to the one before. */
  async provideConnection<T>(send: (connection: DatabaseConnection) => Promise<T>): Promise<T> {
    if (this.#ended) throw new Error('A statement came after its transaction had ended');
    return send(this.connection);
  }
}

function mayBeTriedAgain(error: unknown): boolean {
  const code = (error as { code?: unknown }).code;
  return (typeof code === 'string' && RETRIABLE.has(code)) || isStalePlan(error);
}

function isToken(who: Who): who is ShownToken {
  return 'askerOf' in who;
}

async function askerOf(trx: Transaction<DB>, who: Who): Promise<Asker> {
  if (!isToken(who)) return typeof who === 'function' ? who(trx) : who;
  const { rows } = await sql<OfSession>`SELECT * FROM
    rickyard.session_of_token(${who.tokenHash}, ${who.moment.toISOString()}::timestamptz)`.execute(trx);
  return sessionIn(who, rows);
}

/** All acts that the caller may do in the operation at this moment. */
function actsIn(tenant: OperationTenant): Act[] {
  return ACTS.filter((act) => tenant.may(act, tenant.operationId));
}

const LACKING: Readonly<Record<Lacking, string>> = {
  'second-factor':
    'One-time codes or a passkey are needed here: set codes up at POST /v1/me/second-factor, or a passkey at ' +
    '/yard/account; it counts at once.',
  'second-look': 'Show that it is still you: POST /v1/me/second-look, or sign in again.',
  'newer-key': 'The key was made too long ago to work here: rotate it, or make a new one.',
};

interface GrantedMembership {
  operation_id: string;
  role: Words['Role'];
  sees_prices: boolean;
  scopes: string[] | null;
  /** What the operation's owner asks for and the person or key lacks: the membership opens nothing meanwhile. */
  lacking: Lacking | null;
}

/** A row of the statement that enters, with whose session the token opened. */
interface OfSession {
  person_id: string;
  proven_at: string | null;
}

function sessionIn({ askerOf: asker }: ShownToken, rows: readonly OfSession[]): Asker {
  const [row] = rows;
  return asker(row === undefined ? undefined : { personId: row.person_id, provenAt: row.proven_at ?? undefined });
}

async function enter(trx: Transaction<DB>, who: Who): Promise<Tenant> {
  if (isToken(who)) {
    const { rows } = await sql<OfSession & (GrantedMembership | { operation_id: null })>`
      SELECT session.person_id, session.proven_at, entered.*
        FROM rickyard.session_of_token(${who.tokenHash}, ${who.moment.toISOString()}::timestamptz) AS session
        LEFT JOIN LATERAL rickyard.enter(session.person_id, NULL, ${who.moment.toISOString()}::timestamptz, NULL,
          session.proven_at) AS entered ON true
       CROSS JOIN LATERAL set_config('rickyard.actor', ${PERSON_ACTOR} || session.person_id, true)`.execute(trx);
    const granted = rows.filter((row): row is OfSession & GrantedMembership => row.operation_id !== null);
    return tenantOf(trx, sessionIn(who, rows), granted);
  }
  const asker = await askerOf(trx, who);
  const { rows } = await sql<GrantedMembership>`
    SELECT * FROM rickyard.enter(${asker.personId}::uuid, ${asker.apiKeyId ?? null}::uuid,
      ${asker.moment.toISOString()}::timestamptz, NULL, ${asker.provenAt ?? null}::timestamptz),
           set_config('rickyard.actor', ${actorOf(asker)}, true)`.execute(trx);
  return tenantOf(trx, asker, rows);
}

function tenantOf(trx: Transaction<DB>, asker: Asker, all: readonly GrantedMembership[]): Tenant {
  const rows = all.filter((row) => row.lacking === null);
  const memberships: MembershipNow[] = rows.map((row) => ({
    operationId: row.operation_id,
    role: row.role,
    seesPrices: row.sees_prices,
  }));
  return {
    db: trx,
    asker,
    personId: asker.personId,
    apiKeyId: asker.apiKeyId,
    moment: asker.moment,
    memberships,
    withheld: all.flatMap(({ operation_id: inOperation, lacking }) =>
      lacking === null ? [] : [{ operationId: inOperation, missing: lacking }],
    ),
    may: (act, inOperation) =>
      rows.some(
        (row) =>
          (inOperation === undefined || row.operation_id === inOperation) &&
          mayAct(row.role, row.sees_prices, row.scopes, act),
      ),
    auditIn: async (inOperation, entry) =>
      writeAudit(
        trx,
        asker,
        inOperation,
        Array.isArray(entry) ? (entry as readonly AuditEntry[]) : [entry as AuditEntry],
      ),
  };
}

interface EnteredOperation {
  memberships: GrantedMembership[];
  name: string;
  unit_preference: Words['UnitSystem'];
  currency: Words['Currency'];
  time_zone: string;
  costing_method: Words['CostingMethod'];
  invented: boolean;
  /** For a write: has anything in this operation passed its end without being settled? */
  lapsed: boolean;
}

async function enterOperation(
  trx: Transaction<DB>,
  who: Who,
  operationId: string,
  toWrite: boolean,
): Promise<{ tenant: OperationTenant; lapsed: boolean; late: ReadonlyMap<string, LateWork> }> {
  const { asker, row } = await enteredAs(trx, who, operationId, toWrite);
  if (row === undefined) throw notFound('operation');
  const tenant = tenantOf(trx, asker, row.memberships);
  const [withheld] = tenant.memberships.length === 0 ? tenant.withheld : [];
  if (withheld !== undefined) throw new Problem('owner-asks-more', LACKING[withheld.missing]);
  const operation = settingsOf(row);
  const late = new Map<string, LateWork>();
  return {
    tenant: {
      ...tenant,
      operationId,
      operation,
      audit: (entry) => tenant.auditIn(operationId, entry),
      beforeCommit: (name, work) => {
        late.set(name, work);
      },
    },
    lapsed: row.lapsed,
    late,
  };
}

function settingsOf(row: Omit<EnteredOperation, 'memberships' | 'lapsed'>): OperationSettings {
  return {
    name: row.name,
    unitPreference: row.unit_preference,
    currency: row.currency,
    timeZone: row.time_zone,
    costingMethod: row.costing_method,
    invented: row.invented,
  };
}

/** Who enters, and what was entered: nothing for a stranger. */
async function enteredAs(
  trx: Transaction<DB>,
  who: Who,
  operationId: string,
  toWrite: boolean,
): Promise<{ asker: Asker; row: EnteredOperation | undefined }> {
  if (isToken(who)) {
    const moment = who.moment.toISOString();
    const { rows } = await sql<OfSession & (EnteredOperation | { memberships: null })>`
      SELECT session.person_id, session.proven_at, entered.*
        FROM rickyard.session_of_token(${who.tokenHash}, ${moment}::timestamptz) AS session
        LEFT JOIN LATERAL rickyard.enter_operation(session.person_id, NULL, ${moment}::timestamptz,
          ${operationId}::uuid, ${PERSON_ACTOR} || session.person_id, ${toWrite}, session.proven_at)
          AS entered ON true`.execute(trx);
    const asker = sessionIn(who, rows);
    const [row] = rows;
    return { asker, row: row === undefined || row.memberships === null ? undefined : row };
  }
  const asker = await askerOf(trx, who);
  const { rows } = await sql<EnteredOperation>`SELECT * FROM rickyard.enter_operation(${asker.personId}::uuid,
    ${asker.apiKeyId ?? null}::uuid, ${asker.moment.toISOString()}::timestamptz, ${operationId}::uuid,
    ${actorOf(asker)}, ${toWrite}, ${asker.provenAt ?? null}::timestamptz)`.execute(trx);
  return { asker, row: rows[0] };
}

const AUDIT_LINES_AT_ONCE = 500;

/** The database makes the chain, line by line in the order given, whether lines come one by one or many at once. */
async function writeAudit(
  trx: Transaction<DB>,
  asker: Asker,
  operationId: string,
  entries: readonly AuditEntry[],
): Promise<void> {
  for (let from = 0; from < entries.length; from += AUDIT_LINES_AT_ONCE) {
    await insertRows(
      trx,
      'audit_entry',
      entries.slice(from, from + AUDIT_LINES_AT_ONCE).map((entry) => ({
        operation_id: operationId,
        sequence: '0',
        person_id: asker.personId,
        api_key_id: asker.apiKeyId ?? null,
        request_id: asker.requestId,
        address: asker.address,
        action: entry.action,
        subject_kind: entry.subjectKind,
        subject_id: entry.subjectId,
        before: entry.before ?? null,
        after: entry.after ?? null,
        chain_hash: '',
      })),
    );
  }
}
