import { PrismaPg } from '@prisma/adapter-pg';
import { ColumnTypeEnum } from '@prisma/driver-adapter-utils';
import type pg from 'pg';
import { WRITE_DOWN_AS_APPLIED } from './migration-history.js';

/**
 * The stock adapter cuts a script at every semicolon, which breaks `DO $$ … $$` blocks and leaves half a migration
 * behind. Here a script is sent whole, with the note that it was applied: PostgreSQL runs a query of several statements
 * as one transaction, so a migration that fails or is cut off leaves nothing, and a finished one is recorded as such.
 */
export class WholeScriptAdapterFactory extends PrismaPg {
  readonly #pool: pg.Pool;

  constructor(pool: pg.Pool) {
    super(pool, { disposeExternalPool: false });
    this.#pool = pool;
  }

  override async connect(): ReturnType<PrismaPg['connect']> {
    const adapter = await super.connect();
    adapter.executeScript = async (script: string) => {
      await this.#pool.query(`${script}${WRITE_DOWN_AS_APPLIED}`);
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
 * The stock adapter does not know PostgreSQL's internal type "char", which the catalogue uses a lot and the engine
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
