import { readFileSync } from 'node:fs';
import type pg from 'pg';

/** Processor time of this process and of a database's connections, in milliseconds; the latter on Linux only. */
export interface Spent {
  here: number;
  database: number;
}

const TICK_MS = 10;

/**
 * What some work costs each time in processor time, which a busy machine hardly lengthens.
 * @param database whose connections are looked at; NaN where they are not of this machine
 */
export async function processorTime(times: number, work: () => Promise<unknown>, database: pg.Pool): Promise<Spent> {
  const { rows } = await database.query<{ pid: number }>(
    'SELECT pid FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()',
  );
  const inDatabase = (): number => rows.reduce((sum, { pid }) => sum + ticksOf(pid) * TICK_MS, 0);
  const [began, here] = [inDatabase(), process.cpuUsage()];
  for (let again = 0; again < times; again += 1) await work();
  const { user, system } = process.cpuUsage(here);
  const each = (ms: number): number => Number((ms / times).toFixed(2));
  return { here: each((user + system) / 1000), database: each(inDatabase() - began) };
}

function ticksOf(pid: number): number {
  try {
    const fields = readFileSync(`/proc/${pid}/stat`, 'latin1').split(') ')[1]?.split(' ') ?? [];
    return Number(fields[11]) + Number(fields[12]);
  } catch {
    return Number.NaN;
  }
}
