import { type Insertable, sql, type Transaction } from 'kysely';
import type pg from 'pg';
import { type Act, ACTS, mayAct } from '../roles/roles.data.js';
import { actorOf, type Asker, type Idempotency, PERSON_ACTOR } from '../http/asker.js';
import { notFound, Problem } from '../http/problem.js';
import { answerOnce } from './idempotency.js';
import { problemOfDatabaseError, problemOfReadOnly } from './database-errors.js';
import { type Proof, showProof } from './proof.js';
import { continued, pulledWithin, TextSoFar } from './pull.js';
import { type Reason, type Replica, saysNothingOfTheRequest } from './replica.js';
import { Doubts } from './doubts.js';
import { insertRows, recordStamp } from './rows.js';
import { type StatementRun, Transactions, type TransactionWork } from './transactions.js';
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
  WebhookServer,
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

/** Name of the share for callers not known yet, or outside any operation. */
const OUTSIDE = 'outside any operation';
const SIGNING_IN = 'signing in';
/** Of all operations together: somebody who takes lines slowly keeps a connection meanwhile. */
const PULLS = 'pulls';
const PULL_MOST_MS = 600_000;

/**
 * The only way to the database. Every entry states who is asking and when, opens one transaction and hands out the
 * query builder; row-level security limits that transaction to what the person may see. There is no way around it.
 */
export class Database {
  readonly #primary: Transactions;
  #settle: Settle | undefined;
  #passed: (() => Date) | undefined;
  #onlyReads = false;
  #tell: ((statement: StatementRun) => void) | undefined;
  #tellAudit: ((actions: readonly string[]) => void) | undefined;

  /** @param replica Where reads go that it can answer as the primary would. */
  constructor(
    pool: pg.Pool,
    readonly replica?: Replica,
  ) {
    const tell = (statement: StatementRun): void => this.#tell?.(statement);
    this.#primary = new Transactions(pool, tell);
    replica?.watchStatements(tell);
  }

  /** From now on every transaction is one that PostgreSQL lets write nothing; or, again, those that ask may write. */
  onlyRead(only: boolean): void {
    this.#onlyReads = only;
  }

  /** Reads across every operation of the person asking (a portfolio, a list of a person's operations). */
  read<T>(who: Who, work: (tenant: Tenant) => Promise<T>): Promise<T> {
    return this.#reading(shareOf(OUTSIDE, who), async (trx) => work(await enter(trx, who)));
  }

