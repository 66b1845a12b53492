import type { Socket } from 'node:net';
import pg from 'pg';

const LOOK_EVERY_MS = 2000;
/** Longer than a well connection is silent, but for a statement that takes its time. */
const SILENT_MS = 4000;
/** Where the server does not answer at all, it may come back on the same connection for so long. */
const GIVEN_UP_MS = 10_000;
const ASKED_MOST_MS = 3000;

interface Watched {
  readonly stream: Socket;
  readonly pid: number;
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
 * alone; so, before anything is cut, the server is asked on a new connection what its sessions do.
 */
export class SilentConnections {
  readonly #watched = new Map<pg.PoolClient, Watched>();
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
    const { stream } = (client as unknown as { connection: { stream: Socket } }).connection;
    const { processID: pid } = client as unknown as { processID: number };
    const one: Watched = { stream, pid, sentWhenHeard: 0, sent: 0, heard: 0, since: performance.now(), held: true };
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
    if (this.#watched.size > 0) return;
    clearInterval(this.#looking);
    this.#looking = undefined;
  }

  async #look(): Promise<void> {
    if (this.#asking) return;
    const silent = [...this.#watched.values()].filter((one) => isSilent(one));
    if (silent.length === 0) return;
    this.#asking = true;
    try {
      const atWork = await this.#sessionsAtWork(silent.map(({ pid }) => pid));
      const dead = silent.filter(
        (one) => isSilent(one) && (atWork === undefined ? silentFor(one) > GIVEN_UP_MS : !atWork.has(one.pid)),
      );
      if (dead.length === 0) return;
      // Those that nobody uses at present went the same way, and each would cost somebody the wait.
      const unused = [...this.#watched.values()].filter(({ held }) => !held);
      for (const { stream } of [...dead, ...unused]) stream.destroy();
    } finally {
      this.#asking = false;
    }
  }

  /** Undefined where the server does not answer. */
  async #sessionsAtWork(pids: readonly number[]): Promise<Set<number> | undefined> {
    const client = new pg.Client({
      connectionString: this.url(),
      connectionTimeoutMillis: ASKED_MOST_MS,
      query_timeout: ASKED_MOST_MS,
    });
    client.on('error', () => undefined);
    try {
      await client.connect();
      const { rows } = await client.query<{ pid: number }>(
        "SELECT pid FROM pg_stat_activity WHERE pid = ANY($1) AND state = 'active'",
        [pids],
      );
      return new Set(rows.map(({ pid }) => pid));
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
  if (sent !== one.sent || heard !== one.heard || sent <= one.sentWhenHeard) one.since = performance.now();
  one.sent = sent;
  one.heard = heard;
  return silentFor(one) >= SILENT_MS;
}

function silentFor({ since }: Watched): number {
  return performance.now() - since;
}
