import { Injectable } from '@nestjs/common';
import { Money } from '../../../core/units/money.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { asCurrency, formatMoney } from '../../../platform/wire/quantity.schema.js';
import { latePostings, postingDay } from '../../kit/posting.read.js';
import { postedLate, postedLateAnswer } from '../../kit/posting.schema.js';
import { notePosting } from '../../kit/posting.store.js';
import { confirmedOf, doubtsConfirmed } from '../../kit/confirmed.read.js';
import type { ReversalRow } from '../../kit/reversal.read.js';
import { reversalAnswer } from '../../kit/reversal.schema.js';
import { corrected } from '../../kit/correction.store.js';
import { Reversals } from '../../kit/reversal.store.js';
import { HerdRead } from '../herds/herd.read.js';
import { type HerdCostMoneyRow, HerdCostRead, type HerdCostRow } from './herd-cost.read.js';
import { checkCost } from './herd-cost-fit.js';
import type * as api from './herd-cost.schema.js';
import { HerdCostStore } from './herd-cost.store.js';

type Answer = AnswerOf<typeof api.getHerdCost>;

/** Bills of a herd that are neither feed nor yardage. */
@Injectable()
export class HerdCostService {
  constructor(
    private readonly herds: HerdRead,
    private readonly costs: HerdCostRead,
    private readonly store: HerdCostStore,
    private readonly reversals: Reversals,
  ) {}

  create(tenant: OperationTenant, { body }: InputOf<typeof api.createHerdCost>): Promise<Answer> {
    return this.record(tenant, body);
  }

  /** Writes one bill inside an open transaction. */
  async record(tenant: OperationTenant, body: InputOf<typeof api.createHerdCost>['body']): Promise<Answer> {
    await this.herds.one(tenant, body.herdId);
    const currency = asCurrency(tenant.operation.currency);
    const head = await this.herds.mostHeadOn(tenant, body.herdId, body.happenedOn);
    checkCost(tenant, Money.of(body.amount, currency), head);
    const posting = await postingDay(tenant, {
      statedOn: body.happenedOn,
      postTo: body.postTo,
      pointer: '#/happenedOn',
    });
    const { row, money } = await this.store.insert(
      tenant,
      {
        herd_id: body.herdId,
        kind: body.kind,
        happened_on: posting.on,
        payee: body.payee,
        note: body.note ?? null,
      },
      { amount_value: body.amount, amount: body.amount, currency },
    );
    await notePosting(tenant, { kind: 'herd-cost', id: row.id }, posting, body.correctsId);
    await tenant.audit({
      action: 'herd-cost.create',
      subjectKind: 'herd-cost',
      subjectId: row.id,
      after: { ...row, amount: money.amount_value },
    });
    const seen = tenant.may('prices', tenant.operationId) ? money : undefined;
    const confirmed = doubtsConfirmed(tenant, { kind: 'herd-cost', id: row.id }, posting.on);
    return { ...answerFrom(row, seen, postedLate(posting, body.correctsId), undefined), confirmed };
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listHerdCosts>,
  ): Promise<AnswerOf<typeof api.listHerdCosts>> {
    const rows = await this.costs.page(tenant, query);
    return pageOf(rows, query.limit, await this.#writer(tenant, rows), (row) => [row.happened_on, row.id]);
  }

  async get(tenant: OperationTenant, { params }: InputOf<typeof api.getHerdCost>): Promise<Answer> {
    const row = await this.costs.one(tenant, params.herdCostId);
    return (await this.#writer(tenant, [row]))(row);
  }

  /** The mistake goes out and what is right comes in, as one entry. */
  correct(
    tenant: OperationTenant,
    { params, body: { reason, entry } }: InputOf<typeof api.correctHerdCost>,
  ): Promise<AnswerOf<typeof api.correctHerdCost>> {
    return corrected(
      tenant,
      { kind: 'herd-cost', id: params.herdCostId },
      {
        reverse: () => this.reverse(tenant, { params, body: { reason, postTo: entry.postTo } }),
        enter: (correctsId) => this.record(tenant, { ...entry, correctsId }),
      },
    );
  }

  async reverse(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof api.reverseHerdCost>,
  ): Promise<AnswerOf<typeof api.reverseHerdCost>> {
    const row = await this.costs.one(tenant, params.herdCostId);
    const subject = { kind: 'herd-cost', id: row.id, happenedOn: row.happened_on } as const;
    return reversalAnswer(await this.reversals.write(tenant, subject, body));
  }

  async #writer(tenant: OperationTenant, rows: readonly HerdCostRow[]): Promise<(row: HerdCostRow) => Answer> {
    const ids = rows.map((row) => row.id);
    const money = await this.costs.money(tenant, ids);
    const reversals = await this.reversals.of(tenant, ids);
    const late = await latePostings(tenant, ids);
    const confirmed = await confirmedOf(tenant, ids);
    return (row) => ({
      ...answerFrom(row, money.get(row.id), postedLateAnswer(late.get(row.id)), reversals.get(row.id)),
      confirmed: confirmed(row.id),
    });
  }
}

function answerFrom(
  row: HerdCostRow,
  money: HerdCostMoneyRow | undefined,
  late: Answer['postedLate'],
  reversal: ReversalRow | undefined,
): Omit<Answer, 'confirmed'> {
  return {
    id: row.id,
    herdId: row.herd_id,
    kind: row.kind,
    happenedOn: row.happened_on,
    payee: row.payee,
    amount: money === undefined ? null : formatMoney(Money.of(money.amount, asCurrency(money.currency))),
    amountTyped: money?.amount_value ?? null,
    postedLate: late,
    note: row.note,
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
