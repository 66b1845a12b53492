import { readFileSync } from 'node:fs';
import path from 'node:path';
import { z } from 'zod';

/** The shape of scenario.json: a small file that a person can read and change. */
const day = z.iso.date();
const decimalText = z.string().regex(/^\d+(\.\d+)?$/);

const lot = z.strictObject({
  key: z.string(),
  name: z.string(),
  ranch: z.string(),
  place: z.string(),
  hayKind: z.string(),
  cutting: z.number().int().optional(),
  harvestedOn: day,
  baleForm: z.string(),
  storageMethod: z.string(),
  purchase: z.strictObject({
    on: day,
    vendor: z.string(),
    bales: z.number().int(),
    meanBale: decimalText,
    weighed: z.number().int(),
    sd: decimalText,
    unit: z.enum(['lb', 'kg']),
    price: decimalText,
    per: z.enum(['ton', 't', 'bale', 'lot']),
    freight: decimalText,
    moisture: decimalText,
  }),
  test: z
    .strictObject({
      on: day,
      lab: z.string(),
      method: z.enum(['wet-chemistry', 'near-infrared']),
      cores: z.number().int(),
      values: z.record(z.string(), decimalText),
    })
    .optional(),
  /** Observations of it, as the API takes them. */
  observations: z.array(z.looseObject({ seenOn: day })).default([]),
});

/** A bagged mineral that one herd takes free choice, with what its tag guarantees, as received. */
const mineral = z.strictObject({
  name: z.string(),
  ranch: z.string(),
  herd: z.string(),
  ouncesPerHead: decimalText,
  purchase: z.strictObject({
    on: day,
    vendor: z.string(),
    bags: z.number().int(),
    bag: decimalText,
    unit: z.enum(['lb', 'kg']),
    pricePerBag: decimalText,
    freight: decimalText,
  }),
  /** The analysis as the API takes it. */
  label: z.looseObject({ dryMatter: z.looseObject({ value: decimalText }) }),
});

/** What cattle were bought, sold or valued at, as the API takes it. */
const cattlePrice = z.looseObject({ basis: z.string(), amount: decimalText });

const herd = z.strictObject({
  key: z.string(),
  name: z.string(),
  ranch: z.string(),
  /** The key of a place of its ranch, or a place of its own. */
  place: z.union([z.string(), z.strictObject({ key: z.string(), name: z.string(), kind: z.string() })]),
  cattleClass: z.string(),
  sex: z.string(),
  bodyWeight: decimalText,
  unit: z.enum(['lb', 'kg']).optional(),
  matureWeight: decimalText.optional(),
  bodyCondition: decimalText.optional(),
  bredOn: day.optional(),
  targetGain: decimalText.optional(),
  /** Other events of it, as the API takes them. */
  events: z.array(z.looseObject({ kind: z.string(), happenedOn: day })).default([]),
  head: z.number().int(),
  bought: cattlePrice.optional(),
  method: z.string(),
  perHead: decimalText,
  layers: z.array(
    z.strictObject({ role: z.enum(['coarse', 'rich', 'mixed']), lot: z.string(), share: z.number().positive().max(1) }),
  ),
  wastePercent: z.number().min(0).max(50),
  weights: z.array(
    z.strictObject({ on: day, mean: decimalText, head: z.number().int(), fill: z.enum(['full', 'shrunk']) }),
  ),
  changes: z.array(
    z.strictObject({
      on: day,
      kind: z.enum(['death', 'sale', 'out']),
      head: z.number().int(),
      mean: decimalText,
      price: cattlePrice.optional(),
    }),
  ),
  /** Bills besides feed and yardage. */
  costs: z.array(z.strictObject({ on: day, kind: z.string(), payee: z.string(), amount: decimalText })).default([]),
  /** Money planned, by line and month. */
  budget: z
    .strictObject({ on: day, lines: z.record(z.string(), z.record(z.string().regex(/^\d{4}-\d{2}$/), decimalText)) })
    .optional(),
});

