/**
 * The engine sets a ten-second timer for its lock and never clears it: timers it sets must not keep the process alive.
 */
export async function withoutLingeringTimers<T>(work: () => Promise<T>): Promise<T> {
  const arm = globalThis.setTimeout;
  globalThis.setTimeout = Object.assign<(...given: Parameters<typeof arm>) => NodeJS.Timeout, typeof arm>(
    (...given) => arm(...given).unref(),
    arm,
  );
  try {
    return await work();
  } finally {
    globalThis.setTimeout = arm;
  }
}
