import fc, { examples } from '../../support/properties.js';
import { balesFor, hayOnHand, ukyAnimalUnits, ukyHayNeed } from '../../../src/core/budget/extension-methods.js';
import {
  hayBudget,
  usableSupply,
  type HayBudget,
  type HayBudgetInput,
  type LotOnHand,
} from '../../../src/core/budget/hay-budget.js';
import { hayNeed, intakeFromBodyWeight, periodHayNeed, type HerdPlan } from '../../../src/core/budget/hay-need.js';
import { reforecast } from '../../../src/core/budget/reforecast.js';
import { whatIfs } from '../../../src/core/budget/what-if.js';
import { addDays, dayFromNumber } from '../../../src/core/time/calendar-day.js';
import { decimal } from '../../../src/core/units/decimal.js';
import { Mass } from '../../../src/core/units/mass.js';
import { PricePerMass } from '../../../src/core/units/money.js';
import published from '../../reference/published-values.json';

const lb = (value: number | string): Mass => Mass.of(String(value), 'lb');
const caseOf = (id: string): { inputs: Record<string, number>; expected: unknown } => {
  const found = (published as unknown as { id: string; inputs: Record<string, number>; expected: unknown }[]).find(
    (each) => each.id === id,
  );
  if (!found) throw new Error(`no case ${id}`);
  return found;
};

describe('simple extension methods', () => {
  // Source: Pyles, University of Kentucky Extension.
  it('hay-uky-onhand: 200 bales of 1,000 lb less a tenth', () => {
    const { inputs, expected } = caseOf('hay-uky-onhand');
    expect(
      hayOnHand({
        bales: inputs['bales'] ?? 0,
        baleWeight: lb(inputs['lb'] ?? 0),
        loss: decimal(inputs['loss_pct'] ?? 0).div(100),
      })
        .in('lb')
        .toNumber(),
    ).toBe(expected);
    expect(() => hayOnHand({ bales: 1.5, baleWeight: lb(1), loss: '0' })).toThrow(RangeError);
  });
  // Source: the same page: 25 cows of 1,000 lb, 10 steers, 10 heifers, 8 calves and a bull of 1,800 lb are 38.8 units.
  it('Kentucky animal units', () => {
    const units = ukyAnimalUnits([
      { head: 25, bodyWeight: lb(1000) },
      { head: 20, animalClass: 'yearling' },
      { head: 8, animalClass: 'calf' },
      { head: 1, bodyWeight: lb(1800) },
    ]);
    expect(units.toDecimalPlaces(10).toNumber()).toBe(38.8);
    expect(
      ukyHayNeed({ animalUnits: units, days: 1, hayPerUnitDay: lb(10) })
        .in('lb')
        .toDecimalPlaces(10)
        .toNumber(),
    ).toBe(388);
  });
  // Source: Keene, T., University of Kentucky: 30 cows of 1,200 lb at 2.5 % eat 900 lb a day and 108,000 lb in 120
  // days.
  it('Kentucky: 108,000 lb', () => {
    const need = hayNeed({
      headDays: 30 * 120,
      dryMatterIntakePerHeadDay: intakeFromBodyWeight({ bodyWeight: lb(1200), share: '0.025' }),
      dryMatter: '1',
      waste: '0',
    });
    expect(need.ok && need.needed.in('lb').toNumber()).toBe(108_000);
  });
  // Source: Johnson, M.Z., Oklahoma State University Extension, 2024: 100 cows of 1,400 lb eat 3,640 lb a day; with a
  // tenth added
  // "about 4,000"; 200 days are 800,000 lb, 640 bales of 1,250 lb. The page adds the waste: the multiplier convention.
  it('Oklahoma: 4,000 lb a day and 640 bales', () => {
    const day = hayNeed({
      headDays: 100,
      dryMatterIntakePerHeadDay: lb('36.4'),
      dryMatter: '1',
      waste: '0.10',
      wasteConvention: 'multiplier',
    });
    if (!day.ok) throw new Error('refused');
    expect(day.asFedEaten.in('lb').toNumber()).toBe(3640);
    expect(Math.round(day.needed.in('lb').toNumber() / 100) * 100).toBe(4000);
    expect(balesFor({ needed: lb(800_000), baleWeight: lb(1250) })).toBe(640);
    expect(() => balesFor({ needed: lb(1), baleWeight: Mass.zero })).toThrow(RangeError);
  });
  // Source: Texas A&M AgriLife (landowner column, 2020): 1,200 lb at 2 % is 24 lb, at 92 % dry matter about 26 lb, with
  // 15 % wastage
  // approximately 30 lb. The divisor gives 30.7, the multiplier 30.0.
  it('Texas: about 30 lb hauled for a cow', () => {
    for (const wasteConvention of ['divisor', 'multiplier'] as const) {
      const need = hayNeed({
        headDays: 1,
        dryMatterIntakePerHeadDay: lb(24),
        dryMatter: '0.92',
        waste: '0.15',
        wasteConvention,
      });
      if (!need.ok) throw new Error('refused');
      expect(Math.round(need.asFedEaten.in('lb').toNumber())).toBe(26);
      expect(Math.abs(need.needed.in('lb').toNumber() - 30)).toBeLessThan(1);
    }
  });
  // Source: Warner, J., Kansas State University, Beef Tips, November 2022: 600 bales of 1,700 lb are 510 tons, less 15
  // % 434 tons.
  it('Kansas: 434 tons to feed', () => {
    expect(
      hayOnHand({ bales: 600, baleWeight: lb(1700), loss: '0' })
        .in('ton')
        .toNumber(),
    ).toBe(510);
    expect(
      Math.abs(
        hayOnHand({ bales: 600, baleWeight: lb(1700), loss: '0.15' })
          .in('ton')
          .toNumber() - 434,
      ),
    ).toBeLessThanOrEqual(0.5);
  });
});

