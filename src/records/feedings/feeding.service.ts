import { Injectable } from '@nestjs/common';
import { Decimal } from '../../core/units/decimal.js';
import { feedKindOf } from '../../core/feeds/other-feeds.data.js';
import { bookBulkDensity } from '../../core/feeds/hay-densities.data.js';
import { addDays } from '../../core/time/calendar-day.js';
import { layingCautions } from '../../core/laying/laying-cautions.js';
import { spaceClassOf } from '../../core/laying/space-class.js';
import { KILOGRAM_PLACES, Mass, type MassUnit } from '../../core/units/mass.js';
import { dayIn } from '../../platform/clock.js';
import { problemOfDatabaseError } from '../../platform/database/database-errors.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { together } from '../../platform/database/together.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { placedIn } from '../../platform/http/in-the-request.js';
import { ruleBroken } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { toMass, type UnitSystem, formatMass, formatTypedMass } from '../../platform/wire/quantity.schema.js';
import { cautionAnswer } from '../kit/caution.schema.js';
import { HayLotRead, type HayLotRow } from '../hay/lots/hay-lot.read.js';
import { HerdRead, type HerdRow } from '../cattle/herds/herd.read.js';
import { bunkLengthMeters, PlaceRead, type PlaceRow } from '../yard/ranches/place.read.js';
import { RanchRead } from '../yard/ranches/ranch.read.js';
import type { ReversalRow } from '../kit/reversal.read.js';
import { Reversals } from '../kit/reversal.store.js';
import { reversalAnswer } from '../kit/reversal.schema.js';
import { StockCountRead } from '../hay/stock-counts/stock-count.read.js';
import { StockCountStore } from '../hay/stock-counts/stock-count.store.js';
import { latePostings, postingDay } from '../kit/posting.read.js';
import { notePosting } from '../kit/posting.store.js';
import { postedLateAnswer } from '../kit/posting.schema.js';
import { CostWriting } from '../hay/costing/cost-writing.js';
import type { KindTip } from '../hay/costing/written-costs.store.js';
import { StockRead } from '../hay/stock/stock.read.js';
import { StockStore } from '../hay/stock/stock.store.js';
import { FeedingRead, type FeedingRow, type LayerRow, wasLaid } from './feeding.read.js';
import type * as api from './feeding.schema.js';
import { FeedingStore, type NewLayer } from './feeding.store.js';

type Body = InputOf<typeof api.createFeeding>['body'];
type Answer = AnswerOf<typeof api.getFeeding>;
type Listed = AnswerOf<typeof api.listFeedings>['items'][number];

/** Other records that an answer about feedings names or that their judgement needs. */
interface Surroundings {
  lots: ReadonlyMap<string, HayLotRow>;
  herds: ReadonlyMap<string, HerdRow>;
  places: ReadonlyMap<string, PlaceRow>;
  late: Awaited<ReturnType<typeof latePostings>>;
  counts: ReadonlyMap<string, readonly string[]>;
  sameDay: (row: FeedingRow) => readonly string[];
}

/** A feeding just written, with the herd and the lots as they were. */
interface WrittenFeeding {
  row: FeedingRow;
  layers: NewLayer[];
  lots: ReadonlyMap<string, HayLotRow>;
  herd: HerdRow;
}

/** What hay is drawn from, and what is known of its cost. */
interface Drawing {
  lots: ReadonlyMap<string, HayLotRow>;
  timeZone: string;
  body: Body;
  tips: readonly KindTip[] | undefined;
}

/** A feeding is laid layer by layer; each layer draws from its lots, and all of it is written or none. */
@Injectable()
export class FeedingService {
  constructor(
    private readonly herds: HerdRead,
    private readonly lots: HayLotRead,
    private readonly stock: StockStore,
    private readonly stockRead: StockRead,
    private readonly feedings: FeedingRead,
    private readonly store: FeedingStore,
    private readonly reversals: Reversals,
    private readonly ranches: RanchRead,
    private readonly places: PlaceRead,
    private readonly counts: StockCountRead,
    private readonly countStore: StockCountStore,
    private readonly costs: CostWriting,
  ) {}

