import type { TrialAnimal } from '../trial-records.js';
import type { TrialToJudge } from './judgement.js';

/**
 * What was fed apart, whatever the plan calls the unit: pens, where they are the plan's unit or where every pen or herd
 * that held several animals held those of one arm only; else the animals. Source: UNIT_SOURCES.penIsTheUnit.
 */
export function unitFed({
  unit,
  animals,
  designed,
}: Pick<TrialToJudge, 'unit' | 'animals' | 'designed'>): 'animal' | 'pen' {
  return unit === 'pen' || (designed ?? null) !== null || pensOfOneArm(animals) > 0 ? 'pen' : 'animal';
}

/** How many pens held several animals, all of one arm; none where any pen held animals of two arms. */
export function pensOfOneArm(animals: readonly TrialAnimal[]): number {
  const armsOfPen = new Map<string, string[]>();
  for (const { penId, armId } of animals)
    if (penId !== null) armsOfPen.set(penId, [...(armsOfPen.get(penId) ?? []), armId]);
  const shared = [...armsOfPen.values()].filter((arms) => arms.length > 1);
  return shared.some((arms) => new Set(arms).size !== 1) ? 0 : shared.length;
}
