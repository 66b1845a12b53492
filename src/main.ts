import 'reflect-metadata';
import { createServer } from 'node:net';
import path from 'node:path';
import type { INestApplicationContext } from '@nestjs/common';
import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import { type DemoState, demoState, loadDemo } from '../seed/load-demo.js';
import { readScenario, type Scenario } from '../seed/scenario.schema.js';
import { readTrialScenario } from '../seed/trials.js';
import { createApplication } from './application.js';
import { systemClock } from './platform/clock.js';
import { type Config, readConfig } from './platform/config.js';
import { Drain } from './platform/http/drain.js';
import { Readiness } from './platform/health/health.controller.js';
import { createLogger } from './platform/logs.js';
import { findCheckout, openDatabase } from './platform/open-database.js';
import { say } from './platform/say.js';
import { sealStoredSecrets } from './platform/secrets/seal-stored.js';
import { threadsOf } from './platform/workers/workers.js';
import { openSecretBox } from './platform/secrets/secret-key.js';

/** Compose, listen, stop. */
async function main(): Promise<void> {
  const began = Date.now();
  const checkout = findCheckout(__dirname);
  const config = readConfig(process.env, checkout);
  const logger = createLogger(config.logLevel);
  await refuseTakenPort(config);
  const opened = await openDatabase(config);
  opened.notes.forEach((note) => say(`Database: ${note}.`));
  opened.watch((words) => logger.error(words));
  let application: NestFastifyApplication | undefined;
  let drain: Drain | undefined;

  let stopping = false;
  const stop = (signal: string): void => {
    if (stopping) {
      logger.info({ signal }, 'stopping at once');
      drain?.atOnce();
      return;
    }
    stopping = true;
    logger.info({ signal }, 'stopping');
    if (application !== undefined) application.get(Readiness).stopping = true;
    const closed = Promise.resolve(application?.close());
    drain?.begin();
    void closed
      .then(() => opened.close())
      .then(
        () => process.exit(0),
        (error: unknown) => {
          logger.error({ err: error }, 'stopping failed');
          process.exit(1);
        },
      );
  };
  // From here on a database may be running: stopping us, even while the demo is loading, must stop it too.
  process.on('SIGTERM', stop);
  process.on('SIGINT', stop);
  // The process that started us with a channel, as `npm start` does, is gone without a signal.
  process.on('disconnect', () => stop('the starter ended'));

  const scenario = readScenario(checkout);
  let demo: DemoState | 'none' = 'none';
  try {
    const { box, notes } = openSecretBox({
      given: config.secretKey,
      folder: opened.dataFolder,
      shared: config.databaseUrl !== undefined,
    });
    notes.push(...(await sealStoredSecrets(opened.ownerUrl, box)));
    notes.forEach((note) => say(`Secrets: ${note}.`));
    application = await createApplication({
      database: opened.database,
      clock: systemClock,
      secrets: box,
      workers: threadsOf(path.join(__dirname, `worker${path.extname(__filename)}`)),
      logger,
      trustedProxies: config.trustedProxies,
    });
    drain = new Drain(application.getHttpServer());
    if (config.loadDemo) demo = await bringDemo(application, scenario, checkout);
    await application.listen({ port: config.port, host: config.host });
  } catch (error) {
    if (stopping) return;
    await opened.close();
    throw error;
  }
  const address = (await application.getUrl()).replace('[::1]', 'localhost');
  say(`Rickyard serves at ${address} (after ${((Date.now() - began) / 1000).toFixed(1)} s).`);
  say(`API description: ${address}/openapi.json   Interactive reference: ${address}/reference`);
  say(`In a browser, for reading and printing: ${address}/yard`);
  if (demo === 'whole') signInLines(scenario, address).forEach(say);
}

/** Checked before anything is started, so that a taken port does not cost a minute. */
async function refuseTakenPort({ port, host }: Config): Promise<void> {
  await new Promise<void>((resolve, reject) => {
    const probe = createServer();
    probe.once('error', (error: NodeJS.ErrnoException) =>
      reject(
        error.code === 'EADDRINUSE'
          ? new Error(
              `Port ${port} on ${host} is taken. Stop what uses it, or choose another: PORT=${port + 1} npm start`,
            )
          : new Error(`Port ${port} on ${host} cannot be used: ${error.message}`),
      ),
    );
    probe.listen({ port, host }, () => probe.close(() => resolve()));
  });
}

async function bringDemo(
  application: INestApplicationContext,
  scenario: Scenario,
  checkout: string,
): Promise<DemoState> {
  const state = await demoState(application, scenario, systemClock.now());
  if (state === 'whole') say('Demo: reused, it is all there.');
  if (state === 'broken-off')
    say(
      'Demo: an earlier start was stopped while loading it, so it is not whole. To load it again, stop, move the ' +
        'data folder away and start again.',
    );
  if (state !== 'absent') return state;
  const began = Date.now();
  await loadDemo(application, scenario, (words) => say(`Demo: ${words} …`), readTrialScenario(checkout));
  say(`Demo: loaded in ${((Date.now() - began) / 1000).toFixed(1)} s. All of it is invented.`);
  return 'whole';
}

/** Sign-ins ready to paste, one for each person of the demo. */
function signInLines(scenario: Scenario, address: string): string[] {
  const roles = new Map(
    scenario.people.map((person) => [
      person.key,
      scenario.operations
        .flatMap((operation) => [
          ...(operation.owner === person.key ? [`owner of ${operation.name}`] : []),
          ...operation.members
            .filter((member) => member.person === person.key)
            .map((member) => `${member.role} at ${operation.name}`),
        ])
        .join(', '),
    ]),
  );
  return [
    '',
    'Sign in as one of the invented people of the demo:',
    ...scenario.people.flatMap((person) => [
      `  ${person.name}: ${roles.get(person.key) ?? ''}`,
      `    curl -s ${address}/v1/sign-in -H 'Content-Type: application/json' -d ` +
        `'${JSON.stringify({ email: person.email, passphrase: person.passphrase })}'`,
    ]),
  ];
}

main().catch((error: unknown) => {
  process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
  process.exit(1);
});
