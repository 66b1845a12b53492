import publishedValues from '../../reference/published-values.json';
import { evaluateRation } from '../../../src/core/judge/evaluate';
import type { EvaluationRequest } from '../../../src/core/judge/evaluation';
import { rationSupply } from '../../../src/core/judge/ration-supply';
import type { Nutrient } from '../../../src/core/nutrients/nutrients';
import { nrc2000ReserveEnergy, nrc2000WeightAtCondition } from '../../../src/core/requirements/body-condition';
import type { RequirementSet } from '../../../src/core/requirements/requirement-set';
import { DRY_COW, hay, KG_PER_LB, needs } from '../ration/ration-fixtures';

const evaluated = (request: EvaluationRequest) => {
  const outcome = evaluateRation(request);
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
};
const lineOf = (request: EvaluationRequest, nutrient: Nutrient) => {
  const line = evaluated(request).lines.find((each) => each.nutrient === nutrient);
  if (line === undefined) throw new Error(`No line for ${nutrient}`);
  return line;
};
const pounds = (kilograms: number | null) => (kilograms ?? Number.NaN) / KG_PER_LB;

describe('published worked evaluations of a hay ration', () => {
  // Alabama Farmers Cooperative, February 2007 nutrition column: test/reference/published-values.json, case
  // req-nursing-shortfall.
  // The column reckons as fed throughout, so the hay is entered at 100 % dry matter.
  test('req-nursing-shortfall: 10 lb of hay for a nursing cow', () => {
    const published = (
      publishedValues as { id: string; inputs: Record<string, number>; expected: Record<string, number> }[]
    ).find(({ id }) => id === 'req-nursing-shortfall');
    const { need_TDN_lb, need_CP_lb, hay_lb, hay_CP_pct, hay_TDN_pct } = published?.inputs ?? {};
    const expected = published?.expected ?? {};
    const request: EvaluationRequest = {
      animal: DRY_COW,
      requirement: needs(DRY_COW),
      tableNeeds: {
        totalDigestibleNutrientsKgPerDay: Number(need_TDN_lb) * KG_PER_LB,
        crudeProteinGPerDay: Number(need_CP_lb) * KG_PER_LB * 1000,
        source: 'ALA-FACTS',
      },
      layers: [
        {
          role: 'mixed',
          lots: [
            {
              lot: hay('Grass hay', 100, {
                crudeProteinPercent: Number(hay_CP_pct),
                totalDigestibleNutrientsPercent: Number(hay_TDN_pct),
              }),
              asFedKgPerHeadPerDay: Number(hay_lb) * KG_PER_LB,
            },
          ],
        },
      ],
    };
    const tdn = lineOf(request, 'totalDigestibleNutrients');
    const protein = lineOf(request, 'crudeProtein');
    expect(pounds(tdn.supply)).toBeCloseTo(expected['TDN_supplied'] ?? Number.NaN, 9);
    expect(-pounds(tdn.surplus)).toBeCloseTo(expected['TDN_short'] ?? Number.NaN, 9);
    expect(pounds(protein.supply) / 1000).toBeCloseTo(expected['CP_supplied'] ?? Number.NaN, 9);
    expect(-pounds(protein.surplus) / 1000).toBeCloseTo(expected['CP_short'] ?? Number.NaN, 9);
    expect([tdn.verdict, protein.verdict]).toEqual(['short', 'short']);
  });

  // University of Arkansas at Pine Bluff, Cooperative Extension (Fernandez, D.), 2013-11-07, A different way to think
  // of feeding hay:
  // a 1,100 lb pregnant cow needs about 11 lb TDN and 1.5 lb CP; 22 lb of dry matter (about 25 lb of hay) at 60 % TDN
  // and 9 % CP
  // gives 13.2 lb TDN and 1.98 lb CP, which more than meets it.
  test('22 lb of hay dry matter for a pregnant cow of 1,100 lb', () => {
    const animal = { ...DRY_COW, fullBodyWeightKg: 1100 * KG_PER_LB };
    const request: EvaluationRequest = {
      animal,
      requirement: needs(animal),
      tableNeeds: {
        totalDigestibleNutrientsKgPerDay: 11 * KG_PER_LB,
        crudeProteinGPerDay: 1500 * KG_PER_LB,
        source: 'University of Arkansas at Pine Bluff',
      },
      layers: [
        {
          role: 'mixed',
          lots: [
            {
              lot: hay('Hay', 88, { crudeProteinPercent: 9, totalDigestibleNutrientsPercent: 60 }),
              asFedKgPerHeadPerDay: 25 * KG_PER_LB,
            },
          ],
        },
      ],
    };
    expect(pounds(evaluated(request).supply.dryMatterKg)).toBeCloseTo(22, 9);
    const tdn = lineOf(request, 'totalDigestibleNutrients');
    const protein = lineOf(request, 'crudeProtein');
    expect(pounds(tdn.supply)).toBeCloseTo(13.2, 9);
    expect(pounds(protein.supply) / 1000).toBeCloseTo(1.98, 9);
    expect([tdn.verdict, protein.verdict]).toEqual(['meets', 'meets']);
  });

  // NRC tables of cows as Ohio State and a farm paper print them (test/reference/published-values.json): on the diet of
  // the table, the energy needed is the TDN that the table asks for.
  const cowTables = (
    publishedValues as { id: string; inputs: Record<string, number>; expected: Record<string, number> }[]
  ).filter(({ id }) => /^req-cow1[02]00-(month(7|9|10|12)|gest8)$/.test(id));
  test.each(cowTables)('$id: the need is told in TDN, in pounds and as a share of the dry matter', (published) => {
    const { TDN_pct = 0, TDN_lb, DMI_lb = 24.1 } = published.expected;
    const { cow_lb = 0, months_since_calving: months, gestation_month = 0 } = published.inputs;
    const animal = {
      ...DRY_COW,
      fullBodyWeightKg: (cow_lb * KG_PER_LB) / 0.96,
      calfBirthWeightKg: 0.07 * cow_lb * KG_PER_LB,
      // As in the comparison of all tables: conception on day 85 after calving.
      daysPregnant: (months === undefined ? gestation_month : months) * (365 / 12) - (months === undefined ? 0 : 85),
    };
    const lot = hay('Hay', 100, { crudeProteinPercent: 9, totalDigestibleNutrientsPercent: TDN_pct });
    const layers = [{ role: 'mixed' as const, lots: [{ lot, asFedKgPerHeadPerDay: DMI_lb * KG_PER_LB }] }];
    const requirement = needs(animal, { edition: 'NRC2000', diet: { totalDigestibleNutrientsPercent: TDN_pct } });
    const line = lineOf({ animal, requirement, layers }, 'totalDigestibleNutrients');
    const needed = TDN_lb ?? (DMI_lb * TDN_pct) / 100;
    // The cases state 3 % for TDN and 3 % for the intake; this is their product.
    expect(Math.abs(pounds(line.need) / needed - 1)).toBeLessThanOrEqual(0.06);
    const energy = lineOf({ animal, requirement, layers }, 'netEnergyMaintenance');
    expect(line.verdict).toBe(energy.verdict);
    expect(line.surplusPercent).toBeCloseTo(energy.surplusPercent ?? Number.NaN, 9);
  });

  // Montana State University, Animal & Range Sciences, lecture on the net energy system (Lofgreen and Garrett 1968):
  // steers of 715 lb,
  // 1,300 lb finished, 16 lb (7.26 kg) of diet at 2.09 Mcal NEm and 1.42 Mcal NEg per kg, 5.89 Mcal NEm for
  // maintenance.
  // Printed: 2.82 kg for maintenance, 4.44 kg left, 6.30 Mcal for gain, 3.62 lb a day read off a table between two
  // gains.
  test('gain of a steer from net energy', () => {
    const shrunkBodyWeightKg = 715 * KG_PER_LB;
    const animal = {
      class: 'yearling',
      sex: 'steer',
      fullBodyWeightKg: shrunkBodyWeightKg / 0.96,
      finalShrunkBodyWeightKg: 1300 * KG_PER_LB,
    } as const;
    const requirement: RequirementSet = {
      ...needs(animal),
      shrunkBodyWeightKg,
      netEnergyMaintenanceTotalMcalPerDay: 5.89,
    };
    const { gain, lines } = evaluated({
      animal,
      requirement,
      layers: [
        {
          role: 'mixed',
          lots: [
            {
              lot: hay('Diet', 100, { netEnergyMaintenanceMcalPerKg: 2.09, netEnergyGainMcalPerKg: 1.42 }),
              asFedKgPerHeadPerDay: 7.26,
            },
          ],
        },
      ],
    });
    const retained = lines.find(({ nutrient }) => nutrient === 'netEnergyGain')?.supply ?? Number.NaN;
    expect(Math.abs(retained - 6.3)).toBeLessThanOrEqual(0.01);
    // The lecture draws a straight line through zero from the table's 3.99 lb at 6.94 Mcal; gain rises with RE^0.91, so
    // 3.62 is a little low.
    expect(Math.abs(pounds(gain.energyAllowableKgPerDay) / 3.62 - 1)).toBeLessThanOrEqual(0.015);
    const atTheTablesPoint = (2.82 + 6.94 / 1.42) / 7.26;
    const { gain: tableGain } = evaluated({
      animal,
      requirement,
      layers: [
        {
          role: 'mixed',
          lots: [
            {
              lot: hay('Diet', 100, { netEnergyMaintenanceMcalPerKg: 2.09, netEnergyGainMcalPerKg: 1.42 }),
              asFedKgPerHeadPerDay: 7.26 * atTheTablesPoint,
            },
          ],
        },
      ],
    });
    expect(Math.abs(pounds(tableGain.energyAllowableKgPerDay) / 3.99 - 1)).toBeLessThanOrEqual(0.005);
    expect(gain.ruledBy).toBe('energy, protein not known');
  });

  // University of Nebraska-Lincoln (Wilke, Mulliniks, McCarthy; Rasby), Using body condition score to manage the
  // nutritional program:
  // a cow of 1,100 lb needs 207 Mcal beyond maintenance from score 4 to 5; 5 lb a day of alfalfa hay at 0.60 Mcal
  // NEm/lb does it in 69 days.
  // The weight is that at score 5 (NRC 1996, energy reserves).
  test('days from condition score 4 to 5', () => {
    const { shrunkBodyWeightKg } = nrc2000WeightAtCondition({
      shrunkBodyWeightKg: 1100 * KG_PER_LB,
      bodyConditionScore: 5,
      targetScore: 4,
    });
    const animal = {
      class: 'dry-open-cow',
      sex: 'cow',
      fullBodyWeightKg: shrunkBodyWeightKg / 0.96,
      bodyConditionScore: 4,
    } as const;
    const maintenanceMcal = 8;
    const requirement: RequirementSet = {
      ...needs(animal),
      shrunkBodyWeightKg,
      netEnergyMaintenanceTotalMcalPerDay: maintenanceMcal,
    };
    const nemPerKg = 0.6 / KG_PER_LB;
    const { condition } = evaluated({
      animal,
      requirement,
      layers: [
        {
          role: 'mixed',
          lots: [
            {
              lot: hay('Alfalfa', 100, { netEnergyMaintenanceMcalPerKg: nemPerKg, netEnergyGainMcalPerKg: 0.7 }),
              asFedKgPerHeadPerDay: maintenanceMcal / nemPerKg + 5 * KG_PER_LB,
            },
          ],
        },
      ],
    });
    expect(condition.direction).toBe('gain');
    expect(condition.netEnergyBalanceMcalPerDay).toBeCloseTo(3.0, 9);
    expect(Math.round(condition.daysToOneScore ?? 0)).toBe(69);
  });

  // National Research Council 2000, energy reserves of cows, Mcal for one score, as tabulated in a breed magazine of
  // June 2018 (Melroe) by mature weight, lb, at score 5.
  // Printed to the whole Mcal: all twenty are met within 0.6, half of the last digit and a little for the weights,
  // which are printed round.
  test.each([
    [3, [172, 186, 200, 214]],
    [4, [196, 212, 229, 245]],
    [5, [226, 245, 264, 283]],
    [6, [264, 286, 308, 330]],
    [7, [311, 337, 363, 389]],
  ] as const)('energy reserves to reach score %i', (score, published) => {
    [1200, 1300, 1400, 1500].forEach((weightAtFiveLb, index) => {
      const { shrunkBodyWeightKg } = nrc2000WeightAtCondition({
        shrunkBodyWeightKg: weightAtFiveLb * KG_PER_LB,
        bodyConditionScore: 5,
        targetScore: score - 1,
      });
      const { energyMcal } = nrc2000ReserveEnergy({
        shrunkBodyWeightKg,
        bodyConditionScore: score - 1,
        targetScore: score,
      });
      expect(Math.abs(energyMcal - (published[index] ?? Number.NaN))).toBeLessThanOrEqual(0.6);
    });
  });

  // Encyclopaedia table of roughages as fed, cases feed-dmbasis-* of test/reference/published-values.json: the same
  // nutrient whichever basis it is told on.
  const composition = (
    publishedValues as { id: string; topic: string; inputs: Record<string, number>; expected: Record<string, number> }[]
  ).filter(({ topic }) => topic === 'feed_composition');
  test('all four composition cases are run', () => expect(composition).toHaveLength(4));
  test.each(composition.map((each) => [each.id, each] as const))(
    '%s: 100 kg as fed carry the as-fed percents',
    (_id, { inputs, expected }) => {
      const supply = rationSupply({
        layers: [
          {
            role: 'mixed',
            lots: [
              {
                lot: hay('Feed', inputs['DM_pct'] ?? 0, {
                  totalDigestibleNutrientsPercent: expected['TDN_DM'] ?? 0,
                  crudeProteinPercent: expected['CP_DM'] ?? 0,
                }),
                asFedKgPerHeadPerDay: 100,
              },
            ],
          },
        ],
      });
      expect(
        Math.abs((supply.totalDigestibleNutrientsKg.value ?? 0) - (inputs['TDN_asfed_pct'] ?? 0)),
      ).toBeLessThanOrEqual(0.1);
      expect(Math.abs((supply.crudeProteinG.value ?? 0) / 1000 - (inputs['CP_asfed_pct'] ?? 0))).toBeLessThanOrEqual(
        0.1,
      );
    },
  );
});
