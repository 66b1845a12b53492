import { performance } from 'node:perf_hooks';
import type { Clock } from '../clock.js';

const LOOK_EVERY_MS = 10_000;
/** By a smaller step back, as two machines and the wire between them make it, time stands still for a moment. */
const SET_BACK_MS = 2000;

/** What time it is there, in milliseconds since 1970. */
type Ask = () => Promise<number>;
/** Milliseconds from some beginning, that nobody can set. */
type Count = () => number;

/**
 * The clock of the database, which all servers of it share: asked for now and then, and carried on between by a count
 * that nobody can set. So this machine's clock may be wrong, or be set, and what is entered keeps its order.
 */
export class DatabaseClock implements Clock {
  #last = 0;
  readonly #begun: { readonly count: number; readonly at: number };

  private constructor(
    private readonly ask: Ask,
    private readonly count: Count,
    private ahead: number,
  ) {
    this.#begun = { count: count(), at: count() + ahead };
  }

  static async of(ask: Ask, count: Count = () => performance.now()): Promise<DatabaseClock> {
    return new DatabaseClock(ask, count, await aheadOf(ask, count));
  }

  now(): Date {
    const now = this.count() + this.ahead;
    if (now > this.#last || now < this.#last - SET_BACK_MS) this.#last = now;
    return new Date(Math.floor(this.#last));
  }

  /**
   * No later than the start and what has passed since by the count, whatever the database's clock was set to: what is
   * kept for some hours is not thrown away because a clock ran ahead.
   */
  passed(): Date {
    return new Date(Math.min(this.now().getTime(), Math.floor(this.#begun.at + this.count() - this.#begun.count)));
  }

  /** Asks again now and then. While nobody answers, time goes on by the count. */
  follow(tell: (words: string) => void): void {
    setInterval(() => void this.look(tell).catch(() => undefined), LOOK_EVERY_MS).unref();
  }

  async look(tell: (words: string) => void): Promise<void> {
    const ahead = await aheadOf(this.ask, this.count);
    const step = ahead - this.ahead;
    this.ahead = ahead;
    if (Math.abs(step) > SET_BACK_MS)
      tell(`The database's clock was set ${step > 0 ? 'ahead' : 'back'} by ${(Math.abs(step) / 1000).toFixed(0)} s.`);
  }
}

/** How far that clock is ahead of the count, at half of the way there and back. */
async function aheadOf(ask: Ask, count: Count): Promise<number> {
  const asked = count();
  const there = await ask();
  return there - (asked + count()) / 2;
}
