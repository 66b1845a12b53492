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
  operation = await operationWith(world, { roles: ['owner', 'manager', 'hand'] });
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
  it('is carried forward by the gain wanted, not back to what the herd came with', async () => {
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

describe('weight and condition that a herd is entered with', () => {
  const body = { bodyWeight: { value: '600', unit: 'lb' }, bodyCondition: '5.5', since: '2026-08-01' };
  const notes = ({ restsOn }: State, ...codes: string[]): string[] =>
    restsOn.filter(({ code }) => codes.includes(code)).map(({ message }) => message);

  it('are of the day on which it was entered, whenever its cattle came, and are said to be carried back', async () => {
    const herdId = await herd(operation, ranchId, { ...body, takenOn: undefined });
    const now = await state(herdId, { on: '2027-01-15' });
    expect(now.weight).toMatchObject({ mean: { value: '600' }, takenOn: '2027-01-15' });
    expect(now.condition).toEqual({ score: 5.5, scoredOn: '2027-01-15', daysAgo: 0, from: 'entry' });
    const before = await state(herdId, { on: '2026-09-01' });
    expect(before.weight.mean.value).toBe('600');
    // 136 days from 1 September to 15 January.
    const back = '2027-01-15, 136 days later; none is known before it, so it is carried back as it was.';
    expect(notes(before, 'condition-score', 'weight')).toEqual([
      `Condition 5.5 is what the herd was entered with, as of ${back}`,
      `Weight rests on the weight that the herd was entered with, as of ${back}`,
    ]);
  });

  it('are marked as the opening ones until somebody scores the herd, and as an event too', async () => {
    const herdId = await herd(operation, ranchId, { ...body, takenOn: '2026-08-01' });
    const events = async (): Promise<[string, boolean][]> =>
      (
        await operation.as.manager.get<{ items: { kind: string; score: string | null; opening: boolean }[] }>(
          operation.at(`/herds/${herdId}/events`),
          { expect: 200 },
        )
      ).body.items.map((one) => [one.score ?? one.kind, one.opening]);
    expect((await state(herdId, { on: '2026-09-01' })).condition).toMatchObject({ score: 5.5, from: 'entry' });
    expect(notes(await state(herdId, { on: '2026-09-01' }), 'condition-score')).toEqual([
      'Condition 5.5 is what the herd was entered with, as of 2026-08-01, 31 days before.',
    ]);
    // On the same day and at the same moment of the clock: what is recorded of a herd is no entry of it.
    await operation.as.manager.post(
      operation.at(`/herds/${herdId}/events`),
      { kind: 'condition', happenedOn: '2026-10-01', score: '5' },
      { expect: 201 },
    );
    const scored = await state(herdId, { on: '2026-10-02' });
    expect(scored.condition).toMatchObject({ score: 5, from: 'scored' });
    expect(notes(scored, 'condition-score')).toEqual(['Condition 5 was scored on 2026-10-01, 1 day before.']);
    expect(await events()).toEqual(
      expect.arrayContaining([
        ['5', false],
        ['5.5', true],
        ['class', true],
        ['target-gain', true],
      ]),
    );
  });

  it('are of the day that is given', async () => {
    const herdId = await herd(operation, ranchId, { ...body, takenOn: '2026-08-01' });
    const now = await state(herdId, { on: '2027-01-15' });
    // 167 days at 1.5 lb of shrunk weight, over 0.96.
    expect(Number(now.weight.mean.value)).toBeCloseTo(600 + (167 * 1.5) / 0.96, 1);
    expect([now.weight.takenOn, now.condition?.scoredOn]).toEqual(['2026-08-01', '2026-08-01']);
    const late = { name: 'Late', ranchId, cattleClass: 'growing-calf', sex: 'steer', bodyWeight: body.bodyWeight };
    const refused = await operation.as.manager.post<{ errors: object[] }>(
      operation.at('/herds'),
      { ...late, takenOn: '2027-03-01' },
      { expect: 422 },
    );
    expect(refused.body.errors).toMatchObject([{ pointer: '#/takenOn', code: 'not-yet', given: '2027-03-01' }]);
  });
});

describe('a weight', () => {
  it('that is none of these cattle is refused, an unlikely one is told in the state', async () => {
    const herdId = await herd(operation, ranchId, { ...cows, targetDailyGain: null, head: 50, since: '2026-01-01' });
    const code = async (path: string, body: object) => {
      const answer = await operation.as.hand.post<{ errors: { pointer: string; code: string; allowed: string }[] }>(
        operation.at(path),
        body,
        { expect: 422 },
      );
      return answer.body.errors[0];
    };
    for (const unit of ['g', 'oz', 'kg', 't'])
      expect(
        await code(`/herds/${herdId}/events`, {
          kind: 'weight',
          happenedOn: '2027-01-10',
          weight: { value: '1290', unit },
        }),
      ).toMatchObject({ pointer: '#/weight', code: 'no-weight-of-this-class' });
    // 225 kg is 496.04 lb, 1,100 kg is 2,425.08 lb.
    for (const [value, unit, allowed] of [
      ['495', 'lb', '497 lb to 2425 lb'],
      ['224', 'kg', '225 kg to 1100 kg'],
    ] as const)
      expect(
        await code(`/herds/${herdId}/events`, { kind: 'weight', happenedOn: '2027-01-10', weight: { value, unit } }),
      ).toMatchObject({
        given: `${value} ${unit}`,
        allowed,
        message: expect.stringContaining(` weigh ${value} ${unit}; they weigh ${allowed}.`) as unknown,
      });
    const weighIn = (weighedOn: string, head: number, measure: string, pounds: string) => ({
      herdId,
      weighedOn,
      scope: 'group',
      fill: 'full',
      head,
      measure,
      weight: { value: pounds, unit: 'lb' },
    });
    expect(await code('/weigh-ins', weighIn('2026-12-05', 500, 'mean', '1240'))).toMatchObject({
      pointer: '#/head',
      code: 'more-head-than-the-herd',
      allowed: '1 to 50',
    });
    await operation.as.hand.post(operation.at('/weigh-ins'), weighIn('2026-12-05', 50, 'mean', '1240'), {
      expect: 201,
    });
    expect(await code('/weigh-ins', weighIn('2027-01-14', 30, 'total', '51000'))).toMatchObject({
      code: 'no-weight-after-the-last',
    });
    expect(await code('/weigh-ins', weighIn('2027-01-14', 30, 'mean', '93'))).toMatchObject({
      code: 'no-weight-of-this-class',
    });
    interface Warned {
      id: string;
      warnings: { code: string; message: string }[];
    }
    const entered = await operation.as.hand.post<Warned>(
      operation.at('/weigh-ins'),
      weighIn('2027-01-14', 50, 'mean', '1490'),
      { expect: 201 },
    );
    const notes = (await state(herdId, { on: '2027-01-15' })).restsOn;
    const told = notes.filter((note) => note.code === 'weight-unlikely').map(({ code: of, message }) => [of, message]);
    const warned = ({ warnings }: Warned) => warnings.map(({ code: of, message }) => [of, message]);
    // Where it was entered, wherever it is read, and in the state of the herd: the same words.
    expect(told).toHaveLength(1);
    expect(warned(entered.body)).toEqual(told);
    const read = await operation.as.hand.get<Warned>(operation.at(`/weigh-ins/${entered.body.id}`), { expect: 200 });
    expect(warned(read.body)).toEqual(told);
    const listed = await operation.as.hand.get<{ items: Warned[] }>(operation.at('/weigh-ins'), {
      query: { herdId },
      expect: 200,
    });
    expect(listed.body.items.map((one) => warned(one).length)).toEqual([1, 1]);
    const byEye = await operation.as.manager.post<Warned>(
      operation.at(`/herds/${herdId}/events`),
      { kind: 'weight', happenedOn: '2027-01-15', weight: { value: '1750', unit: 'lb' } },
      { expect: 201 },
    );
    expect(byEye.body.warnings).toMatchObject([{ code: 'weight-unlikely' }]);
    await operation.as.manager.post(
      operation.at(`/herds/${herdId}/events/${byEye.body.id}/reversal`),
      { reason: 'Seen from afar' },
      { expect: 201 },
    );
    const takenBack = await operation.as.manager.get<Warned>(operation.at(`/herds/${herdId}/events/${byEye.body.id}`), {
      expect: 200,
    });
    expect(takenBack.body.warnings).toEqual([]);
    const codes = async (on: string) => (await state(herdId, { on })).restsOn.map((note) => note.code);
    expect(await codes('2027-01-15')).toContain('weight-unlikely');
    expect(await codes('2026-12-05')).not.toContain('weight-unlikely');
  });
});

interface State {
  parts: { sharePercent: number; cattleClass: string; daysPregnant: number | null; daysInMilk: number | null }[];
  pregnantPercent: number;
  inMilkPercent: number;
  calving: { how: string; firstOn: string; medianOn: string; lastOn: string; openPercent: number } | null;
  condition: { score: number; scoredOn: string; daysAgo: number | null; from: string } | null;
  weight: { mean: { value: string; unit: string }; takenOn: string; from: string };
  restsOn: { code: string; sureness: string; message: string }[];
}
const state = async (herdId: string, query: Record<string, string>): Promise<State> =>
  (await operation.as.hand.get<State>(operation.at(`/herds/${herdId}/state`), { query, expect: 200 })).body;
const told = async (herdId: string, body: object, client = operation.as.hand): Promise<string> =>
  (await client.post<WithId>(operation.at(`/herds/${herdId}/events`), body, { expect: 201 })).body.id;

describe('what happened to a herd', () => {
  it('is entered with its day by the hand, listed newest first, and read back as it was typed', async () => {
    const herdId = await herd(operation, ranchId, cows);
    await told(herdId, { kind: 'bred', happenedOn: '2026-06-01', lastOn: '2026-08-02', service: 'bull' });
    await told(herdId, { kind: 'pregnancy-check', happenedOn: '2026-10-05', headChecked: 100, headOpen: 8 });
    const id = await told(herdId, {
      kind: 'target-gain',
      happenedOn: '2026-12-01',
      dailyGain: { value: '0.50', unit: 'lb' },
    });
    const one = await operation.as.hand.get(operation.at(`/herds/${herdId}/events/${id}`), { expect: 200 });
    expect(one.body).toMatchObject({ kind: 'target-gain', dailyGain: { typed: { value: '0.50', unit: 'lb' } } });
    const page = await operation.as.hand.get<{ items: { kind: string }[] }>(operation.at(`/herds/${herdId}/events`), {
      expect: 200,
    });
    // The class that it was entered with is an event of the day on which it was entered, the gain of the day on which
    // its weight was taken.
    expect(page.body.items.map((each) => each.kind)).toEqual([
      'class',
      'target-gain',
      'target-gain',
      'pregnancy-check',
      'bred',
    ]);
    const now = await state(herdId, { on: '2027-01-15' });
    expect(now).toMatchObject({
      pregnantPercent: 92,
      calving: { how: 'expected', openPercent: 8 },
    });
    expect(now.restsOn.map((note) => note.code)).toEqual(expect.arrayContaining(['bred', 'pregnancy-check']));
  });

  it('tells of a weight what was weighed and what of it is left out; a later score has no days ago', async () => {
    const herdId = await herd(operation, ranchId, { ...cows, targetDailyGain: null, bredOn: '2026-06-20', head: 50 });
    await told(herdId, { kind: 'condition', happenedOn: '2027-01-14', score: '5' });
    await operation.as.hand.post(
      operation.at('/weigh-ins'),
      {
        herdId,
        weighedOn: '2027-01-12',
        scope: 'group',
        fill: 'full',
        head: 50,
        measure: 'mean',
        weight: { value: '1310', unit: 'lb' },
      },
      { expect: 201 },
    );
    const { weight } = await state(herdId, { on: '2027-01-12' });
    const left = Math.round(1310 - Number(weight.mean.value));
    expect(left).toBeGreaterThan(10);
    expect(weight.from).toBe(`the weigh-in of 2027-01-12, 1310 lb less ${left} lb of calf and fluids`);
    expect((await state(herdId, { on: '2026-12-31' })).condition).toEqual({
      score: 5,
      scoredOn: '2027-01-14',
      daysAgo: null,
      from: 'scored',
    });
  });

  it('of heifers says that growth carries their weight on, and how the days of a calving are counted', async () => {
    const heifers = {
      name: 'Heifers',
      cattleClass: 'replacement-heifer',
      sex: 'heifer',
      targetDailyGain: null,
      matureWeight: { value: '1250', unit: 'lb' },
    };
    const herdId = await herd(operation, ranchId, { ...heifers, since: '2026-10-15' });
    await told(herdId, { kind: 'weight', happenedOn: '2026-10-15', weight: { value: '550', unit: 'lb' } });
    await told(herdId, { kind: 'bred', happenedOn: '2026-11-01', lastOn: '2026-11-20', service: 'bull' });
    const found = await state(herdId, { on: '2027-01-15' });
    expect(found.weight.from).toBe(
      'the weight stated on 2026-10-15, carried on by the growth to the target weights of heifers',
    );
    expect(found.restsOn.find(({ code }) => code === 'calving-expected')?.message).toMatch(
      /283 days after conception, 16 more or less\. The first and last day are those of the first and last of fifty/,
    );
  });

  it('reversed leaves the state of every day as it was before', async () => {
    const herdId = await herd(operation, ranchId, {
      ...cows,
      bredOn: '2026-05-10',
      bodyCondition: '5.5',
      targetDailyGain: null,
    });
    const days = ['2026-12-01', '2027-01-15', '2027-02-20', '2027-05-01'];
    const all = () => Promise.all(days.map((on) => state(herdId, { on })));
    const before = await all();
    world.clock.advance({ minutes: 1 });
    const events = [
      await told(herdId, { kind: 'calved', happenedOn: '2027-01-10', medianOn: '2027-01-12' }),
      await told(herdId, { kind: 'condition', happenedOn: '2027-01-15', score: '4.5' }),
      await told(herdId, { kind: 'weight', happenedOn: '2027-01-15', weight: { value: '1180', unit: 'lb' } }),
    ];
    const between = await all();
    expect(between[1]).toMatchObject({ condition: { score: 4.5 }, weight: { mean: { value: '1180' } } });
    expect(between[1]?.inMilkPercent).toBeGreaterThan(50);
    for (const id of events)
      await operation.as.hand.post(
        operation.at(`/herds/${herdId}/events/${id}/reversal`),
        { reason: 'Another herd' },
        { expect: 201 },
      );
    expect(await all()).toEqual(before);
  });

  it('is not known before it was written down', async () => {
    const herdId = await herd(operation, ranchId, cows);
    const before = world.clock.now().toISOString();
    world.clock.advance({ minutes: 5 });
    await told(herdId, { kind: 'condition', happenedOn: '2026-12-20', score: '6' });
    expect((await state(herdId, { on: '2027-01-10', knownAt: before })).condition).toBeNull();
    expect((await state(herdId, { on: '2027-01-10' })).condition).toMatchObject({ score: 6, daysAgo: 21 });
  });

  it.each([
    [
      { kind: 'bred', happenedOn: '2026-06-01', lastOn: '2026-05-01', service: 'bull' },
      '#/lastOn',
      'days-out-of-order',
    ],
    [{ kind: 'condition', happenedOn: '2027-02-01', score: '5' }, '#/happenedOn', 'not-yet'],
    [
      { kind: 'pregnancy-check', happenedOn: '2026-10-01', headChecked: 5, headOpen: 6 },
      '#/headOpen',
      'more-open-than-checked',
    ],
  ])('refuses %j', async (body, pointer, code) => {
    const herdId = await herd(operation, ranchId, cows);
    const answer = await operation.as.hand.post(operation.at(`/herds/${herdId}/events`), body, { expect: 422 });
    expect(answer.body).toMatchObject({ errors: [{ pointer, code }] });
  });

  it('that cannot be true beside what stands is refused with both days', async () => {
    const herdId = await herd(operation, ranchId, { ...cows, targetDailyGain: null, head: 50, since: '2025-11-01' });
    const refused = async (body: object, code: string) => {
      const { body: answer } = await operation.as.hand.post<{ errors: { code: string; given: unknown }[] }>(
        operation.at(`/herds/${herdId}/events`),
        body,
        { expect: 422 },
      );
      expect(answer.errors.map((one) => one.code)).toEqual([code]);
      return answer.errors[0];
    };
    await refused({ kind: 'weaned', happenedOn: '2026-10-10' }, 'not-calved');
    await told(herdId, { kind: 'bred', happenedOn: '2026-06-15', lastOn: '2026-08-15', service: 'bull' });
    const many = { kind: 'pregnancy-check', happenedOn: '2026-10-20', headChecked: 1000, headOpen: 7 };
    expect(await refused(many, 'more-head-than-the-herd')).toMatchObject({ given: 1000, allowed: '1 to 50' });
    await told(herdId, { ...many, headChecked: 50 });
    const calving = await refused({ kind: 'calved', happenedOn: '2026-11-25' }, 'calving-outside-breeding');
    expect(calving).toMatchObject({ pointer: '#/happenedOn', given: '2026-11-25' });
    expect(JSON.stringify(calving)).toContain('2027-03-02');
    // The herd's own field says the same.
    const { headers } = await operation.as.manager.get(operation.at(`/herds/${herdId}`), { expect: 200 });
    const patch = await operation.as.manager.send(
      'PATCH',
      operation.at(`/herds/${herdId}`),
      { calvedOn: '2026-11-25' },
      { ifMatch: headers['etag'] ?? '', expect: 422 },
    );
    expect(patch.body).toMatchObject({ errors: [{ pointer: '#/calvedOn', code: 'calving-outside-breeding' }] });

    await told(herdId, { kind: 'bred', happenedOn: '2025-05-20', lastOn: '2025-07-20', service: 'bull' });
    const calves = { kind: 'calved', happenedOn: '2026-03-01' };
    expect(await refused({ ...calves, lastOn: '2026-12-31' }, 'last-calf-outside-breeding')).toMatchObject({
      pointer: '#/lastOn',
      given: '2026-12-31',
    });
    const late = await operation.as.hand.post<WithId & { warnings: { code: string }[] }>(
      operation.at(`/herds/${herdId}/events`),
      { ...calves, lastOn: '2026-05-25' },
      { expect: 201 },
    );
    expect(late.body.warnings).toMatchObject([{ code: 'calving-unlikely' }]);
  });

  it('of steers is no breeding', async () => {
    const herdId = await herd(operation, ranchId);
    const body = { kind: 'bred', happenedOn: '2026-06-01', service: 'insemination' };
    const answer = await operation.as.hand.post(operation.at(`/herds/${herdId}/events`), body, { expect: 422 });
    expect(answer.body).toMatchObject({ errors: [{ code: 'not-for-this-sex' }] });
  });

  it('and a herd itself are of one sex: no steer is a cow in milk, no cow a bull, no steer is bred', async () => {
    const entry = { name: 'Odd', ranchId, bodyWeight: { value: '900', unit: 'lb' } };
    for (const [body, pointer, code] of [
      [{ cattleClass: 'lactating-cow', sex: 'steer' }, '#/cattleClass', 'class-not-of-this-sex'],
      [{ cattleClass: 'first-calf-heifer', sex: 'bull' }, '#/cattleClass', 'class-not-of-this-sex'],
      [{ cattleClass: 'bull', sex: 'cow' }, '#/cattleClass', 'class-not-of-this-sex'],
      [{ cattleClass: 'yearling', sex: 'steer', bredOn: '2026-06-10' }, '#/bredOn', 'not-for-this-sex'],
    ] as const)
      expect(
        (await operation.as.manager.post(operation.at('/herds'), { ...entry, ...body }, { expect: 422 })).body,
      ).toMatchObject({ errors: [{ pointer, code }] });
    const steers = await herd(operation, ranchId);
    const event = { kind: 'class', happenedOn: '2026-12-01', cattleClass: 'lactating-cow' };
    const answer = await operation.as.hand.post(operation.at(`/herds/${steers}/events`), event, { expect: 422 });
    expect(answer.body).toMatchObject({ errors: [{ pointer: '#/cattleClass', code: 'class-not-of-this-sex' }] });
    const bredCows = await herd(operation, ranchId, { ...cows, bredOn: '2026-06-10' });
    for (const [body, code] of [
      [{ sex: 'steer' }, 'class-not-of-this-sex'],
      [{ sex: 'steer', cattleClass: 'finishing' }, 'not-for-this-sex'],
      [{ cattleClass: 'bull' }, 'class-not-of-this-sex'],
    ] as const) {
      const { headers } = await operation.as.manager.get(operation.at(`/herds/${bredCows}`), { expect: 200 });
      const patch = await operation.as.manager.send('PATCH', operation.at(`/herds/${bredCows}`), body, {
        ifMatch: headers['etag'] ?? '',
        expect: 422,
      });
      expect(patch.body).toMatchObject({ errors: [{ code }] });
    }
  });

  it('of a herd that is another by what happened to it changes nothing, and says why and what would', async () => {
    const herdId = await herd(operation, ranchId, { ...cows, since: '2026-01-01' });
    await told(herdId, { kind: 'calved', happenedOn: '2026-03-20' });
    await told(herdId, { kind: 'bred', happenedOn: '2026-06-10', lastOn: '2026-07-10', service: 'bull' });
    await told(herdId, { kind: 'weaned', happenedOn: '2026-10-10' });
    await told(herdId, { kind: 'pregnancy-check', happenedOn: '2026-10-12', headChecked: 100, headOpen: 0 });
    interface Warned {
      id: string;
      warnings: { code: string; message: string }[];
    }
    const event = async (cattleClass: string, happenedOn = '2027-01-15'): Promise<Warned> =>
      (
        await operation.as.hand.post<Warned>(
          operation.at(`/herds/${herdId}/events`),
          { kind: 'class', happenedOn, cattleClass },
          { expect: 201 },
        )
      ).body;
    const milking = await event('lactating-cow');
    expect(milking.warnings).toEqual([
      {
        code: 'class-without-effect',
        message: expect.stringMatching(/they are dry pregnant cow .*weaned on 2026-10-10.*enter the calving/) as string,
      },
    ]);
    const read = async (): Promise<{ items: Warned[] }> =>
      (
        await operation.as.hand.get<{ items: Warned[] }>(operation.at(`/herds/${herdId}/events`), {
          query: { kind: 'class' },
          expect: 200,
        })
      ).body;
    expect((await read()).items.find(({ id }) => id === milking.id)?.warnings).toEqual(milking.warnings);
    const shown = async (): Promise<string> =>
      (await operation.as.hand.get<{ cattleClass: string }>(operation.at(`/herds/${herdId}`), { expect: 200 })).body
        .cattleClass;
    expect(await shown()).toBe('dry-pregnant-cow');
    // A change of the herd would show another class than the one that was asked for: it is refused in the same words.
    const { headers } = await operation.as.manager.get(operation.at(`/herds/${herdId}`), { expect: 200 });
    await operation.as.hand.post(
      operation.at(`/herds/${herdId}/events/${milking.id}/reversal`),
      { reason: 'They are dry' },
      { expect: 201 },
    );
    expect((await read()).items.find(({ id }) => id === milking.id)?.warnings).toEqual([]);
    const refused = await operation.as.manager.send<{ errors: object[] }>(
      'PATCH',
      operation.at(`/herds/${herdId}`),
      { cattleClass: 'lactating-cow' },
      { ifMatch: headers['etag'] ?? '', expect: 422 },
    );
    expect(refused.body.errors).toMatchObject([
      {
        pointer: '#/cattleClass',
        code: 'class-without-effect',
        message: milking.warnings[0]?.message,
      },
    ]);
    // Open since they lost their calves: that holds from its day on, but for what is told of a later day.
    expect((await event('dry-open-cow', '2027-01-10')).warnings).toMatchObject([
      {
        code: 'class-until-the-next',
        message: expect.stringMatching(/From 2027-01-15 on .* dry pregnant cow .* entered with/) as string,
      },
    ]);
    expect(await shown()).toBe('dry-pregnant-cow');
    expect((await event('dry-open-cow')).warnings).toEqual([]);
    expect(await shown()).toBe('dry-open-cow');
  });

  it('leaves a herd a class', async () => {
    const herdId = await herd(operation, ranchId, cows);
    const page = await operation.as.hand.get<{ items: WithId[] }>(operation.at(`/herds/${herdId}/events`), {
      query: { kind: 'class' },
      expect: 200,
    });
    await operation.as.hand.post(
      operation.at(`/herds/${herdId}/events/${page.body.items[0]?.id}/reversal`),
      { reason: 'Wrong' },
      { expect: 409 },
    );
  });
});

describe('a change of the herd', () => {
  interface Herd {
    cattleClass: string;
    bodyCondition: string | null;
    bredOn: string | null;
    bodyWeight: { value: string };
  }
  const read = async (herdId: string): Promise<Herd> =>
    (await operation.as.hand.get<Herd>(operation.at(`/herds/${herdId}`), { expect: 200 })).body;

  it('holds from today on and shows today', async () => {
    const herdId = await herd(operation, ranchId, { ...cows, bredOn: '2026-06-10', bodyCondition: '5.5' });
    world.clock.advance({ minutes: 10 });
    await patched(herdId, { bodyCondition: '5', bredOn: '2026-06-12' });
    expect(await read(herdId)).toMatchObject({ bodyCondition: '5', bredOn: '2026-06-12' });
    await patched(herdId, { bredOn: null, bodyCondition: null });
    expect(await read(herdId)).toMatchObject({ bodyCondition: null, bredOn: '2026-06-10' });
  });

  it('shows cows that have calved by now as cows in milk', async () => {
    const herdId = await herd(operation, ranchId, { ...cows, bredOn: '2026-02-20' });
    const entered = await operation.as.hand.get<{ items: WithId[] }>(operation.at(`/herds/${herdId}/events`), {
      query: { kind: 'class' },
      expect: 200,
    });
    await told(herdId, { kind: 'class', happenedOn: '2026-06-01', cattleClass: 'dry-pregnant-cow' });
    await operation.as.hand.post(
      operation.at(`/herds/${herdId}/events/${entered.body.items[0]?.id}/reversal`),
      { reason: 'They were so in June' },
      { expect: 201 },
    );
    expect((await read(herdId)).cattleClass).toBe('lactating-cow');
  });
});
