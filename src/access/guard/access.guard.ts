import { type CanActivate, type ExecutionContext, Inject, Injectable } from '@nestjs/common';
import { Reflector } from '@nestjs/core';
import type { FastifyRequest } from 'fastify';
import { type Clock, CLOCK } from '../../platform/clock.js';
import { Database } from '../../platform/database/database.js';
import type { Asker } from '../../platform/http/asker.js';
import { type AnyEndpoint, ENDPOINT } from '../../platform/http/endpoint.js';
import { notFound, Problem } from '../../platform/http/problem.js';
import { id } from '../../platform/wire/common.schema.js';
import { ApiKeyStore } from '../api-keys/api-key.store.js';
import type { DeniableRequest } from '../denials/denial-recorder.store.js';
import { SignInStore } from '../sign-in/sign-in.store.js';
import { pageTokenOf, sentByOwnPage } from '../page-sign-in/page-cookie.js';
import { KEY_PREFIX, PAGE_PREFIX } from '../sign-in/tokens.js';
import { bearerOf } from './bearer.js';

/** Outside its operation a key may ask who it is and use the calculations, which touch no record. */
const OPEN_TO_KEYS = /^\/v1\/(me$|calculations)/;
/** What is a person's own business: never a key's, not even their own. */
const ACCOUNT = /^\/v1\/me\//;

/**
 * Who is asking, and may they? Closed by default: an address without an endpoint's declaration is not served. The
 * membership is read on every request; a token carries no rights of its own. To a stranger an operation does not exist
 * (404); to a member whose role does not reach, the permission is named (403). What is turned away is noted where the
 * answers go out. The service's transaction and the database's policies decide again.
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
    const request = context.switchToHttp().getRequest<DeniableRequest>();
    request.endpoint = endpoint;
    if (endpoint.access === 'public') return true;
    const { asker, ownKey } = await this.#askerOf(request, endpoint);
    request.asker = asker;
    if (endpoint.access === 'signed-in') {
      // A consultant's own key may look across operations (a portfolio), an operation's key not beyond it.
      const open =
        OPEN_TO_KEYS.test(endpoint.path) || (ownKey && endpoint.method === 'GET' && !ACCOUNT.test(endpoint.path));
      if (asker.apiKeyId !== undefined && !open)
        throw new Problem('not-permitted', 'An API key works only inside its operation.');
      return true;
    }
    const operationId = (request.params as Record<string, string | undefined>)['operationId'];
    if (operationId === undefined || !id.safeParse(operationId).success) throw notFound('operation');
    const { access } = endpoint;
    const allowed = await this.database.readIn(asker, operationId, (tenant) => Promise.resolve(tenant.may(access)));
    if (!allowed) throw new Problem('not-permitted', `This needs the permission "${access}" in this operation.`);
    return true;
  }

  async #askerOf(request: DeniableRequest, endpoint: AnyEndpoint): Promise<{ asker: Asker; ownKey: boolean }> {
    const token = bearerOf(request) ?? pageToken(request, endpoint);
    if (token === undefined) throw new Problem('not-signed-in', undefined, [], { 'WWW-Authenticate': 'Bearer' });
    const moment = this.clock.now();
    const at = { moment, requestId: String(request.id), address: request.ip, idempotency: undefined };
    if (token.startsWith(KEY_PREFIX)) {
      const key = await this.keys.use(token, moment);
      if (key?.good === true)
        return {
          asker: { ...at, personId: key.createdBy, apiKeyId: key.id, keyOperationId: key.operationId },
          ownKey: key.operationId === undefined,
        };
      if (key?.operationId !== undefined)
        request.staleKey = { id: key.id, createdBy: key.createdBy, operationId: key.operationId };
    } else if (!token.startsWith(PAGE_PREFIX) || bearerOf(request) === undefined) {
      const person = await this.sessions.personOfAccessToken(token, moment);
      if (person !== undefined)
        return { asker: { ...at, personId: person.personId, apiKeyId: undefined }, ownKey: false };
    }
    throw new Problem('not-signed-in', undefined, [], { 'WWW-Authenticate': 'Bearer error="invalid_token"' });
  }
}

/**
 * The cookie opens pages only, and of them only what is read; a form that comes with it must come from a page of ours.
 */
function pageToken(request: FastifyRequest, endpoint: AnyEndpoint): string | undefined {
  const token = endpoint.browser === true ? pageTokenOf(request) : undefined;
  if (token !== undefined && endpoint.method !== 'GET' && !sentByOwnPage(request))
    throw new Problem('not-permitted', 'This form was not sent by a page of this server.');
  return token;
}
