import { type CattleChange, closeout, type Closeout, type CloseoutInput } from '../../../src/core/closeout/closeout.js';
import { closeoutInterest } from '../../../src/core/closeout/interest.js';
import { costOfGain } from '../../../src/core/gain/cost-of-gain.js';
import { headHistory } from '../../../src/core/standing/head-days.js';
import { addDays } from '../../../src/core/time/calendar-day.js';
import { decimal } from '../../../src/core/units/decimal.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money } from '../../../src/core/units/money.js';
import published from '../../reference/closeout-published.json';
import fc from '../../support/properties.js';

const lb = (value: string | number): Mass => Mass.of(String(value), 'lb');
const usd = (value: string | number): Money => Money.of(String(value), 'USD');
const FROM = '2026-11-01';

type Change = Partial<CattleChange> & Pick<CattleChange, 'on' | 'kind' | 'head'>;
const change = (one: Change): CattleChange => ({
  id: `${one.kind} ${one.on}`,
  totalWeight: null,
  payWeight: one.totalWeight ?? null,
  worth: null,
  how: one.worth === undefined ? null : 'paid',
  ...one,
});

/** A closeout of cattle that came and went, with nothing else unless it is given. */
function closed(changes: readonly CattleChange[], until: string, more: Partial<CloseoutInput> = {}): Closeout {
  const history = headHistory(changes.map(({ on, kind, head }) => ({ day: on, kind, head })));
  if (!history.ok) throw new Error('no history');
  return closeout({
    from: FROM,
    until,
    currency: 'USD',
    steps: history.steps,
    opening: { totalWeight: null, value: null },
    closing: { totalWeight: null, value: null },
    changes,
    hay: [],
    otherFeed: [],
    hayAtMarket: null,
    yardage: usd(0),
    herdCosts: [],
    lateCosts: usd(0),
    interest: null,
    sameFill: null,
    ...more,
  });
}

describe('a published table of breakeven purchase prices', () => {
  const { inputs, rows, sellingPrices, source } = published.breakEvenTable;
  const days = (inputs.outWeightLb - inputs.inWeightLb) / inputs.dailyGainLb;

  /** The profit of a head bought at a price of the table, without its allowance for deaths. */
  function profitAt(corn: string, selling: string, buying: string, daysFed: number): number {
    const until = addDays(FROM, daysFed);
    const found = closed(
      [
        change({ on: FROM, kind: 'in', head: 1, totalWeight: lb(inputs.inWeightLb), worth: usd(buying).times('5.5') }),
        change({
          on: until,
          kind: 'sale',
          head: 1,
          totalWeight: lb(inputs.outWeightLb),
          worth: usd(selling).times('11.5'),
        }),
      ],
      until,
      {
        hay: [{ on: FROM, amount: usd(inputs.hay) }],
        otherFeed: [
          { on: FROM, amount: usd(corn).times(inputs.cornBushels) },
          { on: FROM, amount: usd(inputs.supplement) },
        ],
        yardage: usd(inputs.yardagePerDay).times(daysFed).rounded(),
        herdCosts: [
          { kind: 'veterinary', on: FROM, amount: usd(inputs.vetMed) },
          { kind: 'trucking', on: FROM, amount: usd(inputs.trucking) },
          { kind: 'other', on: FROM, amount: usd(inputs.other) },
        ],
        interest: {
          yearlyRate: decimal(inputs.interestPercent).div(100),
          dayBasis: 365,
          onCattle: true,
          onCosts: 'half-time',
        },
      },
    );
    return found.profit?.total.amount.toNumber() ?? Number.NaN;
  }

  it.each([
    ['the whole days before', Math.floor(days)],
    ['the whole days after', Math.ceil(days)],
  ])(`leaves the same in every cell, by %s (${source.slice(0, 40)})`, (_, daysFed) => {
    const left = Object.entries(rows).flatMap(([corn, prices]) =>
      prices.map((buying, index) => profitAt(corn, sellingPrices[index] ?? '', buying, daysFed)),
    );
    expect(left).toHaveLength(65);
    // A price printed to the cent is half a cent off at most, times 5.5 cwt and its interest; three sums of ours are
    // each rounded to the cent. A fraction of a day left out changes interest with the price: 0.6 day of 9.5 % of 237.
    const off = 0.005 * 5.5 * 1.06 + 3 * 0.005 + 0.02;
    const middle = (Math.max(...left) + Math.min(...left)) / 2;
    expect(Math.max(...left) - middle).toBeLessThanOrEqual(off);
  });

  it('and what is left is the allowance for deaths, 1.5 % of a calf of 550 lb at $70', () => {
    // The table goes by 210.53 days; ours by whole ones, so the two next to it are weighed.
    const part = days - Math.floor(days);
    const at = (daysFed: number): number => profitAt('3.00', '72.00', '81.05', daysFed);
    const left = at(Math.floor(days)) * (1 - part) + at(Math.ceil(days)) * part;
    expect(Math.abs(left - 0.015 * 5.5 * 70)).toBeLessThanOrEqual(0.05);
  });
});

