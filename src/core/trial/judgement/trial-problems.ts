import { problem, type Problem } from '../../outcome/problem.js';
import type { TrialAnimal } from '../trial-records.js';
import type { TrialToJudge } from './judgement.js';

/** Everything that keeps a trial from being judged; empty if nothing does. Codes: see `judgeTrial`. */
export function problemsOfTrial(trial: TrialToJudge): Problem[] {
  return [
    ...problemsOfArms(trial),
    ...problemsOfAims(trial),
    ...problemsOfAnimals(trial),
    ...problemsOfLook(trial),
    ...problemsOfPrices(trial),
  ];
}

function problemsOfArms({ arms }: TrialToJudge): Problem[] {
  const ids = new Set(arms.map((arm) => arm.id));
  const oneUsual = arms.filter((arm) => arm.role === 'usual').length === 1;
  if (arms.length >= 2 && ids.size === arms.length && oneUsual) return [];
  return [
    problem(
      'trial.arms',
      'arms',
      [...ids].join(', '),
      'one usual arm and one change or more, each once',
      'A trial compares changes with one usual feeding.',
    ),
  ];
}

function problemsOfAims({ confidence, worthwhileDifferenceKgPerDay: worthwhile }: TrialToJudge): Problem[] {
  const problems: Problem[] = [];
  if (!(confidence >= 0.5 && confidence < 1))
    problems.push(
      problem('trial.confidence', 'confidence', String(confidence), 'from 0.5 to below 1', 'Confidence is a share.'),
    );
  if (worthwhile !== null && !(worthwhile > 0 && Number.isFinite(worthwhile)))
    problems.push(
      problem(
        'trial.worthwhile',
        'worthwhileDifferenceKgPerDay',
        String(worthwhile),
        'above 0, or none',
        'A worthwhile difference is above zero.',
      ),
    );
  return problems;
}

function problemsOfAnimals(trial: TrialToJudge): Problem[] {
  const { animals, arms } = trial;
  const armIds = new Set(arms.map((arm) => arm.id));
  const twice = new Set(animals.map((animal) => animal.id)).size !== animals.length;
  const inOneArm = trial.unit === 'pen' ? pensInOneArm() : () => [];
  return [
    ...(twice
      ? [
          problem(
            'trial.animal-twice',
            'animals',
            String(animals.length),
            'each animal once',
            'An animal is in the list twice.',
          ),
        ]
      : []),
    ...animals.flatMap((animal) => [...armKnown(animal, armIds), ...weightsPossible(animal), ...inOneArm(animal)]),
  ];
}

function armKnown({ id, armId }: TrialAnimal, armIds: ReadonlySet<string>): Problem[] {
  if (armIds.has(armId)) return [];
  return [
    problem(
      'trial.unknown-arm',
      `animals.${id}`,
      armId,
      [...armIds].join(', '),
      `${id} is in an arm that the trial does not have.`,
    ),
  ];
}

function weightsPossible({ id, weighings }: TrialAnimal): Problem[] {
  if (weighings.every(({ weightKg }) => weightKg > 0 && Number.isFinite(weightKg))) return [];
  return [
    problem('trial.weight', `animals.${id}`, 'a weight of 0 or less', 'above 0 kg', `${id} has an impossible weight.`),
  ];
}

/** Asked animal by animal; each is held against the arm of the animal of its pen that came before. */
function pensInOneArm(): (animal: TrialAnimal) => Problem[] {
  const armOfPen = new Map<string, string>();
  return ({ id, armId, penId }) => {
    if (penId === null) return [];
    const other = armOfPen.get(penId);
    armOfPen.set(penId, armId);
    if (other === undefined || other === armId) return [];
    return [
      problem(
        'trial.pen-in-two-arms',
        `animals.${id}`,
        penId,
        'one arm for a pen',
        `Pen ${penId} holds animals of two arms: the pen cannot be the unit.`,
      ),
    ];
  };
}

function problemsOfLook({ look: { planned, number } }: TrialToJudge): Problem[] {
  const problems: Problem[] = [];
  if (!Number.isInteger(number) || number < 1)
    problems.push(
      problem('trial.looks', 'look.number', String(number), 'a whole number from 1', 'Looks are counted from 1.'),
    );
  if (planned && !planned.fractions.every((fraction, i) => fraction > (planned.fractions[i - 1] ?? 0) && fraction <= 1))
    problems.push(
      problem(
        'trial.looks',
        'look.planned',
        planned.fractions.join(', '),
        'rising shares of the trial',
        'Looks are planned as rising shares of the whole trial.',
      ),
    );
  return problems;
}

function problemsOfPrices({ valueOfGain, valueOfCattle, feeds, otherCosts, currency }: TrialToJudge): Problem[] {
  const prices = [
    valueOfGain,
    valueOfCattle,
    ...feeds.map((feed) => feed.price),
    ...otherCosts.map((other) => other.cost),
  ];
  return prices.flatMap((price) =>
    price === null || price.currency === currency
      ? []
      : [problem('trial.currency', 'currency', price.currency, currency, 'All prices of a trial are in one currency.')],
  );
}
