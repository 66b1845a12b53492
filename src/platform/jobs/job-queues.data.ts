/** Where the library keeps its tables: apart from ours, so that it can bring them up to its own releases. */
export const JOBS_SCHEMA = 'rickyard_jobs';

interface QueueTerms {
  /**
   * A job whose process has said nothing for so long is taken to be dead, and given to another: longer than any job of
   * the queue takes.
   */
  readonly expireInSeconds: number;
  /** A job that threw, or whose process ended, is done again so many times, each time later than the one before. */
  readonly retryLimit: number;
  readonly retryDelay: number;
  readonly retryBackoff: true;
  /** A job that nobody has begun by then is forgotten; what it was for is found again by the hourly chores. */
  readonly retentionMinutes: number;
  /** How many of its jobs one process does at a time. */
  readonly atOnce: number;
}

const TWO_WEEKS = 14 * 24 * 60;
const terms = { retryBackoff: true, retentionMinutes: TWO_WEEKS } as const;

/** Kinds of work that outlive a process. What is planned for later (`startAfter`) waits in the database too. */
export const JOB_QUEUES = {
  /** One webhook's turn: messages that are due are sent, one after another. */
  'webhook-deliveries': { expireInSeconds: 120, retryLimit: 10, retryDelay: 30, ...terms, atOnce: 6 },
  /** Whether the hay of one operation lasts. */
  'low-hay': { expireInSeconds: 300, retryLimit: 3, retryDelay: 300, ...terms, atOnce: 1 },
  /** Once an hour: what began with a new day, what was left lying, what is too old to be kept. */
  'webhook-chores': { expireInSeconds: 300, retryLimit: 2, retryDelay: 60, ...terms, atOnce: 1 },
} as const satisfies Record<string, QueueTerms>;

export type JobQueue = keyof typeof JOB_QUEUES;
export const JOB_QUEUE_NAMES = Object.keys(JOB_QUEUES) as JobQueue[];