  /** Reads inside one operation. Not-found for anybody who does not belong to it at this moment. */
  readIn<T>(who: Who, operationId: string, work: (tenant: OperationTenant) => Promise<T>): Promise<T> {
    return this.#reading(shareOf(operationId, who), async (trx) => {
      const { tenant } = await enterOperation(trx, who, operationId, false);
      return work(tenant);
    });
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
    return pulledWithin(this.#pulled(asker, operationId, lines), PULL_MOST_MS);
  }

  async *#pulled(
    asker: Asker,
    operationId: string,
    lines: (tenant: OperationTenant) => AsyncIterable<string>,
  ): AsyncGenerator<string> {
    const taken = new TextSoFar();
    const { replica } = this;
    let because = await replica?.whyNot('patiently');
    if (replica !== undefined && because === undefined) {
      const end = replica.begin();
      try {
        for await (const piece of snapshot(replica.transactions, asker, operationId, lines)) {
          taken.add(piece);
          yield piece;
        }
        replica.counts.add('replica');
        return;
      } catch (error) {
        if (!saysNothingOfTheRequest(error)) throw problemOfDatabaseError(error) ?? error;
        because = replica.failed(error);
      } finally {
        end();
      }
    }
    if (because !== undefined) replica?.counts.add(because);
    try {
      yield* continued(taken, snapshot(this.#primary, asker, operationId, lines));
    } catch (error) {
      throw problemOfDatabaseError(error) ?? error;
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
    return this.#transaction(shareOf(OUTSIDE, who), async (trx, open) => {
      const tenant = await enter(trx, who);
      return answerOnce(tenant, admit?.(tenant), [], () => work(tenant), { kept, open, passed: this.#passed });
    });
  }

  /** Like `writeIn`, for a caller identified in the transaction; the work is done once for each Idempotency-Key. */
  async writeOnceIn<T>(who: Who, operationId: string, { admit, work, kept }: Work<OperationTenant, T>): Promise<T> {
    const write = (): Promise<{ answer: T; audited: readonly string[] } | { lapsedFor: Asker }> =>
      this.#transaction(shareOf(operationId, who), async (trx, open) => {
        const { tenant, lapsed, late, audited } = await enterOperation(trx, who, operationId, true);
        const once = admit?.(tenant);
        if (this.#settle !== undefined && lapsed) return { lapsedFor: tenant.asker };
        const all = async (): Promise<T> => {
          const answer = await work(tenant);
          const kept = confirmedRows(tenant);
          if (kept.length > 0) open.endWith(insertRows(trx, 'confirmed_entry', kept));
          for (const lateWork of late.values()) await lateWork((statement) => open.endWith(statement));
          return answer;
        };
        const how = { kept, open, passed: this.#passed };
        const answer = await answerOnce(tenant, once, actsIn(tenant), all, how).catch((error: unknown) => {
          throw problemOfDatabaseError(error, tenant.operation.unitPreference) ?? error;
        });
        return { answer, audited };
      });
    let done = await write();
    if ('lapsedFor' in done) {
      await this.#settle?.(operationId, done.lapsedFor);
      done = await write();
    }
    if ('answer' in done) {
      if (done.audited.length > 0) this.#tellAudit?.(done.audited);
      return done.answer;
    }
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
    return this.#transaction({ of: SIGNING_IN }, async (trx) => {
      await showProof(trx, proof);
      return work(trx);
    });
  }

  /** The operations that have costs of hay: all, or those of which some are due. */
  operationsWithCosts(which: 'all' | 'due'): Promise<string[]> {
    return this.#transaction(
      { of: OUTSIDE },
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
    return this.#transaction({ of: operationId }, async (trx) => {
      // The lock keeps the method of costing as it is read next.
      await sql`SELECT set_config('rickyard.may_' || act, ${`{${operationId}}`}, true),
        pg_advisory_xact_lock_shared(hashtextextended(${operationId}, 731))
        FROM unnest(ARRAY['read', 'prices', 'daily']) AS act`.execute(trx);
      const row = await trx.selectFrom('operation').selectAll().where('id', '=', operationId).executeTakeFirstOrThrow();
      return work({ db: trx, operationId, operation: settingsOf(row) });
    });
  }

  /** The tables of the job library, which hold ids and no records; jobs are added within transactions of ours. */
  readonly jobTables = {
    executeSql: (text: string, values?: unknown[]): Promise<{ rows: unknown[] }> =>
      this.#primary.ofJobs(text, values?.length === 0 ? undefined : values),
  };

  /** What the server itself does for the webhooks of one operation, asked for by nobody. */
  serveWebhooks<T>(operationId: string, moment: Date, work: (server: WebhookServer) => Promise<T>): Promise<T> {
    return this.#transaction({ of: operationId }, async (trx) => {
      await showProof(trx, { delivering: operationId, moment: moment.toISOString() });
      const audit = async (entry: AuditEntry): Promise<void> => {
        await showProof(trx, { audited_operation: operationId });
        await writeAudit(trx, NOBODY, operationId, [entry]);
      };
      return work({ db: trx, operationId, moment, audit });
    });
  }

  /** The operations that have a webhook that has not ended, or something of one that is kept. */
  operationsWithWebhooks(): Promise<string[]> {
    return this.#transaction(
      { of: OUTSIDE },
      async (trx) => {
        await showProof(trx, { delivering_everywhere: 'yes' });
        const rows = await trx.selectFrom('webhook').select('operation_id').distinct().execute();
        return rows.map((row) => row.operation_id);
      },
      'read only',
    );
  }

  /** Told which actions stand in the audit by a write that has committed. */
  watchAudit(tell: (actions: readonly string[]) => void): void {
    this.#tellAudit = tell;
  }

  /** Who is asking, for work that opens its own transactions. @throws Problem where nobody is. */
  identify(who: Who): Promise<Asker> {
    return this.#transaction({ of: SIGNING_IN }, (trx) => askerOf(trx, who), 'read only');
  }

  /** Told of each statement once it has run, whether or not it succeeded. */
  watchStatements(tell: (statement: StatementRun) => void): void {
    this.#tell = tell;
  }

  /** How many connections to the primary there are, and how many requests wait for one. */
  connections(): { inUse: number; idle: number; waiting: number } {
    return this.#primary.connections();
  }

  /** What time it is there, in milliseconds since 1970. */
  instant(): Promise<number> {
    return this.#primary.instant();
  }

  /** Keys of requests are kept for their hours by this clock as well as by the moment of the one who asks. */
  forgetKeysBy(passed: () => Date): void {
    this.#passed = passed;
  }

  /** Whether the database answers. */
  answers(): Promise<boolean> {
    return this.#primary.answers();
  }

  async close(): Promise<void> {
    await Promise.all([this.#primary.close(), this.replica?.close()]);
  }

  async #transaction<T>(whose: Share, work: TransactionWork<T>, accessMode?: 'read only'): Promise<T> {
    const mode = this.#onlyReads ? 'read only' : accessMode;
    try {
      return await this.#primary.shares.of(whose.of, () => this.#primary.run(work, mode), whose.caller);
    } catch (error) {
      throw problemOfDatabaseError(error) ?? (mode === undefined ? problemOfReadOnly(error) : undefined) ?? error;
    }
  }

  /** By the replica, if it has all that the primary had when this was asked; by the primary else, or if that fails. */
  async #reading<T>(whose: Share, work: TransactionWork<T>): Promise<T> {
    const { replica } = this;
    if (replica === undefined) return this.#transaction(whose, work, 'read only');
    const read = async (): Promise<{ answer: T } | { because: Reason }> => {
      const reason = await replica.whyNot();
      if (reason !== undefined) return { because: reason };
      const end = replica.begin();
      try {
        const answer = await replica.transactions.run(work, 'read only', 1);
        replica.counts.add('replica');
        return { answer };
      } catch (error) {
        if (saysNothingOfTheRequest(error)) return { because: replica.failed(error) };
        throw problemOfDatabaseError(error) ?? error;
      } finally {
        end();
      }
    };
    const done = await replica.transactions.shares.of(whose.of, read, whose.caller);
    if ('answer' in done) return done.answer;
    replica.counts.add(done.because);
    return this.#transaction(whose, work, 'read only');
  }
}

