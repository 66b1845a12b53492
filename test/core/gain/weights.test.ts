import fc from '../../support/properties.js';
import { bifAdjusted205DayWeight, bifAgeOfDamAdditions } from '../../../src/core/gain/adjusted-weaning-weight.js';
import { readTagNumber } from '../../../src/core/gain/tag-number.js';
import { breakEvenPurchase, breakEvenSale, valueOfGain } from '../../../src/core/gain/value-of-gain.js';
import { weighingCautions } from '../../../src/core/gain/weighing-cautions.js';
import { WEIGHING_GUIDES } from '../../../src/core/gain/weighing-guides.data.js';
import {
  msStateShrinkByHours,
  nrc2000FullWeight,
  nrc2000ShrunkWeight,
  pencilShrink,
  sameDayAverages,
  type WeightReading,
} from '../../../src/core/gain/weights.js';
import { decimal } from '../../../src/core/units/decimal.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money, PricePerMass } from '../../../src/core/units/money.js';
import published from '../../reference/published-values.json';

interface Case {
  id: string;
  topic: string;
  inputs: Record<string, string | number>;
  expected: unknown;
}
const cases = published as unknown as Case[];
const caseOf = (id: string): Case => {
  const found = cases.find((each) => each.id === id);
  if (!found) throw new Error(`no case ${id}`);
  return found;
};
const lb = (value: unknown): Mass => Mass.of(String(value), 'lb');
const usd = (value: unknown): Money => Money.of(String(value), 'USD');
const perHundredweight = (value: unknown): PricePerMass =>
  PricePerMass.of(decimal(String(value)).div(100), 'USD', 'lb');
const percent = (value: unknown): string => decimal(String(value)).div(100).toFixed();

describe('shrink', () => {
  // Source: NRC, Nutrient Requirements of Beef Cattle, 2000 update: shrunk body weight is 0.96 of full weight.
  it('standard shrunk weight and back', () => {
    expect(nrc2000ShrunkWeight(lb(1000)).in('lb').toNumber()).toBe(960);
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 3000 }), (pounds) => {
        expect(
          nrc2000FullWeight(nrc2000ShrunkWeight(lb(pounds)))
            .in('lb')
            .toDecimalPlaces(20)
            .toNumber(),
        ).toBe(pounds);
      }),
    );
  });

  // Source: Noble Research Institute, Managing shrink, 1998.
  it('shrink-noble-4pct', () => {
    const { inputs, expected } = caseOf('shrink-noble-4pct');
    const paid = pencilShrink({
      weight: lb(inputs['lb']),
      shrink: percent(inputs['pencil_pct']),
      price: perHundredweight(inputs['price_cwt']),
    });
    expect(paid.ok && [paid.value?.rounded().amount.toNumber(), paid.warnings]).toEqual([expected, []]);
  });
  it('shrink-noble-6pct, above the usual range and said so', () => {
    const { inputs, expected } = caseOf('shrink-noble-6pct');
    const price = perHundredweight(inputs['price_cwt']);
    const paid = pencilShrink({ weight: lb(inputs['lb']), shrink: percent(inputs['shrink_pct']), price });
    if (!paid.ok) throw new Error('refused');
    expect({
      lb: paid.payWeight.in('lb').toNumber(),
      usd: paid.value?.rounded().amount.toNumber(),
      unshrunk_usd: price.for(lb(inputs['lb'])).rounded().amount.toNumber(),
    }).toEqual(expected);
    expect(paid.warnings).toMatchObject([{ code: 'shrink-unusual' }]);
    expect(pencilShrink({ weight: lb(1), shrink: '1' })).toMatchObject({ ok: false });
  });

  // Source: Mississippi State University Extension P2577.
  it('shrink-rate-3h, and the slower hours after the fourth', () => {
    const { inputs, expected } = caseOf('shrink-rate-3h');
    expect(msStateShrinkByHours(Number(inputs['hours_off_feed_water'])).share * 100).toBeCloseTo(Number(expected), 10);
    expect(msStateShrinkByHours(14).share).toBeCloseTo(0.04 + 10 * 0.0025, 10);
    expect(msStateShrinkByHours(20)).toMatchObject({ beyondSource: true, share: msStateShrinkByHours(14).share });
    expect(() => msStateShrinkByHours(-1)).toThrow(RangeError);
  });
});

