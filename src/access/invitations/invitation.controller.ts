import { Controller, Req } from '@nestjs/common';
import type { FastifyRequest } from 'fastify';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './invitation.schema.js';
import { InvitationService } from './invitation.service.js';

@Controller()
export class InvitationController {
  constructor(private readonly service: InvitationService) {}

  @Endpoint(api.createInvitation)
  create(
    @Received() { tenant, input }: CallOf<typeof api.createInvitation>,
  ): Promise<AnswerOf<typeof api.createInvitation>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listInvitations)
  list(
    @Received() { tenant, input }: CallOf<typeof api.listInvitations>,
  ): Promise<AnswerOf<typeof api.listInvitations>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getInvitation)
  get(@Received() { tenant, input }: CallOf<typeof api.getInvitation>): Promise<AnswerOf<typeof api.getInvitation>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.withdrawInvitation)
  withdraw(@Received() { tenant, input }: CallOf<typeof api.withdrawInvitation>): Promise<void> {
    return this.service.withdraw(tenant, input);
  }

  @Endpoint(api.acceptInvitation)
  accept(
    @Received() { input }: CallOf<typeof api.acceptInvitation>,
    @Req() request: FastifyRequest,
  ): Promise<AnswerOf<typeof api.acceptInvitation>> {
    return this.service.accept(input, { address: request.ip, requestId: String(request.id) });
  }

  @Endpoint(api.joinByInvitation)
  join(
    @Received() { asker, input }: CallOf<typeof api.joinByInvitation>,
  ): Promise<AnswerOf<typeof api.joinByInvitation>> {
    return this.service.join(asker, input);
  }
}