  /** Writes one feeding and returns it, with what is asked `beside` in the same round trips. */
  async create<Beside>(
    tenant: OperationTenant,
    { query, body }: InputOf<typeof api.createFeeding>,
    beside: (written: WrittenFeeding) => Promise<Beside>,
  ): Promise<{ answer: Answer; beside: Beside }> {
    const lotIds = body.layers.flatMap((layer) => layer.parts.map((part) => part.hayLotId));
    const written = await this.#insert(tenant, body, this.costs.tips(tenant, lotIds));
    const { row, layers, lots } = written;
    const [, around, found] = await together(
      audited(tenant, written),
      this.#surroundings(tenant, [row]),
      beside(written),
    );
    const units = query.units ?? tenant.operation.unitPreference;
    return { answer: answerFrom(row, layers, { ...around, lots }, undefined, units), beside: found };
  }

  /**
   * The same without returning it; used for confirmed feed sheets and imports, which write thousands and read none.
   */
  async write(tenant: OperationTenant, body: Body): Promise<WrittenFeeding> {
    const written = await this.#insert(tenant, body);
    await audited(tenant, written);
    return written;
  }

  async #insert(
    tenant: OperationTenant,
    body: Body,
    costing: Promise<KindTip[] | undefined> = Promise.resolve(undefined),
  ): Promise<WrittenFeeding> {
    const named = body.layers.flatMap((layer, index) =>
      layer.parts.map((part, inner) => ({ id: part.hayLotId, pointer: `#/layers/${index}/parts/${inner}/hayLotId` })),
    );
    const [{ herd, timeZone }, posting, headFed, lots, layers, tips] = await together(
      this.#herdToFeed(tenant, body),
      postingDay(tenant, { told: body.fedOn, postTo: body.postTo, pointer: '#/fedOn' }),
      this.#headFed(tenant, body),
      this.lots.named(tenant, named),
      this.#layers(tenant, body),
      costing,
    );
    refuseMoreLostThanFed(body, layers);
    const id = newId();
    // A feeding that is posted late drops its time, which is not on the day it is booked under.
    const fedAt = body.fedAt === undefined || posting.late !== undefined ? null : new Date(body.fedAt).toISOString();
    await this.#confirmCounts(tenant, body, { id, on: posting.on, at: fedAt ?? undefined }, lots);
    const at = { id, herd_id: herd.id, ranch_id: herd.ranch_id, happened_on: posting.on, happened_at: fedAt };
    const inserting = this.store.insert(
      tenant,
      id,
      {
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
      },
      layers,
    );
    const [row] = await together(
      inserting,
      notePosting(tenant, { kind: 'feeding', id }, posting, body.correctsId),
      this.#draw(tenant, at, layers, { lots, timeZone, body, tips }),
    );
    return { row, layers, lots, herd };
  }

  /** The herd, and the zone of its ranch. @throws Problem where the time given is not on the day. */
  async #herdToFeed(tenant: OperationTenant, body: Body): Promise<{ herd: HerdRow; timeZone: string }> {
    const [herd, timeZones] = await together(this.herds.one(tenant, body.herdId), this.ranches.timeZones(tenant));
    const timeZone = timeZones.get(herd.ranch_id) ?? tenant.operation.timeZone;
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

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listFeedings>,
  ): Promise<AnswerOf<typeof api.listFeedings>> {
    const rows = await this.feedings.page(tenant, query);
    const write = await this.#writer(tenant, rows, query.units, listedFrom);
    return pageOf(rows, query.limit, write, (row) => [row.happened_on, row.id]);
  }

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getFeeding>): Promise<Answer> {
    const row = await this.feedings.one(tenant, params.feedingId);
    return (await this.#writer(tenant, [row], query.units, answerFrom))(row);
  }

  async reverse(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof api.reverseFeeding>,
  ): Promise<AnswerOf<typeof api.reverseFeeding>> {
    const row = await this.feedings.one(tenant, params.feedingId);
    const reversal = await this.reversals.write(
      tenant,
      { kind: 'feeding', id: row.id, happenedOn: row.happened_on },
      body,
      (answerFrom) =>
        this.stock.reverse(
          tenant,
          { kind: 'feeding', id: row.id },
          { id: answerFrom.id, on: answerFrom.effective_on, reason: body.reason },
        ),
    );
    return reversalAnswer(reversal);
  }

  /**
   * Number of head fed: as given, else the herd's at the end of the day. @throws Problem where that is none, or more
   * than the herd has; cattle that leave on a day may be fed before they go.
   */
  async #headFed(tenant: OperationTenant, { herdId, fedOn, headFed }: Body): Promise<number> {
    const [atEvening, dayBefore] = await together(
      this.herds.headOn(tenant, [herdId], fedOn),
      this.herds.headOn(tenant, [herdId], addDays(fedOn, -1)),
    );
    const evening = atEvening.get(herdId) ?? 0;
    const before = dayBefore.get(herdId) ?? 0;
    const most = Math.max(evening, before);
    const head = headFed ?? evening;
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

  /** The amounts typed, by weight or in bales, as layers in kilograms. */
  async #layers(tenant: OperationTenant, body: Body): Promise<NewLayer[]> {
    const byBale = body.layers
      .flatMap((layer) => layer.parts)
      .filter((part) => 'bales' in part)
      .map((part) => part.hayLotId);
    const baleWeights = await this.stockRead.baleWeights(tenant, byBale);
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

  /**
   * Corrects the books of counted lots before hay is drawn from them; every lot of the feeding is locked, so that none
   * changes meanwhile.
   */
  async #confirmCounts(
    tenant: OperationTenant,
    body: Body,
    draw: { id: string; on: string; at: string | undefined },
    lots: ReadonlyMap<string, HayLotRow>,
  ): Promise<void> {
    if (body.confirmedCounts === undefined) return;
    await this.stock.hold(tenant, [...lots.keys()]);
    for (const [index, { hayLotId, ...confirmed }] of body.confirmedCounts.entries()) {
      const lot = lots.get(hayLotId);
      const pointer = `#/confirmedCounts/${index}`;
      if (lot === undefined || body.confirmedCounts.findIndex((one) => one.hayLotId === hayLotId) !== index) {
        throw ruleBroken(
          `${pointer}/hayLotId`,
          'count-without-draw',
          hayLotId,
          'each lot of this feeding at most once',
          'A count is confirmed with the feeding that draws the lot, once.',
        );
      }
      await this.countStore.confirm(tenant, confirmed, {
        lot,
        timeZone: await this.ranches.timeZone(tenant, lot.ranch_id),
        on: draw.on,
        at: draw.at,
        kind: 'feeding',
        id: draw.id,
        pointer,
      });
    }
  }

  /** The hay leaves the place of its lot; the herd tells where it went. */
  async #draw(
    tenant: OperationTenant,
    row: Pick<FeedingRow, 'id' | 'herd_id' | 'ranch_id' | 'happened_on' | 'happened_at'>,
    layers: readonly NewLayer[],
    { lots, timeZone, body, tips }: Drawing,
  ): Promise<void> {
    try {
      await this.stock.add(
        tenant,
        layers.map((layer) => ({
          lotId: layer.hay_lot_id,
          kind: 'feed',
          change: Mass.kilograms(layer.kilograms).negated(),
          typedValue: `-${layer.typed_value}`,
          typedUnit: layer.typed_unit,
          on: row.happened_on,
          ...(row.happened_at === null ? {} : { at: row.happened_at }),
          timeZone,
          ranchId: lots.get(layer.hay_lot_id)?.ranch_id ?? row.ranch_id,
          placeId: lots.get(layer.hay_lot_id)?.place_id ?? null,
          herdId: row.herd_id,
          source: { kind: 'feeding', id: row.id },
        })),
        tips,
      );
    } catch (error) {
      throw withPointers(error, body, tenant.operation.unitPreference);
    }
  }

  async #writer<T>(
    tenant: OperationTenant,
    rows: readonly FeedingRow[],
    units: UnitSystem | undefined,
    from: AnswerMaker<T>,
  ): Promise<(row: FeedingRow) => T> {
    const ids = rows.map((row) => row.id);
    const [{ layers, lots }, surroundings, reversals] = await together(
      this.#laid(tenant, ids),
      this.#surroundings(tenant, rows),
      this.reversals.of(tenant, ids),
    );
    const around = { ...surroundings, lots };
    return (row) =>
      from(row, layers.get(row.id) ?? [], around, reversals.get(row.id), units ?? tenant.operation.unitPreference);
  }

  /** What was laid, and the lots it came from. */
  async #laid(
    tenant: OperationTenant,
    feedingIds: readonly string[],
  ): Promise<{ layers: Map<string, LayerRow[]>; lots: Map<string, HayLotRow> }> {
    const layers = await this.feedings.layersOf(tenant, feedingIds);
    const lotIds = [...new Set([...layers.values()].flat().map((layer) => layer.hay_lot_id))];
    const lots = await this.lots.named(
      tenant,
      lotIds.map((id) => ({ id, pointer: '#' })),
    );
    return { layers, lots };
  }

  async #surroundings(tenant: OperationTenant, rows: readonly FeedingRow[]): Promise<Omit<Surroundings, 'lots'>> {
    const placeIds = [...new Set(rows.flatMap((row) => row.place_id ?? []))];
    const ids = rows.map((row) => row.id);
    const [places, herds, late, counts, sameDay] = await together(
      this.places.byId(tenant, placeIds),
      this.herds.all(tenant),
      latePostings(tenant, ids),
      this.counts.ofDraws(tenant, ids),
      this.feedings.onTheSameDays(tenant, rows),
    );
    return { places, herds: new Map(herds.map((herd) => [herd.id, herd])), late, counts, sameDay };
  }
}

