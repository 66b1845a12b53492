/*
 * "At least" is a lower bound: whatever the parts hold that nobody tested, the ration holds as much as it says, or
 * more. The truth is the sum over the lots by hand; percentages are of all dry matter.
 */
import { SODIUM_IN_SALT } from '../../../src/core/cautions/minerals.js';
import { nitrateFromNitrateNitrogen } from '../../../src/core/cautions/nitrate.js';
import { evaluateRation } from '../../../src/core/judge/evaluate.js';
import type { RationLayer, RationLot } from '../../../src/core/ration/ration.js';
import { wordsIn } from '../../../src/core/units/wording.js';
import fc from '../../support/properties.js';
import { DRY_COW, hay, MEADOW, needs } from '../ration/ration-fixtures.js';

const FIELDS = [
  'sulfurPercent',
  'nitrateNitrogenPpm',
  'potassiumPercent',
  'magnesiumPercent',
  'phosphorusPercent',
  'sodiumPercent',
  'copperPpm',
  'seleniumPpm',
] as const;
type Values = Record<(typeof FIELDS)[number], number>;
const MOST: Values = {
  sulfurPercent: 0.9,
  nitrateNitrogenPpm: 6000,
  potassiumPercent: 5,
  magnesiumPercent: 1.2,
  phosphorusPercent: 1.2,
  sodiumPercent: 3,
  copperPpm: 90,
  seleniumPpm: 9,
};
/** In hundredths of the most. */
const values = fc.record(
  Object.fromEntries(
    FIELDS.map((field) => [field, fc.integer({ min: 0, max: 100 }).map((part) => (part / 100) * MOST[field])]),
  ) as {
    [Field in keyof Values]: fc.Arbitrary<number>;
  },
);
const untestedPart = fc.record({
  kg: fc.double({ min: 0.05, max: 6, noNaN: true }),
  feedGroup: fc.constantFrom('grain', 'protein', 'mineral', 'hay' as const),
  assumed: values,
  assumedLegume: fc.double({ min: 0, max: 1, noNaN: true }),
});

const MEADOW_VALUES = Object.fromEntries(
  Object.entries(MEADOW.composition).map(([field, { value }]) => [field, value]),
);
/** What is told as "at least", with the code of its caution and the name of the nutrient. */
const TOLD = /at least ([\d.]+) (%|ppm|mg|IU)?/g;

