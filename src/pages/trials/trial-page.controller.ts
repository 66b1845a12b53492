import { Controller } from '@nestjs/common';
import { TrialJudgementService } from '../../desk/trials/trial-judgement.service.js';
import { TrialService } from '../../desk/trials/trial.service.js';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './trial-page.schema.js';

/** Trial answers that can also be viewed as a page, on paper or as a picture. */
@Controller()
export class TrialPageController {
  constructor(
    private readonly trials: TrialService,
    private readonly judgements: TrialJudgementService,
  ) {}

  @Endpoint(api.getTrialPlan)
  plan(
    @Received() { tenant, input: { params, query } }: CallOf<typeof api.getTrialPlan>,
  ): Promise<AnswerOf<typeof api.getTrialPlan>> {
    return this.trials.planAnswer(tenant, params.trialId, query.units);
  }

  @Endpoint(api.getTrialProtocol)
  protocol(
    @Received() { tenant, input: { params } }: CallOf<typeof api.getTrialProtocol>,
  ): Promise<AnswerOf<typeof api.getTrialProtocol>> {
    return this.trials.protocol(tenant, params.trialId);
  }

  @Endpoint(api.getTrialJudgement)
  judgement(
    @Received() { tenant, input: { params, query } }: CallOf<typeof api.getTrialJudgement>,
  ): Promise<AnswerOf<typeof api.getTrialJudgement>> {
    return this.judgements.report(tenant, params.trialId, params.judgementId, query.units);
  }

  @Endpoint(api.getTrialPicture)
  async picture(
    @Received() { tenant, input: { params, query } }: CallOf<typeof api.getTrialPicture>,
  ): Promise<AnswerOf<typeof api.getTrialPicture>> {
    const report = await this.judgements.report(tenant, params.trialId, params.judgementId, query.units);
    return { picture: params.picture, report };
  }
}
