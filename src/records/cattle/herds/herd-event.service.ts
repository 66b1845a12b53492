import { Injectable } from '@nestjs/common';
import { isFemale } from '../../../core/standing/class-and-sex.js';
import { addDays } from '../../../core/time/calendar-day.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../../platform/http/problem.js';
import { type MassIn, toMass, type UnitSystem, formatTypedMass } from '../../../platform/wire/quantity.schema.js';
import { checkDay } from '../../kit/happened.read.js';
import type { ReversalRow } from '../../kit/reversal.read.js';
import { reversalAnswer } from '../../kit/reversal.schema.js';
import { corrected } from '../../kit/correction.store.js';
import { confirmedOf, doubtsConfirmed } from '../../kit/confirmed.read.js';
import { Reversals } from '../../kit/reversal.store.js';
import { HerdEventRead, type HerdEventRow } from './herd-event.read.js';
import { plural, refuseClassOfSex } from './class-of-sex.js';
import { HerdEventFit } from './herd-event-fit.js';
import { HerdWeightFit } from './herd-weight-fit.js';
import type { EntryWarning } from '../../kit/entry-warning.schema.js';
import type * as api from './herd-event.schema.js';
import { HerdEventStore, type NewHerdEvent } from './herd-event.store.js';
import { HerdRead, type HerdRow } from './herd.read.js';

type Body = InputOf<typeof api.createHerdEvent>['body'];
type Answer = AnswerOf<typeof api.getHerdEvent>;

/** What happened to a herd, each with its day. Rows are only ever added. */
@Injectable()
export class HerdEventService {
  constructor(
    private readonly herds: HerdRead,
    private readonly events: HerdEventRead,
    private readonly store: HerdEventStore,
    private readonly reversals: Reversals,
    private readonly fit: HerdEventFit,
    private readonly weights: HerdWeightFit,
  ) {}

  async create(tenant: OperationTenant, { params, query, body }: InputOf<typeof api.createHerdEvent>): Promise<Answer> {
    return this.record(tenant, params.herdId, body, query.units);
  }

  /** Writes one event inside an open transaction; used for single entries and imports alike. */
  async record(tenant: OperationTenant, herdId: string, body: Body, units: UnitSystem | undefined): Promise<Answer> {
    const herd = await this.herds.one(tenant, herdId);
    refuseForItsSex(herd, body);
    await checkDay(tenant, { day: body.happenedOn, pointer: '#/happenedOn' });
    const entered = eventRow(body);
    await this.fit.refuse(tenant, herd, [entered]);
    if (body.kind === 'weight')
      await this.weights.check(tenant, herd.id, {
        on: body.happenedOn,
        kg: toMass(body.weight).kilograms.toNumber(),
        how: 'stated',
        pointer: '#/weight',
        given: body.weight,
      });
    const [row] = await this.store.insert(tenant, herd.id, [entered]);
    if (row === undefined) throw new RangeError('The herd event that was just written did not come back');
    await tenant.audit({ action: 'herd-event.create', subjectKind: 'herd-event', subjectId: row.id, after: row });
    const warnings = (await this.#warnings(tenant, herd, [row])).get(row);
    return {
      ...answerFrom(row, undefined, warnings, units ?? tenant.operation.unitPreference),
      confirmed: doubtsConfirmed(tenant, { kind: 'herd-event', id: row.id }, row.happened_on),
    };
  }

  /** What is unlikely of the weights and the calvings among these events, and which classes change nothing. */
  async #warnings(
    tenant: OperationTenant,
    herd: HerdRow,
    rows: readonly HerdEventRow[],
  ): Promise<Map<HerdEventRow, EntryWarning[]>> {
    const weights = await this.weights.warnings(tenant, rows, (row) =>
      row.kind === 'weight' && row.mass_kg !== null
        ? { on: row.happened_on, kg: Number(row.mass_kg), how: 'stated' }
        : null,
    );
    return new Map([...weights, ...(await this.fit.warnings(tenant, herd, rows))]);
  }

