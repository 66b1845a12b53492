import { packed, unpacked } from '../../core/units/crossing.js';
import { FairShare } from '../database/fair-share.js';
import { Problem } from '../http/problem.js';
import { type Done, type Job, type Lane, laneOf, LANES, wordsOf } from './job.js';
import type { Workers } from './workers.js';

/** Who asks for the work, and in which operation, if in one. */
export interface Asking {
  personId: string;
  operationId?: string | undefined;
}

interface Limits {
  gone?: AbortSignal;
  deadlineMs?: number;
}

/** A job that runs longer than this is ended, with its thread. */
const DEADLINE_MS = 60_000;
const WAITING_MOST = 8;
const WAITING_OF_ALL_MOST = 256;
const PATIENCE_MS = 30_000;

/** The places in a lane: of everybody together, of each operation, of each person. */
interface Places {
  readonly all: FairShare;
  readonly operations: FairShare;
  readonly people: FairShare;
}
const EVERYBODY = 'everybody';

/**
 * Work that would hold up everybody else's requests, done in other threads. One operation, and one person across all of
 * theirs, has at most half of a lane's threads at a time and a short queue; whoever asks for more is told to come back.
 */
export class HeavyWork {
  readonly #lanes: Readonly<Record<Lane, Places>>;
  #asked = 0;
  #running = 0;

  constructor(
    private readonly workers: Workers,
    private readonly deadlineMs = DEADLINE_MS,
  ) {
    this.#lanes = Object.fromEntries(LANES.map((lane) => [lane, placesIn(workers.threads[lane])])) as unknown as Record<
      Lane,
      Places
    >;
  }

  /**
   * @param limits `gone`: aborted when nobody waits for the answer any more: the job is not begun, or ended;
   *   `deadlineMs`: where it may take longer than others.
   * @returns the job's answer.
   * @throws Problem what the job was refused with; too-much-at-once where the queue is full; took-too-long where it ran
   *   into its deadline or out of memory.
   */
  async run({ personId, operationId }: Asking, job: Job, limits: Limits = {}): Promise<unknown> {
    const { people, operations, all } = this.#lanes[laneOf(job)];
    const done = await this.#counted(() =>
      people.of(personId, () =>
        operations.of(operationId ?? personId, () => all.of(EVERYBODY, () => this.#inTime(job, limits))),
      ),
    );
    if ('answer' in done) return done.answer;
    const { code, detail, errors, headers } = done.problem;
    throw new Problem(code, detail, errors, headers);
  }

  /** Whether threads can answer whole requests. */
  get answersRequests(): boolean {
    return this.workers.answersRequests;
  }

  /** How many jobs threads are doing, and how many wait for a thread or for their share of them. */
  load(): { running: number; waiting: number } {
    return { running: this.#running, waiting: this.#asked - this.#running };
  }

  async #counted(work: () => Promise<Done>): Promise<Done> {
    this.#asked += 1;
    return work().finally(() => {
      this.#asked -= 1;
    });
  }

  async #inTime(job: Job, { gone, deadlineMs = this.deadlineMs }: Limits): Promise<Done> {
    const isGone = (): boolean => gone?.aborted === true;
    if (isGone()) throw nobodyWaits();
    const deadline = AbortSignal.timeout(deadlineMs);
    this.#running += 1;
    try {
      const ended = gone === undefined ? deadline : AbortSignal.any([deadline, gone]);
      return unpacked(await this.workers.do(packed(job), ended)) as Done;
    } catch (error) {
      if (isGone()) throw nobodyWaits();
      if (deadline.aborted) throw stopped(job, `after ${deadlineMs / 1000} seconds`);
      if (isOutOfMemory(error))
        throw stopped(job, `when it needed more than the ${this.workers.memoryMb} MB of memory that it may use`);
      throw error;
    } finally {
      this.#running -= 1;
    }
  }

  async onApplicationShutdown(): Promise<void> {
    await this.workers.close();
  }
}

function placesIn(threads: number): Places {
  const own = { atOnce: Math.max(1, Math.floor(threads / 2)), waiting: WAITING_MOST, patienceMs: PATIENCE_MS };
  const all = { atOnce: threads, waiting: WAITING_OF_ALL_MOST, patienceMs: PATIENCE_MS };
  return { all: new FairShare(all), operations: new FairShare(own), people: new FairShare(own) };
}

/** In words about what was asked. */
function stopped(job: Job, when: string): Problem {
  const { what, instead } = wordsOf(job);
  return new Problem('took-too-long', `${what} was stopped ${when}. ${instead}`, [], { 'Retry-After': '60' });
}

/** Node ends such a thread. */
function isOutOfMemory(error: unknown): boolean {
  return (error as { code?: unknown } | null | undefined)?.code === 'ERR_WORKER_OUT_OF_MEMORY';
}

/** Nobody reads it; it keeps what was stopped out of the log of faults. */
function nobodyWaits(): Problem {
  return new Problem('too-much-at-once', 'Whoever asked is gone.');
}
