import { spawn } from 'node:child_process';
import { watch } from 'node:fs';
import { constants, setPriority } from 'node:os';
import path from 'node:path';
import { bin, checkout, ensureInstalled, say } from './ensure-installed.mjs';

/**
 * `npm run dev`: serves from the sources, each file compiled as it is loaded, and restarts a moment after a save. Types
 * are checked on the side; type errors do not stop it.
 */

ensureInstalled();
const SETTLED_MS = 80;
const watched = ['src', 'seed', 'prisma'];

let server;
/** A start that is cut off would leave the demo half loaded, so a save waits until the server listens. */
let listening = false;
let changed = false;
let stopping = false;
let types;

function start() {
  changed = false;
  listening = false;
  const hook = path.join(checkout, 'test', 'support', 'run-typescript.cjs');
  server = spawn(process.execPath, ['--enable-source-maps', '--require', hook, path.join(checkout, 'src', 'main.ts')], {
    cwd: checkout,
    stdio: ['inherit', 'pipe', 'inherit'],
  });
  server.stdout.on('data', (chunk) => {
    process.stdout.write(chunk);
    if (listening || !chunk.includes('Rickyard serves at')) return;
    listening = true;
    types ??= checkTypes();
    if (changed) restart();
  });
  server.on('exit', (code, signal) => {
    server = undefined;
    if (stopping) process.exit(code ?? 1);
    if (!changed && signal !== 'SIGKILL') say('Stopped. It starts again at the next save.');
    if (changed) start();
  });
}

/**
 * Killed, not asked to stop, so that its PostgreSQL keeps running and the next start takes it over within milliseconds.
 */
function restart() {
  changed = true;
  if (server === undefined) start();
  else if (listening) server.kill('SIGKILL');
}

/** Lower priority than the server. */
function checkTypes() {
  const child = spawn(process.execPath, [bin('tsc', 'typescript'), '--noEmit', '--watch', '--preserveWatchOutput'], {
    cwd: checkout,
    stdio: ['ignore', 'inherit', 'inherit'],
  });
  if (child.pid !== undefined) setPriority(child.pid, constants.priority.PRIORITY_BELOW_NORMAL);
  return child;
}

let settle;
for (const folder of watched)
  watch(path.join(checkout, folder), { recursive: true }, (_event, name) => {
    // Editors write a temporary file and rename it; only files that a start reads count.
    if (!/\.(ts|json|sql|csv|prisma|md)$/.test(name ?? '')) return;
    clearTimeout(settle);
    settle = setTimeout(() => {
      say(`\n${path.join(folder, name)} was saved.`);
      restart();
    }, SETTLED_MS);
  });

for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'])
  process.on(signal, () => {
    if (stopping) return;
    stopping = true;
    types?.kill();
    if (server === undefined) process.exit(0);
    server.kill('SIGTERM');
  });
start();