const herd: HerdPlan = {
  herdId: 'cows',
  headEvents: [{ day: '2024-11-01', kind: 'in', head: 100 }],
  dryMatterIntakePerHeadDay: lb(16),
  dryMatter: '0.80',
  waste: '0.20',
  kinds: [{ hayKind: 'grass', share: '1' }],
};
const lot = (lotId: string, pounds: number, more: Partial<LotOnHand> = {}): LotOnHand => ({
  lotId,
  hayKind: 'grass',
  balance: lb(pounds),
  storedOn: '2024-07-01',
  countedOn: '2024-11-01',
  seasonLoss: '0',
  ...more,
});
const plan: HayBudgetInput = {
  // 16 / 0.80 / 0.80 = 25 lb a head, 2,500 lb a day; 60 days need 150,000 lb.
  herds: [herd],
  lots: [lot('first', 50_000), lot('second', 51_000)],
  from: '2024-11-01',
  until: '2024-12-31',
  currency: 'USD',
  prices: [{ hayKind: 'grass', price: PricePerMass.of('200', 'USD', 'ton') }],
};
function budgeted(input: HayBudgetInput): HayBudget {
  const budget = hayBudget(input);
  if (!budget.ok) throw new Error(JSON.stringify(budget.problems));
  return budget;
}

