import type { AnswerOf } from '../../platform/http/endpoint.js';
import type { ReadFile } from './csv-file.js';
import type * as api from './import.schema.js';
import { NAMED_KINDS, type NameBook, type NamedKind } from './name-book.js';

type Check = AnswerOf<typeof api.checkFeedings>;

/** Rows that a check shows as they are understood; the problems are of all. */
const ROWS_SHOWN = 500;
const NAMED: Readonly<Record<string, NamedKind>> = {
  ...Object.fromEntries(NAMED_KINDS.map((kind) => [kind, kind])),
  to_herd: 'herd',
  to_lot: 'lot',
};

/** How a file is understood: what its headers mean, and its rows as typed beside what they would be booked as. */
export function understoodAnswer(
  file: ReadFile,
  names: NameBook,
): Pick<Check, 'separator' | 'shape' | 'columns' | 'rows' | 'notices'> {
  return {
    separator:
      file.separator === null ? null : ({ ',': 'comma', ';': 'semicolon', '\t': 'tab' } as const)[file.separator],
    shape: file.shape,
    columns: file.header.map(({ header, meant, by }) => ({
      header,
      column: typeof meant === 'string' ? null : 'column' in meant ? meant.column : meant.family,
      knownBy: by,
      ignored: meant === 'ignored',
    })),
    rows: file.rows.slice(0, ROWS_SHOWN).map(({ number, cells, typed }) => ({
      row: number,
      cells: [...cells].map(([column, understood]) => {
        const kind = NAMED[column];
        const [first, ...others] = kind === undefined ? [] : names.idsOf(kind, understood);
        return {
          column,
          header: typed?.get(column)?.header ?? column,
          typed: typed?.get(column)?.text ?? understood,
          understood,
          unit: typed?.get(column)?.unit ?? null,
          id: others.length === 0 ? (first ?? null) : null,
        };
      }),
    })),
    notices: [...file.notices],
  };
}
