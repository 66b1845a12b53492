import { ENDPOINTS } from '../../src/platform/http/endpoint.js';
import { Database } from '../../src/platform/database/database.js';
import { CostingRead } from '../../src/records/hay/costing/costing.read.js';
import { WrittenCostsService } from '../../src/records/hay/costing/written-costs.service.js';
import { asker, operationWith } from '../support/people.js';
import { pullRegister } from '../support/registers.js';
import { herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

/**
 * A file of the journal holds a few days of the ledger at a time, however long a month is: what is counted are the
 * ledger's rows that are read at once, while the costs stand written and while they are due.
 */

const DAYS = 60;
const MOVEMENTS_A_DAY = 60;
const ROWS_AT_ONCE = 500;
const RIGHT = DAYS * MOVEMENTS_A_DAY;

let world: World;
beforeAll(async () => {
  world = await openWorld({ now: '2027-01-15T15:00:00.000Z' });
});
afterAll(() => world.close());

it('is worked out some days at a time, and each day once', async () => {
  const operation = await operationWith(world, { roles: ['manager'] });
  const ranchId = await ranch(operation);
  const herdId = await herd(operation, ranchId);
  const { lotId } = await lot(operation, ranchId, { tons: '2000', purchasedOn: '2026-10-20' });
  const costs = world.application.get(WrittenCostsService);
  const written = async (): Promise<void> => {
    while (
      (await world.application.get(Database).keepBooks(operation.id, (books) => costs.writePart(books))) === 'more'
    );
  };
  await written();
  await world.ownerPool.query(
    `INSERT INTO stock_movement (operation_id, id, hay_lot_id, kind, kilograms, typed_value, typed_unit, effective_on,
       effective_at, ranch_id, herd_id, source_kind, source_id, recorded_by)
     SELECT $1, gen_random_uuid(), $2, 'feed', -100 - n % 7, '100', 'kg', d.day, d.day + interval '20 hours', $3, $4,
       'feeding', gen_random_uuid(), m.recorded_by
       FROM stock_movement m, generate_series(0, $5::int - 1) AS n,
         LATERAL (SELECT date '2026-11-01' + n / ${MOVEMENTS_A_DAY} AS day) AS d
      WHERE m.operation_id = $1`,
    [operation.id, lotId, ranchId, herdId, RIGHT],
  );
  const one = ENDPOINTS.find(({ operationId }) => operationId === 'getJournal');
  if (one === undefined) throw new Error('There is no journal');
  const ledger = world.application.get(CostingRead);
  const reads = [
    jest.spyOn(ledger, 'ledger'),
    jest.spyOn(ledger, 'ledgerOfKinds'),
    jest.spyOn(ledger, 'ledgerOfDays'),
  ] as const;
  const file = async (): Promise<{ text: string; rows: number[] }> => {
    reads.forEach((spy) => spy.mockClear());
    let text = '';
    const query = { from: '2026-11-01', until: '2026-12-30' };
    const params = { operationId: operation.id };
    for await (const piece of await pullRegister(world, asker(world, operation.people.owner), one, { params, query }))
      text += piece;
    const answers = reads.flatMap((spy) => spy.mock.results.map((done) => done.value as Promise<unknown[]>));
    return { text, rows: (await Promise.all(answers)).map(({ length }) => length) };
  };
  const whileDue = await file();
  await written();
  const whenWritten = await file();
  expect(whenWritten.text).toBe(whileDue.text);
  expect(whenWritten.text.split('\r\n')).toHaveLength(1 + 2 * RIGHT + 1);
  expect(Math.max(...whenWritten.rows)).toBeLessThanOrEqual(ROWS_AT_ONCE);
  expect(whenWritten.rows.reduce((sum, rows) => sum + rows, 0)).toBe(RIGHT);
  // What was bought before these days is read besides while nothing is written.
  expect(whileDue.rows.reduce((sum, rows) => sum + rows, 0)).toBe(RIGHT + 1);
});
