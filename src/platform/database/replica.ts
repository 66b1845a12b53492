import type { Socket } from 'node:net';
import { setTimeout as sleep } from 'node:timers/promises';
import type pg from 'pg';
import { Problem } from '../http/problem.js';
import { DatabaseRoleProblem, refuseUnguardedRole } from './app-login.js';
import { LatestAnswer } from './latest-answer.js';
import { hostsOf } from './database-hosts.js';
import { createPool, type PoolLimits } from './pool.js';
import { ReadCounts, type Reason } from './read-counts.js';
import { type StatementRun, Transactions } from './transactions.js';

export type { Reason } from './read-counts.js';

/** How long the replica is waited for, in milliseconds. */
export interface ReplicaPatience {
  /** For what the primary has, by a read that is answered at once. */
  lightMs: number;
  /** The same by a long one: a file, or a report of a thread. */
  longMs: number;
  /** For any word from it: what is silent for longer is away, and reads that wait for it are asked of the primary. */
  silentMs: number;
}

const PATIENCE: ReplicaPatience = { lightMs: 30, longMs: 1000, silentMs: 2000 };
/** What it was found to be counts for so long. */
const FOUND_FOR_MS = 1000;
const BETWEEN_LOOKS_MS = 2;
const CATCHING_UP_LOOK_MS = 20;
/** Its primary was replaced by one that has not all of what the replica has. */
const AHEAD = 'it has what the primary has not';
/** A statement that ran into its own time limit would do so anywhere. */
const OUT_OF_TIME = '57014';

export interface ReplicaParts {
  /** The primary's connection of the server's own role. */
  appUrl: string;
  /** As given: without a login it is the server's own. */
  replicaUrl: string;
  poolSize: number;
  limits?: Partial<PoolLimits>;
  patience?: Partial<ReplicaPatience>;
  counts?: ReadCounts;
}

/** A place in the primary's log, and whose log it is. */
interface Position {
  at: bigint;
  cluster: string;
}

type Found = { is: 'open'; at: bigint; lastChangeSeconds: number | undefined } | { is: 'away' | 'unfit'; why: string };

/** What is told of the replica to whoever watches the server. */
export interface ReplicaNow {
  is: 'current' | 'behind' | 'away' | 'unfit';
  why: string | undefined;
  behindBytes: number | undefined;
  behindSeconds: number | undefined;
}

/**
 * A streaming replica that answers reads as the primary would: only if it has replayed all that the primary had
 * committed when the read was asked for. So everybody reads what they and others have written, whichever process and
 * device it came from, and what was revoked is revoked here too. The primary's place is asked for once for all reads
 * that wait for it; a replica that is behind for longer than a moment, away, or no replica of this primary is left out.
 */
export class Replica {
  readonly transactions: Transactions;
  readonly counts: ReadCounts;
  readonly host: string;
  readonly #patience: ReplicaPatience;
  /** One connection to each, so that nobody's reads are waited for. */
  readonly #primary: pg.Pool;
  readonly #looks: pg.Pool;
  readonly #wanted = new LatestAnswer(() => this.#askPrimary());
  readonly #look = new LatestAnswer(() => this.#lookNow());
  readonly #connected = new Set<pg.PoolClient>();
  #found: Found = { is: 'away', why: 'it was not looked for yet' };
  #foundAt = Number.NEGATIVE_INFINITY;
  /** Where it was waited for in vain: until it is there, nobody waits again. */
  #missed: bigint | undefined;
  /** The cluster in which its login was found to be held by policies. */
  #guardedIn: string | undefined;
  #reading = 0;
  #watching: NodeJS.Timeout | undefined;
  #closed = false;
  #tell: ((statement: StatementRun) => void) | undefined;
  #say: ((words: string) => void) | undefined;

