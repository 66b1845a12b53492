import { describe } from './descriptive.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { problem, type Problem } from '../outcome/problem.js';
import { GENERATOR_NAME, isSeed, seededRandom, shuffled } from './seeded-random.js';
import { TRIAL_CHOICES } from './trial.data.js';

export interface AnimalToAllocate {
  readonly id: string;
  readonly startWeightKg: number;
  /** Sex, class or any group that the arms should share evenly. */
  readonly stratum?: string;
}

export interface AllocationRequest {
  readonly animals: readonly AnimalToAllocate[];
  readonly armIds: readonly string[];
  /** Pens of a pen trial, as many for each arm; empty when animals are the unit. */
  readonly penIds: readonly string[];
  /** Whole number below 2⁶⁴ as text. */
  readonly seed: string;
}

export interface Assignment {
  readonly animalId: string;
  readonly armId: string;
  readonly penId: string | null;
  readonly block: number;
}

export interface BalanceRow {
  readonly armId: string;
  readonly head: number;
  readonly meanStartWeightKg: number;
  readonly sdStartWeightKg: number | null;
  readonly lightestKg: number;
  readonly heaviestKg: number;
  readonly strata: Readonly<Record<string, number>>;
}

export interface Allocation {
  readonly ok: true;
  readonly generator: string;
  readonly seed: string;
  readonly assignments: readonly Assignment[];
  readonly penArms: readonly { readonly penId: string; readonly armId: string }[];
  readonly balance: readonly BalanceRow[];
  readonly largestDifference: { readonly kg: number; readonly inStandardDeviations: number };
  readonly words: readonly string[];
}

function problemsOf({ animals, armIds, penIds, seed }: AllocationRequest): Problem[] {
  const problems: Problem[] = [];
  if (armIds.length < 2 || new Set(armIds).size !== armIds.length)
    problems.push(
      problem(
        'trial.arms',
        'armIds',
        armIds.join(', '),
        'two arms or more, each once',
        'A trial compares at least two arms.',
      ),
    );
  if (new Set(animals.map((animal) => animal.id)).size !== animals.length)
    problems.push(
      problem(
        'trial.animal-twice',
        'animals',
        String(animals.length),
        'each animal once',
        'An animal stands in the list twice.',
      ),
    );
  for (const animal of animals) {
    if (!(animal.startWeightKg > 0) || !Number.isFinite(animal.startWeightKg))
      problems.push(
        problem(
          'trial.start-weight',
          `animals.${animal.id}`,
          String(animal.startWeightKg),
          'above 0 kg',
          `${animal.id} has no usable start weight; arms are drawn from start weights.`,
        ),
      );
  }
  if (animals.length < 2 * armIds.length)
    problems.push(
      problem(
        'trial.too-few-animals',
        'animals',
        String(animals.length),
        `at least ${2 * armIds.length}`,
        'Each arm needs at least two animals.',
      ),
    );
  if (penIds.length > 0) {
    if (new Set(penIds).size !== penIds.length || penIds.length % armIds.length !== 0)
      problems.push(
        problem(
          'trial.pens',
          'penIds',
          String(penIds.length),
          `a multiple of ${armIds.length}, each once`,
          'Every arm needs the same number of pens.',
        ),
      );
    if (animals.length < penIds.length)
      problems.push(
        problem(
          'trial.too-few-animals',
          'animals',
          String(animals.length),
          `at least ${penIds.length}`,
          'Each pen needs an animal.',
        ),
      );
  }
  if (!isSeed(seed))
    problems.push(
      problem(
        'trial.seed',
        'seed',
        seed,
        'a whole number below 2^64',
        'The seed must be a whole number, kept with the trial.',
      ),
    );
  return problems;
}

/**
 * Draws arms at random within blocks of animals alike in start weight (heaviest first, within each stratum), so that a
 * kept seed gives the same draw again. With pens, each block fills every pen once and pens get arms at random. Animals
 * left over after the last full block are drawn among the arms or pens not yet filled in that block. Source: Cochran
 * and Cox 1957, Experimental Designs, 2nd ed., chapter 4 (randomised blocks).
 */