describe('same-day averages', () => {
  it('average repeats of one subject, day and state, and nothing else', () => {
    const reading = (subjectId: string, day: string, state: 'full' | 'shrunk', weight: number): WeightReading => ({
      subjectId,
      day,
      state,
      weight: lb(weight),
    });
    const means = sameDayAverages([
      reading('7', '2025-01-10', 'full', 604),
      reading('7', '2025-01-10', 'full', 598),
      reading('7', '2025-01-10', 'shrunk', 580),
      reading('7', '2025-01-11', 'full', 601),
      reading('8', '2025-01-10', 'full', 700),
    ]);
    expect(
      means.map((mean) => [
        mean.subjectId,
        mean.day,
        mean.state,
        mean.readings,
        mean.mean.in('lb').toNumber(),
        mean.spread.in('lb').toNumber(),
      ]),
    ).toEqual([
      ['7', '2025-01-10', 'full', 2, 601, 6],
      ['7', '2025-01-10', 'shrunk', 1, 580, 0],
      ['7', '2025-01-11', 'full', 1, 601, 0],
      ['8', '2025-01-10', 'full', 1, 700, 0],
    ]);
    expect(() => sameDayAverages([reading('7', '2025-02-30', 'full', 1)])).toThrow(RangeError);
  });
});

describe('adjusted 205-day weight', () => {
  // Source: Beef Improvement Federation Guidelines, as given by Michigan State University Extension.
  it.each(['adj205-1', 'adj205-3', 'adj205-4'])('%s', (id) => {
    const { inputs, expected } = caseOf(id);
    const adjusted = bifAdjusted205DayWeight({
      weaningWeight: lb(inputs['weaning_lb']),
      birthWeight: lb(inputs['birth_lb']),
      ageDays: Number(inputs['age_d']),
      sex: inputs['sex'] === 'male' ? 'male' : 'female',
      damAgeYears: Number(inputs['dam_age']),
    });
    if (!adjusted.ok) throw new Error('refused');
    expect(Math.abs(adjusted.weight.in('lb').toNumber() - Number(expected))).toBeLessThanOrEqual(0.1);
    expect(adjusted.flags).toEqual([]);
  });
  it('adj205-out-of-range: flagged, without an age-of-dam addition', () => {
    const adjusted = bifAdjusted205DayWeight({
      weaningWeight: lb(600),
      birthWeight: lb(80),
      ageDays: Number(caseOf('adj205-out-of-range').inputs['age_d']),
      sex: 'male',
      damAgeYears: 2,
    });
    expect(adjusted).toMatchObject({ ok: true, flags: [{ code: 'age-outside-range' }] });
    expect(adjusted.ok && adjusted.ageOfDamAddition.isZero()).toBe(true);
  });
  it.each([
    ['aod-2', [2]],
    ['aod-3', [3]],
    ['aod-4', [4]],
    ['aod-5-10', [5, 7, 10]],
    ['aod-11+', [11, 15]],
  ] as const)('%s', (id, ages) => {
    for (const age of ages) {
      const additions = bifAgeOfDamAdditions(age);
      if ('ok' in additions) throw new Error('refused');
      expect({
        male: additions.male.in('lb').toNumber(),
        female: additions.female.in('lb').toNumber(),
        birth: additions.birth.in('lb').toNumber(),
      }).toEqual(caseOf(id).expected);
    }
  });
  it('refuses ages and weights that cannot be', () => {
    expect(
      bifAdjusted205DayWeight({
        weaningWeight: Mass.zero,
        birthWeight: Mass.zero,
        ageDays: 0.5,
        sex: 'female',
        damAgeYears: 1,
      }),
    ).toMatchObject({
      ok: false,
      problems: [
        { code: 'age-not-days' },
        { code: 'weight-not-positive' },
        { code: 'weight-not-positive' },
        { code: 'dam-age-out-of-range' },
      ],
    });
  });
});

