import 'reflect-metadata';
import { createServer } from 'node:net';
import path from 'node:path';
import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import type { Logger } from 'pino';
import { type SignInLines, startDemo } from '../seed/start-demo.js';
import { fileOfHeads, keepHeads } from './access/audit/kept-heads.js';
import { MailSender } from './access/mail/mail-sender.js';
import { type ApplicationParts, createApplication } from './application.js';
import { WebhookWork } from './office/webhooks/webhook-work.js';
import { type Clock, systemClock } from './platform/clock.js';
import { backupIfDue } from './platform/backup/backup-schedule.js';
import { type Config, readConfig } from './platform/config.js';
import { DatabaseClock } from './platform/database/database-clock.js';
import { isEmpty } from './platform/database/is-empty.read.js';
import { archiveWarning, diskWarning } from './platform/embedded/disk-warnings.js';
import { Drain } from './platform/http/drain.js';
import { Readiness } from './platform/health/health.controller.js';
import { createLogger } from './platform/logs.js';
import { findCheckout, openDatabase, type OpenDatabase } from './platform/open-database.js';
import { say } from './platform/say.js';
import { onWishToStop } from './platform/stop-signals.js';
import type { SecretBox } from './platform/secrets/secret-box.js';
import { sealStoredSecrets } from './platform/secrets/seal-stored.js';
import { readTls, renewedTls, type Tls } from './platform/tls.js';
import { smtpTransport } from './platform/mail/mail-transport.js';
import { Outgoing } from './platform/outgoing/outgoing.js';
import { Outside } from './platform/outside.js';
import { threadsOf, type Workers } from './platform/workers/workers.js';
import { CostWriting } from './records/hay/costing/cost-writing.js';
import { openSecretBox, warningOfNewKey } from './platform/secrets/secret-key.js';

const DAY_MS = 86_400_000;
const HOUR_MS = 3_600_000;
const MAIL_MS = 30_000;
const TLS_WARN_DAYS = 14;
const DISKS_LOOK_MS = 60_000;
const BACKUP_LOOK_MS = 600_000;

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
  const stop = (signal: string, means: 'stop' | 'at-once'): void => {
    if (means === 'at-once') {
      logger.info({ signal }, 'stopping at once');
      drain?.atOnce();
      return;
    }
    stopping = true;
    logger.info({ signal }, 'stopping');
    if (application !== undefined) application.get(Readiness).stopping = true;
    void closed(application, drain, config.drainMs)
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
  onWishToStop(stop);

  let demoLines: SignInLines = () => [];
  try {
    const tls = config.tls === undefined ? undefined : readTls(config.tls);
    const box = await openSecrets(config, opened);
    const clock = await clockOf(opened, logger);
    await keepAuditHeads(opened, box, clock, logger);
    application = await createApplication({
      database: opened.database,
      clock,
      secrets: box,
      workers: workersFor(config, opened),
      outside: outsideOf(config),
      outgoing: new Outgoing({ innerHosts: config.innerHosts }),
      logger,
      tls,
      ...settingsOf(config),
    });
    if (tls !== undefined) keepTls(application, config, tls, logger);
    drain = new Drain(application.getHttpServer());
    demoLines = await startDemo(application, config, checkout);
    await application.listen({ port: config.port, host: config.host });
  } catch (error) {
    if (stopping) return;
    await opened.close();
    throw error;
  }
  const address = (await application.getUrl()).replace('[::1]', 'localhost');
  sayWhere(address, Date.now() - began);
  demoLines(address).forEach(say);
  goOnBeside(application, opened, config, logger);
}

/** All servers of a database go by its clock, not by that of their machine. */
async function clockOf({ database }: OpenDatabase, logger: Logger): Promise<DatabaseClock> {
  const clock = await DatabaseClock.of(() => database.instant());
  database.forgetKeysBy(() => clock.passed());
  clock.follow((words) => logger.warn(words));
  return clock;
}

async function closed(application?: NestFastifyApplication, drain?: Drain, drainMs = 0): Promise<void> {
  await drain?.announced(drainMs);
  const closing = application?.close();
  drain?.begin();
  await closing;
}

/** What nobody waits for: mail, webhooks, backups, and costs that are due. */
function goOnBeside(application: NestFastifyApplication, opened: OpenDatabase, config: Config, logger: Logger): void {
  sendMail(application);
  application.get(WebhookWork).serve();
  keepBackups(opened, config, logger);
  watchDisks(application.get(Readiness), opened, config);
  writeCosts(application, (error) => logger.error({ err: error }, 'costs of hay were not written'));
}

async function openSecrets(
  { secretKey, onServer }: Config,
  { ownerUrl, dataFolder, database }: OpenDatabase,
): Promise<SecretBox> {
  const { box, notes, madeFile } = openSecretBox({ given: secretKey, folder: dataFolder, shared: onServer });
  const sealed = ownerUrl === undefined ? [] : await sealStoredSecrets(ownerUrl, box);
  const isLate = madeFile !== undefined && !(await database.withProof({}, isEmpty));
  const warnings = isLate ? [warningOfNewKey(madeFile)] : [];
  [...notes, ...sealed, ...warnings].forEach((note) => say(`Secrets: ${note}.`));
  return box;
}

