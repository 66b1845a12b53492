import { averageLabTests, type WeighableLabTest } from '../../../src/core/forage/lab-test-average.js';
import { nutrientLine } from '../../../src/core/judge/nutrient-line.js';
import { rationSupply } from '../../../src/core/judge/ration-supply.js';
import { rationLotOf } from '../../../src/core/ration/ration-lot.js';

// Clemson University Extension, Free-Choice Mineral Guidelines (BC-3001), winter mineral: calcium 13 to 15.6 %,
// phosphorus 8 % at least, salt 21 to 21.6 % (sodium 8.26 to 8.50 %), magnesium 8 % at least; eaten at 3 to 4 ounces.
const CLEMSON: WeighableLabTest = {
  id: 'bag',
  method: 'label',
  analysis: {
    dryMatterPercent: 100,
    calciumPercent: 13,
    phosphorusPercent: 8,
    magnesiumPercent: 8,
    sodiumPercent: 8.26,
  },
  atMost: { calciumPercent: 15.6, sodiumPercent: 8.5 },
};
const FOUR_OUNCES_KG = (4 * 0.45359237) / 16;

describe('the guaranteed analysis of a bag', () => {
  const mineral = (tests: readonly WeighableLabTest[] = [CLEMSON]) =>
    rationLotOf({ lotId: 'm', lotName: 'Mineral', hayKind: 'mineral', tests });
  const supply = (lot = mineral()) =>
    rationSupply({ layers: [{ role: 'mixed', lots: [{ lot, asFedKgPerHeadPerDay: FOUR_OUNCES_KG }] }] });

  it('counts its minima toward needs and its maxima against limits', () => {
    const { calcium, phosphorus } = supply().minerals;
    // 113.4 g of mineral hold 14.7 g of calcium at least and 17.7 g at most, and 9.07 g of phosphorus.
    expect([calcium.value, calcium.atMost]).toEqual([expect.closeTo(14.74, 2), expect.closeTo(17.69, 2)]);
    expect([phosphorus.value, phosphorus.atMost]).toEqual([expect.closeTo(9.07, 2), expect.closeTo(9.07, 2)]);
    const judged = (need: number, harmfulAbove: number | null = null) =>
      nutrientLine({ nutrient: 'calcium', supply: calcium, need, harmfulAbove }).verdict;
    expect([judged(14.7), judged(17), judged(14, 17), judged(14, 18)]).toEqual(['meets', 'short', 'excess', 'meets']);
  });

  it('with a maximum alone guarantees nothing at least', () => {
    const lot = mineral([
      { id: 'b', method: 'label', analysis: { dryMatterPercent: 100 }, atMost: { sodiumPercent: 9 } },
    ]);
    expect(lot.composition.sodiumPercent).toMatchObject({ value: 0, atMost: 9 });
  });

  it('gives way to what a laboratory measured, field by field', () => {
    const tested: WeighableLabTest = {
      id: 'lab',
      method: 'wet-chemistry',
      analysis: { dryMatterPercent: 97, calciumPercent: 14.1 },
    };
    const { analysis, atMost } = averageLabTests([CLEMSON, tested]);
    expect(analysis).toMatchObject({ dryMatterPercent: 97, calciumPercent: 14.1, phosphorusPercent: 8 });
    expect(atMost).toEqual({ sodiumPercent: 8.5 });
  });
});
