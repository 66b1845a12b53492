import { nameKey } from '../../../core/units/name-key.js';
import { allColumns, type Column, type ColumnFamily, type ColumnSet } from '../columns.js';
import { FILE_BOUNDS } from './file-bounds.data.js';
import { unitOfWord } from './unit-words.data.js';

/** Where a header's cells go: to a column, to a group whose unit each cell must carry, or nowhere. */
export type Meant = { readonly column: string } | { readonly family: string } | 'ignored' | 'unclear';

/** How it is known: by its name, by other words for it, as saved by somebody, or not at all. */
export type KnownBy = 'name' | 'words' | 'saved' | 'nothing';

export interface HeaderCell {
  readonly header: string;
  readonly meant: Meant;
  readonly by: KnownBy;
}

/** Header text to column, group or nothing (null), as somebody saved it. */
export type SavedMapping = ReadonlyMap<string, string | null>;

/** Words that many columns share, so that none of them is meant by them alone. */
const COMMON_WORDS = new Set([
  ...['on', 'at', 'of', 'the', 'a', 'an', 'and', 'per', 'in', 'to', 'by', 'no', 'if', 'number', 'name', 'kind'],
  ...['count', 'method', 'day', 'date', 'time', 'usd', 'cad', 'eur', 'gbp', 'aud', 'nzd', 'lb', 'kg', 'ton', 't'],
  'percent',
]);

/**
 * What each header of a file means. What is not known is left out, unless it shares a word with a column: a weight in a
 * unit that nobody knows, or a price in another currency, must not get lost.
 */
export function mappedHeader(
  header: readonly string[],
  set: ColumnSet,
  synonyms: Readonly<Record<string, string>>,
  saved: SavedMapping,
): HeaderCell[] {
  const known = knownNames(set);
  return header.map((text) => {
    // A cell of a row that is no header, or of a header that is refused.
    if (text.length > FILE_BOUNDS.headerLetters) return { header: text, meant: 'ignored', by: 'nothing' };
    const kept = saved.get(nameKey(text));
    if (kept !== undefined) return { header: text, meant: meantByName(kept, set) ?? 'ignored', by: 'saved' };
    const name = text.toLowerCase();
    if (known.columns.has(name)) return { header: text, meant: { column: name }, by: 'name' };
    const meant = text.length > WORDS_LETTERS ? undefined : meantByWords(text, known, synonyms);
    if (meant !== undefined) return { header: text, meant, by: 'words' };
    return { header: text, meant: resembles(text, known) ? 'unclear' : 'ignored', by: 'nothing' };
  });
}

/** No words for a column, with a unit beside them, are longer. */
const WORDS_LETTERS = 100;

/** The columns of a kind of file, as they are looked up for each header. */
interface KnownNames {
  readonly columns: ReadonlySet<string>;
  /** By their names, and by those that end in a currency without it. */
  readonly plain: ReadonlyMap<string, Column>;
  readonly families: ReadonlyMap<string, ColumnFamily>;
  /** Words that tell columns apart. */
  readonly words: ReadonlySet<string>;
}

function knownNames(set: ColumnSet): KnownNames {
  const columns = allColumns(set);
  const plain = new Map<string, Column>();
  for (const column of set.plain) {
    for (const name of [column.name, column.name.replace(/_[a-z]{3}$/, '')])
      if (!plain.has(name)) plain.set(name, column);
  }
  return {
    columns: new Set(columns.map((one) => one.name)),
    plain,
    families: new Map(set.families.map((family) => [family.stem, family])),
    words: new Set(columns.flatMap((one) => wordsOf(one.name))),
  };
}

export function isKnown({ meant }: HeaderCell): boolean {
  return typeof meant === 'object';
}

/** A column or group by its own name; undefined where there is none. */
export function meantByName(name: string | null, set: ColumnSet): Meant | undefined {
  if (name === null) return 'ignored';
  if (allColumns(set).some((one) => one.name === name)) return { column: name };
  return set.families.some((one) => one.stem === name) ? { family: name } : undefined;
}

function meantByWords(
  text: string,
  { columns, plain: plainNames, families }: KnownNames,
  synonyms: Readonly<Record<string, string>>,
): Meant | undefined {
  const written = nameKey(text.replaceAll(/[_:]+/g, ' '));
  const snake = written.replaceAll(/[^a-z0-9]+/g, '_').replaceAll(/^_|_$/g, '');
  if (columns.has(snake)) return { column: snake };
  for (const { base, unit } of splits(written)) {
    const word = Object.hasOwn(synonyms, base) ? synonyms[base] : base.replaceAll(' ', '_');
    const [name = '', ownUnit] = (word ?? '').split(' ');
    const family = families.get(name);
    if (family !== undefined) {
      const given = unit ?? ownUnit;
      if (given === undefined) return { family: family.stem };
      const column = columnOfUnit(family, given);
      if (column !== undefined) return { column: column.name };
      continue;
    }
    const plain = plainNames.get(name);
    if (plain !== undefined && unitFits(unit, plain)) return { column: plain.name };
  }
  return undefined;
}

/** The header as it is, and cut into words and a unit: "net weight (lb)", "price/ton", "adf, %", "price per bale". */
function* splits(written: string): Generator<{ base: string; unit: string | undefined }> {
  yield { base: trimmed(written), unit: undefined };
  const inBrackets = /^(.*?)[([]\s*([^)\]]+?)\s*[)\]]$/.exec(written);
  if (inBrackets !== null) yield { base: trimmed(inBrackets[1] ?? ''), unit: unitText(inBrackets[2] ?? '') };
  const per = /^(.*?)\s*(?:\/|\bper\b)\s*(.+)$/.exec(written);
  if (per !== null) yield { base: trimmed(per[1] ?? ''), unit: unitText(per[2] ?? '') };
  const words = written.split(/[\s,]+/);
  for (let last = 1; last <= 2 && last < words.length; last += 1)
    yield { base: trimmed(words.slice(0, -last).join(' ')), unit: unitText(words.slice(-last).join(' ')) };
}

const trimmed = (text: string): string => text.replaceAll(/[.,;]+(?=\s|$)/g, '').trim();
const unitText = (text: string): string =>
  text.replace(/^(?:usd|cad|eur|gbp|aud|nzd|[$€£])\s*(?:\/|per)\s*/, '').trim();

/** The column of a group for a unit, however that is written. */
export function columnOfUnit(family: ColumnFamily, written: string): ColumnFamily['columns'][number] | undefined {
  const unit = unitOfWord(written) ?? written;
  return family.columns.find((one) => one.unit === unit || one.unit.toLowerCase() === unit.toLowerCase());
}

/** Money and percent may be named again beside a column that is in them. */
function unitFits(unit: string | undefined, { name }: Column): boolean {
  if (unit === undefined) return true;
  if (name.endsWith('_percent')) return unitOfWord(unit) === '%';
  return /^(?:usd|cad|eur|gbp|aud|nzd)$/.test(unit) ? name.endsWith(`_${unit}`) : unit === '$';
}

function resembles(text: string, { words }: KnownNames): boolean {
  return wordsOf(text).some((word) => words.has(word) || words.has(word.replace(/s$/, '')));
}

function wordsOf(name: string): string[] {
  return name
    .toLowerCase()
    .split(/[^a-z0-9$]+/)
    .filter((word) => word.length > 1 && !COMMON_WORDS.has(word));
}
