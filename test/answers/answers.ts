import './outside-jest.js';
import { writeFileSync } from 'node:fs';
import { compare, told } from './compare.js';
import { record } from './record.js';
import { statementsOf } from './statements.js';

const USAGE = `npm run answers -- record FILE            record what the demo's server answers (.gz: compressed)
npm run answers -- compare BEFORE AFTER   show what differs between two recordings
npm run answers -- statements FILE [TO]   count the SQL statements of each address`;

const say = (words: string): void => void process.stdout.write(`${words}\n`);

async function run([command, first, second]: readonly string[]): Promise<number> {
  if (command === 'record' && first !== undefined) {
    await record(first, say);
    return 0;
  }
  if (command === 'compare' && first !== undefined && second !== undefined) {
    const comparison = await compare(first, second);
    const { findings, missing, added, answers } = comparison;
    const differing = findings.length + missing.length + added.length;
    if (differing > 0) say(told(comparison));
    say(`${answers} answers compared, ${differing === 0 ? 'all equal' : `${differing} differences`}`);
    return differing === 0 ? 0 : 1;
  }
  if (command === 'statements' && first !== undefined) {
    const counts = JSON.stringify(await statementsOf(first), null, 2);
    if (second === undefined) say(counts);
    else writeFileSync(second, `${counts}\n`);
    return 0;
  }
  say(USAGE);
  return 2;
}

run(process.argv.slice(2)).then(
  (code) => process.exit(code),
  (error: unknown) => {
    process.stderr.write(`${String((error as Error).stack ?? error)}\n`);
    process.exit(1);
  },
);
