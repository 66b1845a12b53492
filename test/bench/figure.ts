/** One figure of a bench: a measured value, and its ratio to a named baseline that was measured in the same run. */
export interface Figure {
  bench: string;
  value: number;
  unit: string;
  baseline: string;
  baselineValue: number;
  ratio: number;
}

export function report(figure: Omit<Figure, 'ratio'>): void {
  process.stdout.write(
    `${JSON.stringify({ ...figure, ratio: Number((figure.value / figure.baselineValue).toFixed(3)) })}\n`,
  );
}

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)] ?? Number.NaN;
}

/** Runs the two in turns, so that a busy machine slows both alike; the medians in milliseconds. */
export async function inTurns(
  rounds: number,
  measured: () => Promise<unknown>,
  baseline: () => Promise<unknown>,
): Promise<{ measured: number; baseline: number }> {
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
  return { measured: median(times.measured), baseline: median(times.baseline) };
}
