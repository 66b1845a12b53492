import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { ReceivedRequest } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import { sendProblem } from '../../platform/http/problem.filter.js';
import { isLoopback } from '../../platform/loopback.js';
import { bearerOf } from '../guard/bearer.js';
import { networkOf } from '../sign-in/network.js';
import { KEY_PREFIX } from '../sign-in/tokens.js';
import type { RequestCountStore } from './request-count.store.js';
import { SharedCounts } from './shared-counts.js';

/** How many requests are answered within so many seconds, by all servers together. */
export interface RequestLimits {
  perAddress: number;
  perKey: number;
  /** Of one person, by whatever sessions and keys, from wherever. */
  perPerson: number;
  /** Of all people of one operation, in it; more than one person may send, so that nobody can use it up alone. */
  perOperation: number;
  seconds: number;
}

/**
 * A hundred a second from one address: a ranch with everybody at a screen and its pulls running stays far below, one
 * program that asks as fast as it can does not. (Common practice, no source.)
 */
export const REQUEST_LIMITS: RequestLimits = {
  perAddress: 6_000,
  perKey: 3_000,
  perPerson: 6_000,
  perOperation: 20_000,
  seconds: 60,
};

/**
 * Counts every request before anything is read of it: by network address (an IPv6 /64 is one), and by the whole text of
 * a key, so that nobody but its holder can use it up; and, once somebody has been let in, by person and operation, so
 * that no stranger can use these up. Health checks and this machine's own requests are not counted by address.
 */
export function limitRequests(
  server: FastifyInstance,
  { perAddress, perKey, perPerson, perOperation, seconds }: RequestLimits,
  store: RequestCountStore,
  failed: (error: unknown) => void,
): void {
  const countsOf = (most: number) => new SharedCounts(most, seconds, store, failed);
  const [addresses, keys] = [countsOf(perAddress), countsOf(perKey)];
  const [people, operations] = [countsOf(perPerson), countsOf(perOperation)];
  server.addHook('onRequest', (request: FastifyRequest & ReceivedRequest, reply, done) => {
    const network = networkOf(request.ip);
    const key = keyOf(request);
    const counted = !isLoopback(network) && !request.url.startsWith('/health/');
    const wait =
      (counted ? addresses.take(`address:${network}`) : undefined) ?? (key === undefined ? undefined : keys.take(key));
    request.countAdmitted = ({ personId, operationId }) => {
      const waits =
        people.take(`person:${personId}`) ??
        (operationId === undefined ? undefined : operations.take(`operation:${operationId}`));
      if (waits !== undefined) throw tooMany(waits);
    };
    if (wait === undefined) done();
    else sendProblem(tooMany(wait), request, reply);
  });
  server.addHook('onClose', async () => {
    for (const counts of [addresses, keys, people, operations]) await counts.settled();
  });
}

function tooMany(wait: number): Problem {
  return new Problem('too-many-requests', undefined, [], { 'Retry-After': String(Math.ceil(wait / 1000)) });
}

function keyOf(request: FastifyRequest): string | undefined {
  const token = bearerOf(request);
  return token?.startsWith(KEY_PREFIX) === true ? token : undefined;
}
