import { Injectable } from '@nestjs/common';
import type { z } from 'zod';
import { Mass } from '../../../core/units/mass.js';
import { endOfDayIn } from '../../../platform/clock.js';
import { recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant, SubjectRef, Words } from '../../../platform/database/types.js';
import { Problem } from '../../../platform/http/problem.js';
import type { HayLotRow } from '../lots/hay-lot.read.js';
import { type Quantity, quantityOf } from '../stock/drawn-quantity.js';
import { StockRead } from '../stock/stock.read.js';
import { StockStore } from '../stock/stock.store.js';
import type { StockCountRow } from './stock-count.read.js';
import type { confirmedCount } from './stock-count.schema.js';

export interface Counted {
  lot: HayLotRow;
  timeZone: string;
  on: string;
  /** The instant of the count; the end of its day if absent. */
  at?: string | undefined;
  quantity: Quantity;
  treatment: Words['StockTreatment'];
  reason: string;
  draw?: SubjectRef | undefined;
}

/** Corrects the books after a count, alone or together with a draw. */
@Injectable()
export class StockCountStore {
  constructor(
    private readonly stock: StockStore,
    private readonly stockRead: StockRead,
  ) {}

  async adjust(tenant: OperationTenant, counted: Counted): Promise<StockCountRow> {
    await this.stock.hold(tenant, [counted.lot.id]);
    const at = counted.at ?? endOfDayIn(counted.timeZone, counted.on).toISOString();
    const inBooks =
      (await this.stockRead.balances(tenant, { lotIds: [counted.lot.id], untilInstant: at })).get(counted.lot.id) ??
      Mass.zero;
    const row = await tenant.db
      .insertInto('stock_count')
      .values({
        ...recordStamp(tenant),
        hay_lot_id: counted.lot.id,
        happened_on: counted.on,
        counted_at: at,
        counted_kg: counted.quantity.mass.kilograms.toFixed(),
        counted_value: counted.quantity.value,
        counted_unit: counted.quantity.unit,
        book_kg: inBooks.kilograms.toFixed(),
        treatment: counted.treatment,
        reason: counted.reason,
        draw_kind: counted.draw?.kind ?? null,
        draw_id: counted.draw?.id ?? null,
      })
      .returningAll()
      .executeTakeFirstOrThrow();
    const change = counted.quantity.mass.minus(inBooks);
    if (!change.isZero()) {
      await this.stock.add(tenant, [
        {
          lotId: counted.lot.id,
          kind: 'count-adjustment',
          change,
          typedValue: change.kilograms.toFixed(),
          typedUnit: 'kg',
          on: counted.on,
          at,
          timeZone: counted.timeZone,
          ranchId: counted.lot.ranch_id,
          placeId: counted.lot.place_id,
          source: { kind: 'stock-count', id: row.id },
          reason: counted.reason,
        },
      ]);
    }
    return row;
  }

  /** A count that comes with a draw. The caller must have locked the lot together with every other lot of the draw. */
  async confirm(
    tenant: OperationTenant,
    confirmed: z.output<typeof confirmedCount> | undefined,
    draw: {
      lot: HayLotRow;
      timeZone: string;
      on: string;
      at?: string | undefined;
      kind: Words['RecordKind'];
      id: string;
      pointer: string;
    },
  ): Promise<StockCountRow | undefined> {
    if (confirmed === undefined) return undefined;
    if (!tenant.may('records', tenant.operationId))
      throw new Problem(
        'not-permitted',
        'Confirming a count changes the hay books; that needs the permission "records".',
      );
    const quantity = await quantityOf(
      tenant,
      this.stockRead,
      draw.lot.id,
      confirmed.counted,
      `${draw.pointer}/counted`,
    );
    return this.adjust(tenant, {
      lot: draw.lot,
      timeZone: draw.timeZone,
      on: draw.on,
      at: draw.at,
      quantity,
      treatment: confirmed.treatment ?? 'into-unit-cost',
      reason: confirmed.reason,
      draw: { kind: draw.kind, id: draw.id },
    });
  }
}
