/*
 * Whole bales over days. Needs, heads and bales are made here; what must hold is the trade's own rule: cattle eat every
 * day, and over some days they get of each hay what the ration says. Where it is claimed that no plan is narrower, an
 * integer program of the solver is asked, which knows nothing of the plan's own way of searching.
 */
import loadHighs from 'highs';
import fc, { examples } from '../../support/properties.js';
import {
  type BaleDays,
  type BaleDaysAsked,
  type BaleLot,
  narrowestBand,
  planBaleDays,
} from '../../../src/core/laying/bale-days';
import { solveWithHighs } from '../../../src/core/solver/highs-solver';
import type { LinearProgram, SolveLinearProgram } from '../../../src/core/solver/linear-program';

const KG_PER_LB = 0.45359237;
const lot = (needLb: number, baleLb: number, more: Partial<BaleLot> = {}): BaleLot => ({
  needKgPerDay: needLb * KG_PER_LB,
  baleKg: baleLb * KG_PER_LB,
  carriedInKg: 0,
  coarse: false,
  dryMatterShare: 0.88,
  ...more,
});
const asked = (lots: readonly BaleLot[], more: Partial<BaleDaysAsked> = {}): BaleDaysAsked => ({
  lots,
  looseKgPerDay: 0,
  ...more,
});
const needOf = ({ lots, looseKgPerDay }: BaleDaysAsked): number =>
  lots.reduce((sum, one) => sum + one.needKgPerDay, looseKgPerDay);

/** Day after day, each from what the day before left: only the first day of every plan is fed. */
function fedDayByDay(request: BaleDaysAsked, days: number): { plans: BaleDays[]; carried: number[][] } {
  let { lots } = request;
  const plans: BaleDays[] = [];
  const carried = [lots.map((one) => one.carriedInKg)];
  for (let day = 0; day < days; day += 1) {
    const plan = planBaleDays({ ...request, lots });
    plans.push(plan);
    const out = plan.days[0]?.carriedOutKg ?? [];
    lots = lots.map((one, index) => ({ ...one, carriedInKg: out[index] ?? 0 }));
    carried.push([...out]);
  }
  return { plans, carried };
}

const BALES = [55, 70, 500, 700, 900, 1200, 1300, 1800];
const yards = fc
  .record({
    head: fc.integer({ min: 6, max: 400 }),
    poundsPerHead: fc.integer({ min: 10, max: 40 }),
    shares: fc.array(fc.integer({ min: 5, max: 80 }), { minLength: 1, maxLength: 4 }),
    bales: fc.array(fc.constantFrom(...BALES), { minLength: 4, maxLength: 4 }),
    sameBales: fc.boolean(),
    loose: fc.constantFrom(0, 0, 0.2),
  })
  .map(({ head, poundsPerHead, shares, bales, sameBales, loose }): BaleDaysAsked => {
    const sum = shares.reduce((a, b) => a + b, 0);
    const need = head * poundsPerHead;
    return asked(
      shares.map((share, index) =>
        lot(((1 - loose) * need * share) / sum, bales[sameBales ? 0 : index] ?? 1200, { coarse: index === 0 }),
      ),
      { looseKgPerDay: loose * need * KG_PER_LB },
    );
  });

