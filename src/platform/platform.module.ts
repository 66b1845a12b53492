import { type DynamicModule, Global, Module } from '@nestjs/common';
import { APP_FILTER, APP_INTERCEPTOR } from '@nestjs/core';
import { type Clock, CLOCK } from './clock.js';
import { Database } from './database/database.js';
import { HealthController, Readiness } from './health/health.controller.js';
import { EndpointInterceptor } from './http/endpoint.interceptor.js';
import { ProblemFilter } from './http/problem.filter.js';
import { Jobs } from './jobs/jobs.js';
import { Outgoing } from './outgoing/outgoing.js';
import { Outside } from './outside.js';
import { SecretBox } from './secrets/secret-box.js';
import { HeavyWork } from './workers/heavy-work.js';
import type { Workers } from './workers/workers.js';

export interface PlatformParts {
  database: Database;
  clock: Clock;
  secrets: SecretBox;
  workers: Workers;
  /** Without it the server has no address that it could name, and sends no mail. */
  outside?: Outside | undefined;
  /** How it sends what webhooks are told; by default to public hosts over https alone. */
  outgoing?: Outgoing | undefined;
}

/** What every module uses: database access, the clock, the key for secrets, HTTP handling, health. */
@Global()
@Module({})
export class PlatformModule {
  static with({ database, clock, secrets, workers, outside, outgoing }: PlatformParts): DynamicModule {
    return {
      module: PlatformModule,
      controllers: [HealthController],
      providers: [
        { provide: Database, useValue: database },
        { provide: CLOCK, useValue: clock },
        { provide: SecretBox, useValue: secrets },
        { provide: HeavyWork, useValue: new HeavyWork(workers) },
        { provide: Outside, useValue: outside ?? new Outside(undefined, undefined) },
        { provide: Outgoing, useValue: outgoing ?? new Outgoing() },
        Jobs,
        Readiness,
        { provide: APP_FILTER, useClass: ProblemFilter },
        { provide: APP_INTERCEPTOR, useClass: EndpointInterceptor },
      ],
      exports: [Database, CLOCK, SecretBox, HeavyWork, Jobs, Outgoing, Outside, Readiness],
    };
  }
}
