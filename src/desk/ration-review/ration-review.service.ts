import { Injectable } from '@nestjs/common';
import { addDays, daysBetween } from '../../core/time/calendar-day.js';
import { rationLotOf } from '../../core/ration/ration-lot.js';
import type { LayerRole } from '../../core/laying/layer.js';
import { dietContextOf } from '../../core/judge/diet-context.js';
import { evaluateRation } from '../../core/judge/evaluate.js';
import type { RationLayer, RationLot } from '../../core/ration/ration.js';
import { rationSupply } from '../../core/judge/ration-supply.js';
import { requirementsFor } from '../../core/requirements/requirements-for.js';
import { decimalFromFloat } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import type { PricePerMass } from '../../core/units/money.js';
import { dayIn, endOfDayIn } from '../../platform/clock.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { type UnitSystem, formatMass } from '../../platform/wire/quantity.schema.js';
import { CostingService } from '../../records/hay/costing/costing.service.js';
import { FeedingRead, type FeedingRow, type LayerRow } from '../../records/feedings/feeding.read.js';
import { HayLotRead, type HayLotRow } from '../../records/hay/lots/hay-lot.read.js';
import { HerdRead, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import { type KnownLabTest, LabTestRead, testedAs } from '../../records/hay/lab-tests/lab-test.read.js';
import { nameCursor } from '../../records/kit/name-order.read.js';
import { type HerdWeighIn, WeighInRead } from '../../records/cattle/weigh-ins/weigh-in.read.js';
import { animalOfHerd } from '../../records/cattle/herds/animal-of-herd.js';
import { bodyWeightOf } from '../facts/body-weight.js';
import { judgementAnswer } from '../judge/judgement.js';
import type * as api from './ration-review.schema.js';

type Review = AnswerOf<typeof api.getRationReview>;
type Edition = Review['edition'];

/**
 * The present ration is the mean of the feedings of this many days, ending with the last day on which the herd was fed.
 */
const RATION_DAYS = 7;
/** All that the reviews of a set of herds need, gathered once. */
interface Gathered {
  on: string;
  edition: Edition;
  units: UnitSystem;
  head: ReadonlyMap<string, number>;
  weighIns: readonly HerdWeighIn[];
  feedings: readonly FeedingRow[];
  layers: ReadonlyMap<string, LayerRow[]>;
  lots: ReadonlyMap<string, HayLotRow>;
  tests: ReadonlyMap<string, KnownLabTest[]>;
  prices: ReadonlyMap<string, PricePerMass>;
  showCost: boolean;
}

@Injectable()
export class RationReviewService {
  constructor(
    private readonly herds: HerdRead,
    private readonly feedings: FeedingRead,
    private readonly lots: HayLotRead,
    private readonly labTests: LabTestRead,
    private readonly weighIns: WeighInRead,
    private readonly costing: CostingService,
  ) {}

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listRationReviews>,
  ): Promise<AnswerOf<typeof api.listRationReviews>> {
    const on = query.on ?? dayIn(tenant.operation.timeZone, tenant.moment);
    const all = await this.herds.all(tenant);
    const head = await this.herds.headOn(
      tenant,
      all.map((herd) => herd.id),
      on,
    );
    const after = nameCursor(query.cursor);
    const herds = all
      .filter((herd) => (head.get(herd.id) ?? 0) > 0)
      .sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : a.id < b.id ? -1 : 1))
      .filter(
        (herd) => after === undefined || herd.name > after.name || (herd.name === after.name && herd.id > after.id),
      )
      .slice(0, query.limit + 1);
    const gathered = await this.#gather(tenant, herds.slice(0, query.limit), on, query.edition, query.units);
    return pageOf(
      herds,
      query.limit,
      (herd) => review(herd, gathered),
      (herd) => [herd.name, herd.id],
    );
  }

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getRationReview>): Promise<Review> {
    const herd = await this.herds.one(tenant, params.herdId);
    const on = query.on ?? dayIn(tenant.operation.timeZone, tenant.moment);
    return review(herd, await this.#gather(tenant, [herd], on, query.edition, query.units));
  }

  async #gather(
    tenant: OperationTenant,
    herds: readonly HerdRow[],
    on: string,
    edition: Edition,
    units: UnitSystem | undefined,
  ): Promise<Gathered> {
    const ids = herds.map((herd) => herd.id);
    const lastDays = await this.feedings.lastDays(tenant, on);
    const last = ids.flatMap((id) => lastDays.get(id) ?? []);
    const earliest = last.length === 0 ? undefined : addDays([...last].sort()[0] ?? on, 1 - RATION_DAYS);
    const fed =
      earliest === undefined
        ? []
        : await this.feedings.between(tenant, { herdIds: ids, from: earliest, until: addDays(on, 1) });
    const feedings = fed.filter(
      (feeding) => feeding.happened_on > addDays(lastDays.get(feeding.herd_id) ?? on, -RATION_DAYS),
    );
    const layers = await this.feedings.layersOf(
      tenant,
      feedings.map((feeding) => feeding.id),
    );
    const lotIds = [...new Set([...layers.values()].flat().map((layer) => layer.hay_lot_id))];
    const showCost = tenant.may('prices', tenant.operationId);
    return {
      on,
      edition,
      units: units ?? tenant.operation.unitPreference,
      head: await this.herds.headOn(tenant, ids, on),
      weighIns: await this.weighIns.of(tenant, ids),
      feedings,
      layers,
      lots: await this.lots.named(
        tenant,
        lotIds.map((id) => ({ id, pointer: '#' })),
      ),
      tests: await this.labTests.knownAt(tenant, lotIds, endOfDayIn(tenant.operation.timeZone, on).toISOString()),
      prices: showCost && lotIds.length > 0 ? await this.#prices(tenant, on) : new Map(),
      showCost,
    };
  }

  /** What hay of each lot cost when it was last fed. */
  async #prices(tenant: OperationTenant, on: string): Promise<Map<string, PricePerMass>> {
    const { replay } = await this.costing.upTo(tenant, on);
    const prices = new Map<string, PricePerMass>();
    for (const entry of replay.entries) {
      const lotId = entry.rows[0]?.lotId;
      if (entry.kind === 'feed' && lotId !== undefined && entry.unitCost !== undefined)
        prices.set(lotId, entry.unitCost);
    }
    return prices;
  }
}

