import { Injectable } from '@nestjs/common';
import { addDays, daysBetween } from '../../core/time/calendar-day.js';
import { protocolSheet } from '../../core/trial/protocol-sheet.js';
import { feedingOf, hasPeriods, periodsOf } from '../../core/trial/trial-design.js';
import { dayIn } from '../../platform/clock.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import type { UnitSystem } from '../../platform/wire/quantity.schema.js';
import { changedFields } from '../../records/kit/changed-fields.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { OwnWeightsRead } from './own-weights.read.js';
import {
  answerPlan,
  checkedPlan,
  coreArms,
  planRequest,
  type PlanAnswered,
  spreadOf,
  formatPlanAnswer,
  trialAnswer,
} from './trial-plan.js';
import {
  animalName,
  type AmendedFields,
  drawnFeedings,
  type DrawRow,
  planInForce,
  TrialRead,
  type WholeTrial,
} from './trial.read.js';
import type * as api from './trial.schema.js';
import { type protocolAnswer, type planAnswer, trialPlan, type TrialPlanTyped } from './trial.schema.js';
import { TrialStore } from './trial.store.js';
import type { z } from 'zod';

type Trial = AnswerOf<typeof api.getTrial>;
type Link = { armId: string; pen: string | null; herdId: string };
/** What a plan promised when the trial began, in either system of units. */
type FrozenAnswer = Readonly<Record<UnitSystem, PlanAnswered>>;

const START_WEIGHT_GOOD_FOR_DAYS = 60;

/**
 * A trial from its first draft to its close: free to change as a draft, frozen once it begins, amended only by
 * additions.
 */
@Injectable()
export class TrialService {
  constructor(
    private readonly trials: TrialRead,
    private readonly store: TrialStore,
    private readonly herds: HerdRead,
    private readonly ownWeights: OwnWeightsRead,
  ) {}

