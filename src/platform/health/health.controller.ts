import { Controller, Injectable } from '@nestjs/common';
import { z } from 'zod';
import { Database } from '../database/database.js';
import { type AnswerOf, Endpoint, endpoint } from '../http/endpoint.js';
import { Problem } from '../http/problem.js';

const answer = z.object({ status: z.literal('ok').describe('Always ok; a server that is not answers 503') });

const live = endpoint({
  method: 'GET',
  path: '/health/live',
  operationId: 'healthLive',
  tag: 'Health',
  access: 'public',
  summary: 'Whether the process runs',
  answer,
});

const ready = endpoint({
  method: 'GET',
  path: '/health/ready',
  operationId: 'healthReady',
  tag: 'Health',
  access: 'public',
  summary: 'Whether the database answers and the server is not stopping',
  answer,
  problems: ['not-ready'],
});

/** Set when the server begins to stop, so that a load balancer sends no more requests. */
@Injectable()
export class Readiness {
  stopping = false;
}

@Controller()
export class HealthController {
  constructor(
    private readonly database: Database,
    private readonly readiness: Readiness,
  ) {}

  @Endpoint(live)
  live(): AnswerOf<typeof live> {
    return { status: 'ok' };
  }

  @Endpoint(ready)
  async ready(): Promise<AnswerOf<typeof ready>> {
    if (this.readiness.stopping) throw notReady('The server is stopping.');
    if (!(await this.database.answers())) throw notReady('The database does not answer.');
    return { status: 'ok' };
  }
}

function notReady(part: string): Problem {
  return new Problem('not-ready', part, [], { 'Retry-After': '2' });
}
