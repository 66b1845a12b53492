/** Why a read went to the primary: what the replica was. */
export const REASONS = ['behind', 'away', 'unfit', 'failed'] as const;
export type Reason = (typeof REASONS)[number];
const WHO = ['replica', ...REASONS] as const;

/** How many reads the replica answered, and how many the primary and why; by all threads of this process together. */
export class ReadCounts {
  readonly #counts: BigInt64Array;

  /** @param memory What another thread's counts stand in, to count there. */
  constructor(readonly memory = new SharedArrayBuffer(WHO.length * BigInt64Array.BYTES_PER_ELEMENT)) {
    this.#counts = new BigInt64Array(memory);
  }

  add(who: 'replica' | Reason): void {
    Atomics.add(this.#counts, WHO.indexOf(who), 1n);
  }

  now(): Record<'replica' | Reason, number> {
    const entries = WHO.map((who, at) => [who, Number(Atomics.load(this.#counts, at))]);
    return Object.fromEntries(entries) as Record<'replica' | Reason, number>;
  }
}
