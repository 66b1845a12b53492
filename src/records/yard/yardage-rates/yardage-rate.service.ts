import { Injectable } from '@nestjs/common';
import type { OperationTenant } from '../../../platform/database/types.js';
import { decimal } from '../../../core/units/decimal.js';
import { YARDAGE_OF_HEAD_DAY } from '../../../core/plausibility/entry-bounds.data.js';
import { moneyMisfit } from '../../../core/plausibility/money-fit.js';
import { Problem, ruleBroken } from '../../../platform/http/problem.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { asCurrency } from '../../../platform/wire/quantity.schema.js';
import { confirmedOf, doubtsConfirmed } from '../../kit/confirmed.read.js';
import type { ReversalRow } from '../../kit/reversal.read.js';
import { reversalAnswer } from '../../kit/reversal.schema.js';
import { Reversals } from '../../kit/reversal.store.js';
import { checkDay } from '../../kit/happened.read.js';
import { HerdRead } from '../../cattle/herds/herd.read.js';
import { YardageRateRead, type YardageRateRow } from './yardage-rate.read.js';
import type * as api from './yardage-rate.schema.js';
import { YardageRateStore } from './yardage-rate.store.js';

@Injectable()
export class YardageRateService {
  constructor(
    private readonly herds: HerdRead,
    private readonly rates: YardageRateRead,
    private readonly store: YardageRateStore,
    private readonly reversals: Reversals,
  ) {}

  async create(
    tenant: OperationTenant,
    { body }: InputOf<typeof api.createYardageRate>,
  ): Promise<AnswerOf<typeof api.getYardageRate>> {
    return this.record(tenant, body);
  }

  /** Writes one rate inside an open transaction. */
  async record(
    tenant: OperationTenant,
    body: InputOf<typeof api.createYardageRate>['body'],
  ): Promise<AnswerOf<typeof api.getYardageRate>> {
    if (body.herdId !== undefined) await this.herds.one(tenant, body.herdId);
    await checkDay(tenant, { day: body.fromOn, pointer: '#/fromOn', daysAhead: 366 });
    checkRate(tenant, body.perHeadDay);
    const row = await this.store.insert(tenant, {
      herd_id: body.herdId ?? null,
      from_on: body.fromOn,
      amount: body.perHeadDay,
      currency: tenant.operation.currency,
    });
    await tenant.audit({ action: 'yardage-rate.create', subjectKind: 'yardage-rate', subjectId: row.id, after: row });
    return {
      ...answerFrom(row, undefined),
      confirmed: doubtsConfirmed(tenant, { kind: 'yardage-rate', id: row.id }, row.from_on),
    };
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listYardageRates>,
  ): Promise<AnswerOf<typeof api.listYardageRates>> {
    const rows = await this.rates.page(tenant, query);
    return pageOf(rows, query.limit, await this.#writer(tenant, rows), (row) => [row.id]);
  }

  async get(
    tenant: OperationTenant,
    { params }: InputOf<typeof api.getYardageRate>,
  ): Promise<AnswerOf<typeof api.getYardageRate>> {
    const row = await this.rates.one(tenant, params.yardageRateId);
    return (await this.#writer(tenant, [row]))(row);
  }

  async reverse(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof api.reverseYardageRate>,
  ): Promise<AnswerOf<typeof api.reverseYardageRate>> {
    if (!tenant.may('prices', tenant.operationId))
      throw new Problem('not-permitted', 'Whoever reverses a yardage rate must see it: the permission "prices".');
    const row = await this.rates.one(tenant, params.yardageRateId);
    const subject = { kind: 'yardage-rate', id: row.id, happenedOn: row.from_on } as const;
    return reversalAnswer(await this.reversals.write(tenant, subject, body));
  }

  async #writer(
    tenant: OperationTenant,
    rows: readonly YardageRateRow[],
  ): Promise<(row: YardageRateRow) => AnswerOf<typeof api.getYardageRate>> {
    const ids = rows.map((row) => row.id);
    const confirmed = await confirmedOf(tenant, ids);
    const reversals = await this.reversals.of(tenant, ids);
    return (row) => ({ ...answerFrom(row, reversals.get(row.id)), confirmed: confirmed(row.id) });
  }
}

/** @throws Problem where no head costs so much a day */
function checkRate(tenant: OperationTenant, rate: string): void {
  const currency = asCurrency(tenant.operation.currency);
  const misfit = moneyMisfit(decimal(rate), YARDAGE_OF_HEAD_DAY, currency);
  if (misfit === undefined) return;
  const [least, most] = misfit.allowed;
  const [given, usual] = [`${rate} ${currency}`, `${least.toFixed()} to ${most.toFixed()} ${currency}`];
  const pointer = '#/perHeadDay';
  const message = `${given} a head and day beside feed is unlikely. Check the point, and whether it is for a day.`;
  if (misfit.impossible) throw ruleBroken(pointer, 'no-such-yardage', given, usual, message);
  tenant.doubts.raise({
    code: 'yardage-unusual',
    pointer,
    given,
    usual,
    source: misfit.source,
    message,
    aboutMoney: true,
  });
}

function answerFrom(
  row: YardageRateRow,
  reversal: ReversalRow | undefined,
): Omit<AnswerOf<typeof api.getYardageRate>, 'confirmed'> {
  return {
    id: row.id,
    herdId: row.herd_id,
    fromOn: row.from_on,
    perHeadDay: { amount: row.amount, currency: asCurrency(row.currency) },
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
