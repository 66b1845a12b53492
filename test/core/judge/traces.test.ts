import { evaluateRation } from '../../../src/core/judge/evaluate.js';
import { dietContextOf } from '../../../src/core/judge/diet-context.js';
import { rationSupply } from '../../../src/core/judge/ration-supply.js';
import { NUTRIENTS } from '../../../src/core/nutrients/nutrients.data.js';
import { TRACE_NUTRIENTS } from '../../../src/core/nutrients/nutrients.js';
import { DRY_COW, hay, MEADOW, needs } from '../ration/ration-fixtures.js';

describe('trace minerals and vitamins', () => {
  // University of Arkansas MP391, Table 1, after NRC 1996, and, in the last column where it tolerates less, NASEM 2016
  // as the Merck Veterinary Manual prints it: growing, gestating, lactating, highest tolerable; mg/kg of DM.
  it.each([
    ['copper', [10, 10, 10], 40],
    ['zinc', [30, 30, 30], 500],
    ['manganese', [20, 40, 40], 1000],
    ['iodine', [0.5, 0.5, 0.5], 50],
    ['iron', [50, 50, 50], 500],
    ['selenium', [0.1, 0.1, 0.1], 2],
    ['cobalt', [0.1, 0.1, 0.1], 10],
  ] as const)('%s is needed and tolerated as printed', (code, printed, highest) => {
    const { growing, gestating, lactating, maximum, ...row } = NUTRIENTS[code].ofDryMatter;
    expect([growing, gestating, lactating]).toEqual(printed);
    expect('stricterMaximum' in row ? row.stricterMaximum.maximum : maximum).toBe(highest);
  });

  // Merck Veterinary Manual after NASEM 2016, fat-soluble vitamins, IU per kg of dry matter; printed from IU per lb.
  it.each([
    ['vitaminA', [2200, 2794, 3894]],
    ['vitaminD', [275, 275, 275]],
    ['vitaminE', [35, 35, 35]],
  ] as const)('%s is needed as printed', (code, printed) => {
    const { growing, gestating, lactating } = NUTRIENTS[code].ofDryMatter;
    [growing, gestating, lactating].forEach((value, index) =>
      expect(Math.abs(value - (printed[index] ?? Number.NaN))).toBeLessThan(10),
    );
  });

  // Clemson University Extension BC-3001: copper 0.15 %, zinc 0.4 %, selenium 26.4 ppm, vitamin A 300,000 IU/lb, fed
  // at 3 to 4 ounces, which shall meet half of the need.
  const CLEMSON = hay(
    'Winter mineral',
    100,
    { copperPpm: 1500, zincPpm: 4000, seleniumPpm: 26.4, vitaminAIuPerKg: 300_000 / 0.45359237 },
    { isForage: false, isLongStem: false },
  );
  const FOUR_OUNCES_KG = 0.45359237 / 4;
  const judged = (mineralKg: number, more: Record<string, number> = {}) => {
    const meadow = hay('Meadow', 88, {
      ...Object.fromEntries(Object.entries(MEADOW.composition).map(([field, one]) => [field, one.value])),
      ...more,
    });
    const layers = [
      {
        role: 'mixed' as const,
        lots: [
          { lot: meadow, asFedKgPerHeadPerDay: 12 },
          { lot: CLEMSON, asFedKgPerHeadPerDay: mineralKg },
        ],
      },
    ];
    const outcome = evaluateRation({
      animal: DRY_COW,
      requirement: needs(DRY_COW, { edition: 'NRC2000', diet: dietContextOf(rationSupply({ layers })) }),
      layers,
    });
    if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
    return outcome.value;
  };
  const lineOf = (evaluation: ReturnType<typeof judged>, code: string) =>
    evaluation.lines.find((line) => line.nutrient === code);

  it('are told of where a feed tells them, as a sum in milligrams or units', () => {
    const hayWithCopper = judged(FOUR_OUNCES_KG, { copperPpm: 5 });
    // 12 × 0.88 kg × 5 mg and 113.4 g of 0.15 %.
    expect(lineOf(hayWithCopper, 'copper')).toMatchObject({ unit: 'mg/d', verdict: 'meets' });
    expect(lineOf(hayWithCopper, 'copper')?.supply).toBeCloseTo(52.8 + 170.1, 1);
    // Nobody tested the hay for vitamin A; the mineral's 75,000 IU meet the need by themselves.
    expect(lineOf(hayWithCopper, 'vitaminA')).toMatchObject({
      unit: 'IU/d',
      supplyIsAtLeast: true,
      verdict: 'meets',
      missingIn: ['Meadow'],
    });
    expect(lineOf(hayWithCopper, 'vitaminA')?.supply).toBeCloseTo(75_000, 6);
    expect(lineOf(hayWithCopper, 'vitaminA')?.supplyAtLeast).toBeCloseTo(75_000, 6);
    expect(lineOf(hayWithCopper, 'cobalt')).toBeUndefined();
    expect(lineOf(judged(0), 'copper')).toBeUndefined();
  });

  /*
   * By hand: 4 oz of 1,200 ppm copper, 3,600 ppm zinc and 26 ppm selenium are 136, 408 and 2.9 mg; 114 mg copper are
   * 10 ppm of 25 lb. An ounce gives a quarter of it, which says nothing of the whole.
   */
  it('are judged by the mineral alone where it meets the need, and not where it does not', () => {
    const label = { copperPpm: 1200, zincPpm: 3600, seleniumPpm: 26 };
    const mineral = hay('Label', 100, label, { isForage: false, isLongStem: false, feedGroup: 'mineral' });
    const of = (ounces: number) => {
      const layers = [
        {
          role: 'mixed' as const,
          lots: [
            { lot: MEADOW, asFedKgPerHeadPerDay: 12 },
            { lot: mineral, asFedKgPerHeadPerDay: (ounces * 0.45359237) / 16 },
          ],
        },
      ];
      const diet = dietContextOf(rationSupply({ layers }));
      const outcome = evaluateRation({
        animal: DRY_COW,
        requirement: needs(DRY_COW, { edition: 'NRC2000', diet }),
        layers,
      });
      if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
      return outcome.value;
    };
    for (const code of ['copper', 'zinc', 'selenium']) {
      expect(lineOf(of(4), code)).toMatchObject({ verdict: 'meets', supplyIsAtLeast: true });
      expect(lineOf(of(1), code)).toMatchObject({ verdict: 'unknown', supply: null, supplyIsAtLeast: false });
    }
    // Salts and rock feed nobody: the energy and protein of the hay are known, and so is the ration's.
    const lines = of(4).lines.filter(({ nutrient }) => /netEnergy|rotein|Digestible/.test(nutrient));
    expect(lines).toHaveLength(6);
    for (const line of lines) expect(line).toMatchObject({ supplyIsAtLeast: false, unknownBecause: null });
  });

  it('raise a caution above the highest tolerable share, also where the hay was not tested for them', () => {
    // Nine pounds of that mineral in 10.6 kg of dry matter: 26.4 ppm of selenium in a quarter of it are over 2 ppm.
    const toxic = judged(9 * 0.45359237);
    expect(lineOf(toxic, 'selenium')?.verdict).toBe('excess');
    expect(
      toxic.cautions.filter((one) => one.code === 'trace-mineral-above-maximum').map((one) => one.message),
    ).toEqual(expect.arrayContaining([expect.stringContaining('Selenium')]));
    expect(judged(FOUR_OUNCES_KG).cautions.map((one) => one.code)).not.toContain('trace-mineral-above-maximum');
  });

  it('each comes from one row: need, limits of a test, sum and line', () => {
    expect(TRACE_NUTRIENTS).toHaveLength(10);
    for (const code of TRACE_NUTRIENTS) expect(NUTRIENTS[code].lab.limits.mineral.likely[1]).toBeGreaterThan(0);
  });
});
