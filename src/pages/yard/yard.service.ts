import { Injectable } from '@nestjs/common';
import { addDays } from '../../core/time/calendar-day.js';
import { FeedSheetService } from '../../desk/feed-sheets/feed-sheet.service.js';
import { PortfolioService } from '../../desk/portfolio/portfolio.service.js';
import { RationReviewService } from '../../desk/ration-review/ration-review.service.js';
import { RationService } from '../../desk/rations/ration.service.js';
import { TrialJudgementService } from '../../desk/trials/trial-judgement.service.js';
import { TrialService } from '../../desk/trials/trial.service.js';
import { USUAL_JUDGING } from '../../desk/judge/ration-judge.js';
import { HayBudgetService } from '../../office/hay-budget/hay-budget.service.js';
import { CloseoutService } from '../../office/closeout/closeout.service.js';
import { HayPositionService } from '../../office/hay-position/hay-position.service.js';
import type { OperationTenant, Tenant } from '../../platform/database/types.js';
import { together } from '../../platform/database/together.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { notFound } from '../../platform/http/problem.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { HayLotService } from '../../records/hay/lots/hay-lot.service.js';
import { HayObservationService } from '../../records/hay/observations/hay-observation.service.js';
import { SamplingPlanService } from '../../records/hay/sampling/sampling-plan.service.js';
import { asSent } from '../ask-form.js';
import { YardRead } from './yard.read.js';
import type * as api from './yard.schema.js';

/** How many days ahead the hay page looks unless a day is given: most of a winter. */
const BUDGET_DAYS = 120;
const MOST_ON_A_PAGE = 100;

/** The pages for a browser: each shows an answer of the API, or a few of them side by side. */
@Injectable()
export class YardService {
  constructor(
    private readonly read: YardRead,
    private readonly sheets: FeedSheetService,
    private readonly rations: RationService,
    private readonly trials: TrialService,
    private readonly judgements: TrialJudgementService,
    private readonly portfolio: PortfolioService,
    private readonly position: HayPositionService,
    private readonly herdRead: HerdRead,
    private readonly closeouts: CloseoutService,
    private readonly budget: HayBudgetService,
    private readonly reviews: RationReviewService,
    private readonly lots: HayLotService,
    private readonly observations: HayObservationService,
    private readonly samplingPlans: SamplingPlanService,
  ) {}

  async start(tenant: Tenant): Promise<AnswerOf<typeof api.startPage>> {
    const person = await this.read.ownName(tenant);
    const operations = await this.read.heads(
      tenant,
      tenant.memberships.map((one) => one.operationId),
    );
    return { person, consults: operations.some((one) => tenant.may('desk', one.id)), operations };
  }

  async operation(
    tenant: OperationTenant,
    { params }: InputOf<typeof api.operationPage>,
  ): Promise<AnswerOf<typeof api.operationPage>> {
    const [operation, herds, rations, lots, trials] = await together(
      this.#head(tenant),
      this.herdRead.all(tenant),
      this.rations.list(tenant, { params, query: { limit: MOST_ON_A_PAGE, state: 'in-use' } }),
      this.lots.list(tenant, { params, query: { limit: MOST_ON_A_PAGE, onHand: 'true', reversed: 'false' } }),
      this.trials.list(tenant, { params, query: { limit: MOST_ON_A_PAGE } }),
    );
    const judged = await together(
      ...trials.items.map(async (trial) => {
        const asked = { params: { ...params, trialId: trial.id }, query: { limit: MOST_ON_A_PAGE } };
        const { items } = trial.judgements === 0 ? { items: [] } : await this.judgements.list(tenant, asked);
        return { trial, judgements: items };
      }),
    );
    const named = herds.map(({ id, name }) => ({ herdId: id, herd: name }));
    const closeouts = operation.seesPrices ? named : [];
    return { operation, herds: named, rations: rations.items, lots: lots.items, trials: judged, closeouts };
  }

  async feedSheet(
    tenant: OperationTenant,
    input: InputOf<typeof api.feedSheetPage>,
  ): Promise<AnswerOf<typeof api.feedSheetPage>> {
    return { operationId: tenant.operationId, sheet: await this.sheets.get(tenant, input) };
  }

  async trialPlan(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.trialPlanPage>,
  ): Promise<AnswerOf<typeof api.trialPlanPage>> {
    return {
      operationId: tenant.operationId,
      plan: await this.trials.planAnswer(tenant, params.trialId, query.units),
    };
  }

