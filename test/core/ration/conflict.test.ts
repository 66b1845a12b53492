/*
 * Where no ration does it: the conflict names what a person has to change, and every row of it is needed. Hays, mineral
 * and prices are invented.
 */
import loadHighs from 'highs';
import { conflictWordsIn } from '../../../src/core/ration/least-cost-words';
import type { RationLot } from '../../../src/core/ration/ration';
import type { Candidate } from '../../../src/core/ration/ration-rows';
import { safeRation, type SafeRationRequest } from '../../../src/core/ration/safe-ration';
import type { AnimalDescription } from '../../../src/core/requirements/requirement-set';
import { requirementsFor } from '../../../src/core/requirements/requirements-for';
import { solveWithHighs } from '../../../src/core/solver/highs-solver';
import type { SolveLinearProgram } from '../../../src/core/solver/linear-program';
import { PricePerMass } from '../../../src/core/units/money';
import fc, { examples } from '../../support/properties';
import { DRY_COW, hay, KG_PER_LB, MEADOW, needs, YEARLING } from './ration-fixtures';

let solve: SolveLinearProgram;
beforeAll(async () => {
  solve = solveWithHighs(await loadHighs());
});

const BY_THE_OUNCE = { isForage: false, isLongStem: false, feedGroup: 'mineral' as const };
const SALT = hay('Salt', 99, { sodiumPercent: 39 }, BY_THE_OUNCE);
const MINERAL = hay('Mineral', 97, { calciumPercent: 12, phosphorusPercent: 10 }, BY_THE_OUNCE);
const valuesOf = ({ composition }: RationLot): Record<string, number> =>
  Object.fromEntries(Object.entries(composition).map(([field, { value }]) => [field, value]));
/** A bulky hay of little protein: enough for no gain. */
const BROME = hay('Brome', 88, { ...valuesOf(MEADOW), crudeProteinPercent: 7.5, neutralDetergentFiberPercent: 65 });
const GAINING: AnimalDescription = { ...YEARLING, targetShrunkGainKgPerDay: 0.9 };

const offer = (lot: RationLot, fixedLb?: number): Candidate => ({
  lot: { ...lot, price: PricePerMass.of('110', 'USD', 'ton') },
  role: 'mixed',
  availableKg: null,
  bulkDensityKgPerM3: 80,
  ...(fixedLb === undefined ? {} : { fixedKg: fixedLb * KG_PER_LB }),
});

function outcomeOf(
  animal: AnimalDescription,
  candidates: readonly Candidate[],
  {
    wanted,
    ...more
  }: Partial<Omit<SafeRationRequest, 'wanted'>> & { wanted?: Partial<SafeRationRequest['wanted']> } = {},
) {
  return safeRation({
    candidates,
    animal,
    wanted: {
      proteinSystem: 'metabolizable',
      minerals: [],
      intakeCapShare: 1.05,
      intakeFloorShare: 0.95,
      minLongStemKg: animal.fullBodyWeightKg * 0.005,
      head: 100,
      days: 30,
      ...wanted,
    },
    needOn: (diet) => requirementsFor(animal, { edition: 'NRC2000', diet }),
    waterSulfateMgPerL: null,
    solve,
    ...more,
  });
}

function conflictOf(...asked: Parameters<typeof outcomeOf>) {
  const outcome = outcomeOf(...asked);
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  if (outcome.value.status !== 'infeasible') throw new Error('solved');
  return outcome.value.conflict;
}
const rowsOf = (conflict: readonly { readonly row: string }[]): string[] => conflict.map(({ row }) => row).sort();

