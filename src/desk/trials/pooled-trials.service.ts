import { Injectable } from '@nestjs/common';
import { pooledInWords, type PooledTrials, pooledTrials } from '../../core/trial/pooled-trials.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import type { UnitSystem } from '../../platform/wire/quantity.schema.js';
import type { KeptJudgement } from './kept-judgement.js';
import type * as api from './pooled-trials.schema.js';
import { TrialJudgementRead } from './trial-judgement.read.js';
import { formatKilograms } from './trial-plan.js';
import { TrialRead } from './trial.read.js';

type Pooled = AnswerOf<typeof api.getPooledTrials>;
type Found = Pick<
  Pooled['trials'][number],
  'trialId' | 'trial' | 'question' | 'usual' | 'change' | 'judgementId' | 'asOf'
> & { differenceKgPerDay: number; standardErrorKgPerDay: number };

/** Trials of one question, of one operation, taken together from what was judged of them. Nothing is judged anew. */
@Injectable()
export class PooledTrialsService {
  constructor(
    private readonly trials: TrialRead,
    private readonly judgements: TrialJudgementRead,
  ) {}

  async get(tenant: OperationTenant, { query }: InputOf<typeof api.getPooledTrials>): Promise<Pooled> {
    const units = query.units ?? tenant.operation.unitPreference;
    const found: Found[] = [];
    for (const trialId of query.trials) found.push(await this.#found(tenant, trialId));
    const pooled = pooledTrials(found, query.confidence);
    if (pooled === null)
      throw refusedOver(found.length, 'two trials or more', 'One trial has nothing to be pooled with.');
    return answerFrom(found, pooled, units);
  }

  async #found(tenant: OperationTenant, trialId: string): Promise<Found> {
    const { row, plan, arms } = await this.trials.one(tenant, trialId);
    const last = (await this.judgements.ofTrial(tenant, trialId)).filter((one) => one.final).at(-1);
    if (last === undefined)
      throw refusedOver(row.name, 'trials that are over and judged', `${row.name} was not judged after its end.`);
    const { comparisons } = (last.result as Record<UnitSystem, KeptJudgement>).us;
    const [only, ...more] = comparisons;
    if (only === undefined || more.length > 0)
      throw refusedOver(row.name, 'trials with one change each', `${row.name} compares several changes.`);
    const { answer } = only;
    if (answer === null || !(answer.standardError > 0))
      throw refusedOver(row.name, 'trials with an interval', `${row.name} could not tell: it has no interval.`);
    const nameOf = (armId: string) => arms.find((arm) => arm.id === armId)?.name ?? '';
    return {
      trialId,
      trial: row.name,
      question: plan.question,
      usual: nameOf(only.usualArmId),
      change: nameOf(only.changeArmId),
      judgementId: last.id,
      asOf: last.as_of,
      differenceKgPerDay: answer.difference,
      standardErrorKgPerDay: answer.standardError,
    };
  }
}

function refusedOver(given: string | number, allowed: string, message: string): Problem {
  return new Problem('invalid-input', undefined, [
    { parameter: 'trials', code: 'not-to-be-pooled', given, allowed, message },
  ]);
}

function answerFrom(found: readonly Found[], pooled: PooledTrials, units: UnitSystem): Pooled {
  const mass = (kg: number) => formatKilograms(kg, units);
  return {
    units,
    trials: found.map(({ differenceKgPerDay, standardErrorKgPerDay, ...one }, index) => ({
      ...one,
      difference: mass(differenceKgPerDay),
      standardError: mass(standardErrorKgPerDay),
      partOfAnswer: pooled.trials[index]?.weight ?? 0,
    })),
    difference: mass(pooled.differenceKgPerDay),
    low: mass(pooled.lowKgPerDay),
    high: mass(pooled.highKgPerDay),
    standardError: mass(pooled.standardErrorKgPerDay),
    degreesOfFreedom: pooled.degreesOfFreedom,
    confidence: pooled.confidence,
    nextHerd: { low: mass(pooled.nextHerd.lowKgPerDay), high: mass(pooled.nextHerd.highKgPerDay) },
    betweenTrials: mass(pooled.betweenTrialsSdKgPerDay),
    betweenTrialsShare: pooled.betweenTrialsShare,
    words: pooledInWords(pooled, units === 'us' ? 'lb' : 'kg'),
  };
}
