import { packed, unpacked } from '../../core/units/crossing.js';
import { FairShare } from '../database/fair-share.js';
import { Problem } from '../http/problem.js';
import type { Done, Job } from './job.js';
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
const PATIENCE_MS = 30_000;

/**
 * Work that would hold up everybody else's requests, done in other threads. One operation, and one person across all of
 * theirs, has at most half of the threads at a time and a short queue; whoever asks for more is told to come back.
 */
export class HeavyWork {
  readonly #people: FairShare;
  readonly #operations: FairShare;
  #asked = 0;
  #given = 0;

  constructor(
    private readonly workers: Workers,
    private readonly deadlineMs = DEADLINE_MS,
  ) {
    const limits = {
      atOnce: Math.max(1, Math.floor(workers.threads / 2)),
      waiting: WAITING_MOST,
      patienceMs: PATIENCE_MS,
    };
    this.#people = new FairShare(limits);
    this.#operations = new FairShare(limits);
  }

  /**
   * @param limits `gone`: aborted when nobody waits for the answer any more: the job is not begun, or ended;
   *   `deadlineMs`: where it may take longer than others.
   * @returns the job's answer.
   * @throws Problem what the job was refused with; too-much-at-once where the queue is full; took-too-long where it ran
   *   into its deadline or out of memory.
   */
  async run({ personId, operationId }: Asking, job: Job, limits: Limits = {}): Promise<unknown> {
    const done = await this.#counted(() =>
      this.#people.of(personId, () => this.#operations.of(operationId ?? personId, () => this.#inTime(job, limits))),
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
    const running = this.#given - this.workers.waiting();
    return { running, waiting: this.#asked - running };
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
    this.#given += 1;
    try {
      const ended = gone === undefined ? deadline : AbortSignal.any([deadline, gone]);
      return unpacked(await this.workers.do(packed(job), ended)) as Done;
    } catch (error) {
      if (isGone()) throw nobodyWaits();
      if (deadline.aborted)
        throw new Problem(
          'took-too-long',
          `This was stopped after ${deadlineMs / 1000} seconds of calculating. Ask for fewer days, herds or lots.`,
          [],
          { 'Retry-After': '60' },
        );
      if (isOutOfMemory(error))
        throw new Problem(
          'took-too-long',
          `This was stopped when it needed more than the ${this.workers.memoryMb} MB that a calculation may use. Ask ` +
            'for fewer days, herds or lots.',
          [],
          { 'Retry-After': '60' },
        );
      throw error;
    } finally {
      this.#given -= 1;
    }
  }

  async onApplicationShutdown(): Promise<void> {
    await this.workers.close();
  }
}

/** Node ends such a thread. */
function isOutOfMemory(error: unknown): boolean {
  return (error as { code?: unknown } | null | undefined)?.code === 'ERR_WORKER_OUT_OF_MEMORY';
}

/** Nobody reads it; it keeps what was stopped out of the log of faults. */
function nobodyWaits(): Problem {
  return new Problem('too-much-at-once', 'Whoever asked is gone.');
}
