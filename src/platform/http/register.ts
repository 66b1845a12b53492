import type { z } from 'zod';
import { type NamedTable, recordNames } from '../database/record-names.js';
import { together } from '../database/together.js';
import type { OperationTenant } from '../database/types.js';
import { promised } from './answer-form.js';
import { csvLines } from './csv.js';
import type { PageAsked } from './cursor.js';
import type { AnyEndpoint } from './endpoint.js';
import { linesOf, type RegisterColumn, registerColumns, type RegisterOptions } from './register-columns.js';

/** Items read in one turn: few enough that the loop is held shortly, and so many that turns do not cost much. */
const ITEMS_AT_ONCE = 500;

/** Reads one page of a list, as the endpoint's handler does. */
type ReadPage = (page: PageAsked) => Promise<unknown>;
type Line = Readonly<Record<string, unknown>>;

/**
 * A list as CSV: its own pages, one after the other, in their order, each turned into lines. A turn is read when the
 * lines of the one before have been taken, so that a register of any length needs the memory of one turn.
 */
export async function* registerLines(
  endpoint: AnyEndpoint,
  tenant: OperationTenant,
  read: ReadPage,
  itemsAtOnce = ITEMS_AT_ONCE,
): AsyncGenerator<string> {
  const options = endpoint.register ?? {};
  const columns = columnsOf(endpoint);
  // Read before the header is sent, so that what is wrong is still an answer of its own.
  let page = await pageOf(endpoint, read, { limit: itemsAtOnce });
  yield csvLines([columns.map((one) => one.name)]);
  for (;;) {
    const cells = await cellsOf(tenant, columns, page.items, options);
    if (cells.length > 0) yield csvLines(cells);
    if (page.nextCursor === null) return;
    page = await pageOf(endpoint, read, { limit: itemsAtOnce, cursor: page.nextCursor });
  }
}

/** The columns of an endpoint's register; worked out once. */
export function columnsOf(endpoint: AnyEndpoint): readonly RegisterColumn[] {
  const known = COLUMNS.get(endpoint);
  if (known !== undefined) return known;
  const { shape } = endpoint.answer as z.ZodObject<{ items: z.ZodArray<z.ZodType> }>;
  const made = registerColumns(shape.items.element, endpoint.register ?? {});
  COLUMNS.set(endpoint, made);
  return made;
}
const COLUMNS = new WeakMap<AnyEndpoint, RegisterColumn[]>();

async function pageOf(
  endpoint: AnyEndpoint,
  read: ReadPage,
  asked: PageAsked,
): Promise<{ items: Line[]; nextCursor: string | null }> {
  return promised(endpoint, await read(asked)) as { items: Line[]; nextCursor: string | null };
}

async function cellsOf(
  tenant: OperationTenant,
  columns: readonly RegisterColumn[],
  items: readonly Line[],
  options: RegisterOptions,
): Promise<(string | null)[][]> {
  const lines = items.flatMap((item) => linesOf(item, options).map((line, index) => ({ line, first: index === 0 })));
  const names = await namesIn(
    tenant,
    columns,
    lines.map(({ line }) => line),
  );
  return lines.map(({ line, first }) =>
    columns.map((column) => {
      if (column.onceAnItem && !first) return null;
      const cell = column.cell(line);
      return column.names === undefined || cell === null ? cell : (names.get(column.names)?.get(cell) ?? null);
    }),
  );
}

async function namesIn(
  tenant: OperationTenant,
  columns: readonly RegisterColumn[],
  lines: readonly Line[],
): Promise<ReadonlyMap<NamedTable, ReadonlyMap<string, string>>> {
  const ids = new Map<NamedTable, Set<string>>();
  for (const { names, cell } of columns) {
    if (names === undefined) continue;
    const some = ids.get(names) ?? new Set<string>();
    for (const id of lines.map(cell)) if (id !== null) some.add(id);
    ids.set(names, some);
  }
  const found = await together(
    ...[...ids].map(async ([table, some]) => [table, await recordNames(tenant, table, [...some])] as const),
  );
  return new Map(found);
}
