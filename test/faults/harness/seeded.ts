/** Random numbers that a seed repeats (mulberry32, public domain): when and where faults strike. */
export class Seeded {
  #state: number;

  constructor(readonly seed: number) {
    this.#state = seed >>> 0;
  }

  /** From 0 up to, not including, 1. */
  next(): number {
    this.#state = (this.#state + 0x6d2b79f5) >>> 0;
    let mixed = this.#state;
    mixed = Math.imul(mixed ^ (mixed >>> 15), mixed | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  }

  between(least: number, most: number): number {
    return least + this.next() * (most - least);
  }

  oneOf<T>(all: readonly T[]): T | undefined {
    return all[Math.floor(this.next() * all.length)];
  }
}