  async list(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.listHerdEvents>,
  ): Promise<AnswerOf<typeof api.listHerdEvents>> {
    const herd = await this.herds.one(tenant, params.herdId);
    const rows = await this.events.page(tenant, params.herdId, query);
    const reversals = await this.reversals.of(
      tenant,
      rows.map((row) => row.id),
    );
    const warnings = await this.#warnings(
      tenant,
      herd,
      rows.filter((row) => !reversals.has(row.id)),
    );
    const confirmed = await confirmedOf(
      tenant,
      rows.map((row) => row.id),
    );
    const units = query.units ?? tenant.operation.unitPreference;
    return pageOf(
      rows,
      query.limit,
      (row) => ({ ...answerFrom(row, reversals.get(row.id), warnings.get(row), units), confirmed: confirmed(row.id) }),
      (row) => [row.happened_on, row.id],
    );
  }

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getHerdEvent>): Promise<Answer> {
    const herd = await this.herds.one(tenant, params.herdId);
    const row = await this.events.one(tenant, params.herdId, params.herdEventId);
    const reversals = await this.reversals.of(tenant, [row.id]);
    const reversal = reversals.get(row.id);
    const warnings = (await this.#warnings(tenant, herd, reversal === undefined ? [row] : [])).get(row);
    const confirmed = await confirmedOf(tenant, [row.id]);
    const told = answerFrom(row, reversal, warnings, query.units ?? tenant.operation.unitPreference);
    return { ...told, confirmed: confirmed(row.id) };
  }

  async reverse(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof api.reverseHerdEvent>,
  ): Promise<AnswerOf<typeof api.reverseHerdEvent>> {
    const row = await this.events.one(tenant, params.herdId, params.herdEventId);
    await this.refuseWithoutClass(tenant, [row.id]);
    return this.#takeOut(tenant, row, body);
  }

  /** The mistake goes out first, since one fact can stand in the way of another; a class has to be there afterward. */
  async correct(
    tenant: OperationTenant,
    { params, query, body: { reason, herdId, entry } }: InputOf<typeof api.correctHerdEvent>,
  ): Promise<AnswerOf<typeof api.correctHerdEvent>> {
    const row = await this.events.one(tenant, params.herdId, params.herdEventId);
    const answer = await corrected(
      tenant,
      { kind: 'herd-event', id: row.id, herdId: row.herd_id },
      {
        reverse: () => this.#takeOut(tenant, row, { reason }),
        enter: () => this.record(tenant, herdId ?? params.herdId, entry, query.units),
      },
    );
    await this.refuseWithoutClass(tenant, [row.id]);
    return answer;
  }

  async #takeOut(
    tenant: OperationTenant,
    row: HerdEventRow,
    body: InputOf<typeof api.reverseHerdEvent>['body'],
  ): Promise<AnswerOf<typeof api.reverseHerdEvent>> {
    const subject = { kind: 'herd-event', id: row.id, happenedOn: row.happened_on } as const;
    return reversalAnswer(await this.reversals.write(tenant, subject, body));
  }

  /** A herd always has a class: one of them stays when these events are reversed. */
  async refuseWithoutClass(tenant: OperationTenant, eventIds: readonly string[]): Promise<void> {
    const gone = new Set(eventIds);
    const classes = (await this.events.byId(tenant, eventIds)).filter(({ kind }) => kind === 'class');
    const standing = await this.events.standing(tenant, [...new Set(classes.map((row) => row.herd_id))]);
    for (const events of standing.values())
      if (!events.some(({ kind, id }) => kind === 'class' && !gone.has(id)))
        throw new Problem('conflict', 'It is the only class that the herd was given: write down the right one first.');
  }
}

