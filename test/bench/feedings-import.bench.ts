import { readFileSync } from 'node:fs';
import path from 'node:path';
import { operationWith } from '../support/people.js';
import { herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';
import { report } from './figure.js';

/**
 * Feedings of one lot from a file: each draw is measured against every later balance. Against the same file with the
 * first guard, which went through the lot's whole history at every draw.
 */

const ROWS = Number(process.env['ROWS'] ?? '4000');
jest.setTimeout(1_800_000);

const firstGuard = (): string => {
  const guards = readFileSync(
    path.resolve(__dirname, '..', '..', 'prisma', 'migrations', '20261125000002_guards', 'migration.sql'),
    'utf8',
  );
  const found = /CREATE FUNCTION (rickyard\.check_lot_balance[\s\S]*?END \$\$;)/.exec(guards);
  if (found?.[1] === undefined) throw new Error('The first guard is not where it was');
  return `CREATE OR REPLACE FUNCTION ${found[1]}`;
};

const file = (): string => {
  const day = (index: number): string =>
    new Date(Date.UTC(2026, 10, 2) + Math.floor((index * 70) / ROWS) * 86_400_000).toISOString().slice(0, 10);
  return [
    'herd,fed_on,method,role,lot,weight_lb',
    ...Array.from(
      { length: ROWS },
      (_, index) => `Weaned calves,${day(index)},windrow-on-ground,mixed,Stack,${(1 + (index % 9) / 10).toFixed(1)}`,
    ),
  ].join('\r\n');
};

async function minutesOf(world: World): Promise<number> {
  const operation = await operationWith(world);
  const ranchId = await ranch(operation);
  await herd(operation, ranchId);
  await lot(operation, ranchId, { name: 'Stack', tons: '24' });
  const began = performance.now();
  const taken = await operation.as.manager.post<{ recordCount: number }>(operation.at('/imports/feedings'), file(), {
    headers: { 'Content-Type': 'text/csv' },
    expect: 201,
  });
  expect(taken.body.recordCount).toBe(ROWS);
  return (performance.now() - began) / 60_000;
}

describe('an import of feedings', () => {
  let world: World;
  beforeAll(async () => {
    world = await openWorld();
  });
  afterAll(() => world.close());

  it('rows a minute, all of one lot', async () => {
    const { rows } = await world.ownerPool.query<{ now: string }>(
      "SELECT pg_get_functiondef('rickyard.check_lot_balance'::regproc) AS now",
    );
    const measured = await minutesOf(world);
    await world.ownerPool.query(firstGuard());
    const baseline = await minutesOf(world);
    await world.ownerPool.query(rows[0]?.now ?? '');
    report({
      bench: `feedings-import-${ROWS}-rows-of-one-lot`,
      value: Math.round(ROWS / measured),
      unit: 'rows a minute',
      baseline: 'the same with the whole history of the lot summed at each draw',
      baselineValue: Math.round(ROWS / baseline),
    });
  });
});
