import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './engagement.schema.js';
import { EngagementService } from './engagement.service.js';

@Controller()
export class EngagementController {
  constructor(private readonly service: EngagementService) {}

  @Endpoint(api.offerEngagement)
  offer(@Received() call: CallOf<typeof api.offerEngagement>): Promise<AnswerOf<typeof api.offerEngagement>> {
    return this.service.offer(call);
  }

  @Endpoint(api.acceptProposal)
  acceptProposal(@Received() call: CallOf<typeof api.acceptProposal>): Promise<AnswerOf<typeof api.acceptProposal>> {
    return this.service.acceptProposal(call);
  }

  @Endpoint(api.listEngagements)
  list(@Received() call: CallOf<typeof api.listEngagements>): Promise<AnswerOf<typeof api.listEngagements>> {
    return this.service.list(call);
  }

  @Endpoint(api.getEngagement)
  get(@Received() call: CallOf<typeof api.getEngagement>): Promise<AnswerOf<typeof api.getEngagement>> {
    return this.service.get(call);
  }

  @Endpoint(api.changeEngagement)
  change(@Received() call: CallOf<typeof api.changeEngagement>): Promise<AnswerOf<typeof api.changeEngagement>> {
    return this.service.change(call);
  }

  @Endpoint(api.endEngagement)
  end(@Received() call: CallOf<typeof api.endEngagement>): Promise<AnswerOf<typeof api.endEngagement>> {
    return this.service.end(call);
  }

  @Endpoint(api.listOwnEngagements)
  listOwn(@Received() call: CallOf<typeof api.listOwnEngagements>): Promise<AnswerOf<typeof api.listOwnEngagements>> {
    return this.service.listOwn(call);
  }

  @Endpoint(api.getOwnEngagement)
  getOwn(@Received() call: CallOf<typeof api.getOwnEngagement>): Promise<AnswerOf<typeof api.getOwnEngagement>> {
    return this.service.getOwn(call);
  }

  @Endpoint(api.acceptEngagement)
  accept(@Received() call: CallOf<typeof api.acceptEngagement>): Promise<AnswerOf<typeof api.acceptEngagement>> {
    return this.service.accept(call);
  }

  @Endpoint(api.declineEngagement)
  decline(@Received() call: CallOf<typeof api.declineEngagement>): Promise<AnswerOf<typeof api.declineEngagement>> {
    return this.service.decline(call);
  }

  @Endpoint(api.endOwnEngagement)
  endOwn(@Received() call: CallOf<typeof api.endOwnEngagement>): Promise<AnswerOf<typeof api.endOwnEngagement>> {
    return this.service.endOwn(call);
  }

  @Endpoint(api.engagementCopy)
  copy(@Received() call: CallOf<typeof api.engagementCopy>): Promise<AnswerOf<typeof api.engagementCopy>> {
    return this.service.copy(call);
  }

  @Endpoint(api.createProposal)
  propose(@Received() call: CallOf<typeof api.createProposal>): Promise<AnswerOf<typeof api.createProposal>> {
    return this.service.propose(call);
  }

  @Endpoint(api.listProposals)
  listProposals(@Received() call: CallOf<typeof api.listProposals>): Promise<AnswerOf<typeof api.listProposals>> {
    return this.service.listProposals(call);
  }

  @Endpoint(api.getProposal)
  getProposal(@Received() call: CallOf<typeof api.getProposal>): Promise<AnswerOf<typeof api.getProposal>> {
    return this.service.getProposal(call);
  }

  @Endpoint(api.closeProposal)
  closeProposal(@Received() call: CallOf<typeof api.closeProposal>): Promise<void> {
    return this.service.closeProposal(call);
  }
}
