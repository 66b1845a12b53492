import { Injectable } from '@nestjs/common';
import { wordsIn } from '../../../core/units/wording.js';
import type { HerdCalving, HerdPart } from '../../../core/standing/herd-state.js';
import { addDays, daysBetween } from '../../../core/time/calendar-day.js';
import { dayIn } from '../../../platform/clock.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { Problem } from '../../../platform/http/problem.js';
import { formatMass } from '../../../platform/wire/quantity.schema.js';
import { HerdRead } from '../herds/herd.read.js';
import { RanchRead } from '../../yard/ranches/ranch.read.js';
import { HerdStateRead, massOf } from './herd-state.read.js';
import type * as api from './herd-state.schema.js';

type Answer = AnswerOf<typeof api.getHerdState>;
type Trend = AnswerOf<typeof api.getHerdWeightTrend>;

@Injectable()
export class HerdStateService {
  constructor(
    private readonly herds: HerdRead,
    private readonly ranches: RanchRead,
    private readonly states: HerdStateRead,
  ) {}

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getHerdState>): Promise<Answer> {
    const herd = await this.herds.one(tenant, params.herdId);
    const on = query.on ?? dayIn(await this.ranches.timeZone(tenant, herd.ranch_id), tenant.moment);
    const units = query.units ?? tenant.operation.unitPreference;
    const found = (await this.states.of(tenant, [herd.id], on, query.knownAt)).get(herd.id);
    if (found === undefined) throw new RangeError('A herd that is there has a state');
    const { state, weight } = found;
    const mass = (kilograms: number): Answer['weight']['mean'] => formatMass(massOf(kilograms), units, 'small');
    return {
      herdId: herd.id,
      herd: herd.name,
      on,
      units,
      parts: state.parts.map(partAnswer),
      pregnantPercent: percent(state.share.pregnant),
      inMilkPercent: percent(state.share.inMilk),
      calving: state.calving === null ? null : calvingAnswer(state.calving),
      condition:
        state.condition === null
          ? null
          : {
              score: state.condition.score,
              scoredOn: state.condition.on,
              daysAgo: state.condition.daysAgo < 0 ? null : state.condition.daysAgo,
              from: state.condition.from,
            },
      targetDailyGain: state.targetGainKgPerDay === null ? null : mass(state.targetGainKgPerDay),
      placeId: state.placeId,
      weight: {
        mean: mass(state.weight.kg),
        plusMinus: mass(state.weight.plusMinusKg),
        conceptus: mass(state.weight.conceptusKg),
        takenOn: state.weight.restsOn.on,
        taken: mass(state.weight.restsOn.kg),
        asWeighed: mass(state.weight.restsOn.kg + state.weight.restsOn.conceptusKg),
        from: wordsIn(units, weight.from),
      },
      restsOn: state.restsOn.map((note) => ({ ...note })),
    };
  }

  async weightTrend(
    tenant: OperationTenant,
    { params, query: { from, until, units: asked } }: InputOf<typeof api.getHerdWeightTrend>,
  ): Promise<Trend> {
    const days = daysBetween(from, until);
    if (days < 0 || days >= TREND_DAYS_MAX)
      throw new Problem('invalid-input', undefined, [
        {
          parameter: 'until',
          code: 'span-out-of-range',
          given: until,
          allowed: `${from} to ${addDays(from, TREND_DAYS_MAX - 1)}`,
          message: 'The span ends before it begins, or is longer than two years.',
        },
      ]);
    const herd = await this.herds.one(tenant, params.herdId);
    const through = (await this.states.throughTime(tenant, [herd.id])).get(herd.id);
    if (through === undefined) throw new RangeError('A herd that is there has a state');
    const units = asked ?? tenant.operation.unitPreference;
    const mass = (kilograms: number): Answer['weight']['mean'] => formatMass(massOf(kilograms), units, 'small');
    const all = Array.from({ length: days + 1 }, (_, nth) => ({ nth, on: addDays(from, nth) })).map((one) => ({
      ...one,
      weight: through.on(one.on).weight,
    }));
    const told = all.filter(
      ({ nth, on, weight }) => nth % TREND_EVERY_DAYS === 0 || nth === days || weight.restsOn.on === on,
    );
    const target = through.on(until).targetGainKgPerDay;
    return {
      herdId: herd.id,
      herd: herd.name,
      from,
      until,
      units,
      targetDailyGain: target === null ? null : mass(target),
      weights: told.map(({ on, weight }) => ({
        on,
        mean: mass(weight.kg),
        plusMinus: mass(weight.plusMinusKg),
        takenOn: weight.restsOn.on,
        taken: weight.restsOn.what,
      })),
    };
  }
}

const TREND_DAYS_MAX = 731;
const TREND_EVERY_DAYS = 7;

const percent = (share: number): number => Number((100 * share).toFixed(2));

function partAnswer({ share, animal }: HerdPart): Answer['parts'][number] {
  return {
    sharePercent: percent(share),
    cattleClass: animal.class,
    sex: animal.sex,
    daysPregnant: animal.daysPregnant ?? null,
    daysInMilk: animal.daysInMilk ?? null,
  };
}

function calvingAnswer(calving: HerdCalving): NonNullable<Answer['calving']> {
  return {
    how: calving.how,
    breeding: calving.breeding,
    firstOn: calving.first,
    medianOn: calving.median,
    lastOn: calving.last,
    calvedPercent: percent(calving.shareCalved),
    openPercent: percent(calving.shareOpen),
  };
}
