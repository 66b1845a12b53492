import { Injectable } from '@nestjs/common';
import { observationCautions } from '../../../core/cautions/hay-observations.js';
import { feedGroupOf } from '../../../core/feeds/other-feeds.data.js';
import { samplingPlan, type SamplingPlan } from '../../../core/forage/sampling-plan.js';
import { PROBE, SAMPLE_POUNDS, type SampledForm } from '../../../core/forage/sampling-plan.data.js';
import { Mass } from '../../../core/units/mass.js';
import { fromBaseUnit, shownUnit, toBaseUnit, type UnitSystem } from '../../../core/units/unit.js';
import { wordsIn } from '../../../core/units/wording.js';
import { together } from '../../../platform/database/together.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { formatMass } from '../../../platform/wire/quantity.schema.js';
import { cautionAnswer } from '../../kit/caution.schema.js';
import { HayLotRead, type HayLotRow } from '../lots/hay-lot.read.js';
import { LabTestRead } from '../lab-tests/lab-test.read.js';
import { HayObservationRead, observedLotOf } from '../observations/hay-observation.read.js';
import { StockRead } from '../stock/stock.read.js';
import type * as api from './sampling-plan.schema.js';

type Answer = AnswerOf<typeof api.getSamplingPlan>;

@Injectable()
export class SamplingPlanService {
  constructor(
    private readonly lots: HayLotRead,
    private readonly stock: StockRead,
    private readonly observations: HayObservationRead,
    private readonly labTests: LabTestRead,
  ) {}

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getSamplingPlan>): Promise<Answer> {
    const lot = await this.lots.one(tenant, params.hayLotId);
    const units = query.units ?? tenant.operation.unitPreference;
    const balance = (await this.stock.balances(tenant, { lotIds: [lot.id] })).get(lot.id) ?? Mass.zero;
    const baleWeight = (await this.stock.baleWeights(tenant, [lot.id])).get(lot.id) ?? null;
    const known = [{ operationId: tenant.operationId, instant: tenant.moment.toISOString() }];
    const [seen, { own }] = await together(
      this.observations.known(tenant.db, known, [lot.id]),
      this.labTests.known(tenant.db, known, [lot.id]),
    );
    const form = formOf(lot);
    const inBales = form === 'round' || form === 'large-square' || form === 'small-square';
    const counted = balesIn(balance, baleWeight);
    const bales = inBales ? (query.bales ?? counted) : null;
    const raised = observationCautions(observedLotOf(lot, seen.get(lot.id) ?? [], own.get(lot.id)));
    const hot = raised.some(({ code, severity }) => code === 'stack-temperature' && severity === 'danger');
    const plan = samplingPlan({
      form,
      bales,
      lotKg: balance.isPositive() ? balance.kilograms.toNumber() : null,
      seed: query.seed,
      hot,
    });
    return {
      hayLotId: lot.id,
      hayLot: lot.name,
      form,
      lotWeight: formatMass(balance, units, 'large'),
      bales,
      balesFrom: bales === null ? null : query.bales === undefined ? 'balance-over-bale-weight' : 'asked',
      seed: query.seed,
      ...planAnswer(plan, inBales && !hot, units),
      cautions: raised.map((one) => cautionAnswer(one, units)),
      units,
    };
  }
}

function formOf({ hay_kind: kind, bale_form: form }: HayLotRow): SampledForm {
  const group = feedGroupOf(kind);
  if (group === 'hay') return form;
  if (group === 'silage') return form === 'loose' ? 'silage' : form;
  return group === 'grain' ? 'bulk-feed' : 'bagged';
}

/** Whole bales left in the lot by the books. */
function balesIn(balance: Mass, baleWeight: Mass | null): number | null {
  if (baleWeight === null || !balance.isPositive() || !baleWeight.isPositive()) return null;
  return Math.max(1, Math.round(balance.kilograms.div(baleWeight.kilograms).toNumber()));
}

function planAnswer(
  { samples, sampleCount, coresPerSample, rules }: SamplingPlan,
  inBales: boolean,
  units: UnitSystem,
): Pick<
  Answer,
  'samples' | 'sampleCount' | 'coresPerSample' | 'steps' | 'probeDepth' | 'probeDiameter' | 'sampleWeight'
> {
  const unit = shownUnit('length', units, 'small');
  const places = unit === 'in' ? 3 : 1;
  const length = (inches: number) => ({
    value: Number(fromBaseUnit(toBaseUnit(inches, 'in'), unit).toFixed(places)),
    unit,
  });
  const range = ({ from, to }: { from: number; to: number }) => ({ from: length(from), to: length(to) });
  return {
    sampleCount,
    coresPerSample,
    samples: samples.map(({ fromBale, untilBale, bales }) => ({ fromBale, untilBale, bales: [...bales] })),
    probeDepth: inBales ? range(PROBE.depthInches) : null,
    probeDiameter: inBales ? range(PROBE.diameterInches) : null,
    sampleWeight: sampleCount === 0 ? null : formatMass(Mass.of(String(SAMPLE_POUNDS.value), 'lb'), units, 'small'),
    steps: rules.map(({ topic, words, source, otherSources = [] }) => ({
      topic,
      words: wordsIn(units, words),
      source: source.citation,
      sourceStatus: source.status,
      otherSources: otherSources.map((other) => ({
        words: wordsIn(units, other.words),
        source: other.source.citation,
        sourceStatus: other.source.status,
      })),
    })),
  };
}
