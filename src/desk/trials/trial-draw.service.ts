import { randomBytes } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import { daysBetween } from '../../core/time/calendar-day.js';
import { allocate, type Allocation } from '../../core/trial/allocate.js';
import { decimal } from '../../core/units/decimal.js';
import { KILOGRAM_PLACES, Mass } from '../../core/units/mass.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { type UnitSystem, formatMass } from '../../platform/wire/quantity.schema.js';
import { WeighInRead } from '../../records/cattle/weigh-ins/weigh-in.read.js';
import { OwnWeightsRead } from './own-weights.read.js';
import { coreArms, refusePlan, formatKilograms } from './trial-plan.js';
import { type AnimalRow, animalName, type DrawRow, TrialRead, type WholeTrial } from './trial.read.js';
import type * as api from './trial.schema.js';
import { TrialStore } from './trial.store.js';

type Draw = AnswerOf<typeof api.getTrialDraw>;
/** What the core returned for a draw, except the assignments, which have rows of their own. */
type KeptAnswer = Pick<Allocation, 'penArms' | 'balance' | 'largestDifference' | 'words'> & {
  /** Left out of draws made before there were periods and blocks. */
  readonly feedings?: Allocation['feedings'];
};

type WeighInRow = Awaited<ReturnType<OwnWeightsRead['weighIns']>>[number];

interface Weighed {
  key: string;
  visualTag: string | null;
  electronicId: string | null;
  kilograms: string[];
  /** Of a herd that takes part as it stands. */
  pen: string | null;
}

/** Draws the arms at random. The seed is kept, every draw is kept, and a second one needs a reason. */
@Injectable()
export class TrialDrawService {
  constructor(
    private readonly trials: TrialRead,
    private readonly store: TrialStore,
    private readonly ownWeights: OwnWeightsRead,
    private readonly weighIns: WeighInRead,
  ) {}

