import { Injectable } from '@nestjs/common';
import { type LossFigure, storageLoss } from '../../../core/stock/losses.js';
import { isRefusal, type Refusal } from '../../../core/outcome/outcome.js';
import { storageShrink, type StorageShrink } from '../../../core/stock/storage-shrink.js';
import {
  type HayStorage,
  STORAGE_LOSS_BY_METHOD,
  type StorageLossCode,
} from '../../../core/stock/storage-loss.data.js';
import { type Decimal, decimal } from '../../../core/units/decimal.js';
import { Mass } from '../../../core/units/mass.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { HayLotRow } from '../lots/hay-lot.read.js';
import { StockRead } from '../stock/stock.read.js';
import { notReversed } from '../../kit/not-reversed.read.js';

/** A season's storage loss, as a share, or the storage method whose published figure applies. */
export type SeasonLoss =
  | { basis: 'own-measurement'; share: Decimal; how: string }
  | { basis: 'published'; method: HayStorage };

export interface FigureForLot {
  figure: LossFigure;
  code: StorageLossCode | null;
}

export interface Estimate extends FigureForLot {
  balance: Mass;
  storedOn: string;
  from: string;
  result: StorageShrink | Refusal;
}

/** Hay lost in storage: by the ranch's own measurement if there is one, else by a published figure. */
@Injectable()
export class StorageLossRead {
  constructor(private readonly stock: StockRead) {}

  /**
   * A lot's storage loss over a season, in one place for estimates and budgets: by the ranch's own measurement for its
   * storage method, else the operation's, else as published. Of several own ones the last up to a day counts, or the
   * first after it if there is none before.
   */
  async seasonLossOn(
    { db, operationId }: OperationTenant,
    on: string,
  ): Promise<(lot: Pick<HayLotRow, 'ranch_id' | 'storage_method'>) => SeasonLoss> {
    const own = await db
      .selectFrom('storage_measurement')
      .selectAll('storage_measurement')
      .where('storage_measurement.operation_id', '=', operationId)
      .where(notReversed('storage_measurement'))
      .orderBy('storage_measurement.happened_on', 'desc')
      .orderBy('storage_measurement.id', 'desc')
      .execute();
    return (lot) => {
      const ofMethod = own.filter((one) => one.storage_method === lot.storage_method);
      const chosen = [lot.ranch_id, null].flatMap((ranchId) => {
        const ofRanch = ofMethod.filter((one) => one.ranch_id === ranchId);
        return ofRanch.find((one) => one.happened_on <= on) ?? ofRanch.at(-1) ?? [];
      })[0];
      if (chosen !== undefined)
        return {
          basis: 'own-measurement',
          share: decimal(chosen.season_share),
          how: `${chosen.how} (${chosen.happened_on})`,
        };
      return { basis: 'published', method: lot.storage_method };
    };
  }

  /** The figure for a lot: the named published one, or as above. */
  async figure(
    tenant: OperationTenant,
    lot: Pick<HayLotRow, 'ranch_id' | 'storage_method'>,
    on: string,
    named?: StorageLossCode,
  ): Promise<FigureForLot> {
    const season = named === undefined ? (await this.seasonLossOn(tenant, on))(lot) : undefined;
    if (season?.basis === 'own-measurement')
      return {
        figure: {
          low: season.share,
          typical: season.share,
          high: season.share,
          basis: 'own measurement',
          source: season.how,
        },
        code: null,
      };
    const code = named ?? STORAGE_LOSS_BY_METHOD[lot.storage_method].follow;
    return { figure: known(storageLoss(code)), code };
  }

  /** What a lot lost since its books were last corrected (stored, counted, or loss booked), to the end of a day. */
  async estimate(tenant: OperationTenant, lot: HayLotRow, on: string, named?: StorageLossCode): Promise<Estimate> {
    const { figure, code } = await this.figure(tenant, lot, on, named);
    const storedOn = lot.stored_since ?? (await this.#firstDay(tenant, lot.id)) ?? on;
    const from = await this.#putRightOn(tenant, lot.id, on);
    const balance = (await this.stock.balances(tenant, { lotIds: [lot.id], untilDay: on })).get(lot.id) ?? Mass.zero;
    const bookedUntil = from === undefined || from < storedOn ? storedOn : from;
    return {
      figure,
      code,
      balance,
      storedOn,
      from: bookedUntil,
      result: storageShrink({ balance, seasonLoss: figure.typical, storedOn, bookedUntil, on }),
    };
  }

  async #firstDay({ db, operationId }: OperationTenant, lotId: string): Promise<string | undefined> {
    return (
      await db
        .selectFrom('stock_movement')
        .select('effective_on')
        .where('operation_id', '=', operationId)
        .where('hay_lot_id', '=', lotId)
        .orderBy('effective_at')
        .limit(1)
        .executeTakeFirst()
    )?.effective_on;
  }

  /** The last day, not after `on`, on which a booked loss or count corrected the lot's books. */
  async #putRightOn({ db, operationId }: OperationTenant, lotId: string, on: string): Promise<string | undefined> {
    const shrinks = db
      .selectFrom('storage_shrink')
      .select(['id', 'happened_on'])
      .where('operation_id', '=', operationId)
      .where('hay_lot_id', '=', lotId)
      .where('treatment', '=', 'into-unit-cost')
      .where('happened_on', '<=', on);
    const counts = db
      .selectFrom('stock_count')
      .select(['id', 'happened_on'])
      .where('operation_id', '=', operationId)
      .where('hay_lot_id', '=', lotId)
      .where('happened_on', '<=', on);
    const rows = await db
      .selectFrom(shrinks.unionAll(counts).as('put_right'))
      .select('put_right.happened_on')
      .where(notReversed('put_right', { operationId }))
      .orderBy('put_right.happened_on', 'desc')
      .limit(1)
      .execute();
    return rows[0]?.happened_on;
  }
}

function known(figure: LossFigure | Refusal): LossFigure {
  if (isRefusal(figure)) throw new RangeError(figure.problems.map((one) => one.message).join(' '));
  return figure;
}
