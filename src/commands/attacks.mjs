import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { bin, ensureInstalled, runAside, say } from './ensure-installed.mjs';

/**
 * `npm run attacks`: tries everything in test/attacks and prints one line for each: its class (the file), what was
 * tried, and whether it got in. Ends with 1 if anything did. Arguments after `--` go to jest.
 */

ensureInstalled();
const folder = mkdtempSync(path.join(tmpdir(), 'rickyard-attacks-'));
const report = path.join(folder, 'jest.json');
const { output } = await runAside(process.execPath, [
  bin('jest'),
  ...['--selectProjects', 'attacks', '--silent', '--json', `--outputFile=${report}`],
  ...process.argv.slice(2),
]);
let results;
try {
  ({ testResults: results } = JSON.parse(readFileSync(report, 'utf8')));
} catch {
  say(output);
  process.exit(1);
} finally {
  rmSync(folder, { recursive: true, force: true });
}

let tried = 0;
let gotIn = 0;
for (const { name, assertionResults, message } of results.sort((a, b) => (a.name < b.name ? -1 : 1))) {
  const kind = path.basename(name, '.test.ts').replaceAll('-', ' ');
  // A file that could not be run has shown nothing.
  if (assertionResults.length === 0) {
    tried += 1;
    gotIn += 1;
    say(`NOT TRIED  ${kind}: ${message.split('\n')[0]}`);
  }
  for (const { fullName, status } of assertionResults) {
    tried += 1;
    if (status !== 'passed') gotIn += 1;
    say(`${status === 'passed' ? 'held      ' : 'GOT IN    '} ${kind}: ${fullName}`);
  }
}
say(`\n${tried} tried in ${results.length} classes, ${gotIn} got in or were not tried.`);
process.exit(gotIn === 0 && tried > 0 ? 0 : 1);