  async draw(tenant: OperationTenant, { params, query, body }: InputOf<typeof api.drawTrialArms>): Promise<Draw> {
    const trial = await this.trials.one(tenant, params.trialId, { lock: true });
    if (trial.row.state !== 'draft')
      throw new Problem('conflict', 'This trial has begun; its draw can no longer change.');
    if (trial.draws > 0 && body.reason === undefined)
      throw ruleBroken(
        '#/reason',
        'drawn-before',
        null,
        'a reason',
        'The arms are already drawn. Drawing again until the result suits would spoil the trial; give the reason.',
      );
    refuseUnevenPens(trial);
    const weighed = await this.#weighed(tenant, body, trial);
    const means = weighed.map((one) => ({
      ...one,
      mean: Mass.sum(one.kilograms.map((kg) => Mass.kilograms(kg)))
        .dividedBy(one.kilograms.length)
        .kilograms.toDecimalPlaces(KILOGRAM_PLACES),
    }));
    const seed = body.seed ?? (randomBytes(8).readBigUInt64BE() >> 1n).toString();
    const drawn = allocate({
      animals: means.map((one) => ({ id: one.key, startWeightKg: one.mean.toNumber() })),
      armIds: trial.arms.map((arm) => arm.id),
      penIds: trial.plan.unit === 'pen' ? trial.plan.pens : [],
      seed,
      designed: trial.plan.design === null ? null : { design: trial.plan.design, arms: coreArms(trial.arms) },
      ...(body.standingHerds === undefined ? {} : { standing: standingIn(means) }),
    });
    if (!drawn.ok) refusePlan(drawn.problems);
    const kept: KeptAnswer = {
      penArms: drawn.penArms,
      feedings: drawn.feedings,
      balance: drawn.balance,
      largestDifference: drawn.largestDifference,
      words: [...drawn.words, ...otherThanPlanned(trial, means.length)],
    };
    const byKey = new Map(means.map((one) => [one.key, one]));
    const { row, animals } = await this.store.insertDraw(
      tenant,
      {
        trial_id: trial.row.id,
        number: trial.draws + 1,
        seed,
        generator: drawn.generator,
        weigh_in_ids: body.weighInIds,
        reason: body.reason ?? null,
        answer: JSON.stringify(kept),
      },
      drawn.assignments.map((assignment, index) => {
        const animal = byKey.get(assignment.animalId);
        return {
          position: index + 1,
          arm_id: assignment.armId,
          pen: assignment.penId,
          block: assignment.block,
          visual_tag: animal?.visualTag ?? null,
          electronic_id: animal?.electronicId ?? null,
          start_kg: (animal?.mean ?? decimal(0)).toFixed(),
        };
      }),
    );
    await tenant.audit({
      action: 'trial.draw',
      subjectKind: 'trial',
      subjectId: trial.row.id,
      after: { draw: row.id, number: row.number, seed, reason: row.reason, animals: animals.length },
    });
    return answerFrom(row, animals, query.units ?? tenant.operation.unitPreference);
  }

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getTrialDraw>): Promise<Draw> {
    const row = await this.trials.oneDraw(tenant, params.trialId, params.drawId);
    return answerFrom(row, await this.trials.animals(tenant, [row.id]), query.units ?? tenant.operation.unitPreference);
  }

  async list(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.listTrialDraws>,
  ): Promise<AnswerOf<typeof api.listTrialDraws>> {
    await this.trials.row(tenant, params.trialId);
    const rows = await this.trials.draws(tenant, params.trialId, query);
    const animals = await this.trials.animals(
      tenant,
      rows.map((row) => row.id),
    );
    return pageOf(
      rows,
      query.limit,
      (row) =>
        answerFrom(
          row,
          animals.filter((animal) => animal.trial_draw_id === row.id),
          query.units ?? tenant.operation.unitPreference,
        ),
      (row) => [String(row.number)],
    );
  }

  /**
   * Every animal of the weigh-ins with its weights; of two days, an animal weighed on only one counts with that one.
   */
  async #weighed(
    tenant: OperationTenant,
    { weighInIds, leaveOut, standingHerds }: InputOf<typeof api.drawTrialArms>['body'],
    trial: WholeTrial,
  ): Promise<Weighed[]> {
    const found = await this.#found(tenant, weighInIds);
    if (standingHerds === undefined) refuseUnpaired(found);
    else refuseOtherHerds(found, standingHerds, trial);
    const penOf = new Map(
      found.map((one) => [one.id, standingHerds?.find((herd) => herd.herdId === one.herd_id)?.pen ?? null]),
    );
    const weights = await this.weighIns.animalsOf(tenant, weighInIds);
    const animals = new Map<string, Weighed>();
    for (const weight of weights) {
      const key = weight.electronic_id ?? weight.visual_tag ?? '';
      const known = animals.get(key) ?? {
        key,
        visualTag: weight.visual_tag,
        electronicId: weight.electronic_id,
        kilograms: [],
        pen: penOf.get(weight.weigh_in_id) ?? null,
      };
      animals.set(key, { ...known, kilograms: [...known.kilograms, weight.kilograms] });
    }
    leaveOut.forEach((name, index) => {
      animals.delete(animalNamed(name, index, animals));
    });
    return [...animals.values()];
  }

  /** The named weigh-ins, each by animal and not reversed. */
  async #found(tenant: OperationTenant, weighInIds: readonly string[]): Promise<WeighInRow[]> {
    const rows = await this.ownWeights.weighIns(tenant, weighInIds);
    return weighInIds.map((id, index) => {
      const row = rows.find((one) => one.id === id);
      const at = `#/weighInIds/${index}`;
      if (row === undefined)
        throw new Problem('not-found', 'A weigh-in named in the request does not exist.', [
          {
            pointer: at,
            code: 'no-such-weigh-in',
            given: id,
            allowed: 'a weigh-in of this operation',
            message: 'There is no such weigh-in, or none that you may see.',
          },
        ]);
      if (row.scope !== 'animal')
        throw ruleBroken(
          at,
          'group-weights',
          id,
          'a weigh-in by animal',
          'A group weight says nothing about single animals; weigh them one at a time.',
        );
      if (row.reversed_by !== null)
        throw ruleBroken(at, 'taken-back', id, 'a weigh-in that was not reversed', 'This weigh-in was reversed.');
      return row;
    });
  }
}

/** Two weigh-ins count as one start weight only if they are of the same herd, weighed alike, on consecutive days. */
function refuseUnpaired([one, other, third]: readonly WeighInRow[]): void {
  if (third !== undefined)
    throw ruleBroken(
      '#/weighInIds/2',
      'not-a-pair',
      third.id,
      'one weigh-in, or two on consecutive days',
      'Start weights are averaged over two consecutive days.',
    );
  if (
    one !== undefined &&
    other !== undefined &&
    (one.id === other.id ||
      one.herd_id !== other.herd_id ||
      one.fill !== other.fill ||
      Math.abs(daysBetween(one.happened_on, other.happened_on)) !== 1)
  ) {
    throw ruleBroken(
      '#/weighInIds/1',
      'not-a-pair',
      other.id,
      'a weigh-in of the same herd, with the same fill, on the day before or after',
      'Start weights are averaged over two consecutive days.',
    );
  }
}

