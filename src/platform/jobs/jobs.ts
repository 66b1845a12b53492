import { Injectable, Logger, type OnModuleDestroy } from '@nestjs/common';
import { CompiledQuery } from 'kysely';
import type PgBoss from 'pg-boss';
import { Database } from '../database/database.js';
import type { Queries } from '../database/types.js';
import { JOB_QUEUE_NAMES, JOB_QUEUES, type JobQueue, JOBS_SCHEMA } from './job-queues.data.js';

/** What a process looks for by itself; what it writes it takes up at once (`lookSoon`). */
const LOOK_EVERY_MS = 10_000;
/** How often jobs of processes that are gone are given to others. */
const TIDY_EVERY_MS = 60_000;
const SOON_MS = 50;
/** How long a job that is under way may take once the server stops; it is told to end before that. */
const GRACE_MS = 8000;
/** Done jobs leave the table after an hour, and are forgotten after a day. */
const DONE_KEPT_SECONDS = 3600;

type Content = Readonly<Record<string, unknown>>;
/** How much longer this process works. */
export interface WorkingTime {
  /** The server is stopping: nothing more is to be begun. */
  readonly stopping: boolean;
  /** Aborted when what is under way must end too. */
  readonly ended: AbortSignal;
}
/** Does a job; what it throws has the job done again later. */
type JobHandler = (content: Content, time: WorkingTime) => Promise<void>;

interface WhenToDo {
  /** Not before so many seconds from now. */
  afterSeconds?: number;
  /** In a slot of so many seconds, one job of this key is enough; more are not added. */
  oncePer?: { key: string; seconds: number };
}

/**
 * Jobs that outlive a process, kept by a library in PostgreSQL (pg-boss): each is done by one process at a time, again
 * if that process ends, and not before its time. The library's own worker does not wait for its last statement of a
 * job, so a database that goes away would end the program; therefore jobs are taken from it and given back here.
 */
@Injectable()
export class Jobs implements OnModuleDestroy {
  readonly #log = new Logger('jobs');
  readonly #handlers = new Map<JobQueue, JobHandler>();
  readonly #underWay = new Map<JobQueue, Set<Promise<void>>>();
  readonly #end = new AbortController();
  readonly #time = { stopping: false, ended: this.#end.signal };
  #timers: NodeJS.Timeout[] = [];
  #soon: NodeJS.Timeout | undefined;
  #looking: Promise<void> | undefined;
  #again = false;
  #boss: Promise<PgBoss> | undefined;

  constructor(private readonly database: Database) {}

  handle(queue: JobQueue, handler: JobHandler): void {
    this.#handlers.set(queue, handler);
    this.#underWay.set(queue, new Set());
  }

  /** From now on this process does jobs. */
  start(): void {
    if (this.#timers.length > 0 || this.#time.stopping) return;
    this.#timers = [
      setInterval(() => void this.#look(), LOOK_EVERY_MS).unref(),
      setInterval(() => void this.tidy(), TIDY_EVERY_MS).unref(),
    ];
    void this.#look();
  }

  /** There is something to do, most likely. Nothing where this process does no jobs. */
  lookSoon(): void {
    if (this.#timers.length === 0 || this.#time.stopping) return;
    this.#soon ??= setTimeout(() => {
      this.#soon = undefined;
      void this.#look();
    }, SOON_MS).unref();
  }

  /** Adds a job: in this transaction, so that it exists if and only if that commits. */
  async add(db: Queries, queue: JobQueue, content: Content, { afterSeconds, oncePer }: WhenToDo = {}): Promise<void> {
    const boss = await this.#library();
    const executeSql = (text: string, values: unknown[]): Promise<{ rows: unknown[] }> =>
      db.executeQuery(CompiledQuery.raw(text, values));
    await boss.send(
      queue,
      { ...content },
      {
        db: { executeSql },
        ...(afterSeconds === undefined ? {} : { startAfter: Math.max(1, Math.ceil(afterSeconds)) }),
        ...(oncePer === undefined ? {} : { singletonKey: oncePer.key, singletonSeconds: oncePer.seconds }),
      },
    );
  }

