import 'reflect-metadata';
import { createApplication } from './application.js';
import { systemClock } from './platform/clock.js';
import { readConfig } from './platform/config.js';
import { Readiness } from './platform/health/health.controller.js';
import { createLogger } from './platform/logs.js';
import { findCheckout, openDatabase } from './platform/open-database.js';
import { say } from './platform/say.js';

/** Compose, listen, stop. */
async function main(): Promise<void> {
  const began = Date.now();
  const config = readConfig(process.env, findCheckout(__dirname));
  const logger = createLogger(config.logLevel);
  const opened = await openDatabase(config);
  opened.notes.forEach((note) => say(`Database: ${note}.`));
  const application = await createApplication({ database: opened.database, clock: systemClock, logger });

  let stopping = false;
  const stop = (signal: string): void => {
    if (stopping) return;
    stopping = true;
    application.get(Readiness).stopping = true;
    logger.info({ signal }, 'stopping');
    void application.close().then(() => opened.close()).then(() => process.exit(0), (error: unknown) => {
      logger.error({ err: error }, 'stopping failed');
      process.exit(1);
    });
  };
  process.on('SIGTERM', stop);
  process.on('SIGINT', stop);

  try {
    await application.listen({ port: config.port, host: config.host });
  } catch (error) {
    await opened.close();
    if ((error as NodeJS.ErrnoException).code !== 'EADDRINUSE') throw error;
    throw new Error(`Port ${config.port} on ${config.host} is taken. Stop what uses it, or choose another: PORT=${config.port + 1} npm start`);
  }
  const address = (await application.getUrl()).replace('[::1]', 'localhost');
  say(`Rickyard serves at ${address} (after ${((Date.now() - began) / 1000).toFixed(1)} s).`);
  say(`API description: ${address}/openapi.json   Interactive reference: ${address}/reference`);
}

main().catch((error: unknown) => {
  process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
  process.exit(1);
});
