import fc from '../../support/properties.js';
import {
  balesNeeded,
  loadWeight,
  roundBaleSize,
  samplesForAdequacy,
  scaleTicketNet,
  weighedBaleStatistics,
} from '../../../src/core/stock/bale-weighing.js';
import { landedCost, pricePerDryMatter } from '../../../src/core/stock/landed-cost.js';
import { decimal } from '../../../src/core/units/decimal.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money, PricePerMass } from '../../../src/core/units/money.js';
import published from '../../reference/published-values.json';

interface Case {
  id: string;
  inputs: Record<string, string | number>;
  expected: unknown;
}
const caseOf = (id: string): Case => {
  const found = (published as unknown as Case[]).find((each) => each.id === id);
  if (!found) throw new Error(`no case ${id}`);
  return found;
};
const usd = (text: string): Money => Money.of(text, 'USD');
const lb = (value: number | string): Mass => Mass.of(String(value), 'lb');

describe('landed cost', () => {
  const rest = { freight: usd('320.00'), charges: usd('16.00'), currency: 'USD' } as const;
  it('per ton, per bale and lump sum, with freight and charges over the weight received', () => {
    // 24 bales, 1,250 lb each: 15 tons. 15 x 160 = 24 x 100 = 2400; with 336 on top 2736, 182.40 a ton, 114 a bale.
    for (const price of [
      { basis: 'per-mass', price: PricePerMass.of('160', 'USD', 'ton') },
      { basis: 'per-bale', price: usd('100') },
      { basis: 'lump-sum', price: usd('2400') },
    ] as const) {
      const cost = landedCost({ price, weightReceived: Mass.of('15', 'ton'), bales: 24, ...rest });
      if (!cost.ok) throw new Error('refused');
      expect([
        cost.hay.toString(),
        cost.total.toString(),
        cost.perMass.in('ton').toDecimalPlaces(10).toFixed(),
        cost.perBale?.toString(),
      ]).toEqual(['2400 USD', '2736 USD', '182.4', '114 USD']);
    }
  });
  it('of a ticket of exactly half a cent is the even one', () => {
    // 81.25 a ton x 22,280 lb = 11.14 tons = 905.125. The rule is half to even: IEEE 754-2019, 4.3.1.
    const cost = landedCost({
      price: { basis: 'per-mass', price: PricePerMass.of('81.25', 'USD', 'ton') },
      weightReceived: lb(22_280),
      currency: 'USD',
    });
    expect(cost.ok && cost.hay.toString()).toBe('905.12 USD');
  });
  it('is refused without weight, or per bale without bales', () => {
    expect(
      landedCost({ price: { basis: 'per-bale', price: usd('100') }, weightReceived: Mass.zero, ...rest }),
    ).toMatchObject({ ok: false, problems: [{ code: 'weight-not-positive' }, { code: 'bales-missing' }] });
    expect(
      landedCost({ price: { basis: 'lump-sum', price: usd('-1') }, weightReceived: lb(1), currency: 'USD' }),
    ).toMatchObject({ ok: false, problems: [{ code: 'amount-negative' }] });
    expect(
      landedCost({
        price: { basis: 'lump-sum', price: usd('1') },
        weightReceived: lb(1),
        bales: 1.5,
        freight: usd('-1'),
        currency: 'USD',
      }),
    ).toMatchObject({ ok: false, problems: [{ code: 'bales-not-a-count' }, { code: 'amount-negative' }] });
  });
  // Source: Beckman, B., Nebraska Extension, BeefWatch 2020.
  it('econ-dm-price: price per ton of dry matter', () => {
    const { inputs, expected } = caseOf('econ-dm-price');
    const price = PricePerMass.of(String(inputs['price_per_ton']), 'USD', 'ton');
    expect(
      pricePerDryMatter({ price, dryMatter: decimal(String(inputs['DM_pct'])).div(100), unit: 'ton' })
        .toDecimalPlaces(2)
        .toNumber(),
    ).toBe(expected);
    expect(() => pricePerDryMatter({ price, dryMatter: '0', unit: 'ton' })).toThrow(RangeError);
  });
});

