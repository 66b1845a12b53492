import { conflictWordsIn, shadowPriceIn } from '../../../src/core/ration/least-cost-words.js';
import loadHighs from 'highs';
import publishedValues from '../../reference/published-values.json';
import { PricePerMass } from '../../../src/core/units/money';
import { evaluateRation } from '../../../src/core/judge/evaluate';
import { solveWithHighs } from '../../../src/core/solver/highs-solver';
import type { SolveLinearProgram } from '../../../src/core/solver/linear-program';
import type { RationLot } from '../../../src/core/ration/ration';
import { rationSupply } from '../../../src/core/judge/ration-supply';
import { rationRows, type Candidate, type RationLimits } from '../../../src/core/ration/ration-rows';
import { leastCostRation, type LeastCostRation } from '../../../src/core/ration/solve';
import { figureIn, wordsIn } from '../../../src/core/units/wording';
import type { LayerRole } from '../../../src/core/laying/layer';
import { ALFALFA, DRY_COW, hay, KG_PER_LB, MEADOW, needs, STRAW, YEARLING } from './ration-fixtures';

let solve: SolveLinearProgram;
beforeAll(async () => {
  solve = solveWithHighs(await loadHighs());
});

const priced = (lot: RationLot, dollarsPerTon: string): RationLot => ({
  ...lot,
  price: PricePerMass.of(dollarsPerTon, 'USD', 'ton'),
});
const offer = (
  lot: RationLot,
  dollarsPerTon: string,
  role: LayerRole,
  availableKg: number | null = null,
): Candidate => ({ lot: priced(lot, dollarsPerTon), role, availableKg, bulkDensityKgPerM3: 80 });
const cow: RationLimits = {
  requirement: needs(DRY_COW),
  fullBodyWeightKg: DRY_COW.fullBodyWeightKg,
  proteinSystem: 'metabolizable',
  minerals: ['calcium', 'phosphorus'],
  intakeCapShare: 1.1,
  head: 100,
  days: 60,
};
const growing: RationLimits = {
  ...cow,
  requirement: needs(YEARLING),
  fullBodyWeightKg: YEARLING.fullBodyWeightKg,
  minerals: [],
  intakeCapShare: null,
};
const yard = [offer(STRAW, '60', 'coarse'), offer(MEADOW, '110', 'mixed'), offer(ALFALFA, '190', 'rich')];

function least(candidates: readonly Candidate[], limits: RationLimits): LeastCostRation {
  const outcome = leastCostRation({ candidates, limits, solve });
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
}
function solved(candidates: readonly Candidate[], limits: RationLimits) {
  const answer = least(candidates, limits);
  if (answer.status !== 'solved') throw new Error(JSON.stringify(answer.conflict));
  return answer;
}
const cost = (candidates: readonly Candidate[], limits: RationLimits) =>
  solved(candidates, limits).costPerHeadDay.amount.toNumber();
const amountOf = (answer: ReturnType<typeof solved>, lotName: string) =>
  answer.layers
    .flatMap(({ lots }) => lots)
    .filter(({ lot }) => lot.lotName === lotName)
    .reduce((sum, { asFedKgPerHeadPerDay }) => sum + asFedKgPerHeadPerDay, 0);

