import { leftOverCautions } from '../../../src/core/cautions/left-over.js';
import fc from '../../support/properties.js';
import { Mass } from '../../../src/core/units/mass';
import { wordsIn } from '../../../src/core/units/wording';
import { planWholeBales } from '../../../src/core/laying/whole-bales';
import { feedSheet, type FeedSheetRequest, type SheetLot } from '../../../src/core/laying/feed-sheet';

const kg = (value: string | number) => Mass.kilograms(value);

describe('whole bales with leftovers carried', () => {
  test('open enough: 50 head × 4 kg from 360 kg bales opens one and keeps 160 kg; the next day opens none', () => {
    const first = planWholeBales({ need: kg(200), baleWeight: kg(360), carriedIn: Mass.zero, rounding: 'open-enough' });
    expect([first.bales, first.fed.toString(), first.carriedOut.toString()]).toEqual([1, '200 kg', '160 kg']);
    const second = planWholeBales({
      need: kg(160),
      baleWeight: kg(360),
      carriedIn: first.carriedOut,
      rounding: 'open-enough',
    });
    expect([second.bales, second.carriedOut.toString()]).toEqual([0, '0 kg']);
  });
  test('nearest whole: fed too much today is taken off tomorrow', () => {
    const first = planWholeBales({
      need: kg(200),
      baleWeight: kg(360),
      carriedIn: Mass.zero,
      rounding: 'nearest-whole',
    });
    expect([first.bales, first.carriedOut.toString()]).toEqual([1, '160 kg']);
    const second = planWholeBales({
      need: kg(200),
      baleWeight: kg(360),
      carriedIn: first.carriedOut,
      rounding: 'nearest-whole',
    });
    expect([second.bales, second.carriedOut.toString()]).toEqual([0, '-40 kg']);
  });
  test('over many days nothing is lost and the leftover stays below a bale', () => {
    const needs = fc.array(fc.integer({ min: 0, max: 3000 }), { minLength: 1, maxLength: 30 });
    fc.assert(
      fc.property(
        needs,
        fc.integer({ min: 15, max: 900 }),
        fc.constantFrom('open-enough' as const, 'nearest-whole' as const),
        (days, bale, rounding) => {
          let carried = Mass.zero;
          let bales = 0;
          for (const need of days) {
            const plan = planWholeBales({ need: kg(need), baleWeight: kg(bale), carriedIn: carried, rounding });
            bales += plan.bales;
            carried = plan.carriedOut;
            if (rounding === 'open-enough') expect(carried.isNegative()).toBe(false);
            expect(carried.kilograms.abs().toNumber()).toBeLessThanOrEqual(
              rounding === 'open-enough' ? bale : bale / 2 + 1e-9,
            );
          }
          const needed = days.reduce((sum, need) => sum + need, 0);
          expect(carried.kilograms.toNumber()).toBe(bales * bale - needed);
        },
      ),
    );
  });
  test('nonsense is refused', () => {
    expect(() =>
      planWholeBales({ need: kg(1), baleWeight: Mass.zero, carriedIn: Mass.zero, rounding: 'open-enough' }),
    ).toThrow(RangeError);
    expect(() =>
      planWholeBales({ need: kg(-1), baleWeight: kg(1), carriedIn: Mass.zero, rounding: 'open-enough' }),
    ).toThrow(RangeError);
    expect(() =>
      planWholeBales({ need: kg(1), baleWeight: kg(1), carriedIn: kg(-1), rounding: 'open-enough' }),
    ).toThrow(RangeError);
  });
});

