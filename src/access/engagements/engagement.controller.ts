import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './engagement.schema.js';
import { EngagementService } from './engagement.service.js';

@Controller()
export class EngagementController {
  constructor(private readonly service: EngagementService) {}

  @Endpoint(api.offerEngagement)
  offer(
    @Received() { tenant, input }: CallOf<typeof api.offerEngagement>,
  ): Promise<AnswerOf<typeof api.offerEngagement>> {
    return this.service.offer(tenant, input);
  }

  @Endpoint(api.acceptProposal)
  acceptProposal(
    @Received() { tenant, input }: CallOf<typeof api.acceptProposal>,
  ): Promise<AnswerOf<typeof api.acceptProposal>> {
    return this.service.acceptProposal(tenant, input);
  }

  @Endpoint(api.listEngagements)
  list(
    @Received() { tenant, input }: CallOf<typeof api.listEngagements>,
  ): Promise<AnswerOf<typeof api.listEngagements>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getEngagement)
  get(@Received() { tenant, input }: CallOf<typeof api.getEngagement>): Promise<AnswerOf<typeof api.getEngagement>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.changeEngagement)
  change(
    @Received() { tenant, input }: CallOf<typeof api.changeEngagement>,
  ): Promise<AnswerOf<typeof api.changeEngagement>> {
    return this.service.change(tenant, input);
  }

  @Endpoint(api.endEngagement)
  end(@Received() { tenant, input }: CallOf<typeof api.endEngagement>): Promise<AnswerOf<typeof api.endEngagement>> {
    return this.service.end(tenant, input);
  }

  @Endpoint(api.listOwnEngagements)
  listOwn(
    @Received() { tenant, input }: CallOf<typeof api.listOwnEngagements>,
  ): Promise<AnswerOf<typeof api.listOwnEngagements>> {
    return this.service.listOwn(tenant, input);
  }

  @Endpoint(api.getOwnEngagement)
  getOwn(
    @Received() { tenant, input }: CallOf<typeof api.getOwnEngagement>,
  ): Promise<AnswerOf<typeof api.getOwnEngagement>> {
    return this.service.getOwn(tenant, input);
  }

  @Endpoint(api.findOffer)
  byCode(@Received() { tenant, input }: CallOf<typeof api.findOffer>): Promise<AnswerOf<typeof api.findOffer>> {
    return this.service.byCode(tenant, input);
  }

  @Endpoint(api.acceptEngagement)
  accept(
    @Received() { tenant, input }: CallOf<typeof api.acceptEngagement>,
  ): Promise<AnswerOf<typeof api.acceptEngagement>> {
    return this.service.accept(tenant, input);
  }

  @Endpoint(api.declineEngagement)
  decline(
    @Received() { tenant, input }: CallOf<typeof api.declineEngagement>,
  ): Promise<AnswerOf<typeof api.declineEngagement>> {
    return this.service.decline(tenant, input);
  }

  @Endpoint(api.endOwnEngagement)
  endOwn(
    @Received() { asker, input }: CallOf<typeof api.endOwnEngagement>,
  ): Promise<AnswerOf<typeof api.endOwnEngagement>> {
    return this.service.endOwn(asker, input);
  }

  @Endpoint(api.engagementCopy)
  copy(@Received() { asker, input }: CallOf<typeof api.engagementCopy>): Promise<AnswerOf<typeof api.engagementCopy>> {
    return this.service.copy(asker, input);
  }

  @Endpoint(api.createProposal)
  propose(
    @Received() { tenant, input }: CallOf<typeof api.createProposal>,
  ): Promise<AnswerOf<typeof api.createProposal>> {
    return this.service.propose(tenant, input);
  }

  @Endpoint(api.listProposals)
  listProposals(
    @Received() { tenant, input }: CallOf<typeof api.listProposals>,
  ): Promise<AnswerOf<typeof api.listProposals>> {
    return this.service.listProposals(tenant, input);
  }

  @Endpoint(api.getProposal)
  getProposal(
    @Received() { tenant, input }: CallOf<typeof api.getProposal>,
  ): Promise<AnswerOf<typeof api.getProposal>> {
    return this.service.getProposal(tenant, input);
  }

  @Endpoint(api.closeProposal)
  closeProposal(@Received() { tenant, input }: CallOf<typeof api.closeProposal>): Promise<void> {
    return this.service.closeProposal(tenant, input);
  }

  @Endpoint(api.findProposal)
  findProposal(
    @Received() { tenant, input }: CallOf<typeof api.findProposal>,
  ): Promise<AnswerOf<typeof api.findProposal>> {
    return this.service.findProposal(tenant, input);
  }

  @Endpoint(api.declineProposal)
  declineProposal(
    @Received() { tenant, input }: CallOf<typeof api.declineProposal>,
  ): Promise<AnswerOf<typeof api.declineProposal>> {
    return this.service.declineProposal(tenant, input);
  }
}
