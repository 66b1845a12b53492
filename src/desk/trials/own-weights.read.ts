import { Injectable } from '@nestjs/common';
import { dayNumber } from '../../core/time/calendar-day.js';
import { type OwnWeight, ownDailyGainSpread, ownWeighingSpread } from '../../core/trial/own-spread.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { WeighInRow } from '../../records/cattle/weigh-ins/weigh-in.read.js';
import { notReversed } from '../../records/kit/not-reversed.read.js';
import type { OwnSpreads } from './trial-plan.js';
import type { TrialPlanTyped } from './trial.schema.js';

type NamedWeighIn = Pick<WeighInRow, 'id' | 'scope' | 'herd_id' | 'happened_on' | 'fill'> & {
  reversed_by: string | null;
};

@Injectable()
export class OwnWeightsRead {
  /** Those of these weigh-ins that exist, and whether each was reversed. */
  async weighIns({ db, operationId }: OperationTenant, ids: readonly string[]): Promise<NamedWeighIn[]> {
    return db
      .selectFrom('weigh_in')
      .leftJoin('reversal', (join) =>
        join
          .onRef('reversal.operation_id', '=', 'weigh_in.operation_id')
          .onRef('reversal.subject_id', '=', 'weigh_in.id'),
      )
      .select([
        'weigh_in.id',
        'weigh_in.scope',
        'weigh_in.herd_id',
        'weigh_in.happened_on',
        'weigh_in.fill',
        'reversal.id as reversed_by',
      ])
      .where('weigh_in.operation_id', '=', operationId)
      .where('weigh_in.id', 'in', [...ids])
      .execute();
  }

  /** The spreads that a plan asks the operation's own weights by animal for, up to a day. */
  async spreads(tenant: OperationTenant, plan: TrialPlanTyped, until: string): Promise<OwnSpreads> {
    const [ofGain, ofWeighing] = [plan.spread.from === 'own-weights', plan.weighingSpread === null];
    const weights = ofGain || ofWeighing ? await this.#weights(tenant, until) : [];
    return {
      gain: ofGain ? ownDailyGainSpread(weights) : undefined,
      weighing: ofWeighing ? ownWeighingSpread(weights) : undefined,
    };
  }

  async #weights({ db, operationId }: OperationTenant, until: string): Promise<OwnWeight[]> {
    const rows = await db
      .selectFrom('animal_weight')
      .innerJoin('weigh_in', (join) =>
        join
          .onRef('weigh_in.operation_id', '=', 'animal_weight.operation_id')
          .onRef('weigh_in.id', '=', 'animal_weight.weigh_in_id'),
      )
      .select([
        'animal_weight.visual_tag',
        'animal_weight.electronic_id',
        'animal_weight.kilograms',
        'weigh_in.herd_id',
        'weigh_in.happened_on',
        'weigh_in.fill',
      ])
      .where('animal_weight.operation_id', '=', operationId)
      .where(notReversed('weigh_in'))
      .where('weigh_in.happened_on', '<=', until)
      .orderBy('weigh_in.happened_on')
      .orderBy('weigh_in.id')
      .orderBy('animal_weight.position')
      .execute();
    return rows.map((row) => ({
      // A visual tag identifies an animal within its herd only.
      animalId: row.electronic_id ?? `${row.herd_id} ${row.visual_tag ?? ''}`,
      herdId: row.herd_id,
      day: dayNumber(row.happened_on),
      weightKg: Number(row.kilograms),
      fill: row.fill,
    }));
  }
}
