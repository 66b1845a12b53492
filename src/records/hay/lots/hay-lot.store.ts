import { Injectable } from '@nestjs/common';
import { isOtherFeed } from '../../../core/feeds/other-feeds.data.js';
import { type ChangedRow, thingStamp } from '../../../platform/database/rows.js';
import type { OperationTenant, Words } from '../../../platform/database/types.js';
import { Problem } from '../../../platform/http/problem.js';
import { HayLotRead, type HayLotRow } from './hay-lot.read.js';

/** A lot as it is first described. */
export interface NewLot {
  name: string;
  ranchId: string;
  placeId?: string | null | undefined;
  hayKind: Words['FeedKind'];
  cutting?: number | null | undefined;
  harvestedOn?: string | null | undefined;
  baleForm: Words['BaleForm'];
  storageMethod: Words['StorageMethod'];
  storedSince?: string | null | undefined;
  splitFromId?: string | undefined;
}

/** Lots begin with the hay that goes into them: there is no lot without a ticket, a harvest or a transfer. */
@Injectable()
export class HayLotStore {
  constructor(private readonly lots: HayLotRead) {}

  async begin(tenant: OperationTenant, lot: NewLot, origin: 'purchased' | 'raised'): Promise<HayLotRow> {
    return tenant.db
      .insertInto('hay_lot')
      .values({
        ...thingStamp(tenant),
        ranch_id: lot.ranchId,
        place_id: lot.placeId ?? null,
        name: lot.name,
        category: isOtherFeed(lot.hayKind) ? 'other' : 'hay',
        hay_kind: lot.hayKind,
        cutting: lot.cutting ?? null,
        harvested_on: lot.harvestedOn ?? null,
        origin,
        bale_form: lot.baleForm,
        storage_method: lot.storageMethod,
        stored_since: lot.storedSince ?? null,
        split_from_id: lot.splitFromId ?? null,
      })
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  /** @throws Problem changed-meanwhile where somebody else changed it first. */
  async change(
    { db, operationId }: OperationTenant,
    { id, version }: { id: string; version: number },
    changes: ChangedRow<'hay_lot'>,
  ): Promise<HayLotRow> {
    const after = await db
      .updateTable('hay_lot')
      .set((e) => ({ ...changes, version: e('version', '+', 1) }))
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .where('version', '=', version)
      .returningAll()
      .executeTakeFirst();
    if (after === undefined) throw new Problem('changed-meanwhile');
    return after;
  }

  /** A lot that exists, or a new one. */
  async oneOr(
    tenant: OperationTenant,
    lot: { id: string } | NewLot,
    origin: 'purchased' | 'raised',
  ): Promise<HayLotRow> {
    return 'id' in lot ? this.lots.one(tenant, lot.id) : this.begin(tenant, lot, origin);
  }
}
