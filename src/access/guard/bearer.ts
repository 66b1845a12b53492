import type { FastifyRequest } from 'fastify';

/** The token of an `Authorization: Bearer …` header. */
export function bearerOf(request: FastifyRequest): string | undefined {
  return /^Bearer ([A-Za-z0-9_-]{1,200})$/i.exec(request.headers.authorization ?? '')?.[1];
}
