import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { bin, ensureInstalled, runAside, say } from './ensure-installed.mjs';

/**
 * `npm test`: install if needed, then format, types, lint, unused code and every test; ends with one plain line of
 * counts. Arguments after `--` go to jest, which then runs alone.
 */

ensureInstalled();
const words = process.argv.slice(2);
let passed = 0;
let failed = 0;

async function check(name, script, ...args) {
  const began = Date.now();
  const { status, output } = await runAside(process.execPath, [script, ...args]);
  say(`\n— ${name}`);
  if (output.trim() !== '') say(output.trimEnd());
  say(`  ${status === 0 ? 'passed' : 'failed'} in ${((Date.now() - began) / 1000).toFixed(1)} s`);
  if (status === 0) passed += 1;
  else failed += 1;
}

const types = () => check('types (strict) and lint by types', bin('oxlint'), '--type-aware', '--type-check');
const lint = () => check('lint (with the arrows between rooms)', bin('eslint'), '.');
const format = () => check('format', bin('oxfmt'), '--check');
const unused = () => check('unused code and packages', bin('knip'), '--no-progress');

let linted;
if (words.length === 0) {
  say('Checking format, types, lint and unused code …');
  // Two at a time. The last of the lint goes on beside the tests: it is one process, and would leave a core idle.
  linted = types().then(lint);
  await format().then(unused);
}

say('\n— tests');
const folder = mkdtempSync(path.join(tmpdir(), 'rickyard-test-'));
const report = path.join(folder, 'jest.json');
// Short-lived objects die in a young generation that holds them: jest hands the setting on to its workers.
const jest = ['--max-semi-space-size=64', bin('jest'), '--json', `--outputFile=${report}`, '--silent', ...words];
const { status } = await runAside(process.execPath, jest, { show: true });
await linted;
try {
  const { numPassedTests, numFailedTests, numFailedTestSuites, numRuntimeErrorTestSuites } = JSON.parse(
    readFileSync(report, 'utf8'),
  );
  passed += numPassedTests;
  failed += Math.max(
    numFailedTests,
    numFailedTests + numRuntimeErrorTestSuites,
    status === 0 ? 0 : Math.max(1, numFailedTestSuites),
  );
} catch {
  failed += 1;
}
rmSync(folder, { recursive: true, force: true });
say(`\n${passed} passed, ${failed} failed`);
process.exit(failed === 0 ? 0 : 1);
