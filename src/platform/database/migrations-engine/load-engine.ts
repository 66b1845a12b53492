import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';

export interface SchemaEngine {
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

/** The engine, loaded once per process. */
export function loadSchemaEngine(): Promise<SchemaEngineModule> {
  loaded ??= load();
  return loaded;
}

/**
 * The package exports no path to its .wasm file and its entry relies on a bundler, so both files are loaded by path.
 */
async function load(): Promise<SchemaEngineModule> {
  const folder = path.dirname(createRequire(__filename).resolve('@prisma/schema-engine-wasm'));
  // Without it a panic of the engine would be a promise that never settles.
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