describe('the feed sheet', () => {
  const lot = (lotId: string, perHead: string, more: Partial<SheetLot> = {}): SheetLot => ({
    lotId,
    lotName: `Lot ${lotId}`,
    asFedPerHead: kg(perHead),
    dryMatterPercent: 90,
    bulkDensityKgPerM3: 100,
    baleWeight: kg(500),
    carriedIn: Mass.zero,
    onHand: kg(5000),
    ...more,
  });
  const request: FeedSheetRequest = {
    placeName: 'North bunk',
    day: '2026-01-15',
    head: 100,
    rounding: 'open-enough',
    waterNeedLPerHead: 40,
    rationCautions: [],
    layers: [
      { role: 'coarse', lots: [lot('a', '4')] },
      { role: 'rich', lots: [lot('b', '3.5')] },
      { role: 'mixed', lots: [lot('a', '1.5'), lot('c', '1', { baleWeight: null })] },
    ],
    water: {
      sourceName: 'North tank',
      frozen: false,
      supplyLPerDay: 3000,
      dissolvedSolidsMgPerL: null,
      sulfateMgPerL: null,
      pregnantOrMilking: true,
      milking: false,
      calves: false,
    },
    laying: {
      weather: 'dry',
      hayWasWet: false,
      legumeShareOfDryMatter: null,
      space: { spaceClass: 'cow-1300-lb', access: 'once-daily', feedingLengthM: null, volumeM3: null },
    },
  };
  test('a day that whole bales leave short of the need is told with its number, and a full one is not', () => {
    // 40 head at 25 lb: 1,000 lb a day from bales of 1,143 lb; one bale is 114 % of it and none is nothing.
    const pounds = (value: number): Mass => Mass.of(value, 'lb');
    const day = (balesPlanned: number, carriedIn = pounds(0)) =>
      feedSheet({
        ...request,
        head: 40,
        rounding: 'nearest-whole',
        layers: [
          {
            role: 'mixed',
            lots: [lot('a', '0', { asFedPerHead: pounds(25), baleWeight: pounds(1143), balesPlanned, carriedIn })],
          },
        ],
      }).cautions.filter(({ code }) => code === 'short-day');
    expect(day(1)).toEqual([]);
    expect(day(0)).toMatchObject([{ given: 0, threshold: 0.75, severity: 'watch' }]);
    const message = (carriedIn?: Mass) => wordsIn('us', day(0, carriedIn)[0]?.message ?? '');
    expect(message()).toBe('Nothing of the 1000 lb needed is laid today, and nothing lies from the days before.');
    expect(message(pounds(-143))).toBe(message());
    expect(message(pounds(900))).toBe('Nothing of the 1000 lb needed is laid today; 900 lb lies from the days before.');
  });
  test('on a day that nothing is laid, what the ration offers is told as that, of what was laid before', () => {
    const told = (balesPlanned: number) =>
      feedSheet({
        ...request,
        head: 40,
        rounding: 'nearest-whole',
        layers: [
          { role: 'mixed', lots: [lot('a', '10', { balesPlanned, carriedIn: kg(300) })] },
          { role: 'rich', lots: [lot('a', '2', { balesPlanned, carriedIn: kg(300) })] },
        ],
        rationCautions: leftOverCautions({ laidKg: 14, offeredKg: 14, predictedKg: 11, bodyWeightKg: 544 }),
      })
        .cautions.filter(({ code }) => code === 'more-than-eaten')
        .map(({ message }) => wordsIn('metric', message));
    const offered = 'A head is offered 14 kg of dry matter a day and is predicted to eat 11 kg';
    expect(told(1)).toEqual([expect.stringMatching(new RegExp(`^${offered}`))]);
    expect(told(0)).toEqual([
      expect.stringMatching(
        new RegExp(`^Nothing is laid today; 300 kg lies from the days before\\. By the ration: ${offered}`),
      ),
    ]);
  });
  // University of Georgia Extension, Tips for feeding baleage: open to the air no longer than two days, and one above
  // 60 °F (15.6 °C).
  test('a wrapped bale that the herd does not eat in two days, or one in warmth, is told; a dry one is not', () => {
    const told = (perHead: string, more: Partial<FeedSheetRequest> & { wrapped?: boolean } = {}) => {
      const { wrapped = true, ...asked } = more;
      const lots = [lot('a', perHead, { wrapped })];
      return feedSheet({ ...request, ...asked, layers: [{ role: 'mixed', lots }] }).cautions.filter(
        ({ code }) => code === 'open-bale-lasts',
      );
    };
    // 500 kg for 100 head: at 2 kg it lasts 2.5 days, at 2.5 kg two, at 5 kg one.
    expect(told('2')).toMatchObject([{ given: 2.5, threshold: 2, severity: 'watch' }]);
    expect(told('2.5')).toEqual([]);
    expect(told('2', { wrapped: false })).toEqual([]);
    expect(told('2', { rounding: 'nearest-whole' })).toEqual([]);
    expect(told('2.5', { temperatureC: 16 })).toMatchObject([{ given: 2, threshold: 1 }]);
    expect(told('2.5', { temperatureC: 15 })).toEqual([]);
    expect(told('5', { temperatureC: 16 })).toEqual([]);
    const [first] = feedSheet({ ...request, layers: [{ role: 'mixed', lots: [lot('a', '2')] }] }).layers;
    expect(first?.lines[0]?.openBaleLastsDays).toBe(2.5);
  });
  test('pounds, bales and leftovers per layer; one opened bale serves two layers', () => {
    const sheet = feedSheet(request);
    expect(
      sheet.layers.map((layer) => layer.lines.map((line) => [line.lotId, line.fedPounds, line.bales?.bales ?? null])),
    ).toEqual([
      [['a', '882', 1]],
      [['b', '772', 1]],
      [
        ['a', '331', 1],
        ['c', '220', null],
      ],
    ]);
    expect(sheet.leftovers.map(({ lotId, carriedOut }) => [lotId, carriedOut.toString()])).toEqual([
      ['a', '450 kg'],
      ['b', '150 kg'],
    ]);
    expect(sheet.totalFed.toString()).toBe('1000 kg');
    expect(sheet.dryMatterKgPerHead).toBeCloseTo(9, 12);
    expect(sheet.layers.reduce((sum, layer) => sum + layer.shareOfDryMatter, 0)).toBeCloseTo(1, 12);
    expect(sheet.likelyEatenFirst).toEqual([3, 2, 1]);
  });
  test('water need and the caution that the tank is short of it', () => {
    const sheet = feedSheet(request);
    expect(sheet.waterNeedLPerDay).toBe(4000);
    expect(sheet.cautions).toMatchObject([{ code: 'water-short', given: 0.75 }]);
  });
  test('a lot that does not suffice is named with what is lacking', () => {
    const sheet = feedSheet({
      ...request,
      layers: [
        { role: 'coarse', lots: [lot('a', '4', { onHand: kg(300) })] },
        { role: 'mixed', lots: [lot('a', '1.5', { onHand: kg(300) })] },
      ],
    });
    expect(sheet.shortLots.map(({ lotId, shortBy }) => [lotId, shortBy.toString()])).toEqual([['a', '250 kg']]);
  });
  test('twice the head needs twice the hay', () => {
    const once = feedSheet(request);
    const twice = feedSheet({ ...request, head: 200 });
    expect(twice.totalFed.compare(once.totalFed.times(2))).toBe(0);
  });
  test('a sheet for nobody or of nothing is a mistake', () => {
    expect(() => feedSheet({ ...request, head: 0 })).toThrow(RangeError);
    expect(() => feedSheet({ ...request, layers: [] })).toThrow(RangeError);
  });
});

