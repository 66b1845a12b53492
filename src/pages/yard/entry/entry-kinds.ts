import type { Dimension, UnitSize } from '../../../core/units/unit.js';
import { createHeadChange } from '../../../records/cattle/herds/herd.schema.js';
import { createWeighIn } from '../../../records/cattle/weigh-ins/weigh-in.schema.js';
import { createHayPurchase } from '../../../records/hay/purchases/hay-purchase.schema.js';
import { createStockCount } from '../../../records/hay/stock-counts/stock-count.schema.js';
import { createWaterCheck } from '../../../records/yard/water-checks/water-check.schema.js';
import { createWeatherDay } from '../../../records/yard/weather-days/weather-day.schema.js';
import type { Typed } from './body-of-fields.js';
import type { ApiAddress } from './schema-of-field.js';

/** What a choice is made from. */
export type Choices = 'herds' | 'lots' | 'places' | 'ranches';

/**
 * One field of a form. Its name is its place in the body of the API address that the form stands for, which also says
 * what it may hold (`schema-of-field.ts`).
 */
export interface FieldOfForm {
  name: string;
  label: string;
  hint?: string;
  from?: Choices;
  /** A figure with its unit: where the unit goes, and which one it is unless somebody chooses another. */
  unit?: { name: string; of: Dimension; size?: UnitSize };
  /** Words for a list, where its own do not read as people say it; a code that is left out is not offered. */
  words?: Readonly<Record<string, string>>;
  initially?: 'today' | (string & {});
  /** What was typed into it before is offered. */
  offers?: 'vendors';
  /** Of a path and not of the body, or made into several fields of it (`expand`): nothing in the schema says this. */
  required?: true;
  lines?: true;
  /** Ticked or not. */
  box?: true;
}

/** A form of the yard, and the address of the API that it is a page of. */
export interface EntryKind {
  /** In addresses. */
  what: string;
  title: string;
  button: string;
  endpoint: ApiAddress;
  fixed?: Typed;
  fields: readonly FieldOfForm[];
  /** Fields that stand in the path of the API address. */
  inPath?: readonly string[];
  /** Makes the fields of the body from those of the form. */
  expand?: (typed: Typed) => Typed;
}

const WEIGHED = { of: 'mass' } as const;
const vendor = { name: 'vendor', label: 'Bought from', offers: 'vendors' } as const;
const bought = { name: 'purchasedOn', label: 'Day on the ticket', initially: 'today' } as const;
const net: FieldOfForm = {
  name: 'weight/net/value',
  label: 'Net weight',
  hint: 'as the ticket prints it',
  unit: { name: 'weight/net/unit', ...WEIGHED, size: 'large' },
};
const price: readonly FieldOfForm[] = [
  {
    name: 'price/amount',
    label: 'Price',
    unit: { name: 'price/as', ...WEIGHED, size: 'large' },
  },
];

/** "Per ton", "per bale" or "for all of it" is one choice on the form, and a basis with its unit in the body. */
function priced({ 'price/as': as = '', ...rest }: Typed): Typed {
  if ((rest['price/amount'] ?? '').trim() === '') return rest;
  if (as === 'per-bale' || as === 'lump-sum') return { ...rest, 'price/basis': as };
  return { ...rest, 'price/basis': 'per-mass', 'price/per': as };
}

export const TICKET: EntryKind = {
  what: 'hay-ticket',
  title: 'Hay ticket',
  button: 'Enter the ticket',
  endpoint: createHayPurchase,
  fixed: { 'weight/basis': 'net' },
  expand: priced,
  fields: [
    { name: 'lot/id', label: 'Into which lot', from: 'lots' },
    vendor,
    net,
    ...price,
    { name: 'freight', label: 'Freight', hint: 'for all of it' },
    { name: 'baleCount', label: 'Bales on it' },
    { name: 'ticketNumber', label: 'Number of the ticket' },
    bought,
  ],
};

