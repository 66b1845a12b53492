import type { z } from 'zod';
import type { NamedTable } from '../database/record-names.js';
import type { CellType, Column } from './columns.js';

/** How the items of a list become the lines of a CSV file. Which columns there are follows from the items' schema. */
export interface RegisterOptions {
  /**
   * Lists inside an item of which each entry is a line of its own, the outer one first: `['layers', 'layers.parts']`.
   * Of values by name, such as those of a lab test, each is a line with its name.
   */
  lines?: readonly string[];
  /** Fields that have no column: what a list leaves empty. */
  without?: readonly string[];
}

type Item = Readonly<Record<string, unknown>>;

export interface RegisterColumn extends Column {
  /** Of a line, in text; null for an empty cell. */
  cell: (line: Item) => string | null;
  /** The cell is an id, and the column shows the name of this record. */
  names?: NamedTable;
  /** A figure of the whole item, told on its first line only, so that the column adds up. */
  onceAnItem: boolean;
}

interface PlacedColumn extends RegisterColumn {
  rank: number;
}

/** What a reader looks for first stands first; ids, which only programs read, stand last. */
const RANK = {
  ownName: -1,
  day: 0,
  line: 1,
  time: 2,
  name: 3,
  ofLine: 4,
  other: 5,
  note: 6,
  late: 7,
  reversal: 8,
  who: 9,
  id: 10,
};
const NOTES = new Set(['note', 'memo', 'reason', 'warnings', 'cautions', 'confirmed']);
const WHO = new Set(['recordedAt', 'recordedBy']);

/** Which fields name a record of which table. */
const NAMED_IDS: readonly (readonly [RegExp, NamedTable])[] = [
  [/lotId$/i, 'hay_lot'],
  [/herdId$/i, 'herd'],
  [/ranchId$/i, 'ranch'],
  [/placeId$/i, 'place'],
  [/By$/, 'person'],
];

/** A field that is part of another has its name; the figure itself has the name of the whole. */
const FIGURE = new Set(['value', 'amount']);

/**
 * The columns of a list, from the schema of its items: dates, then names, quantities (as asked, with the unit, and as
 * typed), money with its currency, notes, whether and how it was reversed, who entered it and when, and the ids.
 * @throws RangeError where a list inside the items has not been said how to tell, or two columns have one name.
 */
export function registerColumns(item: z.ZodType, options: RegisterOptions): RegisterColumn[] {
  const walker = new Walker(options);
  walker.walk(item, { path: [], prefix: '', rank: RANK.other, inLine: false, figure: false });
  const columns = walker.columns.sort((a, b) => a.rank - b.rank);
  const twice = columns.find((one, index) => columns.findIndex((other) => other.name === one.name) !== index);
  if (twice !== undefined) throw new RangeError(`Two columns are called ${twice.name}`);
  return columns.map(({ rank: _rank, ...column }) => column);
}

/** The lines of an item: one, or one for each entry of the lists that are told line by line. */
export function linesOf(item: Item, { lines = [] }: RegisterOptions): Item[] {
  let told: Item[] = [item];
  for (const path of lines) told = told.flatMap((line) => expanded(line, path.split('.')));
  return lines.length === 0 ? told : told.map((line, index) => ({ ...line, [LINE]: index + 1 }));
}

const LINE = 'line';
/** Of values by name, the name. */
const KEY = 'named';

function expanded(line: Item, [step = '', ...rest]: readonly string[]): Item[] {
  const inner = line[step];
  if (rest.length > 0)
    return inner === null || inner === undefined
      ? [line]
      : expanded(inner as Item, rest).map((one) => ({ ...line, [step]: one }));
  if (Array.isArray(inner))
    return inner.length === 0 ? [{ ...line, [step]: null }] : inner.map((one: unknown) => ({ ...line, [step]: one }));
  if (typeof inner !== 'object' || inner === null) return [line];
  const told = line[KEY] as string | undefined;
  // Another record of the same item tells more of the value that this line is about.
  if (told !== undefined) return [{ ...line, [step]: (inner as Item)[told] ?? null }];
  const entries = Object.entries(inner);
  return entries.length === 0
    ? [{ ...line, [step]: null }]
    : entries.map(([key, one]) => ({ ...line, [step]: one as unknown, [KEY]: key }));
}

