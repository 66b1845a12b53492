import { readlinkSync } from 'node:fs';
import { setPriority } from 'node:os';
import { isMainThread } from 'node:worker_threads';
import type pg from 'pg';

/** A niceness (19 is the most): requests come first where there are more threads and sessions than cores. */
const STANDING_BACK = 10;

/** Linux schedules threads, each with a priority of its own; elsewhere it is the program's, which stays. */
export function threadStandsBack(): void {
  if (isMainThread || process.platform !== 'linux') return;
  try {
    const thread = Number(readlinkSync('/proc/thread-self').split('/').at(-1));
    if (Number.isInteger(thread) && thread !== process.pid) setPriority(thread, STANDING_BACK);
  } catch {
    // Where /proc is not to be seen, threads share the cores as equals.
  }
}

/**
 * The processes that answer this pool's statements give way too: PostgreSQL has one for each session, and what a report
 * asks for is worked out there. Only for a database of this machine: elsewhere the number is another machine's.
 */
export function sessionsStandBack(pool: pg.Pool): void {
  pool.on('connect', (client) => {
    const { processID } = client as pg.PoolClient & { processID?: number | null };
    if (typeof processID !== 'number') return;
    try {
      setPriority(processID, STANDING_BACK);
    } catch {
      // Another account's processes keep their priority.
    }
  });
}
