/*
 * Where tests of one lot contradict each other, what can hurt is judged by the worse of them. K/(Ca+Mg) above 2.2 in
 * equivalents: Rahman et al. 2022; magnesium 0.20 % in milk, 0.12 % in calf: Gadberry, University of Arkansas MP391.
 */
import { rationCautions } from '../../../src/core/judge/ration-cautions';
import { rationLotOf } from '../../../src/core/ration/ration-lot';
import { evaluateRation } from '../../../src/core/judge/evaluate';
import { rationRows } from '../../../src/core/ration/ration-rows';
import { wordsIn } from '../../../src/core/units/wording';
import { DRY_COW, needs } from '../ration/ration-fixtures';
import fc from '../../support/properties';

interface Minerals {
  readonly magnesium: number;
  readonly potassium?: number;
  readonly calcium?: number;
  readonly phosphorus?: number;
  /** ppm of NO3-N. */
  readonly nitrate?: number;
}

const lotOf = (...tested: readonly Minerals[]) => {
  return rationLotOf({
    lotId: 'a',
    lotName: 'Spring grass',
    hayKind: 'meadow',
    tests: tested.map(({ magnesium, potassium = 3, calcium = 0.3, phosphorus, nitrate }, index) => ({
      id: String(index),
      lotName: 'Spring grass',
      sampledOn: `2026-11-0${index + 1}`,
      method: 'wet-chemistry' as const,
      analysis: {
        dryMatterPercent: 90,
        magnesiumPercent: magnesium,
        potassiumPercent: potassium,
        calciumPercent: calcium,
        ...(phosphorus === undefined ? {} : { phosphorusPercent: phosphorus }),
        ...(nitrate === undefined ? {} : { nitrateNitrogenPpm: nitrate }),
      },
    })),
  });
};
const layersOf = (...tested: readonly Minerals[]) =>
  [{ role: 'mixed', lots: [{ lot: lotOf(...tested), asFedKgPerHeadPerDay: 12 }] }] as const;
const cautionsOf = (...tested: readonly Minerals[]) =>
  rationCautions({ animal: DRY_COW, requirement: null, layers: layersOf(...tested) });
const about = (code: string, ...tested: readonly Minerals[]) => cautionsOf(...tested).find((one) => one.code === code);

