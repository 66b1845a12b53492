import { type Operation, operationWith } from '../../support/people.js';
import { feedingBody, herd, lot, ranch, type WithId } from '../../support/things.js';
import { openWorld, type World } from '../../support/world.js';
import { dayOf, planBody, type TrialAnswer, weigh } from './support.js';

/** Three periods of 14 days, the first 4 of each to get used to the feed; over by the tests' day. */
const BEGUN = '2026-11-25';
const PERIOD = 14;
const DESIGN = { kind: 'switchback', periods: 3, washoutDays: 4 };
const HEAD = 4;

let world: World;
let operation: Operation;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
});
afterAll(() => world.close());

interface Drawn extends WithId {
  assignments: { visualTag: string; armId: string; pen: string | null }[];
  penArms: { pen: string; armId: string; feedings: string[] }[];
}
interface Running {
  at(path: string): string;
  arms: TrialAnswer['arms'];
  drawn: Drawn;
  herdOf: Map<string, string>;
}

const tagsOf = (pen: string): string[] => Array.from({ length: HEAD }, (_, index) => `${pen[0] ?? ''}${index + 1}`);

/** Two herds that stand, on two ranches, drawn and begun. */
async function twoHerds(more: Record<string, unknown> = {}): Promise<Running> {
  const { nutritionist } = operation.as;
  const herdOf = new Map<string, string>();
  for (const pen of ['hill', 'creek'])
    herdOf.set(pen, await herd(operation, await ranch(operation), { head: HEAD, name: `Herd ${pen}` }));
  const [hill = '', creek = ''] = herdOf.values();
  const planned = await nutritionist.post<TrialAnswer>(
    operation.at('/trials'),
    planBody(hill, {
      unit: 'pen',
      unitsPerArm: 1,
      headPerPen: HEAD,
      pens: ['hill', 'creek'],
      lengthDays: 3 * PERIOD,
      twoWeighingDays: false,
      design: DESIGN,
      ...more,
    }),
    { expect: 201 },
  );
  const at = (path: string): string => operation.at(`/trials/${planned.body.id}${path}`);
  const weighInIds = [];
  for (const [pen, herdId] of herdOf)
    weighInIds.push(
      await weigh(operation, herdId, dayOf(-1, BEGUN), new Map(tagsOf(pen).map((tag, index) => [tag, 500 + index]))),
    );
  const standingHerds = [
    { pen: 'hill', herdId: hill },
    { pen: 'creek', herdId: creek },
  ];
  const body = { weighInIds, standingHerds, seed: '5' };
  const drawn = await nutritionist.post<Drawn>(at('/draws'), body, { expect: 201 });
  const before = await nutritionist.get<TrialAnswer>(at(''), { expect: 200 });
  await nutritionist.post(
    at('/beginning'),
    { beginsOn: BEGUN, herds: standingHerds },
    { ifMatch: before.headers['etag'] ?? '', expect: 200 },
  );
  return { at, arms: planned.body.arms, drawn: drawn.body, herdOf };
}

/** What a pen is fed in a period, by its role. */
function roleIn({ drawn, arms }: Running, pen: string, period: number): string {
  const armId = drawn.penArms.find((one) => one.pen === pen)?.feedings[period];
  return arms.find((arm) => arm.id === armId)?.role ?? '';
}

