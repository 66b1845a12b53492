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
    await inEmpty('DELETE FROM _prisma_migrations WHERE finished_at IS NULL');
    expect(await applyMigrations(url, folder)).toEqual(['20990101000001_half']);
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
