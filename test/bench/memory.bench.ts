import { execFileSync } from 'node:child_process';
import { setTimeout as sleep } from 'node:timers/promises';
import { Phones } from '../faults/harness/phones.js';
import { embeddedWorld, type EmbeddedWorld } from '../faults/harness/worlds.js';
import { report } from './figure.js';

/**
 * Resident memory of the built server at rest, after minutes of load and once its threads have ended, against what it
 * was after a first round of the same requests. Goal: 1.3 of it. `LOAD_SECONDS` is how long (60); run `npm run build`
 * before. glibc's arenas are as `npm start` sets them (two), unless `MALLOC_ARENA_MAX` says otherwise.
 */

const LOAD_MS = 1000 * Number(process.env['LOAD_SECONDS'] ?? 60);
/** Threads end after five minutes without a job (`platform/workers/workers.ts`). */
const UNTIL_THREADS_END_MS = 330_000;
const A_ROUND_MS = 8000;
jest.setTimeout(3_600_000);

async function load({ yard, server }: EmbeddedWorld, milliseconds: number): Promise<void> {
  const phones = new Phones(yard, () => server.url, `memory-${milliseconds}`);
  phones.start(4);
  const days = 'from=2026-01-01&until=2026-12-31';
  const asked = [
    `reports/season-cost?${days}`,
    `reports/hay-position?on=${yard.day}&format=xlsx`,
    'hay-purchases?format=csv',
    'hay-sales?format=xlsx',
    `reports/general-ledger?${days}&format=csv`,
  ];
  for (let n = 0, until = Date.now() + milliseconds; Date.now() < until; n += 1) {
    const answer = await fetch(`${server.url}/v1/operations/${yard.operationId}/${asked[n % asked.length]}`, {
      headers: { Authorization: `Bearer ${yard.keys[n % 4]}`, 'X-Forwarded-For': `10.5.${n % 200}.1` },
    });
    await answer.arrayBuffer();
  }
  await phones.finish();
}

const mebibytes = ({ server }: EmbeddedWorld): number =>
  Number(execFileSync('ps', ['-o', 'rss=', '-p', String(server.pid)], { encoding: 'utf8' })) / 1024;

it('memory at rest after load', async () => {
  const arenas = process.env['MALLOC_ARENA_MAX'] ?? '2';
  const world = await embeddedWorld({ built: true }, { env: arenas === '' ? {} : { MALLOC_ARENA_MAX: arenas } });
  try {
    await load(world, A_ROUND_MS);
    await sleep(A_ROUND_MS);
    const before = mebibytes(world);
    await load(world, LOAD_MS);
    const loaded = mebibytes(world);
    await sleep(UNTIL_THREADS_END_MS);
    report({
      bench: 'memory-after-load',
      value: Number(mebibytes(world).toFixed(1)),
      unit: `MiB (${loaded.toFixed(0)} at the end of the load)`,
      baseline: 'after a first round of the same requests',
      baselineValue: Number(before.toFixed(1)),
      goal: { ratioAtMost: 1.3 },
    });
  } finally {
    await world.close();
  }
});
