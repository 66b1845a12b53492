import type { z } from 'zod';
import type { OperationTenant, SubjectRef } from '../../platform/database/types.js';
import type { Currency } from '../../core/units/money.js';
import type { Allowed, ColumnSet } from './columns.js';
import type { FileRow } from './csv-file.js';
import type { NameBook } from './name-book.js';
import type { RecordDraft } from './record-draft.js';
import { IMPORT_KINDS } from '../../platform/wire/words.data.js';

export type ImportKindCode = (typeof IMPORT_KINDS)[number];

export type SampleRow = Readonly<Record<string, string>>;

/** One kind of file: its columns, how its rows make records, and the service that writes them (the API's own). */
export interface ImportKind<Body = unknown> {
  readonly code: ImportKindCode;
  readonly title: string;
  readonly description: string;
  columns(currency: Currency): ColumnSet;
  sample(currency: Currency): readonly SampleRow[];
  /** Rows that make one record together, in the order of the file. */
  group(rows: readonly FileRow[]): FileRow[][];
  /** The body of the API's request; undefined where the draft has problems. */
  parse(draft: RecordDraft, names: NameBook, currency: Currency): Body | undefined;
  /**
   * Sorts the records of a file, where one is judged by another: whatever order the file has, they are judged and
   * written in this one, and as in the file where it is the same. Without it, in the order of the file.
   */
  order?(body: Body): string;
  /** Writes it by the API's own service, inside the import's transaction. */
  record(tenant: OperationTenant, body: Body, names: NameBook): Promise<SubjectRef>;
  /** Writes several at once, for a kind whose records do not name one another. Throws if any cannot be written. */
  recordAll?(tenant: OperationTenant, bodies: readonly Body[]): Promise<SubjectRef[]>;
}

export function oneByOne(rows: readonly FileRow[]): FileRow[][] {
  return rows.map((row) => [row]);
}

/** Groups rows with the same key, in the order in which keys first appear; a row without a key stays alone. */
export function groupedBy(rows: readonly FileRow[], key: (row: FileRow) => string | undefined): FileRow[][] {
  const groups: FileRow[][] = [];
  const known = new Map<string, FileRow[]>();
  for (const row of rows) {
    const name = key(row);
    const group = name === undefined ? undefined : known.get(name);
    if (group !== undefined) {
      group.push(row);
      continue;
    }
    const fresh = [row];
    groups.push(fresh);
    if (name !== undefined) known.set(name, fresh);
  }
  return groups;
}

export const DAY_ALLOWED: Allowed = { text: 'a day written YYYY-MM-DD', holds: 'day' };
export const INSTANT_ALLOWED = 'an instant with its offset, such as 2027-01-15T07:30:00-07:00';

/** The body schema of an endpoint: nothing else validates what a row makes. */
export function bodyOf<Body extends z.ZodType>(endpoint: { body?: Body }): Body {
  if (endpoint.body === undefined) throw new RangeError('This endpoint takes no body');
  return endpoint.body;
}