/** What an earlier release entered has no written costs yet; reports replay the ledger until it has. */
function writeCosts(application: NestFastifyApplication, failed: (error: unknown) => void): void {
  application.get(CostWriting).everywhere().catch(failed);
}

/** Now and every few minutes, if one is due; the next is looked for when this one is through. */
function keepBackups({ ownerUrl, dataFolder }: OpenDatabase, { backups, logArchive }: Config, log: Logger): void {
  if (backups === undefined || ownerUrl === undefined) return;
  const look = async (): Promise<void> => {
    try {
      const words = await backupIfDue({ url: ownerUrl, dataFolder }, backups, { now: systemClock.now(), logArchive });
      if (words !== undefined) log.info(`Backup: ${words}.`);
    } catch (error) {
      say(`BACKUP: none was taken (${String(error)}). It is tried again in ten minutes.`);
    }
    setTimeout(() => void look(), BACKUP_LOOK_MS).unref();
  };
  void look();
}

/** Looks at the disks of the embedded server every minute, and says what is new; `/health/ready` has it meanwhile. */
function watchDisks(readiness: Readiness, { embedded, ownerUrl, dataFolder }: OpenDatabase, config: Config): void {
  if (!embedded || ownerUrl === undefined) return;
  const { logArchive } = config;
  let archive: string | undefined;
  readiness.warnings.push(
    () => diskWarning(dataFolder),
    () => Promise.resolve(archive),
  );
  if (logArchive === undefined) return;
  const look = async (): Promise<void> => {
    const before = archive;
    archive = await archiveWarning(ownerUrl, logArchive);
    if (archive !== undefined && before === undefined) say(`LOG ARCHIVE: ${archive}`);
    if (archive === undefined && before !== undefined) say(`LOG ARCHIVE: it is archived to ${logArchive} again.`);
  };
  void look();
  setInterval(() => void look(), DISKS_LOOK_MS).unref();
}

/** A mail server that cannot be reached now is no reason not to serve: what is written waits for it. */
function outsideOf({ publicAddress, mail }: Config): Outside {
  const transport = mail === undefined ? undefined : smtpTransport(mail);
  transport?.check().catch((error: unknown) => {
    say(`MAIL: the mail server of SMTP_URL cannot be used now (${String(error)}). Mail waits, and is tried again.`);
  });
  return new Outside(publicAddress, transport);
}

/** Now and every half minute, what waits. */
function sendMail(application: NestFastifyApplication): void {
  const sender = application.get(MailSender);
  if (!sender.offered) return;
  const deliver = (): void => void sender.deliverDue();
  deliver();
  setInterval(deliver, MAIL_MS).unref();
}

function workersFor(config: Config, { appUrl, database, embedded }: OpenDatabase): Workers {
  const { replicaUrl: url, logLevel, slowStatementMs } = config;
  const file = path.join(__dirname, `worker${path.extname(__filename)}`);
  const counts = database.replica?.counts.memory;
  const replica = url === undefined || counts === undefined ? undefined : { url, counts };
  return threadsOf(file, { appUrl, embedded, replica, logLevel, slowStatementMs });
}

/** Now and every day: signs how far each audit goes, and says where one is not what was signed before. */
async function keepAuditHeads(
  { database, dataFolder }: OpenDatabase,
  secrets: SecretBox,
  clock: Clock,
  log: Logger,
): Promise<void> {
  const keep = async (): Promise<void> => {
    const faults = await keepHeads({ database, secrets, file: fileOfHeads(dataFolder) }, clock.now());
    faults.forEach((fault) => say(`AUDIT: ${fault}`));
  };
  await keep();
  setInterval(() => void keep().catch((error: unknown) => log.error({ err: error }, 'audit heads')), DAY_MS).unref();
}

/** Now and every hour: says when the certificate ends soon, and takes the one that has come into its place. */
function keepTls(application: NestFastifyApplication, { tls: files }: Config, first: Tls, log: Logger): void {
  if (files === undefined) return;
  let inUse = first;
  const told = (): void => {
    if (inUse.until.getTime() - systemClock.now().getTime() < TLS_WARN_DAYS * DAY_MS)
      say(`TLS: the certificate is good until ${inUse.until.toISOString()}; put a new one in its place.`);
  };
  told();
  setInterval(() => {
    try {
      inUse = renewedTls(application.getHttpServer() as Parameters<typeof renewedTls>[0], files, inUse);
    } catch (error) {
      log.error({ err: error }, 'the certificate was not renewed');
    }
    told();
  }, HOUR_MS).unref();
}

function settingsOf({ trustedProxies, metricsKey, slowStatementMs }: Config): Partial<ApplicationParts> {
  return { trustedProxies, metricsKey, slowStatementMs, descriptionFile: path.join(__dirname, '..', 'openapi.json') };
}

function sayWhere(address: string, tookMs: number): void {
  say(`Rickyard serves at ${address} (after ${(tookMs / 1000).toFixed(1)} s).`);
  say(`API description: ${address}/openapi.json   Interactive reference: ${address}/reference`);
  say(`In a browser: ${address}/yard`);
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

main().catch((error: unknown) => {
  process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
  process.exit(1);
});
