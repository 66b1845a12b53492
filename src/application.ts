import { randomUUID } from 'node:crypto';
import { existsSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import type { IncomingMessage } from 'node:http';
import cookie from '@fastify/cookie';
import helmet from '@fastify/helmet';
import { type DynamicModule, type INestApplicationContext, Module } from '@nestjs/common';
import { NestFactory } from '@nestjs/core';
import { FastifyAdapter, type NestFastifyApplication } from '@nestjs/platform-fastify';
import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Logger } from 'pino';
import { AccessModule } from './access/access.module.js';
import { RequestCountStore } from './access/fair-use/request-count.store.js';
import { limitRequests, REQUEST_LIMITS, type RequestLimits } from './access/fair-use/request-limits.js';
import { DenialRecorder } from './access/denials/denial-recorder.store.js';
import { PasskeyVerifier } from './access/passkeys/passkey-verifier.js';
import { serveToBrowsers } from './pages/serve-to-browsers.js';
import { AccountPageModule } from './pages/account/account.module.js';
import { serveFront } from './pages/front.page.js';
import { serveProblems } from './pages/problems.page.js';
import { serveReference } from './pages/reference.page.js';
import { TrialPageModule } from './pages/trials/trial-page.module.js';
import './pages/writers.js';
import { tellProblemsAsPages } from './pages/yard/problem-pages.js';
import { ClosingPageModule } from './pages/closings/closing-page.module.js';
import { DeskPageModule } from './pages/desk/desk-page.module.js';
import { HerdPageModule } from './pages/herds/herd-page.module.js';
import { OfficePageModule } from './pages/office/office-page.module.js';
import { TodayModule } from './pages/yard/today/today.module.js';
import { YardModule } from './pages/yard/yard.module.js';
import { BODY_MOST, limitBodies } from './platform/http/body-limits.js';
import { takeCsvBodies } from './platform/http/csv-body.js';
import { answerUnreadable } from './platform/http/unreadable-request.js';
import { takeUtf8Bodies } from './platform/http/utf8-body.js';
import { ENDPOINTS, PAGES } from './platform/http/endpoint.js';
import { takeFormBodies } from './platform/http/form-body.js';
import { warnOfUnknownProxy } from './platform/http/unknown-proxy.js';
import { sendProblem } from './platform/http/problem.filter.js';
import { compressAnswers } from './platform/http/compression.js';
import { serveDocument } from './platform/http/open-document.js';
import { tagReports } from './platform/http/revalidation.js';
import { serveMetrics } from './platform/metrics/metrics.js';
import { logSlowStatements } from './platform/metrics/slow-statements.js';
import { HeavyWork } from './platform/workers/heavy-work.js';
import { nestLogger } from './platform/logs.js';
import { PlatformModule, type PlatformParts } from './platform/platform.module.js';
import { DeskModule } from './desk/desk.module.js';
import { OfficeModule } from './office/office.module.js';
import { RecordsModule } from './records/records.module.js';

export const API_VERSION = '1.0.0';
/** Filled by the controllers of the modules above. */
export const ALL_ENDPOINTS = ENDPOINTS;
const REQUEST_ID = /^[A-Za-z0-9._-]{1,80}$/;

@Module({})
class ApplicationModule {
  static with(parts: PlatformParts): DynamicModule {
    return {
      module: ApplicationModule,
      imports: [
        PlatformModule.with(parts),
        AccessModule,
        RecordsModule,
        DeskModule,
        OfficeModule,
        TrialPageModule,
        YardModule,
        TodayModule,
        OfficePageModule,
        HerdPageModule,
        DeskPageModule,
        ClosingPageModule,
        AccountPageModule,
      ],
    };
  }
}

export interface ApplicationParts extends PlatformParts {
  logger: Logger;
  /** Proxies whose X-Forwarded-For says who is calling. */
  trustedProxies?: readonly string[];
  /** Certificate and key, in PEM; without them the server speaks plain http. */
  tls?: { cert: Buffer; key: Buffer } | undefined;
  /** How often one caller may ask; without it, as often as `REQUEST_LIMITS` says. */
  requestLimits?: RequestLimits;
  /** Where the build wrote the API description. */
  descriptionFile?: string | undefined;
  /** Who has it may read /metrics; without one there is no such address. */
  metricsKey?: string | undefined;
  /** A statement that takes longer is logged; in milliseconds. */
  slowStatementMs?: number;
}

