import { spawn } from 'node:child_process';
import { existsSync, rmSync } from 'node:fs';
import path from 'node:path';
import { bin, checkout, ensureInstalled, fail, filesBelow, once, run, say } from './ensure-installed.mjs';
import { whenStarterIsGone } from './started-by.mjs';

/** `npm start`: install if needed, build if needed, serve. */

const installed = ensureInstalled();
const dist = path.join(checkout, 'dist');
const sources = [
  ...filesBelow(path.join(checkout, 'src')),
  ...filesBelow(path.join(checkout, 'seed')),
  ...['tsconfig.json', 'tsconfig.build.json', 'package-lock.json'].map((name) => path.join(checkout, name)),
];
const built = once(path.join(dist, '.built-from'), sources, 'Building …', () => {
  if (existsSync(dist)) rmSync(dist, { recursive: true, force: true });
  const { status, output } = run(process.execPath, [bin('tsc', 'typescript'), '-p', 'tsconfig.build.json'], {
    quiet: true,
  });
  if (status !== 0) fail(`The build failed:\n${output}`);
  const describe = path.join(dist, 'src', 'commands', 'write-openapi.js');
  const described = run(process.execPath, [describe, path.join(dist, 'openapi.json')], { quiet: true });
  if (described.status !== 0) fail(`The API description cannot be written:\n${described.output}`);
});
if (!installed && !built) say('Reused: the installed packages and the build.');

const server = spawn(process.execPath, [path.join(dist, 'src', 'main.js')], {
  cwd: checkout,
  // The channel tells the server when this process is gone, however it ended.
  stdio: ['inherit', 'inherit', 'inherit', 'ipc'],
});
whenStarterIsGone(() => server.kill('SIGTERM'));
for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'])
  process.on(signal, () => server.kill(signal === 'SIGHUP' ? 'SIGTERM' : signal));
server.on('exit', (code, signal) => process.exit(code ?? (signal === null ? 0 : 1)));
