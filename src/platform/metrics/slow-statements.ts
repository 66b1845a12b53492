import { AsyncLocalStorage } from 'node:async_hooks';
import type { FastifyInstance } from 'fastify';
import type { Logger } from 'pino';
import type { Database } from '../database/database.js';

interface AtWork {
  /** The pattern of the address, without the ids in it. */
  address: string;
  operationId: string | undefined;
  requestId: string;
}

/** One a process: up to Node 22 every promise is handed to each that exists. */
const atWork = new AsyncLocalStorage<AtWork>();

/** A statement's text is enough to find it in the sources; a long list of placeholders is not. */
const TEXT_MOST = 2_000;

/**
 * Logs each statement that took longer than `slowMs`, with the address and the operation it was for. Its values are not
 * logged: they are what people entered.
 */
export function logSlowStatements(server: FastifyInstance, database: Database, logger: Logger, slowMs: number): void {
  // After the body was read: until then a request is carried on by its socket, which knows nothing of it.
  server.addHook('preHandler', (request, _reply, done) => {
    const { operationId } = (request.params ?? {}) as { operationId?: string };
    const address = `${request.method} ${request.routeOptions.url ?? ''}`;
    atWork.run({ address, operationId, requestId: request.id }, done);
  });
  database.watchStatements(({ text, ms }) => {
    if (ms < slowMs) return;
    const statement = text.replaceAll(/\s+/g, ' ').trim().slice(0, TEXT_MOST);
    logger.warn({ ...atWork.getStore(), ms: Math.round(ms), statement }, 'slow statement');
  });
}