describe('the solver behind the function', () => {
  // HiGHS documentation, production planning example: chairs at 30 and tables at 50, 40 h of carpentry and 50 h of
  // finishing; optimum 1100 at 20 chairs and 10 tables.
  test('solves the workshop of the HiGHS documentation', () => {
    const answer = solve({
      columns: [
        { name: 'chairs', cost: -30, lower: 0, upper: null },
        { name: 'tables', cost: -50, lower: 0, upper: null },
      ],
      rows: [
        {
          name: 'carpentry',
          lower: null,
          upper: 40,
          terms: [
            { column: 0, coefficient: 1 },
            { column: 1, coefficient: 2 },
          ],
        },
        {
          name: 'finishing',
          lower: null,
          upper: 50,
          terms: [
            { column: 0, coefficient: 2 },
            { column: 1, coefficient: 1 },
          ],
        },
      ],
    });
    expect(answer).toMatchObject({ status: 'optimal', objective: -1100, columnValues: [20, 10] });
  });
  // The example in the encyclopaedia article on integer programming (from memory): maximize y with -x + y <= 1, 3x + 2y
  // <= 12, 2x + 3y <= 12;
  // whole numbers give y = 2, the same without wholeness 2.8 at (1.8, 2.8).
  test('keeps to whole numbers where asked', () => {
    const program = (whole: boolean) =>
      solve({
        columns: [
          { name: 'x', cost: 0, lower: 0, upper: null, whole },
          { name: 'y', cost: -1, lower: 0, upper: null, whole },
        ],
        rows: [
          {
            name: 'one',
            lower: null,
            upper: 1,
            terms: [
              { column: 0, coefficient: -1 },
              { column: 1, coefficient: 1 },
            ],
          },
          {
            name: 'two',
            lower: null,
            upper: 12,
            terms: [
              { column: 0, coefficient: 3 },
              { column: 1, coefficient: 2 },
            ],
          },
          {
            name: 'three',
            lower: null,
            upper: 12,
            terms: [
              { column: 0, coefficient: 2 },
              { column: 1, coefficient: 3 },
            ],
          },
        ],
      });
    expect(program(true)).toMatchObject({ status: 'optimal', objective: -2 });
    const loose = program(false);
    expect(loose.status === 'optimal' ? loose.columnValues : []).toEqual([
      expect.closeTo(1.8, 6),
      expect.closeTo(2.8, 6),
    ]);
  });
  test('says infeasible and unbounded', () => {
    const column = { name: 'x', cost: -1, lower: 0, upper: null };
    expect(
      solve({
        columns: [{ ...column, cost: 1 }],
        rows: [{ name: 'r', lower: 2, upper: 1, terms: [{ column: 0, coefficient: 1 }] }],
      }).status,
    ).toBe('infeasible');
    expect(['unbounded', 'infeasible']).toContain(
      solve({ columns: [column], rows: [{ name: 'r', lower: 1, upper: null, terms: [{ column: 0, coefficient: 1 }] }] })
        .status,
    );
  });
});

describe('published', () => {
  // Alabama Farmers Cooperative, February 2007 nutrition column (case req-nursing-shortfall): with 10 lb of hay at 9 %
  // CP, the cow is 2.1 lb of protein short,
  // which corn of 7.5 % CP would cover with 28 lb a day. Hay is made the cheaper feed, so that all 10 lb are used.
  test('10 lb of hay and 28 lb of corn for 3 lb of crude protein', () => {
    const inputs: Record<string, number> =
      (publishedValues as { id: string; inputs: Record<string, number> }[]).find(
        ({ id }) => id === 'req-nursing-shortfall',
      )?.inputs ?? {};
    const hayLb = inputs['hay_lb'] ?? Number.NaN;
    const requirement = {
      ...needs(DRY_COW),
      crudeProteinGPerDay: (inputs['need_CP_lb'] ?? Number.NaN) * KG_PER_LB * 1000,
      netEnergyMaintenanceTotalMcalPerDay: 1e-6,
    };
    const answer = solved(
      [
        offer(
          hay('Hay', 100, {
            crudeProteinPercent: inputs['hay_CP_pct'] ?? Number.NaN,
            totalDigestibleNutrientsPercent: 48,
          }),
          '50',
          'mixed',
          hayLb * KG_PER_LB,
        ),
        offer(hay('Corn', 100, { crudeProteinPercent: 7.5, totalDigestibleNutrientsPercent: 80 }), '200', 'rich'),
      ],
      { ...cow, requirement, proteinSystem: 'crude', minerals: [], intakeCapShare: null, head: 1, days: 1 },
    );
    expect(amountOf(answer, 'Hay') / KG_PER_LB).toBeCloseTo(10, 6);
    expect(amountOf(answer, 'Corn') / KG_PER_LB).toBeCloseTo(28, 6);
  });
});