describe('the plan of whole bales over days', () => {
  // 120 head at 30 lb, half of it coarse hay, a quarter rich and a quarter mixed; all bales weigh 1,200 lb.
  const ration = asked([lot(1800, 1200, { coarse: true }), lot(900, 1200), lot(900, 1200)]);

  test('lays three bales a day where the ration is three bales a day, never coarse hay alone', () => {
    const { plans } = fedDayByDay(ration, 30);
    for (const { days, band, widerThanAsked } of plans) {
      const [coarse = 0, rich = 0, mixed = 0] = days[0]?.bales ?? [];
      expect(coarse + rich + mixed).toBe(3);
      expect(rich + mixed).toBeGreaterThan(0);
      expect([band.from, band.to, widerThanAsked]).toEqual([0.85, 1.15, false]);
    }
    const sums = [0, 1, 2].map((index) => plans.reduce((sum, { days }) => sum + (days[0]?.bales[index] ?? 0), 0));
    // 30 days at 1.5, 0.75 and 0.75 bales.
    expect(sums[0]).toBe(45);
    expect(sums[1]).toBeGreaterThanOrEqual(22);
    expect(sums[1]).toBeLessThanOrEqual(23);
    expect((sums[1] ?? 0) + (sums[2] ?? 0)).toBe(45);
  });

  test('two and a half bales a day are two and three in turn, and it is said that the band is wider', () => {
    const { plans } = fedDayByDay(asked([lot(3000, 1200)]), 6);
    expect(plans.map(({ days }) => days[0]?.bales[0])).toEqual([3, 2, 3, 2, 3, 2]);
    expect(plans[0]?.widerThanAsked).toBe(true);
    expect(plans[0]?.band.from).toBeCloseTo(0.8, 9);
    expect(plans[0]?.band.to).toBeCloseTo(1.2, 9);
  });

  test('a herd that eats a bale in four days gets it before it is hungry, not after', () => {
    const { plans } = fedDayByDay(asked([lot(300, 1200)]), 9);
    expect(plans.map(({ days }) => days[0]?.bales[0])).toEqual([1, 0, 0, 0, 1, 0, 0, 0, 1]);
    expect(plans[0]?.widerThanAsked).toBe(true);
    expect(plans[0]?.band.from).toBe(0);
  });

  test('every day keeps to the stated band, every lot to a bale of its need, the herd is never behind by more', () => {
    fc.assert(
      fc.property(yards, (request) => {
        const { plans, carried } = fedDayByDay(request, 30);
        const need = needOf(request);
        const most = Math.min(0.15 * need, Math.max(...request.lots.map(({ baleKg }) => baleKg)) / 2);
        plans.forEach((plan, day) => {
          const today = plan.days[0];
          // What a sheet states for the days to come holds for the sheets of these days.
          for (const { band } of plans.slice(Math.max(0, day - 13), day + 1)) {
            expect(today?.shareOfNeed).toBeGreaterThanOrEqual(band.from - 1e-9);
            expect(today?.shareOfNeed).toBeLessThanOrEqual(band.to + 1e-9);
          }
          if (!plan.widerThanAsked) expect(plan.band).toEqual({ from: 0.85, to: 1.15 });
          for (const bales of today?.bales ?? []) expect(bales).toBeGreaterThanOrEqual(0);
          expect(plan.forgivenKg.every((kg) => kg === 0)).toBe(true);
        });
        for (const day of carried) {
          day.forEach((kg, index) => expect(Math.abs(kg)).toBeLessThan(request.lots[index]?.baleKg ?? 0));
          expect(day.reduce((sum, kg) => sum + kg, 0)).toBeGreaterThanOrEqual(-most - 1e-6);
        }
        // Over any window of days each lot is within two bales, and over all days within one bale, of its need.
        request.lots.forEach(({ baleKg, needKgPerDay }, index) => {
          const fed = plans.reduce((sum, { days }) => sum + (days[0]?.bales[index] ?? 0) * baleKg, 0);
          expect(Math.abs(fed - 30 * needKgPerDay)).toBeLessThan(baleKg);
        });
      }),
      { numRuns: examples(12) },
    );
  });

  test('every day is fed where the herd eats a bale a day or more', () => {
    fc.assert(
      fc.property(yards, (request) => {
        fc.pre(needOf(request) >= Math.max(...request.lots.map(({ baleKg }) => baleKg)));
        for (const { days } of fedDayByDay(request, 14).plans) expect(days[0]?.shareOfNeed ?? 0).toBeGreaterThan(0);
      }),
      { numRuns: examples(12) },
    );
  });

  test('whatever was fed before, no day starves for it and no lot runs away', () => {
    const before = fc.array(fc.integer({ min: -300, max: 500 }), { minLength: 4, maxLength: 4 });
    fc.assert(
      fc.property(yards, before, (request, percent) => {
        const usual = planBaleDays(request);
        const lots = request.lots.map((one, index) => ({
          ...one,
          carriedInKg: (one.needKgPerDay * (percent[index] ?? 0)) / 100,
        }));
        const { plans } = fedDayByDay({ ...request, lots }, 10);
        const [first] = plans;
        lots.forEach(({ baleKg }, index) => {
          expect(Math.abs(first?.carriedInKg[index] ?? 0)).toBeLessThan(baleKg);
          expect(first?.forgivenKg[index]).toBeGreaterThanOrEqual(0);
        });
        if (needOf(request) >= 2 * Math.max(...lots.map(({ baleKg }) => baleKg)))
          for (const { days } of plans) expect(days[0]?.shareOfNeed).toBeGreaterThan(0.3);
        expect(usual.forgivenKg.every((kg) => kg === 0)).toBe(true);
      }),
      { numRuns: examples(12) },
    );
  });

  test('what a herd is short of is made good within a bale; what it had twice is not taken off', () => {
    const one = asked([lot(3600, 1200, { carriedInKg: -1200 * KG_PER_LB })]);
    expect(fedDayByDay(one, 3).plans.map(({ days }) => days[0]?.bales[0])).toEqual([4, 3, 3]);
    const twice = asked(ration.lots.map((each) => ({ ...each, carriedInKg: each.needKgPerDay })));
    const { plans } = fedDayByDay(twice, 6);
    for (const { days } of plans) expect(days[0]?.bales.reduce((sum, bales) => sum + bales, 0)).toBe(3);
    expect(plans[0]?.forgivenKg.some((kg) => kg > 0)).toBe(true);
  });

  test('a day does not pass a cap that the ration keeps, where bales can keep it', () => {
    // Four bales a day, one of them a hay that is to be a quarter at most: never two of it on one day.
    const fourth = asked([lot(2400, 1200, { coarse: true }), lot(1200, 1200), lot(1200, 1200)], {
      caps: [{ name: 'the third hay', contents: [0, 0, 1], inLooseKg: 0, atMost: 0.25 }],
    });
    expect(planBaleDays(fourth).daysOverACap).toBe(0);
    // At 0.7 bales of four and a quarter of them allowed the same holds; at a tenth no day with a bale keeps it.
    const tenth = asked([lot(3600, 1200, { coarse: true }), lot(600, 1200), lot(600, 1200)], {
      caps: [{ name: 'the third hay', contents: [0, 0, 1], inLooseKg: 0, atMost: 0.13 }],
    });
    expect(planBaleDays(tenth).daysOverACap).toBe(7);
  });

  test('a hay that is a danger beyond its share passes it on no day, however much closer the days would come', () => {
    // Oat hay is 30 % of the ration, and its nitrate allows it to be half of a day; whole bales of both come to half.
    const oats = (pounds: number) =>
      asked([lot(pounds * 0.7, 1200), lot(pounds * 0.3, 1200)], {
        caps: [{ name: 'oat hay', contents: [0, 1], inLooseKg: 0, atMost: 0.5, isDanger: true }],
      });
    for (const pounds of [1040, 2600, 3050, 4100]) {
      const { days, daysOverACap } = planBaleDays({ ...oats(pounds), days: 30 });
      expect([pounds, days.filter(({ bales: [meadow = 0, oat = 0] }) => oat > meadow)]).toEqual([pounds, []]);
      expect(daysOverACap).toBe(0);
    }
  });

  test('nonsense is refused', () => {
    expect(() => planBaleDays(asked([]))).toThrow(RangeError);
    expect(() => planBaleDays(asked([lot(0, 1200)]))).toThrow(RangeError);
    expect(() => planBaleDays(asked([lot(10, 0)]))).toThrow(RangeError);
  });

  test('many lots are planned too', () => {
    const many = asked(Array.from({ length: 10 }, (_one, index) => lot(400 + 37 * index, 900, { coarse: index < 4 })));
    for (const { days, band } of fedDayByDay(many, 2).plans) {
      expect(days[0]?.shareOfNeed).toBeGreaterThanOrEqual(band.from - 1e-9);
      expect(days[0]?.shareOfNeed).toBeLessThanOrEqual(band.to + 1e-9);
    }
  });
});

