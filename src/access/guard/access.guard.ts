import { type CanActivate, type ExecutionContext, Inject, Injectable } from '@nestjs/common';
import { Reflector } from '@nestjs/core';
import type { FastifyRequest } from 'fastify';
import type { Transaction } from 'kysely';
import { type Clock, CLOCK } from '../../platform/clock.js';
import type { DB } from '../../platform/database/types.js';
import type { Asker } from '../../platform/http/asker.js';
import { type AnyEndpoint, ENDPOINT } from '../../platform/http/endpoint.js';
import { notFound, Problem } from '../../platform/http/problem.js';
import { id } from '../../platform/wire/common.schema.js';
import { ApiKeyStore } from '../api-keys/api-key.store.js';
import type { DeniableRequest } from '../denials/denial-recorder.store.js';
import { pageTokenOf, refuseForeignForm } from '../page-sign-in/page-cookie.js';
import { hashToken, KEY_PREFIX, PAGE_PREFIX } from '../sign-in/tokens.js';
import { bearerOf } from './bearer.js';

/** Outside its operation a key may ask who it is and use the calculations, which touch no record. */
const OPEN_TO_KEYS = /^\/v1\/(me$|calculations)/;
/** What only a person may do, never a key, not even their own. */
const ACCOUNT = /^\/v1\/me\//;

/**
 * Who is asking? Closed by default: an address without a declared endpoint is not served, and one that is not public
 * needs a token. The request's own transaction (`EndpointInterceptor`) looks up whose token it is and reads the
 * membership: a token carries no rights of its own. To a stranger an operation does not exist (404); a member whose
 * role does not allow it is told which permission is missing (403). Refusals are noted where the answers go out. The
 * database's policies check again.
 */
@Injectable()
export class AccessGuard implements CanActivate {
  constructor(
    private readonly reflector: Reflector,
    private readonly keys: ApiKeyStore,
    @Inject(CLOCK) private readonly clock: Clock,
  ) {}

  async canActivate(context: ExecutionContext): Promise<boolean> {
    const endpoint = this.reflector.get<AnyEndpoint | undefined>(ENDPOINT, context.getHandler());
    if (endpoint === undefined) throw new Problem('not-found', 'There is nothing at this address.');
    const request = context.switchToHttp().getRequest<DeniableRequest>();
    request.endpoint = endpoint;
    if (endpoint.access === 'public') return true;
    const token = bearerOf(request) ?? pageToken(request, endpoint);
    if (token === undefined) throw new Problem('not-signed-in', undefined, [], { 'WWW-Authenticate': 'Bearer' });
    const moment = this.clock.now();
    if (token.startsWith(KEY_PREFIX)) await this.keys.noteUse(token, moment, request.ip);
    const known = (asker: Asker): Asker => {
      request.asker = asker;
      if (endpoint.access === 'signed-in') refuseKeyOutside(asker, endpoint);
      else if (!id.safeParse((request.params as Record<string, unknown>)['operationId']).success)
        throw notFound('operation');
      return asker;
    };
    const at = { moment, requestId: String(request.id), address: request.ip, idempotency: undefined };
    if (token.startsWith(KEY_PREFIX))
      request.identify = async (db) => known({ ...at, ...(await this.#ofKey(db, token, request, moment)) });
    else if (token.startsWith(PAGE_PREFIX) && bearerOf(request) !== undefined) throw tokenNotGood();
    else
      request.identify = {
        tokenHash: hashToken(token),
        moment,
        askerOf: (session) => {
          if (session === undefined) throw tokenNotGood();
          return known({ ...at, ...session, apiKeyId: undefined });
        },
      };
    return true;
  }

  async #ofKey(
    db: Transaction<DB>,
    token: string,
    request: DeniableRequest,
    moment: Date,
  ): Promise<Pick<Asker, 'personId' | 'apiKeyId' | 'keyOperationId'>> {
    const key = await this.keys.shown(db, token, moment);
    if (key?.good === true) return { personId: key.createdBy, apiKeyId: key.id, keyOperationId: key.operationId };
    if (key?.operationId !== undefined)
      request.staleKey = { id: key.id, createdBy: key.createdBy, operationId: key.operationId };
    throw tokenNotGood();
  }
}

function tokenNotGood(): Problem {
  return new Problem('not-signed-in', undefined, [], { 'WWW-Authenticate': 'Bearer error="invalid_token"' });
}

/** A consultant's own key may read across operations (a portfolio); an operation's key may not. */
function refuseKeyOutside(asker: Asker, endpoint: AnyEndpoint): void {
  if (asker.apiKeyId === undefined || OPEN_TO_KEYS.test(endpoint.path)) return;
  if (asker.keyOperationId === undefined && endpoint.method === 'GET' && !ACCOUNT.test(endpoint.path)) return;
  throw new Problem('not-permitted', 'An API key works only inside its operation.');
}

/** The cookie opens pages only; a form sent with it must come from one of our own pages. */
function pageToken(request: FastifyRequest, endpoint: AnyEndpoint): string | undefined {
  const token = endpoint.browser === true ? pageTokenOf(request) : undefined;
  if (token !== undefined && endpoint.method !== 'GET') refuseForeignForm(request);
  return token;
}
