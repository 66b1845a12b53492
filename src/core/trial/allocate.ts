import { type Refusal, refused } from '../outcome/outcome.js';
import { problemsOfAllocation } from './allocation-problems.js';
import { describe } from './descriptive.js';
import { drawFeedings } from './draw-design.js';
import { GENERATOR_NAME, type SeededRandom, seededRandom, shuffled } from './seeded-random.js';
import { TRIAL_CHOICES } from './trial.data.js';
import type { PenFeedings, TrialDesign } from './trial-design.js';
import type { TrialArm } from './trial-records.js';

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
  /** Periods or blocks, with the arms that pens are drawn into; arms side by side if absent. */
  readonly designed?: { readonly design: TrialDesign; readonly arms: readonly Pick<TrialArm, 'id' | 'role'>[] } | null;
  /** The pen that each animal stands in already, where herds are drawn as they stand; animals are drawn if absent. */
  readonly standing?: ReadonlyMap<string, string>;
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
  /** What each pen is fed in each period; empty without a design. */
  readonly feedings: readonly PenFeedings[];
  readonly balance: readonly BalanceRow[];
  readonly largestDifference: { readonly kg: number; readonly inStandardDeviations: number };
  readonly words: readonly string[];
}

/**
 * Draws arms at random within blocks of animals alike in start weight (heaviest first, within each stratum), so that
 * the same seed gives the same draw again. With pens, each block fills every pen once and pens get arms at random.
 * Animals left over after the last full block are drawn among the arms or pens not yet filled in that block. With
 * periods or blocks pens are drawn by their design (see draw-design.ts); herds that stand are drawn as they are.
 * Source: Cochran and Cox 1957, Experimental Designs, 2nd ed., chapter 4 (randomized blocks).
 * @returns a refusal with codes `trial.arms`, `trial.animal-twice`, `trial.start-weight`, `trial.too-few-animals`,
 * `trial.pens`, `trial.seed`.
 */
export function allocate(request: AllocationRequest): Allocation | Refusal {
  const problems = problemsOfAllocation(request);
  if (problems.length > 0) return refused(problems);
  const { animals, armIds, penIds, seed } = request;
  const random = seededRandom({ seed });
  const feedings = request.designed ? drawFeedings({ ...request.designed, penIds }, random) : [];
  const penArms = request.designed
    ? feedings.map(({ penId, armIds: [armId = ''] }) => ({ penId, armId }))
    : shuffled(penIds, random).map((penId, index) => ({ penId, armId: armIds[index % armIds.length] ?? '' }));
  const places = placesOf(request, penArms);
  // The order of the arms, as the seed drew them before designs were drawn: the same seed gives the same draw again.
  const kinds = request.designed ? [...new Set(places.map((place) => place.kind))] : armIds;
  const blocks = request.standing ? [] : blocksOf(animals, places.length);
  const assignments = request.standing
    ? asTheyStand(request.standing, animals, penArms)
    : blocks.flatMap((block, index) => fillBlock(block, index + 1, { kinds, places, random }));
  const balance = balanceOf(request, assignments);
  const largestDifference = largestDifferenceOf(balance, animals);
  return {
    ok: true,
    generator: GENERATOR_NAME,
    seed,
    assignments,
    penArms,
    feedings,
    balance,
    largestDifference,
    words: inWords(request, blocks.length, largestDifference.inStandardDeviations),
  };
}

/** What an animal can be drawn into: an arm or one of its pens. */
interface Place {
  readonly armId: string;
  readonly penId: string | null;
  /** Places of one kind get animals in turn with those of the others: an arm, or each pen where a design draws pens. */
  readonly kind: string;
}

function placesOf({ armIds, penIds, designed }: AllocationRequest, penArms: Allocation['penArms']): Place[] {
  if (penIds.length === 0) return armIds.map((armId) => ({ armId, penId: null, kind: armId }));
  return penArms.map(({ penId, armId }) => ({ penId, armId, kind: designed ? penId : armId }));
}

function asTheyStand(
  standing: ReadonlyMap<string, string>,
  animals: readonly AnimalToAllocate[],
  penArms: Allocation['penArms'],
): Assignment[] {
  return animals.flatMap(({ id }) => {
    const pen = penArms.find((one) => one.penId === standing.get(id));
    return pen === undefined ? [] : [{ animalId: id, armId: pen.armId, penId: pen.penId, block: 1 }];
  });
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
  readonly kinds: readonly string[];
  readonly places: readonly Place[];
  readonly random: SeededRandom;
}

function fillBlock(animals: readonly AnimalToAllocate[], block: number, draw: Draw): Assignment[] {
  const order = drawPlaces(animals.length, draw);
  return animals.flatMap((animal, index) => {
    const place = order[index];
    return place ? [{ animalId: animal.id, armId: place.armId, penId: place.penId, block }] : [];
  });
}

/** As many places as asked for, drawn so that no arm gets two more than another. */
function drawPlaces(count: number, { kinds, places, random }: Draw): Place[] {
  const waiting = new Map(
    kinds.map((kind) => [
      kind,
      shuffled(
        places.filter((place) => place.kind === kind),
        random,
      ),
    ]),
  );
  const inTurn = Array.from({ length: places.length / kinds.length }, (_, round) =>
    shuffled(kinds, random).flatMap((kind) => waiting.get(kind)?.[round] ?? []),
  ).flat();
  return shuffled(inTurn.slice(0, count), random);
}

/** How alike the arms drawn are in start weight and strata. */
function balanceOf({ animals, armIds }: AllocationRequest, assignments: readonly Assignment[]): BalanceRow[] {
  const animalOf = new Map(animals.map((animal) => [animal.id, animal]));
  // A stepped start begins with every pen on the usual feeding: the change has nobody yet.
  const begun = armIds.filter((armId) => assignments.some((assignment) => assignment.armId === armId));
  return begun.map((armId) => {
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

function inWords(request: AllocationRequest, blocks: number, apartInSd: number): string[] {
  const { animals, armIds, penIds, seed, designed } = request;
  if (designed || request.standing)
    return [
      `What ${penIds.length} pens or herds are fed was drawn with seed ${seed}` +
        `${request.standing ? ', each herd as it stands' : ''}: ${animals.length} animals.`,
      ...(designed
        ? ['Each pen is held against itself or its neighbor, so that start weights need not be alike.']
        : []),
    ];
  return [
    `${animals.length} animals were drawn into ${armIds.length} arms in ${blocks} blocks of like start weight ` +
      `with seed ${seed}.`,
    apartInSd > TRIAL_CHOICES.balanceShareOfSd.value
      ? `Mean start weights differ by ${apartInSd.toFixed(2)} standard deviations. Keep this draw: drawing ` +
        'again until the result suits would spoil it. The analysis of covariance allows for the difference.'
      : `Mean start weights of the arms differ by ${apartInSd.toFixed(2)} standard deviations at most.`,
  ];
}
