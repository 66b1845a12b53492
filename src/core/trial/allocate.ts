import { type Refusal, refused } from '../outcome/outcome.js';
import { problemsOfAllocation } from './allocation-problems.js';
import { describe } from './descriptive.js';
import { GENERATOR_NAME, type SeededRandom, seededRandom, shuffled } from './seeded-random.js';
import { TRIAL_CHOICES } from './trial.data.js';

interface AnimalToAllocate {
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

interface Assignment {
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

/**
 * Draws arms at random within blocks of animals alike in start weight (heaviest first, within each stratum), so that
 * the same seed gives the same draw again. With pens, each block fills every pen once and pens get arms at random.
 * Animals left over after the last full block are drawn among the arms or pens not yet filled in that block. Source:
 * Cochran and Cox 1957, Experimental Designs, 2nd ed., chapter 4 (randomized blocks).
 * @returns a refusal with codes `trial.arms`, `trial.animal-twice`, `trial.start-weight`, `trial.too-few-animals`,
 * `trial.pens`, `trial.seed`.
 */
export function allocate(request: AllocationRequest): Allocation | Refusal {
  const problems = problemsOfAllocation(request);
  if (problems.length > 0) return refused(problems);
  const { animals, armIds, penIds, seed } = request;
  const random = seededRandom({ seed });
  const penArms = shuffled(penIds, random).map((penId, index) => ({
    penId,
    armId: armIds[index % armIds.length] ?? '',
  }));
  const places: readonly Place[] = penIds.length > 0 ? penArms : armIds.map((armId) => ({ armId, penId: null }));
  const blocks = blocksOf(animals, places.length);
  const assignments = blocks.flatMap((block, index) => fillBlock(block, index + 1, { armIds, places, random }));
  const balance = balanceOf(request, assignments);
  const largestDifference = largestDifferenceOf(balance, animals);
  return {
    ok: true,
    generator: GENERATOR_NAME,
    seed,
    assignments,
    penArms,
    balance,
    largestDifference,
    words: inWords(request, blocks.length, largestDifference.inStandardDeviations),
  };
}

/** What an animal can be drawn into: an arm or one of its pens. */
interface Place {
  readonly armId: string;
  readonly penId: string | null;
}

/**
 * Blocks of animals alike in start weight, heaviest first, within each stratum. What is left over of all strata is
 * blocked together: arms then never differ by more than one head.
 */
function blocksOf(animals: readonly AnimalToAllocate[], size: number): AnimalToAllocate[][] {
  const byWeight = (group: readonly AnimalToAllocate[]) =>
    [...group].sort((one, other) => other.startWeightKg - one.startWeightKg || (one.id < other.id ? -1 : 1));
  const cut = (group: readonly AnimalToAllocate[]) =>
    Array.from({ length: Math.ceil(group.length / size) }, (_, index) => group.slice(index * size, (index + 1) * size));
  const strata = [...new Set(animals.map((animal) => animal.stratum ?? ''))].sort();
  const ofStrata = strata.flatMap((stratum) =>
    cut(byWeight(animals.filter((animal) => (animal.stratum ?? '') === stratum))),
  );
  const leftOver = ofStrata.filter((block) => block.length < size).flat();
  return [...ofStrata.filter((block) => block.length === size), ...cut(byWeight(leftOver))];
}

interface Draw {
  readonly armIds: readonly string[];
  readonly places: readonly Place[];
  readonly random: SeededRandom;
}

function fillBlock(animals: readonly AnimalToAllocate[], block: number, draw: Draw): Assignment[] {
  const order = drawPlaces(animals.length, draw);
  return animals.flatMap((animal, index) => {
    const place = order[index];
    return place ? [{ animalId: animal.id, ...place, block }] : [];
  });
}

/** As many places as asked for, drawn so that no arm gets two more than another. */
function drawPlaces(count: number, { armIds, places, random }: Draw): Place[] {
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
}

/** How alike the arms drawn are in start weight and strata. */
function balanceOf({ animals, armIds }: AllocationRequest, assignments: readonly Assignment[]): BalanceRow[] {
  const animalOf = new Map(animals.map((animal) => [animal.id, animal]));
  return armIds.map((armId) => {
    const members = assignments
      .filter((assignment) => assignment.armId === armId)
      .flatMap((assignment) => animalOf.get(assignment.animalId) ?? []);
    const weights = describe(members.map((member) => member.startWeightKg));
    const strata: Record<string, number> = {};
    for (const member of members)
      if (member.stratum !== undefined) strata[member.stratum] = (strata[member.stratum] ?? 0) + 1;
    return {
      armId,
      head: members.length,
      meanStartWeightKg: weights.mean,
      sdStartWeightKg: weights.n > 1 ? weights.sd : null,
      lightestKg: weights.smallest,
      heaviestKg: weights.largest,
      strata,
    };
  });
}

function largestDifferenceOf(
  balance: readonly BalanceRow[],
  animals: readonly AnimalToAllocate[],
): Allocation['largestDifference'] {
  const means = balance.map((row) => row.meanStartWeightKg);
  const kg = Math.max(...means) - Math.min(...means);
  const spread = describe(animals.map((animal) => animal.startWeightKg)).sd;
  return { kg, inStandardDeviations: spread > 0 ? kg / spread : 0 };
}

function inWords({ animals, armIds, seed }: AllocationRequest, blocks: number, apartInSd: number): string[] {
  return [
    `${animals.length} animals were drawn into ${armIds.length} arms in ${blocks} blocks of like start weight ` +
      `with seed ${seed}.`,
    apartInSd > TRIAL_CHOICES.balanceShareOfSd.value
      ? `Mean start weights differ by ${apartInSd.toFixed(2)} standard deviations. Keep this draw: drawing ` +
        'again until the result suits would spoil it. The analysis of covariance allows for the difference.'
      : `Mean start weights of the arms differ by ${apartInSd.toFixed(2)} standard deviations at most.`,
  ];
}
