import { Injectable } from '@nestjs/common';
import { addDays } from '../../core/time/calendar-day.js';
import { FeedSheetService } from '../../desk/feed-sheets/feed-sheet.service.js';
import { PortfolioService } from '../../desk/portfolio/portfolio.service.js';
import { RationService } from '../../desk/rations/ration.service.js';
import { TrialJudgementService } from '../../desk/trials/trial-judgement.service.js';
import { TrialService } from '../../desk/trials/trial.service.js';
import { HayBudgetService } from '../../office/hay-budget/hay-budget.service.js';
import { HayPositionService } from '../../office/hay-position/hay-position.service.js';
import { Database } from '../../platform/database/database.js';
import type { Asker } from '../../platform/http/asker.js';
import type { AnswerOf, CallOf } from '../../platform/http/endpoint.js';
import { notFound } from '../../platform/http/problem.js';
import { YardRead } from './yard.read.js';
import type * as api from './yard.schema.js';

/** So far ahead looks the hay page where nobody says a day: most of a winter. */
const BUDGET_DAYS = 120;
const MOST_ON_A_PAGE = 100;

/**
 * The pages that people walk with a browser: each is an answer of the rooms behind it, or a few of them side by side.
 */
@Injectable()
export class YardService {
  constructor(
    private readonly database: Database,
    private readonly read: YardRead,
    private readonly sheets: FeedSheetService,
    private readonly rations: RationService,
    private readonly trials: TrialService,
    private readonly judgements: TrialJudgementService,
    private readonly portfolio: PortfolioService,
    private readonly position: HayPositionService,
    private readonly budget: HayBudgetService,
  ) {}

  async start({ asker }: CallOf<typeof api.startPage>): Promise<AnswerOf<typeof api.startPage>> {
    return this.database.read(asker, async (tenant) => {
      const person = await this.read.ownName(tenant);
      const operations = await this.read.heads(
        tenant,
        tenant.memberships.map((one) => one.operationId),
      );
      return { person, consults: operations.some((one) => tenant.may('desk', one.id)), operations };
    });
  }

  async operation({ asker, params }: CallOf<typeof api.operationPage>): Promise<AnswerOf<typeof api.operationPage>> {
    const { operationId } = params;
    const [operation] = await this.database.readIn(asker, operationId, (tenant) =>
      this.read.heads(tenant, [operationId]),
    );
    if (operation === undefined) throw notFound('operation');
    const call = { asker, body: undefined, expectedVersion: 0 };
    const rations = await this.rations.list({ ...call, params, query: { limit: MOST_ON_A_PAGE, state: 'in-use' } });
    const trials = await this.trials.list({ ...call, params, query: { limit: MOST_ON_A_PAGE } });
    const judged = [];
    for (const trial of trials.items) {
      const { items } =
        trial.judgements === 0
          ? { items: [] }
          : await this.judgements.list({
              ...call,
              params: { operationId, trialId: trial.id },
              query: { limit: MOST_ON_A_PAGE },
            });
      judged.push({ trial, judgements: items });
    }
    return { operation, rations: rations.items, trials: judged };
  }

  async feedSheet({
    asker,
    params,
    query,
  }: CallOf<typeof api.feedSheetPage>): Promise<AnswerOf<typeof api.feedSheetPage>> {
    return {
      operationId: params.operationId,
      sheet: await this.sheets.get({ asker, params, query, body: undefined, expectedVersion: 0 }),
    };
  }

  async trialPlan({
    asker,
    params,
    query,
  }: CallOf<typeof api.trialPlanPage>): Promise<AnswerOf<typeof api.trialPlanPage>> {
    return {
      operationId: params.operationId,
      plan: await this.database.readIn(asker, params.operationId, (tenant) =>
        this.trials.planAnswer(tenant, params.trialId, query.units),
      ),
    };
  }

  async trialProtocol({
    asker,
    params,
  }: CallOf<typeof api.trialProtocolPage>): Promise<AnswerOf<typeof api.trialProtocolPage>> {
    return {
      operationId: params.operationId,
      protocol: await this.database.readIn(asker, params.operationId, (tenant) =>
        this.trials.protocol(tenant, params.trialId),
      ),
    };
  }

  async trialReport({
    asker,
    params,
    query,
  }: Pick<CallOf<typeof api.trialReportPageOf>, 'asker' | 'params' | 'query'>): Promise<
    AnswerOf<typeof api.trialReportPageOf>
  > {
    return {
      operationId: params.operationId,
      report: await this.database.readIn(asker, params.operationId, (tenant) =>
        this.judgements.report(tenant, params.trialId, params.judgementId, query.units),
      ),
    };
  }

  async trialPicture(call: CallOf<typeof api.trialPicturePage>): Promise<AnswerOf<typeof api.trialPicturePage>> {
    return { picture: call.params.picture, report: (await this.trialReport(call)).report };
  }

  async hayPosition({
    asker,
    params,
    query,
  }: CallOf<typeof api.hayPositionPage>): Promise<AnswerOf<typeof api.hayPositionPage>> {
    const on = query.on ?? (await this.#today(asker, params.operationId));
    return {
      operationId: params.operationId,
      report: await this.position.report({
        asker,
        params,
        query: { on, units: query.units },
        body: undefined,
        expectedVersion: 0,
      }),
    };
  }

  async hayBudget({
    asker,
    params,
    query,
  }: CallOf<typeof api.hayBudgetPage>): Promise<AnswerOf<typeof api.hayBudgetPage>> {
    const from = query.from ?? (await this.#today(asker, params.operationId));
    const until = query.until ?? addDays(from, BUDGET_DAYS - 1);
    return {
      operationId: params.operationId,
      report: await this.budget.report({
        asker,
        params,
        query: { from, until, units: query.units, view: 'months', edition: 'NRC2000', substituteKinds: 'true' },
        body: undefined,
        expectedVersion: 0,
      }),
    };
  }

  async herds({ asker, query }: CallOf<typeof api.portfolioPage>): Promise<AnswerOf<typeof api.portfolioPage>> {
    const herds = await this.portfolio.list({ asker, query, params: undefined, body: undefined, expectedVersion: 0 });
    return { herds, onDay: query.on ?? herds.items[0]?.onDay ?? asker.moment.toISOString().slice(0, 10) };
  }

  async #today(asker: Asker, operationId: string): Promise<string> {
    const [operation] = await this.database.readIn(asker, operationId, (tenant) =>
      this.read.heads(tenant, [operationId]),
    );
    if (operation === undefined) throw notFound('operation');
    return operation.today;
  }
}
