import { spawnSync } from 'node:child_process';
import { readdirSync, readFileSync, readlinkSync } from 'node:fs';
import { setTimeout as sleep } from 'node:timers/promises';

/** Processes of this machine, as far as the embedded server must know them. */

export function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
}

export function commandLineOf(pid: number): string {
  try {
    return readFileSync(`/proc/${pid}/cmdline`, 'utf8');
  } catch {
    return spawnSync('ps', ['-o', 'args=', '-p', String(pid)], { encoding: 'utf8' }).stdout ?? '';
  }
}

/** When a process began, in words that no other process of that number has; empty where this system does not tell. */
export function beganAt(pid: number): string {
  try {
    const stat = readFileSync(`/proc/${pid}/stat`, 'utf8');
    // The name stands in brackets and may hold anything; the start is the twentieth field after it.
    const ticks = stat.slice(stat.lastIndexOf(')') + 2).split(' ')[19] ?? '';
    const boot = readFileSync('/proc/sys/kernel/random/boot_id', 'utf8').trim();
    return `${boot} ${ticks}`;
  } catch {
    if (process.platform === 'win32' || process.platform === 'linux') return '';
    return (spawnSync('ps', ['-o', 'lstart=', '-p', String(pid)], { encoding: 'utf8' }).stdout ?? '').trim();
  }
}

/** PostgreSQL's processes that work in this folder, whoever started them: each of them has it as its own. */
function postgresIn(cluster: string): number[] {
  if (process.platform === 'win32') return [];
  if (process.platform !== 'linux') {
    const { stdout } = spawnSync('lsof', ['-a', '-c', 'postgres', '-d', 'cwd', '-Fpn'], { encoding: 'utf8' });
    const found = [...(stdout ?? '').matchAll(/^p(\d+)\n(?:f.*\n)?n(.*)$/gm)];
    return found.filter(([, , folder]) => folder === cluster).map(([, pid]) => Number(pid));
  }
  return readdirSync('/proc')
    .filter((name) => /^\d+$/.test(name))
    .filter((pid) => {
      try {
        const isPostgres = readFileSync(`/proc/${pid}/comm`, 'utf8').trim() === 'postgres';
        return isPostgres && readlinkSync(`/proc/${pid}/cwd`) === cluster;
      } catch {
        return false;
      }
    })
    .map(Number);
}

/**
 * Ends what a PostgreSQL that was killed has left at work: its sessions notice only when they next wait for something,
 * and would write beside the server that starts now. Returns how many there were.
 */
export async function endLeftBehind(cluster: string): Promise<number> {
  const left = postgresIn(cluster);
  for (const pid of left) {
    try {
      process.kill(pid, 'SIGKILL');
    } catch {
      // It has ended by itself.
    }
  }
  while (left.some(isAlive)) await sleep(10);
  return left.length;
}

/** SIGINT is PostgreSQL's fast shutdown: sessions are ended, data is flushed, the lock is removed. */
export async function stopProcess(pid: number): Promise<void> {
  if (!isAlive(pid)) return;
  process.kill(pid, 'SIGINT');
  for (let waited = 0; waited < 20_000 && isAlive(pid); waited += 25) await sleep(25);
  if (!isAlive(pid)) return;
  process.kill(pid, 'SIGQUIT');
  // Its sessions get five seconds from itself; nobody may take its folder from under it.
  for (let waited = 0; waited < 20_000 && isAlive(pid); waited += 25) await sleep(25);
}
