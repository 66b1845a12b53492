import { Injectable } from '@nestjs/common';
import { type LotDays, lotBills, lotsOf } from '../../core/closeout/lot-days.js';
import { headEvents, headHistory } from '../../core/standing/head-days.js';
import { addDays } from '../../core/time/calendar-day.js';
import { whatStands } from '../../core/time/what-stands.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { asCurrency, type UnitSystem } from '../../platform/wire/quantity.schema.js';
import { HerdCostRead } from '../../records/cattle/herd-costs/herd-cost.read.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { CostingService } from '../../records/hay/costing/costing.service.js';
import { ClosedReportRead } from '../closings/closed-report.read.js';
import { methodChangeFlags } from '../method-change.js';
import { spanOf } from '../report-period.js';
import { closeoutQuery } from './closeout.schema.js';
import { CloseoutService } from './closeout.service.js';
import type * as api from './period-closeouts.schema.js';

type Answer = AnswerOf<typeof api.getHerdCloseouts>;
interface Days {
  from: string;
  until: string;
}

/** The closeouts that belong to a period: what a closing stores of them. */
@Injectable()
export class PeriodCloseoutsService {
  constructor(
    private readonly herds: HerdRead,
    private readonly herdCosts: HerdCostRead,
    private readonly closeouts: CloseoutService,
    private readonly costing: CostingService,
    private readonly closed: ClosedReportRead,
  ) {}

  async report(tenant: OperationTenant, { query }: InputOf<typeof api.getHerdCloseouts>): Promise<Answer> {
    spanOf(query);
    const units = query.units ?? tenant.operation.unitPreference;
    return this.closed.orWorkedOut<Answer>(tenant, { name: 'herd-closeouts', units, span: query }, () =>
      this.compute(tenant, { ...query, units }),
    );
  }

  /** From the books as they are now. */
  async compute(
    tenant: OperationTenant,
    { from, until, units }: Days & { units: UnitSystem },
  ): Promise<Omit<Answer, 'closed'>> {
    const herds = await this.herds.all(tenant);
    const lots = await this.#lots(
      tenant,
      herds.map(({ id }) => id),
      until,
    );
    const books = await this.costing.upTo(tenant, until, { entriesFrom: addDays(until, 1) });
    const [ended, ofThePeriod]: [Answer['ended'], Answer['ofThePeriod']] = [[], []];
    for (const herd of herds) {
      const closeout = async (days: Days): Promise<Answer['ended'][number]> => ({
        ...(await this.closeouts.compute(tenant, herd, closeoutQuery.parse({ ...days, units }))),
        closed: null,
      });
      for (const lot of lots(herd.id))
        if (lot.until !== null && lot.until >= from && lot.until <= until)
          ended.push(await closeout({ from: lot.account.from, until: lot.account.until ?? lot.until }));
      const own = await closeout({ from, until });
      if (own.head.headDays > 0 || own.lines.length > 0) ofThePeriod.push(own);
    }
    return {
      operationId: tenant.operationId,
      operation: tenant.operation.name,
      invented: tenant.operation.invented,
      currency: asCurrency(tenant.operation.currency),
      units,
      method:
        'Each herd closed out as by its own address, at no stated terms: no interest, no value of cattle that stand, ' +
        'hay at cost. A lot that ended counts with all its days, also those before the period, and with the bills ' +
        'for it that came by the last day.',
      inputs: { herds: herds.length, lotsThatEnded: ended.length },
      flags: methodChangeFlags(books.changes, { from, until }),
      from,
      until,
      costingMethod: books.method,
      ended,
      ofThePeriod,
    };
  }

  /** The lots of each herd as they are known at the end of a day. */
  async #lots(
    tenant: OperationTenant,
    herdIds: readonly string[],
    until: string,
  ): Promise<(herdId: string) => LotDays[]> {
    const head = whatStands(await this.herds.entered(tenant, herdIds), { until }).standing;
    const costs = await this.herdCosts.entered(tenant, herdIds, until);
    return (herdId) => {
      const history = headHistory(headEvents(head.filter((one) => one.herdId === herdId)));
      const bills = lotBills(costs.filter((one) => one.herdId === herdId));
      return lotsOf({ steps: history.ok ? history.steps : [], bills });
    };
  }
}
