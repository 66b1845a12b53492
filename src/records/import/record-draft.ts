import type { z } from 'zod';
import { fieldProblems } from '../../platform/http/field-problems.js';
import type { FieldProblem } from '../../platform/http/problem.js';
import type { ColumnSet } from './columns.js';
import type { FileRow } from './csv-file.js';
import type { RowProblem } from './row-problem.js';

interface Place {
  row: number;
  column: string | null;
}

/** A request body put together from cells; each field remembers the cell that it came from. */
export class RecordDraft {
  readonly problems: RowProblem[] = [];
  readonly #body: Record<string, unknown> = {};
  readonly #places = new Map<string, Place>();

  constructor(
    readonly rows: readonly FileRow[],
    private readonly set: ColumnSet,
  ) {}

  get body(): Record<string, unknown> {
    return this.#body;
  }

  get firstRow(): number {
    return this.rows[0]?.number ?? 1;
  }

  /** Sets a value at a JSON pointer; without a value, only remembers which cell it would have come from. */
  put(pointer: string, value: unknown, place: Place): void {
    this.#places.set(pointer, place);
    if (value === undefined) return;
    const steps = pointer.split('/').slice(1);
    let at: Record<string, unknown> | unknown[] = this.#body;
    steps.forEach((step, index) => {
      const last = index === steps.length - 1;
      const holder = at as Record<string, unknown>;
      if (last) holder[step] = value;
      else at = (holder[step] ??= /^\d+$/.test(steps[index + 1] ?? '') ? [] : {}) as Record<string, unknown>;
    });
  }

  /** A cell as text, at a pointer. */
  text(pointer: string, row: FileRow, column: string): string | undefined {
    const given = row.cells.get(column);
    this.put(pointer, given, { row: row.number, column });
    return given;
  }

  /** A cell as a whole number; anything else stays text, for the schema to refuse. */
  count(pointer: string, row: FileRow, column: string): void {
    const given = row.cells.get(column);
    this.put(pointer, given !== undefined && /^-?\d{1,9}$/.test(given) ? Number(given) : given, {
      row: row.number,
      column,
    });
  }

  /** A cell as yes or no. */
  yesNo(pointer: string, row: FileRow, column: string): void {
    const given = row.cells.get(column);
    const word = given?.toLowerCase();
    this.put(pointer, word === 'yes' || word === 'true' ? true : word === 'no' || word === 'false' ? false : given, {
      row: row.number,
      column,
    });
  }

  /** A mass from whichever of the unit columns is filled. */
  mass(pointer: string, row: FileRow, stem: string): boolean {
    const found = this.oneOf(row, stem);
    const place = { row: row.number, column: found?.column ?? this.firstColumnOf(stem) };
    if (found === undefined) {
      this.put(pointer, undefined, place);
      return false;
    }
    this.put(`${pointer}/value`, found.given, place);
    this.put(`${pointer}/unit`, found.unit, place);
    return true;
  }

  /** The filled column of a group; two filled ones are a problem. */
  oneOf(row: FileRow, stem: string): { column: string; unit: string; given: string } | undefined {
    const family = this.set.families.find((one) => one.stem === stem);
    const filled = (family?.columns ?? []).filter((column) => row.cells.has(column.name));
    const [first, second] = filled;
    if (second !== undefined)
      this.complain(
        row.number,
        second.name,
        'two-units',
        row.cells.get(second.name) ?? null,
        `one of ${filled.map((one) => one.name).join(', ')} in a row`,
        'The same quantity is given in two units.',
      );
    return first === undefined
      ? undefined
      : { column: first.name, unit: first.unit, given: row.cells.get(first.name) ?? '' };
  }

  firstColumnOf(stem: string): string {
    return this.set.families.find((one) => one.stem === stem)?.columns[0]?.name ?? stem;
  }

  /**
   * For several rows that make one record: the value of the first row that fills the column; other rows may repeat it
   * but not differ.
   */
  common(column: string): FileRow {
    const filled = this.rows.filter((row) => row.cells.has(column));
    const [first, ...others] = filled;
    const given = first?.cells.get(column);
    for (const other of others.filter((row) => row.cells.get(column) !== given)) {
      this.complain(
        other.number,
        column,
        'differs-within-record',
        other.cells.get(column) ?? null,
        `"${given ?? ''}" as in row ${first?.number ?? 0}, or nothing`,
        `Rows of one record differ in ${column}.`,
      );
    }
    const row = first ?? this.rows[0];
    if (row === undefined) throw new RangeError('A draft has at least one row');
    return row;
  }

  complain(
    row: number,
    column: string | null,
    code: string,
    given: string | null,
    allowed: string,
    message: string,
  ): void {
    if (this.problems.some((one) => one.row === row && one.column === column && one.code === code)) return;
    this.problems.push({ row, column, code, given, allowed, message });
  }

  /** The body, parsed by the API's own schema; or undefined, with its findings added to the problems. */
  parsedBy<T extends z.ZodType>(schema: T): z.output<T> | undefined {
    const result = schema.safeParse(this.#body);
    if (result.success) return this.problems.length === 0 ? result.data : undefined;
    for (const found of fieldProblems(result.error, 'body', this.#body)) this.take(found);
    return undefined;
  }

  /** Maps a problem in the body back to its cell. */
  take(found: FieldProblem): void {
    const place = this.#placeOf(found.pointer?.slice(1) ?? '');
    const row = place.column === null ? undefined : this.rows.find((one) => one.number === place.row);
    const given = typedIn(row, place.column) ?? null;
    if (this.problems.some((one) => one.row === place.row && one.column === place.column && place.column !== null))
      return;
    this.problems.push({
      row: place.row,
      column: place.column,
      code: found.code,
      given,
      allowed: found.allowed,
      message: found.message,
    });
  }

  /** The cell that a field came from, with what is there. */
  cellOf(pointer: string): Place & { given: string | null } {
    const field = pointer.replace(/^#/, '');
    const place = this.#placeOf(field);
    const isFigure = [field, `${field}/value`, `${field}/net/value`].some((known) => this.#places.has(known));
    // What comes of several cells is none of them.
    if (!isFigure || place.column === null) return { row: place.row, column: null, given: null };
    const cells = this.rows.find((row) => row.number === place.row)?.cells;
    return { ...place, given: cells?.get(place.column) ?? null };
  }

  #placeOf(pointer: string): Place {
    for (let at = pointer; at !== ''; at = at.slice(0, at.lastIndexOf('/'))) {
      const own = this.#places.get(at);
      if (own !== undefined) return own;
      const below = [...this.#places].find(([known]) => known.startsWith(`${at}/`));
      if (below !== undefined) return below[1];
    }
    return { row: this.firstRow, column: null };
  }
}

/** A cell as it was typed. */
function typedIn(row: FileRow | undefined, column: string | null): string | undefined {
  return column === null ? undefined : (row?.typed?.get(column)?.text ?? row?.cells.get(column));
}
