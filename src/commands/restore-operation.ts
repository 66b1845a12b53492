import { randomBytes } from 'node:crypto';
import { existsSync, readFileSync } from 'node:fs';
import { userInfo } from 'node:os';
import { parseArgs } from 'node:util';
import pg from 'pg';
import { fileOfHeads, keepHeads, linesOf } from '../access/audit/kept-heads.js';
import { LineSigner } from '../access/audit/line-signer.js';
import { RESTORE, type RestoreTold } from '../access/audit/signed-restore.js';
import { type ArchiveRecord, ArchiveProblem, unpackArchive } from '../access/data-rights/archive-format.js';
import { refuseDoubtful, type RestoreTerms } from '../access/data-rights/restore-terms.js';
import { NOT_IN_ARCHIVE } from '../access/data-rights/archive-tables.read.js';
import { hashToken } from '../access/sign-in/tokens.js';
import { readConfig } from '../platform/config.js';
import { newId } from '../platform/identifiers.js';
import { findCheckout, openDatabase, ownerOf } from '../platform/open-database.js';
import { openSecretBox } from '../platform/secrets/secret-key.js';

/**
 * `npm run restore-operation -- [--sealed-by <key>] [--unsealed] [--older] [--kept <file of heads>] <file>`: brings
 * the archive of an operation (GET /v1/operations/{operationId}/archive) back into a server that does not have it. Runs
 * as the owner of the schema. Passphrases and keys are not in an
 * archive: each owner gets recovery codes and lets the others in. An archive that this server did not seal is taken
 * only where its keeper says so, and heads of the audit that were kept must be in it (restore-terms.ts).
 */
export interface Restored {
  operationId: string;
  name: string;
  records: number;
  seal: RestoreTold['seal'];
  /** For each owner, codes for POST /v1/recovery-by-code. */
  owners: { email: string; recoveryCodes: string[] }[];
}

const CHUNK = 500;
const CODES = 5;

/** Restores all or nothing. @throws ArchiveProblem where the archive cannot be restored, or not on these terms. */
export async function restoreOperation(client: pg.ClientBase, content: Buffer, terms: RestoreTerms): Promise<Restored> {
  const archive = unpackArchive(content);
  const { head, records } = archive;
  await client.query('BEGIN');
  try {
    await refusePresent(client, head.operationId);
    const told = refuseDoubtful(archive, terms);
    const tables = await inOrderOfReference(client);
    await refuseUnknown(client, records, new Set(tables));
    await refuseOtherOperations(client, head.operationId, records);
    // The guards accepted these rows once, in a different order, so they are off during the restore and checked
    // afterward. Nor do policies hold the owner until all is checked: they would show no row, and so nothing broken.
    for (const table of [...tables, 'recovery_code'])
      await client.query(`ALTER TABLE ${table} NO FORCE ROW LEVEL SECURITY, DISABLE TRIGGER USER`);
    for (const table of tables)
      await insert(
        client,
        table,
        records.filter((record) => record.table === table),
      );
    const owners = await giveOwnersCodes(client, head.operationId);
    await refuseBroken(client, head.operationId);
    await tell(client, head.operationId, told);
    for (const table of [...tables, 'recovery_code'])
      await client.query(`ALTER TABLE ${table} ENABLE TRIGGER USER, FORCE ROW LEVEL SECURITY`);
    await client.query('COMMIT');
    return { operationId: head.operationId, name: head.name, seal: told.seal, records: records.length, owners };
  } catch (error) {
    await client.query('ROLLBACK');
    throw error;
  }
}

/** Policies that hold the owner of the tables too would show no row of it. */
async function refusePresent(client: pg.ClientBase, operationId: string): Promise<void> {
  await client.query('ALTER TABLE operation NO FORCE ROW LEVEL SECURITY');
  const { rowCount } = await client.query('SELECT 1 FROM operation WHERE id = $1', [operationId]);
  if (rowCount !== 0) throw new ArchiveProblem(`The operation ${operationId} is on this server already.`);
}

