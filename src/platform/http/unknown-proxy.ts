import type { FastifyInstance } from 'fastify';
import type { Logger } from 'pino';

/**
 * Says once that a proxy seems to be in front which TRUSTED_PROXIES does not name: everybody behind it is then one
 * caller, and the wrong passphrases of one close sign-in for all. Fastify sets `ips` only where a proxy is believed.
 */
export function warnOfUnknownProxy(server: FastifyInstance, logger: Logger): void {
  let warned = false;
  server.addHook('onRequest', (request, _reply, done) => {
    if (!warned && request.headers['x-forwarded-for'] !== undefined && (request.ips?.length ?? 1) < 2) {
      warned = true;
      logger.warn(
        { address: request.ip },
        'a request came with X-Forwarded-For from an address that TRUSTED_PROXIES does not name: everybody who ' +
          'comes through it counts as one caller',
      );
    }
    done();
  });
}
