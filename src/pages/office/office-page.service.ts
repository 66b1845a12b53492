import { Injectable } from '@nestjs/common';
import { addDays, daysBetween, monthOf } from '../../core/time/calendar-day.js';
import { BalancesService } from '../../office/balances/balances.service.js';
import { CostOfGainService } from '../../office/cost-of-gain/cost-of-gain.service.js';
import { JournalService } from '../../office/journal/journal.service.js';
import { MoneyBudgetService } from '../../office/money-budget/money-budget.service.js';
import { RollForwardService } from '../../office/roll-forward/roll-forward.service.js';
import { SeasonCostService } from '../../office/season-cost/season-cost.service.js';
import { DEFAULT_WEIGHING_WINDOW_DAYS } from '../../core/gain/cost-of-gain.js';
import { dayIn } from '../../platform/clock.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { HerdStateService } from '../../records/cattle/standing/herd-state.service.js';
import type { UnitSystem } from '../../platform/wire/quantity.schema.js';
import type * as api from './office-page.schema.js';

/** How many days a page is about unless they are given: most of a winter, up to today. */
const DAYS_SHOWN = 120;
/** Each stretch from a weighing to the next is a report of its own. */
const STRETCHES_MAX = 24;
const STRETCH_DAYS_MAX = 730;

/** The accountant's reports as pages: each an answer of the API, with days to begin from. */
@Injectable()
export class OfficePageService {
  constructor(
    private readonly seasonCosts: SeasonCostService,
    private readonly costsOfGain: CostOfGainService,
    private readonly balances: BalancesService,
    private readonly journals: JournalService,
    private readonly rolls: RollForwardService,
    private readonly budgets: MoneyBudgetService,
    private readonly herds: HerdRead,
    private readonly states: HerdStateService,
  ) {}

  seasonCost(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.seasonCostPage>,
  ): Promise<AnswerOf<typeof api.seasonCostPage>> {
    return this.seasonCosts.report(tenant, { params, query: { ...query, ...daysOf(tenant, query) } });
  }

  async costOfGain(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.costOfGainPage>,
  ): Promise<AnswerOf<typeof api.costOfGainPage>> {
    const windowDays = DEFAULT_WEIGHING_WINDOW_DAYS;
    const days = daysOf(tenant, query);
    const report = await this.costsOfGain.report(tenant, { params, query: { ...query, ...days, windowDays } });
    return {
      ...report,
      betweenWeighings: await this.#betweenWeighings(tenant, { params, query: { ...query, ...days } }),
    };
  }

  async #betweenWeighings(
    tenant: OperationTenant,
    {
      params,
      query,
    }: { params: { operationId: string }; query: { from: string; until: string; units?: UnitSystem | undefined } },
  ): Promise<AnswerOf<typeof api.costOfGainPage>['betweenWeighings']> {
    const { from, until } = query;
    if (daysBetween(from, until) > STRETCH_DAYS_MAX) return [];
    const stretches: { herdId: string; from: string; until: string }[] = [];
    for (const { id: herdId } of await this.herds.all(tenant)) {
      const { weights } = await this.states.weightTrend(tenant, {
        params: { ...params, herdId },
        query: { from, until },
      });
      const weighed = weights.filter((one) => one.taken === 'weigh-in' && one.takenOn === one.on).map((one) => one.on);
      weighed.slice(1).forEach((on, index) => stretches.push({ herdId, from: weighed[index] ?? on, until: on }));
    }
    const rows: AnswerOf<typeof api.costOfGainPage>['betweenWeighings'] = [];
    for (const stretch of stretches.slice(-STRETCHES_MAX)) {
      const asked = { ...query, ...stretch, windowDays: 0 };
      rows.push(...(await this.costsOfGain.report(tenant, { params, query: asked })).herds);
    }
    return rows;
  }

  lotCard(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.lotCardPage>,
  ): Promise<AnswerOf<typeof api.lotCardPage>> {
    return this.balances.card(tenant, { params, query: { ...query, until: query.until ?? today(tenant) } });
  }

  journal(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.journalPageOf>,
  ): Promise<AnswerOf<typeof api.journalPageOf>> {
    return this.journals.journal(tenant, { params, query: { ...query, ...daysOf(tenant, query) } });
  }

  rollForward(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.rollForwardPage>,
  ): Promise<AnswerOf<typeof api.rollForwardPage>> {
    return this.rolls.report(tenant, { params, query: { ...query, ...daysOf(tenant, query) } });
  }

  moneyBudget(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.moneyBudgetPage>,
  ): Promise<AnswerOf<typeof api.moneyBudgetPage>> {
    const { from, until } = daysOf(tenant, {});
    const months = { from: query.from ?? monthOf(from), until: query.until ?? monthOf(until) };
    return this.budgets.report(tenant, { params, query: { ...query, ...months } });
  }
}

function daysOf(tenant: OperationTenant, given: { from?: string | undefined; until?: string | undefined }) {
  const until = given.until ?? today(tenant);
  return { from: given.from ?? addDays(until, 1 - DAYS_SHOWN), until };
}

const today = (tenant: OperationTenant): string => dayIn(tenant.operation.timeZone, tenant.moment);