describe('against an integer program', () => {
  let solve: SolveLinearProgram;
  beforeAll(async () => {
    solve = solveWithHighs(await loadHighs());
  });

  /** Least behind; then, at that, least below the band; then, at that, least above it. */
  function bySolver(request: BaleDaysAsked, days: number): { below: number; above: number } {
    const { lots, looseKgPerDay } = request;
    const need = needOf(request);
    const mayBeBehind = Math.min(0.15 * need, Math.max(...lots.map(({ baleKg }) => baleKg)) / 2);
    const n = lots.length;
    const column = (day: number, index: number): number => day * n + index;
    const behind = (day: number): number => days * n + day;
    const [below, above] = [days * n + days, days * n + days + 1];
    const bales = (day: number) =>
      lots.map(({ baleKg }, index) => ({ column: column(day, index), coefficient: baleKg / need }));
    const soFar = (day: number) => Array.from({ length: day + 1 }, (_one, each) => bales(each)).flat();
    const program = (
      costs: { behind?: number; below?: number; above?: number },
      kept: LinearProgram['rows'],
    ): LinearProgram => ({
      columns: [
        ...Array.from({ length: days * n }, (_one, index) => ({
          name: `x${index}`,
          cost: 0,
          lower: 0,
          upper: null,
          whole: true,
        })),
        ...Array.from({ length: days }, (_one, index) => ({
          name: `b${index}`,
          cost: costs.behind ?? 0,
          lower: 0,
          upper: null,
        })),
        { name: 'below', cost: costs.below ?? 0, lower: 0, upper: null },
        { name: 'above', cost: costs.above ?? 0, lower: 0, upper: null },
      ],
      rows: [
        ...kept,
        ...Array.from({ length: days }, (_one, day) => [
          {
            name: 'low',
            lower: 0.85 - looseKgPerDay / need,
            upper: null,
            terms: [...bales(day), { column: below, coefficient: 1 }],
          },
          {
            name: 'high',
            lower: null,
            upper: 1.15 - looseKgPerDay / need,
            terms: [...bales(day), { column: above, coefficient: -1 }],
          },
          {
            name: 'behind',
            lower: ((day + 1) * (need - looseKgPerDay) - mayBeBehind) / need,
            upper: null,
            terms: [...soFar(day), { column: behind(day), coefficient: 1 }],
          },
          ...lots.map(({ baleKg, needKgPerDay }, index) => ({
            name: 'bale',
            lower: ((day + 1) * needKgPerDay) / baleKg - 1 + 1e-6,
            upper: ((day + 1) * needKgPerDay) / baleKg + 1 - 1e-6,
            terms: Array.from({ length: day + 1 }, (_each, before) => ({
              column: column(before, index),
              coefficient: 1,
            })),
          })),
        ]).flat(),
      ],
    });
    const least = (costs: Parameters<typeof program>[0], kept: LinearProgram['rows']): number => {
      const answer = solve(program(costs, kept));
      if (answer.status !== 'optimal') throw new Error(`The solver says ${answer.status}`);
      return answer.objective;
    };
    const behindTerms = Array.from({ length: days }, (_one, day) => ({ column: behind(day), coefficient: 1 }));
    const keep = (upper: number, terms: { column: number; coefficient: number }[]) => ({
      name: 'kept',
      lower: null,
      upper: upper + 1e-7,
      terms,
    });
    const rows = [keep(least({ behind: 1 }, []), behindTerms)];
    const leastBelow = least({ below: 1 }, rows);
    rows.push(keep(leastBelow, [{ column: below, coefficient: 1 }]));
    return { below: leastBelow, above: least({ above: 1 }, rows) };
  }

  test('no plan in whole bales is narrower', () => {
    fc.assert(
      fc.property(yards, (request) => {
        const found = narrowestBand(request, 6);
        const best = bySolver(request, 6);
        expect(found.below).toBeCloseTo(best.below, 4);
        expect(found.above).toBeCloseTo(best.above, 4);
      }),
      { numRuns: examples(12) },
    );
  });
});

