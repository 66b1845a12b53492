import { addDays } from '../../core/time/calendar-day.js';
import { Decimal } from '../../core/units/decimal.js';
import { KILOGRAM_PLACES, Mass } from '../../core/units/mass.js';
import { dayIn } from '../../platform/clock.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { InputOf } from '../../platform/http/endpoint.js';
import { notFound, ruleBroken } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { toMass } from '../../platform/wire/quantity.schema.js';
import type { HerdRow } from '../cattle/herds/herd.read.js';
import { type HayLotRow, lotsNamed } from '../hay/lots/hay-lot.read.js';
import type { NewMovement } from '../hay/stock/stock.store.js';
import { refuseNotYetIn } from '../kit/happened.read.js';
import { type ClosingRow, postedUnder, type Posting } from '../kit/posting.read.js';
import type { LaidThen } from './feeding.read.js';
import type * as api from './feeding.schema.js';
import type { NewFeeding, NewLayer } from './feeding.store.js';

type Body = InputOf<typeof api.createFeeding>['body'];

/** What the books know of the herds and lots that feedings name. */
export interface Known {
  herds: ReadonlyMap<string, HerdRow>;
  /** By ranch. */
  timeZones: ReadonlyMap<string, string>;
  closing: ClosingRow | undefined;
  /** At the end of a day that was asked about. */
  headOn: (herdId: string, day: string) => number;
  lots: readonly HayLotRow[];
  baleWeights: ReadonlyMap<string, Mass>;
  /** Mean full weight of one head on a day, kg. */
  bodyWeightOn: (herdId: string, day: string) => number;
  /** Of a lot on a day, %; of one that none of the feedings names, the book value of its kind. */
  dryMatterOn: (lotId: string, day: string, otherKind?: HayLotRow['hay_kind']) => number;
  /** On the days of the feedings, in front of their herds. */
  laidThen: readonly LaidThen[];
  /** Days in the week before the feedings on which their herds were fed, by herd. */
  fedBefore: ReadonlyMap<string, readonly string[]>;
}

/** A feeding as it will be written. */
export interface PlannedFeeding extends NewFeeding {
  body: Body;
  herd: HerdRow;
  timeZone: string;
  posting: Posting;
  lots: ReadonlyMap<string, HayLotRow>;
}

/** A feeding from what was sent and what is known. @throws Problem where the two do not fit. */
export function plannedFrom(tenant: OperationTenant, body: Body, known: Known): PlannedFeeding {
  const { herd, timeZone } = herdToFeed(tenant, body, known);
  const day = { statedOn: body.fedOn, postTo: body.postTo, pointer: '#/fedOn' };
  refuseNotYetIn(tenant, known.timeZones.values(), { day: day.statedOn, pointer: day.pointer });
  const posting = postedUnder(known.closing, day);
  const headFed = headToFeed(body, known);
  const lots = lotsNamed(
    known.lots,
    body.layers.flatMap((layer, index) =>
      layer.parts.map((part, inner) => ({ id: part.hayLotId, pointer: `#/layers/${index}/parts/${inner}/hayLotId` })),
    ),
  );
  const layers = layersFrom(body, known);
  refuseMoreLostThanFed(body, layers);
  // A feeding that is posted late drops its time, which is not on the day it is booked under.
  const fedAt = body.fedAt === undefined || posting.late !== undefined ? null : new Date(body.fedAt).toISOString();
  const feeding = {
    herd_id: herd.id,
    ranch_id: herd.ranch_id,
    place_id: body.placeId ?? herd.place_id,
    happened_on: posting.on,
    happened_at: fedAt,
    head_fed: headFed,
    method: body.method,
    weather: body.weather,
    blended: body.blended,
    refused_kg: body.refused === undefined ? null : toMass(body.refused).kilograms.toFixed(),
    refused_value: body.refused?.value ?? null,
    refused_unit: body.refused?.unit ?? null,
    wasted_kg: body.wasted === undefined ? null : toMass(body.wasted).kilograms.toFixed(),
    wasted_value: body.wasted?.value ?? null,
    wasted_unit: body.wasted?.unit ?? null,
    note: body.note ?? null,
  };
  return { id: newId(), feeding, layers, body, herd, timeZone, posting, lots };
}

/** The hay leaves the place of its lot; the herd tells where it went. */
export function drawsOf({ id, feeding, layers, lots, timeZone }: PlannedFeeding): NewMovement[] {
  return layers.map((layer) => ({
    lotId: layer.hay_lot_id,
    kind: 'feed',
    change: Mass.kilograms(layer.kilograms).negated(),
    typedValue: `-${layer.typed_value}`,
    typedUnit: layer.typed_unit,
    on: feeding.happened_on,
    ...(feeding.happened_at === null ? {} : { at: feeding.happened_at }),
    timeZone,
    ranchId: lots.get(layer.hay_lot_id)?.ranch_id ?? feeding.ranch_id,
    placeId: lots.get(layer.hay_lot_id)?.place_id ?? null,
    herdId: feeding.herd_id,
    source: { kind: 'feeding', id },
  }));
}

