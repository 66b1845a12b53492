import { costOfGain, daysToGain, feedConversion, rationCostOfGain } from '../../../src/core/gain/cost-of-gain.js';
import { averageDailyGain, gainOverTime, herdGain } from '../../../src/core/gain/daily-gain.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money } from '../../../src/core/units/money.js';

const lb = (value: string | number): Mass => Mass.of(String(value), 'lb');
const usd = (value: string): Money => Money.of(value, 'USD');

describe('gain', () => {
  it('common practice, no source: an extra 0.7 lb a day for 30 days on 200 head is 4,200 lb', () => {
    expect(
      gainOverTime({ dailyGain: lb('0.7'), head: 200, days: 30 })
        .in('lb')
        .toNumber(),
    ).toBe(4200);
  });

  it('daily gain is (end - start) / days', () => {
    const gain = averageDailyGain({
      startDay: '2024-11-01',
      startWeight: lb(500),
      endDay: '2024-12-31',
      endWeight: lb(575),
    });
    expect(gain).toMatchObject({ ok: true, days: 60 });
    expect(gain.ok && gain.dailyGain.in('lb').toNumber()).toBe(1.25);
  });

  it.each([
    ['2024-11-01', 'no-days-between'],
    ['2024-10-30', 'no-days-between'],
    ['2024-11-31', 'day-not-a-date'],
  ])('refuses an end on %s', (endDay, code) => {
    expect(
      averageDailyGain({ startDay: '2024-11-01', startWeight: lb(500), endDay, endWeight: lb(575) }),
    ).toMatchObject({ ok: false, problems: [{ code }] });
  });
});

describe('ration cost of gain', () => {
  // Source: Alberta Agriculture, 4-H Feeding Terms and FCE feed cost calculations: $0.92 a day, 2.75 lb a day, $0.334
  // per pound.
  it('Alberta: an 800 lb steer', () => {
    const cost = rationCostOfGain({ costPerHeadDay: usd('0.92'), dailyGain: lb('2.75') });
    // The page cuts 0.33454... off after three decimals.
    expect(cost.ok && Math.trunc(cost.costOfGain.in('lb').toNumber() * 1000) / 1000).toBe(0.334);
  });

  // Source: University of Missouri Extension column on backgrounding calves, Sedalia, 2020-09-23:
  // 1.50 lb a day at $1.01 is $0.67 per pound, 133 days and $134 for 200 lb; 2.25 lb at $1.20 is $0.54, 89 days and
  // $107.
  it.each([
    ['1.50', '1.01', 0.67, 133, 134],
    ['2.25', '1.20', 0.54, 89, 107],
  ] as const)('Missouri: %s lb a day', (gain, perDay, perPound, days, perHead) => {
    const cost = rationCostOfGain({ costPerHeadDay: usd(perDay), dailyGain: lb(gain) });
    const time = daysToGain({ gain: lb(200), dailyGain: lb(gain) });
    if (!cost.ok || !time.ok) throw new Error('refused');
    // The daily cost is itself printed to the cent: half a cent of it, per pound of gain, comes on top of the half cent
    // printed.
    expect(Math.abs(cost.costOfGain.in('lb').toNumber() - perPound)).toBeLessThanOrEqual(0.005 + 0.005 / Number(gain));
    expect(Math.round(time.exactDays.toNumber())).toBe(days);
    expect(Math.abs(Number(perDay) * days - perHead)).toBeLessThan(1);
  });

  it('is refused without gain', () => {
    expect(rationCostOfGain({ costPerHeadDay: usd('1'), dailyGain: lb('-0.2') })).toMatchObject({
      ok: false,
      problems: [{ code: 'gain-not-positive' }],
    });
    expect(daysToGain({ gain: lb(10), dailyGain: Mass.zero })).toMatchObject({ ok: false });
  });
});