describe('the yard fed day by day', () => {
  it('says when each lot and the yard run out, what to buy and what it costs', () => {
    const budget = budgeted(plan);
    // 50,000 lb last 20 days, through November 20; 51,000 lb 20.4 days, into December 11, which is 1,500 lb short.
    expect(budget.lots.map((each) => [each.lotId, each.runsOutOn, each.left.isZero()])).toEqual([
      ['first', '2024-11-20', true],
      ['second', '2024-12-11', true],
    ]);
    expect(budget.yard.runsOutOn).toBe('2024-12-11');
    expect(budget.yard.daysShort).toBe(20);
    expect(budget.yard.short.in('lb').toNumber()).toBe(49_000);
    expect(
      budget.months.map((month) => [month.month, month.needed.in('lb').toNumber(), month.short.in('lb').toNumber()]),
    ).toEqual([
      ['2024-11', 75_000, 0],
      ['2024-12', 75_000, 49_000],
    ]);
    expect(budget.toBuy.map((each) => [each.hayKind, each.mass.in('ton').toNumber(), each.cost?.toString()])).toEqual([
      ['grass', 24.5, '4900 USD'],
    ]);
    expect(budget.costToBuy?.toString()).toBe('4900 USD');
  });

  it('says what is left week by week, on the day the yard runs out and at the end', () => {
    // By hand: 101,000 lb less 2,500 lb a day, none after the 41st day, which 1,500 lb are missing on.
    const left = (day: number): number => Math.max(0, 101_000 - 2500 * day);
    const days = [7, 14, 21, 28, 35, 41, 42, 49, 56, 60];
    expect(
      budgeted(plan).stock.map(({ on, byKind }) => [
        on,
        ...byKind.map(({ hayKind, mass }) => [hayKind, mass.in('lb').toNumber()]),
      ]),
    ).toEqual(days.map((day) => [addDays(plan.from, day - 1), ['grass', left(day)]]));
    // One that lasts ends with what is left over.
    const lasting = budgeted({ ...plan, lots: [lot('one', 200_000, { seasonLoss: '0.20' })] });
    expect(lasting.stock.at(-1)?.byKind[0]?.mass.kilograms.toFixed()).toBe(lasting.yard.surplus.kilograms.toFixed());
  });

  it('takes the storage loss to the day of use', () => {
    // Half of a 270-day season (135 days) has gone by on November 13 at a season loss of 20 %: 10 % lost; by the count
    // on November 1, 123 days, 9.11 %.
    const oneDay = budgeted({
      ...plan,
      lots: [lot('old', 50_000, { seasonLoss: '0.20' })],
      from: '2024-11-13',
      until: '2024-11-14',
    });
    const factor = (1 - 0.2 * (135 / 270)) / (1 - 0.2 * (123 / 270));
    expect(oneDay.lots[0]?.fed.in('lb').toNumber()).toBeCloseTo(2500, 10);
    expect(oneDay.lots[0]?.left.in('lb').toNumber()).toBeCloseTo(50_000 * factor - 2500, 6);
    expect(oneDay.lots[0]?.lost.in('lb').toNumber()).toBeCloseTo(50_000 * (1 - factor), 6);
  });

  it('supply on a day is the balance less the loss to that day', () => {
    const stored = lot('old', 50_000, { seasonLoss: '0.20', countedOn: '2024-07-01' });
    expect(usableSupply(stored, '2024-11-13').in('lb').toDecimalPlaces(6).toNumber()).toBe(45_000);
    expect(usableSupply(stored, '2025-12-01').in('lb').toDecimalPlaces(6).toNumber()).toBe(40_000);
  });

  it('keeps kinds apart, or lets one stand in for another', () => {
    const lots = [lot('grass', 10_000), lot('alfalfa', 50_000, { hayKind: 'alfalfa' })];
    const apart = budgeted({ ...plan, lots, until: '2024-11-11' });
    expect(
      apart.kinds.map((kind) => [
        kind.hayKind,
        kind.short.in('lb').toNumber(),
        kind.firstShortOn,
        kind.surplus.in('lb').toNumber(),
      ]),
    ).toEqual([
      ['grass', 15_000, '2024-11-05', 0],
      ['alfalfa', 0, null, 50_000],
    ]);
    const together = budgeted({ ...plan, lots, until: '2024-11-11', substituteKinds: true });
    expect([together.yard.short.isZero(), together.yard.runsOutOn, together.yard.surplus.in('lb').toNumber()]).toEqual([
      true,
      null,
      35_000,
    ]);
  });

  it('has no cost where a kind has no price', () => {
    expect(budgeted({ ...plan, prices: [] })).toMatchObject({ costToBuy: null, toBuy: [{ cost: null }] });
    expect(budgeted({ ...plan, lots: [lot('much', 200_000)] }).costToBuy?.toString()).toBe('0 USD');
  });

  it.each([
    [{ lots: [lot('x', 1, { seasonLoss: '1' })] }, 'loss-out-of-range'],
    [{ lots: [lot('x', -1)] }, 'balance-negative'],
    [{ lots: [lot('x', 1, { countedOn: '2024-06-01' })] }, 'counted-before-stored'],
    [{ lots: [lot('x', 1, { countedOn: '2024-11-02' })] }, 'counted-after-start'],
    [{ until: '2024-11-01' }, 'span-reversed'],
    [{ herds: [{ ...herd, waste: '1' }] }, 'waste-out-of-range'],
  ] as [Partial<HayBudgetInput>, string][])('refuses %j', (change, code) => {
    expect(hayBudget({ ...plan, ...change })).toMatchObject({ ok: false, problems: [{ code }] });
  });

  const anyLots = fc.array(
    fc.record({
      pounds: fc.nat({ max: 60_000 }),
      loss: fc.integer({ min: 0, max: 60 }),
      kind: fc.constantFrom('grass', 'alfalfa'),
      stored: fc.integer({ min: 19_700, max: 20_028 }),
    }),
    { maxLength: 5 },
  );
  it('accounts for every pound of any yard: fed + lost + left is what was there, fed + short is the need', () => {
    fc.assert(
      fc.property(
        anyLots,
        fc.integer({ min: 1, max: 90 }),
        fc.integer({ min: 0, max: 100 }),
        fc.boolean(),
        (some, days, grass, substituteKinds) => {
          const share = decimal(grass).div(100);
          const lots = some.map((each, index) =>
            lot(`lot${index}`, each.pounds, {
              hayKind: each.kind,
              seasonLoss: decimal(each.loss).div(100),
              storedOn: dayFromNumber(each.stored),
            }),
          );
          const herds = [
            {
              ...herd,
              kinds: [
                { hayKind: 'grass', share },
                { hayKind: 'alfalfa', share: decimal(1).minus(share) },
              ],
            },
          ];
          const input = { ...plan, herds, lots, until: addDays(plan.from, days), substituteKinds };
          const budget = budgeted(input);
          const need = periodHayNeed(input);
          expect(need.ok && need.total.minus(budget.yard.needed).kilograms.abs().lt('1e-20')).toBe(true);
          expect(budget.yard.fed.plus(budget.yard.short).minus(budget.yard.needed).kilograms.abs().lt('1e-20')).toBe(
            true,
          );
          expect(
            Mass.sum(budget.lots.map((each) => each.fed))
              .minus(budget.yard.fed)
              .kilograms.abs()
              .lt('1e-20'),
          ).toBe(true);
          for (const each of budget.lots) {
            const parts = each.fed.plus(each.lost).plus(each.left);
            expect(parts.minus(each.balance).kilograms.abs().lt('1e-20')).toBe(true);
            expect(each.left.isNegative()).toBe(false);
            expect(each.lost.kilograms.gt('-1e-20')).toBe(true);
          }
          expect(budget.yard.runsOutOn === null).toBe(budget.yard.short.kilograms.lte(0));
        },
      ),
      { numRuns: examples(200) },
    );
  });
});