export function allocate(request: AllocationRequest): Allocation | Refusal {
  const problems = problemsOf(request);
  if (problems.length > 0) return refused(problems);
  const { animals, armIds, penIds, seed } = request;
  const random = seededRandom({ seed });

  const penArms = shuffled(penIds, random).map((penId, index) => ({
    penId,
    armId: armIds[index % armIds.length] ?? '',
  }));
  const places: readonly { armId: string; penId: string | null }[] =
    penIds.length > 0 ? penArms : armIds.map((armId) => ({ armId, penId: null }));

  const strata = [...new Set(animals.map((animal) => animal.stratum ?? ''))].sort();
  const assignments: Assignment[] = [];
  const leftOver: AnimalToAllocate[] = [];
  let block = 0;
  const byWeight = (group: readonly AnimalToAllocate[]) =>
    [...group].sort((one, other) => other.startWeightKg - one.startWeightKg || (one.id < other.id ? -1 : 1));
  /** As many places as asked for, drawn so that no arm gets two more than another. */
  const drawPlaces = (count: number) => {
    const waiting = new Map(
      armIds.map((armId) => [
        armId,
        shuffled(
          places.filter((place) => place.armId === armId),
          random,
        ),
      ]),
    );
    const inTurn = Array.from({ length: places.length / armIds.length }, (_, round) =>
      shuffled(armIds, random).flatMap((armId) => waiting.get(armId)?.[round] ?? []),
    ).flat();
    return shuffled(inTurn.slice(0, count), random);
  };
  const fill = (group: readonly AnimalToAllocate[]) => {
    block += 1;
    const order = drawPlaces(group.length);
    group.forEach((animal, index) => {
      const place = order[index];
      if (place) assignments.push({ animalId: animal.id, ...place, block });
    });
  };
  for (const stratum of strata) {
    const group = byWeight(animals.filter((animal) => (animal.stratum ?? '') === stratum));
    const full = Math.floor(group.length / places.length) * places.length;
    for (let from = 0; from < full; from += places.length) fill(group.slice(from, from + places.length));
    leftOver.push(...group.slice(full));
  }
  // What is left of all strata is blocked together: arms then never differ by more than one head.
  const rest = byWeight(leftOver);
  for (let from = 0; from < rest.length; from += places.length) fill(rest.slice(from, from + places.length));

  const weightOf = new Map(animals.map((animal) => [animal.id, animal]));
  const balance = armIds.map((armId): BalanceRow => {
    const members = assignments
      .filter((assignment) => assignment.armId === armId)
      .flatMap((assignment) => weightOf.get(assignment.animalId) ?? []);
    const weights = describe(members.map((member) => member.startWeightKg));
    const counts: Record<string, number> = {};
    for (const member of members)
      if (member.stratum !== undefined) counts[member.stratum] = (counts[member.stratum] ?? 0) + 1;
    return {
      armId,
      head: members.length,
      meanStartWeightKg: weights.mean,
      sdStartWeightKg: weights.n > 1 ? weights.sd : null,
      lightestKg: weights.smallest,
      heaviestKg: weights.largest,
      strata: counts,
    };
  });
  const means = balance.map((row) => row.meanStartWeightKg);
  const kg = Math.max(...means) - Math.min(...means);
  const spread = describe(animals.map((animal) => animal.startWeightKg)).sd;
  const inStandardDeviations = spread > 0 ? kg / spread : 0;
  const unbalanced = inStandardDeviations > TRIAL_CHOICES.balanceShareOfSd.value;
  return {
    ok: true,
    generator: GENERATOR_NAME,
    seed,
    assignments,
    penArms,
    balance,
    largestDifference: { kg, inStandardDeviations },
    words: [
      `${animals.length} animals were drawn into ${armIds.length} arms in ${block} blocks of like start weight ` +
        `with seed ${seed}.`,
      unbalanced
        ? `Mean start weights differ by ${inStandardDeviations.toFixed(2)} standard deviations. The draw stands: ` +
          'drawing again until it pleases would spoil it. The analysis of covariance allows for the difference.'
        : `Mean start weights of the arms differ by ${inStandardDeviations.toFixed(2)} standard deviations at most.`,
    ],
  };
}
