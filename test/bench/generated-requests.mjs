import { spawnSync } from 'node:child_process';
import path from 'node:path';
import { fileURLToPath } from 'node:url';

/**
 * `node test/bench/generated-requests.mjs [how many] [seed]`: the long run of generated requests, 10,000 if not said.
 */
const checkout = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..', '..');
const [requests = '10000', seed = '20261125'] = process.argv.slice(2);
const began = Date.now();
const { status } = spawnSync(
  process.execPath,
  [
    path.join('node_modules', 'jest', 'bin', 'jest.js'),
    '--selectProjects',
    'api',
    '--testPathPatterns',
    'test/api/access-generated',
  ],
  {
    cwd: checkout,
    stdio: 'inherit',
    env: { ...process.env, GENERATED_REQUESTS: requests, GENERATED_SEED: seed },
  },
);
process.stdout.write(
  `${requests} generated requests in ${((Date.now() - began) / 1000).toFixed(0)} s: ` +
    `${status === 0 ? 'no fault' : 'FAULTS, see above'}\n`,
);
process.exit(status ?? 1);
