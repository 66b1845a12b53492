import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
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
  ) {}

  @Endpoint(api.createTrial)
  create(@Received() call: CallOf<typeof api.createTrial>): Promise<AnswerOf<typeof api.createTrial>> {
    return this.trials.create(call);
  }

  @Endpoint(api.listTrials)
  list(@Received() call: CallOf<typeof api.listTrials>): Promise<AnswerOf<typeof api.listTrials>> {
    return this.trials.list(call);
  }

  @Endpoint(api.getTrial)
  get(@Received() call: CallOf<typeof api.getTrial>): Promise<AnswerOf<typeof api.getTrial>> {
    return this.trials.get(call);
  }

  @Endpoint(api.changeTrial)
  change(@Received() call: CallOf<typeof api.changeTrial>): Promise<AnswerOf<typeof api.changeTrial>> {
    return this.trials.change(call);
  }

  @Endpoint(api.beginTrial)
  begin(@Received() call: CallOf<typeof api.beginTrial>): Promise<AnswerOf<typeof api.beginTrial>> {
    return this.trials.begin(call);
  }

  @Endpoint(api.amendTrial)
  amend(@Received() call: CallOf<typeof api.amendTrial>): Promise<AnswerOf<typeof api.amendTrial>> {
    return this.trials.amend(call);
  }

  @Endpoint(api.closeTrial)
  close(@Received() call: CallOf<typeof api.closeTrial>): Promise<AnswerOf<typeof api.closeTrial>> {
    return this.trials.close(call);
  }

  @Endpoint(api.drawTrialArms)
  draw(@Received() call: CallOf<typeof api.drawTrialArms>): Promise<AnswerOf<typeof api.drawTrialArms>> {
    return this.draws.draw(call);
  }

  @Endpoint(api.listTrialDraws)
  listDraws(@Received() call: CallOf<typeof api.listTrialDraws>): Promise<AnswerOf<typeof api.listTrialDraws>> {
    return this.draws.list(call);
  }

  @Endpoint(api.getTrialDraw)
  getDraw(@Received() call: CallOf<typeof api.getTrialDraw>): Promise<AnswerOf<typeof api.getTrialDraw>> {
    return this.draws.get(call);
  }

  @Endpoint(api.createTrialEvent)
  createEvent(@Received() call: CallOf<typeof api.createTrialEvent>): Promise<AnswerOf<typeof api.createTrialEvent>> {
    return this.events.create(call);
  }

  @Endpoint(api.listTrialEvents)
  listEvents(@Received() call: CallOf<typeof api.listTrialEvents>): Promise<AnswerOf<typeof api.listTrialEvents>> {
    return this.events.list(call);
  }

  @Endpoint(api.getTrialEvent)
  getEvent(@Received() call: CallOf<typeof api.getTrialEvent>): Promise<AnswerOf<typeof api.getTrialEvent>> {
    return this.events.get(call);
  }

  @Endpoint(api.reverseTrialEvent)
  reverseEvent(
    @Received() call: CallOf<typeof api.reverseTrialEvent>,
  ): Promise<AnswerOf<typeof api.reverseTrialEvent>> {
    return this.events.reverse(call);
  }

  @Endpoint(judging.getTrialRun)
  getRun(@Received() call: CallOf<typeof judging.getTrialRun>): Promise<AnswerOf<typeof judging.getTrialRun>> {
    return this.runs.get(call);
  }

  @Endpoint(judging.judgeTrialNow)
  judge(@Received() call: CallOf<typeof judging.judgeTrialNow>): Promise<AnswerOf<typeof judging.judgeTrialNow>> {
    return this.judgements.judge(call);
  }

  @Endpoint(judging.listJudgements)
  listJudgements(
    @Received() call: CallOf<typeof judging.listJudgements>,
  ): Promise<AnswerOf<typeof judging.listJudgements>> {
    return this.judgements.list(call);
  }
}
