import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './membership.schema.js';
import { MembershipService } from './membership.service.js';

@Controller()
export class MembershipController {
  constructor(private readonly service: MembershipService) {}

  @Endpoint(api.listMemberships)
  list(
    @Received() { tenant, input }: CallOf<typeof api.listMemberships>,
  ): Promise<AnswerOf<typeof api.listMemberships>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getMembership)
  get(@Received() { tenant, input }: CallOf<typeof api.getMembership>): Promise<AnswerOf<typeof api.getMembership>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.membershipHistory)
  history(
    @Received() { tenant, input }: CallOf<typeof api.membershipHistory>,
  ): Promise<AnswerOf<typeof api.membershipHistory>> {
    return this.service.history(tenant, input);
  }

  @Endpoint(api.changeMembership)
  change(
    @Received() { tenant, input }: CallOf<typeof api.changeMembership>,
  ): Promise<AnswerOf<typeof api.changeMembership>> {
    return this.service.change(tenant, input);
  }

  @Endpoint(api.confirmMembership)
  confirm(
    @Received() { tenant, input }: CallOf<typeof api.confirmMembership>,
  ): Promise<AnswerOf<typeof api.confirmMembership>> {
    return this.service.confirm(tenant, input);
  }

  @Endpoint(api.endMembership)
  end(@Received() { tenant, input }: CallOf<typeof api.endMembership>): Promise<AnswerOf<typeof api.endMembership>> {
    return this.service.end(tenant, input);
  }

  @Endpoint(api.issueRecoveryToken)
  issueRecoveryToken(
    @Received() { tenant, input }: CallOf<typeof api.issueRecoveryToken>,
  ): Promise<AnswerOf<typeof api.issueRecoveryToken>> {
    return this.service.issueRecoveryToken(tenant, input);
  }
}