describe('a conflict names its reasons', () => {
  test('salt by the pound conflicts with the salt that cattle tolerate and with what they can eat', () => {
    // NRC 2005, Mineral Tolerance of Animals: cattle not in milk tolerate 4.5 % salt. 3 lb would need 66 lb of feed.
    const conflict = conflictOf(DRY_COW, [offer(MEADOW), offer(SALT, 3)]);
    expect(rowsOf(conflict)).toEqual(expect.arrayContaining(['fixed-Salt', 'salt']));
    const salt = conflict.find(({ row }) => row === 'salt');
    expect(conflictWordsIn('us', salt ?? conflict[0]!)).toMatch(/^salt at most 4\.\d+ % of the dry matter: /);
    expect(conflict.length).toBeGreaterThan(2);
  });

  test('a mineral in a fixed amount is no reason where the hay alone does not do it', () => {
    const [alone, withMineral] = [[offer(BROME)], [offer(BROME), offer(MINERAL, 0.25)]].map((yard) =>
      conflictOf(GAINING, yard),
    );
    expect(rowsOf(withMineral ?? [])).toEqual(rowsOf(alone ?? []));
    // The needs that no amount of it meets are named, not the gram of a proportion beside them.
    expect(rowsOf(alone ?? [])).toEqual(['fibre', 'metabolizable-protein']);
  });

  test.each([0.3, 0.6, 0.9, 1.2, 1.5])(
    'an energy that no diet in reach gives is missed by no more than is asked of it, at %p kg a day',
    (targetShrunkGainKgPerDay) => {
      const animal = { ...YEARLING, targetShrunkGainKgPerDay };
      const { netEnergyGainMcalPerDay, netEnergyMaintenanceTotalMcalPerDay } = needs(animal);
      const most: Readonly<Record<string, number>> = {
        'energy-gain': netEnergyGainMcalPerDay * 1.01,
        'energy-maintenance': netEnergyMaintenanceTotalMcalPerDay * 1.01,
      };
      const energies = [40, 46, 52].flatMap((totalDigestibleNutrientsPercent) => {
        const fine = { crudeProteinPercent: 14, neutralDetergentFiberPercent: 50, totalDigestibleNutrientsPercent };
        const lot = hay('Weathered alfalfa', 88, { ...valuesOf(MEADOW), ...fine });
        const outcome = outcomeOf(animal, [offer(lot)], { wanted: { proteinSystem: 'crude' } });
        return outcome.ok && outcome.value.status === 'infeasible'
          ? outcome.value.conflict.filter(({ row, missesBy }) => row in most && missesBy !== null)
          : [];
      });
      expect(energies.length).toBeGreaterThan(0);
      for (const { row, missesBy } of energies) {
        expect(missesBy).toBeGreaterThan(0);
        expect(missesBy).toBeLessThanOrEqual(most[row] ?? 0);
      }
    },
  );

  test('a floor of the intake above its cap is refused with both sides', () => {
    const outcome = outcomeOf(DRY_COW, [offer(MEADOW)], { wanted: { intakeFloorShare: 1, intakeCapShare: 0.5 } });
    if (outcome.ok) throw new Error('taken');
    expect(outcome.problems).toMatchObject([
      {
        code: 'least-above-most',
        field: 'intakeFloorShare',
        given: '100 %',
        allowed: '50 % or less, the most dry matter that is asked for',
      },
    ]);
  });

  test('no row is a reason that is missed by nothing, whatever is asked', () => {
    fc.assert(
      fc.property(
        fc.record({
          protein: fc.double({ min: 4, max: 12, noNaN: true }),
          fiber: fc.double({ min: 50, max: 75, noNaN: true }),
          salt: fc.constantFrom(undefined, 0.1, 1, 3),
          mineral: fc.constantFrom(undefined, 0.25, 2),
          sulfate: fc.constantFrom(null, 500, 2800),
          animal: fc.constantFrom(DRY_COW, GAINING),
        }),
        ({ protein, fiber, salt, mineral, sulfate, animal }) => {
          const lot = hay('Hay', 88, {
            ...valuesOf(MEADOW),
            crudeProteinPercent: protein,
            neutralDetergentFiberPercent: fiber,
          });
          const yard = [
            offer(lot),
            ...(salt === undefined ? [] : [offer(SALT, salt)]),
            ...(mineral === undefined ? [] : [offer(MINERAL, mineral)]),
          ];
          const outcome = outcomeOf(animal, yard, { waterSulfateMgPerL: sulfate });
          if (!outcome.ok || outcome.value.status === 'solved') return;
          expect(outcome.value.conflict.length).toBeGreaterThan(0);
          for (const one of outcome.value.conflict)
            expect([one.row, conflictWordsIn('us', one)]).toEqual([one.row, expect.not.stringMatching(/: 0 |e-\d/)]);
        },
      ),
      { numRuns: examples(10) },
    );
  });
});