/** Herds that take part as they stand: each is one pen of the plan, weighed once or on two consecutive days. */
function refuseOtherHerds(
  found: readonly WeighInRow[],
  herds: NonNullable<InputOf<typeof api.drawTrialArms>['body']['standingHerds']>,
  { plan }: WholeTrial,
): void {
  const named = herds.map((herd) => herd.pen);
  if (plan.unit !== 'pen' || [...named].sort().join('\n') !== [...plan.pens].sort().join('\n'))
    throw ruleBroken(
      '#/standingHerds',
      'pens-of-the-plan',
      named,
      plan.unit === 'pen' ? plan.pens.join(', ') : 'none where animals are the unit',
      'Each herd that takes part as it stands is one pen of the plan, and each pen is one herd.',
    );
  if (new Set(herds.map((herd) => herd.herdId)).size !== herds.length)
    throw ruleBroken('#/standingHerds', 'herd-twice', named, 'each herd once', 'A herd cannot be two pens.');
  for (const [index, one] of found.entries())
    if (!herds.some((herd) => herd.herdId === one.herd_id))
      throw ruleBroken(
        `#/weighInIds/${index}`,
        'not-of-these-herds',
        one.id,
        'a weigh-in of a herd that takes part',
        'This weigh-in is of another herd.',
      );
  for (const { herdId, pen } of herds) {
    const own = found.filter((one) => one.herd_id === herdId);
    if (own.length === 0 || own.length > 2)
      throw ruleBroken(
        '#/weighInIds',
        'weighed-once-or-twice',
        own.length,
        `one weigh-in of ${pen}, or two on consecutive days`,
        'Each herd needs start weights.',
      );
    refuseUnpaired(own);
  }
}

function standingIn(weighed: readonly Pick<Weighed, 'key' | 'pen'>[]): Map<string, string> {
  return new Map(weighed.flatMap(({ key, pen }) => (pen === null ? [] : [[key, pen] as const])));
}

function animalNamed(name: string, index: number, animals: ReadonlyMap<string, Weighed>): string {
  const found = [...animals.values()].find((animal) => animal.electronicId === name || animal.visualTag === name);
  if (found === undefined)
    throw ruleBroken(
      `#/leaveOut/${index}`,
      'not-weighed',
      name,
      'an animal of these weigh-ins',
      `${name} was not weighed.`,
    );
  return found.key;
}

function refuseUnevenPens({ plan, arms }: WholeTrial): void {
  const needed = arms.length * plan.unitsPerArm;
  if (plan.unit === 'pen' && plan.pens.length !== needed)
    throw new Problem(
      'conflict',
      `Name the ${needed} pens in the plan first (${plan.unitsPerArm} for each of ${arms.length} arms).`,
    );
}

/** A draw of a different number than planned is allowed, but what the plan promised does not hold for it. */
function otherThanPlanned({ plan, arms }: WholeTrial, head: number): string[] {
  const planned = arms.length * plan.unitsPerArm * plan.headPerPen;
  return head === planned
    ? []
    : [`The plan assumes ${planned} head and ${head} were drawn: what the plan promised to detect does not ` + 'hold.'];
}

function answerFrom(row: DrawRow, animals: readonly AnimalRow[], units: UnitSystem): Draw {
  const answer = row.answer as KeptAnswer;
  const mass = (kg: number): ReturnType<typeof formatKilograms> => formatKilograms(kg, units);
  return {
    id: row.id,
    trialId: row.trial_id,
    number: row.number,
    seed: row.seed,
    generator: row.generator,
    weighInIds: row.weigh_in_ids,
    reason: row.reason,
    assignments: [...animals]
      .sort((one, other) => (animalName(one) < animalName(other) ? -1 : 1))
      .map((animal) => ({
        position: animal.position,
        visualTag: animal.visual_tag,
        electronicId: animal.electronic_id,
        armId: animal.arm_id,
        pen: animal.pen,
        block: animal.block,
        startWeight: formatMass(Mass.kilograms(animal.start_kg), units, 'small'),
      })),
    penArms: answer.penArms.map((one) => ({
      pen: one.penId,
      armId: one.armId,
      feedings: [...(answer.feedings?.find((other) => other.penId === one.penId)?.armIds ?? [one.armId])],
    })),
    balance: answer.balance.map((one) => ({
      armId: one.armId,
      head: one.head,
      meanStartWeight: mass(one.meanStartWeightKg),
      sdStartWeight: one.sdStartWeightKg === null ? null : mass(one.sdStartWeightKg),
      lightest: mass(one.lightestKg),
      heaviest: mass(one.heaviestKg),
    })),
    largestDifference: mass(answer.largestDifference.kg),
    largestDifferenceInSd: answer.largestDifference.inStandardDeviations,
    words: [...answer.words],
    units,
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
