/*
 * A read costs its days, not the winters before them: however long a herd has been fed, the same answers read no more
 * feedings and layers. What is counted are rows that PostgreSQL fetched, by its own statistics. Invented herd.
 */
import { rowsReadWhile } from '../support/at-scale.js';
import { type Operation, operationWith } from '../support/people.js';
import * as things from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

const DAY = '2027-01-12';
const FEW_DAYS = 400;
const MANY_DAYS = 4_000;

let world: World;
let operation: Operation;
let herdId: string;
let feedingId: string;
beforeAll(async () => {
  world = await openWorld();
  // What is asked is whether an index serves, not whether a small table is gone through because it is small.
  await world.ownerPool.query(`DO $$ BEGIN
    EXECUTE format('ALTER DATABASE %I SET enable_seqscan = off', current_database());
    PERFORM pg_terminate_backend(pid) FROM pg_stat_activity
      WHERE datname = current_database() AND pid <> pg_backend_pid();
  END $$`);
  operation = await operationWith(world);
  const ranchId = await things.ranch(operation);
  herdId = await things.herd(operation, ranchId);
  const lots = [];
  for (const name of ['Coarse meadow', 'Second cutting', 'North stack'])
    lots.push((await things.lot(operation, ranchId, { name })).lotId);
  feedingId = await things.feeding(
    operation,
    herdId,
    lots.map((lotId) => [lotId, '400'] as const),
    { fedOn: DAY },
  );
});
afterAll(() => world.close());

/** The same feeding on each of these days before it. */
async function fedOnDaysBefore(from: number, until: number): Promise<void> {
  await world.ownerPool.query(
    `WITH more AS (INSERT INTO feeding SELECT (jsonb_populate_record(NULL::feeding, to_jsonb(f) ||
        jsonb_build_object('id', gen_random_uuid(), 'happened_on', f.happened_on - n))).*
        FROM feeding f, generate_series($1::int, $2::int) n WHERE f.id = $3 RETURNING operation_id, id)
     INSERT INTO feeding_layer SELECT (jsonb_populate_record(NULL::feeding_layer, to_jsonb(l) ||
        jsonb_build_object('feeding_id', more.id))).* FROM more, feeding_layer l WHERE l.feeding_id = $3`,
    [from, until, feedingId],
  );
  await world.ownerPool.query('ANALYZE');
}

it('by what they read of feedings and their layers', async () => {
  const addresses = [
    `/feedings/${feedingId}`,
    '/feedings?limit=50',
    `/herds/${herdId}`,
    `/herds/${herdId}/requirements?on=${DAY}`,
    `/herds/${herdId}/ration-review?on=${DAY}`,
  ];
  const reads = async (): Promise<Record<string, number>> => {
    const counts: Record<string, number> = {};
    for (const address of addresses) {
      const read = await rowsReadWhile(() => operation.as.owner.get(operation.at(address), { expect: 200 }));
      for (const table of ['feeding', 'feeding_layer']) counts[`${table} by ${address}`] = read.get(table) ?? 0;
    }
    return counts;
  };
  await fedOnDaysBefore(1, FEW_DAYS);
  const few = await reads();
  await fedOnDaysBefore(FEW_DAYS + 1, MANY_DAYS);
  const many = await reads();
  expect(Object.values(few).some((rows) => rows > 0)).toBe(true);
  const more = Object.entries(many).filter(([what, rows]) => rows > (few[what] ?? 0));
  expect(more.map(([what, rows]) => `${what}: ${few[what]}, then ${rows}`)).toEqual([]);
});
