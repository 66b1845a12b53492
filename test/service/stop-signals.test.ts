/* One wish to stop may arrive more than once; a second wish ends it at once. */
import { StopSignals } from '../../src/platform/stop-signals.js';

it('takes the same signal within a second for one, and a later or another one for a second wish', () => {
  let now = 5000;
  const signals = new StopSignals(() => now);
  const heard = (signal: string, at: number): string => {
    now = 5000 + at;
    return signals.heard(signal);
  };
  expect([
    heard('SIGTERM', 0),
    heard('SIGTERM', 3),
    heard('SIGTERM', 900),
    heard('SIGINT', 950),
    heard('SIGTERM', 1100),
  ]).toEqual(['stop', 'same', 'same', 'at-once', 'at-once']);
  expect(signals.starterEnded()).toBe('same');
});

it('takes the end of the starter for a wish where there was none, and for no second one', () => {
  const signals = new StopSignals(() => 0);
  expect([signals.starterEnded(), signals.starterEnded(), signals.heard('SIGTERM')]).toEqual([
    'stop',
    'same',
    'at-once',
  ]);
});
