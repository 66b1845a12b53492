import fc from '../../support/properties.js';
import { nrc2000CowIntake } from '../../../src/core/requirements/intake.js';
import type {
  AnimalDescription,
  RequirementConditions,
  RequirementSet,
} from '../../../src/core/requirements/requirement-set.js';
import { type HerdPart, requirementsForHerd } from '../../../src/core/requirements/requirements-for-herd.js';
import { wordsIn } from '../../../src/core/units/wording.js';
import { KG_PER_LB as LB, needs } from '../ration/ration-fixtures.js';

const HAY: RequirementConditions = { edition: 'NRC2000', diet: { totalDigestibleNutrientsPercent: 58 } };
const COW = { sex: 'cow', fullBodyWeightKg: 1250 * LB, calfBirthWeightKg: 38 } as const;
const HEIFER: AnimalDescription = {
  class: 'replacement-heifer',
  sex: 'heifer',
  fullBodyWeightKg: 800 * LB,
  matureFullBodyWeightKg: 1250 * LB,
  ageMonths: 15,
  targetShrunkGainKgPerDay: 0.4,
  calfBirthWeightKg: 36,
};

function herd(parts: readonly HerdPart[], conditions = HAY): RequirementSet {
  const outcome = requirementsForHerd(parts, conditions);
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
}

/** A season of so many days, most of it in the middle: a triangle. */
function season(days: number): { day: number; share: number }[] {
  const weights = Array.from({ length: days }, (_, day) => Math.min(day + 1, days - day));
  const sum = weights.reduce((before, weight) => before + weight, 0);
  return weights.map((weight, day) => ({ day, share: weight / sum }));
}

const CONCEPTION_DAY = 82;
const WEANING_AGE = 205;

/** A cow that calves on the same day every year, on any day since a calving; she dries off at one age of the calf. */
function cowSinceCalving(days: number): AnimalDescription {
  const since = ((days % 365) + 365) % 365;
  const pregnant = since > CONCEPTION_DAY ? { daysPregnant: since - CONCEPTION_DAY } : {};
  return since < WEANING_AGE
    ? { ...COW, class: 'lactating-cow', daysInMilk: since, ...pregnant }
    : { ...COW, class: 'dry-pregnant-cow', daysPregnant: since - CONCEPTION_DAY };
}

const cowsOn = (day: number, calving: ReturnType<typeof season>): HerdPart[] =>
  calving.map(({ day: calved, share }) => ({ share, animal: cowSinceCalving(day - calved) }));
const heifersOn = (day: number, breeding: ReturnType<typeof season>): HerdPart[] =>
  breeding.map(({ day: bred, share }) => ({
    share,
    animal: day < bred ? HEIFER : { ...HEIFER, daysPregnant: day - bred },
  }));

const WATCHED = {
  energy: (set: RequirementSet) => set.netEnergyMaintenanceTotalMcalPerDay,
  intake: (set: RequirementSet) => set.dryMatterIntakeKgPerDay,
  protein: (set: RequirementSet) => set.metabolizableProteinGPerDay,
};
/** Largest change from one day to the next, as a share. */
function steepest(days: readonly RequirementSet[], figure: (set: RequirementSet) => number): number {
  return Math.max(...days.slice(1).map((set, index) => Math.abs(figure(set) / figure(days[index] ?? set) - 1)));
}

