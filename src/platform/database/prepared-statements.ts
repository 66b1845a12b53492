import type { Writable } from 'node:stream';
import { type PostgresPool, type PostgresPoolClient, sql } from 'kysely';
import type pg from 'pg';

/** The most statements kept prepared on a connection: each takes some tens of kilobytes of its backend's memory. */
const PREPARED_MOST = 200;
/** Statements met once are remembered up to here, then forgotten together. */
const MET_MOST = 1000;

/**
 * Names for the statements that come again. Row-level security makes each of them dear to parse and plan, often dearer
 * than to run: a named one is parsed once on a connection, and planned anew only while PostgreSQL gains by it. Values
 * never stand in the text, and a list is one value (`ListsAsOneValue`), so there are as many texts as there are
 * statements in the code.
 */
export class PreparedStatements {
  readonly #names = new Map<string, string>();
  readonly #met = new Set<string>();
  #given = 0;

  /** The name of a statement from the second time on; `undefined` for one that is met first, or one too many. */
  nameOf(text: string): string | undefined {
    const name = this.#names.get(text);
    if (name !== undefined || this.#names.size >= PREPARED_MOST) return name;
    if (this.#met.delete(text)) return this.#name(text);
    if (this.#met.size >= MET_MOST) this.#met.clear();
    this.#met.add(text);
    return undefined;
  }

  /** A table has changed under the statement: its next run is prepared under another name. */
  forget(text: string): void {
    this.#names.delete(text);
  }

  #name(text: string): string {
    this.#given += 1;
    const name = `rickyard_${this.#given}`;
    this.#names.set(text, name);
    return name;
  }
}

/** PostgreSQL refuses a prepared statement whose answer would have other columns than when it was prepared. */
export function isStalePlan(error: unknown): boolean {
  const { code, message } = error as { code?: unknown; message?: unknown };
  return code === '0A000' && typeof message === 'string' && message.includes('cached plan');
}

/**
 * Stands in front of a statement whose best plan hardly depends on its values, but whose planning is dear: PostgreSQL
 * would plan it for each new list of values. To be put there with `modifyFront`.
 */
export const PLANNED_ONCE = sql`/* planned once */`;
const PLANNED_ONCE_MARK = '/* planned once */';

/** The pool as the query builder asks it, with statements prepared. */
export function preparing(pool: pg.Pool, statements = new PreparedStatements()): PostgresPool {
  const clients = new WeakMap<pg.PoolClient, PostgresPoolClient>();
  return {
    connect: async () => {
      const client = await pool.connect();
      const known = clients.get(client);
      if (known !== undefined) return known;
      const asked = preparingClient(client, statements);
      clients.set(client, asked);
      return asked;
    },
    end: () => pool.end(),
  };
}

const NOTHING = { rows: [], rowCount: null };
const BEGINS = /^(begin|start transaction)\b/i;
const READS_ONLY = /\bread only$/i;
const COMMITS = /^commit$/i;

function preparingClient(client: pg.PoolClient, statements: PreparedStatements): PostgresPoolClient {
  const ends = new TransactionEnds(client);
  const holdBack = inOnePacket(client);
  const query = async (text: string, values: readonly unknown[]): Promise<unknown> => {
    holdBack();
    // BEGIN, COMMIT and their like take one message as they are.
    if (values.length === 0 && BEGINS.test(text)) return ends.begin(text);
    if (values.length === 0 && COMMITS.test(text) && ends.needNoAnswer) return ends.commitUnanswered(text);
    const name = values.length === 0 ? undefined : statements.nameOf(text);
    const asked = (): Promise<unknown> =>
      client.query({ text, values: [...values], ...(name === undefined ? {} : { name }) });
    try {
      return await ends.behindBegin(text.includes(PLANNED_ONCE_MARK) ? plannedOnce(client, asked) : asked());
    } catch (error) {
      ends.failed();
      if (isStalePlan(error)) statements.forget(text);
      throw error;
    }
  };
  return {
    query: query as PostgresPoolClient['query'],
    release: (destroy) => {
      client.release(destroy);
    },
  };
}

/** Goes out with the statement, so it costs no wait. Where the statement fails, so does what follows. */
function plannedOnce(client: pg.PoolClient, ask: () => Promise<unknown>): Promise<unknown> {
  client.query('SET LOCAL plan_cache_mode = force_generic_plan').catch(() => undefined);
  const answer = ask();
  client.query('SET LOCAL plan_cache_mode TO DEFAULT').catch(() => undefined);
  return answer;
}

/**
 * What is asked in one go leaves in one packet: each would otherwise be a call of the system, and wake the backend,
 * which answers as much while this thread waits for the processor.
 * @returns to be called before each statement
 */
function inOnePacket(client: pg.PoolClient): () => void {
  const { stream } = (client as unknown as { connection: { stream: Writable } }).connection;
  let held = false;
  return () => {
    if (held) return;
    held = true;
    stream.cork();
    // Comes when all promises have gone as far as they can without an answer.
    process.nextTick(() => {
      held = false;
      stream.uncork();
    });
  };
}

/**
 * Saves the waits at both ends of a transaction. BEGIN goes out with the first statement, which fails if it did. A
 * transaction that only read, and in which nothing failed, has no more to learn from its COMMIT.
 */
class TransactionEnds {
  #begun: Promise<unknown> | undefined;
  #onlyRead = false;
  #failed = false;

  constructor(private readonly client: pg.PoolClient) {}

  get needNoAnswer(): boolean {
    return this.#onlyRead && !this.#failed;
  }

  begin(text: string): unknown {
    this.#onlyRead = READS_ONLY.test(text);
    this.#failed = false;
    this.#begun = this.client.query(text);
    this.#begun.catch(() => undefined);
    return { ...NOTHING, command: 'BEGIN' };
  }

  /** The answer to a statement; @throws what BEGIN met, if that failed. */
  async behindBegin(answer: Promise<unknown>): Promise<unknown> {
    const begun = this.#begun;
    this.#begun = undefined;
    return begun === undefined ? answer : (await Promise.all([begun, answer]))[1];
  }

  failed(): void {
    this.#failed = true;
  }

  /** A connection that breaks here is noticed by whoever uses it next. */
  commitUnanswered(text: string): unknown {
    this.client.query(text).catch(() => undefined);
    return { ...NOTHING, command: 'COMMIT' };
  }
}