describe('value of gain and break-even', () => {
  // Source: Farm Progress, Background calves for more profit; printed rounded to the dollar.
  it('gain-value-farmprogress', () => {
    const { inputs, expected } = caseOf('gain-value-farmprogress');
    const value = valueOfGain({
      weightIn: lb(inputs['in_lb']),
      priceIn: perHundredweight(inputs['in_cwt']),
      weightOut: lb(inputs['out_lb']),
      priceOut: perHundredweight(inputs['out_cwt']),
    });
    if (!value.ok) throw new Error('refused');
    expect({
      in_value: value.valueIn.amount.toDecimalPlaces(6).toNumber(),
      out_value: value.valueOut.amount.toDecimalPlaces(6).toNumber(),
      added_value: value.addedValue.amount.toDecimalPlaces(6).toNumber(),
    }).toEqual(expected);
  });

  // Source: Clemson Extension, South Carolina auctions of April 2015: 400 lb bring 1,168, 450 lb bring 1,273; 105 over
  // 50 lb is 2.10 a pound.
  it('Clemson: 2.10 a pound of gain', () => {
    const value = valueOfGain({
      weightIn: lb(400),
      priceIn: usd(1168).per(lb(400)),
      weightOut: lb(450),
      priceOut: usd(1273).per(lb(450)),
    });
    expect(value.ok && value.valueOfGain.in('lb').toDecimalPlaces(10).toNumber()).toBe(2.1);
    expect(
      valueOfGain({
        weightIn: lb(450),
        priceIn: perHundredweight(1),
        weightOut: lb(450),
        priceOut: perHundredweight(1),
      }),
    ).toMatchObject({ ok: false, problems: [{ code: 'gain-not-positive' }] });
  });

  // Source: R. Harp, stocker and feedlot example, university lecture: 378 for the calf, 126.50 to keep it, 300 lb
  // gained: 42.2 cents
  // a pound; 660 lb less 2 % shrink is 647 lb (646.8); 504.50 over it is 77.98 a hundredweight (78.00 unrounded).
  it('stocker: cost of gain 42.2 cents, break-even 77.98', () => {
    expect(usd('126.50').per(lb(300)).in('lb').toDecimalPlaces(3).toNumber()).toBe(0.422);
    const sale = breakEvenSale({
      purchaseCost: usd(378),
      costOfKeeping: usd('126.50'),
      finalWeight: lb(660),
      shrink: '0.02',
    });
    if (!sale.ok) throw new Error('refused');
    expect(sale.totalCost.toString()).toBe('504.5 USD');
    expect(Math.round(sale.saleWeight.in('lb').toNumber())).toBe(647);
    expect(sale.totalCost.per(lb(647)).in('lb').times(100).toDecimalPlaces(2).toNumber()).toBe(77.98);
    expect(Math.abs(sale.breakEvenPrice.in('lb').times(100).toNumber() - 77.98)).toBeLessThan(0.03);
  });
  // Source: the same lecture, feedlot: 630 and 350 over 1,204 lb is 81.40 a hundredweight; 350 over 504 lb gained is
  // 69.44.
  it('feedlot: break-even 81.40, cost of gain 69.44', () => {
    const sale = breakEvenSale({ purchaseCost: usd(630), costOfKeeping: usd(350), finalWeight: lb(1204) });
    expect(sale.ok && sale.breakEvenPrice.in('lb').times(100).toDecimalPlaces(1).toNumber()).toBe(81.4);
    expect(usd(350).per(lb(504)).in('lb').times(100).toDecimalPlaces(2).toNumber()).toBe(69.44);
  });

  it('the dead fall on the living, and a purchase price is the same sum turned around', () => {
    const sale = breakEvenSale({
      purchaseCost: usd(900),
      costOfKeeping: usd(80),
      finalWeight: lb(700),
      deathLoss: '0.02',
    });
    expect(sale.ok && sale.totalCost.amount.toDecimalPlaces(10).toNumber()).toBe(1000);
    expect(
      breakEvenSale({ purchaseCost: usd(1), costOfKeeping: usd(1), finalWeight: lb(1), deathLoss: '1' }),
    ).toMatchObject({ ok: false, problems: [{ code: 'share-out-of-range' }] });
    expect(breakEvenSale({ purchaseCost: usd(1), costOfKeeping: usd(1), finalWeight: Mass.zero })).toMatchObject({
      ok: false,
      problems: [{ code: 'weight-not-positive' }],
    });
    expect(
      breakEvenPurchase({ saleValue: usd(1000), costOfKeeping: usd(300), wantedProfit: usd(50), weightIn: lb(500) })
        .in('lb')
        .toDecimalPlaces(10)
        .toNumber(),
    ).toBe(1.3);
  });
});