/** People, operations and every table of operations, each after the tables it refers to. */
async function inOrderOfReference(client: pg.ClientBase): Promise<string[]> {
  const { rows } = await client.query<{ name: string; needs: string[] }>(`
    WITH held AS (
      SELECT c.oid, c.relname FROM pg_class c WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p')
        AND (c.relname IN ('person', 'operation')
        OR EXISTS (SELECT 1 FROM pg_attribute a WHERE a.attrelid = c.oid AND a.attname = 'operation_id'
          AND NOT a.attisdropped))
    )
    SELECT h.relname::text AS name, ARRAY(SELECT DISTINCT r.relname::text FROM pg_constraint f
      JOIN held r ON r.oid = f.confrelid WHERE f.conrelid = h.oid AND f.contype = 'f' AND r.oid <> h.oid) AS needs
      FROM held h ORDER BY h.relname`);
  const placed: string[] = [];
  let waiting = rows;
  while (waiting.length > 0) {
    const next = waiting.filter(({ needs }) => needs.every((need) => placed.includes(need)));
    if (next.length === 0)
      throw new ArchiveProblem(
        `These tables refer to each other in a circle: ${waiting.map(({ name }) => name).join(', ')}`,
      );
    placed.push(...next.map(({ name }) => name));
    waiting = waiting.filter((table) => !next.includes(table));
  }
  return placed;
}

async function refuseUnknown(
  client: pg.ClientBase,
  records: readonly ArchiveRecord[],
  tables: ReadonlySet<string>,
): Promise<void> {
  const seen = new Set<string>();
  for (const { table, row } of records) {
    if (!tables.has(table))
      throw new ArchiveProblem(`The archive holds records of "${table}", which this release does not know.`);
    if (seen.has(table)) continue;
    seen.add(table);
    const { rows } = await client.query<{ key: string }>(
      'SELECT k.key FROM jsonb_object_keys($1::jsonb) AS k(key) EXCEPT SELECT column_name::text FROM ' +
        "information_schema.columns WHERE table_schema = 'public' AND table_name = $2",
      [row, table],
    );
    if (rows.length > 0)
      throw new ArchiveProblem(`The archive holds ${table}.${rows[0]?.key ?? ''}, which this release does not know.`);
  }
}

/**
 * The file is not trusted: it may bring one operation and no rows of another, only people who belong to it, and no keys
 * or tokens.
 */
async function refuseOtherOperations(
  client: pg.ClientBase,
  operationId: string,
  records: readonly ArchiveRecord[],
): Promise<void> {
  for (const { table } of records) {
    const why = NOT_IN_ARCHIVE[table];
    if (why !== undefined)
      throw new ArchiveProblem(`The archive holds records of "${table}", which no archive holds: ${why}.`);
  }
  for (let at = 0; at < records.length; at += CHUNK) {
    const rows = records
      .slice(at, at + CHUNK)
      .filter(({ table }) => table !== 'person')
      .map(({ table, row }) => ({ table, row }));
    const { rows: others } = await client.query<{ table_name: string }>(
      'SELECT t.table_name FROM unnest($1::text[], $2::jsonb[]) AS t(table_name, content) WHERE ' +
        "COALESCE(t.content ->> CASE t.table_name WHEN 'operation' THEN 'id' ELSE 'operation_id' END, '') <> $3 " +
        'LIMIT 1',
      [rows.map(({ table }) => table), rows.map(({ row }) => row), operationId],
    );
    if (others[0] !== undefined)
      throw new ArchiveProblem(
        `The archive holds a record of "${others[0].table_name}" that is not of the operation ${operationId}.`,
      );
  }
}

