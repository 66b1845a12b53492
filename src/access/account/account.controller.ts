import { Controller, Req } from '@nestjs/common';
import type { FastifyRequest } from 'fastify';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import { bearerOf } from '../guard/bearer.js';
import { RecoveryService } from '../recovery/recovery.service.js';
import * as api from './account.schema.js';
import { AccountService } from './account.service.js';

@Controller()
export class AccountController {
  constructor(
    private readonly service: AccountService,
    private readonly recovery: RecoveryService,
  ) {}

  @Endpoint(api.changePassphrase)
  changePassphrase(
    @Received() { asker, input }: CallOf<typeof api.changePassphrase>,
    @Req() request: FastifyRequest,
  ): Promise<AnswerOf<typeof api.changePassphrase>> {
    return this.service.changePassphrase(asker, input, bearerOf(request));
  }

  @Endpoint(api.secondLook)
  secondLook(
    @Received() { asker, input }: CallOf<typeof api.secondLook>,
    @Req() request: FastifyRequest,
  ): Promise<AnswerOf<typeof api.secondLook>> {
    return this.service.secondLook(asker, input, bearerOf(request));
  }

  @Endpoint(api.listSessions)
  listSessions(
    @Received() { tenant, input }: CallOf<typeof api.listSessions>,
    @Req() request: FastifyRequest,
  ): Promise<AnswerOf<typeof api.listSessions>> {
    return this.service.listSessions(tenant, input, bearerOf(request));
  }

  @Endpoint(api.endSession)
  endSession(@Received() { tenant, input }: CallOf<typeof api.endSession>): Promise<void> {
    return this.service.endSession(tenant, input);
  }

  @Endpoint(api.listActivity)
  listActivity(
    @Received() { tenant, input }: CallOf<typeof api.listActivity>,
  ): Promise<AnswerOf<typeof api.listActivity>> {
    return this.service.listActivity(tenant, input);
  }

  @Endpoint(api.makeRecoveryCodes)
  makeRecoveryCodes(
    @Received() { asker, input }: CallOf<typeof api.makeRecoveryCodes>,
  ): Promise<AnswerOf<typeof api.makeRecoveryCodes>> {
    return this.service.makeRecoveryCodes(asker, input);
  }

  @Endpoint(api.getSecondFactor)
  secondFactor(
    @Received() { tenant }: CallOf<typeof api.getSecondFactor>,
  ): Promise<AnswerOf<typeof api.getSecondFactor>> {
    return this.service.secondFactor(tenant);
  }

  @Endpoint(api.beginSecondFactor)
  beginSecondFactor(
    @Received() { asker, input }: CallOf<typeof api.beginSecondFactor>,
  ): Promise<AnswerOf<typeof api.beginSecondFactor>> {
    return this.service.beginSecondFactor(asker, input);
  }

  @Endpoint(api.confirmSecondFactor)
  confirmSecondFactor(
    @Received() { asker, input }: CallOf<typeof api.confirmSecondFactor>,
    @Req() request: FastifyRequest,
  ): Promise<AnswerOf<typeof api.confirmSecondFactor>> {
    return this.service.confirmSecondFactor(asker, input, bearerOf(request));
  }

  @Endpoint(api.removeSecondFactor)
  removeSecondFactor(@Received() { asker, input }: CallOf<typeof api.removeSecondFactor>): Promise<void> {
    return this.service.removeSecondFactor(asker, input);
  }

  @Endpoint(api.recoverByCode)
  recoverByCode(
    @Received() { input }: CallOf<typeof api.recoverByCode>,
    @Req() request: FastifyRequest,
  ): Promise<void> {
    return this.recovery.byCode(input.body, { address: request.ip, requestId: String(request.id) });
  }

  @Endpoint(api.recoverByToken)
  recoverByToken(
    @Received() { input }: CallOf<typeof api.recoverByToken>,
    @Req() request: FastifyRequest,
  ): Promise<void> {
    return this.recovery.byToken(input.body, { address: request.ip, requestId: String(request.id) });
  }
}
