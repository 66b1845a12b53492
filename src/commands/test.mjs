import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { checkout, ensureInstalled, run, runAside, say } from './ensure-installed.mjs';

/**
 * `npm test`: install if needed, then types, lint and every test; ends with one plain line of counts. Words after `--`
 * go to jest.
 */

ensureInstalled();
const words = process.argv.slice(2);
const bin = (name, ...rest) => path.join('node_modules', name, ...rest);
let passed = 0;
let failed = 0;

/** Both checks run side by side; what each found is said when it is through. */
async function check(name, args) {
  const began = Date.now();
  const { status, output } = await runAside(process.execPath, args);
  say(`\n— ${name}`);
  if (output.trim() !== '') say(output.trimEnd());
  say(`  ${status === 0 ? 'passed' : 'failed'} in ${((Date.now() - began) / 1000).toFixed(1)} s`);
  if (status === 0) passed += 1;
  else failed += 1;
}

if (words.length === 0) {
  say('Checking types and style …');
  await Promise.all([
    check('types (strict)', [bin('typescript', 'bin', 'tsc'), '--noEmit', '-p', 'tsconfig.json']),
    check('lint (type-aware, with the arrows between rooms)', [bin('eslint', 'bin', 'eslint.js'), '.']),
  ]);
}

say('\n— tests');
const folder = mkdtempSync(path.join(tmpdir(), 'rickyard-test-'));
const report = path.join(folder, 'jest.json');
const { status } = run(process.execPath, [
  bin('jest', 'bin', 'jest.js'),
  '--json',
  `--outputFile=${report}`,
  '--silent',
  ...words,
]);
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
process.chdir(checkout);
process.exit(failed === 0 ? 0 : 1);
