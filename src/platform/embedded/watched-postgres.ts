import { setTimeout as sleep } from 'node:timers/promises';
import type { PostgresLog } from './postgres-log.js';
import { isAlive, stopProcess } from './processes.js';

const LOOK_EVERY_MS = 250;
const FIRST_WAIT_MS = 250;
const LONGEST_WAIT_MS = 4000;

/**
 * A running PostgreSQL: restarted whenever it ends without being told to, with longer and longer waits while that
 * fails; stopped for good by `stop`. Watched by its process number, since it may have been taken over from an earlier
 * start.
 */
export class WatchedPostgres {
  #stopping = false;
  #watching: NodeJS.Timeout | undefined;
  #starting: Promise<void> | undefined;

  constructor(
    private pid: number,
    private readonly log: PostgresLog,
    private readonly startAgain: () => Promise<number>,
  ) {}

  watch(tell: (words: string) => void): void {
    this.#watching = setInterval(() => {
      if (this.#starting !== undefined || this.#stopping) return;
      if (isAlive(this.pid)) this.log.rotate();
      else
        this.#starting = this.#revive(tell).finally(() => {
          this.#starting = undefined;
        });
    }, LOOK_EVERY_MS);
    // Must never keep the program from ending.
    this.#watching.unref();
  }

  async stop(): Promise<void> {
    this.#stopping = true;
    clearInterval(this.#watching);
    await this.#starting;
    await stopProcess(this.pid);
  }

  async #revive(tell: (words: string) => void): Promise<void> {
    tell(`The embedded PostgreSQL (process ${this.pid}) ended; its last messages are in ${this.log.path}.`);
    for (let wait = FIRST_WAIT_MS; !this.#stopping; wait = Math.min(2 * wait, LONGEST_WAIT_MS)) {
      try {
        this.pid = await this.startAgain();
        tell(`The embedded PostgreSQL was restarted (process ${this.pid}).`);
        return;
      } catch (error) {
        tell(`The embedded PostgreSQL could not be restarted: ${(error as Error).message}`);
        await sleep(wait);
      }
    }
  }
}
