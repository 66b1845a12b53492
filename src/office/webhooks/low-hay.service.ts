import { Inject, Injectable, Logger, type OnModuleInit } from '@nestjs/common';
import { z } from 'zod';
import { addDays } from '../../core/time/calendar-day.js';
import { type Clock, CLOCK, dayIn } from '../../platform/clock.js';
import { Database } from '../../platform/database/database.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { Problem } from '../../platform/http/problem.js';
import { Jobs } from '../../platform/jobs/jobs.js';
import { hayBudgetQuery } from '../hay-budget/hay-budget.schema.js';
import { HayBudgetService } from '../hay-budget/hay-budget.service.js';
import { type HayAsked, LowHayStore } from './low-hay.store.js';

/**
 * Hay counts as lasting again once it lasts so many days longer than it has to, so that a cold night does not have it
 * told twice; common practice, no source.
 */
const SPARE_DAYS = 7;

const job = z.object({ operationId: z.uuid() });

/** When the hay runs out of one budget, and the days it was asked for; undefined where it could not be worked out. */
type Judged = { from: string; until: string; runsOutOn: string | null } | undefined;

/**
 * Whether hay lasts as long as a webhook asks: what the hay budget of these days answers (`GET …/reports/hay-budget`
 * as it is without further parameters), and nothing of its own. It is judged when a day begins and soon after hay went
 * out, and told once until it lasts again.
 */
@Injectable()
export class LowHayService implements OnModuleInit {
  readonly #log = new Logger('low hay');

  constructor(
    private readonly database: Database,
    private readonly store: LowHayStore,
    private readonly budgets: HayBudgetService,
    private readonly jobs: Jobs,
    @Inject(CLOCK) private readonly clock: Clock,
  ) {}

  onModuleInit(): void {
    this.jobs.handle('low-hay', (content) => this.judge(job.parse(content).operationId));
  }

  /** For every webhook of the operation that asks for it. */
  async judge(operationId: string): Promise<void> {
    const moment = this.clock.now();
    const asked = await this.database.serveWebhooks(operationId, moment, (server) => this.store.asked(server));
    for (const one of asked) {
      const judged = await this.#judged(operationId, moment, one);
      if (judged === undefined) continue;
      await this.database.serveWebhooks(operationId, this.clock.now(), async (server) => {
        const { runsOutOn, from, until } = judged;
        const isLow = runsOutOn !== null && runsOutOn < addDays(from, one.lowHayDays);
        await this.store.noteJudged(server, one.webhookId, from);
        if (isLow) {
          const about = { withinDays: one.lowHayDays, from, until, runsOutOn };
          if (await this.store.hayIsLow(server, one, about)) this.jobs.lookSoon();
        } else if (runsOutOn === null) await this.store.hayLasts(server, one.webhookId);
      });
    }
  }

  /** As the owner who answers for the webhook would read it. */
  async #judged(operationId: string, moment: Date, { answeredBy, lowHayDays }: HayAsked): Promise<Judged> {
    const asker = {
      personId: answeredBy,
      apiKeyId: undefined,
      moment,
      requestId: 'low-hay',
      address: '',
      idempotency: undefined,
    };
    try {
      return await this.database.readIn(asker, operationId, (tenant) => this.#budget(tenant, lowHayDays));
    } catch (error) {
      // Herds that nobody can judge, an owner without the second factor that is asked for: nothing can be told.
      if (!(error instanceof Problem) || error.status >= 500) throw error;
      this.#log.warn(`Not judged for operation ${operationId}: ${error.message}`);
      return undefined;
    }
  }

  async #budget(tenant: OperationTenant, lowHayDays: number): Promise<Judged> {
    const from = dayIn(tenant.operation.timeZone, tenant.moment);
    const until = addDays(from, lowHayDays + SPARE_DAYS - 1);
    const query = hayBudgetQuery.parse({ from, until });
    const { yard } = await this.budgets.report(tenant, { params: { operationId: tenant.operationId }, query });
    return { from, until, runsOutOn: yard.runsOutOn };
  }
}
