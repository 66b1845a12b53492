import { Injectable } from '@nestjs/common';
import { feedKindOf } from '../../core/feeds/other-feeds.data.js';
import { bookBulkDensity } from '../../core/feeds/hay-densities.data.js';
import { addDays } from '../../core/time/calendar-day.js';
import { OFFER_BOUNDS } from '../../core/plausibility/entry-bounds.data.js';
import { layingCautions } from '../../core/laying/laying-cautions.js';
import { rationLotOf } from '../../core/ration/ration-lot.js';
import { spaceClassOf } from '../../core/laying/space-class.js';
import { Mass, type MassUnit } from '../../core/units/mass.js';
import { problemOfDatabaseError } from '../../platform/database/database-errors.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { together } from '../../platform/database/together.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { placedIn } from '../../platform/http/in-the-request.js';
import { ruleBroken } from '../../platform/http/problem.js';
import { type UnitSystem, formatMass, formatTypedMass } from '../../platform/wire/quantity.schema.js';
import { cautionAnswer } from '../kit/caution.schema.js';
import { LabTestRead, weighable } from '../hay/lab-tests/lab-test.read.js';
import { HerdStateRead } from '../cattle/standing/herd-state.read.js';
import { HayLotRead, type HayLotRow } from '../hay/lots/hay-lot.read.js';
import { HerdRead, type HerdRow } from '../cattle/herds/herd.read.js';
import { bunkLengthMeters, PlaceRead, type PlaceRow } from '../yard/ranches/place.read.js';
import { RanchRead } from '../yard/ranches/ranch.read.js';
import type { ReversalRow } from '../kit/reversal.read.js';
import { type Confirmed, confirmedNow, confirmedOf } from '../kit/confirmed.read.js';
import { Reversals } from '../kit/reversal.store.js';
import { reversalAnswer } from '../kit/reversal.schema.js';
import { StockCountRead } from '../hay/stock-counts/stock-count.read.js';
import { StockCountStore } from '../hay/stock-counts/stock-count.store.js';
import { lastClosing, latePostings } from '../kit/posting.read.js';
import { notePosting } from '../kit/posting.store.js';
import { postedLateAnswer } from '../kit/posting.schema.js';
import { CostWriting } from '../hay/costing/cost-writing.js';
import type { KindTip } from '../hay/costing/written-costs.store.js';
import { HeldCountsRead } from '../hay/stock/held-counts.read.js';
import type { HeldCount } from '../hay/stock/held-counts.schema.js';
import { StockRead } from '../hay/stock/stock.read.js';
import { StockStore } from '../hay/stock/stock.store.js';
import { FeedingRead, type FeedingRow, type LaidLayer, type LotFed, wasLaid } from './feeding.read.js';
import type * as api from './feeding.schema.js';
import { FeedingStore, type NewLayer } from './feeding.store.js';
import { refuseImpossibleFeedings, unlikelyOfFeeding } from './impossible-feeding.js';
import { oncePerDay } from './once-per-day.js';
import { drawsOf, type Known, plannedFrom, type PlannedFeeding } from './planned-feeding.js';

type Body = InputOf<typeof api.createFeeding>['body'];
type Answer = AnswerOf<typeof api.getFeeding>;
type Listed = AnswerOf<typeof api.listFeedings>['items'][number];

/** Other records that an answer about feedings names. */
interface Named {
  lots: ReadonlyMap<string, LotFed>;
  late: Awaited<ReturnType<typeof latePostings>>;
  counts: ReadonlyMap<string, readonly string[]>;
  sameDay: (row: FeedingRow) => readonly string[];
  confirmed: (feedingId: string) => Confirmed[];
}

/** And those that its judgement needs. */
interface Surroundings extends Named {
  held: (feedingId: string) => HeldCount[];
  herds: ReadonlyMap<string, HerdRow>;
  places: ReadonlyMap<string, PlaceRow>;
}

/** A feeding just written, with the herd and the lots as they were. */
interface WrittenFeeding {
  row: FeedingRow;
  layers: NewLayer[];
  lots: ReadonlyMap<string, HayLotRow>;
  herd: HerdRow;
}

