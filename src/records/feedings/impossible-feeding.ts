import { feedGroupOf } from '../../core/feeds/other-feeds.data.js';
import {
  heaviestBaleKg,
  mostDaysLaidFor,
  mostGrainKg,
  mostOfferedKg,
  usuallyOfferedKg,
} from '../../core/laying/offer-fit.js';
import { LEFT_BOUNDS, OFFER_BOUNDS } from '../../core/plausibility/entry-bounds.data.js';
import { daysBetween } from '../../core/time/calendar-day.js';
import { counted } from '../../core/units/counted.js';
import { Mass } from '../../core/units/mass.js';
import type { Doubt } from '../../platform/database/doubts.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { HayLotRow } from '../hay/lots/hay-lot.read.js';
import { toMass } from '../../platform/wire/quantity.schema.js';
import { doubtsOfDay } from '../kit/happened.read.js';
import { type OfferedPart, refuseImpossibleOffer, shownKg } from '../kit/impossible-offer.js';
import { type LaidThen, wasLaid } from './feeding.read.js';
import { type Known, mostHead, type PlannedFeeding } from './planned-feeding.js';

type Baled = Pick<HayLotRow, 'hay_kind' | 'bale_form'>;

/**
 * What is kept in front of the cattle may last them for weeks and does not count; nor is one whole bale too much for
 * anybody. Asked once the hay is drawn: where a lot does not hold so much, that is said first.
 * @throws Problem where no cattle can be meant, by one feeding or by all that a herd gets on its day.
 */
export function refuseImpossibleFeedings(
  tenant: OperationTenant,
  planned: readonly PlannedFeeding[],
  known: Known,
): void {
  const laid = new Map<string, LaidOnDay>();
  const laidOn = ({ herdId, day }: Pick<LaidThen, 'herdId' | 'day'>): LaidOnDay => {
    const key = `${herdId} ${day}`;
    const ofDay = laid.get(key) ?? new LaidOnDay(day, known);
    laid.set(key, ofDay);
    return ofDay;
  };
  for (const one of known.laidThen) laidOn(one).add(one);
  for (const one of planned) {
    const ofDay = laidOn({ herdId: one.herd.id, day: one.body.fedOn });
    refuseImpossible(tenant, one, known);
    refuseImpossibleGrain(tenant, one, known);
    refuseImpossibleDay(tenant, one, ofDay.without(one.body.correctsId), known);
    for (const each of laidBy(one)) ofDay.add(each);
  }
}

/** What was laid for a herd on a day, summed as it comes: a long file has thousands of feedings of one day. */
class LaidOnDay {
  readonly feedingIds = new Set<string>();
  kilograms = 0;
  dryMatterKg = 0;
  /** Of its heaviest bale. */
  baleKg = 0;
  /** For how many days any of it may have been laid. */
  days = 0;
  readonly #all: LaidThen[] = [];

  constructor(
    private readonly day: string,
    private readonly known: Known,
  ) {}

  add(one: LaidThen): void {
    const { feedingId, method, lotId, lot, kilograms } = one;
    this.#all.push(one);
    this.feedingIds.add(feedingId);
    this.kilograms += Number(kilograms);
    this.dryMatterKg += dryKg(lotId, kilograms, lot, this.day, this.known);
    this.baleKg = Math.max(this.baleKg, baleDryKg(lotId, lot, this.day, this.known));
    this.days = Math.max(this.days, mostDaysLaidFor(method));
  }

