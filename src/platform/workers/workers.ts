import { availableParallelism } from 'node:os';
import { Piscina } from 'piscina';

/** Threads that do jobs; what goes in and comes out is what a structured clone keeps. */
export interface Workers {
  readonly threads: number;
  /** How many jobs wait for a thread. */
  waiting(): number;
  do(job: unknown, deadline: AbortSignal): Promise<unknown>;
  close(): Promise<void>;
}

const IDLE_MS = 300_000;
const MEMORY_MB = 512;
const WAITING_MOST = 256;

/**
 * A pool of threads that each load `file`, whose default export does one job. They start with the first job and end
 * after some minutes without one. One core is left to the requests.
 */
export function threadsOf(file: string, execArgv?: readonly string[]): Workers {
  const threads = Math.max(1, availableParallelism() - 1);
  let pool: Piscina | undefined;
  return {
    threads,
    waiting: () => pool?.queueSize ?? 0,
    do: (job, signal) => {
      pool ??= new Piscina({
        filename: file,
        minThreads: 0,
        maxThreads: threads,
        idleTimeout: IDLE_MS,
        maxQueue: WAITING_MOST,
        resourceLimits: { maxOldGenerationSizeMb: MEMORY_MB },
        ...(execArgv === undefined ? {} : { execArgv: [...execArgv] }),
      });
      return pool.run(job, { signal });
    },
    close: async () => {
      await pool?.destroy();
    },
  };
}