describe('re-forecast', () => {
  it('carries what was fed against the plan into the days to come', () => {
    // 20 days planned 50,000 lb; 55,000 lb fed: 1.1 of the plan. 40 days to come: 110,000 lb instead of 100,000.
    const again = reforecast({
      ...plan,
      lots: [lot('second', 46_000, { countedOn: '2024-11-21' })],
      today: '2024-11-21',
      fedToDate: [{ herdId: 'cows', fed: lb(55_000) }],
    });
    if (!again.ok) throw new Error('refused');
    expect(
      again.herds.map((each) => [
        each.fedPerPlanned.toNumber(),
        each.plannedToCome.in('lb').toNumber(),
        each.forecastToCome.in('lb').toNumber(),
      ]),
    ).toEqual([[1.1, 100_000, 110_000]]);
    expect([again.plannedTotal, again.forecastTotal].map((mass) => mass.in('lb').toNumber())).toEqual([
      150_000, 165_000,
    ]);
    expect(again.budget.yard.short.in('lb').toNumber()).toBe(64_000);
  });
  it('needs days behind and ahead', () => {
    for (const today of ['2024-11-01', '2024-12-31'])
      expect(reforecast({ ...plan, today, fedToDate: [] })).toMatchObject({
        ok: false,
        problems: [{ code: 'today-outside-plan' }],
      });
  });
});

describe('what-ifs', () => {
  it('common practice, no source: waste cut from 20 % to 8 % needs 13 % less hay', () => {
    const answer = whatIfs({ base: plan, changes: [{ name: 'ring feeders', waste: '0.08' }] });
    if (!answer.ok) throw new Error('refused');
    expect(Math.round((answer.answers[0]?.neededChangeShare?.toNumber() ?? 0) * 100)).toBe(-13);
  });

  it('head, intake and price move what they should and nothing else', () => {
    const answer = whatIfs({
      base: plan,
      changes: [
        { name: 'a tenth fewer', headTimes: '0.9' },
        { name: 'cold', intakeTimes: '1.2' },
        { name: 'dear', priceTimes: '1.5' },
        { name: 'another herd', headTimes: '2', herdIds: ['bulls'] },
      ],
    });
    if (!answer.ok) throw new Error('refused');
    // Base: 150,000 lb needed, 49,000 short, 4,900 dollars, out on December 11.
    expect(
      answer.answers.map((each) => [
        each.neededChange.in('lb').toNumber(),
        each.shortChange.in('lb').toNumber(),
        each.costChange?.amount.toNumber(),
        each.daysLonger,
      ]),
    ).toEqual([
      [-15_000, -15_000, -1500, 4],
      [30_000, 30_000, 3000, -7],
      [0, 0, 2450, 0],
      [0, 0, 0, 0],
    ]);
  });
  it('builds on a re-forecast plan', () => {
    const answer = whatIfs({
      base: { ...plan, needTimes: [{ herdId: 'cows', times: decimal('1.1') }] },
      changes: [{ name: 'cold', intakeTimes: '1.2' }],
    });
    if (!answer.ok) throw new Error('refused');
    expect(
      [answer.base.yard.needed, answer.answers[0]?.budget.yard.needed].map((mass) => mass?.in('lb').toNumber()),
    ).toEqual([165_000, 198_000]);
  });
  it('says which change cannot be', () => {
    expect(
      whatIfs({
        base: plan,
        changes: [
          { name: 'fine', headTimes: '1' },
          { name: 'all wasted', waste: '1' },
        ],
      }),
    ).toMatchObject({ ok: false, problems: [{ code: 'waste-out-of-range', field: 'changes[1].herds[0].waste' }] });
  });
});