  /** The same without what another feeding stands in for. */
  without(feedingId: string | undefined): LaidOnDay {
    if (feedingId === undefined || !this.feedingIds.has(feedingId)) return this;
    const others = new LaidOnDay(this.day, this.known);
    for (const one of this.#all) if (one.feedingId !== feedingId) others.add(one);
    return others;
  }
}

function refuseImpossible(tenant: OperationTenant, one: PlannedFeeding, known: Known): void {
  const { body, lots, herd, feeding } = one;
  const headFed = feeding.head_fed;
  const bodyWeightKg = known.bodyWeightOn(herd.id, body.fedOn);
  const oneBaleKg = laidBy(one).map(({ lotId }) => baleDryKg(lotId, lots.get(lotId), body.fedOn, known));
  refuseImpossibleOffer(partsOf(one, headFed, known), {
    herd: herd.name,
    bodyWeightKg,
    mostKg: Math.max(
      mostOfferedKg({ bodyWeightKg, days: mostDaysLaidFor(body.method) }),
      ...oneBaleKg.map((kg) => kg / headFed),
    ),
    span: ` in one feeding of ${headFed} head`,
    whole: '#/layers',
    units: tenant.operation.unitPreference,
  });
}

/** Grain is laid for one day, and no cattle eat so much of it. */
function refuseImpossibleGrain(tenant: OperationTenant, one: PlannedFeeding, known: Known): void {
  const { body, herd, lots, feeding } = one;
  const bodyWeightKg = known.bodyWeightOn(herd.id, body.fedOn);
  const layers = one.layers.filter((layer) => isGrain(lots.get(layer.hay_lot_id)));
  refuseImpossibleOffer(partsOf({ ...one, layers }, feeding.head_fed, known), {
    herd: herd.name,
    bodyWeightKg,
    mostKg: mostGrainKg({ bodyWeightKg }),
    span: ` of grain in one feeding of ${feeding.head_fed} head`,
    whole: '#/layers',
    units: tenant.operation.unitPreference,
  });
}

const isGrain = (lot: Baled | undefined): boolean => lot !== undefined && feedGroupOf(lot.hay_kind) === 'grain';

/**
 * What is unlikely of a feeding: more than such cattle are usually offered since the feeding before, or more left of it
 * than there is without a feeder. A whole bale is never too much.
 */
export function unlikelyOfFeeding(
  tenant: OperationTenant,
  one: PlannedFeeding,
  known: Known,
  before?: string,
): Doubt[] {
  return [
    ...doubtsOfDay(tenant, { day: one.body.fedOn, pointer: '#/fedOn' }),
    ...unlikelyOffer(tenant, one, known, before),
    ...unlikelyLeft(one),
  ];
}

function unlikelyOffer(tenant: OperationTenant, one: PlannedFeeding, known: Known, before?: string): Doubt[] {
  const { body, herd, lots, feeding } = one;
  const own = laidBy(one);
  if (own.length === 0) return [];
  const bodyWeightKg = known.bodyWeightOn(herd.id, body.fedOn);
  const gap = before === undefined ? 1 : daysBetween(before, body.fedOn);
  const days = gap > mostDaysLaidFor(body.method) ? 1 : Math.max(1, gap);
  const baleKg = Math.max(...own.map(({ lotId }) => baleDryKg(lotId, lots.get(lotId), body.fedOn, known)));
  const offeredKg = partsOf(one, feeding.head_fed, known).reduce((sum, part) => sum + part.dryMatterKgPerHead, 0);
  const usualKg = Math.max(usuallyOfferedKg({ bodyWeightKg, days }), baleKg / feeding.head_fed);
  if (!Number.isFinite(usualKg) || offeredKg <= usualKg) return [];
  const units = { units: tenant.operation.unitPreference };
  const span = days === 1 ? 'for a day' : `for ${days} days`;
  const given = `${shownKg(offeredKg, units)} of dry matter a head`;
  return [
    {
      code: 'offer-unusual',
      pointer: '#/layers',
      given,
      usual: `${shownKg(usualKg, units)} of dry matter a head or less ${span}`,
      source: `${OFFER_BOUNDS.aDay.source}; for each day more: ${OFFER_BOUNDS.eachDayMore.source}`,
      message:
        `${given} ${span} is unlikely of ${herd.name}, who weigh ${shownKg(bodyWeightKg, units)}. Check the unit, ` +
        'the amount and the head, unless it was laid for several days.',
    },
  ];
}

function unlikelyLeft({ body, layers }: PlannedFeeding): Doubt[] {
  const lost = Mass.sum([body.refused, body.wasted].flatMap((one) => (one === undefined ? [] : [toMass(one)])));
  const laid = Mass.sum(layers.filter(wasLaid).map((layer) => Mass.kilograms(layer.kilograms)));
  if (!laid.isPositive()) return [];
  const share = lost.kilograms.div(laid.kilograms).toNumber();
  if (share <= LEFT_BOUNDS.usualShare) return [];
  const given = `${Math.round(share * 100)} % of what was laid`;
  return [
    {
      code: 'left-unusual',
      pointer: body.wasted === undefined ? '#/refused' : '#/wasted',
      given,
      usual: `${LEFT_BOUNDS.usualShare * 100} % of what was laid or less`,
      source: LEFT_BOUNDS.source,
      message: `${given} was refused or wasted, which is unlikely. Check the unit and the amount.`,
    },
  ];
}

/**
 * Feedings of one day went to the whole herd or to parts of it: together they are divided by all of its head, and a
 * bale more than that head can be meant to get is no slip.
 * @param before what was laid that day, without what this one stands in for
 */
function refuseImpossibleDay(tenant: OperationTenant, one: PlannedFeeding, before: LaidOnDay, known: Known): void {
  const { body, lots, herd, feeding } = one;
  const own = laidBy(one);
  if (before.feedingIds.size === 0 || own.length === 0) return;
  const head = Math.max(feeding.head_fed, mostHead(body, known.headOn));
  const bodyWeightKg = known.bodyWeightOn(herd.id, body.fedOn);
  const baleKg = Math.max(
    before.baleKg,
    ...own.map(({ lotId }) => baleDryKg(lotId, lots.get(lotId), body.fedOn, known)),
  );
  const days = Math.max(before.days, mostDaysLaidFor(body.method));
  refuseImpossibleOffer(partsOf(one, head, known), {
    herd: herd.name,
    bodyWeightKg,
    mostKg: mostOfferedKg({ bodyWeightKg, days }) + baleKg / head,
    span: ` in all feedings of ${herd.name} on ${body.fedOn}`,
    already: {
      dryMatterKgPerHead: before.dryMatterKg / head,
      kilograms: before.kilograms,
      by: counted(before.feedingIds.size, 'feeding'),
    },
    whole: '#/layers',
    units: tenant.operation.unitPreference,
  });
}

function partsOf({ layers, lots, body }: PlannedFeeding, head: number, known: Known): OfferedPart[] {
  return layers.filter(wasLaid).map((layer) => {
    const at = `#/layers/${layer.position - 1}/parts/${layer.part - 1}`;
    const lot = lots.get(layer.hay_lot_id);
    return {
      pointer: layer.typed_unit === 'bale' ? `${at}/bales` : `${at}/weight/value`,
      given: { value: layer.typed_value, unit: layer.typed_unit === 'bale' ? 'bales' : layer.typed_unit },
      dryMatterKgPerHead: dryKg(layer.hay_lot_id, layer.kilograms, lot, body.fedOn, known) / head,
    };
  });
}

function laidBy({ id, layers, lots, body }: PlannedFeeding): LaidThen[] {
  return layers.filter(wasLaid).map((layer) => ({
    feedingId: id,
    herdId: body.herdId,
    day: body.fedOn,
    method: body.method,
    lotId: layer.hay_lot_id,
    lot: lots.get(layer.hay_lot_id),
    kilograms: layer.kilograms,
  }));
}

function dryKg(lotId: string, kilograms: string | number, lot: Baled | undefined, day: string, known: Known): number {
  return (Number(kilograms) * known.dryMatterOn(lotId, day, lot?.hay_kind)) / 100;
}

/** Of the heaviest bale of a lot; none where it is not in bales. */
function baleDryKg(lotId: string, lot: Baled | undefined, day: string, known: Known): number {
  if (lot === undefined) return 0;
  const meanBaleKg = known.baleWeights.get(lotId)?.kilograms.toNumber() ?? null;
  const kilograms = heaviestBaleKg({ hayKind: lot.hay_kind, baleForm: lot.bale_form, meanBaleKg });
  return kilograms === null ? 0 : dryKg(lotId, kilograms, lot, day, known);
}
