import pg from 'pg';

/** What the planner is told: so many operations, and so many rows of them in every table. */
export const SCALE = { operations: 1_000, rows: 1_000_000 };
const LOTS = 80_000;
const DAYS = 3_650;
const FEW = 10;

interface PlanNode {
  'Node Type': string;
  'Relation Name'?: string;
  'Total Cost': number;
  'Index Cond'?: string;
  Filter?: string;
  Plans?: PlanNode[];
}

export interface Planned {
  statement: string;
  /** Planned for its values, or once for all of them, as a prepared statement is that comes often. */
  how: 'for its values' | 'for any values';
  cost: number;
  /** Tables that it would go through from end to end. */
  scans: string[];
}

/**
 * Tells the planner that the tables of operations hold `SCALE`, spread evenly, whatever they do hold. Needs PostgreSQL
 * 18, whose functions set statistics; nothing is analyzed any more in this database.
 * @returns the tables without a row, of which the planner can be told nothing: it sees that they have no page.
 */
export async function asIfGrown(owner: pg.Pool): Promise<ReadonlySet<string>> {
  const { rows: tables } = await owner.query<{ name: string; ofOperation: boolean }>(`
    SELECT c.relname AS name, EXISTS (SELECT FROM pg_attribute a WHERE a.attrelid = c.oid
        AND a.attname = 'operation_id' AND NOT a.attisdropped) AS "ofOperation"
      FROM pg_class c WHERE c.relnamespace = 'public'::regnamespace AND c.relkind = 'r'
       AND c.relname <> '_prisma_migrations'`);
  for (const { name } of tables)
    await owner.query(`ALTER TABLE ${pg.escapeIdentifier(name)} SET (autovacuum_enabled = false)`);
  await owner.query('ANALYZE');
  for (const { name, ofOperation } of tables) {
    const rows = ofOperation ? SCALE.rows : SCALE.operations * FEW;
    // The planner takes the pages that there are, and as many rows on each as it is told.
    await owner.query(
      `SELECT pg_restore_relation_stats('schemaname', 'public', 'relname', $1::text, 'relpages',
          GREATEST(1, pg_relation_size(quote_ident($1)::regclass) / 8192)::int, 'reltuples', $2::real)`,
      [name, rows],
    );
  }
  await owner.query(
    `SELECT pg_clear_attribute_stats('public', c.relname::text, a.attname::text, false)
       FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum > 0 AND NOT a.attisdropped
      WHERE c.relnamespace = 'public'::regnamespace AND c.relkind = 'r'`,
  );
  await owner.query(
    `SELECT pg_restore_attribute_stats('schemaname', 'public', 'relname', c.relname::text, 'attname', a.attname::text,
        'inherited', false, 'null_frac', 0::real, 'avg_width', 16, 'n_distinct', CASE
          WHEN a.attname = 'operation_id' THEN $1
          WHEN a.attname = 'hay_lot_id' THEN $2
          WHEN a.attname ~ '_on$' THEN $3
          WHEN a.attname = 'id' OR a.attname ~ '_(id|at|hash)$' THEN -1
          ELSE $4 END::real)
       FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum > 0 AND NOT a.attisdropped
      WHERE c.relnamespace = 'public'::regnamespace AND c.relkind = 'r'`,
    [SCALE.operations, LOTS, DAYS, FEW],
  );
  const { rows: empty } = await owner.query<{ name: string }>(
    "SELECT relname AS name FROM pg_class WHERE relnamespace = 'public'::regnamespace AND relkind = 'r' AND " +
      'pg_relation_size(oid) = 0',
  );
  return new Set(empty.map((one) => one.name));
}

const SCANS = "SELECT relname AS name, seq_scan AS scans FROM pg_stat_xact_user_tables WHERE schemaname = 'public'";

/**
 * Has every statement that is sent while `work` runs explained on its own connection, where it sees what it sees.
 * @returns with the plans, the tables that its transactions went through, in a function or a trigger too.
 */
