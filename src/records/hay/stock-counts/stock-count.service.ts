import { Injectable } from '@nestjs/common';
import { Mass } from '../../../core/units/mass.js';
import { dayIn } from '../../../platform/clock.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { ruleBroken } from '../../../platform/http/problem.js';
import { type UnitSystem, formatMass, formatTypedMass } from '../../../platform/wire/quantity.schema.js';
import { HayLotRead } from '../lots/hay-lot.read.js';
import { RanchRead } from '../../yard/ranches/ranch.read.js';
import type { ReversalRow } from '../../kit/reversal.read.js';
import { confirmedOf, doubtsConfirmed } from '../../kit/confirmed.read.js';
import { corrected } from '../../kit/correction.store.js';
import { Reversals } from '../../kit/reversal.store.js';
import { reversalAnswer } from '../../kit/reversal.schema.js';
import { quantityOf } from '../stock/drawn-quantity.js';
import { latePostings, postingDay } from '../../kit/posting.read.js';
import { notePosting } from '../../kit/posting.store.js';
import { postedLate, postedLateAnswer } from '../../kit/posting.schema.js';
import { checkMass } from '../stock/hay-mass.js';
import { StockRead } from '../stock/stock.read.js';
import { StockStore } from '../stock/stock.store.js';
import { StockCountRead, type StockCountRow } from './stock-count.read.js';
import type * as api from './stock-count.schema.js';
import { StockCountStore } from './stock-count.store.js';

type Answer = AnswerOf<typeof api.getStockCount>;

/** Somebody walked the stack and counted. */
@Injectable()
export class StockCountService {
  constructor(
    private readonly lots: HayLotRead,
    private readonly ranches: RanchRead,
    private readonly stock: StockStore,
    private readonly stockRead: StockRead,
    private readonly counts: StockCountRead,
    private readonly store: StockCountStore,
    private readonly reversals: Reversals,
  ) {}

  async create(tenant: OperationTenant, { query, body }: InputOf<typeof api.createStockCount>): Promise<Answer> {
    return this.record(tenant, body, query.units);
  }

  /** Writes one count inside an open transaction. */
  async record(
    tenant: OperationTenant,
    body: InputOf<typeof api.createStockCount>['body'],
    units: UnitSystem | undefined,
  ): Promise<Answer> {
    const lot = await this.lots.one(tenant, body.hayLotId);
    const timeZone = await this.ranches.timeZone(tenant, lot.ranch_id);
    if (body.countedAt !== undefined && dayIn(timeZone, new Date(body.countedAt)) !== body.countedOn) {
      throw ruleBroken(
        '#/countedAt',
        'not-on-that-day',
        body.countedAt,
        `an instant on ${body.countedOn} at the ranch (${timeZone})`,
        'The time is not on the day of the count.',
      );
    }
    const posting = await postingDay(tenant, { statedOn: body.countedOn, postTo: body.postTo, pointer: '#/countedOn' });
    const quantity = await quantityOf(tenant, this.stockRead, lot.id, body.counted, '#/counted');
    checkMass(tenant, { mass: quantity.mass, lot, pointer: '#/counted' });
    // A count that is posted late counts on the day it is booked under.
    const at =
      body.countedAt === undefined || posting.late !== undefined ? undefined : new Date(body.countedAt).toISOString();
    const row = await this.store.adjust(tenant, {
      lot,
      timeZone,
      on: posting.on,
      at,
      quantity,
      treatment: body.treatment,
      reason: body.reason,
    });
    await notePosting(tenant, { kind: 'stock-count', id: row.id }, posting, body.correctsId);
    await tenant.audit({ action: 'stock-count.create', subjectKind: 'stock-count', subjectId: row.id, after: row });
    return {
      ...answerFrom(
        row,
        (await this.counts.differences(tenant, [row.id])).get(row.id),
        postedLate(posting, body.correctsId),
        undefined,
        units ?? tenant.operation.unitPreference,
      ),
      confirmed: doubtsConfirmed(tenant, { kind: 'stock-count', id: row.id }, posting.on),
    };
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listStockCounts>,
  ): Promise<AnswerOf<typeof api.listStockCounts>> {
    const rows = await this.counts.page(tenant, query);
    return pageOf(rows, query.limit, await this.#writer(tenant, rows, query.units), (row) => [row.happened_on, row.id]);
  }

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getStockCount>): Promise<Answer> {
    const row = await this.counts.one(tenant, params.stockCountId);
    return (await this.#writer(tenant, [row], query.units))(row);
  }

  /** The mistake goes out and what is right comes in, as one entry. */
  correct(
    tenant: OperationTenant,
    { params, query, body: { reason, entry } }: InputOf<typeof api.correctStockCount>,
  ): Promise<AnswerOf<typeof api.correctStockCount>> {
    return corrected(
      tenant,
      { kind: 'stock-count', id: params.stockCountId },
      {
        reverse: () => this.reverse(tenant, { params, body: { reason, postTo: entry.postTo } }),
        enter: (correctsId) => this.record(tenant, { ...entry, correctsId }, query.units),
      },
    );
  }

  async reverse(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof api.reverseStockCount>,
  ): Promise<AnswerOf<typeof api.reverseStockCount>> {
    const row = await this.counts.one(tenant, params.stockCountId);
    const reversal = await this.reversals.write(
      tenant,
      { kind: 'stock-count', id: row.id, happenedOn: row.happened_on },
      body,
      (answerFrom) =>
        this.stock.reverse(
          tenant,
          { kind: 'stock-count', id: row.id },
          { id: answerFrom.id, on: answerFrom.effective_on, reason: body.reason },
        ),
    );
    return reversalAnswer(reversal);
  }

  async #writer(
    tenant: OperationTenant,
    rows: readonly StockCountRow[],
    units: UnitSystem | undefined,
  ): Promise<(row: StockCountRow) => Answer> {
    const ids = rows.map((row) => row.id);
    const reversals = await this.reversals.of(tenant, ids);
    const late = await latePostings(tenant, ids);
    const confirmed = await confirmedOf(tenant, ids);
    const differences = await this.counts.differences(tenant, ids);
    return (row) => ({
      ...answerFrom(
        row,
        differences.get(row.id),
        postedLateAnswer(late.get(row.id)),
        reversals.get(row.id),
        units ?? tenant.operation.unitPreference,
      ),
      confirmed: confirmed(row.id),
    });
  }
}

function answerFrom(
  row: StockCountRow,
  difference: Mass | undefined,
  late: Answer['postedLate'],
  reversal: ReversalRow | undefined,
  units: UnitSystem,
): Omit<Answer, 'confirmed'> {
  const adjusted = difference ?? Mass.zero;
  const inBooks = Mass.kilograms(row.counted_kg).minus(adjusted);

  return {
    id: row.id,
    hayLotId: row.hay_lot_id,
    countedOn: row.happened_on,
    countedAt: row.counted_at,
    counted: formatTypedMass(row.counted_kg, row.counted_value, row.counted_unit, units, 'large'),
    inBooks: formatMass(inBooks, units, 'large'),
    difference: formatMass(adjusted, units, 'large'),
    inBooksWhenEntered: formatMass(Mass.kilograms(row.book_kg), units, 'large'),
    treatment: row.treatment,
    reason: row.reason,
    draw: row.draw_kind === null || row.draw_id === null ? null : { kind: row.draw_kind, id: row.draw_id },
    postedLate: late,
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
