import { E_TIMEOUT, Semaphore, withTimeout } from 'async-mutex';
import { Problem } from '../http/problem.js';

interface Share {
  run: <T>(work: () => Promise<T>, priority: number) => Promise<T>;
  /** Running and waiting. */
  asking: number;
  /** The same of each caller. */
  readonly callers: Map<string, number>;
}

/** One operation's share of the server's database connections. */
export interface ShareLimits {
  /** Transactions running at a time. */
  atOnce: number;
  /** How many more may wait for one of those. */
  waiting: number;
  patienceMs: number;
}

/**
 * Divides the database connections between operations, so that the requests of one ranch, waiting for each other or for
 * a long report, never take the last one. Within a share, whoever has the fewest requests in it comes next, so that one
 * person's many keep nobody else of the ranch waiting. Kept in this process: each server has a pool of its own.
 */
export class FairShare {
  readonly #shares = new Map<string, Share>();

  constructor(private readonly limits: ShareLimits) {}

  /**
   * @param caller who asks, where that is known
   * @throws Problem too-much-at-once where the share of `whose` is in use and no more may wait for it, or the wait is
   * too long.
   */
  async of<T>(whose: string, work: () => Promise<T>, caller = ''): Promise<T> {
    const share = this.#shares.get(whose) ?? this.#open(whose);
    if (share.asking >= this.limits.atOnce + this.limits.waiting) throw tooMuch();
    const before = share.callers.get(caller) ?? 0;
    share.asking += 1;
    share.callers.set(caller, before + 1);
    try {
      return await share.run(work, caller === '' ? 0 : -before);
    } catch (error) {
      throw error === E_TIMEOUT ? tooMuch() : error;
    } finally {
      share.asking -= 1;
      share.callers.set(caller, (share.callers.get(caller) ?? 1) - 1);
      if (share.asking === 0) this.#shares.delete(whose);
    }
  }

  /** The same for work that does not end where it began. @returns what gives the place back. */
  hold(whose: string): Promise<() => void> {
    return new Promise((resolve, reject) => {
      this.of(whose, () => new Promise<void>(resolve)).catch(reject);
    });
  }

  #open(whose: string): Share {
    const semaphore = withTimeout(new Semaphore(this.limits.atOnce), this.limits.patienceMs);
    const share: Share = {
      run: (work, priority) => semaphore.runExclusive(work, 1, priority),
      asking: 0,
      callers: new Map(),
    };
    this.#shares.set(whose, share);
    return share;
  }
}

function tooMuch(): Problem {
  return new Problem('too-much-at-once', undefined, [], { 'Retry-After': '5' });
}