function review(herd: HerdRow, from: Gathered): Review {
  const head = from.head.get(herd.id) ?? 0;
  const { bodyWeight, from: bodyWeightFrom } = bodyWeightOf(herd, from.weighIns, from.on);
  const feedings = from.feedings.filter((feeding) => feeding.herd_id === herd.id);
  const layers = meanLayers(feedings, from);
  const base = {
    herdId: herd.id,
    herd: herd.name,
    onDay: from.on,
    edition: from.edition,
    units: from.units,
    head,
    bodyWeight: formatMass(bodyWeight, from.units, 'small'),
    bodyWeightFrom,
    feedings:
      feedings.length === 0
        ? null
        : {
            from: feedings[0]?.happened_on ?? from.on,
            until: feedings.at(-1)?.happened_on ?? from.on,
            count: feedings.length,
          },
    layers: layers.flatMap((layer) =>
      layer.lots.map(({ lot, asFedKgPerHeadPerDay }) => ({
        role: layer.role,
        hayLotId: lot.lotId,
        hayLot: lot.lotName,
        perHead: formatMass(Mass.kilograms(decimalFromFloat(asFedKgPerHeadPerDay, 6)), from.units, 'small'),
        testedOn: from.tests.get(lot.lotId)?.[0]?.sampledOn ?? null,
        testTakenFrom: testedAs(lot.lotId, from.tests.get(lot.lotId) ?? []),
      })),
    ),
  };
  const refuse = (refusedBecause: Review['refusedBecause']): Review => ({
    ...base,
    lines: [],
    expectedDailyGain: null,
    gainRuledBy: null,
    daysToOneConditionScore: null,
    conditionDirection: null,
    costPerHeadDay: null,
    cautions: [],
    bookValues: [],
    refusedBecause,
  });
  if (layers.length === 0)
    return refuse([{ code: 'nothing-fed', message: `No feeding of this herd was recorded up to ${from.on}.` }]);
  const animal = animalOfHerd(herd, bodyWeight, from.on);
  const requirement = requirementsFor(animal, { edition: from.edition, diet: dietContextOf(rationSupply({ layers })) });
  if (!requirement.ok) return refuse(requirement.problems.map(({ code, message }) => ({ code, message })));
  const evaluation = evaluateRation({
    animal,
    requirement: requirement.value,
    layers,
    wastedShare: wastedShare(feedings, from),
    showCost: from.showCost,
    testing: testing(layers, from),
  });
  if (!evaluation.ok) return refuse(evaluation.problems.map(({ code, message }) => ({ code, message })));
  return { ...base, ...judgementAnswer(evaluation.value, from.units), refusedBecause: [] };
}

