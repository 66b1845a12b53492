import { Injectable } from '@nestjs/common';
import { type Books, operationsOf } from '../../platform/database/books.js';
import type { RationLayerRow, RationRow } from './ration-content.js';

/** Layers of each ration's present revision, beside the ration. */
const layersInForce = (books: Books) =>
  books.db
    .selectFrom('ration_layer')
    .innerJoin('ration', (join) =>
      join
        .onRef('ration.operation_id', '=', 'ration_layer.operation_id')
        .onRef('ration.id', '=', 'ration_layer.ration_id')
        .onRef('ration.revision', '=', 'ration_layer.revision'),
    )
    .where('ration.operation_id', 'in', operationsOf(books))
    .where('ration_layer.operation_id', 'in', operationsOf(books));

/** Which rations herds were on, and what is in them. */
@Injectable()
export class RationsInUseRead {
  /** The layers of each ration's present revision, in build order. */
  async layersOf(books: Books, rations: readonly RationRow[]): Promise<Map<string, RationLayerRow[]>> {
    if (rations.length === 0) return new Map();
    const rows = await layersInForce(books)
      .selectAll('ration_layer')
      .where(
        'ration_layer.ration_id',
        'in',
        rations.map((ration) => ration.id),
      )
      .orderBy('ration_layer.position')
      .orderBy('ration_layer.part')
      .execute();
    const layers = new Map<string, RationLayerRow[]>();
    for (const row of rows) layers.set(row.ration_id, [...(layers.get(row.ration_id) ?? []), row]);
    return layers;
  }

  /** Rations that were in use on some day of [from, until], by herd, oldest first. */
  async inUseBetween(
    books: Books,
    herdIds: readonly string[],
    from: string,
    until: string,
  ): Promise<Map<string, RationRow[]>> {
    if (herdIds.length === 0) return new Map();
    const rows = await books.db
      .selectFrom('ration')
      .selectAll()
      .where('operation_id', 'in', operationsOf(books))
      .where('herd_id', 'in', [...herdIds])
      .where('in_use_from', '<=', until)
      .where((e) => e.or([e('in_use_until', 'is', null), e('in_use_until', '>', from)]))
      .where((e) => e.or([e('in_use_until', 'is', null), e('in_use_until', '>', e.ref('in_use_from'))]))
      .orderBy('in_use_from')
      .execute();
    const byHerd = new Map<string, RationRow[]>();
    for (const row of rows) byHerd.set(row.herd_id, [...(byHerd.get(row.herd_id) ?? []), row]);
    return byHerd;
  }

  /** Lots of the rations in whole bales that were in use on some day of [from, until]. */
  async lotsInBalesBetween(books: Books, herdIds: readonly string[], from: string, until: string): Promise<string[]> {
    if (herdIds.length === 0) return [];
    const rows = await layersInForce(books)
      .select('ration_layer.hay_lot_id')
      .distinct()
      .where('ration.herd_id', 'in', [...herdIds])
      .where('ration.bale_rounding', '=', 'nearest-whole')
      .where('ration.in_use_from', '<=', until)
      .where((e) => e.or([e('ration.in_use_until', 'is', null), e('ration.in_use_until', '>', from)]))
      .execute();
    return rows.map((row) => row.hay_lot_id);
  }

  /** The one ration in use on a day, by herd. */
  async inUseOn(books: Books, herdIds: readonly string[], day: string): Promise<Map<string, RationRow>> {
    const found = await this.inUseBetween(books, herdIds, day, day);
    return new Map([...found].flatMap(([herdId, rows]) => rows.slice(0, 1).map((row) => [herdId, row] as const)));
  }
}
