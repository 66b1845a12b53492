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
  warnings: z
    .array(z.string())
    .optional()
    .describe('Only where there are any: what the keeper of the server has to see to though it serves, in words'),
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
  /** Asked each time: what is wrong though the server serves, in words. */
  readonly warnings: (() => Promise<string | undefined>)[] = [];
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
    const [answers, replica, ...told] = await Promise.all([
      this.database.answers(),
      this.database.replica?.now(),
      ...this.readiness.warnings.map((warning) => warning()),
    ]);
    if (!answers) throw notReady('The database does not answer.');
    const warnings = told.filter((words) => words !== undefined);
    return {
      status: 'ok',
      ...(replica === undefined ? {} : { replica: replica.is }),
      ...(warnings.length === 0 ? {} : { warnings }),
    };
  }
}

function notReady(part: string): Problem {
  return new Problem('not-ready', part, [], { 'Retry-After': '2' });
}