async function audited(tenant: OperationTenant, { row, layers }: WrittenFeeding): Promise<void> {
  await tenant.audit({
    action: 'feeding.create',
    subjectKind: 'feeding',
    subjectId: row.id,
    after: { ...row, layers },
  });
}

/** @throws Problem where more is entered as refused or wasted than was laid. */
function refuseMoreLostThanFed(
  { refused, wasted }: Pick<Body, 'refused' | 'wasted'>,
  layers: readonly Pick<NewLayer, 'kilograms'>[],
): void {
  const fed = Mass.sum(layers.map((layer) => Mass.kilograms(layer.kilograms)));
  let left = fed;
  for (const [field, told] of [
    ['refused', refused],
    ['wasted', wasted],
  ] as const) {
    if (told === undefined) continue;
    const allowed = `${left.in(told.unit).toDecimalPlaces(3, Decimal.ROUND_DOWN).toFixed()} ${told.unit} or less`;
    left = left.minus(toMass(told));
    if (left.isNegative())
      throw ruleBroken(
        `#/${field}`,
        'more-than-was-fed',
        `${told.value} ${told.unit}`,
        allowed,
        'More cannot be left of a feeding than was fed. What is left of several feedings is entered with each of them.',
      );
  }
}

/** A draw that the ledger refused, with the layers in the body that caused it. */
function withPointers(error: unknown, body: Body, units: UnitSystem): unknown {
  const problem = problemOfDatabaseError(error, units);
  return problem?.code === 'lot-short' ? placedIn(problem, { body: { layers: body.layers } }) : error;
}

