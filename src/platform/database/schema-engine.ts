import { readdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { PrismaPg } from '@prisma/adapter-pg';
import { bindMigrationAwareSqlAdapterFactory, ColumnTypeEnum } from '@prisma/driver-adapter-utils';
import pg from 'pg';

/**
 * Prisma's own schema engine, the WebAssembly build, through the pg adapter: it plans and applies migrations, keeps
 * Prisma's `_prisma_migrations` table and checksums, and needs no binary to be downloaded.
 */
interface SchemaEngine {
  applyMigrations(input: unknown): Promise<{ appliedMigrationNames: string[] }>;
  diff(input: unknown): Promise<{ stdout: string | null }>;
  free(): void;
}
interface SchemaEngineModule {
  SchemaEngine: {
    new: (
      options: { datamodels?: [string, string][] },
      log: (line: string) => void,
      adapter: object,
    ) => Promise<SchemaEngine>;
  };
  __wbg_set_wasm: (exports: Record<string, unknown>) => void;
}
/** Node has WebAssembly; only the DOM library of TypeScript declares it, and this is all we use. */
declare const WebAssembly: {
  instantiate(
    bytes: Uint8Array,
    imports: Record<string, object>,
  ): Promise<{ instance: { exports: Record<string, unknown> } }>;
};

let loaded: Promise<SchemaEngineModule> | undefined;

/**
 * The package exports no path to its .wasm file and its entry relies on a bundler, so both files are loaded by path.
 */
async function loadEngine(): Promise<SchemaEngineModule> {
  const folder = path.dirname(createRequire(__filename).resolve('@prisma/schema-engine-wasm'));
  // Without it a panic of the engine would be a promise that never ends.
  (globalThis as { PRISMA_WASM_PANIC_REGISTRY?: object }).PRISMA_WASM_PANIC_REGISTRY ??= {
    set_message: (message: string) => {
      throw new Error(`Prisma's schema engine failed: ${message}`);
    },
  };
  const glue = (await import(path.join(folder, 'schema_engine_bg.js'))) as SchemaEngineModule;
  const bytes = readFileSync(path.join(folder, 'schema_engine_bg.wasm'));
  const { instance } = await WebAssembly.instantiate(bytes, { './schema_engine_bg.js': glue });
  glue.__wbg_set_wasm(instance.exports);
  (instance.exports['__wbindgen_start'] as () => void)();
  return glue;
}

/**
 * The stock adapter cuts a script at every semicolon, which breaks `DO $$ … $$` blocks and leaves half a migration
 * behind. Here a script goes out whole: PostgreSQL runs a multi-statement query as one transaction, so a migration that
 * fails leaves nothing.
 */
class WholeScriptAdapterFactory extends PrismaPg {
  readonly #pool: pg.Pool;

  constructor(pool: pg.Pool) {
    super(pool, { disposeExternalPool: false });
    this.#pool = pool;
  }

  override async connect(): ReturnType<PrismaPg['connect']> {
    const adapter = await super.connect();
    adapter.executeScript = async (script: string) => {
      await this.#pool.query(script);
    };
    readInternalChar(adapter as unknown as InnerAdapter);
    return adapter;
  }
}

interface InnerAdapter {
  performIO(query: unknown): Promise<{ fields: { dataTypeID: number }[] }>;
  queryRaw(query: unknown): Promise<{ columnTypes: number[] }>;
}
const INTERNAL_CHAR = 18;
const TEXT = 25;

/**
 * The stock adapter does not know PostgreSQL's internal type "char", which the catalogue is full of and the engine
 * wants as a character.
 */
function readInternalChar(adapter: InnerAdapter): void {
  const performIO = adapter.performIO.bind(adapter);
  const queryRaw = adapter.queryRaw.bind(adapter);
  let isChar: boolean[] = [];
  adapter.performIO = async (query) => {
    const result = await performIO(query);
    isChar = result.fields.map((field) => field.dataTypeID === INTERNAL_CHAR);
    for (const field of result.fields) if (field.dataTypeID === INTERNAL_CHAR) field.dataTypeID = TEXT;
    return result;
  };
  adapter.queryRaw = async (query) => {
    const result = await queryRaw(query);
    return {
      ...result,
      columnTypes: result.columnTypes.map((type, index) => (isChar[index] === true ? ColumnTypeEnum.Character : type)),
    };
  };
}

async function withEngine<T>(url: string, work: (engine: SchemaEngine) => Promise<T>): Promise<T> {
  loaded ??= loadEngine();
  const { SchemaEngine } = await loaded;
  const pool = new pg.Pool({
    connectionString: url,
    max: 1,
    idleTimeoutMillis: 0,
    application_name: 'rickyard-migrations',
  });
  try {
    // The ledger of migrations carries checksums; two servers that start at once must not interleave.
    await pool.query('SELECT pg_advisory_lock(727501)');
    const engine = await SchemaEngine.new(
      {},
      () => undefined,
      bindMigrationAwareSqlAdapterFactory(new WholeScriptAdapterFactory(pool)),
    );
    try {
      return await withoutLingeringTimers(() => work(engine));
    } finally {
      engine.free();
    }
  } finally {
    await pool.end();
  }
}

/**
 * The engine arms a deadline of ten seconds for its lock and forgets it: what it arms while it works must not keep the
 * process.
 */
async function withoutLingeringTimers<T>(work: () => Promise<T>): Promise<T> {
  const arm = globalThis.setTimeout;
  globalThis.setTimeout = Object.assign<(...given: Parameters<typeof arm>) => NodeJS.Timeout, typeof arm>(
    (...given) => arm(...given).unref(),
    arm,
  );
  try {
    return await work();
  } finally {
    globalThis.setTimeout = arm;
  }
}

const filters = { externalTables: [], externalEnums: [] };

function migrationList(folder: string): object {
  return {
    baseDir: folder,
    lockfile: {
      path: './migration_lock.toml',
      content: readFileSync(path.join(folder, 'migration_lock.toml'), 'utf8'),
    },
    shadowDbInitScript: '',
    migrationDirectories: readdirSync(folder, { withFileTypes: true })
      .filter((entry) => entry.isDirectory())
      .map((entry) => entry.name)
      .sort()
      .map((name) => ({
        path: name,
        migrationFile: {
          path: 'migration.sql',
          content: { tag: 'ok', value: readFileSync(path.join(folder, name, 'migration.sql'), 'utf8') },
        },
      })),
  };
}

/** Applies what is missing; answers the names applied (none if the database was current). */
export async function applyMigrations(url: string, migrationsFolder: string): Promise<string[]> {
  return withEngine(url, async (engine) => {
    const { appliedMigrationNames } = await engine.applyMigrations({
      migrationsList: migrationList(migrationsFolder),
      filters,
    });
    return appliedMigrationNames;
  });
}

/** The SQL that would bring the database at `url` (or an empty one) to the schema file. */
export async function schemaDifference(url: string, schemaFile: string, from: 'database' | 'empty'): Promise<string> {
  const files = [{ path: schemaFile, content: readFileSync(schemaFile, 'utf8') }];
  return withEngine(url, async (engine) => {
    const { stdout } = await engine.diff({
      from:
        from === 'empty' ? { tag: 'empty' } : { tag: 'schemaDatasource', files, configDir: path.dirname(schemaFile) },
      to: { tag: 'schemaDatamodel', files },
      script: true,
      exitCode: null,
      filters,
      shadowDatabaseUrl: null,
    });
    return stdout ?? '';
  });
}
