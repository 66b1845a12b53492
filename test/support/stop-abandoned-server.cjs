/*
 * Started beside an embedded server with its data folder. When the pipe it reads from closes, the process that started
 * the server has ended: the server is stopped and its folder removed.
 */
const { readFileSync, rmSync } = require('node:fs');
const path = require('node:path');
const { setTimeout: sleep } = require('node:timers/promises');

const folder = process.argv[2];
const PATIENCE_MS = 20_000;

function serverOf(cluster) {
  try {
    return Number(readFileSync(path.join(cluster, 'postmaster.pid'), 'utf8').split('\n')[0]);
  } catch {
    return undefined;
  }
}

function isAlive(pid) {
  try {
    process.kill(pid, 0);
    return true;
  } catch {
    return false;
  }
}

async function stopWhatIsLeft() {
  const pid = serverOf(path.join(folder, 'postgres'));
  if (pid > 1 && isAlive(pid)) {
    process.kill(pid, 'SIGINT');
    for (let waited = 0; waited < PATIENCE_MS && isAlive(pid); waited += 50) await sleep(50);
    if (isAlive(pid)) process.kill(pid, 'SIGQUIT');
  }
  rmSync(folder, { recursive: true, force: true, maxRetries: 5 });
}

process.stdin.resume().once('close', () => void stopWhatIsLeft());
