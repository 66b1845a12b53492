import {
  type AccessMode,
  type ConnectionProvider,
  type ControlledTransaction,
  type DatabaseConnection,
  type Dialect,
  type Driver,
  Kysely,
  Transaction,
} from 'kysely';
import type pg from 'pg';
import { FairShare } from './fair-share.js';
import { ListsAsOneValue } from './lists-as-one-value.js';
import { isStalePlan, preparing } from './prepared-statements.js';
import type { DB } from './types.js';

/** Without the values that went with it. */
export interface StatementRun {
  text: string;
  ms: number;
}

export type TransactionWork<T> = (trx: Transaction<DB>, open: OpenTransaction) => Promise<T>;

const TRIES = 4;
/** One operation may use a quarter of the connections, and at least two. */
const SHARE_OF_POOL = 0.25;
const WAITING_MOST = 200;
const RETRIABLE = new Set(['40001', '40P01']);

/** Transactions on the connections to one server, which operations share. */
export class Transactions {
  /** Of all connections, the shares that operations have. */
  readonly shares: FairShare;
  readonly #kysely: Kysely<DB>;
  /** What every transaction's query builder is made of. */
  readonly #parts: { dialect: Dialect; config: { dialect: Dialect }; driver: Driver };

  constructor(
    private readonly pool: pg.Pool,
    tell: (statement: StatementRun) => void,
  ) {
    const dialect = new ListsAsOneValue({ pool: preparing(pool) });
    this.#kysely = new Kysely<DB>({
      dialect,
      log: ({ query, queryDurationMillis }) => tell({ text: query.sql, ms: queryDurationMillis }),
    });
    this.#parts = { dialect, config: { dialect }, driver: dialect.createDriver() };
    this.shares = new FairShare({
      atOnce: Math.max(2, Math.floor(pool.options.max * SHARE_OF_POOL)),
      waiting: WAITING_MOST,
      patienceMs: pool.options.connectionTimeoutMillis ?? 0,
    });
  }

  /**
   * PostgreSQL holds readers to reading, by the statement that begins the transaction.
   * @throws what the last of its tries met.
   */
  async run<T>(work: TransactionWork<T>, accessMode?: AccessMode, tries = TRIES): Promise<T> {
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
        if (mayBeTriedAgain(error) && attempt < tries) continue;
        throw error;
      }
    }
  }

  /** One snapshot for whatever is read in it; whoever began it ends it. */
  snapshot(): Promise<ControlledTransaction<DB>> {
    return this.#kysely.startTransaction().setIsolationLevel('repeatable read').setAccessMode('read only').execute();
  }

  /**
   * Statements of the job library, whose tables are no part of the records. Some are transactions of several: where one
   * fails, its connection is given up, since it may stand in the middle of one.
   */
  async ofJobs(text: string, values?: unknown[]): Promise<{ rows: unknown[] }> {
    const client = await this.pool.connect();
    let failed = true;
    try {
      const answer = await client.query<Record<string, unknown>>(text, values);
      failed = false;
      return answer;
    } finally {
      client.release(failed);
    }
  }

  /** How many connections there are, and how many requests wait for one. */
  connections(): { inUse: number; idle: number; waiting: number } {
    const { totalCount, idleCount, waitingCount } = this.pool;
    return { inUse: totalCount - idleCount, idle: idleCount, waiting: waitingCount };
  }

  /** Whether the server answers. */
  async answers(): Promise<boolean> {
    try {
      await this.pool.query('SELECT 1');
      return true;
    } catch {
      return false;
    }
  }

  /** The server's clock, in milliseconds since 1970. */
  async instant(): Promise<number> {
    const { rows } = await this.pool.query<{ at: string }>('SELECT extract(epoch FROM clock_timestamp()) * 1000 AS at');
    return Number(rows[0]?.at);
  }

  async close(): Promise<void> {
    await this.#kysely.destroy();
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