describe('a lot that ends', () => {
  const lb = (pounds: number): Mass => Mass.of(pounds, 'lb');
  const plan = (need: number, carriedIn: number, onHand: number) => {
    const made = planWholeBales({
      need: lb(need),
      baleWeight: lb(1000),
      carriedIn: lb(carriedIn),
      rounding: 'open-enough',
      onHand: lb(onHand),
    });
    return [made.carriedIn, made.opened, made.carriedOut].map((mass) => mass.in('lb').toNumber()).concat(made.bales);
  };

  it('counts no hay that the books do not hold', () => {
    // One bale of 1,000 lb and 1,400 lb to lay, by planned days 800 lb in an open bale: it is the only one there is.
    expect(plan(1400, 800, 1000)).toEqual([1000, 0, 0, 0]);
    expect(plan(1400, 0, 1000)).toEqual([0, 1000, 0, 1]);
    // 98,390 lb were said to lie in bales opened of a lot that holds 600.
    expect(plan(300, 98_390, 600)).toEqual([600, 0, 300, 0]);
    expect(plan(1300, 0, 1400)).toEqual([400, 1000, 100, 1]);
    // Far from its end nothing changes.
    expect(plan(1400, 800, 48_000)).toEqual([800, 1000, 400, 1]);
  });
});