let described: string | undefined;
/** The API description as JSON text: as the build wrote it, else made when it is first asked for. */
async function description(builtFile: string | undefined): Promise<string | Buffer> {
  if (builtFile !== undefined && existsSync(builtFile)) return readFile(builtFile);
  const { buildOpenApi } = await import('./platform/http/openapi.js');
  described ??= JSON.stringify(buildOpenApi(ENDPOINTS, API_VERSION));
  return described;
}

/** How Fastify reads requests, before any of them has an address. */
function adapterFor(logger: Logger, trustedProxies: readonly string[], tls: ApplicationParts['tls']): FastifyAdapter {
  return new FastifyAdapter({
    ...(tls === undefined ? {} : { https: { cert: tls.cert, key: tls.key, minVersion: 'TLSv1.2' } }),
    loggerInstance: logger,
    bodyLimit: BODY_MOST,
    trustProxy: trustedProxies.length === 0 ? false : [...trustedProxies],
    // A client may name its request, so that it can be followed; anything that could forge a log line is replaced.
    genReqId: (request: IncomingMessage) => {
      const given = request.headers['x-request-id'];
      return typeof given === 'string' && REQUEST_ID.test(given) ? given : randomUUID();
    },
    routerOptions: { maxParamLength: 200, ignoreTrailingSlash: false },
    // An address that cannot be decoded is answered like any other error.
    frameworkErrors: (error: Error, request: FastifyRequest, reply: FastifyReply) => {
      void reply.header('X-Request-Id', request.id);
      sendProblem(error, request, reply);
    },
    clientErrorHandler: answerUnreadable,
    return503OnClosing: true,
    keepAliveTimeout: 5_000,
    requestTimeout: 60_000,
  });
}

/** The rooms without the server around them: what a thread needs to answer a read. */
export function createContext(parts: PlatformParts, logger: Logger): Promise<INestApplicationContext> {
  return NestFactory.createApplicationContext(ApplicationModule.with(parts), {
    logger: nestLogger(logger),
    abortOnError: false,
  });
}

/** The whole server, composed but not listening. */
export async function createApplication({
  logger,
  trustedProxies = [],
  tls,
  descriptionFile,
  metricsKey,
  slowStatementMs = 500,
  requestLimits = REQUEST_LIMITS,
  ...parts
}: ApplicationParts): Promise<NestFastifyApplication> {
  const adapter = adapterFor(logger, trustedProxies, tls);
  const application = await NestFactory.create<NestFastifyApplication>(ApplicationModule.with(parts), adapter, {
    logger: nestLogger(logger),
    abortOnError: false,
    bodyParser: false,
  });
  const server = application.getHttpAdapter().getInstance();
  // Every address takes JSON bodies; an endpoint declares what else it takes.
  server.removeContentTypeParser('text/plain');

  await server.register(cookie);
  await server.register(helmet, {
    contentSecurityPolicy: {
      directives: {
        defaultSrc: ["'self'"],
        imgSrc: ["'self'", 'data:'],
        styleSrc: ["'self'", "'unsafe-inline'"],
        scriptSrc: ["'self'"],
        objectSrc: ["'none'"],
        frameAncestors: ["'none'"],
        upgradeInsecureRequests: null,
      },
    },
    referrerPolicy: { policy: 'no-referrer' },
  });
  server.addHook('onSend', (request, reply, payload, done) => {
    void reply.header('X-Request-Id', request.id);
    application.get(DenialRecorder).noteAnswer(request);
    done(null, payload);
  });

  limitRequests(server, requestLimits, new RequestCountStore(parts.database), (error) =>
    logger.warn(error, 'Requests are counted by this server alone: what it counted could not be told to others.'),
  );
  await compressAnswers(server, ENDPOINTS);
  tagReports(server);
  logSlowStatements(server, parts.database, logger, slowStatementMs);
  if (metricsKey !== undefined)
    await serveMetrics(server, metricsKey, { database: parts.database, heavyWork: application.get(HeavyWork) });
  warnOfUnknownProxy(server, logger);
  limitBodies(server, [...ENDPOINTS, ...PAGES]);
  takeUtf8Bodies(server);
  takeCsvBodies(server, ENDPOINTS);
  takeFormBodies(server, PAGES);
  tellProblemsAsPages(server, () => application.get(PasskeyVerifier).offeredAt);

  serveDocument(server, {
    path: '/openapi.json',
    type: 'application/json; charset=utf-8',
    text: () => description(descriptionFile),
  });
  serveToBrowsers(server);
  serveFront(server);
  serveProblems(server);
  serveReference(server);

  await application.init();
  await server.ready();
  return application;
}