async function insert(client: pg.ClientBase, table: string, records: readonly ArchiveRecord[]): Promise<void> {
  if (records.length === 0) return;
  if (table === 'person') return insertPeople(client, records);
  // Staged first, then moved in one statement, so that rows of a table may refer to each other in any order.
  await client.query(`CREATE TEMP TABLE staged (LIKE public.${table}) ON COMMIT DROP`);
  for (let at = 0; at < records.length; at += CHUNK) {
    await client.query(`INSERT INTO staged SELECT * FROM jsonb_populate_recordset(NULL::public.${table}, $1::jsonb)`, [
      `[${records
        .slice(at, at + CHUNK)
        .map(({ row }) => row)
        .join(',')}]`,
    ]);
  }
  // Before confirmations were asked, a membership was in force from its beginning.
  if (table === 'membership' && !records.some(({ row }) => row.includes('"confirmed_at"')))
    await client.query('UPDATE staged SET confirmed_at = created_at');
  await client.query(`INSERT INTO public.${table} SELECT * FROM staged`);
  await client.query('DROP TABLE staged');
  // Sequences continue after the highest number restored.
  const { rows } = await client.query<{ column_name: string; sequence: string }>(
    "SELECT column_name, pg_get_serial_sequence('public.' || table_name, column_name) AS sequence FROM " +
      "information_schema.columns WHERE table_schema = 'public' AND table_name = $1 AND " +
      "pg_get_serial_sequence('public.' || table_name, column_name) IS NOT NULL",
    [table],
  );
  for (const { column_name: column, sequence } of rows)
    await client.query(`SELECT setval($1, GREATEST((SELECT max(${column}) FROM public.${table}), 1))`, [sequence]);
}

/** A person already on this server stays as they are; an email that belongs to somebody else here is refused. */
async function insertPeople(client: pg.ClientBase, records: readonly ArchiveRecord[]): Promise<void> {
  const all = `[${records.map(({ row }) => row).join(',')}]`;
  const { rows } = await client.query<{ email: string }>(
    'SELECT p.email FROM jsonb_populate_recordset(NULL::person, $1::jsonb) r JOIN person p ON p.email = r.email ' +
      'AND p.id <> r.id',
    [all],
  );
  if (rows.length > 0)
    throw new ArchiveProblem(`The email ${rows[0]?.email ?? ''} belongs to another person on this server.`);
  await client.query(
    'INSERT INTO person (id, email, name, created_at) SELECT r.id, r.email, r.name, r.created_at FROM ' +
      'jsonb_populate_recordset(NULL::person, $1::jsonb) r ON CONFLICT (id) DO NOTHING',
    [all],
  );
}

async function giveOwnersCodes(client: pg.ClientBase, operationId: string): Promise<Restored['owners']> {
  const { rows } = await client.query<{ id: string; email: string }>(
    'SELECT p.id, p.email FROM person p JOIN membership m ON m.person_id = p.id WHERE m.operation_id = $1 AND ' +
      "m.role = 'owner' AND m.until_at IS NULL AND p.passphrase_hash IS NULL ORDER BY p.email",
    [operationId],
  );
  const owners: Restored['owners'] = [];
  for (const { id, email } of rows) {
    // Those of an earlier restore are gone, as always where new ones are made.
    await client.query('DELETE FROM recovery_code WHERE person_id = $1', [id]);
    const recoveryCodes = Array.from({ length: CODES }, () => randomBytes(14).toString('hex'));
    for (const code of recoveryCodes)
      await client.query('INSERT INTO recovery_code (id, person_id, code_hash) VALUES ($1, $2, $3)', [
        newId(),
        id,
        hashToken(code),
      ]);
    owners.push({ email, recoveryCodes: recoveryCodes.map((code) => code.replace(/(.{5})(?!$)/g, '$1-')) });
  }
  return owners;
}

