import { Injectable } from '@nestjs/common';
import type { BudgetAmount, BudgetLine } from '../../core/season/money-budget.js';
import { monthOf } from '../../core/time/calendar-day.js';
import { whatStands } from '../../core/time/what-stands.js';
import { Money } from '../../core/units/money.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { asCurrency } from '../../platform/wire/quantity.schema.js';
import { HerdCostRead } from '../../records/cattle/herd-costs/herd-cost.read.js';
import { HeadChangeRead } from '../../records/cattle/herds/head-change.read.js';
import { type HerdHeadChange, HerdRead } from '../../records/cattle/herds/herd.read.js';
import { SeasonCostService } from '../season-cost/season-cost.service.js';

/** What the books say of the lines of a money budget, by month and herd. */
@Injectable()
export class ActualMoneyService {
  constructor(
    private readonly season: SeasonCostService,
    private readonly herds: HerdRead,
    private readonly headChanges: HeadChangeRead,
    private readonly herdCosts: HerdCostRead,
  ) {}

  async of(
    tenant: OperationTenant,
    span: { from: string; until: string },
  ): Promise<{ method: string; amounts: BudgetAmount[] }> {
    const currency = asCurrency(tenant.operation.currency);
    const { method, fed, herdMonths, late } = await this.season.byHerdAndMonth(tenant, span);
    const herds = await this.herds.all(tenant);
    const ids = herds.map((herd) => herd.id);
    const prices = await this.headChanges.pricesOfHerds(tenant, ids);
    const changes = whatStands(await this.herds.entered(tenant, ids), span).standing;
    const costs = whatStands(await this.herdCosts.entered(tenant, ids, span.until), span).standing;
    const within = ({ on }: { on: string }): boolean => on >= span.from && on <= span.until;
    return {
      method,
      amounts: [
        ...fed.map(({ month, herdId, feed, cost }): BudgetAmount => ({
          month,
          herdId,
          line: feed === 'other' ? 'other-feed' : 'hay',
          amount: cost,
        })),
        ...herdMonths.map(({ month, herdId, yardage }): BudgetAmount => ({
          month,
          herdId,
          line: 'yardage',
          amount: yardage,
        })),
        ...late.map(({ month, herdId, amount }): BudgetAmount => ({ month, herdId, line: 'late-costs', amount })),
        ...costs
          .filter((one) => within(one) && one.reversesId === null)
          .map(({ on, herdId, amount }): BudgetAmount => ({
            month: monthOf(on),
            herdId,
            line: 'herd-costs',
            amount: Money.of(amount, currency),
          })),
        ...changes.filter(within).flatMap((one): BudgetAmount[] => {
          const price = prices.get(one.id);
          const line = lineOf(one);
          return price === undefined || price.how === 'valued' || line === undefined
            ? []
            : [{ month: monthOf(one.on), herdId: one.herdId, line, amount: Money.of(price.amount, currency) }];
        }),
      ],
    };
  }
}

/** Cattle that were paid for; a value that was stated is no money. */
function lineOf({ kind }: HerdHeadChange): BudgetLine | undefined {
  if (kind === 'in') return 'cattle-bought';
  return kind === 'sale' || kind === 'out' || kind === 'death' ? 'cattle-sold' : undefined;
}