/** Only cows and heifers are bred, calve and wean calves; and a class must fit the herd's sex. */
function refuseForItsSex(herd: HerdRow, body: Body): void {
  if (body.kind === 'class') return refuseClassOfSex('#/cattleClass', body.cattleClass, herd.sex);
  const females = ['bred', 'pregnancy-check', 'calved', 'weaned'].includes(body.kind);
  if (!females || isFemale(herd.sex)) return;
  throw ruleBroken(
    '#/kind',
    'not-for-this-sex',
    body.kind,
    'cows and heifers only',
    `${herd.name} are entered as ${plural(herd.sex)}; only cows and heifers are bred, calve and wean calves.`,
  );
}

function eventRow(body: Body): NewHerdEvent {
  const base = { kind: body.kind, happened_on: body.happenedOn, note: body.note ?? null };
  switch (body.kind) {
    case 'bred':
      return { ...base, ...span(body.happenedOn, undefined, body.lastOn ?? body.happenedOn), service: body.service };
    case 'calved':
      return { ...base, ...span(body.happenedOn, body.medianOn, body.lastOn) };
    case 'pregnancy-check':
      if (body.headOpen > body.headChecked)
        throw ruleBroken(
          '#/headOpen',
          'more-open-than-checked',
          body.headOpen,
          `0 to ${body.headChecked}`,
          'More head were open than were checked.',
        );
      return { ...base, head_checked: body.headChecked, head_open: body.headOpen };
    case 'weaned':
      return base;
    case 'condition':
      return { ...base, body_condition: body.score };
    case 'weight':
      return { ...base, ...massColumns(body.weight) };
    case 'class':
      return { ...base, cattle_class: body.cattleClass };
    case 'target-gain':
      return { ...base, ...massColumns(body.dailyGain) };
    case 'place':
      return { ...base, place_id: body.placeId };
  }
}

/** Longest time from the first day of a breeding or a calving to its last; common practice, no source. */
const SPAN_DAYS_MAX = 366;

function span(
  first: string,
  median: string | undefined,
  last: string | undefined,
): Pick<NewHerdEvent, 'median_on' | 'last_on'> {
  const wrong = (field: string, given: string, allowed: string): Problem =>
    ruleBroken(`#/${field}`, 'days-out-of-order', given, allowed, 'First, middle and last day follow each other.');
  const end = addDays(first, SPAN_DAYS_MAX);
  if (median !== undefined && (median < first || median > end)) throw wrong('medianOn', median, `${first} to ${end}`);
  const from = median ?? first;
  if (last !== undefined && (last < from || last > end)) throw wrong('lastOn', last, `${from} to ${end}`);
  return { median_on: median ?? null, last_on: last ?? null };
}

/** A weight or a gain, in kilograms and as typed. */
export function massColumns(
  given: MassIn | null | undefined,
): Pick<NewHerdEvent, 'mass_kg' | 'mass_value' | 'mass_unit'> {
  if (given === null || given === undefined) return { mass_kg: null, mass_value: null, mass_unit: null };
  return { mass_kg: toMass(given).kilograms.toFixed(), mass_value: given.value, mass_unit: given.unit };
}

function answerFrom(
  row: HerdEventRow,
  reversal: ReversalRow | undefined,
  warnings: EntryWarning[] | undefined,
  units: UnitSystem,
): Omit<Answer, 'confirmed'> {
  const mass =
    row.mass_kg === null || row.mass_value === null || row.mass_unit === null
      ? null
      : formatTypedMass(row.mass_kg, row.mass_value, row.mass_unit, units, 'small');
  return {
    id: row.id,
    herdId: row.herd_id,
    kind: row.kind,
    happenedOn: row.happened_on,
    medianOn: row.median_on,
    lastOn: row.last_on,
    service: row.service,
    headChecked: row.head_checked,
    headOpen: row.head_open,
    score: row.body_condition,
    weight: row.kind === 'weight' ? mass : null,
    cattleClass: row.cattle_class,
    dailyGain: row.kind === 'target-gain' ? mass : null,
    placeId: row.place_id,
    opening: row.opening,
    warnings: warnings ?? [],
    note: row.note,
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
