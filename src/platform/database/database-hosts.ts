import { setTimeout as sleep } from 'node:timers/promises';
import pg from 'pg';

/** At the start nothing waits, and a machine may be busy. */
const FIRST_CONNECT_MS = 10_000;
const CONNECT_MS = 2000;
const BETWEEN_ROUNDS_MS = 500;
const PARTS = /^(?<scheme>postgres(?:ql)?:\/\/)(?:(?<login>.*)@)?(?<hosts>[^/?@]+)(?<rest>[/?].*)?$/s;

/**
 * A connection as an address for each of its hosts. Several are written as libpq takes them (PostgreSQL documentation,
 * 32.1.1.3): `postgresql://login@first:5432,second:5432/database`.
 */
export function hostsOf(url: string): string[] {
  const { scheme, login, hosts, rest = '' } = PARTS.exec(url)?.groups ?? {};
  if (scheme === undefined || hosts === undefined) return [url];
  return hosts.split(',').map((host) => `${scheme}${login === undefined ? '' : `${login}@`}${host}${rest}`);
}

/** The same login and database on all hosts of `others`, its own first: that one was found to be written to. */
export function onHostsOf(others: string, url: string): string {
  const { scheme, login, hosts: own, rest = '' } = PARTS.exec(url)?.groups ?? {};
  if (scheme === undefined || own === undefined) return url;
  const more = hostsOf(others).map((one) => PARTS.exec(one)?.groups?.['hosts'] ?? own);
  const hosts = [...new Set([own, ...more])].join(',');
  return `${scheme}${login === undefined ? '' : `${login}@`}${hosts}${rest}`;
}

/** Whether each of its hosts makes an address. */
export function isConnection(url: string): boolean {
  return hostsOf(url).every((one) => URL.canParse(one));
}

/** Its hosts in words, without login. */
export function hostsTold(url: string): string {
  return hostsOf(url)
    .map((one) => new URL(one).host)
    .join(', ');
}

/** What keeps a server from being written to: it cannot be reached, or it follows another one. */
async function whyNotWritable(url: string, patienceMs: number): Promise<string | undefined> {
  const client = new pg.Client({
    connectionString: url,
    connectionTimeoutMillis: patienceMs,
    query_timeout: patienceMs,
  });
  client.on('error', () => undefined);
  try {
    await client.connect();
    const { rows } = await client.query<{ follows: boolean }>('SELECT pg_is_in_recovery() AS follows');
    return rows[0]?.follows === false ? undefined : 'it follows another server';
  } catch (error) {
    return (error as Error).message || (error as NodeJS.ErrnoException).code || String(error);
  } finally {
    void client.end().catch(() => undefined);
  }
}

/** The first of its hosts that can be written to, as an address. @throws in words, with the reason of each host */
export async function writableOf(url: string): Promise<string> {
  const all = hostsOf(url);
  const reasons: string[] = [];
  for (const one of all) {
    const why = await whyNotWritable(one, FIRST_CONNECT_MS);
    if (why === undefined) return one;
    reasons.push(all.length === 1 ? why : `${new URL(one).host}: ${why}`);
  }
  throw new Error(`The database server at ${hostsTold(url)} cannot be used: ${reasons.join('; ')}`);
}

/** Which of several hosts a pool's connections are opened to: the one that can be written to. */
export class DatabaseHosts {
  readonly #all: readonly string[];
  #at = 0;
  #looking = false;
  #isOver = (): boolean => false;

  constructor(url: string) {
    this.#all = hostsOf(url);
  }

  /** The host to connect to, as an address. */
  get current(): string {
    return this.#all[this.#at] ?? '';
  }

  /** A pool whose connections go there. */
  poolOf(settings: pg.PoolConfig): pg.Pool {
    const settled = (config: pg.ClientConfig): pg.ClientConfig => ({ ...config, connectionString: this.current });
    const follow = (client: pg.Client): void => this.#follow((client as unknown as { connection: Wire }).connection);
    class Following extends pg.Client {
      constructor(config: pg.ClientConfig) {
        super(settled(config));
        follow(this);
      }
    }
    const pool = new pg.Pool({ ...settings, Client: Following as unknown as new () => pg.ClientBase });
    this.#isOver = () => pool.ending;
    return pool;
  }

  /** A connection that ends, or is one to a server that follows another, may be a sign that the other is wanted. */
  #follow(wire: Wire): void {
    if (this.#all.length === 1) return;
    wire.on('error', () => this.#suspect());
    wire.on('end', () => this.#suspect());
    wire.on('parameterStatus', ({ parameterName, parameterValue }) => {
      if (parameterName === 'in_hot_standby' && parameterValue === 'on') wire.stream.destroy();
    });
  }

  #suspect(): void {
    if (this.#looking || this.#isOver()) return;
    this.#looking = true;
    void this.#look().finally(() => (this.#looking = false));
  }

  async #look(): Promise<void> {
    while (!this.#isOver()) {
      for (let step = 0; step < this.#all.length; step += 1) {
        const at = (this.#at + step) % this.#all.length;
        if ((await whyNotWritable(this.#all[at] ?? '', CONNECT_MS)) !== undefined) continue;
        this.#at = at;
        return;
      }
      await sleep(BETWEEN_ROUNDS_MS, undefined, { ref: false });
    }
  }
}

/** A server reports when it begins or ceases to follow another (PostgreSQL documentation, 54.2.7; since 14). */
interface Wire {
  on(event: 'error' | 'end', told: () => void): void;
  on(event: 'parameterStatus', told: (status: { parameterName: string; parameterValue: string }) => void): void;
  readonly stream: { destroy(): void };
}