interface Place {
  path: readonly string[];
  prefix: string;
  rank: number;
  /** Part of an entry that has a line of its own. */
  inLine: boolean;
  /** Part of a figure. */
  figure: boolean;
  /** Of an id: the item itself tells the name beside it. */
  named?: boolean;
}

class Walker {
  readonly columns: PlacedColumn[] = [];
  readonly #lines: ReadonlySet<string>;
  readonly #innermost: string | undefined;
  #keyed = false;

  constructor(private readonly options: RegisterOptions) {
    this.#lines = new Set(options.lines);
    this.#innermost = options.lines?.at(-1);
    if (this.#lines.size > 0)
      this.columns.push({
        name: LINE,
        type: 'number',
        rank: RANK.line,
        cell: (line) => textOf(line[LINE]),
        onceAnItem: false,
      });
  }

  walk(schema: z.ZodType, place: Place): void {
    const bared = bare(schema);
    const shape = shapeOf(bared);
    if (shape !== undefined) return this.#fields(shape, place);
    const { type } = bared._zod.def;
    const told = place.path.join('.');
    if (this.#lines.has(told) && (type === 'array' || type === 'record')) return this.#line(bared, place, told);
    if (type === 'record') throw new RangeError(`A register has to say how ${told} is told`);
    if (type === 'array') return this.#list(bared, place, told);
    return this.#scalar(bared, place);
  }

  #fields(shape: Readonly<Record<string, z.ZodType>>, place: Place): void {
    const figure = place.figure || Object.keys(shape).some((key) => FIGURE.has(key));
    for (const [key, inner] of Object.entries(shape)) {
      const path = [...place.path, key];
      if (this.options.without?.includes(path.join('.')) === true) continue;
      const top = place.path.length === 0;
      if (top && key === 'reversal')
        this.columns.push({
          name: 'reversed',
          type: 'text',
          rank: RANK.reversal,
          cell: (line) => (line[key] === null ? 'no' : 'yes'),
          onceAnItem: false,
        });
      this.walk(inner, {
        path,
        prefix: place.prefix !== '' && FIGURE.has(key) ? place.prefix : joined(place.prefix, snake(key)),
        rank: `${key}Id` in shape ? RANK.name : top ? rankOf(key, inner) : place.rank,
        inLine: place.inLine,
        figure,
        named: key.endsWith('Id') && key.slice(0, -2) in shape,
      });
    }
  }

  /** An entry that has a line of its own: the innermost one needs no prefix. */
  #line(schema: z.ZodType, place: Place, told: string): void {
    const { element, valueType } = schema._zod.def as unknown as { element?: z.ZodType; valueType?: z.ZodType };
    const own = shapeOf(bare(element ?? (valueType as z.ZodType))) !== undefined;
    if (valueType !== undefined && !this.#keyed) {
      this.#keyed = true;
      this.columns.push({
        name: place.prefix,
        type: 'text',
        rank: RANK.ofLine,
        cell: (line) => textOf(line[KEY]),
        onceAnItem: false,
      });
    }
    const prefix = !own
      ? place.prefix
      : told === this.#innermost || valueType !== undefined
        ? ''
        : singular(place.prefix);
    this.walk(element ?? (valueType as z.ZodType), { ...place, prefix, rank: RANK.ofLine, inLine: true });
  }

