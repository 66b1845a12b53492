import { problem, type Problem } from '../outcome/problem.js';
import type { AllocationRequest } from './allocate.js';
import { isSeed } from './seeded-random.js';

/** Everything that keeps the arms from being drawn; empty if nothing does. Codes: see `allocate`. */
export function problemsOfAllocation(request: AllocationRequest): Problem[] {
  return [
    ...problemsOfArms(request),
    ...problemsOfAnimals(request),
    ...problemsOfPens(request),
    ...problemsOfSeed(request),
  ];
}

function problemsOfArms({ armIds }: AllocationRequest): Problem[] {
  if (armIds.length >= 2 && new Set(armIds).size === armIds.length) return [];
  return [
    problem(
      'trial.arms',
      'armIds',
      armIds.join(', '),
      'two arms or more, each once',
      'A trial compares at least two arms.',
    ),
  ];
}

function problemsOfAnimals({ animals, armIds }: AllocationRequest): Problem[] {
  const problems: Problem[] = [];
  if (new Set(animals.map((animal) => animal.id)).size !== animals.length)
    problems.push(
      problem(
        'trial.animal-twice',
        'animals',
        String(animals.length),
        'each animal once',
        'An animal is in the list twice.',
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
  return problems;
}

function problemsOfPens({ animals, armIds, penIds }: AllocationRequest): Problem[] {
  const problems: Problem[] = [];
  if (penIds.length === 0) return problems;
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
  return problems;
}

function problemsOfSeed({ seed }: AllocationRequest): Problem[] {
  if (isSeed(seed)) return [];
  return [
    problem(
      'trial.seed',
      'seed',
      seed,
      'a whole number below 2^64',
      'The seed must be a whole number, kept with the trial.',
    ),
  ];
}
