/*
 * A page of a register costs the page, not the register: its rows come in order from an index, wherever in it the page
 * begins. What is counted are rows that PostgreSQL fetched, under the policies, among a thousand operations by the
 * planner's statistics. Each is asked often enough to be planned for its values and for any. Invented herd.
 */
import { asIfGrown, rowsReadWhile } from '../support/at-scale.js';
import { type Operation, operationWith } from '../support/people.js';
import * as things from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

const DAYS = 2_000;
const PAGE = 50;
/** PostgreSQL plans a prepared statement for its values five times, then may plan it for all. */
const TIMES = 8;

let world: World;
let operation: Operation;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  const ranchId = await things.ranch(operation);
  const herdId = await things.herd(operation, ranchId);
  const { lotId } = await things.lot(operation, ranchId, { name: 'Coarse meadow' });
  const feedingId = await things.feeding(operation, herdId, [[lotId, '4']], { fedOn: '2027-01-12' });
  await world.ownerPool.query(
    `INSERT INTO feeding SELECT (jsonb_populate_record(NULL::feeding, to_jsonb(f) ||
        jsonb_build_object('id', gen_random_uuid(), 'happened_on', f.happened_on - n))).*
        FROM feeding f, generate_series(1, $2::int) n WHERE f.id = $1`,
    [feedingId, DAYS],
  );
  await world.ownerPool.query(
    `INSERT INTO stock_movement SELECT (jsonb_populate_record(NULL::stock_movement, to_jsonb(m) ||
        jsonb_build_object('id', gen_random_uuid(), 'sequence', m.sequence + n, 'source_id', gen_random_uuid(),
          'effective_at', m.effective_at + make_interval(secs => n)))).*
        FROM stock_movement m, generate_series(1, $2::int) n WHERE m.source_id = $1`,
    [feedingId, DAYS],
  );
  await asIfGrown(world.ownerPool);
});
afterAll(() => world.close());

it.each([
  ['stock_movement', '/hay-movements'],
  ['feeding', '/feedings'],
])('%s by %s', async (table, address) => {
  const page = async (cursor: string): Promise<string | null> => {
    const { body } = await operation.as.owner.get<{ nextCursor: string | null }>(
      operation.at(`${address}?limit=${PAGE}${cursor}`),
      { expect: 200 },
    );
    return body.nextCursor;
  };
  const next = await page('');
  expect(next).not.toBeNull();
  for (const cursor of ['', `&cursor=${next ?? ''}`]) {
    const read: number[] = [];
    for (let time = 0; time < TIMES; time += 1) read.push((await rowsReadWhile(() => page(cursor))).get(table) ?? 0);
    expect(Math.min(...read)).toBeGreaterThan(PAGE);
    // One more than the page tells whether there is a next; marks of later pages may be looked up once more.
    expect(read.filter((rows) => rows > 4 * (PAGE + 1))).toEqual([]);
  }
});
