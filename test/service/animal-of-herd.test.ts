import { Mass } from '../../src/core/units/mass.js';
import { animalOfHerd } from '../../src/records/cattle/herds/animal-of-herd.js';
import type { HerdRow } from '../../src/records/cattle/herds/herd.read.js';

/* Days are counted by hand: 5 July 2025 to 20 April 2026 is 289, 10 to 20 April is 10. */
describe('the mean animal of a herd', () => {
  const herd = (row: Partial<HerdRow>): HerdRow =>
    ({
      cattle_class: 'lactating-cow',
      sex: 'cow',
      breed_type: 'british',
      bred_on: null,
      calved_on: null,
      mature_weight_kg: null,
      body_condition: null,
      peak_milk_kg: null,
      target_gain_kg: null,
      ...row,
    }) as HerdRow;
  const on = (row: Partial<HerdRow>, day: string): [number | undefined, number | undefined] => {
    const { daysPregnant, daysInMilk } = animalOfHerd(herd(row), Mass.kilograms('590'), day);
    return [daysPregnant, daysInMilk];
  };

  it('is pregnant from its breeding until it calves, then in milk, then pregnant again from the next breeding', () => {
    expect(on({ bred_on: '2025-07-05' }, '2026-04-20')).toEqual([289, undefined]);
    expect(on({ bred_on: '2025-07-05', calved_on: '2026-04-10' }, '2026-04-09')).toEqual([278, undefined]);
    expect(on({ bred_on: '2025-07-05', calved_on: '2026-04-10' }, '2026-04-20')).toEqual([undefined, 10]);
    expect(on({ bred_on: '2026-07-05', calved_on: '2026-04-10' }, '2026-07-15')).toEqual([10, 96]);
  });

  it('is not known to be pregnant before its breeding, nor longer than any cow carries', () => {
    expect(on({ bred_on: '2025-07-05' }, '2025-07-04')).toEqual([undefined, undefined]);
    expect(on({ bred_on: '2025-07-05' }, '2026-11-25')).toEqual([undefined, undefined]);
  });
});