describe('the cheapest ration', () => {
  test('meets what it was asked, by the evaluation of the same ration', () => {
    const { layers } = solved(yard, cow);
    const outcome = evaluateRation({ animal: DRY_COW, requirement: cow.requirement, layers });
    if (!outcome.ok) throw new Error('refused');
    const verdicts = Object.fromEntries(
      outcome.value.lines.map(({ nutrient, supply, need }) => [nutrient, (supply ?? 0) - (need ?? 0)]),
    );
    for (const nutrient of ['netEnergyMaintenance', 'metabolizableProtein', 'calcium', 'phosphorus'])
      expect(verdicts[nutrient]).toBeGreaterThanOrEqual(-1e-5);
  });
  test('growing cattle: energy for maintenance and gain come from one mixture, just met', () => {
    const { layers } = solved(yard, growing);
    const outcome = evaluateRation({ animal: YEARLING, requirement: growing.requirement, layers });
    if (!outcome.ok) throw new Error('refused');
    const gain = outcome.value.lines.find(({ nutrient }) => nutrient === 'netEnergyGain');
    const protein = outcome.value.lines.find(({ nutrient }) => nutrient === 'metabolizableProtein');
    expect((gain?.supply ?? 0) / (gain?.need ?? 1)).toBeGreaterThanOrEqual(1 - 1e-5);
    expect(
      Math.min((gain?.supply ?? 0) / (gain?.need ?? 1), (protein?.supply ?? 0) / (protein?.need ?? 1)),
    ).toBeLessThanOrEqual(1 + 1e-4);
  });
  test.each(['dry cow', 'yearling'])(
    '%s: no ration on a fine grid of two hays that meets the needs is cheaper, and the best of the grid is close',
    (name) => {
      const [limits, animal] = name === 'yearling' ? ([growing, YEARLING] as const) : ([cow, DRY_COW] as const);
      const twoHays = [yard[1], yard[2]].flatMap((each) => (each === undefined ? [] : [each]));
      const simple = { ...limits, minerals: [], intakeCapShare: null };
      const optimum = cost(twoHays, simple);
      let best = Number.POSITIVE_INFINITY;
      for (let meadow = 0; meadow <= 16; meadow += 0.1) {
        for (let alfalfa = 0; alfalfa <= 12; alfalfa += 0.1) {
          const price = (meadow * 110) / 907.18474 + (alfalfa * 190) / 907.18474;
          if (price >= best || meadow + alfalfa === 0) continue;
          const layers = [
            {
              role: 'mixed' as const,
              lots: [
                { lot: MEADOW, asFedKgPerHeadPerDay: meadow },
                { lot: ALFALFA, asFedKgPerHeadPerDay: alfalfa },
              ],
            },
          ];
          const outcome = evaluateRation({ animal, requirement: simple.requirement, layers });
          if (!outcome.ok) continue;
          const met = outcome.value.lines
            .filter(({ nutrient }) =>
              ['netEnergyMaintenance', 'netEnergyGain', 'metabolizableProtein'].includes(nutrient),
            )
            .every(({ supply, need }) => (supply ?? 0) >= (need ?? 0));
          if (met) best = price;
        }
      }
      expect(best).toBeGreaterThanOrEqual(optimum - 1e-6);
      expect(best).toBeLessThanOrEqual(optimum + (0.2 * (110 + 190)) / 907.18474);
    },
  );
  test('keeps layer shares on the basis they were told in', () => {
    const bands = {
      basis: 'dry-matter',
      bands: [
        { role: 'coarse', atLeast: 0.3, atMost: 0.4 },
        { role: 'rich', atLeast: 0.2 },
      ],
    } as const;
    const { layers } = solved(yard, { ...cow, shareBands: bands, intakeCapShare: null });
    const supply = rationSupply({ layers });
    const share = (lotName: string) =>
      supply.parts.filter(({ lot }) => lot.lotName === lotName).reduce((sum, part) => sum + part.shareOfDryMatter, 0);
    expect(share('Wheat straw')).toBeGreaterThanOrEqual(0.3 - 1e-6);
    expect(share('Wheat straw')).toBeLessThanOrEqual(0.4 + 1e-6);
    expect(share('Alfalfa')).toBeGreaterThanOrEqual(0.2 - 1e-6);
    expect(layers.map(({ role }) => role)).toEqual(
      [...layers.map(({ role }) => role)].sort(
        (a, b) => ['coarse', 'rich', 'mixed'].indexOf(a) - ['coarse', 'rich', 'mixed'].indexOf(b),
      ),
    );
  });
  test('never draws a lot beyond its balance over the period', () => {
    const short = [offer(MEADOW, '110', 'mixed', 30000), offer(ALFALFA, '190', 'rich', null)];
    expect(amountOf(solved(short, { ...cow, intakeCapShare: null }), 'Meadow hay')).toBeLessThanOrEqual(
      30000 / (100 * 60) + 1e-6,
    );
  });
  test('keeps legume, nitrate, sulfur, long stem and fiber limits', () => {
    const cheapOats = offer(
      hay('Oat hay', 88, {
        ...Object.fromEntries(Object.entries(MEADOW.composition).map(([field, { value }]) => [field, value])),
        nitrateNitrogenPpm: 3000,
      }),
      '40',
      'coarse',
    );
    const free = amountOf(solved([...yard, cheapOats], { ...cow, intakeCapShare: null }), 'Oat hay');
    const held = solved([...yard, cheapOats], {
      ...cow,
      intakeCapShare: null,
      maxNitrateNitrogenPpm: 1000,
      maxLegumeShare: 0.5,
      maxSulfurPercent: 0.3,
      minLongStemKg: 3,
      minCalciumToPhosphorus: 1,
      maxFiberPercentOfWeight: 1.4,
    });
    const supply = rationSupply({ layers: held.layers });
    expect(amountOf(held, 'Oat hay')).toBeLessThan(free);
    expect(((supply.nitrateNitrogenG.value ?? 0) * 1000) / supply.dryMatterKg).toBeLessThanOrEqual(1000 + 1e-3);
    expect((supply.legumeDryMatterKg ?? 0) / supply.dryMatterKg).toBeLessThanOrEqual(0.5 + 1e-6);
    expect(supply.neutralDetergentFiberKg.value ?? 0).toBeLessThanOrEqual(DRY_COW.fullBodyWeightKg * 0.014 + 1e-6);
  });
  test('one more hay on offer never makes it dearer; a cheaper hay never either', () => {
    expect(cost(yard, cow)).toBeLessThanOrEqual(cost(yard.slice(1), cow) + 1e-7);
    expect(
      cost([yard[0] ?? offer(STRAW, '60', 'coarse'), offer(MEADOW, '90', 'mixed'), offer(ALFALFA, '190', 'rich')], cow),
    ).toBeLessThanOrEqual(cost(yard, cow) + 1e-7);
  });
});

