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
    @Received() call: CallOf<typeof api.changePassphrase>,
    @Req() request: FastifyRequest,
  ): Promise<void> {
    return this.service.changePassphrase(call, bearerOf(request));
  }

  @Endpoint(api.listSessions)
  listSessions(
    @Received() call: CallOf<typeof api.listSessions>,
    @Req() request: FastifyRequest,
  ): Promise<AnswerOf<typeof api.listSessions>> {
    return this.service.listSessions(call, bearerOf(request));
  }

  @Endpoint(api.endSession)
  endSession(@Received() call: CallOf<typeof api.endSession>): Promise<void> {
    return this.service.endSession(call);
  }

  @Endpoint(api.makeRecoveryCodes)
  makeRecoveryCodes(
    @Received() call: CallOf<typeof api.makeRecoveryCodes>,
  ): Promise<AnswerOf<typeof api.makeRecoveryCodes>> {
    return this.service.makeRecoveryCodes(call);
  }

  @Endpoint(api.getSecondFactor)
  secondFactor(
    @Received() { asker }: CallOf<typeof api.getSecondFactor>,
  ): Promise<AnswerOf<typeof api.getSecondFactor>> {
    return this.service.secondFactor(asker);
  }

  @Endpoint(api.beginSecondFactor)
  beginSecondFactor(
    @Received() call: CallOf<typeof api.beginSecondFactor>,
  ): Promise<AnswerOf<typeof api.beginSecondFactor>> {
    return this.service.beginSecondFactor(call);
  }

  @Endpoint(api.confirmSecondFactor)
  confirmSecondFactor(
    @Received() call: CallOf<typeof api.confirmSecondFactor>,
  ): Promise<AnswerOf<typeof api.confirmSecondFactor>> {
    return this.service.confirmSecondFactor(call);
  }

  @Endpoint(api.removeSecondFactor)
  removeSecondFactor(@Received() call: CallOf<typeof api.removeSecondFactor>): Promise<void> {
    return this.service.removeSecondFactor(call);
  }

  @Endpoint(api.recoverByCode)
  recoverByCode(@Received() { body }: CallOf<typeof api.recoverByCode>, @Req() request: FastifyRequest): Promise<void> {
    return this.recovery.byCode(body, { address: request.ip, requestId: String(request.id) });
  }

  @Endpoint(api.recoverByToken)
  recoverByToken(
    @Received() { body }: CallOf<typeof api.recoverByToken>,
    @Req() request: FastifyRequest,
  ): Promise<void> {
    return this.recovery.byToken(body, { address: request.ip, requestId: String(request.id) });
  }
}