describe('no cliff stems from the model', () => {
  test('a cow has milk from the first day on: not the zero that the curve starts at', () => {
    const fresh = needs({ ...COW, class: 'lactating-cow', daysInMilk: 0 }, HAY);
    const week = needs({ ...COW, class: 'lactating-cow', daysInMilk: 7 }, HAY);
    expect(fresh.milkKgPerDay).toBeCloseTo(week.milkKgPerDay, 12);
    // The curve of NRC 2000 in its first week, peak 8 kg at week 8.5: 8/8.5 · e^(1 − 1/8.5).
    expect(fresh.milkKgPerDay).toBeCloseTo((8 / 8.5) * Math.exp(1 - 1 / 8.5), 9);
    expect(fresh.notes.map(({ code }) => code)).toContain('milk-of-the-first-week');
  });

  test('the day after breeding a heifer and a cow eat within 1 % of what they ate the day before', () => {
    const eats = (animal: AnimalDescription) => needs(animal, HAY).dryMatterIntakeKgPerDay;
    const nursing: AnimalDescription = { ...COW, class: 'lactating-cow', daysInMilk: 82 };
    for (const animal of [HEIFER, nursing])
      expect(Math.abs(eats({ ...animal, daysPregnant: 1 }) / eats(animal) - 1)).toBeLessThan(0.01);
    // From the end of the first month, where the published tables begin, the published equation stands alone.
    const { shrunkBodyWeightKg, dryMatterIntakeKgPerDay, diet } = needs({ ...HEIFER, daysPregnant: 30 }, HAY);
    expect(dryMatterIntakeKgPerDay).toBeCloseTo(
      nrc2000CowIntake({
        shrunkBodyWeightKg,
        netEnergyMaintenanceMcalPerKg: diet.netEnergyMaintenanceMcalPerKg,
        pregnant: true,
        milkKgPerDay: 0,
      }).dryMatterIntakeKgPerDay,
      12,
    );
  });

  test.each(['solved', 'given'] as const)(
    'cows that calve over 60 days change by less than 1 %% a day, calving and breeding through (diet %s)',
    (diet) => {
      const calving = season(60);
      const conditions: RequirementConditions = diet === 'given' ? HAY : { edition: 'NRC2000' };
      // From when the last is dry to when the first is weaned again: weaning is a step of the herd, not of the model.
      const days = Array.from({ length: 365 - 60 }, (_, day) =>
        herd(cowsOn(day + WEANING_AGE + 60 - 365, calving), conditions),
      );
      for (const figure of Object.values(WATCHED)) expect(steepest(days, figure)).toBeLessThan(0.01);
    },
  );

  test('heifers that are bred over 45 days change by less than 1 % a day, open to term', () => {
    const breeding = season(45);
    const days = Array.from({ length: 300 }, (_, day) => herd(heifersOn(day - 10, breeding)));
    for (const figure of Object.values(WATCHED)) expect(steepest(days, figure)).toBeLessThan(0.01);
  });
});