const READ_AT_ONCE = 500;

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
    private readonly states: HerdStateRead,
    private readonly labTests: LabTestRead,
    private readonly heldCounts: HeldCountsRead,
  ) {}

  /** Writes one feeding and returns it, with what is asked `beside` in the same round trips. */
  async create<Beside>(
    tenant: OperationTenant,
    { query, body }: InputOf<typeof api.createFeeding>,
    beside: (written: WrittenFeeding) => Promise<Beside>,
  ): Promise<{ answer: Answer; beside: Beside }> {
    // The audit's lock is the whole operation's, so its line is sent with COMMIT, before the costs: while this feeding
    // is judged, others are entered.
    const entered: WrittenFeeding[] = [];
    tenant.beforeCommit('audit of a feeding', (sentWithCommit) => {
      sentWithCommit(audited(tenant, entered));
      return Promise.resolve();
    });
    const written = await this.#insertOne(tenant, body, true);
    entered.push(written);
    const { row, layers, lots } = written;
    const [named, judgedBy, found] = await together(
      this.#named(tenant, [row]),
      this.#judgedBy(tenant, [row], query.units),
      beside(written),
    );
    const units = query.units ?? tenant.operation.unitPreference;
    const around = { ...named, ...judgedBy, lots, confirmed: () => confirmedNow(tenant, row.id) };
    return { answer: answerFrom(row, layers, around, undefined, units), beside: found };
  }

  /** The same without returning it. */
  async write(tenant: OperationTenant, body: Body): Promise<WrittenFeeding> {
    const written = await this.#insertOne(tenant, body);
    await audited(tenant, [written]);
    return written;
  }

  /**
   * Writes feedings of a file, in as many statements as one. Their ids, in order. Throws if any cannot be written;
   * which one, is found by writing fewer.
   */
  async writeAll(tenant: OperationTenant, bodies: readonly Body[]): Promise<string[]> {
    const written = await this.#insert(tenant, bodies);
    await audited(tenant, written);
    return written.map(({ row }) => row.id);
  }

  async #insertOne(tenant: OperationTenant, body: Body, costed = false): Promise<WrittenFeeding> {
    const [written] = await this.#insert(tenant, [body], costed);
    if (written === undefined) throw new RangeError('A feeding was not written');
    return written;
  }

  /** @param costed whether what it costs is asked with all else and written with COMMIT: for the one of a request */
  async #insert(tenant: OperationTenant, bodies: readonly Body[], costed = false): Promise<WrittenFeeding[]> {
    const lotIds = bodies.flatMap((body) => body.layers.flatMap((layer) => layer.parts.map((part) => part.hayLotId)));
    const [known, tips] = await together(
      this.#known(tenant, bodies),
      costed ? this.costs.tips(tenant, lotIds) : Promise.resolve(undefined),
    );
    const planned = bodies.map((body) => plannedFrom(tenant, body, known));
    for (const one of planned) await this.#confirmCounts(tenant, one);
    const [rows] = await together(
      this.store.insert(tenant, planned),
      this.#notePostings(tenant, planned),
      this.#draw(tenant, planned, tips),
    );
    refuseImpossibleFeedings(tenant, planned, known);
    raiseDoubts(tenant, planned, known);
    const byId = new Map(rows.map((row) => [row.id, row]));
    return planned.flatMap(({ id, layers, lots, herd }) => {
      const row = byId.get(id);
      return row === undefined ? [] : [{ row, layers, lots, herd }];
    });
  }

  /** What has to be known to write feedings, in one round trip. */
  async #known(tenant: OperationTenant, bodies: readonly Body[]): Promise<Known> {
    const parts = bodies.flatMap((body) => body.layers).flatMap((layer) => layer.parts);
    const days = bodies.flatMap(({ herdId, fedOn }) => [
      { herdId, day: fedOn },
      { herdId, day: addDays(fedOn, -1) },
    ]);
    const herdIds = [...new Set(bodies.map((body) => body.herdId))];
    const lotIds = [...new Set(parts.map((part) => part.hayLotId))];
    const [herds, timeZones, closing, headOn, lots, baleWeights, states, testsOf, laidThen, fedBefore] = await together(
      this.herds.byId(tenant, herdIds),
      this.ranches.timeZones(tenant),
      lastClosing(tenant),
      this.herds.headOnDays(tenant, days),
      this.lots.byId(tenant, lotIds),
      this.stockRead.baleWeights(tenant, lotIds),
      this.states.throughTime(tenant, herdIds),
      this.labTests.through(tenant, lotIds),
      this.feedings.laidOn(tenant, bodies),
      this.feedings.daysBefore(tenant, bodies, OFFER_BOUNDS.daysAtOnce.elsewhere),
    );
    const kindOf = new Map(lots.map((lot) => [lot.id, lot.hay_kind]));
    return {
      herds,
      timeZones,
      closing,
      headOn,
      lots,
      baleWeights,
      laidThen,
      fedBefore,
      bodyWeightOn: oncePerDay((herdId, day) => states.get(herdId)?.on(day).weight.kg ?? Infinity),
      dryMatterOn: oncePerDay((lotId, day, otherKind: HayLotRow['hay_kind'] | undefined) => {
        const hayKind = kindOf.get(lotId) ?? otherKind ?? 'meadow';
        const tests = testsOf(lotId, day).map(weighable);
        return rationLotOf({ lotId, lotName: '', hayKind, tests }).dryMatterPercent.value;
      }),
    };
  }

  async #draw(
    tenant: OperationTenant,
    planned: readonly PlannedFeeding[],
    tips: readonly KindTip[] | undefined,
  ): Promise<void> {
    try {
      await this.stock.add(tenant, planned.flatMap(drawsOf), tips);
    } catch (error) {
      const [one, another] = planned;
      throw one === undefined || another !== undefined
        ? error
        : withPointers(error, one.body, tenant.operation.unitPreference);
    }
  }

  async #notePostings(tenant: OperationTenant, planned: readonly PlannedFeeding[]): Promise<void> {
    for (const { id, posting, body } of planned)
      if (posting.late !== undefined || body.correctsId !== undefined)
        await notePosting(tenant, { kind: 'feeding', id }, posting, body.correctsId);
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listFeedings>,
  ): Promise<AnswerOf<typeof api.listFeedings>> {
    const rows = await this.feedings.page(tenant, query);
    const parts = await this.#partsOf(tenant, rows);
    const units = query.units ?? tenant.operation.unitPreference;
    return pageOf(
      rows,
      query.limit,
      (row) => listedFrom(row, parts.layers.get(row.id) ?? [], parts, parts.reversals.get(row.id), units),
      (row) => [row.happened_on, row.id],
    );
  }

  /** Many at once, in the units of the operation. */
  async allOf(tenant: OperationTenant, ids: readonly string[]): Promise<Answer[]> {
    const answers: Answer[] = [];
    for (let at = 0; at < ids.length; at += READ_AT_ONCE) {
      const rows = await this.feedings.byId(tenant, ids.slice(at, at + READ_AT_ONCE));
      const [stated, judgedBy] = await together(this.#partsOf(tenant, rows), this.#judgedBy(tenant, rows));
      const around = { ...stated, ...judgedBy };
      for (const row of rows)
        answers.push(
          answerFrom(
            row,
            stated.layers.get(row.id) ?? [],
            around,
            stated.reversals.get(row.id),
            tenant.operation.unitPreference,
          ),
        );
    }
    return answers;
  }

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getFeeding>): Promise<Answer> {
    const row = await this.feedings.one(tenant, params.feedingId);
    const [stated, judgedBy] = await together(this.#partsOf(tenant, [row]), this.#judgedBy(tenant, [row], query.units));
    const units = query.units ?? tenant.operation.unitPreference;
    const layers = stated.layers.get(row.id) ?? [];
    return answerFrom(row, layers, { ...stated, ...judgedBy }, stated.reversals.get(row.id), units);
  }

  async reverse(
    tenant: OperationTenant,
    { params, query, body }: InputOf<typeof api.reverseFeeding>,
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
    return {
      ...reversalAnswer(reversal),
      heldCounts: await this.heldCounts.byReversal(tenant, reversal.id, query.units),
    };
  }

  /**
   * Corrects the books of counted lots before hay is drawn from them; every lot of the feeding is locked, so that none
   * changes meanwhile.
   */
  async #confirmCounts(tenant: OperationTenant, { id, body, feeding, lots }: PlannedFeeding): Promise<void> {
    if (body.confirmedCounts === undefined) return;
    await this.stock.hold(
      tenant,
      body.layers.flatMap((layer) => layer.parts.map((part) => part.hayLotId)),
    );
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
        on: feeding.happened_on,
        at: feeding.happened_at ?? undefined,
        kind: 'feeding',
        id,
        pointer,
      });
    }
  }

  /** What was laid and what is named beside it, in one round trip. */
  async #partsOf(
    tenant: OperationTenant,
    rows: readonly FeedingRow[],
  ): Promise<Named & { layers: Map<string, LaidLayer[]>; reversals: Map<string, ReversalRow> }> {
    const ids = rows.map((row) => row.id);
    const [layers, named, reversals] = await together(
      this.feedings.laidIn(tenant, ids),
      this.#named(tenant, rows),
      this.reversals.of(tenant, ids),
    );
    const lots = new Map([...layers.values()].flat().map((layer) => [layer.hay_lot_id, layer.lot]));
    return { ...named, lots, layers, reversals };
  }

  async #named(tenant: OperationTenant, rows: readonly FeedingRow[]): Promise<Omit<Named, 'lots'>> {
    const ids = rows.map((row) => row.id);
    const [late, counts, sameDay, confirmed] = await together(
      latePostings(tenant, ids),
      this.counts.ofDraws(tenant, ids),
      this.feedings.onTheSameDays(tenant, rows),
      confirmedOf(tenant, ids),
    );
    return { late, counts, sameDay, confirmed };
  }

  async #judgedBy(
    tenant: OperationTenant,
    rows: readonly FeedingRow[],
    units?: UnitSystem,
  ): Promise<Pick<Surroundings, 'herds' | 'places' | 'held'>> {
    const placeIds = new Set(rows.flatMap((row) => row.place_id ?? []));
    const [herds, places, held] = await together(
      this.herds.byId(
        tenant,
        rows.map((row) => row.herd_id),
      ),
      this.places.byId(tenant, [...placeIds]),
      this.heldCounts.by(
        tenant,
        rows.map((row) => row.id),
        units,
      ),
    );
    return { herds, places, held };
  }
}