describe('two herds that change over', () => {
  let running: Running;
  beforeAll(async () => {
    running = await twoHerds();
    const { lotId } = await lot(operation, await ranch(operation), { tons: '40' });
    for (const [pen, herdId] of running.herdOf) {
      let pounds = 500;
      for (let period = 0; period < 3; period += 1) {
        const role = roleIn(running, pen, period);
        // Fill goes up by 15 pounds with the change and down without it: no gain, since the washout is not counted.
        pounds += role === 'change' ? 15 : -15;
        const from = period * PERIOD;
        const weighed = (by: number) => new Map(tagsOf(pen).map((tag, index) => [tag, by + index]));
        if (period === 0) await weigh(operation, herdId, dayOf(0, BEGUN), weighed(500));
        await weigh(operation, herdId, dayOf(from + 4, BEGUN), weighed(pounds));
        // By hand: 1.0 pound a day on the usual feeding, 1.5 on the change, 0.3 more on the hill, 0.1 less each
        // period; and the creek's second period has 0.06 more.
        const odd = pen === 'creek' && period === 1 ? 0.06 : 0;
        const gain = (role === 'change' ? 1.5 : 1) + (pen === 'hill' ? 0.3 : 0) - 0.1 * period + odd;
        pounds += gain * (PERIOD - 4);
        await weigh(operation, herdId, dayOf(from + PERIOD, BEGUN), weighed(pounds));
        for (let day = from; day < from + PERIOD; day += 1)
          await operation.as.hand.post(
            operation.at('/feedings'),
            feedingBody(herdId, [[lotId, role === 'change' ? '50' : '40']], {
              fedOn: dayOf(day, BEGUN),
              wasted: { value: '0', unit: 'lb' },
              refused: { value: '0', unit: 'lb' },
            }),
            { expect: 201 },
          );
      }
    }
  });

  it('are drawn as they stand, into opposite orders', () => {
    expect(running.drawn.assignments).toHaveLength(2 * HEAD);
    for (const { visualTag, pen } of running.drawn.assignments) expect(tagsOf(pen ?? '')).toContain(visualTag);
    for (const period of [0, 1, 2])
      expect([roleIn(running, 'hill', period), roleIn(running, 'creek', period)].sort()).toEqual(['change', 'usual']);
    expect(roleIn(running, 'hill', 0)).not.toBe(roleIn(running, 'hill', 1));
  });

  it('tell the yard what each pen is fed from which day, and when to weigh', async () => {
    const sheet = (
      await operation.as.hand.get<{
        pens: { pen: string; feedings: { fromDay: number; on: string; armId: string }[] }[];
        steps: { code: string; day: number | null }[];
      }>(running.at('/protocol'), { expect: 200 })
    ).body;
    expect(sheet.pens.map((one) => one.pen)).toEqual(['creek', 'hill']);
    expect(sheet.pens[0]?.feedings.map((one) => [one.fromDay, one.on])).toEqual([
      [0, '2026-11-25'],
      [14, '2026-12-09'],
      [28, '2026-12-23'],
    ]);
    expect(sheet.steps.filter((one) => one.code === 'weigh').map((one) => one.day)).toEqual([0, 4, 14, 18, 28, 32, 42]);
    expect(sheet.steps.filter((one) => one.code === 'change-over')).toHaveLength(2);
  });

  it('are judged, each against itself: what sets them apart, the season and the fill fall out', async () => {
    const judged = await operation.as.nutritionist.post<{
      id: string;
      words: string[];
      comparisons: { answer: Record<string, unknown> & { difference: { value: string } }; designed: unknown }[];
      arms: { role: string; headDrawn: number; headDays: number; hay: { fed: { value: string } } }[];
      gaps: unknown[];
      animals: { period: number }[];
    }>(running.at('/judgements'), {}, { expect: 201 });
    const [comparison] = judged.body.comparisons;
    expect(comparison?.answer).toMatchObject({ method: 'mixed-model', degreesOfFreedom: 1 });
    // Least squares by hand: with d1, d2, d3 the herds' differences in the periods, the effect of the feeding is
    // ((d1 + d3) / 2 − d2) / 2 either way round, so 0.06 more in one cell of the second period moves it by 0.03.
    const sign = roleIn(running, 'creek', 1) === 'change' ? 1 : -1;
    expect(Number(comparison?.answer.difference.value)).toBeCloseTo(0.5 + sign * 0.03, 3);
    expect(comparison?.designed).toMatchObject({ kind: 'switchback', pens: 2, periods: 3 });
    expect(judged.body.words.join(' ')).toContain('Each was held against itself');
    // Each herd of 4 is fed both ways: three periods of two herds, three of them on each feeding.
    expect(judged.body.arms.map((arm) => [arm.headDrawn, arm.headDays])).toEqual([
      [12, 168],
      [12, 168],
    ]);
    // 42 days of each feeding in all, at 40 and 50 pounds.
    const fed = judged.body.arms.map((arm) => [arm.role, Number(arm.hay.fed.value)]);
    expect(fed.map(([role, tons]) => [role, Math.round(Number(tons) * 2000)])).toEqual([
      ['usual', 1680],
      ['change', 2100],
    ]);
    expect(judged.body.gaps).toEqual([]);
    const report = await operation.as.nutritionist.get(running.at(`/judgements/${judged.body.id}`), {
      query: { format: 'html' },
      expect: 200,
    });
    expect(report.text).toContain('once for each period begun');
  });

  it('keep their length: periods were drawn over it', async () => {
    const now = await operation.as.nutritionist.get<TrialAnswer>(running.at(''), { expect: 200 });
    const refused = await operation.as.nutritionist.post<{ errors: { code: string }[] }>(
      running.at('/amendments'),
      { reason: 'longer', lengthDays: 56 },
      { ifMatch: now.headers['etag'] ?? '', expect: 422 },
    );
    expect(refused.body.errors[0]?.code).toBe('periods-are-drawn');
  });
});

describe('what a design refuses', () => {
  it('a plan that would have no interval, with the reason', async () => {
    const herdId = await herd(operation, await ranch(operation), { head: 8 });
    const design = { kind: 'switchback', periods: 2, washoutDays: 4 };
    const body = planBody(herdId, { unit: 'pen', unitsPerArm: 1, headPerPen: 4, pens: [], lengthDays: 28, design });
    const refused = await operation.as.nutritionist.post<{ errors: { code: string; pointer: string }[] }>(
      operation.at('/trials'),
      body,
      { expect: 422 },
    );
    expect(refused.body.errors[0]).toMatchObject({ code: 'trial.design', pointer: '#/design' });
  });

  it('herds that are not the pens of the plan', async () => {
    const herdId = await herd(operation, await ranch(operation), { head: HEAD });
    const other = await herd(operation, await ranch(operation), { head: HEAD });
    const body = planBody(herdId, {
      unit: 'pen',
      unitsPerArm: 1,
      headPerPen: HEAD,
      pens: ['hill', 'creek'],
      lengthDays: 42,
      design: DESIGN,
    });
    const planned = await operation.as.nutritionist.post<TrialAnswer>(operation.at('/trials'), body, { expect: 201 });
    const weighInId = await weigh(operation, herdId, dayOf(-1, BEGUN), new Map([['x1', 500]]));
    const refused = await operation.as.nutritionist.post<{ errors: { code: string }[] }>(
      operation.at(`/trials/${planned.body.id}/draws`),
      {
        weighInIds: [weighInId],
        standingHerds: [
          { pen: 'hill', herdId },
          { pen: 'meadow', herdId: other },
        ],
      },
      { expect: 422 },
    );
    expect(refused.body.errors[0]?.code).toBe('pens-of-the-plan');
  });
});