describe('a published closeout of a stocker calf', () => {
  const { inputs, printed } = published.stockerExample;
  const until = addDays(FROM, inputs.days);
  const weightOut = inputs.weightInLb + inputs.days * inputs.dailyGainLb;
  const interest = usd(inputs.interestOn).times(inputs.interestYears).times(inputs.interestPercent).dividedBy(100);
  const payWeight = lb(weightOut).times(decimal(1).minus(decimal(inputs.shrinkPercent).div(100)));
  const found = closed(
    [
      change({
        on: FROM,
        kind: 'in',
        head: 1,
        totalWeight: lb(inputs.weightInLb),
        worth: usd(inputs.pricePerLb).times(inputs.weightInLb),
      }),
      change({
        on: until,
        kind: 'sale',
        head: 1,
        totalWeight: lb(weightOut),
        payWeight,
        worth: usd(inputs.salePricePerLb).times(payWeight.in('lb')),
      }),
    ],
    until,
    {
      herdCosts: [
        { kind: 'processing', on: FROM, amount: usd(inputs.processing) },
        { kind: 'pasture', on: FROM, amount: usd(inputs.land) },
        // The slides give both as sums of their own.
        { kind: 'other', on: FROM, amount: usd(inputs.deathLoss).plus(interest) },
      ],
    },
  );

  it('has its costs, its gain and its cost of gain', () => {
    expect(found.cattle.bought.toString()).toBe(`${printed.calf} USD`);
    expect(found.costs.total.amount.toFixed(2)).toBe(printed.costOfProduction);
    if (!('deadsOut' in found.gain)) throw new Error('refused');
    expect(found.gain.deadsOut.gain.in('lb').toNumber()).toBe(printed.gainLb);
    expect(found.gain.deadsOut.all.in('lb').toFixed(3)).toBe(printed.costOfGainPerLb);
  });

  it('has its breakeven and its profit, but for a sale weight printed to the pound', () => {
    const breakEven = found.breakEven?.deadsIn.in('lb').times(100).toNumber() ?? Number.NaN;
    const off = Number(printed.saleWeightLb) / payWeight.in('lb').toNumber();
    expect(Math.abs(breakEven / off - Number(printed.breakEvenPerCwt))).toBeLessThanOrEqual(0.01);
    const bought = Number(printed.proceeds) - Number(inputs.salePricePerLb) * payWeight.in('lb').toNumber();
    expect(Math.abs((found.profit?.total.amount.toNumber() ?? 0) + bought - Number(printed.profit))).toBeLessThan(
      0.005,
    );
  });

  it('has its interest: 10 % of 380 for half a year', () => {
    const half = closeoutInterest({
      terms: { yearlyRate: decimal('0.10'), dayBasis: 360, onCattle: true, onCosts: 'none' },
      cattle: [{ on: FROM, amount: usd(inputs.interestOn) }],
      costs: [],
      begin: FROM,
      end: addDays(FROM, 180),
      currency: 'USD',
    });
    expect(half.onCattle.toString()).toBe(`${printed.interest} USD`);
  });
});