test('bales of grain are no hay: grain by weight goes with the hay in front of the cattle only', () => {
  // 100 lb of hay a day from bales of 200 lb, 20 lb of grain from bales of 100 lb, 10 lb of loose grain to the hay.
  const pounds = 10 * KG_PER_LB;
  const plan = planBaleDays({
    ...asked([lot(100, 200), lot(20, 100, { isConcentrate: true })], {
      alongKgPerDay: pounds,
      grainAlongKgPerDay: pounds,
    }),
    days: 20,
  });
  let left = 0;
  for (const { bales, layKg } of plan.days) {
    const [hay = 0, grain = 0] = bales;
    left += hay * 200;
    const along = Math.min(1, left / 100) * 10;
    expect(layKg / KG_PER_LB).toBeCloseTo(hay * 200 + grain * 100 + along, 6);
    left -= 100;
  }
  expect(plan.days.some(({ bales }) => bales[0] === 0)).toBe(true);
});

test('bales of grain go out with bales of hay where long fiber has to be beside them', () => {
  // As above; of a day's dry matter at most 9 parts in 10 may be short of fiber, of which the hay has half.
  const lots = [lot(100, 200), lot(20, 100, { isConcentrate: true })];
  const cap = { name: 'long-stem fiber', contents: [0.5, 1], inLooseKg: 0, atMost: 0.9, isDanger: true };
  const days = planBaleDays({ ...asked(lots, { caps: [cap] }), days: 20 }).days;
  expect(days.filter(({ bales }) => (bales[1] ?? 0) > 0).length).toBeGreaterThan(2);
  for (const { bales } of days) if ((bales[1] ?? 0) > 0) expect(bales[0]).toBeGreaterThan(0);
});

