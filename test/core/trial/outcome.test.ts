import { animalResults } from '../../../src/core/trial/analysis-sets.js';
import { armOutcome, type ArmFeed } from '../../../src/core/trial/arm-outcome.js';
import { hayNeedCutByWaste, herdGainIfItHeld } from '../../../src/core/trial/if-it-held.js';
import { partialBudget } from '../../../src/core/trial/partial-budget.js';
import { decimal } from '../../../src/core/units/decimal.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money, PricePerMass } from '../../../src/core/units/money.js';
import { animal, protocol, weigh } from './support.js';

const KG_PER_LB = 0.45359237; // exact, international pound of 1959

describe('common practice, no source', () => {
  it('0.7 lb a day more over 30 days on 200 head is 4,200 lb', () => {
    const got = herdGainIfItHeld({
      differenceKgPerDay: { low: 0, estimate: 0.7 * KG_PER_LB, high: 1 },
      head: 200,
      days: 30,
    });
    expect(got.estimate.in('lb').toNumber()).toBeCloseTo(4200, 4);
  });
  it('cutting waste from 20 % to 8 % cuts the hay needed by 13 %', () => {
    const got = hayNeedCutByWaste({ wasteShareBefore: 0.2, wasteShareAfter: 0.08 });
    expect(Math.round(got.cutShare * 100)).toBe(13);
    expect(got.needPerTonEatenBefore).toBeCloseTo(1.25, 12);
    expect(() => hayNeedCutByWaste({ wasteShareBefore: 1, wasteShareAfter: 0 })).toThrow(RangeError);
  });
});

/* Worked by hand from the definitions: 10 head × 60 days = 600 head-days at 0.5 kg = 300 kg of gain. */
describe('outcome of an arm', () => {
  const feed: ArmFeed = {
    armId: 'usual',
    name: 'hay',
    fed: Mass.kilograms('6000'),
    refused: Mass.kilograms('300'),
    wasted: Mass.kilograms('600'),
    dryMatterShare: decimal('0.9'),
    price: PricePerMass.of('0.10', 'USD', 'kg'),
    daysMissing: 0,
  };
  const ten = Array.from({ length: 10 }, (_, i) => animal(`a${i}`, 'usual', 0.5));
  const outcome = (animals = ten, more: Partial<ArmFeed> = {}) =>
    armOutcome({
      armId: 'usual',
      results: animalResults({ protocol, animals }),
      feeds: [{ ...feed, ...more }],
      otherCosts: Money.of('60', 'USD'),
      currency: 'USD',
    });

  it('hay, conversion and cost of gain', () => {
    const { hay, cost, ...rest } = outcome();
    expect(rest).toMatchObject({
      headDrawn: 10,
      headWithGain: 10,
      headDied: 0,
      headDays: 600,
      meanGainKgPerDay: expect.closeTo(0.5, 12) as number,
      gainDeadsInKgPerHeadDay: expect.closeTo(0.5, 12) as number,
      notes: [],
    });
    expect(
      [hay?.eaten, hay?.fedPerHeadDay, hay?.eatenPerHeadDay, hay?.wastedPerHeadDay, hay?.dryMatterEaten].map((mass) =>
        mass?.kilograms.toNumber(),
      ),
    ).toEqual([5100, 10, 8.5, 1, 4590]);
    expect(
      [hay?.fedPerGain, hay?.eatenPerGain, hay?.wastedPerGain, hay?.conversion, hay?.wastedShareOfFed].map((value) =>
        value?.toNumber(),
      ),
    ).toEqual([20, 17, 2, 15.3, 0.1].map((value) => expect.closeTo(value, 9) as number));
    expect([cost?.feed, cost?.other, cost?.perHeadDay].map((money) => money?.toString())).toEqual([
      '600 USD',
      '60 USD',
      '1.1 USD',
    ]);
    expect([cost?.feedCostPerKgGain, cost?.totalCostPerKgGain].map((money) => money?.rounded().toString())).toEqual([
      '2 USD',
      '2.2 USD',
    ]);
  });
  it('the dead count as losing their start weight, and their head-days stop', () => {
    const got = outcome([
      ...ten.slice(1),
      { ...animal('dead', 'usual', 0), weighings: [weigh(0, 250), weigh(1, 250)], events: [{ day: 30, kind: 'died' }] },
    ]);
    expect(got).toMatchObject({ headDied: 1, headWithGain: 9, headDays: 570 });
    // 9 head × 30 kg gained − 250 kg lost = 20 kg over 570 head-days.
    expect(got.gainDeadsInKgPerHeadDay).toBeCloseTo(20 / 570, 12);
    expect(got.meanGainKgPerDay).toBeCloseTo(0.5, 12);
  });
  it('divides by no gain that is not above zero', () => {
    const got = outcome(ten.map((one, i) => animal(one.id, 'usual', i % 2 === 0 ? 0.1 : -0.1)));
    expect(got.hay?.conversion).toBeNull();
    expect(got.cost?.totalCostPerKgGain).toBeNull();
    expect(got.notes.join()).toContain('did not gain');
  });
  it('gives no cost without prices and says which days are missing', () => {
    const got = outcome(ten, { price: null, daysMissing: 2 });
    expect(got.cost).toBeNull();
    expect(got.notes).toEqual(['2 days of this arm have no feed record: hay and cost are too low by them.']);
    const none = armOutcome({ armId: 'usual', results: [], feeds: [], otherCosts: null, currency: 'USD' });
    expect(none).toMatchObject({ hay: null, cost: null, meanGainKgPerDay: null });
  });
});

/* By hand: 0.1 kg × 60 days × 2.20 = 13.20 of returns; 0.05 × 60 = 3.00 of costs. */
describe('partial budget', () => {
  const arm = { died: 0, started: 20, shareByPen: null, meanGainKgPerDay: 0.4 };
  const budget = (low: number, estimate: number, high: number) =>
    partialBudget({
      gain: { low, difference: estimate, high, standardError: 0.04, degreesOfFreedom: 37, confidence: 0.95 },
      usual: { ...arm, costPerHeadStarted: Money.of('60', 'USD') },
      change: { ...arm, costPerHeadStarted: Money.of('60', 'USD').plus(Money.of('0.05', 'USD').times(60)) },
      startWeightKg: 250,
      days: 60,
      valueOfGain: PricePerMass.of('2.20', 'USD', 'kg'),
      valueOfCattle: null,
      herdHead: 200,
    });
  it('carries the interval of the gain', () => {
    const got = budget(0.02, 0.1, 0.18);
    expect(got.addedReturnsPerHead.estimate.toString()).toBe('13.2 USD');
    expect(got.addedCostsPerHead.toString()).toBe('3 USD');
    expect([got.netPerHead.low, got.netPerHead.estimate, got.netPerHead.high].map((money) => money.toString())).toEqual(
      ['-0.36 USD', '10.2 USD', '20.76 USD'],
    );
    expect(got.herd?.net.estimate.toString()).toBe('2040 USD');
    expect(got.verdict).toBe('too-small-to-tell');
    expect(got.words[0]).toContain("can't tell");
  });
  it('pays or costs only when the whole interval does', () => {
    expect(budget(0.03, 0.1, 0.17).verdict).toBe('pays');
    expect(budget(-0.1, -0.05, 0.02).verdict).toBe('costs');
  });
});
