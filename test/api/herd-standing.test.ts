/*
 * A herd on any day, over HTTP: what was written down about it, and what its state on a day is read from. Days are
 * counted by hand in a calendar; 283 days from breeding to calving, as published.
 */
import { type Operation, operationWith } from '../support/people.js';
import { feeding, herd, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let operation: Operation;
let ranchId: string;
beforeAll(async () => {
  world = await openWorld();
});
beforeEach(async () => {
  operation = await operationWith(world);
  ranchId = await ranch(operation);
});
afterAll(async () => {
  await world.close();
});

interface Review {
  lines: { nutrient: string; needed: unknown }[];
  bodyWeight: { value: string };
  refusedBecause: { code: string; message: string }[];
}

const cows = { name: 'Cows', cattleClass: 'dry-pregnant-cow', sex: 'cow', bodyWeight: { value: '1250', unit: 'lb' } };
const patched = async (herdId: string, body: object): Promise<void> => {
  const { headers } = await operation.as.manager.get(operation.at(`/herds/${herdId}`), { expect: 200 });
  await operation.as.manager.send('PATCH', operation.at(`/herds/${herdId}`), body, {
    ifMatch: headers['etag'] ?? '',
    expect: 200,
  });
};
const review = async (herdId: string, on: string): Promise<Review> =>
  (
    await operation.as.manager.get<Review>(operation.at(`/herds/${herdId}/ration-review`), {
      query: { on },
      expect: 200,
    })
  ).body;

describe("this year's breeding", () => {
  it("leaves last winter's review and hay budget as they were", async () => {
    const herdId = await herd(operation, ranchId, {
      ...cows,
      targetDailyGain: null,
      bredOn: '2025-05-10',
      head: 40,
      since: '2025-11-01',
    });
    const { lotId } = await lot(operation, ranchId, { tons: '200', purchasedOn: '2025-11-01' });
    await feeding(operation, herdId, [[lotId, '1100']], { fedOn: '2026-01-30' });
    const query = { from: '2026-02-01', until: '2026-02-28', wastePercent: '10' };
    const budget = async () =>
      (await operation.as.manager.get<{ herds: unknown }>(operation.at('/reports/hay-budget'), { query, expect: 200 }))
        .body.herds;
    const before = await review(herdId, '2026-02-01');
    expect(before.refusedBecause).toEqual([]);
    expect(before.lines.length).toBeGreaterThan(5);
    const budgetBefore = await budget();
    await patched(herdId, { bredOn: '2026-05-12' });
    expect(await review(herdId, '2026-02-01')).toEqual(before);
    expect(await budget()).toEqual(budgetBefore);
  });

  it('does not have to be known for a plan through calving', async () => {
    await herd(operation, ranchId, { ...cows, targetDailyGain: null, bredOn: '2026-06-10', head: 40 });
    await lot(operation, ranchId, { tons: '200' });
    const query = { from: '2026-11-10', until: '2027-05-31', wastePercent: '10' };
    const { body } = await operation.as.manager.get<{ herds: { intakeByMonth: { month: string }[] }[] }>(
      operation.at('/reports/hay-budget'),
      { query, expect: 200 },
    );
    expect(body.herds[0]?.intakeByMonth.map((one) => one.month)).toEqual([
      '2026-11',
      '2026-12',
      '2027-01',
      '2027-02',
      '2027-03',
      '2027-04',
      '2027-05',
    ]);
  });
});

describe('weight after the last weighing', () => {
  it('is carried on by the gain that is wanted, not back to what the herd came with', async () => {
    const herdId = await herd(operation, ranchId, {
      bodyWeight: { value: '560', unit: 'lb' },
      targetDailyGain: { value: '1.2', unit: 'lb' },
    });
    await operation.as.manager.post<WithId>(
      operation.at('/weigh-ins'),
      {
        herdId,
        weighedOn: '2026-11-14',
        scope: 'group',
        fill: 'shrunk',
        head: 98,
        measure: 'mean',
        weight: { value: '693', unit: 'lb' },
      },
      { expect: 201 },
    );
    const { lotId } = await lot(operation, ranchId, { tons: '200' });
    await feeding(operation, herdId, [[lotId, '1700']], { fedOn: '2027-01-14' });
    // 76 days at 1.2 lb: 784.2 lb shrunk, over 0.96.
    expect(Number((await review(herdId, '2027-01-29')).bodyWeight.value)).toBeCloseTo(784.2 / 0.96, 1);
  });
});
