/* PostgreSQL does not end with the run of the tests that started it, unless somebody sees to it. */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';

const SUPPORT = path.resolve(__dirname, '..', 'support');
const A_RUN = `
  require(${JSON.stringify(path.join(SUPPORT, 'server-of-run.ts'))}).startServerOfRun()
    .then(({ folder }) => { console.log(folder); setInterval(() => undefined, 60_000); });`;

async function gone(file: string): Promise<void> {
  while (existsSync(file)) await sleep(50);
}

function isAlive(pid: number): boolean {
  try {
    return process.kill(pid, 0);
  } catch {
    return false;
  }
}

test.each(['SIGINT', 'SIGKILL'] as const)('a run that %s ends leaves neither server nor folder', async (signal) => {
  const run = spawn(process.execPath, ['--require', path.join(SUPPORT, 'run-typescript.cjs'), '-e', A_RUN], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const [said] = (await once(run.stdout, 'data')) as [Buffer];
  const folder = said.toString('utf8').trim();
  const server = Number(readFileSync(path.join(folder, 'postgres', 'postmaster.pid'), 'utf8').split('\n')[0]);
  expect(isAlive(server)).toBe(true);
  run.kill(signal);
  await gone(folder);
  expect(isAlive(server)).toBe(false);
});
