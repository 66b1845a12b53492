import { Injectable } from '@nestjs/common';
import { addDays } from '../../core/time/calendar-day.js';
import { USUAL_JUDGING } from '../../desk/judge/ration-judge.js';
import { RationDriftService } from '../../desk/rations/ration-drift.service.js';
import { dayIn } from '../../platform/clock.js';
import { together } from '../../platform/database/together.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { HerdStateService } from '../../records/cattle/standing/herd-state.service.js';
import type * as api from './herd-page.schema.js';

/** How many days the page is about unless they are given, and how far it looks ahead. */
const DAYS_SHOWN = 120;
const DAYS_AHEAD = 60;

/** A herd on one page, from the answers that the API gives about it. */
@Injectable()
export class HerdPageService {
  constructor(
    private readonly states: HerdStateService,
    private readonly drifts: RationDriftService,
  ) {}

  async page(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.herdPage>,
  ): Promise<AnswerOf<typeof api.herdPage>> {
    const units = query.units ?? tenant.operation.unitPreference;
    const until = query.until ?? dayIn(tenant.operation.timeZone, tenant.moment);
    const from = query.from ?? addDays(until, 1 - DAYS_SHOWN);
    const [state, trend, fed] = await together(
      this.states.get(tenant, { params, query: { units, on: until } }),
      this.states.weightTrend(tenant, { params, query: { units, from, until: addDays(until, DAYS_AHEAD) } }),
      this.drifts.report(tenant, {
        params,
        query: { ...USUAL_JUDGING, units, from, until, tests: 'now', weather: 'known' },
      }),
    );
    return {
      operationId: tenant.operationId,
      operation: tenant.operation.name,
      invented: tenant.operation.invented,
      seesPrices: tenant.may('prices', tenant.operationId),
      mayDesk: tenant.may('desk', tenant.operationId),
      from,
      until,
      units,
      state,
      trend,
      fed,
    };
  }
}
