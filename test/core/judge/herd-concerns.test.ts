import fc from '../../support/properties.js';
import { daysOfHay } from '../../../src/core/budget/days-of-hay.js';
import { CAUTIONS } from '../../../src/core/cautions/cautions.data.js';
import {
  CAUTIONS_NOT_LISTED,
  CONCERN_CODES,
  CONCERN_GUIDES,
  CONCERN_OF_CAUTION,
  CONCERN_WEIGHTS,
} from '../../../src/core/judge/herd-concerns.data.js';
import { concernRank, herdConcerns, type HerdStanding, isListed } from '../../../src/core/judge/herd-concerns.js';
import { looseDensityOf } from '../../../src/core/feeds/loose-density.js';
import { spaceClassOf } from '../../../src/core/laying/space-class.js';
import { ANIMAL_CLASSES } from '../../../src/core/requirements/requirement-set.js';

const well: HerdStanding = {
  hasRation: true,
  refusedBecause: [],
  nutrients: [],
  cautions: [],
  targetGainKgPerDay: 0.7,
  expectedGainKgPerDay: 0.7,
  measuredGain: null,
  conditionDirection: null,
  daysToOneScore: null,
  hay: [{ lotName: 'Meadow', days: 100 }],
  hayMustLastDays: 60,
  tests: [{ lotName: 'Meadow', daysSinceSample: 30 }],
};
const codes = (more: Partial<HerdStanding>): string[] => herdConcerns({ ...well, ...more }).map((one) => one.code);