  constructor({ appUrl, replicaUrl, poolSize, limits, patience, counts = new ReadCounts() }: ReplicaParts) {
    this.counts = counts;
    this.#patience = { ...PATIENCE, ...patience };
    const url = withLogin(replicaUrl, appUrl);
    this.host = new URL(url).host;
    const silent = { connectionMs: this.#patience.silentMs, queryMs: this.#patience.silentMs };
    const pool = createPool(url, poolSize, { ...limits, connectionMs: this.#patience.silentMs });
    pool.on('connect', (client) => this.#connected.add(client));
    pool.on('remove', (client) => this.#connected.delete(client));
    this.transactions = new Transactions(pool, (statement) => this.#tell?.(statement));
    this.#primary = createPool(appUrl, 1, limits);
    this.#looks = createPool(url, 1, silent);
  }

  /** Told of each statement once it has run there. */
  watchStatements(tell: (statement: StatementRun) => void): void {
    this.#tell = tell;
  }

  /** Told in words when the replica is found to be otherwise than before. */
  watch(say: (words: string) => void): void {
    this.#say = say;
  }

  /** Why the replica must not answer a read that is asked for now; `undefined` if it may. */
  async whyNot(how: 'at once' | 'patiently' = 'at once'): Promise<Reason | undefined> {
    if (this.#foundAt === Number.NEGATIVE_INFINITY) await this.#look.ask();
    const before = this.#found;
    if (before.is !== 'open') {
      // Whoever asks goes to the primary; others may find it back.
      if (this.#age() > FOUND_FOR_MS) void this.#look.ask();
      return before.is;
    }
    let wanted: Position;
    try {
      wanted = await this.#wanted.ask();
    } catch {
      return 'failed';
    }
    // A replica has nothing that its primary does not have.
    if (wanted.at < before.at) this.#become({ is: 'unfit', why: AHEAD });
    return this.#caughtUp(wanted.at, how === 'patiently' ? this.#patience.longMs : this.#patience.lightMs);
  }

  /** Until the read ends by what this returns, the replica is looked at: if it falls silent, the read fails at once. */
  begin(): () => void {
    this.#reading += 1;
    this.#watching ??= setInterval(() => void this.#look.ask(), FOUND_FOR_MS).unref();
    return () => {
      this.#reading -= 1;
      if (this.#reading > 0) return;
      clearInterval(this.#watching);
      this.#watching = undefined;
    };
  }

  /** A read has failed here for a reason that is not its own, and goes to the primary. */
  failed(error: unknown): Reason {
    if (!isConflict(error)) void this.#look.ask();
    return 'failed';
  }

  /** Looks for it and at the primary. */
  async now(): Promise<ReplicaNow> {
    const found = await this.#look.ask();
    const nothing = { behindBytes: undefined, behindSeconds: undefined };
    if (found.is !== 'open') return { is: found.is, why: found.why, ...nothing };
    const wanted = await this.#wanted.ask().catch(() => undefined);
    if (wanted === undefined) return { is: 'behind', why: 'the primary does not answer', ...nothing };
    const behind = wanted.at > found.at ? wanted.at - found.at : 0n;
    return {
      is: behind === 0n ? 'current' : 'behind',
      why: undefined,
      behindBytes: Number(behind),
      behindSeconds: behind === 0n ? 0 : found.lastChangeSeconds,
    };
  }

  async close(): Promise<void> {
    this.#closed = true;
    clearInterval(this.#watching);
    await Promise.all([this.transactions.close(), this.#primary.end(), this.#looks.end()]);
  }

  #age(): number {
    return performance.now() - this.#foundAt;
  }

  /** Whether the replica has replayed up to there, or does so in time. */
  async #caughtUp(wanted: bigint, patienceMs: number): Promise<Reason | undefined> {
    const until = performance.now() + patienceMs;
    for (let first = true; ; first = false) {
      const found = this.#found;
      if (found.is !== 'open') return found.is;
      if (found.at >= wanted && this.#age() < FOUND_FOR_MS) return undefined;
      if (first && patienceMs <= this.#patience.lightMs && this.#missed !== undefined && found.at < this.#missed) {
        if (this.#age() > CATCHING_UP_LOOK_MS) void this.#look.ask();
        return 'behind';
      }
      if (performance.now() > until) {
        this.#missed = wanted;
        return 'behind';
      }
      if (!first) await sleep(BETWEEN_LOOKS_MS);
      await this.#look.ask();
    }
  }

  async #askPrimary(): Promise<Position> {
    const { rows } = await this.#primary.query<{ at: string; cluster: string }>(WANTED);
    const [row] = rows;
    if (row === undefined) throw new Error('The primary did not tell its place');
    return { at: BigInt(row.at), cluster: row.cluster };
  }

  /** Never fails. */
  async #lookNow(): Promise<Found> {
    const found = await this.#lookedAt().catch((error: unknown): Found => {
      if (error instanceof DatabaseRoleProblem) return { is: 'unfit', why: error.message };
      return { is: 'away', why: (error as Error).message || String((error as { code?: unknown }).code) };
    });
    this.#become(found);
    return found;
  }

  async #lookedAt(): Promise<Found> {
    const { rows } = await this.#looks.query<{
      recovering: boolean;
      at: string | null;
      cluster: string;
      seconds: string | null;
    }>(REPLAYED);
    const [row] = rows;
    if (row?.recovering !== true) return { is: 'unfit', why: 'it is no replica' };
    if (row.at === null) return { is: 'away', why: 'it has replayed nothing yet' };
    // A connection that ended while nobody read may have been followed by one to another server.
    if (this.#guardedIn !== row.cluster) {
      const primary = await this.#wanted.ask();
      if (primary.cluster !== row.cluster) return { is: 'unfit', why: 'it is a replica of another server' };
      await refuseUnguardedRole(this.#looks);
      if (primary.at < BigInt(row.at)) return { is: 'unfit', why: AHEAD };
      this.#guardedIn = row.cluster;
    }
    const lastChangeSeconds = row.seconds === null ? undefined : Number(row.seconds);
    return { is: 'open', at: BigInt(row.at), lastChangeSeconds };
  }

  #become(found: Found): void {
    const before = this.#found;
    this.#found = found;
    this.#foundAt = performance.now();
    if (this.#closed) return;
    if (found.is === 'open') {
      if (before.is !== 'open') this.#say?.(`The replica at ${this.host} answers reads.`);
      return;
    }
    // Another server may answer there when it comes back.
    this.#guardedIn = undefined;
    this.#missed = undefined;
    for (const client of this.#connected) cutOff(client);
    if (before.is !== found.is || before.why !== found.why)
      this.#say?.(`The replica at ${this.host} is not read from: ${found.why}. Reads go to the primary.`);
  }
}

/**
 * What is flushed is all that anybody was told to be committed; where commits do not wait for that, what is written.
 */
const WANTED = `SELECT (SELECT system_identifier FROM pg_control_system())::text AS cluster, pg_wal_lsn_diff(
  CASE current_setting('synchronous_commit') WHEN 'off' THEN pg_current_wal_insert_lsn()
    ELSE pg_current_wal_flush_lsn() END, '0/0')::text AS at`;
const REPLAYED = `SELECT (SELECT system_identifier FROM pg_control_system())::text AS cluster,
  pg_is_in_recovery() AS recovering, pg_wal_lsn_diff(pg_last_wal_replay_lsn(), '0/0')::text AS at,
  extract(epoch FROM clock_timestamp() - pg_last_xact_replay_timestamp())::text AS seconds`;

/** A replica's role and password are its primary's. */
function withLogin(replicaUrl: string, appUrl: string): string {
  const [url, app] = [new URL(replicaUrl), new URL(hostsOf(appUrl)[0] ?? '')];
  if (url.username === '') {
    url.username = app.username;
    url.password = app.password;
  }
  if (url.pathname.length <= 1) url.pathname = app.pathname;
  return url.toString();
}

/** Whatever waits for it fails now, and not when the network gives up. */
function cutOff(client: pg.PoolClient): void {
  (client as unknown as { connection: { stream: Socket } }).connection.stream.destroy();
}

/** Replay needed what the read was holding on to: the replica is well. */
function isConflict(error: unknown): boolean {
  return (error as { code?: unknown }).code === '40001';
}

/** Whether another server may answer what has failed so: everything but what a person is told, or ran out of time. */
export function saysNothingOfTheRequest(error: unknown): boolean {
  return !(error instanceof Problem) && (error as { code?: unknown } | null)?.code !== OUT_OF_TIME;
}
