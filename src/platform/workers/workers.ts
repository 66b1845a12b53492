import { availableParallelism } from 'node:os';
import { Piscina } from 'piscina';
import { LANES, type Lane } from './job.js';

/** Threads that do jobs; what goes in and comes out is what a structured clone keeps. */
export interface Workers {
  /** How many of them each lane has at a time. */
  readonly threads: Readonly<Record<Lane, number>>;
  /** What each of them may use. */
  readonly memoryMb: number;
  /** Whether they can answer whole requests: they know the database. */
  readonly answersRequests: boolean;
  do(job: unknown, ended: AbortSignal): Promise<unknown>;
  close(): Promise<void>;
}

/** What a thread needs to answer requests by itself. */
export interface ThreadParts {
  /** Connection of the server's own role. */
  appUrl: string;
  /** Whether it is the embedded one, whose processes this one may rank. */
  embedded?: boolean;
  /** A replica that may answer them, and where to count what it does. */
  replica?: { url: string; counts: SharedArrayBuffer } | undefined;
  logLevel: string;
  slowStatementMs: number;
}

const IDLE_MS = 300_000;
const MEMORY_MB = 512;
const WAITING_MOST = 256;

/** In each lane, so that one operation, which has half of a lane, never takes all of it. */
const THREADS_LEAST = 2;

/** One core is left to the requests; files mostly wait for the database and have half as many threads as reports. */
function threadsOfLanes(): Record<Lane, number> {
  const cores = availableParallelism() - 1;
  return { reports: Math.max(THREADS_LEAST, cores), files: Math.max(THREADS_LEAST, Math.floor(cores / 2)) };
}

/**
 * A pool of threads that each load `file`, whose default export does one job. They start with the first job and end
 * after some minutes without one.
 */
export function threadsOf(
  file: string,
  parts?: ThreadParts,
  execArgv?: readonly string[],
  memoryMb = MEMORY_MB,
): Workers {
  const threads = threadsOfLanes();
  let pool: Piscina | undefined;
  return {
    threads,
    memoryMb,
    answersRequests: parts !== undefined,
    do: (job, signal) => {
      pool ??= madePool({
        filename: file,
        minThreads: 0,
        maxThreads: LANES.reduce((sum, lane) => sum + threads[lane], 0),
        idleTimeout: IDLE_MS,
        maxQueue: WAITING_MOST,
        resourceLimits: { maxOldGenerationSizeMb: memoryMb },
        workerData: parts,
        ...(execArgv === undefined ? {} : { execArgv: [...execArgv] }),
      });
      return pool.run(job, { signal });
    },
    close: async () => {
      await pool?.destroy();
    },
  };
}

/** A thread that ends between jobs is nobody's fault to be told: the next job gets another one. */
function madePool(options: ConstructorParameters<typeof Piscina>[0]): Piscina {
  return new Piscina(options).on('error', () => undefined);
}
