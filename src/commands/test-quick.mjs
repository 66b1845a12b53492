import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { bin, checkout, ensureInstalled, filesBelow, run, say } from './ensure-installed.mjs';

/**
 * `npm run test:quick`: the core's tests with a tenth of the random examples, and what changed since `main`: every
 * other test file that changed itself or imports a changed file by name. Arguments after `--` go to jest.
 */

ensureInstalled();

function git(...args) {
  const { status, stdout } = spawnSync('git', args, { cwd: checkout, encoding: 'utf8' });
  return status === 0 ? stdout.split('\n').filter((line) => line !== '') : [];
}

function changedFiles() {
  const [base = 'HEAD'] = git('merge-base', 'main', 'HEAD');
  return new Set([
    ...git('diff', '--name-only', '--diff-filter=d', base),
    ...git('ls-files', '--others', '--exclude-standard'),
  ]);
}

/** Relative imports of a test file, as paths from the checkout. */
function importsOf(file) {
  const folder = path.dirname(file);
  return [...readFileSync(path.join(checkout, file), 'utf8').matchAll(/from '(\.[^']+)'/g)].map(([, name]) =>
    path.posix.join(folder, name.replace(/\.js$/, '')),
  );
}

const changed = changedFiles();
const concerned = filesBelow(path.join(checkout, 'test'))
  .map((file) => path.relative(checkout, file).split(path.sep).join('/'))
  .filter(
    (file) => file.endsWith('.test.ts') && !file.startsWith('test/core/') && existsSync(path.join(checkout, file)),
  )
  .filter(
    (file) => changed.has(file) || importsOf(file).some((name) => changed.has(`${name}.ts`) || changed.has(name)),
  );

say(concerned.length === 0 ? 'The core.' : `The core, and of what was changed:\n  ${concerned.join('\n  ')}`);
const { status } = run(
  process.execPath,
  [bin('jest'), '--silent', 'test/core/', ...concerned, ...process.argv.slice(2)],
  {
    env: { ...process.env, RICKYARD_EXAMPLES: process.env.RICKYARD_EXAMPLES ?? 'quick' },
  },
);
process.exit(status);