describe('requirementsForHerd', () => {
  test('a herd of one is its animal, to the last digit and word', () => {
    for (const conditions of [HAY, { edition: 'NASEM2016' as const }]) {
      const animal = cowSinceCalving(60);
      expect(herd([{ share: 1, animal }], conditions)).toEqual(needs(animal, conditions));
    }
  });

  test('every figure is the mean of its animals on the diet that they share', () => {
    const dry = cowSinceCalving(300);
    const fresh = cowSinceCalving(20);
    const both = herd([
      { share: 0.25, animal: dry },
      { share: 0.75, animal: fresh },
    ]);
    const [a, b] = [needs(dry, HAY), needs(fresh, HAY)];
    const mean = (figure: (set: RequirementSet) => number) => 0.25 * figure(a) + 0.75 * figure(b);
    for (const figure of [
      ...Object.values(WATCHED),
      (set: RequirementSet) => set.minerals.calcium,
      (set: RequirementSet) => set.waterLPerDay,
      (set: RequirementSet) => set.milkKgPerDay,
      (set: RequirementSet) => set.metabolizableProteinParts.pregnancyGPerDay,
      (set: RequirementSet) => set.equivalentShrunkBodyWeightKg,
      (set: RequirementSet) =>
        set.parts.maintenance?.find(({ name }) => name === 'net energy in comfort')?.value ?? NaN,
    ])
      expect(figure(both)).toBeCloseTo(mean(figure), 9);
    expect(both.animalClass).toBe('lactating-cow');
    const milk = both.parts.lactation?.find(({ name }) => name === 'milk of the day');
    expect(milk?.value).toBeCloseTo(0.75 * b.milkKgPerDay, 9);
    // What a kilogram of milk holds is no less because some give none.
    const energy = (set: RequirementSet) => set.parts.lactation?.find(({ name }) => name === 'energy of milk')?.value;
    expect(energy(both)).toBeCloseTo(energy(b) ?? NaN, 12);
    expect(both.notes).toContainEqual(
      expect.objectContaining({
        code: 'mean-of-the-herd',
        message: expect.stringContaining('75 % cows in milk, 25 % dry pregnant cows') as string,
      }),
    );
    expect(new Set(both.notes.map(({ code, message }) => `${code} ${wordsIn('us', message)}`)).size).toBe(
      both.notes.length,
    );
  });

  test('what the mean is of is told as it is: one class at several stages, and parts that are small', () => {
    const messageOf = (...animals: { share: number; animal: AnimalDescription }[]) =>
      herd(animals).notes.flatMap(({ code, message }) => (code === 'mean-of-the-herd' ? [wordsIn('us', message)] : []));
    const [dry, later, fresh] = [300, 330, 20].map(cowSinceCalving) as [
      AnimalDescription,
      AnimalDescription,
      AnimalDescription,
    ];
    expect(messageOf({ share: 0.5, animal: dry }, { share: 0.5, animal: later })).toEqual([
      'The figures are the mean of the herd, dry pregnant cows that are not all equally far along.',
    ]);
    expect(messageOf({ share: 0.998, animal: dry }, { share: 0.002, animal: fresh })[0]).toContain(
      'over 99 % dry pregnant cows, less than 1 % cows in milk',
    );
  });

  test('without a diet one is solved for all of them: their mean intake covers their mean need', () => {
    const parts = cowsOn(30, season(60));
    const set = herd(parts, { edition: 'NRC2000' });
    expect(set.diet.origin).toBe('solved');
    expect(set.dryMatterIntakeKgPerDay * set.diet.netEnergyMaintenanceMcalPerKg).toBeCloseTo(
      set.netEnergyMaintenanceTotalMcalPerDay,
      6,
    );
  });

  test('lies between its animals, whatever the shares', () => {
    const stage = fc.integer({ min: 0, max: 364 });
    fc.assert(
      fc.property(
        fc.array(fc.tuple(stage, fc.integer({ min: 1, max: 9 })), { minLength: 1, maxLength: 6 }),
        (given) => {
          const sum = given.reduce((before, [, weight]) => before + weight, 0);
          const parts = given.map(([day, weight]) => ({ share: weight / sum, animal: cowSinceCalving(day) }));
          const mean = herd(parts);
          const each = parts.map(({ animal }) => needs(animal, HAY));
          for (const figure of Object.values(WATCHED)) {
            expect(figure(mean)).toBeLessThanOrEqual(Math.max(...each.map(figure)) + 1e-9);
            expect(figure(mean)).toBeGreaterThanOrEqual(Math.min(...each.map(figure)) - 1e-9);
          }
        },
      ),
    );
  });

  test('refuses shares that do not make a whole, and what its animals would be refused for, once', () => {
    const animal = cowSinceCalving(20);
    const problemsOf = (parts: readonly HerdPart[]) => {
      const outcome = requirementsForHerd(parts, HAY);
      return outcome.ok ? [] : outcome.problems.map(({ code, field }) => `${field}: ${code}`);
    };
    expect(problemsOf([])).toEqual(['parts: shares-do-not-add-up']);
    expect(problemsOf([{ share: 0.4, animal }])).toEqual(['parts: shares-do-not-add-up']);
    expect(
      problemsOf([
        { share: 1.2, animal },
        { share: -0.2, animal },
      ]),
    ).toEqual(['parts[1].share: out-of-range']);
    const heavy = { ...animal, fullBodyWeightKg: 9000 };
    expect(
      problemsOf([
        { share: 0.5, animal: heavy },
        { share: 0.5, animal: { ...heavy, daysInMilk: 21 } },
      ]),
    ).toEqual(['fullBodyWeightKg: out-of-range']);
  });
});