// By hand: 100 head of 500 lb at $2.00 a pound; 2 die at 550 lb; 98 are sold at 700 lb, 3 % pencil shrink, $2.20.
describe('a lot with deaths, by hand', () => {
  const until = addDays(FROM, 100);
  const payWeight = lb(98 * 700).times('0.97');
  const lot = (more: Partial<CloseoutInput> = {}): Closeout =>
    closed(
      [
        change({ on: FROM, kind: 'in', head: 100, totalWeight: lb(50_000), worth: usd(100_000) }),
        change({ on: addDays(FROM, 50), kind: 'death', head: 2, totalWeight: lb(1100) }),
        change({
          on: until,
          kind: 'sale',
          head: 98,
          totalWeight: lb(68_600),
          payWeight,
          worth: usd('2.20').times(payWeight.in('lb')),
        }),
      ],
      until,
      {
        hay: [{ on: addDays(FROM, 10), amount: usd(9000) }],
        hayAtMarket: usd(12_000),
        yardage: usd(4950),
        herdCosts: [{ kind: 'veterinary', on: FROM, amount: usd(1500) }],
        lateCosts: usd(150),
        ...more,
      },
    );

  it('tells the dead in and out, at each weight', () => {
    const { head, gain, gainAtSameFill } = lot();
    expect(head).toMatchObject({ in: 100, died: 2, wentOut: 98, closing: 0, out: 98, headDays: 50 * 100 + 50 * 98 });
    if (!('deadsOut' in gain) || !('deadsOut' in gainAtSameFill)) throw new Error('refused');
    // 68,600 + 1,100 - 50,000 = 19,700; less the dead 18,600. Costs: 9,000 + 4,950 + 1,500 + 150 = 15,600.
    expect(gain.deadsOut.gain.in('lb').toNumber()).toBe(19_700);
    expect(gain.deadsIn?.gain.in('lb').toNumber()).toBe(18_600);
    expect(gain.deadsOut.feedAndYardage.in('lb').toNumber()).toBeCloseTo(13_950 / 19_700, 10);
    expect(gain.deadsIn?.all.in('lb').toNumber()).toBeCloseTo(15_600 / 18_600, 10);
    // Paid for 66,542 lb: 66,542 + 1,100 - 50,000 = 17,642.
    expect(gainAtSameFill.deadsOut.gain.in('lb').toNumber()).toBeCloseTo(17_642, 8);
    // 3 % off each weight in and out: 0.97 x 19,700.
    const stated = lot({ sameFill: { in: decimal('0.03'), out: decimal('0.03') } }).gainAtSameFill;
    expect('deadsOut' in stated && stated.deadsOut.gain.in('lb').toNumber()).toBeCloseTo(19_109, 8);
  });

  it('breaks even where its profit is nothing, and tells profit at cost and at market', () => {
    const { breakEven, profit, profitAtMarket } = lot();
    // 2.20 x 66,542 = 146,392.40; less 100,000 and 15,600.
    expect(profit?.total.toString()).toBe('30792.4 USD');
    expect(profit?.perHeadIn?.amount.toFixed(3)).toBe('307.924');
    expect(profit?.perHeadOut?.amount.toFixed(4)).toBe('314.2082');
    expect(profitAtMarket?.total.toString()).toBe('27792.4 USD');
    expect(breakEven?.deadsIn.in('lb').toNumber()).toBeCloseTo(115_600 / 66_542, 10);
    expect(breakEven?.deadsOut?.in('lb').toNumber()).toBeCloseTo(115_600 / 67_642, 10);
  });

  it('has no breakeven with the dead at their weight where nobody knows it, and the other as before', () => {
    const { breakEven } = closed(
      [
        change({ on: FROM, kind: 'in', head: 100, totalWeight: lb(50_000), worth: usd(100_000) }),
        change({ on: addDays(FROM, 50), kind: 'death', head: 2 }),
        change({ on: until, kind: 'sale', head: 98, totalWeight: lb(68_600), payWeight, worth: usd(146_000) }),
      ],
      until,
    );
    expect(breakEven?.deadsIn.in('lb').toNumber()).toBeCloseTo(100_000 / 66_542, 10);
    expect(breakEven?.deadsOut).toBeNull();
  });

  it('bears interest on stated terms', () => {
    const terms = {
      yearlyRate: decimal('0.08'),
      dayBasis: 365 as const,
      onCattle: true,
      onCosts: 'half-time' as const,
    };
    const { costs } = lot({ interest: terms });
    // 100,000 x 0.08 x 100/365 = 2,191.78; 15,600 x 0.08 x 50/365 = 170.96.
    expect(costs.interest.onCattle.toString()).toBe('2191.78 USD');
    expect(costs.interest.onCosts.toString()).toBe('170.96 USD');
    expect(costs.total.toString()).toBe('17962.74 USD');
    // From their day: (9,000 x 90 + 1,500 x 100 + 4,950 x 50) x 0.08/365; late bills of the last day bear none.
    const { costs: dated } = lot({ interest: { ...terms, onCosts: 'from-their-day' } });
    expect(dated.interest.onCosts.toString()).toBe('264.66 USD');
  });

  it('gives no figure that lacks an amount or a weight, and says of which entry', () => {
    const bare = closed(
      [
        change({ on: FROM, kind: 'in', head: 10 }),
        change({ on: addDays(FROM, 20), kind: 'sale', head: 4, worth: usd(100) }),
      ],
      addDays(FROM, 30),
    );
    expect(bare).toMatchObject({ profit: null, breakEven: null, gain: { ok: false } });
    expect(bare.missing.map(({ what, of, changeId }) => `${what} of ${changeId ?? of}`)).toEqual([
      'price of closing',
      'weight of closing',
      `price of in ${FROM}`,
      `weight of in ${FROM}`,
      `weight of sale ${addDays(FROM, 20)}`,
    ]);
  });
});

