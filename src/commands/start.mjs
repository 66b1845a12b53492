import { spawn } from 'node:child_process';
import path from 'node:path';
import { dist, ensureBuilt } from './ensure-built.mjs';
import { checkout, ensureInstalled, say } from './ensure-installed.mjs';
import { whenStarterIsGone } from './started-by.mjs';

/** `npm start`: install if needed, build if needed, serve. */

const installed = ensureInstalled();
const built = ensureBuilt();
if (!installed && !built) say('Reused: the installed packages and the build.');

const server = spawn(process.execPath, [path.join(dist, 'src', 'main.js')], {
  cwd: checkout,
  // glibc gives each thread an arena of its own, whose free memory it keeps: two of them serve all, and give it back.
  env: process.platform === 'linux' ? { MALLOC_ARENA_MAX: '2', ...process.env } : process.env,
  // The channel tells the server when this process is gone, however it ended.
  stdio: ['inherit', 'inherit', 'inherit', 'ipc'],
});
let passedOn = false;
// Npm and its shell end by the signal that this process got as well: their end is then no second wish.
whenStarterIsGone(() => {
  if (!passedOn) server.kill('SIGTERM');
});
for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'])
  process.on(signal, () => {
    passedOn = true;
    server.kill(signal === 'SIGHUP' ? 'SIGTERM' : signal);
  });
server.on('exit', (code, signal) => process.exit(code ?? (signal === null ? 0 : 1)));
