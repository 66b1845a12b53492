import type { Currency } from '../../core/units/money.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { ColumnSet } from './columns.js';
import type { FileRow } from './csv-file.js';
import { type HeldBack, type LikelyDuplicates, withoutHeld } from './duplicates/likely-duplicates.js';
import type { ImportKind } from './import-kind.js';
import { firstRow, type Pending } from './import-run.js';
import type { EarlierImport } from './import.read.js';
import type { NameBook } from './name-book.js';
import { RecordDraft } from './record-draft.js';

/** What an import has to write: all of it, what of it likely is there already, and the rest. */
export interface Prepared {
  readonly pending: readonly Pending[];
  heldBack(tenant: OperationTenant): Promise<readonly HeldBack[]>;
  without(held: readonly HeldBack[]): readonly Pending[];
}

interface FileOfKind {
  readonly kind: ImportKind;
  readonly set: ColumnSet;
  readonly currency: Currency;
  readonly names: NameBook;
  readonly rows: readonly FileRow[];
}

/** The records of a file that no earlier import of it left standing. */
export function preparedFile(file: FileOfKind, earlier: EarlierImport, duplicates: LikelyDuplicates): Prepared {
  const groups = notStanding(file.kind.group(file.rows), earlier);
  return {
    pending: groups.map((rows) => pendingOf(file, rows)),
    heldBack: (tenant) => duplicates.among(tenant, file, groups),
    without: (held) => withoutHeld(groups, held).map((rows) => pendingOf(file, rows)),
  };
}

/** What was reversed is entered again. */
export function notStanding<Rows extends readonly FileRow[]>(
  groups: readonly Rows[],
  { standing }: EarlierImport,
): Rows[] {
  return groups.filter((rows) => !standing.has(firstRow(rows)));
}

function pendingOf({ kind, set, currency, names }: FileOfKind, rows: readonly FileRow[]): Pending {
  return {
    rows,
    writeAll: kind.recordAll?.bind(kind),
    order: kind.order?.bind(kind),
    ready: () => {
      const draft = new RecordDraft(rows, set);
      const body = kind.parse(draft, names, currency);
      if (body === undefined || draft.problems.length > 0) return { problems: draft.problems };
      return {
        body,
        write: (tenant) => kind.record(tenant, body, names),
        cellOf: (pointer) => draft.cellOf(pointer),
        blame: (problem) => {
          const found =
            problem.errors.length > 0
              ? problem.errors
              : [{ code: problem.code, allowed: 'what the message says', message: problem.detail ?? problem.message }];
          for (const one of found) draft.take(one);
          return draft.problems;
        },
      };
    },
  };
}
