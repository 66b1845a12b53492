import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import type { AnimalDescription } from '../../../core/requirements/requirement-set.js';
import type { HerdFlow, HerdOnFile, HerdWeighing } from '../../../core/standing/herd-on-file.js';
import {
  type HerdPart,
  type HerdState,
  herdThroughTime,
  type HerdThroughTime,
  placeOn,
} from '../../../core/standing/herd-state.js';
import type { HerdWeight } from '../../../core/standing/herd-weight.js';
import { whatStands } from '../../../core/time/what-stands.js';
import { decimalFromFloat } from '../../../core/units/decimal.js';
import { quantity, sentence, type Words } from '../../../core/units/wording.js';
import { KILOGRAM_PLACES, Mass } from '../../../core/units/mass.js';
import { type Books, operationsOf } from '../../../platform/database/books.js';
import { together } from '../../../platform/database/together.js';
import { factOf, HerdEventRead } from '../herds/herd-event.read.js';
import { herdRows } from '../herds/herd.read.js';
import { notReversed } from '../../kit/not-reversed.read.js';
import { toldInPlace } from '../../kit/told-in-place.read.js';
import { meanAfterShrink } from '../weigh-ins/weigh-in.read.js';

/** A herd on a day, in the form that every judgement takes. */
export interface HerdStanding {
  readonly state: HerdState;
  /** By stage; the shares add up to 1. */
  readonly parts: readonly HerdPart[];
  /** The mean animal of the largest class, for callers that can use only one. */
  readonly main: AnimalDescription;
  /** Full weight without calf and fluids, and where it comes from, in words. */
  readonly weight: { readonly mass: Mass; readonly from: Words };
}

/** What herds are on any day, read from the records about them. */
@Injectable()
export class HerdStateRead {
  constructor(private readonly events: HerdEventRead) {}

  /** Each herd on a day; with `knownAt`, only from what had been recorded by that instant. */
  async of(books: Books, herdIds: readonly string[], on: string, knownAt?: string): Promise<Map<string, HerdStanding>> {
    const herds = await this.throughTime(books, herdIds, knownAt);
    return new Map([...herds].map(([id, herd]) => [id, standingOf(herd.on(on))]));
  }

  /** Each herd, ready to be asked about many days. */
  async throughTime(books: Books, herdIds: readonly string[], knownAt?: string): Promise<Map<string, HerdThroughTime>> {
    const files = await this.files(books, herdIds, knownAt);
    return new Map([...files].map(([id, file]) => [id, herdThroughTime(file)]));
  }

  /** Where each herd is on a day; `null` where nobody has said. */
  async placesOn(books: Books, herdIds: readonly string[], on: string): Promise<Map<string, string | null>> {
    if (herdIds.length === 0) return new Map();
    const events = await this.events.standing(books, herdIds);
    return new Map(herdIds.map((id) => [id, placeOn((events.get(id) ?? []).map(factOf), on)]));
  }

  async files(books: Books, herdIds: readonly string[], knownAt?: string): Promise<Map<string, HerdOnFile>> {
    if (herdIds.length === 0) return new Map();
    const [events, weighings, flows, rows] = await together(
      this.events.standing(books, herdIds, knownAt),
      weighingsOf(books, herdIds, knownAt),
      flowsOf(books, herdIds, knownAt),
      herdRows(books)
        .innerJoin('ranch', (join) =>
          join.onRef('ranch.operation_id', '=', 'herd.operation_id').onRef('ranch.id', '=', 'herd.ranch_id'),
        )
        .select(
          sql<string>`coalesce(herd.taken_on, (herd.created_at AT TIME ZONE ranch.time_zone)::date)::text`.as('taken'),
        )
        .where('herd.operation_id', 'in', operationsOf(books))
        .where('herd.id', 'in', [...herdIds])
        .execute(),
    );
    return new Map(
      rows.map((row) => [
        row.id,
        {
          sex: row.sex,
          breedType: row.breed_type,
          matureKg: row.mature_weight_kg === null ? null : Number(row.mature_weight_kg),
          peakMilkKg: row.peak_milk_kg === null ? null : Number(row.peak_milk_kg),
          entry: { kg: Number(row.body_weight_kg), on: row.taken },
          entered: { cattleClass: row.cattle_class },
          facts: (events.get(row.id) ?? []).map(factOf),
          weighings: weighings.get(row.id) ?? [],
          flows: flows.get(row.id) ?? [],
        },
      ]),
    );
  }
}

