import { type Decimal, decimal } from '../../../core/units/decimal.js';
import { Mass, type MassUnit } from '../../../core/units/mass.js';
import { nameKey } from '../../../core/units/name-key.js';
import type { FileRow } from '../csv-file.js';
import type { NamedKind, NameBook } from '../name-book.js';
import type { RecordDraft } from '../record-draft.js';

/** What makes two records of a kind look like one: their day, and the rest of it as one text. */
export interface Likeness {
  readonly on: string;
  readonly key: string;
  /** A number of its own, such as that of a ticket: two that have different ones are two records. */
  readonly number: string;
}

const NUMBER = /^-?(?:\d+(?:\.\d*)?|\.\d+)$/;
/** Kilograms are compared to the milligram: what was typed in another unit is the same to that. */
const COMPARED_PLACES = 6;

export function likenessOf(
  on: string | undefined,
  parts: readonly (string | undefined)[],
  number?: string | null,
): Likeness | undefined {
  if (on === undefined) return undefined;
  return { on, key: parts.map((part) => part ?? '').join('\u0001'), number: nameKey(number ?? '') };
}

/** The id that a name means, or the name itself where it means none yet: a lot may begin with the file. */
export function namedKey(names: NameBook, kind: NamedKind, given: string | undefined): string {
  if (given === undefined) return '';
  const [first, ...others] = names.idsOf(kind, given);
  return first !== undefined && others.length === 0 ? first : `"${nameKey(given)}"`;
}

export function kilogramsKey(kilograms: string | Decimal | null): string {
  return kilograms === null ? '' : decimal(kilograms).toDecimalPlaces(COMPARED_PLACES).toFixed();
}

/** A number, however many zeros it was written with; other text as it is. */
export function numberKey(given: string | number | null | undefined): string {
  if (given === undefined || given === null) return '';
  return NUMBER.test(String(given)) ? decimal(String(given)).toFixed() : nameKey(String(given));
}

/** The mass of a group of columns; undefined where it is none. */
export function massOf(draft: RecordDraft, row: FileRow, stem: string): Mass | undefined {
  const found = draft.oneOf(row, stem);
  return found === undefined || !NUMBER.test(found.given) ? undefined : Mass.of(found.given, found.unit as MassUnit);
}

export function massKey(draft: RecordDraft, row: FileRow, stem: string): string {
  return kilogramsKey(massOf(draft, row, stem)?.kilograms ?? null);
}
