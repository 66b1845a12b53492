import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';

/** Plain JavaScript with nothing but Node: who started this process, and whether it is still there. */

const LOOKS_LIKE_NPM = /(?:^|[\\/\s])(?:npm|pnpm|yarn)(?:-cli)?(?:\.[cm]?js)?(?:\s|$)/;
/** npm starts a shell, which starts the program. */
const STEPS = 3;
const EVERY_MS = 1000;

/** The parent and the command line of a process; undefined where it is gone or this system does not tell. */
function processOf(pid) {
  if (process.platform === 'win32') return undefined;
  try {
    if (process.platform === 'linux') {
      const stat = readFileSync(`/proc/${pid}/stat`, 'utf8');
      // The name stands in brackets and may hold anything; the parent is the second field after it.
      const parent = Number(stat.slice(stat.lastIndexOf(')') + 2).split(' ')[1]);
      return { parent, command: readFileSync(`/proc/${pid}/cmdline`, 'utf8').replaceAll('\0', ' ') };
    }
    const { stdout, status } = spawnSync('ps', ['-o', 'ppid=,command=', '-p', String(pid)], { encoding: 'utf8' });
    const found = /^\s*(\d+)\s+(.*)$/m.exec(stdout);
    return status === 0 && found !== null ? { parent: Number(found[1]), command: found[2] } : undefined;
  } catch {
    return undefined;
  }
}

/**
 * Who started this process: its parent, and npm where npm did it through a shell. What stands above npm may end, as a
 * terminal does.
 */
function ancestors() {
  const line = [{ pid: process.pid, parent: process.ppid }];
  let at = process.ppid;
  for (let step = 0; step < STEPS; step += 1) {
    const found = processOf(at);
    if (found === undefined) break;
    if (LOOKS_LIKE_NPM.test(found.command)) return line;
    line.push({ pid: at, parent: found.parent });
    at = found.parent;
  }
  return line.slice(0, 1);
}

/** Calls `gone` once, soon after one of those that started this process has ended, however it did. */
export function whenStarterIsGone(gone) {
  const line = ancestors();
  const watch = setInterval(() => {
    const stands = line.every(({ pid, parent }) =>
      pid === process.pid ? process.ppid === parent : processOf(pid)?.parent === parent,
    );
    if (stands) return;
    clearInterval(watch);
    gone();
  }, EVERY_MS);
  watch.unref();
}