export function standingOf(state: HerdState): HerdStanding {
  return {
    state,
    parts: state.parts,
    main: state.main,
    weight: { mass: massOf(state.weight.kg), from: whereFrom(state.weight) },
  };
}

export function massOf(kilograms: number): Mass {
  return Mass.kilograms(decimalFromFloat(kilograms, KILOGRAM_PLACES));
}

const TAKEN = {
  'weigh-in': 'the weigh-in of',
  'stated-weight': 'the weight stated on',
  entry: "the herd's own entry",
} as const;
const CARRIED = {
  wanted: 'the target gain',
  measured: 'the gain between the last two weighings',
  'target-weights': 'the growth to the target weights of heifers',
} as const;

/** Where a weight comes from, in a few words: what was weighed, and what of it is left out. */
function whereFrom({ restsOn }: HerdWeight): Words {
  const { what, on, kg, gain, gainedKg, flowKg, conceptusKg } = restsOn;
  const source = what === 'entry' ? TAKEN.entry : `${TAKEN[what]} ${on}`;
  const full = quantity(kg + conceptusKg, 'kg', 0);
  const taken =
    conceptusKg > 0 ? sentence`${source}, ${full} less ${quantity(conceptusKg, 'kg', 0)} of calf and fluids` : source;
  const carried = gainedKg !== 0 && gain !== 'not-known' && gain !== 'grown' ? `, carried on by ${CARRIED[gain]}` : '';
  return sentence`${taken}${carried}${flowKg === 0 ? '' : ', moved by cattle that came or went'}`;
}

async function weighingsOf(
  books: Books,
  herdIds: readonly string[],
  knownAt: string | undefined,
): Promise<Map<string, HerdWeighing[]>> {
  let select = books.db
    .selectFrom('weigh_in')
    .select(['herd_id', 'happened_on', 'head', 'fill', 'mean_kg', 'shrink_pct'])
    .where('weigh_in.operation_id', 'in', operationsOf(books))
    .where('weigh_in.herd_id', 'in', [...herdIds])
    .where(notReversed('weigh_in', knownAt === undefined ? {} : { knownAt: sql`${knownAt}::timestamptz` }))
    .orderBy('weigh_in.happened_on')
    .orderBy('weigh_in.id');
  if (knownAt !== undefined) select = select.where('weigh_in.recorded_at', '<=', knownAt);
  return byHerd(await select.execute(), (row) => ({
    on: row.happened_on,
    head: row.head,
    meanKg: meanAfterShrink(row).kilograms.toNumber(),
    fill: row.fill,
  }));
}

async function flowsOf(
  books: Books,
  herdIds: readonly string[],
  knownAt: string | undefined,
): Promise<Map<string, HerdFlow[]>> {
  let select = books.db
    .selectFrom('head_change')
    .select(['id', 'herd_id', 'happened_on as on', 'head', 'mean_weight_kg', 'reverses_id as reversesId'])
    .select(toldInPlace('head_change').as('toldOn'))
    .where('operation_id', 'in', operationsOf(books))
    .where('herd_id', 'in', [...herdIds])
    .orderBy('happened_on')
    .orderBy('id');
  if (knownAt !== undefined) select = select.where('recorded_at', '<=', knownAt);
  // What was reversed, as of whichever day, never came or went with that weight.
  return byHerd(whatStands(await select.execute()).standing, (row) => ({
    on: row.on,
    head: row.head,
    meanKg: row.mean_weight_kg === null ? null : Number(row.mean_weight_kg),
  }));
}

function byHerd<Row extends { herd_id: string }, Value>(
  rows: readonly Row[],
  value: (row: Row) => Value,
): Map<string, Value[]> {
  const known = new Map<string, Value[]>();
  for (const row of rows) known.set(row.herd_id, [...(known.get(row.herd_id) ?? []), value(row)]);
  return known;
}
