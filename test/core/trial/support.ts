import { seededRandom } from '../../../src/core/trial/seeded-random.js';
import type { TrialAnimal, TrialArm, TrialProtocol, Weighing } from '../../../src/core/trial/trial-records.js';
import type { TrialToJudge } from '../../../src/core/trial/judgement/judgement.js';
import { decimal } from '../../../src/core/units/decimal.js';
import { Mass } from '../../../src/core/units/mass.js';
import { Money, PricePerMass } from '../../../src/core/units/money.js';

export const arms: readonly TrialArm[] = [
  { id: 'usual', name: 'usual feeding', role: 'usual' },
  { id: 'layered', name: 'layered feeding', role: 'change' },
];
export const protocol: TrialProtocol = {
  lengthDays: 60,
  startDays: [0, 1],
  endDays: [60, 61],
  fill: 'full',
  hoursOffFeed: 0,
};

export const weigh = (day: number, weightKg: number, more: Partial<Weighing> = {}): Weighing => ({
  day,
  weightKg,
  fill: 'full',
  hoursOffFeed: 0,
  ...more,
});

/** An animal whose weights give exactly this gain over 60 days. */
export function animal(
  id: string,
  armId: string,
  gainKgPerDay: number,
  more: Partial<TrialAnimal> & { startKg?: number } = {},
): TrialAnimal {
  const { startKg = 250, ...rest } = more;
  const end = startKg + 60 * gainKgPerDay;
  return {
    id,
    armId,
    penId: null,
    weighings: [weigh(0, startKg), weigh(1, startKg), weigh(60, end), weigh(61, end)],
    events: [],
    ...rest,
  };
}

/** Two arms of `perArm` with normal gains, seeded. */
export function herd({
  perArm,
  difference,
  sd,
  seed,
  pensPerArm = 0,
}: {
  perArm: number;
  difference: number;
  sd: number;
  seed: string;
  pensPerArm?: number;
}): TrialAnimal[] {
  const random = seededRandom({ seed });
  return arms.flatMap((arm) =>
    Array.from({ length: perArm }, (_, i) =>
      animal(`${arm.id}-${i + 1}`, arm.id, 0.4 + (arm.role === 'change' ? difference : 0) + sd * random.nextNormal(), {
        startKg: 250 + 15 * random.nextNormal(),
        penId: pensPerArm > 0 ? `${arm.id}-pen-${(i % pensPerArm) + 1}` : null,
      }),
    ),
  );
}

export function trial(animals: readonly TrialAnimal[], more: Partial<TrialToJudge> = {}): TrialToJudge {
  return {
    question: 'Does layered feeding gain more than the usual feeding?',
    arms,
    unit: 'animal',
    protocol,
    animals,
    method: 'analysis-of-covariance',
    penToPenSdKgPerDay: null,
    confidence: 0.95,
    worthwhileDifferenceKgPerDay: 0.1,
    look: { planned: null, number: 1, final: true },
    currency: 'USD',
    feeds: arms.map((arm) => ({
      armId: arm.id,
      name: 'hay',
      fed: Mass.kilograms('12000'),
      refused: Mass.zero,
      wasted: Mass.kilograms(arm.id === 'usual' ? '2400' : '960'),
      dryMatterShare: decimal('0.88'),
      price: PricePerMass.of('140', 'USD', 'ton'),
      daysMissing: 0,
    })),
    otherCosts: arms.map((arm) => ({ armId: arm.id, cost: Money.of('600', 'USD') })),
    valueOfGain: PricePerMass.of('1.10', 'USD', 'lb'),
    valueOfCattle: null,
    herdHead: 200,
    classOfAnimals: 'weaned heifers',
    season: 'winter',
    hay: 'second-cutting meadow hay under barley hay',
    wordsIn: 'lb',
    ...more,
  };
}