  async create(tenant: OperationTenant, { query, body }: InputOf<typeof api.createTrial>): Promise<Trial> {
    const { name, herdId, arms, ...plan } = body;
    await this.herds.one(tenant, herdId);
    const row = await this.store.insert(
      tenant,
      { name, herd_id: herdId, state: 'draft', plan: JSON.stringify(plan) },
      arms.map((arm, index) => ({ position: index + 1, name: arm.name, role: arm.role, feeding: arm.feeding })),
    );
    const trial = await this.trials.one(tenant, row.id);
    await this.#checked(tenant, trial);
    await tenant.audit({ action: 'trial.create', subjectKind: 'trial', subjectId: row.id, after: { ...row, arms } });
    return this.#written(tenant, trial, query.units);
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listTrials>,
  ): Promise<AnswerOf<typeof api.listTrials>> {
    const whole = await this.trials.whole(tenant, await this.trials.page(tenant, query));
    return pageOf(
      whole,
      query.limit,
      (trial) => this.#written(tenant, trial, query.units),
      (trial) => [trial.row.name, trial.row.id],
    );
  }

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getTrial>): Promise<Trial> {
    return this.#written(tenant, await this.trials.one(tenant, params.trialId), query.units);
  }

  async change(
    tenant: OperationTenant,
    { params, query, body, expectedVersion }: InputOf<typeof api.changeTrial>,
  ): Promise<Trial> {
    const before = await this.trials.one(tenant, params.trialId, { lock: true });
    if (before.row.version !== expectedVersion) throw new Problem('changed-meanwhile');
    refuseUnless(before, 'draft', 'The plan of a trial that has begun is frozen; amend it with a reason.');
    const { name, arms, ...given } = body;
    const changes = changedFields(given) as Partial<TrialPlanTyped>;
    if (
      before.draws > 0 &&
      ((changes.unit !== undefined && changes.unit !== before.plan.unit) ||
        (changes.pens !== undefined && changes.pens.join('\n') !== before.plan.pens.join('\n')))
    ) {
      throw new Problem('conflict', 'The arms are drawn: unit and pens are fixed. Plan another trial to change them.');
    }
    const plan = trialPlan.parse({ ...before.plan, ...changes });
    if (arms !== undefined) await this.#changeArms(tenant, before, arms);
    await this.store.change(tenant, params.trialId, { ...changedFields({ name }), plan: JSON.stringify(plan) });
    const after = await this.trials.one(tenant, params.trialId);
    await this.#checked(tenant, after);
    await tenant.audit({
      action: 'trial.change',
      subjectKind: 'trial',
      subjectId: after.row.id,
      before: { ...before.row, arms: before.arms },
      after: { ...after.row, arms: after.arms },
    });
    return this.#written(tenant, after, query.units);
  }

  async begin(
    tenant: OperationTenant,
    { params, query, body, expectedVersion }: InputOf<typeof api.beginTrial>,
  ): Promise<Trial> {
    const trial = await this.trials.one(tenant, params.trialId, { lock: true });
    if (trial.row.version !== expectedVersion) throw new Problem('changed-meanwhile');
    refuseUnless(trial, 'draft', 'This trial has already begun.');
    const draw = await this.trials.draw(tenant, trial.row.id);
    if (draw === undefined)
      throw new Problem(
        'conflict',
        'Draw the arms first: a trial whose arms were chosen by hand shows what the chooser saw, not what ' +
          'the feed did.',
      );
    const weighedOn = (await this.ownWeights.weighIns(tenant, draw.weigh_in_ids)).map((one) => one.happened_on).sort();
    const [first, last] = [weighedOn[0] ?? body.beginsOn, weighedOn.at(-1) ?? body.beginsOn];
    if (daysBetween(first, body.beginsOn) > START_WEIGHT_GOOD_FOR_DAYS || daysBetween(body.beginsOn, last) > 1) {
      throw ruleBroken(
        '#/beginsOn',
        'away-from-the-draw',
        body.beginsOn,
        `${addDays(last, -1)} to ${addDays(first, START_WEIGHT_GOOD_FOR_DAYS)}`,
        `The arms were drawn from weights of ${first}; a trial must begin within ${START_WEIGHT_GOOD_FOR_DAYS} ` +
          'days of them.',
      );
    }
    await this.#link(tenant, trial, body.herds);
    const frozen: FrozenAnswer = {
      us: await this.#answered(tenant, trial, 'us'),
      metric: await this.#answered(tenant, trial, 'metric'),
    };
    await this.store.change(tenant, trial.row.id, {
      state: 'running',
      begins_on: body.beginsOn,
      begun_at: tenant.moment.toISOString(),
      plan_answer: JSON.stringify(frozen),
    });
    const after = await this.trials.one(tenant, trial.row.id);
    await tenant.audit({
      action: 'trial.begin',
      subjectKind: 'trial',
      subjectId: trial.row.id,
      before: { state: trial.row.state },
      after: { state: 'running', beginsOn: body.beginsOn, herds: after.herds },
    });
    return this.#written(tenant, after, query.units);
  }

  async amend(
    tenant: OperationTenant,
    { params, query, body, expectedVersion }: InputOf<typeof api.amendTrial>,
  ): Promise<Trial> {
    const trial = await this.trials.one(tenant, params.trialId, { lock: true });
    if (trial.row.version !== expectedVersion) throw new Problem('changed-meanwhile');
    refuseUnless(
      trial,
      'running',
      trial.row.state === 'draft'
        ? 'A draft can simply be changed; only a running trial is amended.'
        : 'This trial is closed.',
    );
    const amendedOn = body.amendedOn ?? this.#today(tenant);
    if (amendedOn < (trial.row.begins_on ?? amendedOn))
      throw ruleBroken(
        '#/amendedOn',
        'before-the-trial',
        amendedOn,
        `${trial.row.begins_on ?? ''} or later`,
        'A trial can only be amended while it runs.',
      );
    const plan = planInForce(trial);
    if (body.lengthDays !== undefined && hasPeriods(plan.design))
      throw ruleBroken(
        '#/lengthDays',
        'periods-are-drawn',
        body.lengthDays,
        `${plan.lengthDays}: ${plan.design.periods} periods were drawn`,
        'The periods of this trial are drawn over its length, which so cannot be amended.',
      );
    const lengthDays = body.lengthDays ?? plan.lengthDays;
    const late = (body.interimWeighingDays ?? plan.interimWeighingDays).find((day) => day >= lengthDays);
    if (late !== undefined)
      throw ruleBroken(
        body.interimWeighingDays === undefined ? '#/lengthDays' : '#/interimWeighingDays',
        'after-the-end',
        late,
        `before day ${lengthDays}`,
        'An interim weighing must come before the end.',
      );
    const links = body.herds === undefined ? [] : await this.#link(tenant, trial, body.herds);
    const changes: AmendedFields = {
      ...changedFields({
        lengthDays: body.lengthDays,
        interimWeighingDays: body.interimWeighingDays,
        herdHead: body.herdHead,
      }),
      ...(links.length === 0 ? {} : { herds: links }),
    };
    await this.store.insertAmendment(tenant, {
      trial_id: trial.row.id,
      number: trial.amendments.length + 1,
      amended_on: amendedOn,
      reason: body.reason,
      changes: JSON.stringify(changes),
    });
    await this.store.change(tenant, trial.row.id, {});
    const after = await this.trials.one(tenant, trial.row.id);
    await tenant.audit({
      action: 'trial.amend',
      subjectKind: 'trial',
      subjectId: trial.row.id,
      after: { number: trial.amendments.length + 1, amendedOn, reason: body.reason, changes },
    });
    return this.#written(tenant, after, query.units);
  }

  async close(
    tenant: OperationTenant,
    { params, query, body, expectedVersion }: InputOf<typeof api.closeTrial>,
  ): Promise<Trial> {
    const trial = await this.trials.one(tenant, params.trialId, { lock: true });
    if (trial.row.version !== expectedVersion) throw new Problem('changed-meanwhile');
    if (trial.row.state === 'closed') throw new Problem('conflict', 'This trial is already closed.');
    const closedOn = body.closedOn ?? this.#today(tenant);
    if (trial.row.begins_on !== null && closedOn < trial.row.begins_on)
      throw ruleBroken(
        '#/closedOn',
        'before-the-trial',
        closedOn,
        `${trial.row.begins_on} or later`,
        'A trial cannot be closed before it began.',
      );
    if (closedOn > this.#today(tenant))
      throw ruleBroken(
        '#/closedOn',
        'in-the-future',
        closedOn,
        `${this.#today(tenant)} or earlier`,
        'A trial cannot be closed on a future day.',
      );
    await this.store.change(tenant, trial.row.id, {
      state: 'closed',
      closed_on: closedOn,
      close_reason: body.reason,
    });
    const after = await this.trials.one(tenant, trial.row.id);
    await tenant.audit({
      action: 'trial.close',
      subjectKind: 'trial',
      subjectId: trial.row.id,
      before: { state: trial.row.state },
      after: { state: 'closed', closedOn, reason: body.reason },
    });
    return this.#written(tenant, after, query.units);
  }

  /**
   * What a trial of this size can detect: for a draft by the books now, for a running trial as promised when it began.
   */
  async planAnswer(
    tenant: OperationTenant,
    trialId: string,
    units: UnitSystem | undefined,
  ): Promise<z.input<typeof planAnswer>> {
    const trial = await this.trials.one(tenant, trialId);
    const system = units ?? tenant.operation.unitPreference;
    const frozen = trial.row.plan_answer as FrozenAnswer | null;
    return formatPlanAnswer(
      trial,
      frozen === null ? await this.#answered(tenant, trial, system) : frozen[system],
      frozen !== null,
      system,
    );
  }

  /** The sheet for the yard, with dates once the trial began and animals once they are drawn. */
  async protocol(tenant: OperationTenant, trialId: string): Promise<z.input<typeof protocolAnswer>> {
    const trial = await this.trials.one(tenant, trialId);
    const plan = planInForce(trial);
    const begins = trial.row.begins_on;
    const sheet = protocolSheet({
      lengthDays: plan.lengthDays,
      twoDays: plan.twoWeighingDays,
      fill: plan.fill,
      hoursOffFeed: plan.hoursOffFeed,
      interimDays: plan.interimWeighingDays,
      unit: plan.unit,
      design: plan.design,
    });
    const draw = await this.trials.draw(tenant, trialId);
    const animals = draw === undefined ? [] : await this.trials.animals(tenant, [draw.id]);
    return {
      trialId,
      trial: trial.row.name,
      question: plan.question,
      beginsOn: begins,
      arms: trial.arms.map((arm) => ({ id: arm.id, name: arm.name, role: arm.role, feeding: arm.feeding })),
      steps: sheet.steps
        .map((step) =>
          step.code === 'draw-arms' && draw !== undefined
            ? {
                ...step,
                day: null,
                words: `The arms are drawn, with seed ${draw.seed}. Nobody may change who is in which arm.`,
              }
            : step,
        )
        .map((step) => ({
          day: step.day,
          on: begins === null || step.day === null ? null : addDays(begins, step.day),
          code: step.code,
          words: step.words,
        })),
      pens: pensOf(draw, plan, begins),
      dailyRecord: [...sheet.dailyRecord],
      animals: animals.map((animal) => ({ animal: animalName(animal), armId: animal.arm_id, pen: animal.pen })),
    };
  }

  #written(tenant: OperationTenant, trial: WholeTrial, units: UnitSystem | undefined): Trial {
    return trialAnswer(trial, units ?? tenant.operation.unitPreference);
  }

  #today(tenant: OperationTenant): string {
    return dayIn(tenant.operation.timeZone, tenant.moment);
  }

  async #answered(tenant: OperationTenant, trial: WholeTrial, units: UnitSystem): Promise<PlanAnswered> {
    const herd = await this.herds.one(tenant, trial.row.herd_id);
    const own = await this.ownWeights.spreads(tenant, trial.plan, this.#today(tenant));
    return answerPlan(trial.plan, coreArms(trial.arms), spreadOf(trial.plan, own), Number(herd.body_weight_kg), units);
  }

  /** A plan that the core refuses is not saved. */
  async #checked(tenant: OperationTenant, trial: WholeTrial): Promise<void> {
    const { plan } = trial;
    if (plan.unit === 'animal' && plan.pens.length > 0)
      throw ruleBroken(
        '#/pens',
        'animals-are-the-unit',
        plan.pens.length,
        'none where animals are the unit',
        'Pens are named only where pens are the unit.',
      );
    if (new Set(plan.pens).size !== plan.pens.length)
      throw ruleBroken('#/pens', 'pen-twice', plan.pens, 'each pen once', 'A pen is in the list twice.');
    const pens = trial.arms.length * plan.unitsPerArm;
    if (plan.unit === 'pen' && plan.pens.length > 0 && plan.pens.length !== pens)
      throw ruleBroken(
        '#/pens',
        'number-of-pens',
        plan.pens.length,
        `${pens}: ${plan.unitsPerArm} for each of ${trial.arms.length} arms`,
        'Every arm must have as many pens as the plan gives.',
      );
    if (plan.design?.kind === 'blocked' && plan.pens.length > 0) {
      const inBlocks = plan.design.blocks.flatMap((block) => block.pens);
      if ([...inBlocks].sort().join('\n') !== [...plan.pens].sort().join('\n'))
        throw ruleBroken('#/design/blocks', 'pens-of-blocks', inBlocks, plan.pens.join(', '), 'Blocks hold the pens.');
    }
    const own = await this.ownWeights.spreads(tenant, plan, this.#today(tenant));
    checkedPlan(
      plan,
      planRequest(plan, coreArms(trial.arms), spreadOf(plan, own), null, tenant.operation.unitPreference),
    );
  }

  async #changeArms(
    tenant: OperationTenant,
    trial: WholeTrial,
    arms: NonNullable<InputOf<typeof api.changeTrial>['body']['arms']>,
  ): Promise<void> {
    const known = new Map(trial.arms.map((arm) => [arm.id, arm]));
    arms.forEach((arm, index) => {
      if (arm.id !== undefined && !known.has(arm.id))
        throw ruleBroken(
          `#/arms/${index}/id`,
          'no-such-arm',
          arm.id,
          'an arm of this trial, or none for a new arm',
          'This trial has no such arm.',
        );
    });
    const kept = new Set(arms.flatMap((arm) => arm.id ?? []));
    const gone = trial.arms.filter((arm) => !kept.has(arm.id));
    if (
      trial.draws > 0 &&
      (gone.length > 0 || arms.some((arm) => arm.id === undefined || arm.role !== known.get(arm.id)?.role))
    )
      throw new Problem(
        'conflict',
        'The arms are drawn: they can be renamed, but not added, removed or given another role.',
      );
    await this.store.removeArms(
      tenant,
      gone.map((arm) => arm.id),
    );
    for (const [index, arm] of arms.entries()) {
      const fields = { position: index + 1, name: arm.name, role: arm.role, feeding: arm.feeding };
      if (arm.id === undefined) await this.store.insertArms(tenant, trial.row.id, [fields]);
      else await this.store.changeArm(tenant, arm.id, fields);
    }
  }

  /** Ties herds to arms or pens: from then on their feedings count. */
  async #link(
    tenant: OperationTenant,
    trial: WholeTrial,
    links: InputOf<typeof api.beginTrial>['body']['herds'],
  ): Promise<Link[]> {
    const draw = await this.trials.draw(tenant, trial.row.id);
    const armOfPen = new Map(
      (draw === undefined ? [] : await this.trials.animals(tenant, [draw.id])).flatMap((animal) =>
        animal.pen === null ? [] : [[animal.pen, animal.arm_id] as const],
      ),
    );
    const taken = new Map(trial.herds.map((herd) => [herd.herd_id, true]));
    const made: Link[] = [];
    for (const [index, link] of links.entries()) {
      const at = (field: string): string => `#/herds/${index}/${field}`;
      await this.herds.one(tenant, link.herdId);
      if (taken.has(link.herdId))
        throw ruleBroken(
          at('herdId'),
          'herd-twice',
          link.herdId,
          'a herd for one arm or pen only',
          'What is fed to this herd would count for two arms.',
        );
      taken.set(link.herdId, true);
      const armId = link.pen === undefined ? link.armId : armOfPen.get(link.pen);
      if (trial.plan.unit === 'pen' && link.pen === undefined)
        throw ruleBroken(
          at('armId'),
          'pens-are-the-unit',
          link.armId,
          'the name of a pen',
          'Pens are the unit: name the pen of this herd.',
        );
      if (trial.plan.unit === 'animal' && link.pen !== undefined)
        throw ruleBroken(
          at('pen'),
          'animals-are-the-unit',
          link.pen,
          'the id of an arm',
          'Animals are the unit: name the arm of this herd.',
        );
      if (armId === undefined || !trial.arms.some((arm) => arm.id === armId))
        throw ruleBroken(
          at(link.pen === undefined ? 'armId' : 'pen'),
          'not-in-this-trial',
          link.pen ?? link.armId,
          'an arm or a drawn pen of this trial',
          'This trial has no such arm or pen.',
        );
      made.push({ armId, pen: link.pen ?? null, herdId: link.herdId });
    }
    await this.store.linkHerds(
      tenant,
      trial.row.id,
      made.map((link) => ({ arm_id: link.armId, pen: link.pen, herd_id: link.herdId })),
    );
    return made;
  }
}

/** What was drawn for each pen of a trial with periods or blocks. */
function pensOf(
  draw: DrawRow | undefined,
  { design, lengthDays }: TrialPlanTyped,
  begins: string | null,
): z.input<typeof protocolAnswer>['pens'] {
  const periods = periodsOf(design, lengthDays);
  return [...drawnFeedings(draw)]
    .sort((one, other) => (one.penId < other.penId ? -1 : 1))
    .map((pen) => ({
      pen: pen.penId,
      block: pen.block,
      feedings: periods.map(({ number, from }) => ({
        period: number,
        fromDay: from,
        on: begins === null ? null : addDays(begins, from),
        armId: feedingOf(pen, number),
      })),
    }));
}

function refuseUnless(trial: WholeTrial, state: 'draft' | 'running', words: string): void {
  if (trial.row.state !== state) throw new Problem('conflict', words);
}