describe('tag numbers', () => {
  it('rfid-840-valid (from memory)', () => {
    expect(readTagNumber(String(caseOf('rfid-840-valid').inputs['id']))).toMatchObject({
      ok: true,
      prefix: '840',
      prefixKind: 'country',
      country: 'United States',
      nationalCode: '003123456789',
    });
  });
  // Source: ISO 11784, 38-bit national code: 2^38 = 274,877,906,944 codes (ICAR presentation of the standard).
  it.each([
    ['840 274877906943', 'ok'],
    ['840 274877906944', 'tag-code-too-large'],
    ['982-000123456789', 'ok'],
    ['999000123456789', 'tag-for-test-only'],
    ['000000123456789', 'tag-prefix-unknown'],
    ['84000312345678', 'tag-not-15-digits'],
    ['8400031234567890', 'tag-not-15-digits'],
    ['84O003123456789', 'tag-not-digits'],
    ['', 'tag-not-digits'],
  ])('%s: %s', (text, code) => {
    const tag = readTagNumber(text);
    expect(tag.ok ? 'ok' : tag.problems[0]?.code).toBe(code);
  });
  it('tells a manufacturer from a country', () => {
    expect(readTagNumber('982000123456789')).toMatchObject({ prefixKind: 'manufacturer' });
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 998 }), fc.integer({ min: 0, max: 274_877_906_943 }), (prefix, code) => {
        expect(readTagNumber(String(prefix).padStart(3, '0') + String(code).padStart(12, '0'))).toMatchObject({
          ok: true,
          prefixKind: prefix < 900 ? 'country' : 'manufacturer',
        });
      }),
    );
  });
});

describe('weighing cautions', () => {
  // Sources: Watson et al. 2013 (University of Nebraska); Aiken and Tabler 2004 (USDA ARS).
  it('carry the published limits', () => {
    expect(WEIGHING_GUIDES.gutFillDailyGainKg.value).toBe(caseOf('weigh-fullfed-adg-max').expected);
    expect([WEIGHING_GUIDES.betweenDaysKg.low, WEIGHING_GUIDES.betweenDaysKg.high]).toEqual(
      caseOf('weigh-limitfed-diff').expected,
    );
    expect([WEIGHING_GUIDES.methodGapDailyGainKg.low, WEIGHING_GUIDES.methodGapDailyGainKg.high]).toEqual(
      caseOf('weigh-method-adg-gap').expected,
    );
    expect(WEIGHING_GUIDES.shortPeriod.unstableDays).toBe(caseOf('weigh-short-period').inputs['days_on_test']);
    expect(String(caseOf('weigh-short-period').expected)).toContain(`${WEIGHING_GUIDES.shortPeriod.stableDays} d`);
  });
  it('are raised with the number that raised them', () => {
    const codes = (days: number, gain: string, startState: 'full' | 'shrunk', endState: 'full' | 'shrunk'): string[] =>
      weighingCautions({ days, dailyGain: Mass.kilograms(gain), startState, endState }).map((caution) => caution.code);
    expect(codes(29, '0.8', 'shrunk', 'shrunk')).toEqual(['short-period']);
    expect(codes(90, '1.62', 'full', 'full')).toEqual(['gut-fill']);
    expect(codes(90, '0.8', 'full', 'shrunk')).toEqual(['weights-not-alike']);
    expect(codes(67, '1.61', 'full', 'full')).toEqual([]);
  });
  it('answers every weighing case of the reference list', () => {
    const answered = [
      'shrink-noble-4pct',
      'shrink-noble-6pct',
      'shrink-rate-3h',
      'adj205-1',
      'adj205-3',
      'adj205-4',
      'adj205-out-of-range',
      'aod-2',
      'aod-3',
      'aod-4',
      'aod-5-10',
      'aod-11+',
      'weigh-fullfed-adg-max',
      'weigh-limitfed-diff',
      'weigh-method-adg-gap',
      'weigh-short-period',
    ];
    expect(
      cases
        .filter((each) => each.topic === 'weighing')
        .map((each) => each.id)
        .sort(),
    ).toEqual([...answered].sort());
  });
});
