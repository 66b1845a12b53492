/*
 * Dated facts of a herd and the requirement equations together: what a herd needs runs on from day to day, whatever
 * each of its animals goes through. Weaning is a step that the herd takes, and is left out.
 */
import { requirementsForHerd } from '../../../src/core/requirements/requirements-for-herd.js';
import type { RequirementSet } from '../../../src/core/requirements/requirement-set.js';
import type { HerdOnFile } from '../../../src/core/standing/herd-on-file.js';
import { herdThroughTime } from '../../../src/core/standing/herd-state.js';
import { addDays } from '../../../src/core/time/calendar-day.js';

const bredByBulls = (from: string, until: string): HerdOnFile['facts'][number] => ({
  kind: 'bred',
  service: 'bull',
  id: from,
  on: from,
  lastOn: until,
  recordedAt: `${until}T12:00:00Z`,
});
const herd = (facts: HerdOnFile['facts'], more: Partial<HerdOnFile> = {}): HerdOnFile => ({
  sex: 'cow',
  breedType: 'bos-taurus-beef',
  matureKg: 590,
  peakMilkKg: null,
  entry: { kg: 590, on: '2025-06-01' },
  entered: { cattleClass: 'dry-pregnant-cow' },
  facts,
  weighings: [],
  flows: [],
  ...more,
});
const days = (from: string, count: number) => Array.from({ length: count }, (_, index) => addDays(from, index));

function needsOn(file: HerdOnFile, on: readonly string[]): RequirementSet[] {
  const through = herdThroughTime(file);
  return on.map((day) => {
    const outcome = requirementsForHerd(through.on(day).parts, {
      edition: 'NRC2000',
      diet: { totalDigestibleNutrientsPercent: 58 },
    });
    if (!outcome.ok) throw new Error(`${day}: ${JSON.stringify(outcome.problems)}`);
    return outcome.value;
  });
}

/** The steepest change from one day to the next, as a share, and its day. */
function steepest(
  sets: readonly RequirementSet[],
  on: readonly string[],
  figure: (set: RequirementSet) => number,
): { share: number; day: string } {
  return sets.slice(1).reduce(
    (most, set, index) => {
      const share = Math.abs(figure(set) / figure(sets[index] ?? set) - 1);
      return share > most.share ? { share, day: on[index + 1] ?? '' } : most;
    },
    { share: 0, day: '' },
  );
}

const FIGURES = {
  energy: (set: RequirementSet) => set.netEnergyMaintenanceTotalMcalPerDay,
  intake: (set: RequirementSet) => set.dryMatterIntakeKgPerDay,
  protein: (set: RequirementSet) => set.metabolizableProteinGPerDay,
};

describe('the need of a herd that was bred over nine weeks', () => {
  const cows = herd([bredByBulls('2025-06-01', '2025-08-02')]);

  test.each(Object.entries(FIGURES))('%s changes by less than 1.5 %% a day, November through May', (_name, figure) => {
    const on = days('2025-11-01', 212);
    expect(steepest(needsOn(cows, on), on, figure).share).toBeLessThan(0.015);
  });

  test.each(['energy', 'intake'] as const)('%s of heifers runs on from open to their first milk', (name) => {
    const heifers = herd([bredByBulls('2025-06-01', '2025-07-15')], {
      sex: 'heifer',
      entered: { cattleClass: 'replacement-heifer' },
      entry: { kg: 360, on: '2025-05-01' },
    });
    const on = days('2025-05-10', 400);
    expect(steepest(needsOn(heifers, on), on, FIGURES[name]).share).toBeLessThan(0.015);
  });

  test('no day of the year is refused, and none is without a need', () => {
    for (const set of needsOn(cows, days('2025-06-01', 420))) expect(set.dryMatterIntakeKgPerDay).toBeGreaterThan(5);
  });
});