function cautionsOf(
  row: FeedingRow,
  layers: readonly NewLayer[],
  { lots, places, herds }: Surroundings,
  units: UnitSystem,
): Answer['cautions'] {
  const loose = bookBulkDensity({ form: 'loose-hay' }).kgPerM3;
  const laid = layers.filter(wasLaid).map((layer) => {
    const lot = lots.get(layer.hay_lot_id);
    const kind = feedKindOf(lot?.hay_kind ?? 'meadow');
    return {
      role: layer.role,
      name: lot?.name ?? '',
      texture: kind.texture,
      kgAsFed: Number(layer.kilograms),
      bulkDensityKgPerM3: loose,
      legumeShare: kind.legumeShare,
    };
  });
  const total = laid.reduce((sum, layer) => sum + layer.kgAsFed, 0);
  const legume = laid.some((layer) => layer.legumeShare === null)
    ? null
    : laid.reduce((sum, layer) => sum + (layer.legumeShare ?? 0) * layer.kgAsFed, 0) / total;
  const place = row.place_id === null ? undefined : places.get(row.place_id);
  const length = bunkLengthMeters(place);
  return layingCautions({
    layers: laid,
    weather: row.weather,
    hayWasWet: null,
    blended: row.blended,
    legumeShareOfDryMatter: legume,
    head: row.head_fed,
    space: {
      spaceClass: spaceClassOf(herds.get(row.herd_id)?.cattle_class ?? 'dry-open-cow'),
      access: 'once-daily',
      feedingLengthM: row.method === 'bunk' ? length : null,
      volumeM3: null,
    },
  }).map((one) => cautionAnswer(one, units));
}

