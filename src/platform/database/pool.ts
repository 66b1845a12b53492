import pg from 'pg';

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

export function createPool(url: string, size: number): pg.Pool {
  const pool = new pg.Pool({
    connectionString: url,
    max: size,
    application_name: 'rickyard',
    connectionTimeoutMillis: 10_000,
    statement_timeout: 60_000,
    idle_in_transaction_session_timeout: 60_000,
    types: types,
  });
  // An idle connection that the server closes must not end this process; the next query opens another.
  pool.on('error', () => undefined);
  return pool;
}
