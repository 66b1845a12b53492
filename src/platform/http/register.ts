import type { z } from 'zod';
import { type NamedTable, recordNames } from '../database/record-names.js';
import { together } from '../database/together.js';
import type { OperationTenant } from '../database/types.js';
import { promised } from './answer-form.js';
import { csvLines, csvRemarks } from './csv.js';
import type { PageAsked } from './cursor.js';
import type { AnyEndpoint, Form, Table } from './endpoint.js';
import { headOf, type Remark, TableSeal, type Told, wantsHead } from './file-head.js';
import { Problem } from './problem.js';
import { nextTurn } from '../turns.js';
import type { Job } from '../workers/job.js';
import { whatIsFiled } from './file-name.js';
import { linesOf, type RegisterColumn, registerColumns, type RegisterOptions } from './register-columns.js';

/** Lines made in one turn of the event loop: so few that it is held shortly, so many that turns do not cost much. */
const LINES_A_TURN = 250;
/** Read first, before it is known how many lines an item has; from then on at most so many times what was read last. */
const [ITEMS_AT_FIRST, TIMES_AS_MANY] = [25, 4];

/** A workbook is put together in memory. */
const WORKBOOK_ROWS_MOST = 50_000;

/** Reads one page of a list, as the endpoint's handler does. */
type ReadPage = (page: PageAsked) => Promise<unknown>;
type Line = Readonly<Record<string, unknown>>;
type Cells = (string | null)[];

export interface RegisterAsked {
  read: ReadPage;
  query: object;
  /** As it was asked, which the file names as its source. */
  address: string;
  form: Form;
  itemsAtOnce?: number | undefined;
}

/**
 * A list as a file: its own pages, one after the other, in their order, each turned into lines. A page is read when the
 * lines of the one before have been taken, so that a register of any length needs the memory of one page; and between
 * reading it, checking it and writing it others have their turn. As CSV: what is said of it, the header, the lines, and
 * last how many there were and their seal, by which a file that was cut short is known. For a workbook, which
 * `registerWorkbook` takes, a line of JSON for each.
 * @throws Problem where a workbook would be too long.
 */
export async function* registerPieces(
  endpoint: AnyEndpoint,
  tenant: OperationTenant,
  { read, query, address, form, itemsAtOnce }: RegisterAsked,
): AsyncGenerator<string> {
  const options = endpoint.register ?? {};
  const columns = columnsOf(endpoint);
  let limit = itemsAtOnce ?? ITEMS_AT_FIRST;
  // Read before anything is sent, so that what is wrong is still an answer of its own.
  let page = await pageOf(endpoint, read, { limit });
  const head = wantsHead(address) ? headOf(saidOf(tenant, query, page), address) : [];
  const csv = form === 'csv';
  const seal = new TableSeal();
  const header = csvLines([columns.map(({ name }) => name)]);
  seal.add(header);
  yield csv ? csvRemarks(head) + header : `${JSON.stringify(head)}\n`;
  for (let rows = 0; ;) {
    const cells = await cellsOf(tenant, columns, page.items, options);
    rows += cells.length;
    if (!csv && rows > WORKBOOK_ROWS_MOST) throw tooLong();
    await nextTurn();
    if (cells.length > 0) {
      const lines = csvLines(cells);
      seal.add(lines);
      yield csv ? lines : `${cells.map((row) => JSON.stringify(row)).join('\n')}\n`;
    }
    const sealed = head.length === 0 ? [] : seal.remarks(rows);
    if (page.nextCursor === null) {
      if (!csv) yield `${JSON.stringify(sealed)}\n`;
      else if (sealed.length > 0) yield csvRemarks(sealed);
      return;
    }
    limit = itemsAtOnce ?? itemsOfATurn(page.items.length, cells.length);
    page = await pageOf(endpoint, read, { limit, cursor: page.nextCursor });
  }
}

/** As many items as have the lines of a turn, where so many items had so many lines. */
function itemsOfATurn(items: number, lines: number): number {
  const fitting = Math.floor((LINES_A_TURN * items) / Math.max(lines, 1));
  return Math.max(1, Math.min(fitting, items * TIMES_AS_MANY));
}

/** The lines of JSON of `registerPieces` as the work that makes a workbook of them, in a thread. */
export async function registerWorkbook(endpoint: AnyEndpoint, pieces: AsyncIterable<string>): Promise<Job> {
  const taken: string[] = [];
  for await (const piece of pieces) taken.push(piece);
  const columns = columnsOf(endpoint).map(({ name, type }) => ({ name, type }));
  return { kind: 'register-workbook', columns, pieces: taken, sheetName: whatIsFiled(endpoint.path) };
}

/** The same lines, as a table with what is said of it. */
export function registerTable({ columns, pieces }: Extract<Job, { kind: 'register-workbook' }>): {
  table: Table;
  remarks: Remark[];
} {
  const lines = pieces.join('').split('\n').slice(0, -1);
  const [head = [], ...rows] = lines.map((line) => JSON.parse(line) as Remark[]);
  const sealed = rows.pop() ?? [];
  return { table: { columns, rows: rows as unknown as Cells[] }, remarks: [...head, ...sealed] };
}

/** Whose books, and what the list says beside its items. */
function saidOf({ operation }: OperationTenant, query: object, page: object): Told {
  const { name, invented, currency, unitPreference } = operation;
  return { operation: name, invented, currency, units: unitPreference, ...query, ...page };
}

function tooLong(): Problem {
  return new Problem('invalid-input', undefined, [
    {
      parameter: 'format',
      code: 'too-many-rows',
      given: 'xlsx',
      allowed: `at most ${WORKBOOK_ROWS_MOST} rows; fewer days, or csv, which has no limit`,
      message: 'The list is too long for a workbook.',
    },
  ]);
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
  const page = await read(asked);
  await nextTurn();
  const answer = promised(endpoint, page) as { items: Line[]; nextCursor: string | null };
  await nextTurn();
  return answer;
}

async function cellsOf(
  tenant: OperationTenant,
  columns: readonly RegisterColumn[],
  items: readonly Line[],
  options: RegisterOptions,
): Promise<Cells[]> {
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
