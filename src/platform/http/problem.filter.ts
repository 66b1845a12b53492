import { type ArgumentsHost, Catch, type ExceptionFilter, HttpException } from '@nestjs/common';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { ZodError } from 'zod';
import { ENDPOINTS, PAGES, type ReceivedRequest } from './endpoint.js';
import { offeredMethods, OPEN_PAGES } from './offered-methods.js';
import { Problem } from './problem.js';
import { PROBLEMS, type ProblemCode } from './problem-catalogue.js';

/**
 * Every error leaves through here, as application/problem+json. Anything that is neither a Problem nor the framework's
 * own error is a 500, logged in full and not described in the answer.
 */
@Catch()
export class ProblemFilter implements ExceptionFilter {
  catch(error: unknown, host: ArgumentsHost): void {
    const http = host.switchToHttp();
    sendProblem(error, http.getRequest<FastifyRequest>(), http.getResponse<FastifyReply>());
  }
}

export function sendProblem(error: unknown, request: FastifyRequest, reply: FastifyReply): void {
  const problem =
    error instanceof HttpException && error.getStatus() === 404
      ? unknownAddress(request.url)
      : withLimit(problemOf(error), request);
  if (problem.status >= 500)
    request.log.error({ err: error instanceof Error ? error : new Error(String(error)) }, 'request failed');
  if (reply.sent) return;
  (request as FastifyRequest & ReceivedRequest).problem = problem;
  const path = request.url.split('?')[0] ?? '/';
  void reply
    .status(problem.status)
    .headers(problem.headers)
    .header('Cache-Control', 'no-store')
    .header('Content-Type', 'application/problem+json; charset=utf-8')
    .send(JSON.stringify(problem.body(path, String(request.id))));
}

/** The router does not know this method and path: 405 with Allow if the path is known, else 404. */
function unknownAddress(url: string): Problem {
  const methods = offeredMethods([...ENDPOINTS, ...PAGES, ...OPEN_PAGES], url.split('?')[0] ?? '/');
  return methods.length === 0
    ? new Problem('not-found', 'There is nothing at this address.')
    : new Problem('method-not-allowed', undefined, [], { Allow: methods.join(', ') });
}

/** Says how much would have been taken, where a body was too large. */
function withLimit(problem: Problem, { routeOptions: { bodyLimit } }: FastifyRequest): Problem {
  return problem.code === 'body-too-large' && problem.detail === undefined
    ? new Problem('body-too-large', `This address takes at most ${bodyLimit.toLocaleString('en-US')} bytes.`)
    : problem;
}

const BY_STATUS: Readonly<Record<number, ProblemCode>> = Object.fromEntries(
  (Object.keys(PROBLEMS) as ProblemCode[]).reverse().map((code) => [PROBLEMS[code].status, code]),
);

const FASTIFY_CODES: Readonly<Record<string, ProblemCode>> = {
  FST_ERR_CTP_INVALID_MEDIA_TYPE: 'unsupported-media-type',
  FST_ERR_CTP_BODY_TOO_LARGE: 'body-too-large',
  FST_ERR_CTP_EMPTY_JSON_BODY: 'malformed-body',
  FST_ERR_CTP_INVALID_JSON_BODY: 'malformed-body',
  FST_ERR_CTP_INVALID_CONTENT_LENGTH: 'malformed-body',
  FST_ERR_BAD_URL: 'not-found',
  FST_ERR_MAX_PARAM_LENGTH: 'not-found',
};

function problemOf(error: unknown): Problem {
  if (error instanceof Problem) return error;
  // An answer that fails its own schema is our bug, never the caller's.
  if (error instanceof ZodError) return new Problem('unexpected');
  const code = (error as { code?: unknown } | null)?.code;
  if (typeof code === 'string' && FASTIFY_CODES[code] !== undefined) return new Problem(FASTIFY_CODES[code]);
  const status =
    error instanceof HttpException
      ? error.getStatus()
      : Number((error as { statusCode?: unknown } | null)?.statusCode ?? 500);
  // Our own endpoints report errors as a Problem; a bare 400 is the framework, unable to read the body.
  if (status === 400) return new Problem('malformed-body');
  const known = status >= 400 && status < 500 ? BY_STATUS[status] : undefined;
  return new Problem(known ?? 'unexpected');
}