describe('shadow prices', () => {
  test.each([
    ['dry cow', 'energy-maintenance', 'netEnergyMaintenanceTotalMcalPerDay'],
    ['yearling', 'energy-gain', 'netEnergyGainMcalPerDay'],
    ['yearling', 'energy-maintenance', 'netEnergyMaintenanceTotalMcalPerDay'],
  ] as const)('%s, %s: is what a little more of the need really costs', (name, row, field) => {
    const limits = name === 'dry cow' ? cow : growing;
    const relaxed = {
      ...limits,
      minerals: [],
      intakeCapShare: null,
      requirement: { ...limits.requirement, metabolizableProteinGPerDay: 1 },
    };
    const shadow = solved(yard, relaxed).shadowPrices.find((each) => each.row === row);
    const step = relaxed.requirement[field] * 0.01;
    const at = (change: number) =>
      cost(yard, { ...relaxed, requirement: { ...relaxed.requirement, [field]: relaxed.requirement[field] + change } });
    const slope = (at(step) - at(-step)) / (2 * step);
    expect(shadow?.perUnit.amount.toNumber()).toBeGreaterThan(0);
    expect((shadow?.perUnit.amount.toNumber() ?? 0) / slope).toBeCloseTo(1, 2);
    expect(shadow && shadowPriceIn('us', shadow).words).toContain('One more Mcal of net energy');
  });
  test('an unused hay comes in just below the price told, and not above it', () => {
    const dear = offer(
      hay(
        'Dear hay',
        88,
        Object.fromEntries(Object.entries(MEADOW.composition).map(([field, { value }]) => [field, value])),
      ),
      '300',
      'mixed',
    );
    const unused = solved([...yard, dear], cow).unusedLots.find(({ lotName }) => lotName === 'Dear hay');
    const limit = unused?.comesInAt?.in('ton').toNumber() ?? Number.NaN;
    // The same hay as the meadow hay at 110.
    expect(limit).toBeLessThanOrEqual(110 + 1e-3);
    const at = (price: number) =>
      amountOf(solved([...yard, { ...dear, lot: priced(dear.lot, price.toFixed(2)) }], cow), 'Dear hay');
    expect(at(limit + 1)).toBe(0);
    expect(at(limit - 1)).toBeGreaterThan(0);
  });
});

