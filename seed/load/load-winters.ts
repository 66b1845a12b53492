import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import pg from 'pg';
import { from as copyFrom } from 'pg-copy-streams';
import type { Progress } from '../load-demo.js';
import { hashPassphrase } from '../../src/access/sign-in/passphrase.js';
import {
  LOAD_COLUMNS,
  type LoadRows,
  type LoadSize,
  type LoadTable,
  OperationToLoad,
  ownerOf,
} from './winters-of-operation.js';

const TABLES = Object.keys(LOAD_COLUMNS) as LoadTable[];
/** What one COPY brings at most: enough that its beginning and end do not count. */
const ROWS_AT_ONCE = 20_000;

/**
 * Writes operations of invented winters by COPY, for measuring. The ledger's triggers and foreign keys are not run for
 * these rows, so only a superuser can do it; `test/service/load-winters.test.ts` checks what they would have checked.
 *
 * @returns how many movements were written.
 * @throws Error where the database holds anything that is not invented.
 */
export async function loadWinters(
  ownerUrl: string,
  size: LoadSize,
  progress: Progress = () => undefined,
): Promise<number> {
  const client = new pg.Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    await refuseRealRecords(client);
    await client.query('SET session_replication_role = replica');
    const batch = new Batch(client);
    for (let number = 0; number < size.operations; number += 1) {
      const operation = new OperationToLoad(number, size);
      await batch.add(operation.beginnings());
      for (let winter = 0; winter < size.winters; winter += 1) await batch.add(operation.winter(winter));
      if ((number + 1) % 50 === 0) progress(`${number + 1} of ${size.operations} operations`);
    }
    await batch.write();
    await noteCostsDue(client);
    progress('gathering statistics');
    await client.query('ANALYZE');
    return batch.movements;
  } finally {
    await client.end();
  }
}

/** Lets the owner of the first operation sign in; the others have no passphrase. */
export async function letFirstOwnerSignIn(ownerUrl: string, passphrase: string): Promise<void> {
  const client = new pg.Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    const hash = await hashPassphrase(passphrase);
    await client.query('UPDATE person SET passphrase_hash = $1 WHERE email = $2', [hash, ownerOf(0)]);
  } finally {
    await client.end();
  }
}

/** As the ledger's trigger would have noted, and as for what an earlier release left: nothing of it has a cost yet. */
async function noteCostsDue(client: pg.Client): Promise<void> {
  await client.query(`
    WITH pools AS (INSERT INTO costing_pool (operation_id, costing_method, hay_kind)
      SELECT o.id, o.costing_method, l.hay_kind FROM operation o JOIN hay_lot l ON l.operation_id = o.id
       WHERE o.name LIKE 'Load %' GROUP BY 1, 2, 3 RETURNING operation_id, costing_method, hay_kind)
    INSERT INTO costing_due (operation_id, costing_method, hay_kind, from_on, transaction_number)
    SELECT p.operation_id, p.costing_method, p.hay_kind, min(l.stored_since), 0
      FROM pools p JOIN hay_lot l ON l.operation_id = p.operation_id AND l.hay_kind = p.hay_kind GROUP BY 1, 2, 3`);
}

async function refuseRealRecords(client: pg.Client): Promise<void> {
  const { rows } = await client.query<{ name: string }>(
    `SELECT name FROM operation WHERE NOT invented OR name LIKE 'Load %' ORDER BY name LIMIT 1`,
  );
  if (rows[0] !== undefined)
    throw new Error(
      `This database already holds the operation "${rows[0].name}". Winters for measuring are loaded into an empty ` +
        'database of their own, or beside the demo: name another folder in RICKYARD_DATA, or another DATABASE_URL.',
    );
}

/** Rows wait until there are enough of them; each write is one transaction. */
class Batch {
  movements = 0;
  #waiting = 0;
  #texts = new Map<LoadTable, string[]>();

  constructor(private readonly client: pg.Client) {}

  async add(rows: LoadRows): Promise<void> {
    for (const table of TABLES) {
      const texts = this.#texts.get(table) ?? [];
      this.#texts.set(table, texts);
      for (const row of rows[table]) texts.push(`${row.map((value) => value ?? '\\N').join('\t')}\n`);
      this.#waiting += rows[table].length;
    }
    this.movements += rows.stock_movement.length;
    if (this.#waiting >= ROWS_AT_ONCE) await this.write();
  }

  async write(): Promise<void> {
    await this.client.query('BEGIN');
    for (const table of TABLES) {
      const texts = this.#texts.get(table) ?? [];
      if (texts.length === 0) continue;
      const columns = LOAD_COLUMNS[table].join(', ');
      await pipeline(
        Readable.from([texts.join('')]),
        this.client.query(copyFrom(`COPY ${table} (${columns}) FROM STDIN`)),
      );
    }
    await this.client.query('COMMIT');
    this.#texts = new Map();
    this.#waiting = 0;
  }
}
