import { Injectable } from '@nestjs/common';
import { daysBetween } from '../../core/time/calendar-day.js';
import { dayIn } from '../../platform/clock.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import type { ReversalRow } from '../../records/kit/reversal.read.js';
import { Reversals } from '../../records/kit/reversal.store.js';
import { reversalAnswer } from '../../records/kit/reversal.schema.js';
import { type AnimalRow, animalName, type EventRow, TrialRead, type TrialRow } from './trial.read.js';
import type * as api from './trial.schema.js';
import { TrialStore } from './trial.store.js';

type Event = AnswerOf<typeof api.getTrialEvent>;

/** What happens to single animals is recorded as it happens; nobody decides at the end whom to drop. */
@Injectable()
export class TrialEventService {
  constructor(
    private readonly trials: TrialRead,
    private readonly store: TrialStore,
    private readonly reversals: Reversals,
  ) {}

  async create(tenant: OperationTenant, { params, body }: InputOf<typeof api.createTrialEvent>): Promise<Event> {
    const trial = await this.trials.row(tenant, params.trialId);
    if (trial.begins_on === null) throw new Problem('conflict', 'This trial has not begun.');
    const until = trial.closed_on ?? dayIn(tenant.operation.timeZone, tenant.moment);
    if (body.happenedOn < trial.begins_on || body.happenedOn > until)
      throw ruleBroken(
        '#/happenedOn',
        'outside-the-trial',
        body.happenedOn,
        `${trial.begins_on} to ${until}`,
        'That day is outside the trial.',
      );
    const draw = await this.trials.draw(tenant, trial.id);
    const animals = draw === undefined ? [] : await this.trials.animals(tenant, [draw.id]);
    const animal = animals.find((one) => one.electronic_id === body.animal || one.visual_tag === body.animal);
    if (animal === undefined)
      throw ruleBroken(
        '#/animal',
        'not-in-this-trial',
        body.animal,
        'a tag or electronic number of the draw',
        `${body.animal} was not drawn into this trial.`,
      );
    const left = (await this.trials.events(tenant, trial.id, until)).find(
      (event) =>
        event.animal_position === animal.position &&
        ['died', 'sold', 'lost'].includes(event.kind) &&
        event.happened_on <= body.happenedOn,
    );
    if (left !== undefined)
      throw new Problem('conflict', `${animalName(animal)} left the trial on ${left.happened_on} (${left.kind}).`);
    const row = await this.store.insertEvent(tenant, {
      trial_id: trial.id,
      trial_draw_id: animal.trial_draw_id,
      animal_position: animal.position,
      kind: body.kind,
      happened_on: body.happenedOn,
      note: body.note ?? null,
    });
    await tenant.audit({
      action: 'trial-event.create',
      subjectKind: 'trial-event',
      subjectId: row.id,
      after: { ...row, animal: animalName(animal) },
    });
    return answerFrom(trial, row, animal, undefined);
  }

  async list(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.listTrialEvents>,
  ): Promise<AnswerOf<typeof api.listTrialEvents>> {
    const trial = await this.trials.row(tenant, params.trialId);
    const rows = await this.trials.eventPage(tenant, trial.id, query);
    const write = await this.#writer(tenant, trial, rows);
    return pageOf(rows, query.limit, write, (row) => [row.happened_on, row.id]);
  }

  async get(tenant: OperationTenant, { params }: InputOf<typeof api.getTrialEvent>): Promise<Event> {
    const trial = await this.trials.row(tenant, params.trialId);
    const row = await this.trials.oneEvent(tenant, trial.id, params.eventId);
    return (await this.#writer(tenant, trial, [row]))(row);
  }

  async reverse(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof api.reverseTrialEvent>,
  ): Promise<AnswerOf<typeof api.reverseTrialEvent>> {
    const row = await this.trials.oneEvent(tenant, params.trialId, params.eventId);
    const reversal = await this.reversals.write(
      tenant,
      { kind: 'trial-event', id: row.id, happenedOn: row.happened_on },
      body,
    );
    return reversalAnswer(reversal);
  }

  async #writer(
    tenant: OperationTenant,
    trial: TrialRow,
    rows: readonly EventRow[],
  ): Promise<(row: EventRow) => Event> {
    const animals = await this.trials.animals(tenant, [...new Set(rows.map((row) => row.trial_draw_id))]);
    const reversals = await this.reversals.of(
      tenant,
      rows.map((row) => row.id),
    );
    return (row) => {
      const animal = animals.find(
        (one) => one.trial_draw_id === row.trial_draw_id && one.position === row.animal_position,
      );
      if (animal === undefined) throw new Error('An event of an animal that no draw holds');
      return answerFrom(trial, row, animal, reversals.get(row.id));
    };
  }
}

function answerFrom(trial: TrialRow, row: EventRow, animal: AnimalRow, reversal: ReversalRow | undefined): Event {
  return {
    id: row.id,
    trialId: trial.id,
    visualTag: animal.visual_tag,
    electronicId: animal.electronic_id,
    armId: animal.arm_id,
    pen: animal.pen,
    kind: row.kind,
    happenedOn: row.happened_on,
    dayOfTrial: daysBetween(trial.begins_on ?? row.happened_on, row.happened_on),
    note: row.note,
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