describe('bale weights', () => {
  // Source: Banta, J., Texas A&M AgriLife Extension.
  it.each(['bale-4x5', 'bale-5x5'])('%s: volume and weight within 1 %%', (id) => {
    const { inputs, expected } = caseOf(id);
    const [widthFt, diameterFt] = String(inputs['width_x_diameter_ft']).split('x').map(Number);
    const size = roundBaleSize({
      widthFt: widthFt ?? 0,
      diameterFt: diameterFt ?? 0,
      densityLbPerFt3: Number(inputs['density_lb_ft3']),
    });
    const printed = expected as { ft3: number; lb: number };
    expect(Math.abs(size.volumeFt3 / printed.ft3 - 1)).toBeLessThan(0.01);
    expect(Math.abs(size.weightLb / printed.lb - 1)).toBeLessThan(0.01);
  });

  it('scale ticket: gross less tare', () => {
    const ticket = scaleTicketNet({ gross: lb(52_340), tare: lb(27_180) });
    expect(ticket.ok && ticket.net.in('lb').toNumber()).toBe(25_160);
    expect(scaleTicketNet({ gross: lb(100), tare: lb(100) })).toMatchObject({
      ok: false,
      problems: [{ code: 'tare-not-below-gross' }],
    });
  });

  // Source: Mississippi Administrative Code, title 11, part 8, addendum 11-8-2-A-P: 15 weighed round bales, sum 15,100
  // lb, sum of squares 15,290,000.
  const roundBales = [1100, 1000, 975, 900, 1000, 1100, 1000, 900, 1025, 1000, 875, 975, 1000, 1100, 1150];
  it('mean and spread of fifteen weighed round bales', () => {
    const statistics = weighedBaleStatistics(roundBales.map(lb));
    if (!statistics.ok) throw new Error('refused');
    expect(statistics.weighed).toBe(15);
    expect(statistics.mean.in('lb').toNumber()).toBeCloseTo(15_100 / 15, 6);
    expect(statistics.standardDeviation.in('lb').toNumber()).toBeCloseTo(
      Math.sqrt((15_290_000 - 15_100 ** 2 / 15) / 14),
      6,
    );
    expect(weighedBaleStatistics([lb(1000)])).toMatchObject({
      ok: false,
      problems: [{ code: 'too-few-bales-for-spread' }],
    });
    expect(weighedBaleStatistics([lb(1000), Mass.zero])).toMatchObject({
      ok: false,
      problems: [{ code: 'weight-not-positive' }],
    });
  });

  // Source: Mississippi Administrative Code, addendum 11-8-2-A-J: ten frames, t = 1.383, 33 samples needed at 10 %.
  it('sample adequacy for hay: 33 samples', () => {
    const frames = [72.2, 80.0, 22.0, 96.5, 100.2, 25.0, 81.0, 96.0, 100.9, 51.0];
    const mean = frames.reduce((sum, each) => sum + each, 0) / 10;
    const sd = Math.sqrt(frames.reduce((sum, each) => sum + (each - mean) ** 2, 0) / 9);
    expect(
      samplesForAdequacy({
        firstSample: 10,
        coefficientOfVariation: sd / mean,
        oneSidedConfidence: 0.9,
        wantedRelativeHalfWidth: 0.1,
      }),
    ).toBe(33);
  });

  // Source: worked example of the t interval with finite-population correction: n = 16 of N = 80, mean 12, s = 4, 95 %:
  // 12 ± 1.918
  // with the factor sqrt((N - n)/(N - 1)). Cochran's (1977) correction of s is 1 - n/N, smaller by sqrt((N - 1)/N).
  it('t interval of the mean with the finite-population correction', () => {
    const load = loadWeight({ bales: 80, weighed: 16, mean: lb(12), standardDeviation: lb(4) });
    if (!load.ok) throw new Error('refused');
    expect(12 * load.relativeHalfWidth * Math.sqrt(80 / 79)).toBeCloseTo(1.918, 3);
    expect(load.high.in('lb').toNumber() - load.total.in('lb').toNumber()).toBeCloseTo(
      80 * 12 * load.relativeHalfWidth,
      6,
    );
  });

  // Source, from memory: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.2, ZARR13.DAT: n = 195, mean 9.261460,
  // sd 0.022789, 95 % limits 9.258242 and 9.264679. A load without end takes the correction out.
  it('the same interval for a very large load', () => {
    const load = loadWeight({
      bales: 1_000_000_000,
      weighed: 195,
      mean: lb('9.261460'),
      standardDeviation: lb('0.022789'),
    });
    if (!load.ok) throw new Error('refused');
    expect(9.26146 * (1 - load.relativeHalfWidth)).toBeCloseTo(9.258242, 5);
    expect(9.26146 * (1 + load.relativeHalfWidth)).toBeCloseTo(9.264679, 5);
  });

  it('warns with the number of bales to weigh, and the number suffices', () => {
    const few = loadWeight({
      bales: 120,
      weighed: 4,
      mean: lb(1200),
      standardDeviation: lb(96),
      wantedRelativeHalfWidth: 0.05,
    });
    if (!few.ok) throw new Error('refused');
    expect(few.warnings).toMatchObject([{ code: 'too-few-bales-weighed', weighed: 4, needed: few.balesToWeigh }]);
    const enough = loadWeight({
      bales: 120,
      weighed: few.balesToWeigh,
      mean: lb(1200),
      standardDeviation: lb(96),
      wantedRelativeHalfWidth: 0.05,
    });
    const oneLess = loadWeight({
      bales: 120,
      weighed: few.balesToWeigh - 1,
      mean: lb(1200),
      standardDeviation: lb(96),
      wantedRelativeHalfWidth: 0.05,
    });
    expect(enough.ok && enough.warnings).toEqual([]);
    expect(oneLess.ok && oneLess.warnings.length).toBe(1);
  });

  it('a load weighed bale by bale has no interval, and more bales never widen it', () => {
    const whole = loadWeight({ bales: 30, weighed: 30, mean: lb(1200), standardDeviation: lb(96) });
    expect(whole.ok && [whole.relativeHalfWidth, whole.low.compare(whole.high)]).toEqual([0, 0]);
    fc.assert(
      fc.property(fc.integer({ min: 3, max: 200 }), fc.integer({ min: 2, max: 199 }), (bales, weighed) => {
        fc.pre(weighed < bales);
        const at = (count: number): number => {
          const load = loadWeight({ bales, weighed: count, mean: lb(1000), standardDeviation: lb(80) });
          return load.ok ? load.relativeHalfWidth : Number.NaN;
        };
        expect(at(weighed + 1)).toBeLessThanOrEqual(at(weighed));
      }),
    );
    expect(
      balesNeeded({ coefficientOfVariation: 0.5, bales: 10, confidence: 0.95, wantedRelativeHalfWidth: 0.001 }),
    ).toBe(10);
  });

  it('refuses what cannot be', () => {
    expect(
      loadWeight({
        bales: 0,
        weighed: 1,
        mean: Mass.zero,
        standardDeviation: lb(-1),
        confidence: 1,
        wantedRelativeHalfWidth: 0,
      }),
    ).toMatchObject({
      ok: false,
      problems: [
        'bales-not-a-count',
        'too-few-bales-for-spread',
        'weight-not-positive',
        'spread-negative',
        'confidence-out-of-range',
        'precision-out-of-range',
      ].map((code) => ({ code })),
    });
  });
});
