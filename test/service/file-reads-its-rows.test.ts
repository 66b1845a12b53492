/*
 * Trying a file costs its rows: twice as many read twice as many rows of the database, not four times. So it is on a
 * database that knows nothing yet of the operation, as on a ranch's first day, and where another check was taken back
 * before. What is counted are rows that PostgreSQL fetched, by its own statistics. Invented files.
 */
import { rowsReadWhile } from '../support/at-scale.js';
import { type Operation, operationWith } from '../support/people.js';
import * as things from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

const FEW = 600;
const MANY = 1_800;

let world: World;
let operation: Operation;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world, { roles: ['manager'] });
  const ranchId = await things.ranch(operation);
  await things.herd(operation, ranchId);
  await things.lot(operation, ranchId, { name: 'Stack', tons: '24' });
});
afterAll(() => world.close());

const day = (at: number): string => `2026-12-${String(1 + (at % 28)).padStart(2, '0')}`;
const FILES = {
  feedings: (rows: number) => [
    'herd,fed_on,method,role,lot,weight_lb',
    ...Array.from({ length: rows }, (_, at) => `Weaned calves,${day(at)},windrow-on-ground,mixed,Stack,1.${1_000 + at}`),
  ],
} as const;

async function read(kind: keyof typeof FILES, rows: number): Promise<ReadonlyMap<string, number>> {
  const file = FILES[kind](rows).join('\n');
  return rowsReadWhile(async () => {
    const { body } = await operation.as.manager.post<{ problems: unknown[]; recordCount: number }>(
      operation.at(`/imports/${kind}/check`),
      file,
      { headers: { 'Content-Type': 'text/csv' }, key: null, expect: 200 },
    );
    expect(body).toMatchObject({ problems: [], recordCount: rows });
  });
}

it.each(Object.keys(FILES) as (keyof typeof FILES)[])('a file of %s', async (kind) => {
  const few = await read(kind, FEW);
  const many = await read(kind, MANY);
  const times = (table: string): number => (many.get(table) ?? 0) / Math.max(few.get(table) ?? 0, MANY);
  const grown = [...many.keys()].filter((table) => times(table) > 1.5 * (MANY / FEW));
  expect(grown.map((table) => `${table}: ${few.get(table) ?? 0}, then ${many.get(table)}`)).toEqual([]);
  expect(many.get('feeding_layer') ?? 0).toBeGreaterThan(0);
});