describe("what concerns a herd's nutritionist", () => {
  it('is nothing where all is well', () => {
    expect(herdConcerns(well)).toEqual([]);
    expect(concernRank([])).toBe(0);
  });

  it('is each thing on its own, with the number that raised it', () => {
    expect(codes({ hasRation: false })).toEqual(['no-ration-in-use']);
    expect(codes({ refusedBecause: ['No weight.'] })).toEqual(['cannot-be-judged']);
    expect(codes({ nutrients: [{ nutrient: 'crudeProtein', verdict: 'short', surplusPercent: -12.4 }] })).toEqual([
      'nutrient-short',
    ]);
    expect(
      herdConcerns({ ...well, nutrients: [{ nutrient: 'netEnergyGain', verdict: 'short', surplusPercent: -12.4 }] })[0],
    ).toMatchObject({ given: -12.4, words: 'Net energy gain is 12 % below the need.' });
    expect(codes({ nutrients: [{ nutrient: 'dryMatter', verdict: 'short', surplusPercent: -14 }] })).toEqual([
      'dry-matter-short',
    ]);
    // 37.7 of at most 32 g.
    expect(
      herdConcerns({
        ...well,
        nutrients: [{ nutrient: 'sulfur', verdict: 'excess', surplusPercent: 90, abovePercent: 17.8 }],
      })[0],
    ).toMatchObject({ code: 'nutrient-excess', words: 'Sulfur is 18 % above the most they should get.' });
    const notFedNow = { daysAgo: 243, notOlderThanDays: 28, words: 'What it is fed now is not known.' };
    expect(codes({ notFedNow })).toEqual(['fed-long-ago']);
    expect(codes({ nutrients: [{ nutrient: 'sodium', verdict: 'short', surplusPercent: -80 }] })).toEqual([
      'mineral-short',
    ]);
    expect(
      codes({
        nutrients: [
          { nutrient: 'calcium', verdict: 'near', surplusPercent: -3 },
          { nutrient: 'potassium', verdict: 'unknown', surplusPercent: null },
        ],
      }),
    ).toEqual([]);
    expect(codes({ hay: [{ lotName: 'Meadow', days: 59.9 }] })).toEqual(['hay-short']);
    expect(
      codes({
        hay: [
          { lotName: 'Meadow', days: 60 },
          { lotName: 'Not drawn', days: null },
        ],
      }),
    ).toEqual([]);
    expect(codes({ hay: [{ lotName: 'Meadow', days: 13.9 }] })).toEqual(['hay-urgent']);
    expect(codes({ tests: [{ lotName: 'Meadow', daysSinceSample: null }] })).toEqual(['test-missing']);
    expect(codes({ tests: [{ lotName: 'Meadow', daysSinceSample: 366 }] })).toEqual(['test-old']);
    expect(codes({ tests: [{ lotName: 'Meadow', daysSinceSample: 365 }] })).toEqual([]);
    expect(codes({ conditionDirection: 'loss', daysToOneScore: 89 })).toEqual(['condition-loss']);
    expect(codes({ conditionDirection: 'gain', daysToOneScore: 20 })).toEqual([]);
  });

  it('calls a gain off target beyond a tenth of it, or a twentieth of a kilogram where that is more', () => {
    expect(codes({ expectedGainKgPerDay: 0.62 })).toEqual(['gain-below-target']);
    expect(codes({ expectedGainKgPerDay: 0.64 })).toEqual([]);
    expect(codes({ expectedGainKgPerDay: 0.78 })).toEqual(['gain-above-target']);
    expect(codes({ targetGainKgPerDay: 0.2, expectedGainKgPerDay: 0.16 })).toEqual([]);
    expect(codes({ targetGainKgPerDay: null, expectedGainKgPerDay: 0.1 })).toEqual([]);
    expect(codes({ targetGainKgPerDay: 0.7, expectedGainKgPerDay: null })).toEqual([]);
    const weighed = (kgPerDay: number) => ({ kgPerDay, fromDay: '2026-11-01', untilDay: '2027-01-10' });
    expect(codes({ measuredGain: weighed(0.62) })).toEqual(['measured-gain-below-target']);
    expect(codes({ measuredGain: weighed(0.64) })).toEqual([]);
    expect(codes({ measuredGain: weighed(0.78), expectedGainKgPerDay: null })).toEqual(['measured-gain-above-target']);
    // What was weighed goes before what was reckoned.
    expect(codes({ measuredGain: weighed(0.5), expectedGainKgPerDay: 0.5 })).toEqual([
      'measured-gain-below-target',
      'gain-below-target',
    ]);
    expect(herdConcerns({ ...well, measuredGain: weighed(0.35) })[0]).toMatchObject({
      given: 0.35,
      threshold: 0.7,
      words: 'From 2026-11-01 to 2027-01-10 they gained 50 % of what is wanted.',
    });
    expect(codes({ targetGainKgPerDay: null, measuredGain: weighed(-0.3) })).toEqual([]);
  });

  it('puts the weightiest first, and of equals the one that is further off', () => {
    const found = herdConcerns({
      ...well,
      hay: [
        { lotName: 'A', days: 50 },
        { lotName: 'B', days: 20 },
      ],
      tests: [{ lotName: 'A', daysSinceSample: null }],
      cautions: [
        {
          title: 'Nitrate',
          message: 'Oat hay holds 3000 ppm NO3-N.',
          given: 3000,
          threshold: 1000,
          unit: 'ppm NO3-N',
          code: 'nitrate-single-hay',
          severity: 'danger',
          onlyAsFed: true,
        },
      ],
    });
    expect(found.map((one) => one.words)).toEqual([
      'Nitrate, as fed lately: Oat hay holds 3000 ppm NO3-N.',
      'B will last 20 days; the target is 60.',
      'A will last 50 days; the target is 60.',
      'A has no lab test.',
    ]);
    expect(found[0]).toMatchObject({ given: 3000, threshold: 1000, unit: 'ppm NO3-N' });
    expect(concernRank(found)).toBe(100 * 100 + 4);
  });

  it('tells every caution of the judge that is not named with a reason, each as what it is', () => {
    const of = (code: keyof typeof CAUTIONS, severity: 'danger' | 'watch' | 'notice') => ({
      code,
      severity,
      title: 'Cold',
      message: 'No weather is known.',
      given: 2.2,
      threshold: 0,
      unit: 'Mcal/d',
      onlyAsFed: false,
    });
    expect(herdConcerns({ ...well, cautions: [of('cold-left-out', 'watch')] })).toEqual([
      {
        code: 'cold-left-out',
        weight: CONCERN_WEIGHTS['cold-left-out'],
        given: 2.2,
        threshold: 0,
        unit: 'Mcal/d',
        words: 'Cold: No weather is known.',
      },
    ]);
    for (const code of Object.keys(CAUTIONS) as (keyof typeof CAUTIONS)[])
      for (const severity of ['danger', 'watch', 'notice'] as const) {
        const leftOut = CAUTIONS_NOT_LISTED.filter(
          (row) => (row.code ?? code) === code && (row.severity ?? severity) === severity,
        );
        expect([code, severity, isListed({ code, severity })]).toEqual([code, severity, leftOut.length === 0]);
        for (const { reason } of leftOut) expect(reason.length).toBeGreaterThan(20);
        // No danger is ever left out.
        if (severity === 'danger') expect(leftOut).toEqual([]);
        const told = severity === 'danger' ? 'danger' : (CONCERN_OF_CAUTION[code] ?? 'watch');
        expect(codes({ cautions: [of(code, severity)] })).toEqual([told]);
      }
  });

  it('has a weight for every code and a source for every guide', () => {
    for (const code of CONCERN_CODES) expect(CONCERN_WEIGHTS[code]).toBeGreaterThan(0);
    for (const guide of Object.values(CONCERN_GUIDES)) expect(guide.source).toContain('common practice, no source');
  });

  it('never ranks a herd lower for one more concern', () => {
    fc.assert(
      fc.property(
        fc.array(fc.record({ lotName: fc.constant('L'), days: fc.double({ min: 0, max: 200, noNaN: true }) }), {
          maxLength: 5,
        }),
        fc.double({ min: 0, max: 59, noNaN: true }),
        (hay, days) => {
          const before = concernRank(herdConcerns({ ...well, hay }));
          expect(concernRank(herdConcerns({ ...well, hay: [...hay, { lotName: 'More', days }] }))).toBeGreaterThan(
            before,
          );
        },
      ),
    );
  });
});

