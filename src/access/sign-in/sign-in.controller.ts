import { Controller, Req } from '@nestjs/common';
import type { FastifyRequest } from 'fastify';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import { bearerOf } from '../guard/bearer.js';
import * as api from './sign-in.schema.js';
import { SignInService } from './sign-in.service.js';

@Controller()
export class SignInController {
  constructor(private readonly service: SignInService) {}

  @Endpoint(api.signIn)
  signIn(
    @Received() { input }: CallOf<typeof api.signIn>,
    @Req() request: FastifyRequest,
  ): Promise<AnswerOf<typeof api.signIn>> {
    return this.service.signIn(input.body, {
      address: request.ip,
      userAgent: request.headers['user-agent'],
      requestId: String(request.id),
    });
  }

  @Endpoint(api.refresh)
  refresh(
    @Received() { input }: CallOf<typeof api.refresh>,
    @Req() request: FastifyRequest,
  ): Promise<AnswerOf<typeof api.refresh>> {
    return this.service.refresh(input.body.refreshToken, { address: request.ip, requestId: String(request.id) });
  }

  @Endpoint(api.signOut)
  signOut(@Received() { asker, input }: CallOf<typeof api.signOut>, @Req() request: FastifyRequest): Promise<void> {
    return this.service.signOut(asker, bearerOf(request), input.body.everywhere, input.body.endKeys);
  }

  @Endpoint(api.me)
  me(@Received() { tenant }: CallOf<typeof api.me>): Promise<AnswerOf<typeof api.me>> {
    return this.service.me(tenant);
  }
}
