/*
 * Urea on the tag of a feed. A protein supplement of 32 % crude protein of which not more than 10 % is from non-protein
 * nitrogen is the worked example of BEEF magazine, More on feed tag: 10 / 2.81 = 3.56 % urea, and 22 % is natural
 * protein. That more than a third is told on the tag: 8 CCR 1202-6 part 9 (Colorado), 8 Ill. Adm. Code 200.75.
 */
import { nonProteinNitrogenOnReport } from '../../../src/core/cautions/non-protein-nitrogen.js';
import { averageLabTests, type WeighableLabTest } from '../../../src/core/forage/lab-test-average.js';
import { labReport } from '../../../src/core/nutrients/nutrients.js';
import { rationLotOf } from '../../../src/core/ration/ration-lot.js';

const tag = (protein: number | undefined, equivalent: number) =>
  nonProteinNitrogenOnReport(protein === undefined ? {} : { crudeProteinPercent: protein }, {
    nonProteinNitrogenPercent: equivalent,
  });
const codes = (protein: number, equivalent: number): string[] => {
  const found = tag(protein, equivalent);
  return found.ok ? found.value.map((one) => one.code) : found.problems.map((one) => one.code);
};

test('up to a third of the protein needs no word, more is told with its number', () => {
  // 10 of 32 is 31 %, and of 30 a third to the digit; 11 of 32 is 34 %.
  expect(codes(32, 10)).toEqual([]);
  expect(codes(30, 10)).toEqual([]);
  expect(codes(32, 0)).toEqual([]);
  const found = tag(32, 11);
  expect(found).toMatchObject({
    ok: true,
    value: [{ code: 'non-protein-nitrogen-high', given: 0.34375, threshold: 1 / 3 }],
  });
});

test('it is a part of the protein that stands beside it', () => {
  expect(codes(20, 21)).toEqual(['non-protein-nitrogen-above-protein']);
  expect(codes(281, 281)).toEqual(['non-protein-nitrogen-high']);
  const alone = tag(undefined, 5);
  expect(alone.ok ? [] : alone.problems.map((one) => one.code)).toEqual(['non-protein-nitrogen-without-protein']);
});

test('urea and nitrogen are typed as they are and count as protein', () => {
  const { typedIn } = labReport('nonProteinNitrogen');
  expect(typedIn['%']).toBe(1);
  // 10 % of protein equivalent is 3.56 % urea.
  expect(3.56 * (typedIn['% urea'] ?? 0)).toBeCloseTo(10, 1);
  // Feed urea is 45 % nitrogen.
  expect(0.45 * (typedIn['% N'] ?? 0)).toBeCloseTo(2.81, 2);
});

describe('a lot of cubes', () => {
  const label: WeighableLabTest = {
    id: 'tag',
    method: 'label',
    analysis: { dryMatterPercent: 90, crudeProteinPercent: 40 },
    atMost: { nonProteinNitrogenPercent: 12 },
  };
  const lotOf = (tests: readonly WeighableLabTest[], more: object = {}) =>
    rationLotOf({ lotId: 'c', lotName: 'Cubes', hayKind: 'protein-cubes', tests, ...more });

  test('holds the most that its label or any test gives, and none where nobody says so', () => {
    expect(lotOf([label]).nonProteinNitrogenPercent).toBe(12);
    expect(lotOf([label, { ...label, atMost: { nonProteinNitrogenPercent: 9 } }]).nonProteinNitrogenPercent).toBe(12);
    const lab: WeighableLabTest = {
      id: 'lab',
      method: 'wet-chemistry',
      analysis: { dryMatterPercent: 90, crudeProteinPercent: 41, nonProteinNitrogenPercent: 10 },
    };
    // What a laboratory measured comes before what a label allows.
    expect(lotOf([label, lab]).nonProteinNitrogenPercent).toBe(10);
    expect(lotOf([{ ...label, atMost: {} }]).nonProteinNitrogenPercent).toBeUndefined();
    expect(lotOf([]).nonProteinNitrogenPercent).toBeUndefined();
  });

  test('that others were put into holds what is in them', () => {
    const moved = { ...label, id: 'moved', atMost: { nonProteinNitrogenPercent: 20 }, movedInKg: 500 };
    expect(lotOf([label], { forDangers: [moved] }).nonProteinNitrogenPercent).toBe(20);
  });

  test('is no analysis of its own in the mean', () => {
    expect(averageLabTests([label]).analysis.nonProteinNitrogenPercent).toBeUndefined();
  });
});
