import { readFileSync } from 'node:fs';

/** How often the loop is looked at, in milliseconds. */
const EVERY = 2;

/**
 * The most processor time that this thread spent between two turns of its event loop, in milliseconds: how long others
 * had to wait at least, however busy the machine is. Where Linux does not tell a thread's time, it is NaN.
 */
export class LongestTurn {
  #before = processorMs();
  #most = 0;
  readonly #clock = setInterval(() => {
    const now = processorMs();
    this.#most = Math.max(this.#most, now - this.#before);
    this.#before = now;
  }, EVERY);

  end(): number {
    clearInterval(this.#clock);
    return Number(this.#most.toFixed(1));
  }
}

function processorMs(): number {
  if (process.platform !== 'linux') return Number.NaN;
  return Number(readFileSync('/proc/thread-self/schedstat', 'latin1').split(' ', 1)[0]) / 1e6;
}
