import { hashToken } from '../sign-in/tokens.js';
import type { RequestCountStore } from './request-count.store.js';

/** A caller is told of to other servers at every so large a part of what they may send. */
const TOLD_AT = 0.05;

interface Count {
  /** Requests of this window, as far as is known here. */
  requests: number;
  /** Those of them that were not told to others yet. */
  untold: number;
  /** In milliseconds since 1970. */
  endsAt: number;
}

/**
 * Counts requests of callers of one kind. Each is counted here; whoever has sent a twentieth of what they may since the
 * last time is told to the database, and counted from then on with what other servers have told. So a request waits for
 * no statement, who asks little costs none, and each server beside the first lets at most that twentieth more through,
 * and what came while it asked.
 */
export class SharedCounts {
  readonly #counts = new Map<string, Count>();
  readonly #due = new Set<string>();
  readonly #toldAt: number;
  readonly #windowMs: number;
  #telling: Promise<void> | undefined;
  #clearedAt = Date.now();

  /** @param failed is called where the database does not answer; then this server counts alone */
  constructor(
    private readonly most: number,
    seconds: number,
    private readonly store: Pick<RequestCountStore, 'add'>,
    private readonly failed: (error: unknown) => void,
  ) {
    this.#toldAt = Math.ceil(most * TOLD_AT);
    this.#windowMs = seconds * 1000;
  }

  /** @returns how many milliseconds to wait where it is one too many; undefined where it was counted */
  take(caller: string): number | undefined {
    const subject = hashToken(caller);
    const at = Date.now();
    this.#clear(at);
    let count = this.#counts.get(subject);
    if (count === undefined || count.endsAt <= at) {
      count = { requests: 0, untold: 0, endsAt: at + this.#windowMs };
      this.#counts.set(subject, count);
    }
    if (count.requests >= this.most) return count.endsAt - at;
    count.requests += 1;
    count.untold += 1;
    if (count.untold >= this.#toldAt) {
      this.#due.add(subject);
      this.#telling ??= this.#tell().finally(() => {
        this.#telling = undefined;
      });
    }
    return undefined;
  }

  /** Until what is being told has been. */
  async settled(): Promise<void> {
    await this.#telling;
  }

  async #tell(): Promise<void> {
    while (this.#due.size > 0) {
      const told = [...this.#due].flatMap((subject) => {
        const count = this.#counts.get(subject);
        if (count === undefined) return [];
        const requests = count.untold;
        count.untold = 0;
        return [{ subjectHash: subject, requests, endsAt: new Date(count.endsAt), count }];
      });
      this.#due.clear();
      try {
        const known = await this.store.add(told, new Date());
        for (const { subjectHash, requests, endsAt } of known) {
          const count = told.find((one) => one.subjectHash === subjectHash)?.count;
          if (count === undefined) continue;
          // With what came here meanwhile. The clock of another server that is ahead makes no window longer.
          count.requests = requests + count.untold;
          count.endsAt = Math.min(endsAt.getTime(), Date.now() + this.#windowMs);
        }
      } catch (error) {
        this.failed(error);
      }
    }
  }

  #clear(at: number): void {
    if (at - this.#clearedAt < this.#windowMs) return;
    this.#clearedAt = at;
    for (const [subject, { endsAt }] of this.#counts) if (endsAt <= at) this.#counts.delete(subject);
  }
}