const typed = z.strictObject({ value: decimalText, unit: z.enum(['lb', 'kg', 't', 'ton']) });
const books = z.strictObject({
  plan: z.strictObject({ on: day, name: z.string(), from: day, until: day }),
  harvest: z.strictObject({
    on: day,
    name: z.string(),
    field: z.string(),
    ranch: z.string(),
    place: z.string(),
    hayKind: z.string(),
    cutting: z.number().int(),
    baleForm: z.string(),
    storageMethod: z.string(),
    bales: z.number().int(),
    gross: typed,
    tare: typed,
    moisture: decimalText,
    cost: decimalText,
    per: z.enum(['ton', 't']),
  }),
  transfer: z.strictObject({
    on: day,
    name: z.string(),
    ranch: z.string(),
    place: z.string(),
    storageMethod: z.string(),
    bales: decimalText,
  }),
  measurement: z.strictObject({ on: day, storageMethod: z.string(), seasonShare: decimalText, how: z.string() }),
  sale: z.strictObject({ on: day, buyer: z.string(), bales: decimalText, perBale: decimalText }),
  shrink: z.strictObject({ on: day, note: z.string() }),
  count: z.strictObject({ on: day, bales: decimalText, reason: z.string() }),
  lateFreight: z.strictObject({ on: day, lot: z.string(), biller: z.string(), amount: decimalText, note: z.string() }),
  quotes: z.array(
    z.strictObject({
      on: day,
      vendor: z.string(),
      name: z.string(),
      hayKind: z.string(),
      baleForm: z.string(),
      bales: z.number().int(),
      mean: decimalText,
      unit: z.enum(['lb', 'kg']),
      price: decimalText,
      per: z.enum(['ton', 't']),
      freight: decimalText,
    }),
  ),
  closing: z.strictObject({ on: day, until: day, note: z.string() }),
});

const operation = z.strictObject({
  key: z.string(),
  name: z.string(),
  owner: z.string(),
  unitPreference: z.enum(['us', 'metric']),
  currency: z.string(),
  timeZone: z.string(),
  costingMethod: z.enum(['specific-lot', 'moving-average', 'fifo']),
  members: z.array(
    z.strictObject({
      person: z.string(),
      role: z.enum(['manager', 'hand', 'nutritionist', 'accountant']),
      seesPrices: z.boolean(),
    }),
  ),
  recordedBy: z.string(),
  hasTrials: z.boolean().optional(),
  ranches: z.array(
    z.strictObject({
      key: z.string(),
      name: z.string(),
      places: z.array(
        z.strictObject({
          key: z.string(),
          name: z.string(),
          kind: z.string(),
          bunkLength: z.strictObject({ value: decimalText, unit: z.enum(['ft', 'm']) }).optional(),
        }),
      ),
    }),
  ),
  yardage: z.array(z.strictObject({ from: day, perHeadDay: decimalText })),
  lots: z.array(lot),
  mineral: mineral.optional(),
  herds: z.array(herd),
  books: books.optional(),
});

const scenario = z.strictObject({
  about: z.string(),
  winter: z.strictObject({ opensOn: day, feedFrom: day, feedUntil: day }),
  randomSeed: z.number().int(),
  people: z.array(
    z.strictObject({ key: z.string(), name: z.string(), email: z.email(), passphrase: z.string().min(12) }),
  ),
  operations: z.array(operation),
});

export type Scenario = z.output<typeof scenario>;
export type ScenarioOperation = z.output<typeof operation>;
export type ScenarioHerd = z.output<typeof herd>;
export type ScenarioBooks = z.output<typeof books>;
export type ScenarioMineral = z.output<typeof mineral>;
export type ScenarioLot = z.output<typeof lot>;

export function readScenario(checkout: string): Scenario {
  return scenario.parse(JSON.parse(readFileSync(path.join(checkout, 'seed', 'scenario.json'), 'utf8')));
}
