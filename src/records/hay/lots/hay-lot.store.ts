import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import { isOtherFeed } from '../../../core/feeds/other-feeds.data.js';
import { type ChangedRow, thingStamp } from '../../../platform/database/rows.js';
import type { OperationTenant, Words } from '../../../platform/database/types.js';
import { Problem } from '../../../platform/http/problem.js';
import { nameKey } from '../../../core/units/name-key.js';
import { refuseNotYet } from '../../kit/happened.read.js';
import { RanchRead } from '../../yard/ranches/ranch.read.js';
import { HayLotRead, type HayLotRow, holdingWords } from './hay-lot.read.js';

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
  constructor(
    private readonly lots: HayLotRead,
    private readonly ranches: RanchRead,
  ) {}

  /** Whoever begins a lot asks `refuseNameInUse` too, as soon as it is known what the others have left. */
  async begin(tenant: OperationTenant, lot: NewLot, origin: 'purchased' | 'raised'): Promise<HayLotRow> {
    // A ranch of somebody else is told with its field; whoever begins a lot asks for its zone anyway.
    await this.ranches.timeZone(tenant, lot.ranchId);
    await this.#holdName(tenant, lot.ranchId, lot.name);
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
    tenant: OperationTenant,
    { id, version }: { id: string; version: number },
    changes: ChangedRow<'hay_lot'>,
  ): Promise<HayLotRow> {
    const { db, operationId } = tenant;
    const after = await db
      .updateTable('hay_lot')
      .set((e) => ({ ...changes, version: e('version', '+', 1) }))
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .where('version', '=', version)
      .returningAll()
      .executeTakeFirst();
    if (after === undefined) throw new Problem('changed-meanwhile');
    if (changes.name !== undefined) {
      await this.#holdName(tenant, after.ranch_id, after.name);
      await this.refuseNameInUse(tenant, after, '#/name');
    }
    return after;
  }

  /**
   * Two lots of one name on one ranch, both with hay, are mistaken for each other where hay is fed by name. The name of
   * a lot that is empty may be used again.
   */
  async refuseNameInUse(
    tenant: OperationTenant,
    { id, ranch_id: ranchId, name }: HayLotRow,
    pointer: string,
  ): Promise<void> {
    const others = await this.lots.withHayNamed(tenant, { ranchId, name, besides: id });
    if (others.length === 0) return;
    const units = tenant.operation.unitPreference;
    const message =
      `Another lot of this ranch is called "${others[0]?.name ?? name}" and still has hay: ` +
      `${others.map((one) => holdingWords(one, units)).join('; ')}. If this is the same hay, name that lot by its ` +
      'id; if it is other hay, give it a name of its own. Once the other lot is empty, its name is free again.';
    throw new Problem('lot-name-in-use', message, [
      { pointer, code: 'lot-name-in-use', given: name, allowed: 'a name that no lot with hay has here', message },
    ]);
  }

  /** Two requests that name a lot of a ranch alike: the second waits here and then finds the first. */
  async #holdName({ db }: OperationTenant, ranchId: string, name: string): Promise<void> {
    await sql`SELECT pg_advisory_xact_lock(hashtextextended(${`${ranchId} ${nameKey(name)}`}, 742))`.execute(db);
  }

  /** A lot that exists, or a new one. */
  async oneOr(
    tenant: OperationTenant,
    lot: { id: string } | NewLot,
    origin: 'purchased' | 'raised',
  ): Promise<HayLotRow> {
    if ('id' in lot) return this.lots.one(tenant, lot.id);
    const { harvestedOn, storedSince } = lot;
    for (const [field, day] of Object.entries({ harvestedOn, storedSince }))
      if (typeof day === 'string') await refuseNotYet(tenant, { day, pointer: `#/lot/${field}` });
    const begun = await this.begin(tenant, lot, origin);
    await this.refuseNameInUse(tenant, begun, '#/lot/name');
    return begun;
  }
}
