/**
 * The engine arms a deadline of ten seconds for its lock and forgets it: what it arms while it works must not keep the
 * process.
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
