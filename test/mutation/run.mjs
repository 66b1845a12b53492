// `npm run test:mutation -- trial/futility laying`: which changed operators, conditions and numbers of these parts of
// the core no test notices. Each part is a folder or a file under src/core. Ends with one line: the score of all.
import { existsSync, readFileSync, statSync } from 'node:fs';
import path from 'node:path';
import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const CHECKOUT = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..', '..');
const REPORT = path.join(CHECKOUT, '.stryker-tmp', 'mutants.json');
const MOST_ALIVE_SHOWN = 40;

const parts = process.argv.slice(2);
if (parts.length === 0) {
  console.error('Which part of the core? For example: npm run test:mutation -- trial/futility');
  process.exit(2);
}
const mutate = parts.map((part) => {
  const folder = path.join('src', 'core', part);
  if (existsSync(path.join(CHECKOUT, `${folder}.ts`))) return `${folder}.ts`;
  if (existsSync(path.join(CHECKOUT, folder)) && statSync(path.join(CHECKOUT, folder)).isDirectory())
    return `${folder}/**/*.ts`;
  console.error(`There is no ${folder}, neither a folder nor a file.`);
  process.exit(2);
});

const config = path.join('test', 'mutation', 'stryker.config.json');
// Words and figures that are data are not logic: another text or source would be caught by nobody, rightly.
const files = [...mutate, '!src/core/**/*.data.ts'].join(',');
const run = spawnSync('npx', ['stryker', 'run', config, '--mutate', files], { cwd: CHECKOUT, stdio: 'inherit' });
if (run.status !== 0) process.exit(run.status ?? 1);

const caught = new Set(['Killed', 'Timeout']);
const counted = new Set([...caught, 'Survived', 'NoCoverage']);
const mutants = Object.entries(JSON.parse(readFileSync(REPORT, 'utf8')).files).flatMap(([file, { mutants: found }]) =>
  found.filter(({ status }) => counted.has(status)).map((mutant) => ({ file, ...mutant })),
);
const alive = mutants.filter(({ status }) => !caught.has(status));
for (const { file, location, mutatorName, replacement, status } of alive.slice(0, MOST_ALIVE_SHOWN))
  console.log(`${file}:${location.start.line} ${mutatorName} -> ${replacement ?? ''} (${status})`);
if (alive.length > MOST_ALIVE_SHOWN) console.log(`and ${alive.length - MOST_ALIVE_SHOWN} more`);
const score = mutants.length === 0 ? 0 : (100 * (mutants.length - alive.length)) / mutants.length;
const of = `${mutants.length - alive.length} of ${mutants.length} mutants caught`;
console.log(`Mutation score of ${parts.join(', ')}: ${score.toFixed(1)} % (${of})`);
