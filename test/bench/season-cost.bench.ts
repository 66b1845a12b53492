import { Database } from '../../src/platform/database/database.js';
import { WrittenCostsService } from '../../src/records/hay/costing/written-costs.service.js';
import { operationWith } from '../support/people.js';
import { herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';
import { inTurns, report } from './figure.js';
import { profiled } from './profile.js';

/** The season cost of the last winter as it is written, after one winter and after ten; and a replay says the same. */
const WINTERS = [1, 10];
const FEEDINGS_A_WINTER = 1800;
const ROUNDS = 21;
jest.setTimeout(900_000);

describe('season cost', () => {
  let world: World;
  let afterOneWinter: number;
  beforeAll(async () => {
    world = await openWorld({ now: '2027-04-15T18:00:00.000Z' });
  });
  afterAll(() => world.close());

  it.each(WINTERS)('of one winter, after %i', async (winters) => {
    const operation = await operationWith(world, { roles: ['manager'] });
    const ranchId = await ranch(operation);
    const herdId = await herd(operation, ranchId);
    const { lotId } = await lot(operation, ranchId, { tons: '20000', purchasedOn: '2016-10-01' });
    await world.ownerPool.query(
      `INSERT INTO stock_movement (operation_id, id, hay_lot_id, kind, kilograms, typed_value, typed_unit, effective_on,
         effective_at, ranch_id, herd_id, source_kind, source_id, recorded_by)
       SELECT $1, gen_random_uuid(), $2, 'feed', -100 - n % 7, '100', 'kg', d.day, d.day + interval '20 hours', $3, $4,
         'feeding', gen_random_uuid(), m.recorded_by
         FROM stock_movement m, generate_series(0, $5::int - 1) AS n,
           LATERAL (SELECT make_date(2027 - n / ${FEEDINGS_A_WINTER} - 1, 11, 1) + (n % ${FEEDINGS_A_WINTER}) / 12
             AS day) AS d
        WHERE m.operation_id = $1`,
      [operation.id, lotId, ranchId, herdId, winters * FEEDINGS_A_WINTER],
    );
    const ask = async (): Promise<unknown> =>
      (
        await operation.as.owner.get(operation.at('/reports/season-cost'), {
          query: { from: '2026-11-01', until: '2027-03-31', by: 'herd' },
          expect: 200,
        })
      ).body;
    const statement = (): Promise<unknown> =>
      world.ownerPool.query(
        "SELECT herd_id, date_trunc('month', effective_on), sum(kilograms) FROM stock_movement WHERE operation_id = " +
          "$1 AND kind = 'feed' AND effective_on BETWEEN '2026-11-01' AND '2027-03-31' GROUP BY 1, 2",
        [operation.id],
      );
    const replayed = await ask();
    const costs = world.application.get(WrittenCostsService);
    while (
      (await world.application.get(Database).keepBooks(operation.id, (books) => costs.writePart(books))) === 'more'
    );
    const times = await inTurns(ROUNDS, ask, statement);
    await profiled(`season-cost-written-${winters}-winters`, async () => {
      for (let again = 0; again < 3 * ROUNDS; again += 1) await ask();
    });
    report({
      bench: `season-cost-written-${winters}-winters`,
      value: Number(times.measured.toFixed(2)),
      unit: 'ms',
      baseline: 'one SQL statement that sums the movements of the winter',
      baselineValue: Number(times.baseline.toFixed(2)),
      ratio: times.ratio,
      goal: { ratioAtMost: 1.2 },
    });
    if (winters === 1) afterOneWinter = times.measured;
    else
      report({
        bench: `season-cost-of-one-winter-among-${winters}`,
        value: Number(times.measured.toFixed(2)),
        unit: 'ms',
        baseline: 'the same report where there is no other winter',
        baselineValue: Number(afterOneWinter.toFixed(2)),
        goal: { ratioAtMost: 1.2 },
      });
    expect(await ask()).toEqual(replayed);
  });
});
