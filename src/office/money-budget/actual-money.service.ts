import { Injectable } from '@nestjs/common';
import { actualMoney } from '../../core/season/actual-money.js';
import type { BudgetAmount } from '../../core/season/money-budget.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { asCurrency } from '../../platform/wire/quantity.schema.js';
import { HerdCostRead } from '../../records/cattle/herd-costs/herd-cost.read.js';
import { HeadChangeRead } from '../../records/cattle/herds/head-change.read.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { costEntries, headEntries, paidCattle } from '../closeout/herd-books.js';
import { methodChangeFlags } from '../method-change.js';
import type { Flag } from '../report.schema.js';
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
  ): Promise<{
    method: string;
    flags: Flag[];
    amounts: BudgetAmount[];
    corrections: BudgetAmount[];
  }> {
    const currency = asCurrency(tenant.operation.currency);
    const { method, changes, ...season } = await this.season.byHerdAndMonth(tenant, span);
    const ids = (await this.herds.all(tenant)).map((herd) => herd.id);
    return {
      method,
      flags: methodChangeFlags(changes, span),
      ...actualMoney(
        {
          ...season,
          costs: costEntries(await this.herdCosts.entered(tenant, ids, span.until), currency),
          head: headEntries(await this.herds.entered(tenant, ids)),
          paid: paidCattle(await this.headChanges.pricesOfHerds(tenant, ids)),
        },
        span,
      ),
    };
  }
}