/** What is unlikely of each feeding, beside those before it in the books and among these. */
function raiseDoubts(tenant: OperationTenant, planned: readonly PlannedFeeding[], known: Known): void {
  const daysOf = new Map([...known.fedBefore].map(([herdId, days]) => [herdId, [...days]]));
  for (const { body } of planned) daysOf.set(body.herdId, [...(daysOf.get(body.herdId) ?? []), body.fedOn]);
  for (const days of daysOf.values()) days.sort();
  for (const one of planned) {
    const before = daysOf.get(one.body.herdId)?.findLast((day) => day < one.body.fedOn);
    const doubts = unlikelyOfFeeding(tenant, one, known, before);
    tenant.doubts.of({ kind: 'feeding', id: one.id }, one.feeding.happened_on, doubts);
  }
}

async function audited(tenant: OperationTenant, written: readonly WrittenFeeding[]): Promise<void> {
  await tenant.audit(
    written.map(({ row, layers }) => ({
      action: 'feeding.create',
      subjectKind: 'feeding',
      subjectId: row.id,
      after: { ...row, layers },
    })),
  );
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

function answerFrom(
  row: FeedingRow,
  layers: readonly NewLayer[],
  around: Surroundings,
  reversal: ReversalRow | undefined,
  units: UnitSystem,
): Answer {
  const cautions = cautionsOf(row, layers, around, units);
  return { ...listedFrom(row, layers, around, reversal, units), heldCounts: around.held(row.id), cautions };
}

function listedFrom(
  row: FeedingRow,
  layers: readonly NewLayer[],
  around: Named,
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
    confirmed: around.confirmed(row.id),
    note: row.note,
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
