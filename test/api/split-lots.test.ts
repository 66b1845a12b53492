/*
 * Hay that was hauled into a lot of its own is the same hay: until it is tested itself, the test of the lot it was
 * split off stands for it. Everything here is invented.
 */
import { harvest, tons, transfer } from '../support/books.js';
import { type Operation, operationWith } from '../support/people.js';
import { feeding, herd, labTestBody, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface LotSeen {
  labTest: { id: string; sampledOn: string; takenFrom: { hayLotId: string; hayLot: string } | null } | null;
  splitFromId: string | null;
}
interface ReviewSeen {
  layers: { hayLotId: string; testedOn: string | null; testTakenFrom: { hayLotId: string; hayLot: string } | null }[];
  bookValues: unknown[];
}
interface BudgetSeen {
  lots: { hayLotId: string; testTakenFrom: { hayLot: string } | null }[];
  herds: { restsOnBookValues: boolean; dryMatterPercent: string }[];
  flags: { code: string }[];
}

let world: World;
let operation: Operation;
let ranchId: string;
let herdId: string;
let parent: string;
let child: string;
let grandchild: string;
let testId: string;

beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  ranchId = await ranch(operation);
  herdId = await herd(operation, ranchId, { head: 40 });
  parent = (await lot(operation, ranchId, { name: 'Stack' })).lotId;
  child = String(
    (await transfer(operation, parent, { name: 'Hauled north', ranchId }, { quantity: tons('8') }))['toLotId'],
  );
  grandchild = String(
    (await transfer(operation, child, { name: 'Hauled on', ranchId }, { movedOn: '2026-12-03', quantity: tons('4') }))[
      'toLotId'
    ],
  );
  testId = (await operation.as.manager.post<WithId>(operation.at('/lab-tests'), labTestBody(parent), { expect: 201 }))
    .body.id;
  await feeding(operation, herdId, [[grandchild, '800']], { fedOn: '2027-01-12' });
});
afterAll(() => world.close());

const seen = async (lotId: string): Promise<LotSeen> =>
  (await operation.as.manager.get<LotSeen>(operation.at(`/hay-lots/${lotId}`), { expect: 200 })).body;
const review = async (query: Record<string, string> = {}): Promise<ReviewSeen> =>
  (
    await operation.as.nutritionist.get<ReviewSeen>(operation.at(`/herds/${herdId}/ration-review`), {
      query,
      expect: 200,
    })
  ).body;
const test = async (hayLotId: string, more: Record<string, unknown> = {}): Promise<string> =>
  (await operation.as.manager.post<WithId>(operation.at('/lab-tests'), labTestBody(hayLotId, more), { expect: 201 }))
    .body.id;
const withdraw = (id: string): Promise<unknown> =>
  operation.as.manager.post(
    operation.at(`/lab-tests/${id}/reversal`),
    { reason: 'Mixed up at the lab' },
    { expect: 201 },
  );