type AnswerMaker<T> = (
  row: FeedingRow,
  layers: readonly NewLayer[],
  around: Surroundings,
  reversal: ReversalRow | undefined,
  units: UnitSystem,
) => T;

const answerFrom: AnswerMaker<Answer> = (row, layers, around, reversal, units) => ({
  ...listedFrom(row, layers, around, reversal, units),
  cautions: cautionsOf(row, layers, around, units),
});

function listedFrom(
  row: FeedingRow,
  layers: readonly NewLayer[],
  around: Surroundings,
  reversal: ReversalRow | undefined,
  units: UnitSystem,
): Listed {
  const positions = [...new Map(layers.map((layer) => [layer.position, layer.role]))].sort(([a], [b]) => a - b);
  const massOf = (some: readonly { kilograms: string }[]): Mass =>
    Mass.sum(some.map((layer) => Mass.kilograms(layer.kilograms)));
  const total = massOf(layers);
  const typed = (
    kilograms: string | null,
    value: string | null,
    unit: MassUnit | null,
  ): ReturnType<typeof formatTypedMass> | null =>
    kilograms === null || value === null || unit === null
      ? null
      : formatTypedMass(kilograms, value, unit, units, 'small');
  return {
    id: row.id,
    herdId: row.herd_id,
    ranchId: row.ranch_id,
    placeId: row.place_id,
    fedOn: row.happened_on,
    fedAt: row.happened_at,
    headFed: row.head_fed,
    method: row.method,
    weather: row.weather,
    blended: row.blended,
    layers: positions.map(([position, role]) => {
      const parts = layers.filter((layer) => layer.position === position);
      return {
        position,
        role,
        weight: formatMass(massOf(parts), units, 'small'),
        parts: parts.map((part) => ({
          hayLotId: part.hay_lot_id,
          hayLot: around.lots.get(part.hay_lot_id)?.name ?? '',
          weight: formatTypedMass(part.kilograms, part.typed_value, part.typed_unit, units, 'small'),
          freeChoice: part.free_choice,
        })),
      };
    }),
    total: formatMass(total, units, 'small'),
    perHead: formatMass(total.dividedBy(row.head_fed), units, 'small'),
    refused: typed(row.refused_kg, row.refused_value, row.refused_unit),
    wasted: typed(row.wasted_kg, row.wasted_value, row.wasted_unit),
    countIds: [...(around.counts.get(row.id) ?? [])],
    sameDayFeedingIds: around.sameDay(row).filter((id) => id !== row.id),
    postedLate: postedLateAnswer(around.late.get(row.id)),
    note: row.note,
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