/** The share of the connections that is asked for, and by whom. */
interface Share {
  of: string;
  caller?: string | undefined;
}

function shareOf(of: string, who: Who): Share {
  if (typeof who === 'function') return { of };
  return { of, caller: 'tokenHash' in who ? who.tokenHash : (who.apiKeyId ?? who.personId) };
}

/** Everything that `lines` reads, in one snapshot of that server. */
async function* snapshot(
  transactions: Transactions,
  asker: Asker,
  operationId: string,
  lines: (tenant: OperationTenant) => AsyncIterable<string>,
): AsyncGenerator<string> {
  const places = [await transactions.shares.hold(PULLS)];
  try {
    places.push(await transactions.shares.hold(operationId));
    const trx = await transactions.snapshot();
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
  } finally {
    places.forEach((giveBack) => giveBack());
  }
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
  const may: Tenant['may'] = (act, inOperation) =>
    rows.some(
      (row) =>
        (inOperation === undefined || row.operation_id === inOperation) &&
        mayAct(row.role, row.sees_prices, row.scopes, act),
    );
  const memberships: MembershipNow[] = rows.map((row) => ({
    operationId: row.operation_id,
    role: row.role,
    seesPrices: may('prices', row.operation_id),
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
    may,
    auditIn: async (inOperation, entry) => writeAudit(trx, asker, inOperation, linesOf(entry)),
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

/** An operation that was entered, with what is to be done and told when the transaction ends. */
interface EnteredTenant {
  tenant: OperationTenant;
  lapsed: boolean;
  late: ReadonlyMap<string, LateWork>;
  /** Actions of the lines that were written to the audit. */
  audited: readonly string[];
}

async function enterOperation(
  trx: Transaction<DB>,
  who: Who,
  operationId: string,
  toWrite: boolean,
): Promise<EnteredTenant> {
  const { asker, row } = await enteredAs(trx, who, operationId, toWrite);
  if (row === undefined) throw notFound('operation');
  const tenant = tenantOf(trx, asker, row.memberships);
  const [withheld] = tenant.memberships.length === 0 ? tenant.withheld : [];
  if (withheld !== undefined) throw new Problem('owner-asks-more', LACKING[withheld.missing]);
  const operation = settingsOf(row);
  const late = new Map<string, LateWork>();
  const audited: string[] = [];
  const auditIn: Tenant['auditIn'] = (inOperation, entry) => {
    audited.push(...linesOf(entry).map(({ action }) => action));
    return tenant.auditIn(inOperation, entry);
  };
  return {
    tenant: {
      ...tenant,
      operationId,
      operation,
      doubts: new Doubts(asker.confirmed),
      auditIn,
      audit: (entry) => auditIn(operationId, entry),
      beforeCommit: (name, work) => {
        late.set(name, work);
      },
    },
    lapsed: row.lapsed,
    late,
    audited,
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

/** What was confirmed of the entries of this transaction. @throws Problem confirm where something was not. */
function confirmedRows(tenant: OperationTenant): Insertable<DB['confirmed_entry']>[] {
  return tenant.doubts.settled().map(({ subject, on, code, pointer, given, usual, source, message, aboutMoney }) => ({
    ...recordStamp(tenant),
    subject_kind: subject.kind,
    subject_id: subject.id,
    happened_on: on,
    about_money: aboutMoney === true,
    code,
    pointer,
    given,
    usual,
    source,
    message,
  }));
}

const AUDIT_LINES_AT_ONCE = 500;

/** Who did something, as the audit keeps it. */
type AuditedBy = Pick<Asker, 'personId' | 'apiKeyId' | 'requestId' | 'address'>;
/** The server itself. */
const NOBODY = { personId: null, apiKeyId: undefined, requestId: 'webhook-delivery', address: '' };

function linesOf(entry: AuditEntry | readonly AuditEntry[]): readonly AuditEntry[] {
  return Array.isArray(entry) ? (entry as readonly AuditEntry[]) : [entry as AuditEntry];
}

/** The database makes the chain, line by line in the order given, whether lines come one by one or many at once. */
async function writeAudit(
  trx: Transaction<DB>,
  asker: Omit<AuditedBy, 'personId'> & { personId: string | null },
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
