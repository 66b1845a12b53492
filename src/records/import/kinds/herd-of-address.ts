import type { FileRow } from '../csv-file.js';
import type { NameBook } from '../name-book.js';
import type { RecordDraft } from '../record-draft.js';

/**
 * The herd that a row names, where the API has it in the address and not in the body. Adds a problem if the row names
 * none, or one that does not exist.
 */
export function herdOfAddress(draft: RecordDraft, row: FileRow, names: NameBook): string | undefined {
  if (!row.cells.has('herd'))
    draft.complain(row.number, 'herd', 'missing', null, 'the name or id of a herd', 'The herd is missing.');
  const [herdId] = names.idsOf('herd', row.cells.get('herd') ?? '');
  names.resolve(draft, '/herdId', row, 'herd', 'herd');
  delete draft.body['herdId'];
  return herdId;
}
