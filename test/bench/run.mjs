// `npm run bench`: what is slow or timed, one JSON line per figure with its goal and ratio, and a table at the end.
// Rows are chosen by name (`npm run bench -- road import`); options are passed to jest. Without names, those of DAILY.
import { spawn } from 'node:child_process';
import path from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';

const CHECKOUT = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..', '..');
/** Each row's file and, where only some of it is meant, the names of its tests. */
const ROWS = {
  road: { file: 'request-road' },
  'season-cost': { file: 'season-cost' },
  import: { file: 'feedings-import', only: 'against COPY' },
  export: { file: 'exports' },
  portfolio: { file: 'portfolio' },
  start: { file: 'start', build: true },
  others: { file: 'others-requests' },
  stalls: { file: 'loop-delay' },
  'first-guard': { file: 'feedings-import', only: 'of one lot' },
  memory: { file: 'memory', build: true },
  demo: { file: 'reads' },
  explain: { file: 'explain' },
  partitions: { file: 'partitions' },
  'hay-budget-range': { file: 'hay-budget-range' },
  'trial-simulation': { file: 'trial-simulation' },
  designs: { file: 'designs' },
};
const DAILY = ['road', 'season-cost', 'import', 'export', 'portfolio', 'start', 'others', 'stalls'];

const given = process.argv.slice(2);
const firstOption = given.findIndex((one) => one.startsWith('-'));
const [names, options] = firstOption === -1 ? [given, []] : [given.slice(0, firstOption), given.slice(firstOption)];
const unknown = names.filter((name) => !(name in ROWS));
if (unknown.length > 0) {
  console.error(`There is no row ${unknown.join(', ')}. Rows: ${Object.keys(ROWS).join(', ')}.`);
  process.exit(2);
}

const figures = [];

/** Runs a program; its JSON lines are figures, and the rest is shown where it fails. */
async function run(program, args) {
  const child = spawn(program, args, { cwd: CHECKOUT, stdio: ['ignore', 'pipe', 'pipe'] });
  const rest = [];
  const read = async (stream) => {
    for await (const line of createInterface({ input: stream }))
      if (line.startsWith('{"')) {
        console.log(line);
        figures.push(JSON.parse(line));
      } else rest.push(line);
  };
  const [code] = await Promise.all([
    new Promise((resolve) => child.once('close', resolve)),
    read(child.stdout),
    read(child.stderr),
  ]);
  if (code !== 0) console.error(rest.join('\n'));
  return code === 0;
}

const jest = (...args) => run('npx', ['jest', '--config', 'test/bench/jest.config.cjs', '-i', ...args, ...options]);

function goalOf({ goal, ratioGoal }) {
  const { ratioAtMost = ratioGoal, ratioAtLeast, valueAtMost } = goal?.constructor === Object ? goal : {};
  if (valueAtMost !== undefined) return `at most ${valueAtMost.toFixed(0)}`;
  if (ratioAtLeast !== undefined) return `ratio >= ${ratioAtLeast}`;
  return ratioAtMost === undefined ? '' : `ratio <= ${ratioAtMost}`;
}

function table() {
  const lines = figures
    .filter(({ ratio }) => ratio !== undefined)
    .map((one) => [
      one.bench,
      `${one.value} ${one.unit}`,
      String(one.ratio),
      goalOf(one),
      one.met === undefined ? '' : one.met ? 'met' : 'missed',
    ]);
  const all = [['bench', 'value', 'ratio', 'goal', ''], ...lines];
  const widths = all[0].map((_, column) => Math.max(...all.map((line) => line[column].length)));
  return all
    .map((line) =>
      line
        .map((cell, column) => cell.padEnd(widths[column]))
        .join('  ')
        .trimEnd(),
    )
    .join('\n');
}

let good = true;
if (names.length === 0 && options.some((one) => one.startsWith('--testPathPattern'))) good = await jest();
else
  for (const name of names.length === 0 ? DAILY : names) {
    const { file, only, build } = ROWS[name];
    const began = Date.now();
    if (build === true) good = (await run('npm', ['run', 'build'])) && good;
    good = (await jest('--testPathPatterns', `/${file}\\.bench`, ...(only === undefined ? [] : ['-t', only]))) && good;
    console.error(`${name}: ${((Date.now() - began) / 60_000).toFixed(1)} minutes`);
  }
console.log(`\n${table()}`);
process.exitCode = good ? 0 : 1;