describe('a lot that was split off another', () => {
  it('rests on the test of the lot it came from, however far up, and says which', async () => {
    expect((await seen(parent)).labTest).toEqual({ id: testId, sampledOn: '2026-11-05', takenFrom: null });
    for (const lotId of [child, grandchild])
      expect((await seen(lotId)).labTest).toEqual({
        id: testId,
        sampledOn: '2026-11-05',
        takenFrom: { hayLotId: parent, hayLot: 'Stack' },
      });
  });

  it('in the review of what is fed, in a ration and in the hay budget', async () => {
    expect((await review()).layers).toMatchObject([
      { hayLotId: grandchild, testedOn: '2026-11-05', testTakenFrom: { hayLotId: parent, hayLot: 'Stack' } },
    ]);
    const ration = (
      await operation.as.nutritionist.post<{ layers: { parts: Record<string, unknown>[] }[] }>(
        operation.at('/rations'),
        {
          herdId,
          name: 'Hauled hay',
          basis: 'as-fed',
          amount: { weight: { value: '16', unit: 'lb' }, basis: 'as-fed' },
          layers: [{ role: 'mixed', parts: [{ hayLotId: grandchild, sharePercent: '100' }] }],
        },
        { expect: 201 },
      )
    ).body;
    // The dry matter is the test's own, 88.4 %.
    expect(ration.layers[0]?.parts[0]).toMatchObject({
      dryMatterPercent: {
        value: 88.4,
        origin: 'measured',
        source: 'lab test of Stack, which it was split off, sampled 2026-11-05',
      },
      testTakenFrom: { hayLotId: parent },
    });
    const budget = (
      await operation.as.accountant.get<BudgetSeen>(operation.at('/reports/hay-budget'), {
        query: { from: '2027-01-15', until: '2027-03-31', intakePercent: '2.5', wastePercent: '10' },
        expect: 200,
      })
    ).body;
    expect(budget.herds).toMatchObject([{ restsOnBookValues: false, dryMatterPercent: '88.4' }]);
    expect(Object.fromEntries(budget.lots.map((one) => [one.hayLotId, one.testTakenFrom?.hayLot ?? null]))).toEqual({
      [parent]: null,
      [child]: 'Stack',
      [grandchild]: 'Stack',
    });
  });

  it('its own test stands before any other, and once withdrawn the lot above stands for it again', async () => {
    const own = await test(grandchild, { sampledOn: '2026-10-01' });
    expect((await seen(grandchild)).labTest).toEqual({ id: own, sampledOn: '2026-10-01', takenFrom: null });
    await withdraw(own);
    const between = await test(child, { sampledOn: '2026-10-02' });
    expect((await seen(grandchild)).labTest).toEqual({
      id: between,
      sampledOn: '2026-10-02',
      takenFrom: { hayLotId: child, hayLot: 'Hauled north' },
    });
    await withdraw(between);
    expect((await seen(grandchild)).labTest?.takenFrom).toEqual({ hayLotId: parent, hayLot: 'Stack' });
  });

  it('as it was known on the day: before the test was entered nothing was known of the hay', async () => {
    expect((await review({ on: '2027-01-14', tests: 'then' })).layers).toMatchObject([
      { testedOn: null, testTakenFrom: null },
    ]);
    // Hay hauled into a lot that stood already does not make that lot's hay the other's.
    const standing = (await harvest(operation, ranchId))['hayLotId'];
    await transfer(operation, parent, { id: standing }, { movedOn: '2026-12-05' });
    expect((await seen(standing)).labTest).toBeNull();
  });
});

describe('the portfolio over several operations', () => {
  const concerns = async (): Promise<string[]> => {
    const { body } = await operation.as.nutritionist.get<{ items: { herdId: string; concerns: { code: string }[] }[] }>(
      '/v1/portfolio/herds',
      { expect: 200 },
    );
    return body.items
      .filter((one) => one.herdId === herdId)
      .flatMap((one) => one.concerns.map((concern) => concern.code));
  };

  it('misses no test of a hauled lot while one stands for it', async () => {
    const { owner } = operation.as;
    const { id } = (
      await owner.post<WithId>(
        operation.at('/rations'),
        {
          herdId,
          name: 'Hauled hay',
          basis: 'as-fed',
          amount: { weight: { value: '16', unit: 'lb' }, basis: 'as-fed' },
          layers: [{ role: 'mixed', parts: [{ hayLotId: grandchild, sharePercent: '100' }] }],
        },
        { expect: 201 },
      )
    ).body;
    for (const [step, body] of [
      ['proposal', {}],
      ['acceptance', {}],
      ['use', { from: '2027-01-14' }],
    ] as const)
      await owner.post(operation.at(`/rations/${id}/${step}`), body, { expect: 200 });
    expect(await concerns()).not.toContain('test-missing');
    await withdraw(testId);
    expect(await concerns()).toContain('test-missing');
  });
});
