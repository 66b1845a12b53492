import type { FastifyInstance, FastifyRequest } from 'fastify';
import { RateLimiterMemory, type RateLimiterRes } from 'rate-limiter-flexible';
import { Problem } from '../../platform/http/problem.js';
import { sendProblem } from '../../platform/http/problem.filter.js';
import { isLoopback } from '../../platform/loopback.js';
import { bearerOf } from '../guard/bearer.js';
import { networkOf } from '../sign-in/network.js';
import { hashToken, KEY_PREFIX } from '../sign-in/tokens.js';

/** How many requests are answered within so many seconds. */
export interface RequestLimits {
  perAddress: number;
  perKey: number;
  seconds: number;
}

/**
 * A hundred a second from one address: a ranch with everybody at a screen and its pulls running stays far below, one
 * program that asks as fast as it can does not. (Common practice, no source.)
 */
export const REQUEST_LIMITS: RequestLimits = { perAddress: 6_000, perKey: 3_000, seconds: 60 };

/**
 * Counts every request before anything is read of it: by network address (an IPv6 /64 is one), and by the whole text of
 * a key, so that nobody but its holder can use it up. Kept in this process, since it is this process that they keep
 * busy. Health checks and this machine's own requests are not counted by address.
 */
export function limitRequests(server: FastifyInstance, { perAddress, perKey, seconds }: RequestLimits): void {
  const addresses = new RateLimiterMemory({ points: perAddress, duration: seconds });
  const keys = new RateLimiterMemory({ points: perKey, duration: seconds });
  server.addHook('onRequest', async (request, reply) => {
    try {
      const network = networkOf(request.ip);
      if (!isLoopback(network) && !request.url.startsWith('/health/')) await addresses.consume(network);
      const key = keyOf(request);
      if (key !== undefined) await keys.consume(hashToken(key));
    } catch (refused) {
      const { msBeforeNext } = refused as RateLimiterRes;
      const headers = { 'Retry-After': String(Math.ceil(msBeforeNext / 1000)) };
      sendProblem(new Problem('too-many-requests', undefined, [], headers), request, reply);
      return reply;
    }
    return undefined;
  });
}

function keyOf(request: FastifyRequest): string | undefined {
  const token = bearerOf(request);
  return token?.startsWith(KEY_PREFIX) === true ? token : undefined;
}
