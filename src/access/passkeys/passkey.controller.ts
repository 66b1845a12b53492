import { Controller, Req } from '@nestjs/common';
import type { FastifyRequest } from 'fastify';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import { bearerOf } from '../guard/bearer.js';
import { SignInService } from '../sign-in/sign-in.service.js';
import * as api from './passkey.schema.js';
import { PasskeyService } from './passkey.service.js';

@Controller()
export class PasskeyController {
  constructor(
    private readonly service: PasskeyService,
    private readonly signIns: SignInService,
  ) {}

  @Endpoint(api.beginPasskey)
  begin(@Received() { tenant }: CallOf<typeof api.beginPasskey>): Promise<AnswerOf<typeof api.beginPasskey>> {
    return this.service.begin(tenant);
  }

  @Endpoint(api.createPasskey)
  create(
    @Received() { tenant, input }: CallOf<typeof api.createPasskey>,
    @Req() request: FastifyRequest,
  ): Promise<AnswerOf<typeof api.createPasskey>> {
    return this.service.create(tenant, input, bearerOf(request));
  }

  @Endpoint(api.listPasskeys)
  list(@Received() { tenant, input }: CallOf<typeof api.listPasskeys>): Promise<AnswerOf<typeof api.listPasskeys>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getPasskey)
  get(@Received() { tenant, input }: CallOf<typeof api.getPasskey>): Promise<AnswerOf<typeof api.getPasskey>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.renamePasskey)
  rename(@Received() { tenant, input }: CallOf<typeof api.renamePasskey>): Promise<AnswerOf<typeof api.renamePasskey>> {
    return this.service.rename(tenant, input);
  }

  @Endpoint(api.endPasskey)
  end(@Received() { tenant, input }: CallOf<typeof api.endPasskey>): Promise<void> {
    return this.service.end(tenant, input);
  }

  @Endpoint(api.beginPasskeyProof)
  beginProof(
    @Received() { tenant }: CallOf<typeof api.beginPasskeyProof>,
  ): Promise<AnswerOf<typeof api.beginPasskeyProof>> {
    return this.service.beginProof(tenant);
  }

  @Endpoint(api.beginPasskeySignIn)
  beginSignIn(
    @Received() _call: CallOf<typeof api.beginPasskeySignIn>,
  ): Promise<AnswerOf<typeof api.beginPasskeySignIn>> {
    return this.service.beginSignIn();
  }

  @Endpoint(api.signInByPasskey)
  signIn(
    @Received() { input }: CallOf<typeof api.signInByPasskey>,
    @Req() request: FastifyRequest,
  ): Promise<AnswerOf<typeof api.signInByPasskey>> {
    return this.signIns.signInByPasskey(input.body.credential, {
      address: request.ip,
      userAgent: request.headers['user-agent'],
      requestId: String(request.id),
    });
  }
}
