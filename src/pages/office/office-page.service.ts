import { Injectable } from '@nestjs/common';
import { addDays } from '../../core/time/calendar-day.js';
import { BalancesService } from '../../office/balances/balances.service.js';
import { CostOfGainService } from '../../office/cost-of-gain/cost-of-gain.service.js';
import { JournalService } from '../../office/journal/journal.service.js';
import { SeasonCostService } from '../../office/season-cost/season-cost.service.js';
import { DEFAULT_WEIGHING_WINDOW_DAYS } from '../../core/gain/cost-of-gain.js';
import { dayIn } from '../../platform/clock.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import type * as api from './office-page.schema.js';

/** How many days a page is about unless they are given: most of a winter, up to today. */
const DAYS_SHOWN = 120;

/** The accountant's reports as pages: each an answer of the API, with days to begin from. */
@Injectable()
export class OfficePageService {
  constructor(
    private readonly seasonCosts: SeasonCostService,
    private readonly costsOfGain: CostOfGainService,
    private readonly balances: BalancesService,
    private readonly journals: JournalService,
  ) {}

  seasonCost(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.seasonCostPage>,
  ): Promise<AnswerOf<typeof api.seasonCostPage>> {
    return this.seasonCosts.report(tenant, { params, query: { ...query, ...daysOf(tenant, query) } });
  }

  costOfGain(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.costOfGainPage>,
  ): Promise<AnswerOf<typeof api.costOfGainPage>> {
    const windowDays = DEFAULT_WEIGHING_WINDOW_DAYS;
    return this.costsOfGain.report(tenant, { params, query: { ...query, ...daysOf(tenant, query), windowDays } });
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
}

function daysOf(tenant: OperationTenant, given: { from?: string | undefined; until?: string | undefined }) {
  const until = given.until ?? today(tenant);
  return { from: given.from ?? addDays(until, 1 - DAYS_SHOWN), until };
}

const today = (tenant: OperationTenant): string => dayIn(tenant.operation.timeZone, tenant.moment);