  /** The same in no transaction of anybody's. */
  async addAlone(queue: JobQueue, content: Content, { oncePer }: Pick<WhenToDo, 'oncePer'>): Promise<void> {
    const once = oncePer === undefined ? {} : { singletonKey: oncePer.key, singletonSeconds: oncePer.seconds };
    await (await this.#library()).send(queue, { ...content }, once);
  }

  /** Gives jobs whose process is gone to others, and forgets what is long done. */
  async tidy(): Promise<void> {
    try {
      await (await this.#library()).maintain();
    } catch (error) {
      this.#log.warn(`Jobs of processes that are gone wait: ${wordsOf(error)}`);
    }
  }

  /** Does what is due, one after another, until nothing is. */
  async doDue(): Promise<void> {
    const boss = await this.#library();
    for (let found = 1; found > 0;) {
      found = 0;
      for (const queue of JOB_QUEUE_NAMES) {
        const jobs = await boss.fetch(queue, { batchSize: 20 });
        found += jobs.length;
        for (const job of jobs) await this.#do(boss, queue, job);
      }
    }
  }

  async onModuleDestroy(): Promise<void> {
    this.#time.stopping = true;
    this.#timers.forEach((timer) => clearInterval(timer));
    clearTimeout(this.#soon);
    const grace = setTimeout(() => this.#end.abort(), GRACE_MS);
    await this.#looking;
    await Promise.all([...this.#underWay.values()].flatMap((jobs) => [...jobs]));
    clearTimeout(grace);
  }

  /** The library, loaded with the first job; it makes no tables and runs no timers of its own. */
  #library(): Promise<PgBoss> {
    this.#boss ??= this.#load();
    this.#boss.catch(() => {
      this.#boss = undefined;
    });
    return this.#boss;
  }

  async #load(): Promise<PgBoss> {
    const { default: Library } = await import('pg-boss');
    const boss = new Library({
      db: this.database.jobTables,
      schema: JOBS_SCHEMA,
      migrate: false,
      supervise: false,
      schedule: false,
      archiveCompletedAfterSeconds: DONE_KEPT_SECONDS,
      deleteAfterDays: 1,
    });
    boss.on('error', (error) => this.#log.warn(wordsOf(error)));
    await boss.start();
    return boss;
  }

  #look(): Promise<void> {
    this.#again = true;
    this.#looking ??= this.#takeAll();
    return this.#looking;
  }

  async #takeAll(): Promise<void> {
    try {
      const boss = await this.#library();
      while (this.#again && !this.#time.stopping) {
        this.#again = false;
        for (const [queue, underWay] of this.#underWay) await this.#take(boss, queue, underWay);
      }
    } catch (error) {
      this.#log.warn(`Jobs wait: ${wordsOf(error)}`);
    } finally {
      // In the same breath as the last look at `#again`, so that nobody who asks for another is overheard.
      this.#looking = undefined;
    }
  }

  async #take(boss: PgBoss, queue: JobQueue, underWay: Set<Promise<void>>): Promise<void> {
    const free = JOB_QUEUES[queue].atOnce - underWay.size;
    if (free <= 0) return;
    for (const job of await boss.fetch(queue, { batchSize: free })) {
      const doing = this.#do(boss, queue, job).finally(() => {
        underWay.delete(doing);
        if (!this.#time.stopping) void this.#look();
      });
      underWay.add(doing);
    }
  }

  async #do(boss: PgBoss, queue: JobQueue, { id, data }: PgBoss.Job<unknown>): Promise<void> {
    try {
      await this.#handlers.get(queue)?.(data as Content, this.#time);
      await boss.complete(queue, id);
    } catch (error) {
      this.#log.warn(`A job of ${queue} is done again: ${wordsOf(error)}`);
      await boss
        .fail(queue, id, { message: wordsOf(error) })
        .catch((failed: unknown) => this.#log.warn(`and will be given out later: ${wordsOf(failed)}`));
    }
  }
}

function wordsOf(error: unknown): string {
  return (error instanceof Error ? error.message : String(error)).replaceAll(/\s+/g, ' ').slice(0, 300);
}
