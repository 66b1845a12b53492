import { problem, type Problem } from '../outcome/problem.js';
import { problemsOfTrialDesign } from './design-problems.js';
import { aimsOf } from './plan-aims.js';
import type { TrialPlanRequest } from './plan-trial.js';
import { TRIAL_CHOICES } from './trial.data.js';

/** Everything that keeps a trial from being planned; empty if nothing does. Codes: see `planTrial`. */
export function problemsOfPlan(request: TrialPlanRequest): Problem[] {
  return [
    ...problemsOfDesign(request),
    ...problemsOfDifference(request),
    ...problemsOfSpread(request),
    ...problemsOfAims(request),
    ...problemsOfLooks(request),
    ...problemsOfFutility(request),
    ...problemsOfTrialDesign(request),
  ];
}

function need(
  request: TrialPlanRequest,
  fine: boolean,
  code: string,
  field: keyof TrialPlanRequest,
  allowed: string,
  message: string,
): Problem[] {
  return fine ? [] : [problem(code, field, JSON.stringify(request[field] ?? null), allowed, message)];
}

function problemsOfDesign(request: TrialPlanRequest): Problem[] {
  const { arms, unit, unitsPerArm, headPerUnit, lengthDays } = request;
  const usual = arms.filter((arm) => arm.role === 'usual').length;
  return [
    ...need(
      request,
      arms.length >= 2 && usual === 1 && new Set(arms.map((arm) => arm.id)).size === arms.length,
      'trial.arms',
      'arms',
      'one usual arm and one change or more, each once',
      'A trial compares changes with one usual feeding.',
    ),
    ...need(
      request,
      Number.isInteger(unitsPerArm) && unitsPerArm >= 1,
      'trial.units',
      'unitsPerArm',
      'a whole number from 1',
      'How many animals or pens in each arm?',
    ),
    ...need(
      request,
      Number.isInteger(headPerUnit) && headPerUnit >= 1 && (unit === 'pen' || headPerUnit === 1),
      'trial.units',
      'headPerUnit',
      'a whole number from 1; 1 when animals are the unit',
      'How many head in a pen?',
    ),
    ...need(
      request,
      Number.isInteger(lengthDays) && lengthDays >= 1,
      'trial.length',
      'lengthDays',
      'a whole number of days from 1',
      'How many days?',
    ),
  ];
}

function problemsOfDifference(request: TrialPlanRequest): Problem[] {
  return need(
    request,
    request.hopedDifferenceKgPerDay > 0 && Number.isFinite(request.hopedDifferenceKgPerDay),
    'trial.hoped-difference',
    'hopedDifferenceKgPerDay',
    'above 0',
    'Name the difference in daily gain that would make the change worthwhile.',
  );
}

function problemsOfSpread(request: TrialPlanRequest): Problem[] {
  const { dailyGainSd, weighingSd, penToPenSdKgPerDay, losses } = request;
  const isShare = (share: number) => share >= 0 && share <= 0.5;
  const notNegative = 'A standard deviation is not negative.';
  return [
    ...need(
      request,
      dailyGainSd === null || (dailyGainSd.kgPerDay > 0 && Number.isFinite(dailyGainSd.kgPerDay)),
      'trial.spread',
      'dailyGainSd',
      'above 0',
      'A standard deviation of daily gain is above zero.',
    ),
    ...need(request, (weighingSd?.kg ?? 0) >= 0, 'trial.spread', 'weighingSd', '0 or more', notNegative),
    ...need(request, (penToPenSdKgPerDay ?? 0) >= 0, 'trial.spread', 'penToPenSdKgPerDay', '0 or more', notNegative),
    ...need(
      request,
      losses === null || (isShare(losses.cattle) && isShare(losses.pens)),
      'trial.losses',
      'losses',
      'shares from 0 to 0.5',
      'A trial that may lose more than half of its cattle or pens is none.',
    ),
  ];
}

function problemsOfAims(request: TrialPlanRequest): Problem[] {
  const { confidence, power } = aimsOf(request);
  const share = (value: number) => value >= 0.5 && value < 1;
  const allowed = 'from 0.5 to below 1';
  return [
    ...need(request, share(confidence), 'trial.confidence', 'confidence', allowed, 'Confidence is a share.'),
    ...need(request, share(power), 'trial.power', 'power', allowed, 'Power is a share.'),
  ];
}

function problemsOfFutility(request: TrialPlanRequest): Problem[] {
  const { futility = null, looks } = request;
  return need(
    request,
    futility === null || (futility > 0 && futility <= 0.5 && (looks?.fractions.length ?? 0) > 1),
    'trial.futility',
    'futility',
    'a share above 0 and up to 0.5, with a look before the last',
    'Whether it is worth going on is asked at a planned look before the last: name its day among the looks.',
  );
}

function problemsOfLooks(request: TrialPlanRequest): Problem[] {
  const found = problemsOfShares(request);
  return found.length > 0 ? found : looksNotWeighed(request);
}

/** A look is judged by the weights of its day: one before which nobody weighs could only say that it cannot tell. */
function looksNotWeighed(request: TrialPlanRequest): Problem[] {
  const { looks, lengthDays, twoWeighingDays, interimWeighingDays } = request;
  const lastStartDay = twoWeighingDays ? 1 : 0;
  const near = TRIAL_CHOICES.lookWeighingDays.value;
  return (looks?.fractions ?? []).slice(0, -1).flatMap((fraction) => {
    const day = Math.round(fraction * lengthDays);
    if (interimWeighingDays.some((weighed) => weighed > lastStartDay && Math.abs(weighed - day) <= near)) return [];
    return [
      problem(
        'trial.look-not-weighed',
        'looks',
        `a look at ${fraction} of ${lengthDays} days, day ${day}`,
        `an interim weighing on day ${Math.max(day, lastStartDay + 1)} or within ${near} day of it`,
        'A look can only be judged by weights taken for it: name its day among the interim weighings.',
      ),
    ];
  });
}

function problemsOfShares(request: TrialPlanRequest): Problem[] {
  const fractions = request.looks?.fractions ?? [1];
  return need(
    request,
    fractions.length > 0 &&
      fractions.length <= 10 &&
      fractions.at(-1) === 1 &&
      fractions.every((fraction, i) => fraction > (fractions[i - 1] ?? 0)),
    'trial.looks',
    'looks',
    'up to 10 rising shares of the trial, the last 1',
    'Looks are planned as rising shares of the whole trial, ending with 1.',
  );
}
