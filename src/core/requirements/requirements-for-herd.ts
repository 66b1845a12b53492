import { refused, succeeded } from '../outcome/outcome.js';
import { animalFacts } from './animal-facts.js';
import { dietsUsed } from './diet-used.js';
import { meanOfHerd } from './mean-of-herd.js';
import { requirementOnDiet } from './requirement-on-diet.js';
import type { AnimalDescription, Outcome, Problem, RequirementConditions, RequirementSet } from './requirement-set.js';
import { animalProblems } from './validate-animal.js';
import { Working } from './working.js';

/** Animals of a herd that are in the same stage on a day. */
export interface HerdPart {
  /** Of the herd's head, 0 to 1. */
  readonly share: number;
  readonly animal: AnimalDescription;
}

/** How far the shares may be from adding up to 1: they come rounded from head counts and dates. */
const SHARES_TOLERANCE = 1e-3;

/**
 * What the average animal of a herd needs in a day, where its animals are at different stages (some have calved, some
 * are days away from it): every figure is the mean over the parts, all on one diet. Without a diet, the leanest one
 * is solved for on which the herd's mean intake covers its mean need. Shares add up to 1, except for rounding. See
 * `requirementsFor` for the equations.
 */
export function requirementsForHerd(
  parts: readonly HerdPart[],
  conditions: RequirementConditions,
): Outcome<RequirementSet> {
  const problems = herdProblems(parts, conditions);
  if (problems.length > 0) return refused(problems);
  const eaters = parts
    .filter(({ share }) => share > 0)
    .map(({ share, animal }) => {
      const working = new Working();
      return { share, animal, facts: animalFacts(animal, working), working };
    });
  const diets = dietsUsed(eaters, conditions);
  return succeeded(
    meanOfHerd(
      diets.map(({ eater, used }) => ({ share: eater.share, set: requirementOnDiet(eater, conditions, used) })),
    ),
  );
}

function herdProblems(parts: readonly HerdPart[], conditions: RequirementConditions): Problem[] {
  const shares = shareProblems(parts);
  if (shares.length > 0) return shares;
  const found = parts.flatMap(({ animal }) => animalProblems(animal, conditions));
  // The animals of a herd are described alike: what is wrong with one is wrong with all, and said once.
  return found.filter(
    ({ code, field }, index) => found.findIndex((other) => other.code === code && other.field === field) === index,
  );
}

function shareProblems(parts: readonly HerdPart[]): Problem[] {
  const outside = parts.flatMap(({ share }, index): Problem[] =>
    share >= 0 && Number.isFinite(share)
      ? []
      : [
          {
            code: 'out-of-range',
            field: `parts[${index}].share`,
            given: Number.isFinite(share) ? share : String(share),
            allowed: '0 to 1',
            message: `A share of ${share} of a herd is not possible.`,
          },
        ],
  );
  if (outside.length > 0) return outside;
  const sum = parts.reduce((before, { share }) => before + share, 0);
  if (Math.abs(sum - 1) <= SHARES_TOLERANCE) return [];
  return [
    {
      code: 'shares-do-not-add-up',
      field: 'parts',
      given: sum,
      allowed: 'shares that add up to 1',
      message: `The shares of the herd add up to ${sum}, not to 1.`,
    },
  ];
}
