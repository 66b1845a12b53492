import { Controller, Req } from '@nestjs/common';
import type { FastifyRequest } from 'fastify';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './invitation.schema.js';
import { InvitationService } from './invitation.service.js';

@Controller()
export class InvitationController {
  constructor(private readonly service: InvitationService) {}

  @Endpoint(api.createInvitation)
  create(@Received() call: CallOf<typeof api.createInvitation>): Promise<AnswerOf<typeof api.createInvitation>> {
    return this.service.create(call);
  }

  @Endpoint(api.listInvitations)
  list(@Received() call: CallOf<typeof api.listInvitations>): Promise<AnswerOf<typeof api.listInvitations>> {
    return this.service.list(call);
  }

  @Endpoint(api.getInvitation)
  get(@Received() call: CallOf<typeof api.getInvitation>): Promise<AnswerOf<typeof api.getInvitation>> {
    return this.service.get(call);
  }

  @Endpoint(api.withdrawInvitation)
  withdraw(@Received() call: CallOf<typeof api.withdrawInvitation>): Promise<void> {
    return this.service.withdraw(call);
  }

  @Endpoint(api.acceptInvitation)
  accept(
    @Received() call: CallOf<typeof api.acceptInvitation>,
    @Req() request: FastifyRequest,
  ): Promise<AnswerOf<typeof api.acceptInvitation>> {
    return this.service.accept(call, { address: request.ip, requestId: String(request.id) });
  }

  @Endpoint(api.joinByInvitation)
  join(@Received() call: CallOf<typeof api.joinByInvitation>): Promise<AnswerOf<typeof api.joinByInvitation>> {
    return this.service.join(call);
  }
}
