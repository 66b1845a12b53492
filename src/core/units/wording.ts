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

/** A word for each reader, where a sentence names a unit without a figure: "by the ounce", "by the gram". */
type WordOfReader = Readonly<Record<UnitSystem, string>>;

/** A sentence with quantities in it. What the core says is told to nobody before `toldIn` has put it into words. */
interface Sentence {
  readonly parts: readonly (string | Quantity | WordOfReader)[];
}

/** What the core says: plain words where they hold no quantity. */
export type Words = string | Sentence;

/** A quantity to stand in a `sentence`. */
export function quantity(value: number, unit: Quantity['unit'], digits: Quantity['digits']): Quantity {
  return { value, unit, digits };
}

/** The name of a unit, as its reader measures. */
export function unitWord({ us, metric }: UnitOfReader): WordOfReader {
  return { us: unitRow(us).name, metric: unitRow(metric).name };
}

/** From the least to the most of a quantity: "2 to 4 oz", "57 to 113 g". The values are in the metric unit. */
export function rangeWords(least: number, most: number, unit: UnitOfReader): WordOfReader {
  const inUnits = (system: UnitSystem): string => {
    const from = figureIn(system, { value: least, unit }).value.toFixed(0);
    return `${from} to ${quantityIn(system, quantity(most, unit, 0))}`;
  };
  return { us: inUnits('us'), metric: inUnits('metric') };
}

/** Words around quantities: sentence`Urea is fed to calves of ${quantity(180, 'kg', 0)}.` */
export function sentence(
  strings: readonly string[],
  ...values: readonly (string | number | Quantity | WordOfReader | Words)[]
): Words {
  const parts = strings.flatMap((text, index): Sentence['parts'] => {
    const value = values[index];
    if (value === undefined) return [text];
    if (typeof value === 'object') return [text, ...('parts' in value ? value.parts : [value])];
    return [text, String(value)];
  });
  const texts = parts.filter((part) => typeof part === 'string');
  return texts.length < parts.length ? { parts } : texts.join('');
}

type Part = Sentence['parts'][number];

/** Whether a part of a sentence is a figure, and not a word. */
export const isQuantity = (part: Part): part is Quantity => typeof part !== 'string' && 'value' in part;

/** The words in the units of their reader. */
export function wordsIn(system: UnitSystem, words: Words): string {
  if (typeof words === 'string') return words;
  return words.parts
    .map((part) => (typeof part === 'string' ? part : isQuantity(part) ? quantityIn(system, part) : part[system]))
    .join('');
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
  const dose = DOSE.exec(unit);
  if (dose !== null && system === 'us')
    return { value: value * OUNCES_IN_100_POUNDS, unit: `oz ${dose[1]} per 100 lb ${dose[2]}` };
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

/** "g urea per kg body weight a day" */
const DOSE = /^g (.+) per kg (body weight.*)$/;
/** One gram for each kilogram is 45.359237 g for each 100 lb, and an ounce is 28.349523125 g: 1.6 exactly. */
export const OUNCES_IN_100_POUNDS = 1.6;

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