describe('what the ration holds at least', () => {
  const said = new Set<string>();
  /** Of 1 kg of dry matter, in the unit that the caution tells it in. */
  const truthOf = (code: string, message: string, per: Values, legume: number): number | null => {
    switch (code) {
      case 'nitrate-whole-ration':
        return message.includes('% NO3')
          ? nitrateFromNitrateNitrogen({ nitrateNitrogenPpm: per.nitrateNitrogenPpm }).nitratePpm / 10_000
          : per.nitrateNitrogenPpm;
      case 'sulfur-total':
      case 'sulfur-antagonism':
        return per.sulfurPercent;
      case 'salt-above-maximum':
        return per.sodiumPercent / SODIUM_IN_SALT;
      case 'legume-bloat':
        return legume * 100;
      case 'mineral-above-maximum':
      case 'trace-mineral-above-maximum': {
        const field = FIELDS.find((one) => one.startsWith(message.split(' ')[0]?.toLowerCase() ?? '?'));
        return field === undefined ? null : per[field];
      }
      default:
        return null;
    }
  };

  it('is held by it whatever the untested parts hold', () => {
    fc.assert(
      fc.property(
        fc.array(values, { minLength: 1, maxLength: 2 }),
        fc.array(untestedPart, { minLength: 1, maxLength: 3 }),
        (known, untested) => {
          const parts: { lot: RationLot; kg: number; legume: number; per: Values }[] = [
            ...known.map((per, index) => ({
              lot: {
                ...hay(`Known ${index}`, 88, { ...MEADOW_VALUES, ...per }),
                feedGroup: 'hay' as const,
                legumeShare: index === 0 ? 1 : 0,
              },
              kg: 6,
              legume: index === 0 ? 1 : 0,
              per,
            })),
            ...untested.map(({ kg, feedGroup, assumed, assumedLegume }, index) => ({
              lot: hay(
                `Untested ${index}`,
                90,
                {},
                {
                  feedGroup,
                  isForage: feedGroup === 'hay',
                  isLongStem: feedGroup === 'hay',
                  legumeShare: feedGroup === 'hay' ? null : 0,
                },
              ),
              kg,
              legume: feedGroup === 'hay' ? assumedLegume : 0,
              per: assumed,
            })),
          ];
          const layers: RationLayer[] = parts.map(({ lot, kg }) => ({
            role: 'mixed',
            lots: [{ lot, asFedKgPerHeadPerDay: kg }],
          }));
          const judged = evaluateRation({
            animal: DRY_COW,
            requirement: needs(DRY_COW, { edition: 'NRC2000' }),
            layers,
          });
          if (!judged.ok) throw new Error(JSON.stringify(judged.problems));
          const dryMatter = ({ lot, kg }: (typeof parts)[number]) => (kg * lot.dryMatterPercent.value) / 100;
          const total = parts.reduce((sum, part) => sum + dryMatter(part), 0);
          const mean = (of: (part: (typeof parts)[number]) => number) =>
            parts.reduce((sum, part) => sum + of(part) * dryMatter(part), 0) / total;
          const per = Object.fromEntries(FIELDS.map((field) => [field, mean((part) => part.per[field])])) as Values;
          const legume = mean((part) => part.legume);
          for (const { code, message } of judged.value.cautions) {
            const words = wordsIn('metric', message);
            const truth = truthOf(code, words, per, legume);
            if (truth === null) continue;
            for (const [, told] of words.matchAll(TOLD)) {
              said.add(code);
              expect({ code, words, told: Number(told), isHeld: Number(told) <= truth * (1 + 1e-9) }).toMatchObject({
                isHeld: true,
              });
            }
          }
          for (const line of judged.value.lines) {
            const field = FIELDS.find((one) => one.startsWith(line.nutrient));
            if (field === undefined || line.supply === null || !line.supplyIsAtLeast) continue;
            said.add('a line');
            const perUnit = field.endsWith('Percent') ? 10 : 1;
            expect(line.supply / (line.shareOfKg * perUnit)).toBeLessThanOrEqual(per[field] * (1 + 1e-9));
          }
          const { sulfurPercentOfDryMatter, nitrate } = judged.value;
          expect(sulfurPercentOfDryMatter ?? 0).toBeLessThanOrEqual(per.sulfurPercent * (1 + 1e-9));
          expect(nitrate.wholeRationNitrateNitrogenPpmDm ?? 0).toBeLessThanOrEqual(per.nitrateNitrogenPpm * (1 + 1e-9));
        },
      ),
    );
    // The examples reach every caution that tells a lower bound.
    expect([...said].sort()).toEqual([
      'a line',
      'legume-bloat',
      'mineral-above-maximum',
      'nitrate-whole-ration',
      'salt-above-maximum',
      'sulfur-antagonism',
      'sulfur-total',
      'trace-mineral-above-maximum',
    ]);
  });

  it('of hay at 1,080 ppm beside 2 lb of corn that nobody tested is below 1,080 ppm, and still a caution', () => {
    const oats = { ...hay('Oat hay', 88, { ...MEADOW_VALUES, nitrateNitrogenPpm: 1080 }), canGatherNitrate: true };
    const corn = hay('Corn', 88, {}, { isForage: false, isLongStem: false, isStarchyGrain: true, feedGroup: 'grain' });
    const layers: RationLayer[] = [
      { role: 'coarse', lots: [{ lot: oats, asFedKgPerHeadPerDay: 27 }] },
      { role: 'mixed', lots: [{ lot: corn, asFedKgPerHeadPerDay: 2 }] },
    ];
    const judged = evaluateRation({ animal: DRY_COW, requirement: needs(DRY_COW, { edition: 'NRC2000' }), layers });
    if (!judged.ok) throw new Error(JSON.stringify(judged.problems));
    const [whole] = judged.value.cautions.filter(({ code }) => code === 'nitrate-whole-ration');
    // 1080 × 27 / 29 = 1005.5.
    const words = wordsIn('us', whole?.message ?? '');
    expect(words).toMatch(/^What is known of the ration holds 1080 ppm.* That is of 93\.1 % of the dry matter/);
    expect(words).toContain('Not known of Corn: the whole ration holds at least 1005.51 ppm NO3-N of dry matter.');
    expect(whole?.given).toBeCloseTo(1080, 6);
  });
});
