import path from 'node:path';
import { threadsOf } from '../../src/platform/workers/workers.js';
import type { ApiClient } from '../support/client.js';
import { type Operation, operationWith } from '../support/people.js';
import { herd, labTestBody, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';
import { report } from './figure.js';

/**
 * A light read of one operation (its hay lots) while another one asks for heavy work, against the same read while
 * nobody asks for anything. Goal: a p99 of at most three times the quiet one, and no answer of 500.
 */

const READS = Number(process.env['READS'] ?? '400');
const PAUSE_MS = 20;
jest.setTimeout(1_800_000);

const support = path.resolve(__dirname, '..', 'support', 'run-typescript.cjs');
const worker = path.resolve(__dirname, '..', '..', 'src', 'worker.ts');

/** 20 herds of one of 10 kinds, 200 lots, three years: close to the most that is taken, in some 60 kB. */
const budget = {
  from: '2026-01-01',
  until: '2029-01-01',
  substituteKinds: true,
  herds: Array.from({ length: 20 }, (_, at) => ({
    name: `h${at}`,
    headEvents: [{ day: '2026-01-01', kind: 'in', head: 100 }],
    intake: { dryMatterPerHeadDay: { value: '24', unit: 'lb' } },
    dryMatterPercent: 88,
    kinds: [{ hayKind: `k${at % 10}`, sharePercent: 100 }],
  })),
  lots: Array.from({ length: 200 }, (_, at) => ({
    name: `l${at}`,
    hayKind: `k${at % 10}`,
    balance: { value: '1', unit: 'ton' },
    storedOn: '2025-07-01',
    countedOn: '2025-12-31',
  })),
  changes: [{ name: 'more', headTimes: 1.1 }],
};

const file = [
  'herd,fed_on,method,role,lot,weight_lb',
  ...Array.from({ length: 2_000 }, (_, at) => {
    const day = new Date(Date.UTC(2026, 10, 2) + (at % 70) * 86_400_000).toISOString().slice(0, 10);
    return `Weaned calves,${day},windrow-on-ground,mixed,Stack,${(1 + (at % 9) / 10).toFixed(1)}`;
  }),
].join('\r\n');

/** Of one day no two weigh the same: they would be asked about as doubles. */
const fileToTakeIn = [
  'herd,fed_on,method,role,lot,weight_lb',
  ...Array.from({ length: 4_000 }, (_, at) => {
    const day = new Date(Date.UTC(2026, 10, 2) + Math.floor((at * 70) / 4_000) * 86_400_000).toISOString().slice(0, 10);
    return `Weaned calves,${day},windrow-on-ground,mixed,Stack,${(1 + (at % 97) / 100).toFixed(2)}`;
  }),
].join('\r\n');

/** Each percentile in milliseconds, and how many answers were not 200. */
async function reads(reader: ApiClient, at: string, until: () => boolean): Promise<{ p99: number; failed: number }> {
  const took: number[] = [];
  let failed = 0;
  while (took.length < READS || !until()) {
    const began = performance.now();
    const answer = await reader.get(at);
    took.push(performance.now() - began);
    if (answer.status !== 200) failed += 1;
    await new Promise((resolve) => setTimeout(resolve, PAUSE_MS));
  }
  took.sort((a, b) => a - b);
  return { p99: took[Math.ceil(took.length * 0.99) - 1] ?? Number.NaN, failed };
}

describe("another operation's light read", () => {
  let world: World;
  let theirs: Operation;
  let ours: Operation;
  let cows: string;
  beforeAll(async () => {
    world = await openWorld({
      workers: ({ appUrl }) =>
        threadsOf(worker, { appUrl, embedded: true, logLevel: 'warn', slowStatementMs: 60_000 }, [
          '--require',
          support,
        ]),
    });
    [theirs, ours] = [await operationWith(world), await operationWith(world)];
    for (const operation of [theirs, ours]) {
      const ranchId = await ranch(operation);
      const herdId = await herd(operation, ranchId);
      for (let at = 0; at < 12; at += 1) {
        const name = at === 0 ? 'Stack' : `Lot ${at}`;
        const price = { basis: 'per-mass', amount: `${100 + 5 * at}`, per: 'ton' };
        const { lotId } = await lot(operation, ranchId, { name, tons: '400', price });
        await operation.as.manager.post(operation.at('/lab-tests'), labTestBody(lotId), { expect: 201 });
      }
      if (operation === theirs) cows = herdId;
    }
  });
  afterAll(() => world.close());

  it('beside 24 least-cost rations, 14 checks of a file, an import, one large hay budget', async () => {
    const { manager, nutritionist, hand } = theirs.as;
    const heavy: [string, () => Promise<{ status: number }>[]][] = [
      [
        '24 least-cost rations',
        () =>
          Array.from({ length: 24 }, () =>
            nutritionist.post(
              theirs.at(`/herds/${cows}/least-cost-ration`),
              { on: '2027-01-14', days: 120, wholeBales: { everyDays: 7 } },
              { key: null },
            ),
          ),
      ],
      [
        '14 checks of a file of 2,000 feedings',
        () =>
          Array.from({ length: 14 }, () =>
            manager.post(theirs.at('/imports/feedings/check'), file, {
              key: null,
              headers: { 'Content-Type': 'text/csv' },
            }),
          ),
      ],
      [
        'an import of 4,000 feedings',
        () => [manager.post(theirs.at('/imports/feedings'), fileToTakeIn, { headers: { 'Content-Type': 'text/csv' } })],
      ],
      ['one hay budget', () => [hand.post('/v1/calculations/hay-budget', budget, { key: null })]],
    ];
    const at = ours.at('/hay-lots?limit=50');
    await reads(ours.as.manager, at, () => true);
    for (const [what, ask] of heavy) {
      const quiet = await reads(ours.as.manager, at, () => true);
      let done = false;
      const began = performance.now();
      const asked = Promise.all(ask()).finally(() => {
        done = true;
      });
      const beside = await reads(ours.as.manager, at, () => done);
      const statuses = (await asked).map(({ status }) => status);
      report({
        bench: `p99 of a light read beside ${what}`,
        value: Math.round(beside.p99),
        unit: 'ms',
        baseline: 'the same, quiet',
        baselineValue: Math.round(quiet.p99),
        goal: { ratioAtMost: 3 },
      });
      process.stdout.write(
        `${JSON.stringify({
          bench: `answers of ${what}`,
          seconds: Math.round((performance.now() - began) / 1000),
          statuses: Object.fromEntries(
            [...new Set(statuses)].map((one) => [one, statuses.filter((s) => s === one).length]),
          ),
          readsFailed: beside.failed,
        })}\n`,
      );
      expect(
        [...statuses, beside.failed === 0 ? 200 : 500].filter((status) => status >= 500 && status !== 503),
      ).toEqual([]);
    }
  });
});