describe('how long hay lasts', () => {
  it('is balance over the draws of all herds together', () => {
    const lasts = daysOfHay({
      balances: new Map([
        ['meadow', 1000],
        ['straw', 400],
        ['owed', -5],
      ]),
      draws: [
        { herdId: 'a', lotId: 'meadow', kgPerDay: 30 },
        { herdId: 'b', lotId: 'meadow', kgPerDay: 20 },
        { herdId: 'b', lotId: 'owed', kgPerDay: 1 },
      ],
    });
    expect(lasts.get('meadow')).toEqual({ lotId: 'meadow', balanceKg: 1000, drawKgPerDay: 50, days: 20 });
    expect(lasts.get('straw')?.days).toBeNull();
    expect(lasts.get('owed')).toMatchObject({ balanceKg: 0, days: 0 });
    expect(() =>
      daysOfHay({ balances: new Map(), draws: [{ herdId: 'a', lotId: 'x', kgPerDay: Number.NaN }] }),
    ).toThrow(RangeError);
  });
});

describe('how hay lies and how cattle stand', () => {
  it('lets straw lie lighter than hay (book: 2 to 3 lb/ft3 against 3 to 5, from memory)', () => {
    const perCubicFoot = (value: number): number => (value * 0.3048 ** 3) / 0.45359237;
    expect(perCubicFoot(looseDensityOf({ hayKind: 'oat-straw' }).value)).toBeCloseTo(2.5, 9);
    expect(perCubicFoot(looseDensityOf({ hayKind: 'alfalfa' }).value)).toBeCloseTo(4.25, 9);
    // A bushel is 1.2445 ft3 and holds 56 lb of shelled corn (United States standard weight); salt is heavier.
    expect(perCubicFoot(looseDensityOf({ hayKind: 'corn-grain' }).value)).toBeCloseTo(56 / 1.2445, 0);
    expect(perCubicFoot(looseDensityOf({ hayKind: 'salt' }).value)).toBeGreaterThan(50);
    expect(looseDensityOf({ hayKind: 'meadow' }).origin).toBe('book-value');
  });

  it('knows the room of every class', () => {
    expect(Object.fromEntries(ANIMAL_CLASSES.map((one) => [one, spaceClassOf(one)]))).toMatchObject({
      'growing-calf': 'calf',
      'first-calf-heifer': 'bred-heifer',
      bull: 'bull',
      'lactating-cow': 'cow-1300-lb',
    });
  });
});