describe('when no ration does it', () => {
  test('the conflict is irreducible and each row says by how much it must be missed', () => {
    const answer = least([offer(STRAW, '60', 'coarse')], { ...cow, intakeCapShare: 1 });
    if (answer.status !== 'infeasible') throw new Error('solved');
    expect(answer.conflict.map(({ row }) => row)).toContain('intake');
    expect(answer.conflict.length).toBe(2);
    for (const { missesBy, words } of answer.conflict) {
      expect(words).not.toBe('');
      expect(missesBy === null || missesBy > 0).toBe(true);
    }
  });
  test('too little hay in the yard names the lot balance and the need', () => {
    const answer = least([offer(MEADOW, '110', 'mixed', 1000)], {
      ...cow,
      minerals: [],
      requirement: { ...cow.requirement, metabolizableProteinGPerDay: 1 },
    });
    expect(answer).toMatchObject({
      status: 'infeasible',
      conflict: [{ row: 'energy-maintenance' }, { row: 'balance-Meadow hay' }],
    });
    if (answer.status !== 'infeasible') throw new Error('solved');
    const [energy, balance] = answer.conflict;
    const nem =
      rationSupply({ layers: [{ role: 'mixed', lots: [{ lot: MEADOW, asFedKgPerHeadPerDay: 1 }] }] })
        .netEnergyMaintenanceMcal.value ?? 0;
    expect(energy?.missesBy).toBeCloseTo(cow.requirement.netEnergyMaintenanceTotalMcalPerDay - (nem * 1000) / 6000, 4);
    expect(balance?.missesBy).toBeCloseTo(cow.requirement.netEnergyMaintenanceTotalMcalPerDay / nem - 1000 / 6000, 4);
  });
  test('growing cattle on straw cannot gain: some energy row and the intake conflict', () => {
    const answer = least([offer(STRAW, '60', 'coarse')], {
      ...growing,
      intakeCapShare: 1,
      requirement: { ...growing.requirement, metabolizableProteinGPerDay: 1 },
    });
    if (answer.status !== 'infeasible') throw new Error('solved');
    expect(answer.conflict.map(({ row }) => row)).toEqual(expect.arrayContaining(['intake', 'energy-gain']));
  });
});

