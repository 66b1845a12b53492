import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './membership.schema.js';
import { MembershipService } from './membership.service.js';

@Controller()
export class MembershipController {
  constructor(private readonly service: MembershipService) {}

  @Endpoint(api.listMemberships)
  list(@Received() call: CallOf<typeof api.listMemberships>): Promise<AnswerOf<typeof api.listMemberships>> {
    return this.service.list(call);
  }

  @Endpoint(api.getMembership)
  get(@Received() call: CallOf<typeof api.getMembership>): Promise<AnswerOf<typeof api.getMembership>> {
    return this.service.get(call);
  }

  @Endpoint(api.membershipHistory)
  history(@Received() call: CallOf<typeof api.membershipHistory>): Promise<AnswerOf<typeof api.membershipHistory>> {
    return this.service.history(call);
  }

  @Endpoint(api.changeMembership)
  change(@Received() call: CallOf<typeof api.changeMembership>): Promise<AnswerOf<typeof api.changeMembership>> {
    return this.service.change(call);
  }

  @Endpoint(api.endMembership)
  end(@Received() call: CallOf<typeof api.endMembership>): Promise<AnswerOf<typeof api.endMembership>> {
    return this.service.end(call);
  }

  @Endpoint(api.issueRecoveryToken)
  issueRecoveryToken(
    @Received() call: CallOf<typeof api.issueRecoveryToken>,
  ): Promise<AnswerOf<typeof api.issueRecoveryToken>> {
    return this.service.issueRecoveryToken(call);
  }
}
