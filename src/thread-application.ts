import { randomBytes } from 'node:crypto';
import type { INestApplicationContext } from '@nestjs/common';
import { workerData } from 'piscina';
import { type MadeArchive, OwnersArchive } from './access/data-rights/owners-archive.js';
import { createContext } from './application.js';
import { Database } from './platform/database/database.js';
import { createPool } from './platform/database/pool.js';
import { ReadCounts } from './platform/database/read-counts.js';
import { Replica } from './platform/database/replica.js';
import type { Asker } from './platform/http/asker.js';
import type { WrittenAnswer } from './platform/http/answer-form.js';
import { answerInThread, type ThreadRequest } from './platform/http/thread-request.js';
import { createLogger } from './platform/logs.js';
import { SecretBox } from './platform/secrets/secret-box.js';
import { HeavyWork } from './platform/workers/heavy-work.js';
import { sessionsStandBack } from './platform/workers/stand-back.js';
import type { ThreadParts } from './platform/workers/workers.js';
import { CostWriting } from './records/hay/costing/cost-writing.js';
import type { Progress } from './records/hay/costing/written-costs.service.js';

/** A report asks for a few things at once; statements of one transaction share its connection. */
const CONNECTIONS = 2;
/** What a report takes anyway, a replica may take to catch up. */
const PATIENCE_MS = 1000;

/** Twice as many jobs as one request is likely to have done at a time; they all run in this thread. */
const JOBS_OF_A_REQUEST = 16;

/** What a thread does with a packed job; what comes of it is packed too. */
type Work = (job: unknown) => Promise<unknown>;

let composed: Promise<INestApplicationContext> | undefined;
/** A thread does one job at a time, so its clock can stand at the moment of the request; its database, at reading. */
let moment = new Date(0);

/**
 * Answers a request by the whole server's rooms, composed once in this thread without an address of its own. It has the
 * serving role's connections and no secrets: its box has a key of its own that opens nothing.
 */
export async function requestAnswered(request: ThreadRequest, work: Work): Promise<WrittenAnswer> {
  composed ??= compose(workerData as ThreadParts, work);
  moment = request.asker.moment;
  const application = await composed;
  application.get(Database, { strict: false }).onlyRead(!request.takesFile);
  const heavyWork = application.get(HeavyWork, { strict: false });
  const answer = await answerInThread(
    application,
    request,
    async (job) => (await heavyWork.run(request.asker, job)) as string | Buffer,
  );
  await application.get(CostWriting, { strict: false }).withoutDelay();
  return answer;
}

/** Everything of an operation that this person may see, in one file. */
export async function archiveMade(asker: Asker, operationId: string, work: Work): Promise<MadeArchive> {
  composed ??= compose(workerData as ThreadParts, work);
  moment = asker.moment;
  const application = await composed;
  application.get(Database, { strict: false }).onlyRead(true);
  return application.get(OwnersArchive, { strict: false }).here(asker, operationId);
}

/** Writes some of what is due of an operation's costs of hay. */
export async function costsWritten(operationId: string, work: Work): Promise<Progress> {
  composed ??= compose(workerData as ThreadParts, work);
  const application = await composed;
  application.get(Database, { strict: false }).onlyRead(false);
  return application.get(CostWriting, { strict: false }).inTurn(operationId);
}

async function compose(
  { appUrl, embedded = false, replica, logLevel, slowStatementMs }: ThreadParts,
  work: Work,
): Promise<INestApplicationContext> {
  const logger = createLogger(logLevel);
  const pool = createPool(appUrl, CONNECTIONS);
  if (embedded) sessionsStandBack(pool);
  const database = new Database(
    pool,
    replica === undefined
      ? undefined
      : new Replica({
          appUrl,
          replicaUrl: replica.url,
          poolSize: CONNECTIONS,
          counts: new ReadCounts(replica.counts),
          patience: { lightMs: PATIENCE_MS },
        }),
  );
  database.watchStatements(({ text, ms }) => {
    if (ms >= slowStatementMs)
      logger.warn({ ms: Math.round(ms), statement: text.replaceAll(/\s+/g, ' ').trim() }, 'slow statement of a report');
  });
  return createContext(
    {
      database,
      clock: { now: () => moment },
      secrets: new SecretBox(randomBytes(32)),
      workers: {
        // Shares of them are semaphores, whose release walks over every free place.
        threads: { reports: JOBS_OF_A_REQUEST, files: JOBS_OF_A_REQUEST },
        memoryMb: 512,
        answersRequests: false,
        // This thread is where heavy work is done, as it would be in another: figures come packed and go packed.
        do: work,
        close: () => Promise.resolve(),
      },
    },
    logger,
  );
}
