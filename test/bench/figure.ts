import type { Spent } from './cpu.js';

/** What a figure should be, by its ratio to the baseline or, in its own unit, by itself. */
interface Goal {
  ratioAtMost?: number;
  ratioAtLeast?: number;
  valueAtMost?: number;
}

/** One figure of a bench: a measured value, and its ratio to a named baseline that was measured in the same run. */
interface Figure {
  bench: string;
  value: number;
  unit: string;
  baseline: string;
  baselineValue: number;
  goal?: Goal;
  /** Processor time of each side, each time. */
  spent?: { ours: Spent; byHand: Spent };
  /** Where it was measured pair by pair: the median of the pairs' ratios. */
  ratio?: number | undefined;
}

/** One line of JSON, with the ratio and whether the goal was met. */
export function report({ goal, ratio: ofPairs, ...figure }: Figure): void {
  const ratio = Number((ofPairs ?? figure.value / figure.baselineValue).toFixed(3));
  const line = { ...figure, ratio, ...(goal === undefined ? {} : { goal, met: isMet(goal, ratio, figure.value) }) };
  process.stdout.write(`${JSON.stringify(line)}\n`);
}

function isMet({ ratioAtMost, ratioAtLeast, valueAtMost }: Goal, ratio: number, value: number): boolean {
  return ratio <= (ratioAtMost ?? ratio) && ratio >= (ratioAtLeast ?? ratio) && value <= (valueAtMost ?? value);
}

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)] ?? Number.NaN;
}

/**
 * Runs the two in turns, so that a busy machine slows both alike; the medians in milliseconds, and that of the pairs'
 * ratios.
 */
export async function inTurns(
  rounds: number,
  measured: () => Promise<unknown>,
  baseline: () => Promise<unknown>,
): Promise<{ measured: number; baseline: number; ratio: number }> {
  const times: { measured: number[]; baseline: number[] } = { measured: [], baseline: [] };
  const clock = async (work: () => Promise<unknown>, into: number[]): Promise<void> => {
    const began = performance.now();
    await work();
    into.push(performance.now() - began);
  };
  await measured();
  await baseline();
  for (let round = 0; round < rounds; round += 1) {
    await clock(measured, times.measured);
    await clock(baseline, times.baseline);
  }
  const ratio = median(times.measured.map((one, at) => one / (times.baseline[at] ?? Number.NaN)));
  return { measured: median(times.measured), baseline: median(times.baseline), ratio };
}
