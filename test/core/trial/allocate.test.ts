import fc, { examples } from '../../support/properties.js';
import { allocate } from '../../../src/core/trial/allocate.js';
import { seededRandom } from '../../../src/core/trial/seeded-random.js';

const animalsOf = (count: number, seed: string) => {
  const random = seededRandom({ seed });
  return Array.from({ length: count }, (_, i) => ({
    id: `tag-${i + 1}`,
    startWeightKg: 250 + 25 * random.nextNormal(),
    ...(i % 3 === 0 ? { stratum: 'steer' } : { stratum: 'heifer' }),
  }));
};
const drawn = (request: Parameters<typeof allocate>[0]) => {
  const got = allocate(request);
  if (!got.ok) throw new Error(got.problems.map((problem) => problem.code).join());
  return got;
};

describe('allocation', () => {
  it('places every animal once, arms differ by one head at most, the same seed draws the same', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 6, max: 80 }),
        fc.integer({ min: 2, max: 3 }),
        fc.integer({ min: 0, max: 3 }),
        fc.bigInt({ min: 0n, max: 2n ** 64n - 1n }),
        (count, armCount, pensPerArm, seed) => {
          const armIds = ['a', 'b', 'c'].slice(0, armCount);
          fc.pre(count >= armCount * Math.max(2, pensPerArm));
          const request = {
            animals: animalsOf(count, '3'),
            armIds,
            penIds: Array.from({ length: pensPerArm * armCount }, (_, i) => `pen-${i + 1}`),
            seed: String(seed),
          };
          const got = drawn(request);
          expect(got.assignments.map((one) => one.animalId).sort()).toEqual(
            request.animals.map((one) => one.id).sort(),
          );
          const heads = got.balance.map((row) => row.head);
          expect(Math.max(...heads) - Math.min(...heads)).toBeLessThanOrEqual(1);
          if (pensPerArm > 0) {
            for (const armId of armIds)
              expect(got.penArms.filter((pen) => pen.armId === armId)).toHaveLength(pensPerArm);
            for (const one of got.assignments)
              expect(got.penArms).toContainEqual({ penId: one.penId, armId: one.armId });
            const sizes = request.penIds.map((penId) => got.assignments.filter((one) => one.penId === penId).length);
            expect(Math.max(...sizes) - Math.min(...sizes)).toBeLessThanOrEqual(1);
          }
          expect(drawn(request)).toEqual(got);
        },
      ),
      { numRuns: examples(60) },
    );
  });

  it('each block holds each arm once, and its animals are neighbors in start weight', () => {
    const animals = animalsOf(20, '5').map(({ id, startWeightKg }) => ({ id, startWeightKg }));
    const got = drawn({ animals, armIds: ['a', 'b'], penIds: [], seed: '1' });
    const order = [...animals].sort((one, other) => other.startWeightKg - one.startWeightKg).map((one) => one.id);
    for (let block = 1; block <= 10; block += 1) {
      const members = got.assignments.filter((one) => one.block === block);
      expect(members.map((one) => one.armId).sort()).toEqual(['a', 'b']);
      expect(members.map((one) => one.animalId).sort()).toEqual(order.slice(2 * block - 2, 2 * block).sort());
    }
  });

  it('blocking balances start weight better than chance would, and strata are shared', () => {
    const animals = animalsOf(40, '11');
    for (let seed = 0; seed < 50; seed += 1) {
      const got = drawn({ animals, armIds: ['a', 'b'], penIds: [], seed: String(seed) });
      // Without blocks the difference of means would have a standard deviation of 0.32 sd (√(2/20)).
      expect(got.largestDifference.inStandardDeviations).toBeLessThan(0.25);
      for (const stratum of ['steer', 'heifer']) {
        const [one, other] = got.balance.map((row) => row.strata[stratum] ?? 0);
        expect(Math.abs((one ?? 0) - (other ?? 0))).toBeLessThanOrEqual(1);
      }
    }
  });

  it('gives an animal either arm equally often (1000 draws, four standard errors)', () => {
    const animals = animalsOf(9, '2');
    const draws = examples(1000);
    let inA = 0;
    for (let seed = 0; seed < draws; seed += 1)
      inA +=
        drawn({ animals, armIds: ['a', 'b'], penIds: [], seed: String(seed) }).assignments.find(
          (one) => one.animalId === 'tag-4',
        )?.armId === 'a'
          ? 1
          : 0;
    expect(Math.abs(inA / draws - 0.5)).toBeLessThan(4 * Math.sqrt(0.25 / draws));
  });

  it('says what is wrong', () => {
    const codes = (more: Partial<Parameters<typeof allocate>[0]>) => {
      const got = allocate({ animals: animalsOf(8, '1'), armIds: ['a', 'b'], penIds: [], seed: '1', ...more });
      return got.ok ? [] : got.problems.map((problem) => problem.code);
    };
    expect(codes({})).toEqual([]);
    expect(codes({ seed: 'today' })).toEqual(['trial.seed']);
    expect(codes({ armIds: ['a'] })).toEqual(['trial.arms']);
    expect(codes({ penIds: ['p1', 'p2', 'p3'] })).toEqual(['trial.pens']);
    expect(codes({ animals: animalsOf(3, '1') })).toEqual(['trial.too-few-animals']);
    expect(codes({ animals: [...animalsOf(8, '1'), { id: 'tag-1', startWeightKg: 0 }] })).toEqual([
      'trial.animal-twice',
      'trial.start-weight',
    ]);
  });
});
