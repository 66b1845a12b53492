import { daysBetween } from '../time/calendar-day.js';
import { problem, type Problem } from '../outcome/problem.js';
import type { HayBudgetInput } from './hay-budget.js';

/**
 * How many steps one answer may take. Measured on two busy cores: a step took 1 to 8 microseconds, so this is some ten
 * seconds. A yard of 20 herds, 10 kinds of hay and 60 lots over a winter takes 250,000, and each change to try as many
 * again. Common practice, no source.
 */
const STEPS_MOST = 6_000_000;
/** Steps for adding a herd's or a kind's need of one day: a decimal operation each. */
const STEPS_PER_NEED = 4;

/** What a day-by-day budget takes, told from its input alone: days times what is added up and drawn on each of them. */
function budgetSteps({ herds, lots, from, until, substituteKinds }: HayBudgetInput): number {
  const fed = herds.flatMap(({ kinds }) => kinds);
  const kinds = new Set(fed.map(({ hayKind }) => hayKind)).size;
  const draws = substituteKinds === true ? kinds * lots.length : kinds + lots.length;
  return Math.max(0, daysBetween(from, until)) * (STEPS_PER_NEED * (fed.length + kinds) + draws);
}

/** @returns the problem, if so many runs of the budget would take more than one answer may. */
export function tooManySteps(input: HayBudgetInput, runs = 1): Problem | undefined {
  const steps = budgetSteps(input) * runs;
  if (steps <= STEPS_MOST) return undefined;
  const words = (count: number): string => count.toLocaleString('en-US');
  return problem(
    'too-much-work',
    'until',
    `${words(steps)} steps`,
    `at most ${words(STEPS_MOST)} steps: days × (herds and kinds + kinds × lots) × (1 + changes)`,
    `This budget would take ${words(steps)} steps. Ask for fewer days, herds, kinds, lots or changes.`,
  );
}
