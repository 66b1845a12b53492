/* Schema file, migrations and generated types say the same; a migration that fails leaves nothing behind. */
import { execFileSync } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import pg from 'pg';
import { applyMigrations, schemaDifference } from '../../src/platform/database/migrations-engine/schema-engine.js';
import { inDatabase } from '../support/test-database.js';
import { openYard, type Yard } from '../support/world.js';

const CHECKOUT = path.resolve(__dirname, '..', '..');
const MIGRATIONS = path.join(CHECKOUT, 'prisma', 'migrations');
const SCHEMA = path.join(CHECKOUT, 'prisma', 'schema.prisma');
const NAMES = readdirSync(MIGRATIONS, { withFileTypes: true })
  .filter((entry) => entry.isDirectory())
  .map((entry) => entry.name)
  .sort();

describe('migrations', () => {
  let yard: Yard;
  let folder: string;
  let empty: string;
  beforeAll(async () => {
    yard = await openYard();
  });
  afterAll(async () => {
    await yard.close();
  });
  beforeEach(async () => {
    folder = mkdtempSync(path.join(tmpdir(), 'rickyard-migrations-'));
    cpSync(MIGRATIONS, folder, { recursive: true });
    empty = `empty_${Date.now().toString(36)}_${Math.floor(performance.now())}`;
    await yard.ownerPool.query(`CREATE DATABASE ${empty} TEMPLATE template0`);
  });
  afterEach(async () => {
    rmSync(folder, { recursive: true, force: true });
    await yard.ownerPool.query(`DROP DATABASE ${empty} WITH (FORCE)`);
  });

  const add = (name: string, sql: string): void => {
    mkdirSync(path.join(folder, name));
    writeFileSync(path.join(folder, name, 'migration.sql'), sql);
  };
  const inEmpty = async <Row extends object>(sql: string): Promise<Row[]> => {
    const client = new pg.Client({ connectionString: inDatabase(yard.ownerUrl, empty) });
    await client.connect();
    try {
      return (await client.query<Row>(sql)).rows;
    } finally {
      await client.end();
    }
  };

  it('from nothing make what the schema file says', async () => {
    const difference = await schemaDifference(yard.ownerUrl, SCHEMA, 'database');
    expect(difference.trim()).toMatch(/^(-- This is an empty migration\.)?$/);
  });

  it('differ from the schema file where a column is missing (so that the test above can fail)', async () => {
    await yard.ownerPool.query('ALTER TABLE ranch DROP COLUMN time_zone');
    const difference = await schemaDifference(yard.ownerUrl, SCHEMA, 'database');
    await yard.ownerPool.query('ALTER TABLE ranch ADD COLUMN time_zone text NOT NULL');
    expect(difference).toContain('ALTER TABLE "ranch" ADD COLUMN     "time_zone" TEXT NOT NULL');
  });

  it('applied again do nothing', async () => {
    expect(await applyMigrations(yard.ownerUrl, MIGRATIONS)).toEqual([]);
    const { rows } = await yard.ownerPool.query<{ migration_name: string }>(
      'SELECT migration_name FROM _prisma_migrations WHERE finished_at IS NOT NULL ORDER BY 1',
    );
    expect(rows.map((row) => row.migration_name)).toEqual(NAMES);
  });

  it('from two servers at once are applied once', async () => {
    const url = inDatabase(yard.ownerUrl, empty);
    const [one, other] = await Promise.all([applyMigrations(url, folder), applyMigrations(url, folder)]);
    expect([...one, ...other].sort()).toEqual(NAMES);
  });

  it('that fail leave nothing of themselves, and what came before whole', async () => {
    add(
      '20990101000001_half',
      'CREATE TABLE half (id int);\nDO $$ BEGIN INSERT INTO half VALUES (1); END $$;\nSELECT 1/0;\nCREATE TABLE ' +
        'never (id int);',
    );
    await expect(applyMigrations(inDatabase(yard.ownerUrl, empty), folder)).rejects.toThrow(
      /20990101000001_half|division by zero/,
    );
    expect(await inEmpty("SELECT relname FROM pg_class WHERE relname IN ('half', 'never')")).toEqual([]);
    expect((await inEmpty("SELECT 1 FROM pg_class WHERE relname = 'hay_lot'")).length).toBe(1);
  });

  it('that failed can be mended and go through', async () => {
    add('20990101000001_half', 'CREATE TABLE half (id int);\nSELECT 1/0;');
    const url = inDatabase(yard.ownerUrl, empty);
    await expect(applyMigrations(url, folder)).rejects.toThrow();
    writeFileSync(path.join(folder, '20990101000001_half', 'migration.sql'), 'CREATE TABLE half (id int);');
    expect(await applyMigrations(url, folder)).toEqual(['20990101000001_half']);
  });

  it('cut off between a script and the note that it was applied are begun again', async () => {
    const url = inDatabase(yard.ownerUrl, empty);
    rmSync(path.join(folder, NAMES.at(-1) ?? ''), { recursive: true });
    await applyMigrations(url, folder);
    await inEmpty(`
      CREATE FUNCTION cut_off() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN PERFORM pg_terminate_backend(pg_backend_pid()); PERFORM pg_sleep(60); RETURN NEW; END $$;
      CREATE TRIGGER cut_off BEFORE UPDATE OF finished_at ON _prisma_migrations
        FOR EACH ROW EXECUTE FUNCTION cut_off()`);
    await expect(applyMigrations(url, MIGRATIONS)).rejects.toThrow();
    await inEmpty('DROP TRIGGER cut_off ON _prisma_migrations; DROP FUNCTION cut_off()');
    expect(await applyMigrations(url, MIGRATIONS)).toEqual([NAMES.at(-1)]);
    expect(await applyMigrations(url, MIGRATIONS)).toEqual([]);
  });

  it('of a later release are refused by name', async () => {
    const url = inDatabase(yard.ownerUrl, empty);
    add('20990101000001_later', 'CREATE TABLE later (id int);');
    await applyMigrations(url, folder);
    await expect(applyMigrations(url, MIGRATIONS)).rejects.toThrow(
      'The database was brought up by a later release, which this one does not know: 20990101000001_later.',
    );
  });

  it('whose script was changed after it was applied are refused by name', async () => {
    const url = inDatabase(yard.ownerUrl, empty);
    add('20990101000001_changed', 'CREATE TABLE changed (id int);');
    await applyMigrations(url, folder);
    writeFileSync(path.join(folder, '20990101000001_changed', 'migration.sql'), 'CREATE TABLE changed (id bigint);');
    await expect(applyMigrations(url, folder)).rejects.toThrow(
      'These migrations were changed after they had been applied to the database: 20990101000001_changed.',
    );
  });

  it('carry blocks, functions and texts with semicolons unharmed', async () => {
    add(
      '20990101000001_semicolons',
      "CREATE TABLE words (word text);\nDO $$ DECLARE w text; BEGIN FOREACH w IN ARRAY ARRAY['a;b', 'c''d;'] " +
        'LOOP INSERT INTO words VALUES (w); END LOOP; END $$;',
    );
    await applyMigrations(inDatabase(yard.ownerUrl, empty), folder);
    expect(await inEmpty('SELECT word FROM words ORDER BY 1')).toEqual([{ word: 'a;b' }, { word: "c'd;" }]);
  });

  it('that were edited after they ran are noticed', async () => {
    const { rows } = await yard.ownerPool.query<{ migration_name: string; checksum: string }>(
      'SELECT migration_name, checksum FROM _prisma_migrations',
    );
    const { createHash } = await import('node:crypto');
    for (const { migration_name: name, checksum } of rows)
      expect([name, checksum]).toEqual([
        name,
        createHash('sha256')
          .update(readFileSync(path.join(MIGRATIONS, name, 'migration.sql')))
          .digest('hex'),
      ]);
  });
});

