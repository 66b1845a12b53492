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

const readyAnswer = answer.extend({
  replica: z
    .enum(['current', 'behind', 'away', 'unfit'])
    .optional()
    .describe(
      'Only where reads go to a replica: whether it has all that the primary has. Where it has not, the primary ' +
        'answers them, so the server is ready either way',
    ),
});

const ready = endpoint({
  method: 'GET',
  path: '/health/ready',
  operationId: 'healthReady',
  tag: 'Health',
  access: 'public',
  summary: 'Whether the database answers and the server is not stopping',
  answer: readyAnswer,
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
    const [answers, replica] = await Promise.all([this.database.answers(), this.database.replica?.now()]);
    if (!answers) throw notReady('The database does not answer.');
    return replica === undefined ? { status: 'ok' } : { status: 'ok', replica: replica.is };
  }
}

function notReady(part: string): Problem {
  return new Problem('not-ready', part, [], { 'Retry-After': '2' });
}
