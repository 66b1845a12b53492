/** How long after a signal the same one is taken for it: the system and the starter both pass it on. */
const SAME_MS = 1000;

/**
 * What a signal means to a server. A terminal and a service manager send one to every process of the group, and the
 * starter sends on the one that it got, so that a single wish to stop arrives twice.
 */
export class StopSignals {
  #first: { signal: string; at: number } | undefined;

  constructor(private readonly now: () => number = () => performance.now()) {}

  /** `stop` the first time; `at-once` for another signal, or for the same one when a second has passed. */
  heard(signal: string): 'stop' | 'same' | 'at-once' {
    const at = this.now();
    if (this.#first === undefined) {
      this.#first = { signal, at };
      return 'stop';
    }
    return signal === this.#first.signal && at - this.#first.at < SAME_MS ? 'same' : 'at-once';
  }

  /** The starter is gone: a wish to stop where nobody had it yet, and no second one. */
  starterEnded(): 'stop' | 'same' {
    if (this.#first !== undefined) return 'same';
    this.#first = { signal: 'the starter ended', at: this.now() };
    return 'stop';
  }
}

/** Calls `stop` for each wish to stop that this process is sent. */
export function onWishToStop(stop: (signal: string, means: 'stop' | 'at-once') => void): void {
  const signals = new StopSignals();
  const told = (signal: string, means: ReturnType<StopSignals['heard']>): void => {
    if (means !== 'same') stop(signal, means);
  };
  process.on('SIGTERM', () => told('SIGTERM', signals.heard('SIGTERM')));
  process.on('SIGINT', () => told('SIGINT', signals.heard('SIGINT')));
  // A terminal that was closed; the starter passes it on as SIGTERM.
  process.on('SIGHUP', () => told('SIGTERM', signals.heard('SIGTERM')));
  // The process that started us with a channel, as `npm start` does, is gone without a signal.
  process.on('disconnect', () => told('the starter ended', signals.starterEnded()));
}
