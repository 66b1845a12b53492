import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../platform/database/rows.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { together } from '../../platform/database/together.js';
import type { FeedingRow, LayerRow } from './feeding.read.js';

export type NewLayer = Omit<LayerRow, 'operation_id' | 'feeding_id'>;

@Injectable()
export class FeedingStore {
  /** A feeding with its layers, under an id that the counts confirmed with it already refer to. */
  async insert(
    tenant: OperationTenant,
    id: string,
    feeding: NewRow<'feeding'>,
    layers: readonly NewLayer[],
  ): Promise<FeedingRow> {
    const [row] = await together(
      tenant.db
        .insertInto('feeding')
        .values({ ...feeding, ...recordStamp(tenant, id) })
        .returningAll()
        .executeTakeFirstOrThrow(),
      tenant.db
        .insertInto('feeding_layer')
        .values(layers.map((layer) => ({ ...layer, operation_id: tenant.operationId, feeding_id: id })))
        .execute(),
    );
    return row;
  }
}