/** Mean kilograms per head per day of each lot in each role, in the build order of the last feeding. */
function meanLayers(feedings: readonly FeedingRow[], from: Gathered): RationLayer[] {
  const days = new Set(feedings.map((feeding) => feeding.happened_on)).size;
  if (days === 0) return [];
  const perHead = new Map<string, { role: LayerRole; lotId: string; kilograms: number; order: number }>();
  feedings.forEach((feeding, index) => {
    for (const layer of from.layers.get(feeding.id) ?? []) {
      const key = `${layer.role} ${layer.hay_lot_id}`;
      const known = perHead.get(key);
      perHead.set(key, {
        role: layer.role,
        lotId: layer.hay_lot_id,
        kilograms: (known?.kilograms ?? 0) + Number(layer.kilograms) / feeding.head_fed / days,
        order: index * 100 + layer.position,
      });
    }
  });
  return [...perHead.values()]
    .sort((a, b) => a.order - b.order)
    .map(({ role, lotId, kilograms }) => ({
      role,
      lots: [{ lot: lotFor(lotId, from), asFedKgPerHeadPerDay: kilograms }],
    }));
}

function lotFor(lotId: string, from: Gathered): RationLot {
  const row = from.lots.get(lotId);
  const tests = (from.tests.get(lotId) ?? []).map((test) => ({
    id: test.id,
    method: test.method,
    analysis: test.analysis,
    ...(test.cores === null ? {} : { coresSampled: test.cores }),
  }));
  return rationLotOf({
    lotId,
    lotName: row?.name ?? '',
    hayKind: row?.hay_kind ?? 'meadow',
    tests,
    price: from.prices.get(lotId),
  });
}

function wastedShare(feedings: readonly FeedingRow[], from: Gathered): number {
  const measured = feedings.filter((feeding) => feeding.refused_kg !== null || feeding.wasted_kg !== null);
  const fed = measured.reduce(
    (sum, feeding) =>
      sum + (from.layers.get(feeding.id) ?? []).reduce((inner, layer) => inner + Number(layer.kilograms), 0),
    0,
  );
  const lost = measured.reduce(
    (sum, feeding) => sum + Number(feeding.refused_kg ?? 0) + Number(feeding.wasted_kg ?? 0),
    0,
  );
  return fed === 0 ? 0 : Math.min(lost / fed, 0.95);
}

function testing(
  layers: readonly RationLayer[],
  from: Gathered,
): { lotName: string; daysSinceSample: number | null; daysUntilFed: number; balesCored: null; lotKg: null }[] {
  return [...new Map(layers.flatMap((layer) => layer.lots).map(({ lot }) => [lot.lotId, lot])).values()].map((lot) => {
    const sampled = from.tests.get(lot.lotId)?.[0]?.sampledOn;
    return {
      lotName: lot.lotName,
      daysSinceSample: sampled === undefined ? null : daysBetween(sampled, from.on),
      daysUntilFed: 0,
      balesCored: null,
      lotKg: null,
    };
  });
}