describe('what is laid by weight beside whole bales', () => {
  /** Kilograms over so many days, by the need of a day. */
  const laidAlong = (request: BaleDaysAsked, days: number): number[] =>
    planBaleDays({ ...request, days }).days.map(
      ({ bales, layKg }) =>
        layKg - bales.reduce((sum, count, index) => sum + count * (request.lots[index]?.baleKg ?? 0), 0),
    );

  test('meal goes out every day: over 14 days 14 times what the ration says', () => {
    // 12 cows, 10 kg of straw from bales of 500 kg and 1.2 kg of meal a head: 14.4 kg a day, 201.6 kg in 14 days.
    const straw: BaleLot = { ...lot(1, 1), needKgPerDay: 120, baleKg: 500, coarse: true };
    const each = laidAlong(asked([straw], { alongKgPerDay: 14.4 }), 14);
    expect(each.reduce((sum, kg) => sum + kg, 0)).toBeCloseTo(201.6, 6);
    for (const kg of each) expect(kg).toBeCloseTo(14.4, 6);
  });

  test('whatever the bales, over any window of days it is what the ration says', () => {
    fc.assert(
      fc.property(yards, fc.integer({ min: 1, max: 60 }), (request, pounds) => {
        const alongKgPerDay = pounds * KG_PER_LB;
        const days = planBaleDays({ ...request, alongKgPerDay, days: 20 }).days;
        for (const { bales, layKg } of days) {
          const hay = bales.reduce((sum, count, index) => sum + count * (request.lots[index]?.baleKg ?? 0), 0);
          expect(layKg - hay - request.looseKgPerDay).toBeCloseTo(alongKgPerDay, 6);
        }
      }),
      { numRuns: examples(12) },
    );
  });

  test('grain is never more to the hay in front of them than the ration says, laid that day or before', () => {
    fc.assert(
      fc.property(yards, (request) => {
        const need = needOf(request);
        const days = planBaleDays({ ...request, alongKgPerDay: 10, grainAlongKgPerDay: 10, days: 20 }).days;
        let left = 0;
        for (const { bales, layKg, hayShare } of days) {
          const baled = bales.reduce((sum, count, index) => sum + count * (request.lots[index]?.baleKg ?? 0), 0);
          const grain = layKg - baled - request.looseKgPerDay;
          left += baled + request.looseKgPerDay;
          expect(grain / 10).toBeLessThanOrEqual(Math.min(1, left / need) + 1e-6);
          // And no less of it, so that it stays the ration's wherever hay lies.
          expect(grain / 10).toBeGreaterThanOrEqual(Math.min(1, left / need) - 1e-6);
          expect(hayShare).toBeCloseTo(grain / 10, 6);
          left -= need;
        }
      }),
      { numRuns: examples(12) },
    );
  });
});
