/* Which cattle of a herd got which feedings of a day. Everything here is worked out by hand. */
import { feedingsOfAnimals, headByFeeding } from '../../../src/core/judge/fed-groups';
import fc from '../../support/properties';

const fed = (...heads: readonly number[]) => heads.map((headFed, index) => ({ name: 'ABCDEFGH'[index], headFed }));
const names = (groups: readonly { name: string | undefined }[][]) =>
  groups.map((of) => of.map(({ name }) => name).join(''));

describe('feedings of one day', () => {
  it.each([
    ['to two halves went to different cattle', [50, 50], ['A', 'B']],
    ['to two halves, with hay for all', [100, 50, 50], ['BA', 'CA']],
    ['to both halves twice', [50, 50, 50, 50], ['AC', 'BD']],
    ['to parts that make up nearly the herd', [60, 35], ['A', 'B']],
    ['to the whole herd twice went to the same', [100, 100], ['AB']],
    ['to more than the herd has were fed twice to some', [60, 60], ['AB']],
    ['to few may have gone to the same few', [20, 20], ['AB']],
    ['to fewer head went to some of those that most got', [100, 30], ['A', 'AB']],
  ])('%s', (_, heads, groups) => {
    expect(names(feedingsOfAnimals(fed(...heads), 100))).toEqual(groups);
  });

  it('are divided by the head that their round went to, so that a fed herd is never fed twice', () => {
    expect([...headByFeeding(fed(50, 50, 100), 100).values()]).toEqual([100, 100, 100]);
    expect([...headByFeeding(fed(20, 20), 100).values()]).toEqual([20, 20]);
  });

  it('leave no feeding out and never give one animal two of the same round', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 100 }), { minLength: 1, maxLength: 8 }), (heads) => {
        const feedings = fed(...heads);
        const groups = feedingsOfAnimals(feedings, 100);
        expect([...new Set(groups.flat())].sort()).toHaveLength(feedings.length);
        for (const group of groups) expect(new Set(group).size).toBe(group.length);
      }),
    );
  });
});