  #list(schema: z.ZodType, place: Place, told: string): void {
    const shape = shapeOf(bare((schema._zod.def as unknown as { element: z.ZodType }).element));
    if (shape !== undefined && !('message' in shape)) throw new RangeError(`A register has to say how ${told} is told`);
    const one = (entry: unknown): string | null =>
      textOf(shape === undefined ? entry : (entry as { message: unknown }).message);
    this.#add(place, place.prefix, place.rank, (value) =>
      Array.isArray(value) && value.length > 0 ? value.map(one).join('; ') : null,
    );
  }

  #scalar(schema: z.ZodType, place: Place): void {
    const field = place.path.at(-1) ?? '';
    if (formatOf(schema) !== 'uuid') {
      const type = typeOf(schema);
      return this.#add(place, place.prefix, place.rank, textOf, { type, isOne: type === 'number' });
    }
    const table = NAMED_IDS.find(([pattern]) => pattern.test(field))?.[1];
    if (table === undefined) return this.#add(place, place.prefix, RANK.id, textOf);
    const name = place.prefix.replace(/_id$/, '');
    const rank = place.rank === RANK.other || place.rank === RANK.ofLine ? RANK.name : place.rank;
    if (place.named !== true) this.#add(place, name, rank, textOf, { names: table });
    this.#add(place, `${name}_id`, RANK.id, textOf);
  }

  #add(
    { path, inLine, figure }: Place,
    name: string,
    rank: number,
    text: (value: unknown) => string | null,
    { type = 'text', isOne = false, names }: { type?: CellType; isOne?: boolean; names?: NamedTable } = {},
  ): void {
    const cell = (line: Item): string | null => text(valueAt(line, path));
    const onceAnItem = this.#lines.size > 0 && !inLine && (isOne || figure);
    this.columns.push({ name, type, rank, cell, onceAnItem, ...(names === undefined ? {} : { names }) });
  }
}

function rankOf(key: string, schema: z.ZodType): number {
  if (key === 'name') return RANK.ownName;
  if (WHO.has(key)) return RANK.who;
  if (NOTES.has(key)) return RANK.note;
  if (key === 'postedLate') return RANK.late;
  if (key === 'reversal' || key === 'reversesId') return RANK.reversal;
  const format = formatOf(bare(schema));
  return format === 'date' ? RANK.day : format === 'datetime' ? RANK.time : RANK.other;
}

/** What a schema is when it is there. */
function bare(schema: z.ZodType): z.ZodType {
  const { innerType, out } = schema._zod.def as unknown as { innerType?: z.ZodType; out?: z.ZodType };
  const inner = innerType ?? out;
  return inner === undefined ? schema : bare(inner);
}

/** The fields of an object, or of all the forms that it can have. */
function shapeOf(schema: z.ZodType): Record<string, z.ZodType> | undefined {
  const { shape, options } = schema._zod.def as unknown as {
    shape?: Record<string, z.ZodType>;
    options?: readonly z.ZodType[];
  };
  if (shape !== undefined) return shape;
  const shapes = options?.map((one) => shapeOf(bare(one)));
  if (shapes === undefined || shapes.some((one) => one === undefined)) return undefined;
  return Object.assign({}, ...shapes.toReversed()) as Record<string, z.ZodType>;
}

const formatOf = (schema: z.ZodType): string | undefined => (schema._zod.def as { format?: string }).format;
const isFigure = (schema: z.ZodType): boolean =>
  schema._zod.def.type === 'number' || ((schema._zod.def as { checks?: unknown[] }).checks ?? []).some(isDecimal);
const typeOf = (schema: z.ZodType): CellType =>
  formatOf(schema) === 'date' ? 'day' : isFigure(schema) ? 'number' : 'text';
const isDecimal = (check: unknown): boolean => {
  const { pattern } = (check as { _zod: { def: { pattern?: RegExp } } })._zod.def;
  return pattern?.test('-12.5') === true && !pattern.test('a');
};

const joined = (prefix: string, name: string): string => (prefix === '' ? name : `${prefix}_${name}`);
const snake = (key: string): string => key.replaceAll(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`);
const singular = (name: string): string => name.replace(/s$/, '');

function valueAt(line: Item, path: readonly string[]): unknown {
  return path.reduce<unknown>((inner, step) => (inner as Item | null | undefined)?.[step], line);
}

function textOf(value: unknown): string | null {
  if (value === null || value === undefined) return null;
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  return typeof value === 'string' ? value : JSON.stringify(value);
}
