import { Injectable } from '@nestjs/common';
import { isRefused, type LossFigure, storageLoss } from '../../core/stock/losses.js';
import { type HayStorage, PUBLISHED_LOSS_BY_STORAGE, storageShrink, type StorageShrink } from '../../core/stock/storage-shrink.js';
import type { StorageLossCode } from '../../core/stock/storage-loss.data.js';
import type { Refused } from '../../core/stock/problem.js';
import { Mass } from '../../core/units/mass.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { HayLotRow } from '../hay-lots/hay-lot.read.js';
import { StockRead } from '../stock/stock.read.js';

export interface FigureForLot {
  figure: LossFigure;
  code: StorageLossCode | null;
}

export interface Estimate extends FigureForLot {
  balance: Mass;
  storedOn: string;
  from: string;
  result: StorageShrink | Refused;
}

/** What hay loses in storage: by the ranch's own measurement where there is one, by what is published where there is none. */
@Injectable()
export class StorageLossRead {
  constructor(private readonly stock: StockRead) {}

  /** The figure for a lot: the named published one; else the ranch's latest own; else the operation's; else the published one of its storage method. */
  async figure({ db, operationId }: OperationTenant, lot: Pick<HayLotRow, 'ranch_id' | 'storage_method'>, named?: StorageLossCode): Promise<FigureForLot> {
    if (named === undefined) {
      const own = await db.selectFrom('storage_measurement').selectAll().where('operation_id', '=', operationId).where('storage_method', '=', lot.storage_method)
        .where((e) => e.or([e('ranch_id', '=', lot.ranch_id), e('ranch_id', 'is', null)]))
        .orderBy('ranch_id', (order) => order.asc().nullsLast()).orderBy('happened_on', 'desc').orderBy('id', 'desc').limit(1).executeTakeFirst();
      if (own !== undefined) return { figure: known(storageLoss('isu-inside', { share: own.season_share, how: `${own.how} (${own.happened_on})` })), code: null };
    }
    const code = named ?? PUBLISHED_LOSS_BY_STORAGE[lot.storage_method as HayStorage];
    return { figure: known(storageLoss(code)), code };
  }

  /** What a lot lost from the day it was last put right (stored, counted, or loss booked) to the end of a day. */
  async estimate(tenant: OperationTenant, lot: HayLotRow, on: string, named?: StorageLossCode): Promise<Estimate> {
    const { figure, code } = await this.figure(tenant, lot, named);
    const storedOn = lot.stored_since ?? await this.#firstDay(tenant, lot.id) ?? on;
    const from = await this.#putRightOn(tenant, lot.id, on);
    const balance = (await this.stock.balances(tenant, { lotIds: [lot.id], untilDay: on })).get(lot.id) ?? Mass.zero;
    const bookedUntil = from === undefined || from < storedOn ? storedOn : from;
    return { figure, code, balance, storedOn, from: bookedUntil, result: storageShrink({ balance, seasonLoss: figure.typical, storedOn, bookedUntil, on }) };
  }

  async #firstDay({ db, operationId }: OperationTenant, lotId: string): Promise<string | undefined> {
    return (await db.selectFrom('stock_movement').select('effective_on').where('operation_id', '=', operationId).where('hay_lot_id', '=', lotId).orderBy('effective_at').limit(1).executeTakeFirst())?.effective_on;
  }

  /** The last day, not after `on`, on which a standing loss or count of the lot put the books right. */
  async #putRightOn({ db, operationId }: OperationTenant, lotId: string, on: string): Promise<string | undefined> {
    const shrinks = db.selectFrom('storage_shrink').select(['id', 'happened_on']).where('operation_id', '=', operationId).where('hay_lot_id', '=', lotId).where('treatment', '=', 'into-unit-cost').where('happened_on', '<=', on);
    const counts = db.selectFrom('stock_count').select(['id', 'happened_on']).where('operation_id', '=', operationId).where('hay_lot_id', '=', lotId).where('happened_on', '<=', on);
    const rows = await db.selectFrom(shrinks.unionAll(counts).as('put_right')).select('put_right.happened_on')
      .where((e) => e.not(e.exists(e.selectFrom('reversal').select('reversal.id').where('reversal.operation_id', '=', operationId).whereRef('reversal.subject_id', '=', 'put_right.id'))))
      .orderBy('put_right.happened_on', 'desc').limit(1).execute();
    return rows[0]?.happened_on;
  }
}

function known(figure: LossFigure | Refused): LossFigure {
  if (isRefused(figure)) throw new RangeError(figure.problems.map((one) => one.message).join(' '));
  return figure;
}