// 1 lb is 453.59237 g (international pound). Protein goes by the pound like the hay that holds it.
describe('protein in words', () => {
  const ofCrude: RationLimits = {
    ...cow,
    proteinSystem: 'crude',
    minerals: [],
    requirement: { ...cow.requirement, netEnergyMaintenanceTotalMcalPerDay: 0.1, crudeProteinGPerDay: 907.18474 },
  };
  test('a conflict is told in pounds to readers of US units, in grams to others', () => {
    const answer = least([offer(MEADOW, '110', 'mixed', 1000)], { ...ofCrude, minDegradableShare: 1 });
    if (answer.status !== 'infeasible') throw new Error('solved');
    const crude = answer.conflict.find(({ row }) => row === 'crude-protein');
    if (crude === undefined) throw new Error('no protein');
    const short = crude.missesBy ?? Number.NaN;
    expect(conflictWordsIn('us', crude)).toBe(
      `at least 2 lb of crude protein a head a day: ${Number((short / 453.59237).toPrecision(3))} lb short`,
    );
    expect(conflictWordsIn('metric', crude)).toBe(
      `at least 907 g of crude protein a head a day: ${Number(short.toPrecision(3))} g short`,
    );
  });
  test('a price is that of one more pound, and of one more gram', () => {
    const price = solved(yard, ofCrude).shadowPrices.find(({ row }) => row === 'crude-protein');
    if (price === undefined) throw new Error('no price of protein');
    const [us, metric] = [shadowPriceIn('us', price), shadowPriceIn('metric', price)];
    expect([us.unit, metric.unit]).toEqual(['lb', 'g']);
    expect(us.words).toMatch(/^One more lb of crude protein per head per day would cost/);
    expect(us.perUnit.amount.div(metric.perUnit.amount).toNumber()).toBeCloseTo(453.59237, 4);
  });
  test('no demand of protein is told in grams to readers of US units', () => {
    const cautions = {
      nitrateShares: new Map<string, number>(),
      grainKg: null,
      longStemFiberPercent: null,
      nonProteinNitrogenShare: 0.2,
      ureaPercent: null,
      ureaKg: null,
      fatPercent: null,
      mineralFeedShare: null,
      strawShare: null,
      crudeProteinPercent: 7,
      forageShare: null,
    };
    for (const proteinSystem of ['crude', 'metabolizable'] as const) {
      const rows = rationRows({
        candidates: [offer(STRAW, '60', 'coarse'), offer(ALFALFA, '190', 'rich')],
        limits: { ...cow, proteinSystem, minDegradableShare: 1, cautions },
        feedForMaintenanceShare: 1,
      });
      const ofProtein = rows.filter(({ of }) => wordsIn('us', of).includes('protein'));
      expect(ofProtein.length).toBeGreaterThan(2);
      for (const { unit, words } of ofProtein) {
        expect(figureIn('us', { value: 1, unit }).unit).toBe('lb');
        expect(wordsIn('us', words)).not.toMatch(/\d g /);
        expect(figureIn('metric', { value: 1, unit }).unit).toBe('g');
      }
    }
  });
});

describe('what cannot be used or asked', () => {
  test('lots without price, composition, legume share or density are left out by name', () => {
    const untested = offer(hay('Untested', 88, { crudeProteinPercent: 8 }), '50', 'mixed');
    const free: Candidate = {
      lot: { ...MEADOW, lotId: 'free', lotName: 'No price' },
      role: 'mixed',
      availableKg: null,
    };
    const unsaid = offer({ ...MEADOW, lotId: 'x', lotName: 'Unsaid', legumeShare: null }, '10', 'mixed');
    const { bulkDensityKgPerM3: _density, ...undense } = offer(
      { ...MEADOW, lotId: 'y', lotName: 'Undense' },
      '10',
      'mixed',
    );
    const answer = solved([...yard, untested, free, unsaid, undense], {
      ...cow,
      maxLegumeShare: 0.9,
      shareBands: { basis: 'volume', bands: [] },
    });
    expect(answer.excluded.map(({ lotName, because }) => [lotName, because])).toEqual([
      ['Untested', 'composition-not-known'],
      ['No price', 'no-price'],
      ['Unsaid', 'legume-share-not-known'],
      ['Undense', 'density-not-known'],
    ]);
    expect(amountOf(answer, 'Untested')).toBe(0);
  });
  test('refusals', () => {
    expect(leastCostRation({ candidates: [], limits: cow, solve })).toMatchObject({
      ok: false,
      problems: [{ code: 'no-usable-lot' }],
    });
    expect(leastCostRation({ candidates: yard, limits: { ...cow, head: 0, maxLegumeShare: 2 }, solve })).toMatchObject({
      ok: false,
      problems: [{ code: 'head-out-of-range' }, { code: 'maxLegumeShare-out-of-range' }],
    });
    expect(
      leastCostRation({ candidates: yard, limits: cow, solve: () => ({ status: 'failed', detail: 'time limit' }) }),
    ).toMatchObject({ ok: false, problems: [{ code: 'solver-failed', given: 'time limit' }] });
  });
  test('the 2016 edition holds bacterial protein by its own line with a constant', () => {
    const rows = rationRows({
      limits: { ...cow, requirement: { ...cow.requirement, edition: 'NASEM2016' } },
      candidates: yard,
      feedForMaintenanceShare: 1,
    });
    expect(rows.find(({ key }) => key === 'bacteria-by-energy')?.lower).toBe(-42.73);
  });
});
