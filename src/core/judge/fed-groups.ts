import { PRESENT_FEEDING } from './present-feeding.data.js';

interface Fed {
  readonly headFed: number;
}

/**
 * The feedings of one day in rounds: those that together went to the whole herd, each to a part of it, are one round,
 * of which an animal got one feeding. Every other feeding is a round of its own.
 */
function roundsOfDay<One extends Fed>(feedings: readonly One[], head: number): One[][] {
  const toPart = feedings.filter(({ headFed }) => headFed < head).sort((a, b) => b.headFed - a.headFed);
  const filled: One[][] = [];
  for (const one of toPart) {
    const room = filled.find((round) => headOf(round) + one.headFed <= head);
    if (room === undefined) filled.push([one]);
    else room.push(one);
  }
  const whole = filled.filter(
    (round) => round.length > 1 && headOf(round) >= head * PRESENT_FEEDING.sharesOfWholeHerd.value,
  );
  const apart = new Set(whole.flat());
  const rounds: One[][] = [...whole, ...feedings.filter((one) => !apart.has(one)).map((one) => [one])];
  return rounds.map((round) => [...round].sort((a, b) => feedings.indexOf(a) - feedings.indexOf(b)));
}

/** Head that the feedings of a round went to, together. */
function headOf(round: readonly Fed[]): number {
  return round.reduce((sum, { headFed }) => sum + headFed, 0);
}

/** The head that each feeding of a day is divided by: all that its round went to. */
export function headByFeeding<One extends Fed>(feedings: readonly One[], head: number): Map<One, number> {
  return new Map(roundsOfDay(feedings, head).flatMap((round) => round.map((one) => [one, headOf(round)] as const)));
}

/**
 * What single animals of the herd got in one day: of each round one feeding, the parts of the herd in the order in
 * which they were fed; of the feedings that went to fewer head, those that most got and those that fewer got as well.
 */
export function feedingsOfAnimals<One extends Fed>(feedings: readonly One[], head: number): One[][] {
  const rounds = roundsOfDay(feedings, head);
  return [...new Set(rounds.map(headOf))].flatMap((level) => {
    const got = rounds.filter((round) => headOf(round) >= level);
    const parts = Math.max(...got.map((round) => round.length));
    return Array.from({ length: parts }, (_, part) => got.flatMap((round) => round[part % round.length] ?? []));
  });
}
