import { addDays } from '../../src/core/time/calendar-day.js';
import { endOfDayIn, startOfDayIn } from '../../src/platform/clock.js';

/** How much is made: each winter of a herd is 164 days of feedings in three layers, 492 movements. */
export interface LoadSize {
  operations: number;
  winters: number;
  herds: number;
}

type Value = string | number | boolean | null;
/** Rows by table, each with the columns of `LOAD_COLUMNS`, in the order in which they must be written. */
export type LoadRows = Readonly<Record<LoadTable, Value[][]>>;

export const LOAD_COLUMNS = {
  person: ['id', 'email', 'name'],
  operation: ['id', 'name', 'unit_preference', 'currency', 'time_zone', 'costing_method', 'invented'],
  membership: ['operation_id', 'id', 'person_id', 'role', 'sees_prices', 'from_at', 'confirmed_at', 'confirmed_by'],
  ranch: ['operation_id', 'id', 'name', 'time_zone'],
  herd: [
    ...['operation_id', 'id', 'ranch_id', 'name', 'sex', 'breed_type'],
    ...['body_weight_kg', 'body_weight_value', 'body_weight_unit', 'taken_on'],
  ],
  head_change: ['operation_id', 'id', 'herd_id', 'kind', 'head', 'happened_on', 'recorded_at', 'recorded_by'],
  herd_event: ['operation_id', 'id', 'herd_id', 'kind', 'happened_on', 'cattle_class', 'recorded_at', 'recorded_by'],
  yardage_rate: ['operation_id', 'id', 'from_on', 'amount', 'currency', 'recorded_at', 'recorded_by'],
  hay_lot: [
    ...['operation_id', 'id', 'ranch_id', 'name', 'category', 'hay_kind', 'origin', 'bale_form', 'storage_method'],
    'stored_since',
  ],
  hay_purchase: [
    ...['operation_id', 'id', 'hay_lot_id', 'vendor', 'happened_on', 'weight_basis'],
    ...['weight_kg', 'weight_value', 'weight_unit', 'recorded_at', 'recorded_by'],
  ],
  hay_purchase_price: [
    ...['operation_id', 'hay_purchase_id', 'basis', 'price_value', 'price_unit'],
    ...['hay_amount', 'freight_amount', 'charges_amount', 'currency'],
  ],
  feeding: [
    ...['operation_id', 'id', 'herd_id', 'ranch_id', 'happened_on', 'head_fed', 'method', 'weather'],
    ...['recorded_at', 'recorded_by'],
  ],
  feeding_layer: [
    ...['operation_id', 'feeding_id', 'position', 'part', 'role', 'hay_lot_id', 'kilograms', 'typed_value'],
    'typed_unit',
  ],
  stock_movement: [
    ...['operation_id', 'id', 'hay_lot_id', 'kind', 'kilograms', 'typed_value', 'typed_unit', 'effective_on'],
    ...['effective_at', 'ranch_id', 'herd_id', 'source_kind', 'source_id', 'recorded_at', 'recorded_by'],
  ],
  stock_cost: [
    ...['operation_id', 'id', 'hay_lot_id', 'stock_movement_id', 'kind', 'amount', 'currency', 'effective_on'],
    ...['source_kind', 'source_id', 'recorded_at', 'recorded_by'],
  ],
} as const;
export type LoadTable = keyof typeof LOAD_COLUMNS;

const ZONE = 'America/Denver';
const LAST_WINTER = 2026;
export const WINTER_DAYS = 164;
/** A winter's lots of an operation: coarse grass hay and rich alfalfa, by halves. */
const LOTS = 8;
const POUNDS_PER_TON = 2000;

interface Place {
  operationId: string;
  ownerId: string;
  ranchId: string;
  herds: { id: string; head: number }[];
}

/** One operation as rows: its owner, herds, and winter after winter of hay bought and fed. All of it is invented. */
export class OperationToLoad {
  readonly #random: () => number;
  readonly #id: (day: string) => string;
  readonly #place: Place;