export async function plansOf(work: () => Promise<unknown>): Promise<{ plans: Planned[]; inside: string[] }> {
  const explained: Promise<Planned>[] = [];
  const scanned: Promise<string[]>[] = [];
  const begun = new WeakMap<pg.Client, Promise<Scans>>();
  const client = pg.Client.prototype as unknown as { query: (...given: unknown[]) => unknown };
  const send = client.query;
  client.query = function (this: pg.Client, ...given: unknown[]) {
    const [first] = given as [string | { text: string; values?: unknown[] }];
    const counts = async (): Promise<Scans> => {
      const { rows } = (await send.call(this, SCANS)) as { rows: { name: string; scans: string }[] };
      return new Map(rows.map((row) => [row.name, Number(row.scans)]));
    };
    const before = begun.get(this);
    if (first === 'commit' && before !== undefined) scanned.push(scannedBetween(before, counts()));
    const answer = send.apply(this, given);
    if (typeof first === 'string' && /^(begin|start)/.test(first)) begun.set(this, counts());
    if (typeof first === 'string' || !/^\s*(select|with|insert|update|delete)\b/i.test(first.text)) return answer;
    const explain = async (how: Planned['how'], asked: unknown): Promise<Planned> => {
      const { rows } = (await send.call(this, asked)) as { rows: { 'QUERY PLAN': { Plan: PlanNode }[] }[] };
      const plan = rows[0]?.['QUERY PLAN'][0]?.Plan;
      if (plan === undefined) throw new Error(`No plan of ${first.text}`);
      return { statement: first.text.replaceAll(/\s+/g, ' '), how, cost: plan['Total Cost'], scans: scansOf(plan) };
    };
    explained.push(
      explain('for its values', { text: `EXPLAIN (FORMAT JSON) ${first.text}`, values: first.values ?? [] }),
      explain('for any values', `EXPLAIN (GENERIC_PLAN, FORMAT JSON) ${first.text}`),
    );
    return answer;
  };
  try {
    await work();
    const plans = await Promise.all(explained);
    return { plans, inside: (await Promise.all(scanned)).flat() };
  } finally {
    client.query = send;
  }
}

const ROWS_READ = `SELECT relname AS name, seq_tup_read + COALESCE(idx_tup_fetch, 0) AS rows
  FROM pg_stat_xact_user_tables WHERE schemaname = 'public'`;

type Rows = Promise<{ rows: { name: string; rows: string }[] }>;

/** How many rows of each table the transactions fetched that ended while `work` ran. */
export async function rowsReadWhile(work: () => Promise<unknown>): Promise<Map<string, number>> {
  const asked: { counted: Rows; sign: 1 | -1 }[] = [];
  const client = pg.Client.prototype as unknown as { query: (...given: unknown[]) => unknown };
  const send = client.query;
  client.query = function (this: pg.Client, ...given: unknown[]) {
    const [first] = given;
    const count = (sign: 1 | -1): void => void asked.push({ counted: send.call(this, ROWS_READ) as Rows, sign });
    // What earlier transactions fetched may still stand in the connection's counts.
    const text = typeof first === 'string' ? first : ((first as { text?: string }).text ?? '');
    if (/^(commit|rollback)$/.test(text)) count(1);
    const answer = send.apply(this, given);
    if (/^(begin|start)/.test(text)) count(-1);
    return answer;
  };
  const read = new Map<string, number>();
  try {
    await work();
    for (const { counted, sign } of asked)
      for (const one of (await counted).rows) read.set(one.name, (read.get(one.name) ?? 0) + sign * Number(one.rows));
    return read;
  } finally {
    client.query = send;
  }
}

type Scans = ReadonlyMap<string, number>;

async function scannedBetween(before: Promise<Scans>, after: Promise<Scans>): Promise<string[]> {
  const [earlier, later] = [await before, await after];
  return [...later].filter(([name, scans]) => scans > (earlier.get(name) ?? 0)).map(([name]) => name);
}

/** Tables gone through from end to end: themselves, or an index of theirs that is not entered by a value. */
function scansOf(node: PlanNode, above?: PlanNode): string[] {
  const entered = / = /.test(node['Index Cond'] ?? '');
  const through = node['Node Type'] === 'Seq Scan' || (node['Node Type'].includes('Index') && !entered);
  const own = through ? [node['Relation Name'] ?? above?.['Relation Name'] ?? ''] : [];
  return [...own, ...(node.Plans ?? []).flatMap((one) => scansOf(one, node))];
}
