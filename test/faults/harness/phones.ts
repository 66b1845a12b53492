import { setTimeout as sleep } from 'node:timers/promises';
import type { YardOfFaults } from './yard-of-faults.js';

/** An entry that a phone has begun to send, under one Idempotency-Key until it is answered. */
export interface Sent {
  readonly mark: string;
  readonly kind: 'hay-purchases' | 'hay-sales';
  readonly pounds: number;
  /** The record's id once the server said that it is done. */
  acknowledged?: string;
}

const GIVE_UP_MS = 20_000;
const WAIT_MOST_MS = 1000;
const GETS_ON_WITHIN_MS = 180_000;
const AGAIN = new Set([408, 425, 429, 502, 503, 504]);

/**
 * People in the yard with phones: each enters one thing after the other, and sends each again, under the same key,
 * until it is answered. Where a server answers what it must not (a 500, a refusal), that is kept too.
 */
export class Phones {
  readonly sent: Sent[] = [];
  /** Answers that were neither done nor a reason to try again. */
  readonly wrong: string[] = [];
  #entering = true;
  #running: Promise<unknown> = Promise.resolve();
  #acknowledged = 0;

  constructor(
    private readonly yard: YardOfFaults,
    /** The address to send to at this moment. */
    private readonly url: (phone: number) => string,
    private readonly name: string,
    private readonly pauseMs = 0,
  ) {}

  get acknowledged(): number {
    return this.#acknowledged;
  }

  start(count: number): void {
    this.#entering = true;
    this.#running = Promise.all(Array.from({ length: count }, (_, phone) => this.#enterAll(phone)));
  }

  /** No new entries; what was begun is sent until it is answered. */
  async finish(): Promise<void> {
    this.#entering = false;
    await this.#running;
  }

  /** Waits until that many more are acknowledged. @throws where nobody gets on any more */
  async untilMore(count: number): Promise<void> {
    const goal = this.#acknowledged + count;
    const deadline = Date.now() + GETS_ON_WITHIN_MS;
    while (this.#acknowledged < goal) {
      if (Date.now() > deadline) {
        this.#entering = false;
        throw new Error(`Nobody gets on any more. Last answers:\n${this.wrong.slice(-5).join('\n')}`);
      }
      await sleep(10);
    }
  }

  async #enterAll(phone: number): Promise<void> {
    for (let n = 0; this.#entering; n += 1) {
      const one: Sent = {
        mark: `${this.name}-${phone}-${n}`,
        kind: n % 2 === 0 ? 'hay-purchases' : 'hay-sales',
        pounds: 100 + ((phone * 37 + n * 13) % 900),
      };
      this.sent.push(one);
      await this.#untilAnswered(one, phone);
      if (this.pauseMs > 0) await sleep(this.pauseMs);
    }
  }

  async #untilAnswered(one: Sent, phone: number): Promise<void> {
    for (;;) {
      const answer = await this.#send(one, phone);
      if (answer === undefined) {
        await sleep(100);
        continue;
      }
      if (answer.status === 201) {
        one.acknowledged = (JSON.parse(answer.text) as { id: string }).id;
        this.#acknowledged += 1;
        return;
      }
      if (!AGAIN.has(answer.status)) this.wrong.push(`${one.mark}: ${answer.status} ${answer.text.slice(0, 300)}`);
      // A refusal is final. An error of the server's own may have come after the work: the phone asks again.
      if (answer.status < 500 && !AGAIN.has(answer.status)) return;
      await sleep(Math.min(WAIT_MOST_MS, answer.retryAfterMs));
    }
  }

  async #send(one: Sent, phone: number): Promise<{ status: number; text: string; retryAfterMs: number } | undefined> {
    try {
      const { operationId, keys } = this.yard;
      const answer = await fetch(`${this.url(phone)}/v1/operations/${operationId}/${one.kind}`, {
        method: 'POST',
        headers: {
          'Content-Type': 'application/json',
          Authorization: `Bearer ${keys[phone % keys.length]}`,
          'Idempotency-Key': `"${one.mark}"`,
          'X-Forwarded-For': `10.1.${phone % 200}.1`,
        },
        body: JSON.stringify(this.#body(one)),
        signal: AbortSignal.timeout(GIVE_UP_MS),
      });
      const text = await answer.text();
      return { status: answer.status, text, retryAfterMs: 1000 * Number(answer.headers.get('retry-after') ?? 0.2) };
    } catch {
      return undefined;
    }
  }

  #body({ mark, kind, pounds }: Sent): object {
    const { ranchId, bigLotId, day } = this.yard;
    const weight = { value: String(pounds), unit: 'lb' };
    const price = { basis: 'per-mass', amount: '150', per: 'ton' };
    return kind === 'hay-purchases'
      ? {
          vendor: 'A neighbor (invented)',
          purchasedOn: day,
          lot: { name: mark, ranchId, hayKind: 'meadow', baleForm: 'round', storageMethod: 'tarp' },
          weight: { basis: 'net', net: weight },
          price,
          note: mark,
        }
      : { hayLotId: bigLotId, buyer: 'A neighbor (invented)', soldOn: day, quantity: { weight }, price, note: mark };
  }
}

/** Asks something that needs the database ten times a second, and tells how long nobody was answered. */
export class Absence {
  #lastAt = Date.now();
  #longest = 0;
  #watching = true;
  readonly #looking: Promise<void>;

  constructor(
    private readonly yard: YardOfFaults,
    private readonly url: () => string,
  ) {
    this.#looking = this.#look();
  }

  /** What is absent because its cause lasts counts from the end of that cause. */
  causeEnds(): void {
    this.#lastAt = Date.now();
  }

  async end(): Promise<number> {
    this.#watching = false;
    await this.#looking;
    return Math.max(this.#longest, Date.now() - this.#lastAt);
  }

  /** The longest so far while the cause of an absence lasts is not counted: forget it. */
  async during<T>(work: () => Promise<T>): Promise<T> {
    const before = this.#longest;
    try {
      return await work();
    } finally {
      this.#longest = before;
      this.causeEnds();
    }
  }

  async #look(): Promise<void> {
    let open = 0;
    while (this.#watching) {
      if (open < 30) {
        open += 1;
        void this.#answered().then((well) => {
          open -= 1;
          const now = Date.now();
          if (!well) return;
          this.#longest = Math.max(this.#longest, now - this.#lastAt);
          this.#lastAt = now;
        });
      }
      await sleep(100);
    }
  }

  async #answered(): Promise<boolean> {
    try {
      const answer = await fetch(`${this.url()}/v1/operations/${this.yard.operationId}/ranches`, {
        headers: { Authorization: `Bearer ${this.yard.keys[5]}`, 'X-Forwarded-For': '10.2.0.1' },
        signal: AbortSignal.timeout(GIVE_UP_MS),
      });
      await answer.arrayBuffer();
      return answer.status === 200;
    } catch {
      return false;
    }
  }
}
