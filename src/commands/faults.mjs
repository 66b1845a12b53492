import { spawnSync } from 'node:child_process';
import path from 'node:path';
import { ensureBuilt } from './ensure-built.mjs';
import { checkout, ensureInstalled } from './ensure-installed.mjs';

/** `npm run faults`: what can happen to a running server, done to the one that is built; see test/faults/faults.ts. */

ensureInstalled();
ensureBuilt();
const inTest = (...names) => path.join(checkout, 'test', ...names);
const { status } = spawnSync(
  process.execPath,
  [...['--require', inTest('support', 'run-typescript.cjs'), inTest('faults', 'faults.ts')], ...process.argv.slice(2)],
  { stdio: 'inherit', cwd: checkout },
);
process.exit(status ?? 1);
