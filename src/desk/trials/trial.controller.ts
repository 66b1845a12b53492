import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as pooling from './pooled-trials.schema.js';
import { PooledTrialsService } from './pooled-trials.service.js';
import { TrialDrawService } from './trial-draw.service.js';
import { TrialEventService } from './trial-event.service.js';
import * as judging from './trial-judgement.schema.js';
import { TrialJudgementService } from './trial-judgement.service.js';
import { TrialRunService } from './trial-run.service.js';
import * as api from './trial.schema.js';
import { TrialService } from './trial.service.js';

@Controller()
export class TrialController {
  constructor(
    private readonly trials: TrialService,
    private readonly draws: TrialDrawService,
    private readonly events: TrialEventService,
    private readonly runs: TrialRunService,
    private readonly judgements: TrialJudgementService,
    private readonly pools: PooledTrialsService,
  ) {}

  @Endpoint(api.createTrial)
  create(@Received() { tenant, input }: CallOf<typeof api.createTrial>): Promise<AnswerOf<typeof api.createTrial>> {
    return this.trials.create(tenant, input);
  }

  @Endpoint(api.listTrials)
  list(@Received() { tenant, input }: CallOf<typeof api.listTrials>): Promise<AnswerOf<typeof api.listTrials>> {
    return this.trials.list(tenant, input);
  }

  @Endpoint(api.getTrial)
  get(@Received() { tenant, input }: CallOf<typeof api.getTrial>): Promise<AnswerOf<typeof api.getTrial>> {
    return this.trials.get(tenant, input);
  }

  @Endpoint(api.changeTrial)
  change(@Received() { tenant, input }: CallOf<typeof api.changeTrial>): Promise<AnswerOf<typeof api.changeTrial>> {
    return this.trials.change(tenant, input);
  }

  @Endpoint(api.beginTrial)
  begin(@Received() { tenant, input }: CallOf<typeof api.beginTrial>): Promise<AnswerOf<typeof api.beginTrial>> {
    return this.trials.begin(tenant, input);
  }

  @Endpoint(api.amendTrial)
  amend(@Received() { tenant, input }: CallOf<typeof api.amendTrial>): Promise<AnswerOf<typeof api.amendTrial>> {
    return this.trials.amend(tenant, input);
  }

  @Endpoint(api.closeTrial)
  close(@Received() { tenant, input }: CallOf<typeof api.closeTrial>): Promise<AnswerOf<typeof api.closeTrial>> {
    return this.trials.close(tenant, input);
  }

  @Endpoint(api.drawTrialArms)
  draw(@Received() { tenant, input }: CallOf<typeof api.drawTrialArms>): Promise<AnswerOf<typeof api.drawTrialArms>> {
    return this.draws.draw(tenant, input);
  }

  @Endpoint(api.listTrialDraws)
  listDraws(
    @Received() { tenant, input }: CallOf<typeof api.listTrialDraws>,
  ): Promise<AnswerOf<typeof api.listTrialDraws>> {
    return this.draws.list(tenant, input);
  }

  @Endpoint(api.getTrialDraw)
  getDraw(@Received() { tenant, input }: CallOf<typeof api.getTrialDraw>): Promise<AnswerOf<typeof api.getTrialDraw>> {
    return this.draws.get(tenant, input);
  }

  @Endpoint(api.createTrialEvent)
  createEvent(
    @Received() { tenant, input }: CallOf<typeof api.createTrialEvent>,
  ): Promise<AnswerOf<typeof api.createTrialEvent>> {
    return this.events.create(tenant, input);
  }

  @Endpoint(api.listTrialEvents)
  listEvents(
    @Received() { tenant, input }: CallOf<typeof api.listTrialEvents>,
  ): Promise<AnswerOf<typeof api.listTrialEvents>> {
    return this.events.list(tenant, input);
  }

  @Endpoint(api.getTrialEvent)
  getEvent(
    @Received() { tenant, input }: CallOf<typeof api.getTrialEvent>,
  ): Promise<AnswerOf<typeof api.getTrialEvent>> {
    return this.events.get(tenant, input);
  }

  @Endpoint(api.reverseTrialEvent)
  reverseEvent(
    @Received() { tenant, input }: CallOf<typeof api.reverseTrialEvent>,
  ): Promise<AnswerOf<typeof api.reverseTrialEvent>> {
    return this.events.reverse(tenant, input);
  }

  @Endpoint(pooling.getPooledTrials)
  getPooled(
    @Received() { tenant, input }: CallOf<typeof pooling.getPooledTrials>,
  ): Promise<AnswerOf<typeof pooling.getPooledTrials>> {
    return this.pools.get(tenant, input);
  }

  @Endpoint(judging.getTrialRun)
  getRun(
    @Received() { tenant, input }: CallOf<typeof judging.getTrialRun>,
  ): Promise<AnswerOf<typeof judging.getTrialRun>> {
    return this.runs.get(tenant, input);
  }

  @Endpoint(judging.judgeTrialNow)
  judge(
    @Received() { tenant, input }: CallOf<typeof judging.judgeTrialNow>,
  ): Promise<AnswerOf<typeof judging.judgeTrialNow>> {
    return this.judgements.judge(tenant, input);
  }

  @Endpoint(judging.listJudgements)
  listJudgements(
    @Received() { tenant, input }: CallOf<typeof judging.listJudgements>,
  ): Promise<AnswerOf<typeof judging.listJudgements>> {
    return this.judgements.list(tenant, input);
  }
}
