import { Injectable } from '@nestjs/common';
import { wordsIn } from '../../../core/units/wording.js';
import type { HerdCalving, HerdPart } from '../../../core/standing/herd-state.js';
import { dayIn } from '../../../platform/clock.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { formatMass } from '../../../platform/wire/quantity.schema.js';
import { HerdRead } from '../herds/herd.read.js';
import { RanchRead } from '../../yard/ranches/ranch.read.js';
import { HerdStateRead, massOf } from './herd-state.read.js';
import type * as api from './herd-state.schema.js';

type Answer = AnswerOf<typeof api.getHerdState>;

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
}

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
