import { fromBaseUnit, toBaseUnit, type Unit, unitIn, unitRow, type UnitSystem } from './unit.js';
import { UNITS } from './units.data.js';

/** A unit for each system of its readers, where a figure does not go by the unit that the table has for the other. */
export type UnitOfReader = Readonly<Record<UnitSystem, Unit>>;

/** A quantity inside a sentence, in any unit of the table; its reader may be told it in another. */
interface Quantity {
  readonly value: number;
  /** With a unit for each reader, the value is in the metric one. */
  readonly unit: Unit | UnitOfReader;
  /** Decimals at most, in the units it is told in. */
  readonly digits: number | Readonly<Record<UnitSystem, number>>;
}

/** A sentence with quantities in it. What the core says is told to nobody before `toldIn` has put it into words. */
interface Sentence {
  readonly parts: readonly (string | Quantity)[];
}

/** What the core says: plain words where they hold no quantity. */
export type Words = string | Sentence;

/** A quantity to stand in a `sentence`. */
export function quantity(value: number, unit: Quantity['unit'], digits: Quantity['digits']): Quantity {
  return { value, unit, digits };
}

/** Words around quantities: sentence`Urea is fed to calves of ${quantity(180, 'kg', 0)}.` */
export function sentence(
  strings: readonly string[],
  ...values: readonly (string | number | Quantity | Words)[]
): Words {
  const parts = strings.flatMap((text, index): (string | Quantity)[] => {
    const value = values[index];
    if (value === undefined) return [text];
    if (typeof value === 'object') return [text, ...('parts' in value ? value.parts : [value])];
    return [text, String(value)];
  });
  const texts = parts.filter((part) => typeof part === 'string');
  return texts.length < parts.length ? { parts } : texts.join('');
}

/** The words in the units of their reader. */
export function wordsIn(system: UnitSystem, words: Words): string {
  if (typeof words === 'string') return words;
  return words.parts.map((part) => (typeof part === 'string' ? part : quantityIn(system, part))).join('');
}

function quantityIn(system: UnitSystem, { value, unit, digits }: Quantity): string {
  const { value: shownValue, unit: shown } = figureIn(system, { value, unit });
  const places = typeof digits === 'number' ? digits : digits[system];
  return `${Number(shownValue.toFixed(places))} ${signOf(shown as Unit)}`;
}

/** A figure and its unit written out: a code of the table, then a day or words: "kg/d", "°C", "kg of hay". */
interface Figure {
  readonly value: number;
  readonly unit: string;
}

/**
 * The figure as readers of a system are told it: 1 kg/d is 2.2046 lb/d in US units. A unit that has no other there, and
 * one that the table does not know, stays.
 */
export function figureIn(
  system: UnitSystem,
  { value, unit }: { readonly value: number; readonly unit: string | UnitOfReader },
): Figure {
  if (typeof unit !== 'string')
    return { value: fromBaseUnit(toBaseUnit(value, unit.metric), unit[system]), unit: unit[system] };
  const times = unit.lastIndexOf(TIMES);
  if (times >= 0) {
    const last = figureIn(system, { value, unit: unit.slice(times + TIMES.length) });
    return { value: last.value, unit: `${unit.slice(0, times)}${TIMES}${last.unit}` };
  }
  const read = readUnit(unit);
  if (read === undefined) return { value, unit };
  const shown = unitIn(system, read.unit);
  if (shown === read.unit) return { value, unit };
  return {
    value: fromBaseUnit(toBaseUnit(value, read.unit), shown),
    unit: `${read.signed ? signOf(shown) : shown}${read.rest}`,
  };
}

/** Between two units of one figure: "% · kg". */
const TIMES = ' · ';
const CODES = (Object.keys(UNITS) as Unit[]).sort((a, b) => b.length - a.length);

/** Degrees are written with their sign in words, and by their code on the wire. */
export const signOf = (unit: Unit): string => (unitRow(unit).dimension === 'temperature' ? `°${unit}` : unit);

function readUnit(text: string): { unit: Unit; rest: string; signed: boolean } | undefined {
  const bare = text.startsWith('°') ? text.slice(1) : text;
  const unit = CODES.find((code) => bare.startsWith(code) && /^([ /,]|$)/.test(bare.slice(code.length)));
  return unit === undefined ? undefined : { unit, rest: bare.slice(unit.length), signed: bare !== text };
}
