import type { AnswerOf } from '../../platform/http/endpoint.js';
import type { FileRow, ReadFile } from './csv-file.js';
import type * as api from './import.schema.js';
import { listed, shortened } from './listed.js';
import { NAMED_KINDS, type NameBook, type NamedKind } from './name-book.js';
import { LISTED } from './reading/file-bounds.data.js';
import type { Notice } from './reading/understood-sheet.js';

type Check = AnswerOf<typeof api.checkFeedings>;

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
      header: shortened(header),
      column: typeof meant === 'string' ? null : 'column' in meant ? meant.column : meant.family,
      knownBy: by,
      ignored: meant === 'ignored',
    })),
    rows: listed(file.rows.slice(0, LISTED.rows).map((row) => understoodRow(row, names))),
    notices: noticesListed(file.notices),
  };
}

/** The first of them, and how many more there are. */
export function noticesListed(notices: readonly Notice[]): Notice[] {
  const shown = listed(notices, LISTED.notices).map((one) => ({
    ...one,
    column: one.column === null ? null : shortened(one.column),
    message: shortened(one.message, LISTED.wordsLetters),
  }));
  const more = notices.length - shown.length;
  if (more === 0) return shown;
  const message = `${more.toLocaleString('en-US')} more notices are not listed.`;
  return [...shown, { row: null, column: null, code: 'more-notices', message }];
}

/** Of the file: the problems are of all rows. */
function understoodRow({ number, cells, typed }: FileRow, names: NameBook): Check['rows'][number] {
  return {
    row: number,
    cells: [...cells].map(([column, understood]) => {
      const kind = NAMED[column];
      const [first, ...others] = kind === undefined ? [] : names.idsOf(kind, understood);
      return {
        column,
        header: shortened(typed?.get(column)?.header ?? column),
        typed: shortened(typed?.get(column)?.text ?? understood),
        understood: shortened(understood),
        unit: typed?.get(column)?.unit ?? null,
        id: others.length === 0 ? (first ?? null) : null,
      };
    }),
  };
}
