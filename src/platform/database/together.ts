const AFTER_ANOTHER_FAILED = '25P02';

/**
 * Questions that do not need each other's answers, asked in one round trip instead of one after the other. If several
 * fail, the first in the list is reported, as if they had been asked in that order; what failed only because the
 * database had refused another is never the one.
 */
export async function together<Asked extends readonly Promise<unknown>[]>(
  ...asked: Asked
): Promise<{ -readonly [At in keyof Asked]: Awaited<Asked[At]> }> {
  const settled = await Promise.allSettled(asked);
  const failures = settled.filter((one) => one.status === 'rejected').map(({ reason }) => reason as unknown);
  if (failures.length > 0) throw failures.find((one) => !isAfterAnother(one)) ?? failures[0];
  return settled.map((one) => (one.status === 'fulfilled' ? one.value : undefined)) as {
    -readonly [At in keyof Asked]: Awaited<Asked[At]>;
  };
}

function isAfterAnother(error: unknown): boolean {
  return (error as { code?: unknown } | null | undefined)?.code === AFTER_ANOTHER_FAILED;
}
