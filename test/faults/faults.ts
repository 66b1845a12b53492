/*
 * `npm run faults`: does to a running server what can happen to it, while invented people enter hay from phones and
 * send again what is not answered; then reads the books and prints a table. Ends with 1 where anything was lost,
 * doubled or half, or was answered as no fault excuses.
 *
 *   npm run faults                      two hundred kills, and every other kind of fault
 *   npm run faults -- 20                a tenth of everything
 *   npm run faults -- --only 'network'  the kinds whose name has these words
 *   npm run faults -- --seed 7
 */
import { parseArgs } from 'node:util';
import { tableOf, tried, type Tried } from './harness/table.js';
import { ALL_KINDS } from './kinds/all-kinds.js';

const WHOLE = 200;
const SEED = 20270115;

async function main(): Promise<void> {
  const { values, positionals } = parseArgs({
    allowPositionals: true,
    options: { only: { type: 'string' }, seed: { type: 'string' }, phones: { type: 'string' } },
  });
  const kills = Number(positionals[0] ?? WHOLE);
  const seed = Number(values.seed ?? SEED);
  const phones = Number(values.phones ?? 6);
  if (![kills, seed, phones].every((number) => Number.isInteger(number) && number > 0))
    throw new Error('The number of kills, --seed and --phones are whole numbers above 0.');
  const kinds = ALL_KINDS.filter(({ name }) => name.includes(values.only ?? ''));
  if (kinds.length === 0) throw new Error(`The kinds are: ${ALL_KINDS.map(({ name }) => name).join(', ')}.`);
  process.stdout.write(`Seed ${seed}; ${kills} kills in all, and as much of everything else.\n`);
  const lines: Tried[] = [];
  for (const kind of kinds) {
    const count = Math.max(1, Math.round((kind.usually * kills) / WHOLE));
    const tell = (words: string): void => void process.stderr.write(`  ${kind.name}: ${words}\n`);
    lines.push(await tried(kind, { seed, count, phones, built: true, tell }));
  }
  process.stdout.write(`\n${tableOf(lines)}\n`);
  for (const { name, faultless, words } of lines)
    if (!faultless) process.stdout.write(`\n${name}:\n${words.map((one) => `  ${one}`).join('\n')}\n`);
  process.exitCode = lines.every(({ faultless }) => faultless) ? 0 : 1;
}

main().catch((error: unknown) => {
  process.stderr.write(`${error instanceof Error ? (error.stack ?? error.message) : String(error)}\n`);
  process.exit(1);
});
