/*
 * The files of prisma/guards are the whole of the database's rules: what is in the database stands in one of them, what
 * stands in one of them is in the database, and migrations keep tables only.
 */
import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { openYard, type Yard } from '../support/world.js';

const PRISMA = path.resolve(__dirname, '..', '..', 'prisma');
const GUARDS = readdirSync(path.join(PRISMA, 'guards'))
  .sort()
  .map((file) => readFileSync(path.join(PRISMA, 'guards', file), 'utf8'));
/** The last migration that made rules itself; the guards have replaced them all. */
const LAST_WITH_RULES = '20261125000071_lapsed_engagements';

let yard: Yard;
beforeAll(async () => {
  yard = await openYard();
});
afterAll(async () => {
  await yard.close();
});

const ask = async <Row extends object>(sql: string): Promise<Row[]> => (await yard.ownerPool.query<Row>(sql)).rows;
const withoutComments = (sql: string): string => sql.replaceAll(/--[^\n]*/g, '');
const said = (pattern: RegExp): string[] =>
  GUARDS.flatMap((sql) => [...withoutComments(sql).matchAll(pattern)].map((found) => found.slice(1).join(' ')));

interface TableRule {
  table: string;
  acts: { read: string; insert: string; update: string | null; delete: string | null };
  closedDay: string | null;
}

/** The rows of 40-tables.sql, as text. */
function tableRules(): TableRule[] {
  const acts = String.raw`'([a-z or]+)', +'([a-z or]+)', +(NULL|'[a-z or]+'), +(NULL|'[a-z or]+'), +(NULL|'[a-z_]+')`;
  const word = (text: string | undefined): string | null => (text === 'NULL' ? null : (text ?? '').replaceAll("'", ''));
  const [file] = GUARDS.filter((sql) => sql.includes('CREATE TEMPORARY TABLE guarded_table'));
  const rows = [...(file ?? '').matchAll(new RegExp(String.raw`\('(\w+)', +${acts}\)`, 'g'))].map(
    ([, table = '', read = '', insert = '', update, gone, day]) => ({
      table,
      acts: { read, insert, update: word(update), delete: word(gone) },
      closedDay: word(day),
    }),
  );
  return [
    { table: 'operation', acts: { read: 'read', insert: 'own', update: 'own', delete: null }, closedDay: null },
    ...rows,
  ];
}
const SELF_KEPT = ['audit_entry', 'membership_change', 'erased_operation'];

describe('every rule stands in a guard, and every guard in the database', () => {
  it('functions', async () => {
    const made = await ask<{ name: string }>(
      "SELECT p.pronamespace::regnamespace || '.' || p.proname AS name FROM pg_proc p " +
        "WHERE p.pronamespace::regnamespace::text IN ('public', 'rickyard', 'rickyard_erasure') ORDER BY 1",
    );
    const written = said(/CREATE OR REPLACE FUNCTION ([\w.]+)\(/g);
    expect(made.map((row) => row.name)).toEqual([...written].sort());
    expect(new Set(written).size).toBe(written.length);
  });

  it('triggers', async () => {
    const made = await ask<{ name: string }>(
      "SELECT t.tgname || ' ' || t.tgrelid::regclass AS name FROM pg_trigger t WHERE NOT t.tgisinternal",
    );
    const appendOnly = tableRules()
      .filter((rule) => rule.acts.update === null && rule.acts.delete === null)
      .map((rule) => rule.table);
    expect(made.map((row) => row.name).sort()).toEqual(
      [
        ...said(/CREATE (?:CONSTRAINT )?TRIGGER (\w+)\s+(?:BEFORE|AFTER) [A-Z ]+? ON (\w+)/g),
        ...[...appendOnly, ...SELF_KEPT].flatMap((table) => [
          `${table}_append_only ${table}`,
          `${table}_no_truncate ${table}`,
        ]),
        ...tableRules()
          .filter((rule) => rule.closedDay !== null)
          .map(({ table }) => `${table}_closed_day ${table}`),
      ].sort(),
    );
  });

  it('policies', async () => {
    const made = await ask<{ name: string }>(
      "SELECT policyname || ' ' || tablename AS name FROM pg_policies WHERE policyname <> tablename || '_erase'",
    );
    const written = new Set([
      ...said(/CREATE POLICY (\w+) ON (\w+)/g),
      ...tableRules().flatMap(({ table, acts }) =>
        Object.entries(acts)
          .filter(([, act]) => act !== null)
          .map(([command]) => `${table}_${command} ${table}`),
      ),
    ]);
    expect(made.map((row) => row.name).sort()).toEqual([...written].sort());
  });

  it('the right to erase, on every table of an operation and no other', async () => {
    const erased = await ask<{ tablename: string }>(
      "SELECT tablename FROM pg_policies WHERE policyname = tablename || '_erase' ORDER BY 1",
    );
    const held = await ask<{ relname: string }>(
      `SELECT c.relname FROM pg_class c WHERE c.relnamespace = 'public'::regnamespace AND c.relkind = 'r'
         AND EXISTS (SELECT 1 FROM pg_attribute a WHERE a.attrelid = c.oid AND a.attname = 'operation_id')`,
    );
    expect(erased.map((row) => row.tablename)).toEqual(
      [...held.map((row) => row.relname), 'operation', 'idempotency_record'].sort(),
    );
  });

  it('a table of records has one row of acts, or its own policies', async () => {
    const tables = await ask<{ relname: string }>(
      "SELECT c.relname FROM pg_class c WHERE c.relnamespace = 'public'::regnamespace AND c.relkind = 'r' " +
        "AND c.relname <> '_prisma_migrations'",
    );
    const byActs = tableRules().map((rule) => rule.table);
    const byName = said(/CREATE POLICY \w+ ON (\w+)/g).filter((table) => !byActs.includes(table));
    expect([...byActs, ...new Set(byName)].sort()).toEqual(tables.map((row) => row.relname).sort());
  });
});

describe('migrations', () => {
  const later = readdirSync(path.join(PRISMA, 'migrations')).filter(
    (name) => name > LAST_WITH_RULES && /^\d/.test(name),
  );

  it('of later make no rules and call none: replayed on another day they would mean something else', () => {
    // Rows that a migration moves must show to it: it may lift the force of a table, which the guards then put back.
    const lifted = /\bNO FORCE ROW LEVEL SECURITY/gi;
    const rules = /CREATE (OR REPLACE )?(FUNCTION|TRIGGER|POLICY)|\bGRANT\b|ROW LEVEL SECURITY|rickyard(_erasure)?\./i;
    const faulty = later.filter((name) => {
      const script = readFileSync(path.join(PRISMA, 'migrations', name, 'migration.sql'), 'utf8');
      return rules.test(withoutComments(script).replaceAll(lifted, ''));
    });
    expect(faulty).toEqual([]);
  });
});