it('costs what the cost of gain costs, whatever came and went', () => {
  const weight = fc.integer({ min: 300, max: 900 });
  fc.assert(
    fc.property(
      fc.record({
        came: fc.integer({ min: 5, max: 60 }),
        dead: fc.integer({ min: 0, max: 2 }),
        days: fc.integer({ min: 20, max: 200 }),
      }),
      fc.record({
        weightIn: weight,
        gained: fc.integer({ min: 60, max: 400 }),
        hay: fc.integer({ min: 1, max: 90_000 }),
      }),
      ({ came, dead, days }, { weightIn, gained, hay }) => {
        const until = addDays(FROM, days);
        const flows = [
          change({ on: FROM, kind: 'in', head: came, totalWeight: lb(weightIn * came) }),
          ...(dead === 0
            ? []
            : [change({ on: addDays(FROM, 9), kind: 'death', head: dead, totalWeight: lb(weightIn * dead) })]),
          change({ on: until, kind: 'sale', head: came - dead, totalWeight: lb((weightIn + gained) * (came - dead)) }),
        ];
        const yardage = usd('0.35');
        const headDays = came * 9 + (came - dead) * (days - 9);
        const found = closed(flows, until, {
          hay: [{ on: FROM, amount: usd(hay) }],
          yardage: yardage.times(headDays).rounded(),
        });
        // The report's convention: weighed on the day they came and on the day they went.
        const report = costOfGain({
          from: FROM,
          until,
          opening: { day: FROM, head: came, totalWeight: lb(weightIn * came) },
          closing: { day: until, head: came - dead, totalWeight: lb((weightIn + gained) * (came - dead)) },
          flows: flows.slice(1, -1).map(({ on, head, totalWeight }) => ({
            day: on,
            direction: 'out',
            head,
            totalWeight: totalWeight ?? Mass.zero,
            cause: 'death',
          })),
          headDays,
          feedCost: usd(hay),
          yardagePerHeadDay: yardage,
        });
        if (!report.ok || !('deadsOut' in found.gain)) throw new Error('refused');
        expect(found.head.headDays).toBe(headDays);
        expect(found.gain.deadsOut.feedAndYardage.in('lb').toFixed(8)).toBe(report.totalCostOfGain.in('lb').toFixed(8));
        expect(found.gain.deadsIn?.feed.in('lb').toFixed(8)).toBe(report.deadsIn?.feedCostOfGain.in('lb').toFixed(8));
      },
    ),
  );
});