/** The herd, and the zone of its ranch. @throws Problem where the time given is not on the day. */
function herdToFeed(tenant: OperationTenant, body: Body, known: Known): { herd: HerdRow; timeZone: string } {
  const herd = known.herds.get(body.herdId);
  if (herd === undefined) throw notFound('herd', body.herdId);
  const timeZone = known.timeZones.get(herd.ranch_id) ?? tenant.operation.timeZone;
  if (body.fedAt !== undefined && dayIn(timeZone, new Date(body.fedAt)) !== body.fedOn) {
    throw ruleBroken(
      '#/fedAt',
      'not-on-that-day',
      body.fedAt,
      `an instant on ${body.fedOn} at the ranch (${timeZone})`,
      'The time is not on the day of the feeding.',
    );
  }
  return { herd, timeZone };
}

/**
 * Number of head fed: as given, else the herd's at the end of the day. @throws Problem where that is none, or more than
 * the herd has; cattle that leave on a day may be fed before they go.
 */
function headToFeed({ herdId, fedOn, headFed }: Body, { headOn }: Known): number {
  const most = mostHead({ herdId, fedOn }, headOn);
  const head = headFed ?? headOn(herdId, fedOn);
  if (head < 1)
    throw ruleBroken(
      '#/headFed',
      'nobody-to-feed',
      head,
      'at least 1 head',
      `The herd has no head on ${fedOn}; give headFed or enter the head change first.`,
    );
  if (most > 0 && head > most)
    throw ruleBroken(
      '#/headFed',
      'more-than-the-herd',
      head,
      `${most} head or fewer`,
      `The herd has ${most} head on ${fedOn}; enter the head change first if it has more.`,
    );
  return head;
}

/** Of a herd on a day: its head in the evening or that of the evening before. */
export function mostHead({ herdId, fedOn }: Pick<Body, 'herdId' | 'fedOn'>, headOn: Known['headOn']): number {
  return Math.max(headOn(herdId, fedOn), headOn(herdId, addDays(fedOn, -1)));
}

/** The amounts typed, by weight or in bales, as layers in kilograms. */
function layersFrom(body: Body, { baleWeights }: Known): NewLayer[] {
  return body.layers.flatMap((layer, index) =>
    layer.parts.map((part, inner): NewLayer => {
      const place = {
        position: index + 1,
        part: inner + 1,
        role: layer.role,
        hay_lot_id: part.hayLotId,
        free_choice: part.freeChoice,
      };
      if ('weight' in part)
        return {
          ...place,
          kilograms: toMass(part.weight).kilograms.toFixed(),
          typed_value: part.weight.value,
          typed_unit: part.weight.unit,
          bale_count: null,
        };
      const bale = baleWeights.get(part.hayLotId);
      if (bale === undefined)
        throw ruleBroken(
          `#/layers/${index}/parts/${inner}/bales`,
          'bale-weight-unknown',
          part.bales,
          'a weight',
          'No bales of this lot were counted on a ticket, so the weight of a bale is not known; give a weight.',
        );
      return {
        ...place,
        kilograms: bale.times(part.bales).kilograms.toDecimalPlaces(KILOGRAM_PLACES).toFixed(),
        typed_value: part.bales,
        typed_unit: 'bale',
        bale_count: part.bales,
      };
    }),
  );
}

/** @throws Problem where more is entered as refused or wasted than was laid. */
function refuseMoreLostThanFed(
  { refused, wasted }: Pick<Body, 'refused' | 'wasted'>,
  layers: readonly Pick<NewLayer, 'kilograms' | 'free_choice'>[],
): void {
  if (refused === undefined && wasted === undefined) return;
  // What is kept in front of the cattle is not laid, and none of it counts as wasted.
  const laid = layers.filter((layer) => !layer.free_choice);
  const fed = Mass.sum((laid.length === 0 ? layers : laid).map((layer) => Mass.kilograms(layer.kilograms)));
  let left = fed;
  for (const [field, lost] of [
    ['refused', refused],
    ['wasted', wasted],
  ] as const) {
    if (lost === undefined) continue;
    const allowed = `${left.in(lost.unit).toDecimalPlaces(3, Decimal.ROUND_DOWN).toFixed()} ${lost.unit} or less`;
    left = left.minus(toMass(lost));
    if (left.isNegative())
      throw ruleBroken(
        `#/${field}`,
        'more-than-was-fed',
        `${lost.value} ${lost.unit}`,
        allowed,
        'More cannot be left of a feeding than was fed. What is left of several feedings is entered with each of them.',
      );
  }
}