export const TICKET_OF_NEW_LOT: EntryKind = {
  what: 'hay-ticket-new-lot',
  title: 'Hay ticket, new lot',
  button: 'Enter the ticket',
  endpoint: createHayPurchase,
  fixed: { 'weight/basis': 'net' },
  expand: priced,
  fields: [
    { name: 'lot/ranchId', label: 'Ranch', from: 'ranches' },
    { name: 'lot/name', label: 'Name of the new lot', hint: 'as it is painted or chalked on the stack' },
    { name: 'lot/hayKind', label: 'Kind of hay' },
    { name: 'lot/baleForm', label: 'Baled as' },
    { name: 'lot/storageMethod', label: 'Kept' },
    vendor,
    net,
    { name: 'baleCount', label: 'Bales on it' },
    ...price,
    bought,
  ],
};

export const WEIGH_IN: EntryKind = {
  what: 'weigh-in',
  title: 'Group weigh-in',
  button: 'Enter the weights',
  endpoint: createWeighIn,
  fixed: { scope: 'group' },
  fields: [
    { name: 'herdId', label: 'Herd', from: 'herds' },
    { name: 'head', label: 'Head weighed' },
    {
      name: 'weight/value',
      label: 'Weight',
      unit: { name: 'weight/unit', ...WEIGHED, size: 'small' },
    },
    { name: 'measure', label: 'That is', words: { total: 'all of them together', mean: 'the mean of one' } },
    { name: 'fill', label: 'Weighed', words: { full: 'full', shrunk: 'after a stand off feed and water' } },
    { name: 'weighedOn', label: 'Day', initially: 'today' },
    { name: 'note', label: 'Note', lines: true },
  ],
};

export const COUNT: EntryKind = {
  what: 'count',
  title: 'Count bales',
  button: 'Enter the count',
  endpoint: createStockCount,
  fields: [
    { name: 'hayLotId', label: 'Lot', from: 'lots' },
    { name: 'counted/bales', label: 'Bales that lie there', hint: 'a part of a bale as .5', required: true },
    { name: 'reason', label: 'Why the books may differ', initially: 'counted in the yard' },
    { name: 'countedOn', label: 'Day', hint: 'after its feedings', initially: 'today' },
  ],
};

export const HEAD: EntryKind = {
  what: 'head',
  title: 'Dead, sick or moved',
  button: 'Enter it',
  endpoint: createHeadChange,
  inPath: ['herdId'],
  fields: [
    { name: 'herdId', label: 'From which herd', from: 'herds', required: true },
    {
      name: 'kind',
      label: 'What happened',
      words: {
        death: 'died',
        move: 'moved to another herd, such as the sick pen',
        sale: 'sold',
        out: 'left in another way',
        in: 'came',
      },
      initially: 'death',
    },
    { name: 'head', label: 'How many', initially: '1' },
    { name: 'toHerdId', label: 'To which herd', hint: 'where they were moved', from: 'herds' },
    { name: 'happenedOn', label: 'Day', initially: 'today' },
    { name: 'note', label: 'What was seen', hint: 'tag, place, likely cause', lines: true },
  ],
};

export const WATER: EntryKind = {
  what: 'water',
  title: 'Water seen',
  button: 'Enter it',
  endpoint: createWaterCheck,
  fields: [
    { name: 'placeId', label: 'Place', from: 'places' },
    { name: 'source', label: 'Trough, creek or well' },
    { name: 'state', label: 'The water is' },
    { name: 'flow/value', label: 'Flows in', unit: { name: 'flow/unit', of: 'flow' } },
    { name: 'checkedOn', label: 'Day', initially: 'today' },
    { name: 'note', label: 'Note', lines: true },
  ],
};

export const WEATHER: EntryKind = {
  what: 'weather',
  title: 'Weather of the day',
  button: 'Enter it',
  endpoint: createWeatherDay,
  fields: [
    { name: 'ranchId', label: 'Ranch', from: 'ranches' },
    { name: 'onDay', label: 'Day', initially: 'today' },
    {
      name: 'meanTemperature/value',
      label: 'Mean temperature',
      hint: 'of the day and its night',
      unit: { name: 'meanTemperature/unit', of: 'temperature' },
    },
    { name: 'wind/value', label: 'Mean wind', unit: { name: 'wind/unit', of: 'speed' } },
    { name: 'wet', label: 'Coats are', words: { false: 'dry', true: 'wet' }, initially: 'false' },
    {
      name: 'mudDepth/value',
      label: 'Mud',
      hint: 'how deep they stand in it',
      unit: { name: 'mudDepth/unit', of: 'length', size: 'small' },
    },
  ],
};