  constructor(
    private readonly number: number,
    private readonly size: LoadSize,
  ) {
    this.#random = minimalStandard(number + 1);
    this.#id = idsOf(number);
    const begun = firstDay(size, 0);
    this.#place = {
      operationId: this.#id(begun),
      ownerId: this.#id(begun),
      ranchId: this.#id(begun),
      herds: Array.from({ length: size.herds }, () => ({
        id: this.#id(begun),
        head: 80 + Math.floor(this.#random() * 320),
      })),
    };
  }

  /** The operation before its first winter. */
  beginnings(): LoadRows {
    const rows = noRows();
    const { operationId, ownerId, ranchId, herds } = this.#place;
    const begun = firstDay(this.size, 0);
    const stamp = [evening(begun), ownerId];
    const name = `Load ${String(this.number + 1).padStart(4, '0')}`;
    rows.person.push([ownerId, ownerOf(this.number), `Owner of ${name}`]);
    rows.operation.push([operationId, name, 'us', 'USD', ZONE, 'moving-average', true]);
    rows.membership.push([
      ...[operationId, this.#id(begun), ownerId, 'owner', true],
      ...[evening(begun), evening(begun), ownerId],
    ]);
    rows.ranch.push([operationId, ranchId, 'Home ranch', ZONE]);
    rows.yardage_rate.push([operationId, this.#id(begun), begun, '0.35', 'USD', ...stamp]);
    herds.forEach(({ id, head }, at) => {
      rows.herd.push([
        ...[operationId, id, ranchId, `Cows ${at + 1}`, 'cow', 'bos-taurus-beef'],
        ...[kilogramsOf(1200), '1200', 'lb', begun],
      ]);
      rows.head_change.push([operationId, this.#id(begun), id, 'in', head, begun, ...stamp]);
      rows.herd_event.push([operationId, this.#id(begun), id, 'class', begun, 'dry-open-cow', ...stamp]);
    });
    return rows;
  }

  /** Hay bought in October, and fed to every herd every day until April. */
  winter(index: number): LoadRows {
    const rows = noRows();
    const begun = firstDay(this.size, index);
    const bought = addDays(begun, -12);
    const lots = Array.from({ length: LOTS }, () => ({ id: this.#id(bought), pounds: 0 }));
    const fed = noRows();
    for (let day = 0; day < WINTER_DAYS; day += 1)
      for (const herd of this.#place.herds) this.#feed(fed, herd, addDays(begun, day), lots);
    lots.forEach((lot, at) => {
      const rich = at >= LOTS / 2;
      this.#buy(rows, lot, { name: `${begun.slice(0, 4)} lot ${at + 1}`, rich, bought });
    });
    rows.feeding.push(...fed.feeding);
    rows.feeding_layer.push(...fed.feeding_layer);
    for (const movement of fed.stock_movement) rows.stock_movement.push(movement);
    return rows;
  }

  #feed(
    rows: LoadRows,
    herd: { id: string; head: number },
    day: string,
    lots: readonly { id: string; pounds: number }[],
  ): void {
    const { operationId, ownerId, ranchId } = this.#place;
    const feedingId = this.#id(day);
    const recorded = evening(day);
    rows.feeding.push([
      ...[operationId, feedingId, herd.id, ranchId, day, herd.head, 'windrow-on-ground', 'dry'],
      ...[recorded, ownerId],
    ]);
    const half = LOTS / 2;
    const start = Math.floor(this.#random() * half);
    const layers = [
      { lot: lots[start], role: 'coarse', perHead: 9 },
      { lot: lots[half + start], role: 'rich', perHead: 7 },
      { lot: lots[(start + 1) % half], role: 'coarse', perHead: 8 },
    ];
    layers.forEach(({ lot, role, perHead }, at) => {
      if (lot === undefined) return;
      const pounds = Math.max(5, Math.round((herd.head * perHead * (0.97 + 0.06 * this.#random())) / 5) * 5);
      lot.pounds += pounds;
      const kilograms = kilogramsOf(pounds);
      rows.feeding_layer.push([operationId, feedingId, at + 1, 1, role, lot.id, kilograms, String(pounds), 'lb']);
      rows.stock_movement.push([
        ...[operationId, this.#id(day), lot.id, 'feed', `-${kilograms}`, `-${pounds}`, 'lb', day],
        ...[dayEnd(day), ranchId, herd.id, 'feeding', feedingId, recorded, ownerId],
      ]);
    });
  }

  /** As much as the winter takes of the lot, and a ton more. */
  #buy(
    rows: LoadRows,
    lot: { id: string; pounds: number },
    { name, rich, bought }: { name: string; rich: boolean; bought: string },
  ): void {
    const { operationId, ownerId, ranchId } = this.#place;
    const tons = Math.ceil(lot.pounds / POUNDS_PER_TON) + 1;
    const kilograms = kilogramsOf(tons * POUNDS_PER_TON);
    const price = (rich ? 190 : 130) + Math.floor(this.#random() * 40);
    const [purchaseId, movementId, stamp] = [this.#id(bought), this.#id(bought), [evening(bought), ownerId]];
    const source = ['hay-purchase', purchaseId, ...stamp];
    const amount = `${tons * price}.00`;
    rows.hay_lot.push([
      ...[operationId, lot.id, ranchId, name, 'hay', rich ? 'alfalfa' : 'meadow', 'purchased', 'round', 'tarp'],
      bought,
    ]);
    rows.hay_purchase.push([
      ...[operationId, purchaseId, lot.id, 'An invented neighbor', bought, 'net'],
      ...[kilograms, String(tons), 'ton', ...stamp],
    ]);
    rows.hay_purchase_price.push([
      ...[operationId, purchaseId, 'per-mass', String(price), 'ton'],
      ...[amount, '0.00', '0.00', 'USD'],
    ]);
    rows.stock_movement.push([
      ...[operationId, movementId, lot.id, 'purchase', kilograms, String(tons), 'ton', bought],
      ...[dayStart(bought), ranchId, null, ...source],
    ]);
    rows.stock_cost.push([
      ...[operationId, this.#id(bought), lot.id, movementId, 'price', amount, 'USD', bought],
      ...source,
    ]);
  }
}

/** The address under which the owner of an operation signs in. */
export function ownerOf(number: number): string {
  return `owner-${number + 1}@load.example`;
}

function noRows(): LoadRows {
  return Object.fromEntries(Object.keys(LOAD_COLUMNS).map((table) => [table, []])) as unknown as LoadRows;
}

function firstDay({ winters }: LoadSize, index: number): string {
  return `${LAST_WINTER - winters + index}-11-01`;
}

/** Park and Miller's minimal standard generator (1988), as in the demo's winter. */
function minimalStandard(seed: number): () => number {
  let state = seed % 2_147_483_647;
  return () => {
    state = (state * 16_807) % 2_147_483_647;
    return (state - 1) / 2_147_483_646;
  };
}

/** Ids like those of entries made on their day (version 7 of RFC 9562), the same on every machine. */
function idsOf(number: number): (day: string) => string {
  let count = 0;
  return (day) => {
    count += 1;
    const at = Date.parse(`${day}T12:00:00Z`).toString(16).padStart(12, '0');
    const tail = `${number.toString(16).padStart(6, '0')}${count.toString(16).padStart(6, '0')}`;
    return `${at.slice(0, 8)}-${at.slice(8)}-7000-8000-${tail}`;
  };
}

/** Exact: a pound is 0.45359237 kg. */
function kilogramsOf(pounds: number): string {
  const units = String(BigInt(pounds) * 45_359_237n).padStart(9, '0');
  return `${units.slice(0, -8)}.${units.slice(-8)}`;
}

function evening(day: string): string {
  return `${day}T23:30:00Z`;
}

const dayStart = rememberedByDay((day) => startOfDayIn(ZONE, day).toISOString());
const dayEnd = rememberedByDay((day) => endOfDayIn(ZONE, day).toISOString());

function rememberedByDay(instantOf: (day: string) => string): (day: string) => string {
  const known = new Map<string, string>();
  return (day) => {
    const instant = known.get(day) ?? instantOf(day);
    known.set(day, instant);
    return instant;
  };
}
