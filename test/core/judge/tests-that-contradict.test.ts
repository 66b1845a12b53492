/*
 * Where tests of one lot contradict each other, what can hurt is judged by the worse of them. K/(Ca+Mg) above 2.2 in
 * equivalents: Rahman et al. 2022; magnesium 0.20 % in milk, 0.12 % in calf: Gadberry, University of Arkansas MP391.
 */
import { rationCautions } from '../../../src/core/judge/ration-cautions';
import { rationLotOf } from '../../../src/core/ration/ration-lot';
import { DRY_COW } from '../ration/ration-fixtures';
import fc from '../../support/properties';

interface Minerals {
  readonly magnesium: number;
  readonly potassium?: number;
  readonly calcium?: number;
}

const cautionsOf = (...tested: readonly Minerals[]) => {
  const lot = rationLotOf({
    lotId: 'a',
    lotName: 'Spring grass',
    hayKind: 'meadow',
    tests: tested.map(({ magnesium, potassium = 3, calcium = 0.3 }, index) => ({
      id: String(index),
      method: 'wet-chemistry' as const,
      analysis: {
        dryMatterPercent: 90,
        magnesiumPercent: magnesium,
        potassiumPercent: potassium,
        calciumPercent: calcium,
      },
    })),
  });
  const layers = [{ role: 'mixed', lots: [{ lot, asFedKgPerHeadPerDay: 12 }] }] as const;
  return rationCautions({ animal: DRY_COW, requirement: null, layers });
};
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
