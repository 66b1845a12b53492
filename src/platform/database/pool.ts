import pg from 'pg';
import { DatabaseHosts } from './database-hosts.js';
import { SilentConnections } from './silent-connections.js';

const DATE = 1082;
const TIMESTAMPTZ = 1184;

/**
 * Days stay 'YYYY-MM-DD' text (a JavaScript Date would move them by the zone); instants become RFC 3339 in UTC; numeric
 * stays text.
 */
const types = {
  getTypeParser(oid: number, format?: 'text' | 'binary'): (value: string) => unknown {
    if (oid === DATE) return (value) => value;
    if (oid === TIMESTAMPTZ) return (value) => new Date(value).toISOString();
    return pg.types.getTypeParser(oid, format) as (value: string) => unknown;
  },
};

/** How long things may take before the caller gets an answer saying so, in milliseconds. */
export interface PoolLimits {
  /** Waiting for a connection, with all in use or the database unreachable. */
  connectionMs: number;
  /** Waiting for a record that another request has locked. */
  lockMs: number;
  /** For one statement. */
  statementMs: number;
  /** For any answer to a statement, even that it took too long: the server may have fallen silent. */
  queryMs?: number | undefined;
  /** Between two statements of one transaction. */
  idleInTransactionMs: number;
}

const LIMITS: PoolLimits = {
  connectionMs: 10_000,
  lockMs: 10_000,
  statementMs: 60_000,
  idleInTransactionMs: 60_000,
};

/** Connections to the server at `url`; of several hosts, to the one that can be written to. */
export function createPool(url: string, size: number, limits: Partial<PoolLimits> = {}): pg.Pool {
  const { connectionMs, lockMs, statementMs, queryMs, idleInTransactionMs } = { ...LIMITS, ...limits };
  const hosts = new DatabaseHosts(url);
  const pool = hosts.poolOf({
    max: size,
    application_name: 'rickyard',
    connectionTimeoutMillis: connectionMs,
    lock_timeout: lockMs,
    statement_timeout: statementMs,
    ...(queryMs === undefined ? {} : { query_timeout: queryMs }),
    idle_in_transaction_session_timeout: idleInTransactionMs,
    types: types,
    // Statements that do not need each other's answers are sent together and answered in one round trip.
    pipeline: true,
  });
  // An idle connection that the server closes must not end this process; the next query opens another.
  pool.on('error', () => undefined);
  // Nor may a closed connection in use: its running query fails, and the request reports that.
  pool.on('connect', (client) => client.on('error', () => undefined));
  new SilentConnections(pool, () => hosts.current).watch();
  return pool;
}
