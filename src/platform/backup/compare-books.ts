import pg from 'pg';

/** Every row of every table, as one figure for each table and operation. */
export type BooksFigures = ReadonlyMap<string, string>;

/**
 * Digests of all rows, by table and operation, in one snapshot. Two databases with the same figures answer every report
 * alike, since a report is worked out from rows alone.
 */
export async function figuresOfBooks(url: string): Promise<BooksFigures> {
  const client = new pg.Client({ connectionString: url });
  client.on('error', () => undefined);
  await client.connect();
  try {
    await client.query("SET statement_timeout = 0; SET TIME ZONE 'UTC'");
    await client.query('BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY');
    const { rows: tables } = await client.query<{ name: string; operations: boolean }>(
      `SELECT format('%I.%I', n.nspname, c.relname) AS name, EXISTS (SELECT 1 FROM pg_attribute a
          WHERE a.attrelid = c.oid AND a.attname = 'operation_id' AND NOT a.attisdropped) AS operations
         FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
        WHERE c.relkind = 'r' AND n.nspname NOT IN ('pg_catalog', 'information_schema')
        ORDER BY 1`,
    );
    const figures = new Map<string, string>();
    for (const { name, operations } of tables) {
      const { rows } = await client.query<{ operation: string; rows: string; digest: string }>(
        `SELECT ${operations ? 'operation_id::text' : "''"} AS operation, count(*)::text AS rows,
                sum(('x' || substr(md5(t::text), 1, 15))::bit(60)::bigint)::text AS digest
           FROM ${name} AS t GROUP BY 1`,
      );
      for (const { operation, rows: count, digest } of rows) figures.set(`${name} ${operation}`, `${count} ${digest}`);
    }
    await client.query('COMMIT');
    return figures;
  } finally {
    await client.end();
  }
}

export interface Compared {
  /** Tables of operations, and tables of none, with the same rows in both. */
  readonly same: number;
  readonly rows: number;
  /** Those that were written to while the backup was taken, which need not be the same. */
  readonly movedOn: number;
  /** Names of those that differ though nobody wrote to them. */
  readonly differ: readonly string[];
}

/** What a restored copy must hold: all that stood still from before the backup until after it. */
export function compareBooks(before: BooksFigures, after: BooksFigures, restored: BooksFigures): Compared {
  const names = new Set([...before.keys(), ...after.keys(), ...restored.keys()]);
  const differ: string[] = [];
  let [same, rows, movedOn] = [0, 0, 0];
  for (const name of names) {
    if (before.get(name) !== after.get(name)) movedOn += 1;
    else if (restored.get(name) === before.get(name)) {
      same += 1;
      rows += Number(restored.get(name)?.split(' ')[0] ?? 0);
    } else differ.push(name.trim());
  }
  return { same, rows, movedOn, differ };
}
