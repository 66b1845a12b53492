/*
 * What the microbes of the rumen need on hay, against what extension and the NRC tables call enough for dry cows.
 */
import loadHighs from 'highs';
import publishedValues from '../../reference/published-values.json';
import { BOOK_VALUES } from '../../../src/core/feeds/book-values.data';
import { dietContextOf } from '../../../src/core/judge/diet-context';
import { evaluateRation } from '../../../src/core/judge/evaluate';
import { rationSupply } from '../../../src/core/judge/ration-supply';
import type { RationLayer, RationLot } from '../../../src/core/ration/ration';
import { safeRation } from '../../../src/core/ration/safe-ration';
import { microbialEfficiencyNeeded } from '../../../src/core/requirements/microbial-efficiency';
import { requirementsFor } from '../../../src/core/requirements/requirements-for';
import { solveWithHighs } from '../../../src/core/solver/highs-solver';
import { PricePerMass } from '../../../src/core/units/money';
import { DRY_COW, hay, MEADOW, needs } from '../ration/ration-fixtures';

const ofHay = (lot: RationLot): RationLayer[] => {
  const dryMatter = lot.dryMatterPercent.value / 100;
  const diet = dietContextOf(
    rationSupply({ layers: [{ role: 'mixed', lots: [{ lot, asFedKgPerHeadPerDay: 1 / dryMatter }] }] }),
  );
  const { dryMatterIntakeKgPerDay } = needs(DRY_COW, { edition: 'NRC2000', diet });
  return [{ role: 'mixed', lots: [{ lot, asFedKgPerHeadPerDay: dryMatterIntakeKgPerDay / dryMatter }] }];
};
/** The line of a dry cow that eats her fill of one hay. */
const degradableLine = (lot: RationLot) => {
  const layers = ofHay(lot);
  const requirement = needs(DRY_COW, { edition: 'NRC2000', diet: dietContextOf(rationSupply({ layers })) });
  const outcome = evaluateRation({ animal: DRY_COW, requirement, layers });
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  const line = outcome.value.lines.find(({ nutrient }) => nutrient === 'degradableProtein');
  if (line === undefined) throw new Error('no line');
  return { line, requirement };
};
const bookHay = (key: string): RationLot => {
  const { name, analysis } = BOOK_VALUES.find((each) => each.key === key) ?? { name: key, analysis: {} };
  const { dryMatterPercent = 90, ...composition } = analysis;
  return hay(name, dryMatterPercent, composition);
};

describe('degradable protein of plain hay for dry cows', () => {
  // University of Arizona Cooperative Extension (Sprinkle), Protein supplementation: about 7 % of crude protein meets
  // the microbes that digest fiber. South Dakota State (Olson) and Nebraska (Drewnoski) give the same 7 %.
  test.each([
    'orchardgrass-late-bloom',
    'meadow-hay',
    'bermudagrass-late-vegetative',
    'timothy-mid-bloom',
    'barley-hay',
  ])('%s, of 7 %% of protein or more, is not short of it', (key) => {
    expect(['meets', 'near']).toContain(degradableLine(bookHay(key)).line.verdict);
  });
  test.each(['smooth-brome-mature', 'prairie-hay', 'wheat-straw', 'oat-straw'])('%s, of less than 7 %%, is', (key) => {
    expect(degradableLine(bookHay(key)).line.verdict).toBe('short');
  });
  // NRC 1996 tables of cows (test/reference/published-values.json): the protein that they print beside the TDN is
  // enough. 65 to 70 % of the protein of grass hay is degradable (NRC feed table).
  const table = (publishedValues as { id: string; expected: Record<string, number> }[]).filter(({ id }) =>
    /^req-cow1[02]00-(month(7|9|10|12)|gest8)$/.test(id),
  );
  test('the seven rows of the table are run', () => expect(table).toHaveLength(7));
  test.each(table)('$id: the diet of the NRC table is not short of it', ({ expected }) => {
    const lot = hay('Hay', 90, {
      crudeProteinPercent: expected['CP_pct'] ?? 0,
      totalDigestibleNutrientsPercent: expected['TDN_pct'] ?? 0,
      degradableProteinPercentOfCrudeProtein: 70,
    });
    expect(degradableLine(lot).line.verdict).toBe('meets');
  });
  test('the need of the requirement is that of the line, and the metabolizable supply keeps 0.13 of TDN', () => {
    const { line, requirement } = degradableLine(MEADOW);
    expect(line.need).toBeCloseTo(requirement.rumenDegradableProteinGPerDay, 6);
    expect(requirement.bacterialProteinGPerDay).toBeCloseTo(requirement.dryMatterIntakeKgPerDay * 540 * 0.13, 6);
  });
  // NRC 2000, p. 17: 13 g of 100 g of TDN is a good generalization, lower at low digestibility; Patterson et al. 2006:
  // to be adjusted below 65 % of TDN.
  test('from 65 % of TDN it is 13 g of 100 g, below it less and less, and never a step', () => {
    expect(microbialEfficiencyNeeded({ totalDigestibleNutrientsPercent: 65 }).efficiency).toBeCloseTo(0.13, 12);
    expect(microbialEfficiencyNeeded({ totalDigestibleNutrientsPercent: 80 }).efficiency).toBeCloseTo(0.13, 12);
    let last = 0;
    for (let percent = 30; percent <= 80; percent += 0.1) {
      const { efficiency } = microbialEfficiencyNeeded({ totalDigestibleNutrientsPercent: percent });
      expect(efficiency).toBeGreaterThanOrEqual(last);
      expect(last === 0 ? 0 : efficiency - last).toBeLessThan(0.0005);
      last = efficiency;
    }
  });
});

test('plain grass hay is a ration for dry cows', async () => {
  const solve = solveWithHighs(await loadHighs());
  const outcome = safeRation({
    candidates: [
      {
        lot: { ...MEADOW, price: PricePerMass.of('110.00', 'USD', 'ton') },
        role: 'mixed',
        availableKg: null,
        bulkDensityKgPerM3: 80,
        baleWeightKg: 500,
      },
    ],
    animal: DRY_COW,
    wanted: {
      proteinSystem: 'metabolizable',
      minerals: [],
      intakeCapShare: 1.05,
      intakeFloorShare: 0.95,
      head: 100,
      days: 60,
    },
    needOn: (diet) => requirementsFor(DRY_COW, { edition: 'NRC2000', diet }),
    waterSulfateMgPerL: null,
    solve,
  });
  expect(outcome.ok && outcome.value.status).toBe('solved');
});