describe('generated types', () => {
  it('are those of the schema file', () => {
    const folder = mkdtempSync(path.join(tmpdir(), 'rickyard-types-'));
    try {
      const schema = path.join(folder, 'schema.prisma');
      writeFileSync(schema, readFileSync(SCHEMA, 'utf8').replace(/output(\s*)=\s*"[^"]+"/, `output$1= "${folder}"`));
      execFileSync(
        process.execPath,
        [
          path.join(CHECKOUT, 'node_modules', 'prisma', 'build', 'index.js'),
          'generate',
          '--schema',
          schema,
          '--no-hints',
        ],
        {
          cwd: CHECKOUT,
          stdio: 'pipe',
          env: {
            ...process.env,
            PATH: `${path.join(CHECKOUT, 'node_modules', '.bin')}${path.delimiter}${process.env['PATH'] ?? ''}`,
            PRISMA_SCHEMA_ENGINE_BINARY: process.execPath,
            CHECKPOINT_DISABLE: '1',
          },
        },
      );
      const made = readFileSync(path.join(folder, 'schema.generated.ts'), 'utf8');
      expect(made.split('\n')).toEqual(
        readFileSync(path.join(CHECKOUT, 'src', 'platform', 'database', 'schema.generated.ts'), 'utf8').split('\n'),
      );
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });
});
