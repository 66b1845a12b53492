import type { Socket } from 'node:net';
import pg from 'pg';

const LOOK_EVERY_MS = 2000;
/** Longer than a well connection is silent, but for a statement that takes its time. */
const SILENT_MS = 4000;
/** Where the server does not answer at all, it may come back on the same connection for so long. */
const GIVEN_UP_MS = 10_000;
const ASKED_MOST_MS = 3000;

/** What the driver knows of a connection: statements asked that are not wholly answered. */
interface Asking {
  readonly connection: { readonly stream: Socket };
  readonly processID: number;
  readonly _activeQuery: unknown;
  readonly _sentQueryQueue: readonly unknown[];
  readonly _queryQueue: readonly unknown[];
}

interface Watched {
  readonly stream: Socket;
  readonly pid: number;
  /** Statements may be sent before the ones before are answered, so an answer does not say that all were. */
  readonly asks: () => boolean;
  /** What had been sent when something was last heard, and what had been sent at the last look. */
  sentWhenHeard: number;
  sent: number;
  heard: number;
  /** Since when it is silent, though something was asked. */
  since: number;
  held: boolean;
}

/**
 * Cuts connections that have died without a word, as where a firewall forgot them or the server's machine is gone: what
 * was asked there would wait for an answer for minutes. A connection that is silent while its session works is left
 * alone; so, before anything is cut, the server is asked on a new connection what its sessions do. Sessions of what
 * was cut are ended there too.
 */
export class SilentConnections {
  readonly #watched = new Map<pg.PoolClient, Watched>();
  /** Sessions of connections that were cut, which may still be in a transaction. */
  readonly #left = new Set<number>();
  #looking: NodeJS.Timeout | undefined;
  #asking = false;

  constructor(
    private readonly pool: pg.Pool,
    private readonly url: () => string,
  ) {}

  /** From now on, until the pool has ended. */
  watch(): void {
    this.pool.on('connect', (client) => this.#begin(client));
    this.pool.on('acquire', (client) => this.#hold(client, true));
    this.pool.on('release', (_error: unknown, client: pg.PoolClient) => this.#hold(client, false));
    this.pool.on('remove', (client) => this.#forget(client));
  }

  #begin(client: pg.PoolClient): void {
    const asking = client as unknown as Asking;
    const { stream } = asking.connection;
    const asks = (): boolean =>
      Boolean(asking._activeQuery) || asking._sentQueryQueue.length > 0 || asking._queryQueue.length > 0;
    const one: Watched = {
      ...{ stream, pid: asking.processID, asks },
      ...{ sentWhenHeard: 0, sent: 0, heard: 0, since: performance.now(), held: true },
    };
    stream.on('data', () => {
      one.sentWhenHeard = stream.bytesWritten;
    });
    this.#watched.set(client, one);
    this.#looking ??= setInterval(() => void this.#look().catch(() => undefined), LOOK_EVERY_MS).unref();
  }

  #hold(client: pg.PoolClient, held: boolean): void {
    const one = this.#watched.get(client);
    if (one !== undefined) one.held = held;
  }

  #forget(client: pg.PoolClient): void {
    this.#watched.delete(client);
    if (this.#watched.size > 0 || this.#left.size > 0) return;
    clearInterval(this.#looking);
    this.#looking = undefined;
  }

  async #look(): Promise<void> {
    if (this.#asking) return;
    const silent = [...this.#watched.values()].filter((one) => isSilent(one));
    if (silent.length === 0 && this.#left.size === 0) return;
    this.#asking = true;
    try {
      await this.#endLeft();
      if (silent.length === 0) return;
      const atWork = await this.#sessionsAtWork(silent.map(({ pid }) => pid));
      const dead = silent.filter(
        (one) => isSilent(one) && (atWork === undefined ? silentFor(one) > GIVEN_UP_MS : !atWork.has(one.pid)),
      );
      if (dead.length === 0) return;
      // Those that nobody uses at present went the same way, and each would cost somebody the wait.
      const unused = [...this.#watched.values()].filter(({ held }) => !held);
      for (const { stream, pid } of [...dead, ...unused]) {
        stream.destroy();
        this.#left.add(pid);
      }
      await this.#endLeft();
    } finally {
      this.#asking = false;
    }
  }

  /** The server has not heard that they are gone: what their transactions hold would be held until it finds out. */
  async #endLeft(): Promise<void> {
    const left = [...this.#left];
    if (left.length === 0) return;
    // One that is at work is asked about again: when it is through, its transaction waits for nobody.
    const found = await this.#asked<{ pid: number; working: boolean }>(
      `SELECT pid, state = 'active' AS working, state <> 'active' AND pg_terminate_backend(pid) FROM pg_stat_activity
        WHERE pid = ANY($1) AND usename = current_user AND backend_start < now() - interval '4 s'`,
      left,
    );
    if (found === undefined) return;
    const working = new Set(found.flatMap((one) => (one.working ? [one.pid] : [])));
    for (const pid of left) if (!working.has(pid)) this.#left.delete(pid);
  }

  /** Undefined where the server does not answer. */
  async #sessionsAtWork(pids: readonly number[]): Promise<Set<number> | undefined> {
    const rows = await this.#asked<{ pid: number }>(
      "SELECT pid FROM pg_stat_activity WHERE pid = ANY($1) AND state = 'active'",
      pids,
    );
    return rows && new Set(rows.map(({ pid }) => pid));
  }

  async #asked<Row extends pg.QueryResultRow>(text: string, pids: readonly number[]): Promise<Row[] | undefined> {
    const client = new pg.Client({
      connectionString: this.url(),
      connectionTimeoutMillis: ASKED_MOST_MS,
      query_timeout: ASKED_MOST_MS,
    });
    client.on('error', () => undefined);
    try {
      await client.connect();
      return (await client.query<Row>(text, [pids])).rows;
    } catch {
      return undefined;
    } finally {
      void client.end().catch(() => undefined);
    }
  }
}

/** Something was asked after the last answer, and for a while neither more was asked nor anything heard. */
function isSilent(one: Watched): boolean {
  const { bytesWritten: sent, bytesRead: heard } = one.stream;
  const waits = sent > one.sentWhenHeard || one.asks();
  if (sent !== one.sent || heard !== one.heard || !waits) one.since = performance.now();
  one.sent = sent;
  one.heard = heard;
  return silentFor(one) >= SILENT_MS;
}

function silentFor({ since }: Watched): number {
  return performance.now() - since;
}
