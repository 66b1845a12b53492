import { statfs } from 'node:fs/promises';
import pg from 'pg';

/** PostgreSQL extends its log by files of 16 MiB, and stops where it cannot. */
const LEAST_BYTES = 64e6;

/** That the disk of the books is full, or nearly; undefined while there is room or it cannot be told. */
export async function diskWarning(dataFolder: string): Promise<string | undefined> {
  const found = await statfs(dataFolder).catch(() => undefined);
  if (found === undefined || found.bavail * found.bsize >= LEAST_BYTES) return undefined;
  const megabytes = Math.floor((found.bavail * found.bsize) / 1e6);
  return `The disk of the books (${dataFolder}) is full: ${megabytes} MB are free. What cannot be saved answers 503.`;
}

/** That the write-ahead log is not archived since some moment; undefined while it is, or nothing had to be yet. */
export async function archiveWarning(ownerUrl: string, folder: string): Promise<string | undefined> {
  const client = new pg.Client({ connectionString: ownerUrl });
  client.on('error', () => undefined);
  try {
    await client.connect();
    const { rows } = await client.query<{ failed: Date; archived: Date | null }>(
      `SELECT last_failed_time AS failed, last_archived_time AS archived FROM pg_stat_archiver
        WHERE last_failed_time > COALESCE(last_archived_time, '-infinity')`,
    );
    const [failing] = rows;
    if (failing === undefined) return undefined;
    const since = failing.archived === null ? 'never was' : `was last ${failing.archived.toISOString()}`;
    return (
      `The log cannot be archived to ${folder} (it ${since}; postgres.log says why). What was entered since then is ` +
      'lost with the disk, and the log fills it meanwhile.'
    );
  } catch {
    // That the database does not answer is told elsewhere.
    return undefined;
  } finally {
    await client.end().catch(() => undefined);
  }
}
