import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { AnimalWeightRow, WeighInRow } from './weigh-in.read.js';

export type NewAnimalWeight = Omit<AnimalWeightRow, 'operation_id' | 'weigh_in_id'>;

@Injectable()
export class WeighInStore {
  /** A weigh-in with its animals; a weigh-in of a group has none. */
  async insert(
    tenant: OperationTenant,
    weighIn: NewRow<'weigh_in'>,
    animals: readonly NewAnimalWeight[],
  ): Promise<WeighInRow> {
    const row = await tenant.db
      .insertInto('weigh_in')
      .values({ ...weighIn, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
    if (animals.length > 0)
      await tenant.db
        .insertInto('animal_weight')
        .values(animals.map((animal) => ({ ...animal, operation_id: row.operation_id, weigh_in_id: row.id })))
        .execute();
    return row;
  }
}
