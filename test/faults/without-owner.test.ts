/*
 * A server that is given its own login and not the owner's: what it holds opens no more than row-level security lets
 * through. A server apart, since roles belong to a whole server.
 */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import pg from 'pg';
import { refuseOtherRelease } from '../../src/platform/database/same-release.js';
import { runCommand, runProgram } from '../support/program.js';
import { startServerOfRun } from '../support/server-of-run.js';

const PRISMA = path.resolve(__dirname, '..', '..', 'prisma');
let server: { url: string; stop: () => Promise<void> };
let folder: string;
beforeAll(async () => {
  server = await startServerOfRun();
  folder = mkdtempSync(path.join(tmpdir(), 'rickyard-without-owner-'));
  const keeper = new pg.Client({ connectionString: server.url });
  await keeper.connect();
  await keeper.query("CREATE ROLE yard_owner LOGIN NOSUPERUSER CREATEROLE PASSWORD 'hay in the rick'");
  await keeper.query('CREATE DATABASE books OWNER yard_owner');
  await keeper.end();
});
afterAll(async () => {
  rmSync(folder, { recursive: true, force: true });
  await server.stop();
});

const as = (login: string, password: string): string => {
  const url = new URL(server.url);
  url.username = login;
  url.password = password;
  url.pathname = '/books';
  return url.toString();
};
const owner = (): string => as('yard_owner', 'hay in the rick');
const own = (): string => as('yard_server', 'a bale at a time');
const withOwner = (): Record<string, string> => ({
  DATABASE_URL: owner(),
  APP_DATABASE_URL: own(),
  RICKYARD_DATA: folder,
});
const alone = (): Record<string, string> => ({ APP_DATABASE_URL: own(), RICKYARD_DATA: folder });
const start = (env: Record<string, string>): ReturnType<typeof runProgram> =>
  runProgram(env, /Interactive reference/, (_said, stop) => Promise.resolve(stop()));
const asOwner = async (sql: string): Promise<void> => {
  const client = new pg.Client({ connectionString: owner() });
  await client.connect();
  await client.query(sql);
  await client.end();
};

it('an owner that may not make roles is told what is missing, before anything is changed', async () => {
  const keeper = new pg.Client({ connectionString: server.url });
  await keeper.connect();
  await keeper.query('ALTER ROLE yard_owner NOCREATEROLE');
  const { code, said } = await runCommand('migrate.ts', withOwner());
  await keeper.query('ALTER ROLE yard_owner CREATEROLE');
  await keeper.end();
  expect({ code, said }).toEqual({
    code: 1,
    said: expect.stringMatching(/"yard_owner", may not create roles.*CREATEROLE.*CREATE ROLE rickyard_app/s) as string,
  });
  const client = new pg.Client({ connectionString: owner() });
  await client.connect();
  expect((await client.query("SELECT 1 FROM pg_tables WHERE schemaname = 'public'")).rows).toEqual([]);
  await client.end();
});

it('before the owner has migrated, it is told to; then it serves, and makes no schema of its own', async () => {
  const early = await start(alone());
  expect(early.code).toBe(1);
  expect(early.said).toMatch(/The database server at \S+ cannot be used: .*yard_server/);

  const migrated = await runCommand('migrate.ts', withOwner());
  expect(migrated).toEqual({ code: 0, said: expect.stringMatching(/applied \d+ migrations/) as string });
  expect(migrated.said).toContain('made the login yard_server');

  const served = await start(alone());
  expect(served).toEqual({
    code: 0,
    said: expect.stringContaining("serves without the owner's login") as string,
  });
  expect(served.said).not.toMatch(/Demo:/);
});

it('the login opens no table of the books, and has no rights over others', async () => {
  const client = new pg.Client({ connectionString: own() });
  await client.connect();
  await expect(client.query('CREATE TABLE public.mine (id int)')).rejects.toMatchObject({ code: '42501' });
  await expect(client.query('ALTER TABLE person DISABLE ROW LEVEL SECURITY')).rejects.toMatchObject({ code: '42501' });
  await expect(client.query("UPDATE rickyard.applied_guard SET digest = ''")).rejects.toMatchObject({ code: '42501' });
  expect((await client.query('SELECT id FROM operation')).rows).toEqual([]);
  await client.end();
});

it('a rule of the database that is not this release refuses to serve, and names it', async () => {
  await asOwner("UPDATE rickyard.applied_guard SET digest = 'another' WHERE name = '60-ledger'");
  const { code, said } = await start(alone());
  expect(code).toBe(1);
  expect(said).toMatch(/is not what this release needs: the guard 60-ledger.*npm run migrate/s);
  expect((await runCommand('migrate.ts', withOwner())).code).toBe(0);
  expect((await start(alone())).code).toBe(0);
});

it('a schema of another release is refused, and named', async () => {
  await asOwner("UPDATE rickyard.applied_guard SET after_migration = '29990101000000_to_come'");
  const { code, said } = await start(alone());
  expect(code).toBe(1);
  expect(said).toMatch(/is not what this release needs: .*29990101000000_to_come.*npm run migrate/s);
  expect((await runCommand('migrate.ts', withOwner())).code).toBe(0);
});

it('a migration that this release does not know is refused, and named', async () => {
  const later = '29990101000000_to_come';
  const pool = new pg.Pool({ connectionString: own(), max: 1 });
  await refuseOtherRelease(pool, PRISMA);
  await asOwner(
    `INSERT INTO _prisma_migrations (id, checksum, migration_name, finished_at) VALUES ('x', 'x', '${later}', now())`,
  );
  await expect(refuseOtherRelease(pool, PRISMA)).rejects.toThrow(`it has the migration ${later}`);
  await asOwner("DELETE FROM _prisma_migrations WHERE id = 'x'");
  await pool.end();
});

it('what takes the owner says so', async () => {
  const file = path.join(folder, 'books.ndjson');
  writeFileSync(file, '{}');
  const { code, said } = await runCommand('restore-operation.ts', alone(), file);
  expect(code).toBe(1);
  expect(said).toMatch(/owner.*DATABASE_URL/s);
});