describe('tests of one lot that contradict each other', () => {
  it('in magnesium: tetany and the need are judged by the lower, too much by the higher, and the words say so', () => {
    const tested = [{ magnesium: 0.08 }, { magnesium: 0.9 }];
    // 3 / 39.1 over 0.3 / 20.04 + 0.08 / 12.15 is 3.56; by the mean of 0.49 % it would be 1.39.
    expect(about('grass-tetany-ratio', ...tested)?.given).toBeCloseTo(3.56, 2);
    expect(about('magnesium-low', ...tested)?.given).toBeCloseTo(0.08, 9);
    expect(about('mineral-above-maximum', ...tested)?.given).toBeCloseTo(0.9, 9);
    for (const code of ['grass-tetany-ratio', 'magnesium-low', 'mineral-above-maximum'])
      expect(about(code, ...tested)?.message).toContain(
        ' Tests of Spring grass contradict each other: magnesium 0.08 to 0.9 %; the worse counts.',
      );
    expect(about('grass-tetany-ratio', { magnesium: 0.08 })?.message).not.toContain('contradict');
  });

  // Ca:P below 1:1 or above 7:1: the guide of the caution (cautions.data.ts); the ratios by hand.
  it('in calcium and phosphorus: each end of their ratio is judged by its worse, and the words say so', () => {
    const low = [
      { magnesium: 0.2, calcium: 0.2, phosphorus: 0.2 },
      { magnesium: 0.2, calcium: 0.5, phosphorus: 0.3 },
    ];
    // 0.2 over 0.3; by the means of 0.35 % and 0.25 % it would be 1.4, which nobody is warned of.
    expect(about('calcium-phosphorus-ratio', ...low)?.given).toBeCloseTo(2 / 3, 9);
    expect(about('calcium-phosphorus-ratio', ...low)?.message).toBe(
      'Ca:P is 0.67:1, below 1:1. Tests of Spring grass contradict each other: calcium 0.2 to 0.5 %; the worse ' +
        'counts. Tests of Spring grass contradict each other: phosphorus 0.2 to 0.3 %; the worse counts.',
    );
    const high = [
      { magnesium: 0.2, calcium: 1.6, phosphorus: 0.2 },
      { magnesium: 0.2, calcium: 1, phosphorus: 0.3 },
    ];
    // 1.6 over 0.2; by the means of 1.3 % and 0.25 % it would be 5.2.
    expect(about('calcium-phosphorus-ratio', ...high)?.given).toBeCloseTo(8, 9);
    expect(about('calcium-phosphorus-ratio', low[1] ?? { magnesium: 0.2 })).toBeUndefined();
    const evaluated = (tested: readonly Minerals[]) => {
      const requirement = needs(DRY_COW);
      const outcome = evaluateRation({ animal: DRY_COW, requirement, layers: layersOf(...tested) });
      if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
      return outcome.value.calciumToPhosphorus;
    };
    expect(evaluated(low)).toBeCloseTo(2 / 3, 9);
    expect(evaluated(high)).toBeCloseTo(8, 9);
  });

  it('in calcium and phosphorus: no mixture is found by the means that is warned of by the worse', () => {
    const candidates = [
      {
        lot: lotOf(
          { magnesium: 0.2, calcium: 0.2, phosphorus: 0.2 },
          { magnesium: 0.2, calcium: 0.5, phosphorus: 0.3 },
        ),
        role: 'mixed' as const,
        availableKg: null,
      },
    ];
    const limits = {
      requirement: needs(DRY_COW),
      fullBodyWeightKg: DRY_COW.fullBodyWeightKg,
      proteinSystem: 'crude' as const,
      minerals: [],
      minCalciumToPhosphorus: 1,
      head: 1,
      days: 1,
    };
    const rows = rationRows({ candidates, limits, feedForMaintenanceShare: 1 });
    // Of a kilogram as fed, 0.9 kg of dry matter: 2 g of calcium less 3 g of phosphorus in each.
    expect(rows.find(({ key }) => key === 'calcium-to-phosphorus')?.perKg[0]).toBeCloseTo(-0.9, 9);
  });

  it('in nitrate: the highest counts, and the words say that they contradict each other', () => {
    const tested = [
      { magnesium: 0.2, nitrate: 9000 },
      { magnesium: 0.2, nitrate: 200 },
    ];
    for (const code of ['nitrate-single-hay', 'nitrate-whole-ration']) {
      const caution = about(code, ...tested);
      expect(caution?.given).toBe(9000);
      expect(wordsIn('us', caution?.message ?? '')).toContain(
        'Tests of Spring grass contradict each other: 200 to 9000 ppm NO3-N of dry matter; the worse counts.',
      );
      expect(wordsIn('us', about(code, tested[0] ?? { magnesium: 0.2 })?.message ?? '')).not.toContain('contradict');
    }
  });

  it('never raise less of grass tetany than the worse of them alone', () => {
    const minerals = fc.record({
      magnesium: fc.double({ min: 0.05, max: 0.9, noNaN: true }),
      potassium: fc.double({ min: 0.5, max: 5, noNaN: true }),
      calcium: fc.double({ min: 0.1, max: 2, noNaN: true }),
    });
    fc.assert(
      fc.property(fc.array(minerals, { minLength: 2, maxLength: 4 }), (tested) => {
        for (const code of ['grass-tetany-ratio', 'magnesium-low'])
          for (const one of tested) if (about(code, one) !== undefined) expect(about(code, ...tested)).toBeDefined();
      }),
    );
  });
});
