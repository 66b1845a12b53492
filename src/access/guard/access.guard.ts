import { type CanActivate, type ExecutionContext, Inject, Injectable } from '@nestjs/common';
import { Reflector } from '@nestjs/core';
import type { FastifyRequest } from 'fastify';
import { type Clock, CLOCK } from '../../platform/clock.js';
import { Database } from '../../platform/database/database.js';
import type { Asker } from '../../platform/http/asker.js';
import { type AnyEndpoint, ENDPOINT, type ReceivedRequest } from '../../platform/http/endpoint.js';
import { notFound, Problem } from '../../platform/http/problem.js';
import { id } from '../../platform/wire/common.schema.js';
import { ApiKeyStore } from '../api-keys/api-key.store.js';
import { SignInStore } from '../sign-in/sign-in.store.js';
import { KEY_PREFIX } from '../sign-in/tokens.js';
import { bearerOf } from './bearer.js';

/** Outside its operation a key may ask who it is and use the calculations, which touch no record. */
const OPEN_TO_KEYS = /^\/v1\/(me$|calculations)/;

/**
 * Who is asking, and may they? Closed by default: an address without an endpoint's declaration is not served. The membership is read
 * on every request; a token carries no rights of its own. To a stranger an operation does not exist (404); to a member whose role does
 * not reach, the permission is named (403). The service's transaction and the database's policies decide again.
 */
@Injectable()
export class AccessGuard implements CanActivate {
  constructor(
    private readonly reflector: Reflector,
    private readonly database: Database,
    private readonly sessions: SignInStore,
    private readonly keys: ApiKeyStore,
    @Inject(CLOCK) private readonly clock: Clock,
  ) {}

  async canActivate(context: ExecutionContext): Promise<boolean> {
    const endpoint = this.reflector.get<AnyEndpoint | undefined>(ENDPOINT, context.getHandler());
    if (endpoint === undefined) throw new Problem('not-found', 'There is nothing at this address.');
    if (endpoint.access === 'public') return true;
    const request = context.switchToHttp().getRequest<FastifyRequest & ReceivedRequest>();
    const asker = await this.#askerOf(request);
    request.asker = asker;
    if (endpoint.access === 'signed-in') {
      if (asker.apiKeyId !== undefined && !OPEN_TO_KEYS.test(endpoint.path)) throw new Problem('not-permitted', 'An API key works only inside its operation.');
      return true;
    }
    const operationId = (request.params as Record<string, string | undefined>)['operationId'];
    if (operationId === undefined || !id.safeParse(operationId).success) throw notFound('operation');
    const { access } = endpoint;
    const allowed = await this.database.readIn(asker, operationId, (tenant) => Promise.resolve(tenant.may(access)));
    if (!allowed) throw new Problem('not-permitted', `This needs the permission "${access}" in this operation.`);
    return true;
  }

  async #askerOf(request: FastifyRequest): Promise<Asker> {
    const token = bearerOf(request);
    if (token === undefined) throw new Problem('not-signed-in', undefined, [], { 'WWW-Authenticate': 'Bearer' });
    const moment = this.clock.now();
    const at = { moment, requestId: String(request.id), address: request.ip, idempotency: undefined };
    if (token.startsWith(KEY_PREFIX)) {
      const key = await this.keys.use(token, moment);
      if (key !== undefined) return { ...at, personId: key.createdBy, apiKeyId: key.id };
    } else {
      const person = await this.sessions.personOfAccessToken(token, moment);
      if (person !== undefined) return { ...at, personId: person.personId, apiKeyId: undefined };
    }
    throw new Problem('not-signed-in', undefined, [], { 'WWW-Authenticate': 'Bearer error="invalid_token"' });
  }
}
