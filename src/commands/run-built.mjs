import { spawnSync } from 'node:child_process';
import path from 'node:path';
import { dist, ensureBuilt } from './ensure-built.mjs';
import { ensureInstalled } from './ensure-installed.mjs';

/**
 * `node src/commands/run-built.mjs NAME …`: one of the commands, installed and built first where that is needed.
 * Without a name that is all (`npm run ready`), so that a start has nothing left to do before it serves.
 */

ensureInstalled();
ensureBuilt();
const [name, ...given] = process.argv.slice(2);
if (name === undefined) process.exit(0);
const { status } = spawnSync(process.execPath, [path.join(dist, 'src', 'commands', `${name}.js`), ...given], {
  stdio: 'inherit',
});
process.exit(status ?? 1);
