import { Injectable } from '@nestjs/common';
import { insertedRows, insertRows, type NewRow, recordStamp } from '../../platform/database/rows.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { together } from '../../platform/database/together.js';
import type { FeedingRow, LayerRow } from './feeding.read.js';

export type NewLayer = Omit<LayerRow, 'operation_id' | 'feeding_id'>;

/** A feeding with its layers, under an id that counts confirmed with it already refer to. */
export interface NewFeeding {
  id: string;
  feeding: NewRow<'feeding'> & { happened_on: string; happened_at: string | null };
  layers: NewLayer[];
}

@Injectable()
export class FeedingStore {
  async insert(tenant: OperationTenant, added: readonly NewFeeding[]): Promise<FeedingRow[]> {
    const [rows] = await together(
      insertedRows(
        tenant.db,
        'feeding',
        added.map(({ id, feeding }) => ({ ...feeding, ...recordStamp(tenant, id) })),
      ),
      insertRows(
        tenant.db,
        'feeding_layer',
        added.flatMap(({ id, layers }) =>
          layers.map((layer) => ({ ...layer, operation_id: tenant.operationId, feeding_id: id })),
        ),
      ),
    );
    return rows;
  }
}