describe('herd gain with head flow', () => {
  const opening = { day: '2024-11-01', head: 100, totalWeight: lb(50_000) };
  const closing = { day: '2025-01-30', head: 108, totalWeight: lb(62_000) };
  const flows = [
    { day: '2024-12-01', direction: 'in' as const, head: 20, totalWeight: lb(10_400) },
    { day: '2025-01-10', direction: 'out' as const, head: 11, totalWeight: lb(6_600), cause: 'sale' as const },
    { day: '2025-01-15', direction: 'out' as const, head: 1, totalWeight: lb(600), cause: 'death' as const },
  ];

  it('is closing + out - in - opening', () => {
    const gain = herdGain({ opening, closing, flows, headDays: 10_000 });
    // 62000 + 7200 - 10400 - 50000 = 8800 lb.
    expect(gain.ok && [gain.totalGain.in('lb').toNumber(), gain.dailyGain.in('lb').toNumber()]).toEqual([8800, 0.88]);
  });

  it('is refused when heads do not tie, a flow has no weight or lies outside', () => {
    expect(herdGain({ opening, closing: { ...closing, head: 109 }, flows, headDays: 1 })).toMatchObject({
      ok: false,
      problems: [{ code: 'head-does-not-tie', allowed: '108' }],
    });
    const [first, ...rest] = flows;
    if (!first) throw new Error('no flow');
    expect(
      herdGain({ opening, closing, flows: [{ ...first, totalWeight: Mass.zero }, ...rest], headDays: 1 }),
    ).toMatchObject({ ok: false, problems: [{ code: 'flow-without-weight' }] });
    expect(
      herdGain({ opening, closing, flows: [{ ...first, day: '2025-02-01' }, ...rest], headDays: 1 }),
    ).toMatchObject({ ok: false, problems: [{ code: 'flow-outside-period' }] });
    expect(herdGain({ opening, closing, flows, headDays: 0 })).toMatchObject({
      ok: false,
      problems: [{ code: 'no-head-days' }],
    });
  });

  const period = {
    from: '2024-11-01',
    until: '2025-01-31',
    opening,
    closing,
    flows,
    headDays: 10_000,
    feedCost: usd('9680.00'),
    yardagePerHeadDay: usd('0.35'),
    otherCost: usd('440.00'),
  };

  it('gives feed and total cost of gain', () => {
    const cost = costOfGain(period);
    if (!cost.ok) throw new Error('refused');
    // 9680 / 8800 = 1.10; yardage 0.35 x 10000 = 3500; (9680 + 3500 + 440) / 8800 = 1.54772...
    expect(cost.feedCostOfGain.in('lb').toNumber()).toBeCloseTo(1.1, 12);
    expect(cost.yardageCost.toString()).toBe('3500 USD');
    expect(cost.totalCostOfGain.in('lb').toNumber()).toBeCloseTo(13_620 / 8800, 12);
    expect(cost.costPerHeadDay.amount.toNumber()).toBe(1.362);
    expect(cost.weighingOffsetDays).toEqual({ opening: 0, closing: -1 });
  });

  // Deads out and deads in, by hand; both terms are of the trade, from memory.
  it('gives a second figure without the weight of the dead, unless they outweigh the gain', () => {
    const cost = costOfGain(period);
    if (!cost.ok) throw new Error('refused');
    // One head of 600 lb died: 8800 - 600 = 8200 lb.
    expect([cost.gain.weightOfDead.in('lb').toNumber(), cost.gain.gainDeadsIn.in('lb').toNumber()]).toEqual([
      600, 8200,
    ]);
    expect(cost.deadsIn?.totalCostOfGain.in('lb').toNumber()).toBeCloseTo(13_620 / 8200, 12);
    expect(cost.deadsIn?.feedCostOfGain.in('lb').toNumber()).toBeCloseTo(9680 / 8200, 12);
    const heavy = flows.map((one) => (one.cause === 'death' ? { ...one, head: 16, totalWeight: lb(9600) } : one));
    const fewer = { ...closing, head: 93, totalWeight: lb(53_400) };
    // 53400 + 16200 - 10400 - 50000 = 9200 lb, less 9600 of the dead.
    expect(costOfGain({ ...period, flows: heavy, closing: fewer })).toMatchObject({ ok: true, deadsIn: null });
  });

  it('is refused with the reason when weights cannot carry it', () => {
    expect(costOfGain({ ...period, closing: undefined })).toMatchObject({
      ok: false,
      problems: [{ code: 'no-weighing', field: 'closing' }],
    });
    expect(costOfGain({ ...period, until: '2025-02-15' })).toMatchObject({
      ok: false,
      problems: [{ code: 'weighing-outside-window', given: '2025-01-30' }],
    });
    expect(costOfGain({ ...period, until: '2025-02-15', windowDays: 16 })).toMatchObject({ ok: true });
    expect(costOfGain({ ...period, closing: { ...closing, totalWeight: lb(53_200) } })).toMatchObject({
      ok: false,
      problems: [{ code: 'gain-not-positive' }],
    });
    expect(costOfGain({ ...period, closing: { ...closing, totalWeight: lb(50_000) } })).toMatchObject({
      ok: false,
      problems: [{ code: 'gain-not-positive' }],
    });
  });
});

describe('feed conversion', () => {
  it('tells fed from eaten', () => {
    const conversion = feedConversion({
      dryMatterFed: lb(1000),
      dryMatterRefused: lb(50),
      dryMatterWasted: lb(150),
      gain: lb(100),
    });
    expect(conversion.ok && [conversion.fedPerGain.toNumber(), conversion.eatenPerGain.toNumber()]).toEqual([10, 8]);
    expect(
      feedConversion({ dryMatterFed: lb(10), dryMatterRefused: lb(5), dryMatterWasted: lb(6), gain: lb(1) }),
    ).toMatchObject({ ok: false, problems: [{ code: 'more-left-than-fed' }] });
    expect(
      feedConversion({ dryMatterFed: lb(10), dryMatterRefused: lb(5), dryMatterWasted: lb(1), gain: lb(0) }),
    ).toMatchObject({ ok: false, problems: [{ code: 'gain-not-positive' }] });
  });
});