/** Refuses now what the guards would have refused: a lot below zero, a herd below zero head, a broken audit chain. */
async function refuseBroken(client: pg.ClientBase, operationId: string): Promise<void> {
  const lots = await client.query(
    'SELECT 1 FROM (SELECT sum(kilograms) OVER (PARTITION BY hay_lot_id ORDER BY effective_at) AS balance FROM ' +
      'stock_movement WHERE operation_id = $1) b WHERE b.balance < 0 LIMIT 1',
    [operationId],
  );
  if (lots.rowCount !== 0) throw new ArchiveProblem('The archive holds a lot that is drawn below zero.');
  const herds = await client.query(
    'SELECT 1 FROM (SELECT sum(head) OVER (PARTITION BY herd_id ORDER BY happened_on) AS head FROM head_change ' +
      'WHERE operation_id = $1) b WHERE b.head < 0 LIMIT 1',
    [operationId],
  );
  if (herds.rowCount !== 0) throw new ArchiveProblem('The archive holds a herd with fewer than no animals.');
  // A chain without its beginning, or of no line at all, has nothing to break.
  const opened = await client.query(
    "SELECT 1 FROM audit_entry WHERE operation_id = $1 AND sequence = 1 AND action = 'operation.open'",
    [operationId],
  );
  if (opened.rowCount === 0)
    throw new ArchiveProblem('The audit of the archive does not begin with the opening of the operation.');
  const chain = await client.query('SELECT 1 FROM rickyard.audit_chain($1) WHERE first_break IS NOT NULL', [
    operationId,
  ]);
  if (chain.rowCount !== 0) throw new ArchiveProblem('The audit chain of the archive does not hold.');
}

/** The line of the restore in the audit: the chain goes on with it. */
async function tell(client: pg.ClientBase, operationId: string, told: RestoreTold): Promise<void> {
  await client.query('ALTER TABLE audit_entry ENABLE TRIGGER USER');
  await client.query(
    'INSERT INTO audit_entry (operation_id, sequence, request_id, address, action, subject_kind, subject_id, after, ' +
      "chain_hash) VALUES ($1, 0, $2, '', $3, 'operation', $1, $4, '')",
    [operationId, newId(), RESTORE, JSON.stringify(told)],
  );
}

async function main(): Promise<void> {
  const { values, positionals } = parseArgs({
    allowPositionals: true,
    options: {
      'sealed-by': { type: 'string' },
      unsealed: { type: 'boolean', default: false },
      older: { type: 'boolean', default: false },
      kept: { type: 'string', multiple: true, default: [] },
    },
  });
  const [file] = positionals;
  if (file === undefined) throw new Error('Which file? npm run restore-operation -- <file>.ndjson.gz');
  const content = readFileSync(file);
  const config = readConfig(process.env, findCheckout(__dirname));
  const opened = await openDatabase(config);
  const client = new pg.Client({ connectionString: ownerOf(opened) });
  await client.connect();
  try {
    const { box: secrets, notes } = openSecretBox({
      given: config.secretKey,
      folder: opened.dataFolder,
      shared: false,
    });
    notes.forEach((note) => console.error(note));
    const heads = fileOfHeads(opened.dataFolder);
    const restored = await restoreOperation(client, content, {
      signer: new LineSigner(secrets),
      ownHeads: existsSync(heads) ? linesOf(readFileSync(heads, 'utf8')) : [],
      broughtHeads: values.kept.flatMap((kept) => linesOf(readFileSync(kept, 'utf8'))),
      sealedBy: values['sealed-by'],
      unsealed: values.unsealed,
      older: values.older,
      by: accountName(),
      moment: new Date(),
    });
    sayRestored(restored);
    const faults = await keepHeads({ database: opened.database, secrets, file: heads }, new Date());
    faults.forEach((fault) => console.error(`AUDIT: ${fault}`));
  } finally {
    await client.end();
    await opened.close();
  }
}

/** A container may run under a number without a name. */
function accountName(): string | null {
  try {
    return userInfo().username;
  } catch {
    return null;
  }
}

function sayRestored({ name, operationId, records, seal, owners }: Restored): void {
  console.log(`Restored ${name} (${operationId}): ${records} records.`);
  if (seal === 'none') console.log('Nothing vouched for the archive; the audit says so.');
  for (const { email, recoveryCodes } of owners) {
    console.log(
      `\n${email} is an owner and has no passphrase here. Each of these codes sets one, once, at POST ` +
        '/v1/recovery-by-code:',
    );
    recoveryCodes.forEach((code) => console.log(`  ${code}`));
  }
}

if (require.main === module) {
  main().catch((error: unknown) => {
    console.error(error instanceof Error ? error.message : String(error));
    process.exit(1);
  });
}
