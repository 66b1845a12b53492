import { problem, type Problem } from '../outcome/problem.js';
import { designModel } from './design-analysis.js';
import { MOST_PERIODS, plannedLayout } from './design-power.js';
import type { TrialPlanRequest } from './plan-trial.js';
import { daysOfOneFeeding, hasPeriods, type PeriodDesign, type TrialDesign } from './trial-design.js';

/** Everything that keeps a trial from being run by its design; empty without one. */
export function problemsOfTrialDesign(request: TrialPlanRequest): Problem[] {
  const { design = null } = request;
  if (design === null) return [];
  const found = [
    ...unitsAndLooks(request),
    ...(hasPeriods(design) ? problemsOfPeriods(request, design) : problemsOfBlocks(request, design.blocks)),
  ];
  return found.length > 0 ? found : nothingLeft(request, design);
}

const refuse = (given: unknown, allowed: string, message: string): Problem[] => [
  problem('trial.design', 'design', JSON.stringify(given ?? null), allowed, message),
];

function unitsAndLooks({ unit, looks }: TrialPlanRequest): Problem[] {
  return [
    ...(unit === 'pen' ? [] : refuse(unit, 'unit pen', 'Periods and blocks are of pens or herds: make pens the unit.')),
    ...(looks === null
      ? []
      : refuse(looks.fractions.length, 'no looks', 'A design with periods or blocks is judged once, at its end.')),
  ];
}

function problemsOfPeriods(request: TrialPlanRequest, design: PeriodDesign): Problem[] {
  const { arms, lengthDays, twoWeighingDays, unitsPerArm } = request;
  const days = daysOfOneFeeding(design, lengthDays);
  const shortest = design.washoutDays + (twoWeighingDays ? 2 : 1);
  const pens = arms.length * unitsPerArm;
  return [
    ...(arms.length === 2 ? [] : refuse(arms.length, 'two arms', 'Pens change over between two feedings.')),
    ...(Number.isInteger(design.periods) && design.periods >= 2 && design.periods <= MOST_PERIODS
      ? []
      : refuse(design.periods, `2 to ${MOST_PERIODS} periods`, 'How many periods?')),
    ...(Number.isInteger(days)
      ? []
      : refuse(lengthDays, `a multiple of ${design.periods} days`, 'Periods are of whole days and equally long.')),
    ...(design.washoutDays >= 0 && days > shortest
      ? []
      : refuse(
          design.washoutDays,
          `0 to ${Math.max(0, Math.floor(days) - (twoWeighingDays ? 3 : 2))} days`,
          'After the washout a period needs days to gain in.',
        )),
    ...(design.kind === 'switchback' || pens >= design.periods - 1
      ? []
      : refuse(
          pens,
          `${design.periods - 1} pens or more for ${design.periods} periods`,
          'At each step of a stepped start at least one pen goes over.',
        )),
  ];
}

function problemsOfBlocks(
  { arms, unitsPerArm }: TrialPlanRequest,
  blocks: Extract<TrialDesign, { kind: 'blocked' }>['blocks'],
): Problem[] {
  const pens = blocks.flatMap((block) => block.pens);
  const even = blocks.every((block) => block.pens.length > 0 && block.pens.length % arms.length === 0);
  return [
    ...(blocks.length >= 2 && new Set(blocks.map((block) => block.name)).size === blocks.length
      ? []
      : refuse(blocks.length, 'two blocks or more, each with a name of its own', 'One block is no block.')),
    ...(even
      ? []
      : refuse(
          blocks.map((block) => block.pens.length).join(', '),
          `${arms.length} pens in each block, or a multiple`,
          'Each block needs every feeding, for as many pens.',
        )),
    ...(pens.length === arms.length * unitsPerArm && new Set(pens).size === pens.length
      ? []
      : refuse(pens.length, `${arms.length * unitsPerArm} pens, each once`, 'Each pen stands in one block.')),
  ];
}

/** A design whose answer would have no interval. */
function nothingLeft({ arms, unitsPerArm }: TrialPlanRequest, design: TrialDesign): Problem[] {
  const ids = {
    usualId: arms.find((arm) => arm.role === 'usual')?.id ?? '',
    changeId: arms.find((arm) => arm.role === 'change')?.id ?? '',
  };
  if (designModel(plannedLayout({ design, arms, unitsPerArm }), ids) !== null) return [];
  const pens = arms.length * unitsPerArm;
  return refuse(
    hasPeriods(design) ? `${pens} pens in ${design.periods} periods` : `${pens} pens`,
    hasPeriods(design) ? 'more periods or more pens' : 'two blocks or more',
    'Nothing would be left to tell the feeding from chance: the answer would have no interval. Two herds that change ' +
      'over need three periods at least, and see much more with five or more.',
  );
}