  async trialProtocol(
    tenant: OperationTenant,
    { params }: InputOf<typeof api.trialProtocolPage>,
  ): Promise<AnswerOf<typeof api.trialProtocolPage>> {
    return { operationId: tenant.operationId, protocol: await this.trials.protocol(tenant, params.trialId) };
  }

  async trialReport(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.trialReportPageOf>,
  ): Promise<AnswerOf<typeof api.trialReportPageOf>> {
    return {
      operationId: tenant.operationId,
      report: await this.judgements.report(tenant, params.trialId, params.judgementId, query.units),
    };
  }

  async trialPicture(
    tenant: OperationTenant,
    input: InputOf<typeof api.trialPicturePage>,
  ): Promise<AnswerOf<typeof api.trialPicturePage>> {
    return { picture: input.params.picture, report: (await this.trialReport(tenant, input)).report };
  }

  async hayPosition(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.hayPositionPage>,
  ): Promise<AnswerOf<typeof api.hayPositionPage>> {
    const on = query.on ?? (await this.#head(tenant)).today;
    return {
      operationId: tenant.operationId,
      report: await this.position.report(tenant, { params, query: { on, units: query.units } }),
    };
  }

  async closeout(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.closeoutPage>,
  ): Promise<AnswerOf<typeof api.closeoutPage>> {
    return {
      operationId: tenant.operationId,
      report: await this.closeouts.report(tenant, { params, query }),
      asked: asSent(query),
    };
  }

  async hayBudget(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.hayBudgetPage>,
  ): Promise<AnswerOf<typeof api.hayBudgetPage>> {
    const from = query.from ?? (await this.#head(tenant)).today;
    const until = query.until ?? addDays(from, BUDGET_DAYS - 1);
    return {
      operationId: tenant.operationId,
      report: await this.budget.report(tenant, {
        params,
        query: {
          from,
          until,
          units: query.units,
          view: 'months',
          edition: 'NRC2000',
          intake: 'equations',
          substituteKinds: 'true',
        },
      }),
    };
  }

  async hayLot(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.hayLotPage>,
  ): Promise<AnswerOf<typeof api.hayLotPage>> {
    const { hayLotId } = params;
    const { items } = await this.observations.list(tenant, {
      params,
      query: { hayLotId, limit: MOST_ON_A_PAGE, units: query.units },
    });
    return {
      operationId: tenant.operationId,
      invented: tenant.operation.invented,
      onDay: (await this.#head(tenant)).today,
      plan: await this.samplingPlans.get(tenant, { params, query }),
      observations: items,
      elsewhere: await this.observations.elsewhere(tenant, hayLotId, query.units),
    };
  }

  async rationReport(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.rationReportPage>,
  ): Promise<AnswerOf<typeof api.rationReportPage>> {
    const on = query.on ?? (await this.#head(tenant)).today;
    const asked = { ...USUAL_JUDGING, on, units: query.units, tests: 'now', weather: 'known' } as const;
    const reviews =
      query.herdId === undefined
        ? (await this.reviews.list(tenant, { params, query: { ...asked, limit: MOST_ON_A_PAGE } }, true)).items
        : [await this.reviews.get(tenant, { params: { ...params, herdId: query.herdId }, query: asked }, true)];
    return {
      operationId: tenant.operationId,
      operation: tenant.operation.name,
      invented: tenant.operation.invented,
      onDay: on,
      units: query.units ?? tenant.operation.unitPreference,
      herdId: query.herdId ?? null,
      reviews,
    };
  }

  async herds(
    tenant: Tenant,
    { query }: InputOf<typeof api.portfolioPage>,
  ): Promise<AnswerOf<typeof api.portfolioPage>> {
    const herds = await this.portfolio.list(tenant, { query });
    const onDay = query.on ?? herds.items[0]?.onDay ?? tenant.moment.toISOString().slice(0, 10);
    return { herds, onDay, units: query.units ?? null, asked: asSent(query) };
  }

  async #head(tenant: OperationTenant): Promise<AnswerOf<typeof api.startPage>['operations'][number]> {
    const [operation] = await this.read.heads(tenant, [tenant.operationId]);
    if (operation === undefined) throw notFound('operation');
    return operation;
  }
}
