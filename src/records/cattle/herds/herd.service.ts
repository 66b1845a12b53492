import { Injectable } from '@nestjs/common';
import { lastRecorded } from '../../../core/standing/breeding-seasons.js';
import type { AnimalClass, AnimalSex } from '../../../core/requirements/requirement-set.js';
import { mainClassOn } from '../../../core/standing/herd-state.js';
import { dayIn } from '../../../platform/clock.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { together } from '../../../platform/database/together.js';
import { pageOf } from '../../../platform/http/cursor.js';
import { ruleBroken } from '../../../platform/http/problem.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import {
  type MassIn,
  type MassSize,
  toMass,
  type UnitSystem,
  formatTypedMass,
} from '../../../platform/wire/quantity.schema.js';
import { changedFields } from '../../kit/changed-fields.js';
import { refuseNotYet } from '../../kit/happened.read.js';
import { Reversals } from '../../kit/reversal.store.js';
import { RanchRead } from '../../yard/ranches/ranch.read.js';
import { factOf, HerdEventRead, type HerdEventRow } from './herd-event.read.js';
import { massColumns } from './herd-event.service.js';
import { isFemale } from '../../../core/standing/class-and-sex.js';
import { refuseClassOfSex } from './class-of-sex.js';
import { HerdEventFit } from './herd-event-fit.js';
import { HerdWeightFit } from './herd-weight-fit.js';
import { HerdEventStore, type NewHerdEvent } from './herd-event.store.js';
import { HerdRead, type HerdRow } from './herd.read.js';
import type * as api from './herd.schema.js';
import { HerdStore } from './herd.store.js';
import type { MassUnit } from '../../../core/units/mass.js';

type Answer = AnswerOf<typeof api.getHerd>;

@Injectable()
export class HerdService {
  constructor(
    private readonly herds: HerdRead,
    private readonly ranches: RanchRead,
    private readonly events: HerdEventRead,
    private readonly store: HerdStore,
    private readonly eventStore: HerdEventStore,
    private readonly reversals: Reversals,
    private readonly fit: HerdEventFit,
    private readonly weights: HerdWeightFit,
  ) {}

  async create(tenant: OperationTenant, { query, body }: InputOf<typeof api.createHerd>): Promise<Answer> {
    refuseClassOfSex('#/cattleClass', body.cattleClass, body.sex);
    refuseBreedingOfSex(body, body.sex);
    this.#refuseWeights(tenant, body, { cattleClass: body.cattleClass, sex: body.sex });
    await refuseDaysToCome(tenant, body);
    const { takenOn } = body;
    if (takenOn !== undefined) await refuseNotYet(tenant, { day: takenOn, pointer: '#/takenOn' });
    const row = await this.store.insert(tenant, {
      ranch_id: body.ranchId,
      name: body.name,
      sex: body.sex,
      breed_type: body.breedType,
      ...requiredMass('body_weight', body.bodyWeight),
      ...optionalMass('mature_weight', body.matureWeight),
      ...optionalMass('peak_milk', body.peakMilk),
      taken_on: takenOn ?? null,
      note: body.note ?? null,
    });
    const today = await this.#today(tenant, row);
    const first = firstEvents(body, today);
    await this.fit.refuse(tenant, { ...row, cattle_class: body.cattleClass }, first, MEAN_DAYS);
    const events = await this.eventStore.insert(tenant, row.id, first);
    await tenant.audit({ action: 'herd.create', subjectKind: 'herd', subjectId: row.id, after: { ...row, events } });
    return this.#answer(tenant, await this.herds.one(tenant, row.id), query.units);
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listHerds>,
  ): Promise<AnswerOf<typeof api.listHerds>> {
    const rows = await this.herds.page(tenant, query);
    const write = await this.#writer(tenant, rows, query.units);
    return pageOf(rows, query.limit, write, (row) => [row.name, row.id]);
  }

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getHerd>): Promise<Answer> {
    return this.#answer(tenant, await this.herds.one(tenant, params.herdId), query.units);
  }

  async change(
    tenant: OperationTenant,
    { params, query, body, expectedVersion }: InputOf<typeof api.changeHerd>,
  ): Promise<Answer> {
    const before = await this.herds.one(tenant, params.herdId);
    const zone = await this.ranches.timeZone(tenant, before.ranch_id);
    const today = dayIn(zone, tenant.moment);
    await this.#refuseForSex(tenant, before, body);
    const sex = body.sex ?? before.sex;
    this.#refuseWeights(tenant, body, { cattleClass: body.cattleClass ?? before.cattle_class, sex });
    await refuseDaysToCome(tenant, body);
    // On the day a herd was entered, a new weight only corrects the entry.
    const enteredToday = dayIn(zone, new Date(before.created_at)) === today;
    await this.store.change(
      tenant,
      { id: before.id, version: expectedVersion },
      {
        ...changedFields({ name: body.name, sex: body.sex, breed_type: body.breedType, note: body.note }),
        ...(body.bodyWeight === undefined || !enteredToday ? {} : requiredMass('body_weight', body.bodyWeight)),
        ...(body.matureWeight === undefined ? {} : optionalMass('mature_weight', body.matureWeight)),
        ...(body.peakMilk === undefined ? {} : optionalMass('peak_milk', body.peakMilk)),
      },
    );
    const standing = await this.#standing(tenant, before.id);
    await this.#takeBack(tenant, standing, body);
    const entered = { ...body, bodyWeight: enteredToday ? undefined : body.bodyWeight };
    const changes = changeEvents(entered, standing, today);
    await this.fit.refuse(tenant, before, changes, MEAN_DAYS);
    const events = await this.eventStore.insert(tenant, before.id, changes);
    const after = await this.herds.one(tenant, before.id);
    await this.#refuseIdleClass(tenant, after, events);
    await tenant.audit({
      action: 'herd.change',
      subjectKind: 'herd',
      subjectId: after.id,
      before,
      after: { ...after, events },
    });
    return this.#answer(tenant, after, query.units);
  }

  /** A herd shows the class that it is of: one that what happened to it rules out would be written down for nothing. */
  async #refuseIdleClass(tenant: OperationTenant, herd: HerdRow, events: readonly HerdEventRow[]): Promise<void> {
    const told = events.filter((one) => one.kind === 'class');
    for (const [row, warnings] of await this.fit.warnings(tenant, herd, told))
      for (const { code, message } of warnings)
        throw ruleBroken(
          '#/cattleClass',
          code,
          row.cattle_class,
          'a class that some of the herd are of today',
          message,
        );
  }

  /** Class and sex must fit each other; cattle that were bred or have calved stay female. */
  async #refuseForSex(tenant: OperationTenant, herd: HerdRow, body: Change): Promise<void> {
    const sex = body.sex ?? herd.sex;
    if (body.sex !== undefined || body.cattleClass !== undefined)
      refuseClassOfSex(
        body.cattleClass === undefined ? '#/sex' : '#/cattleClass',
        body.cattleClass ?? herd.cattle_class,
        sex,
      );
    refuseBreedingOfSex(body, sex);
    if (isFemale(sex) || !isFemale(herd.sex)) return;
    const bred = (await this.#standing(tenant, herd.id)).find((one) => OF_FEMALES.includes(one.kind));
    if (bred !== undefined)
      throw ruleBroken(
        '#/sex',
        'not-for-this-sex',
        sex,
        'cow or heifer',
        `${herd.name} have a breeding, check, calving or weaning recorded on ${bred.happened_on}. Reverse it ` +
          'first if it is not theirs.',
      );
  }

  /** A mean that none of its class has, and a mature weight that none of its sex reaches. */
  #refuseWeights(
    tenant: OperationTenant,
    body: Pick<Change, 'bodyWeight' | 'matureWeight'>,
    { cattleClass, sex }: { cattleClass: AnimalClass; sex: AnimalSex },
  ): void {
    for (const [field, heldTo] of [
      ['bodyWeight', cattleClass],
      ['matureWeight', MATURE_CLASS[sex]],
    ] as const) {
      const entered = body[field];
      if (!isStated(entered)) continue;
      this.weights.refuseOfClass(tenant, heldTo, {
        on: '',
        kg: toMass(entered).kilograms.toNumber(),
        how: 'stated',
        pointer: `#/${field}`,
        given: entered,
      });
    }
  }

  /** Removing a breeding or calving reverses the latest one; those of other years stay. */
  async #takeBack(tenant: OperationTenant, standing: readonly HerdEventRow[], body: Change): Promise<void> {
    for (const [kind, entered] of [
      ['bred', body.bredOn],
      ['calved', body.calvedOn],
    ] as const) {
      const last = standing.findLast((one) => one.kind === kind);
      if (entered !== null || last === undefined) continue;
      await this.reversals.write(
        tenant,
        { kind: 'herd-event', id: last.id, happenedOn: last.happened_on },
        { reason: 'Removed from the herd' },
      );
    }
  }

  async #standing(tenant: OperationTenant, herdId: string): Promise<HerdEventRow[]> {
    return (await this.events.standing(tenant, [herdId])).get(herdId) ?? [];
  }

  async #today(tenant: OperationTenant, { ranch_id }: Pick<HerdRow, 'ranch_id'>): Promise<string> {
    return dayIn(await this.ranches.timeZone(tenant, ranch_id), tenant.moment);
  }

  async #answer(tenant: OperationTenant, row: HerdRow, units: UnitSystem | undefined): Promise<Answer> {
    return (await this.#writer(tenant, [row], units))(row);
  }

  async #writer(
    tenant: OperationTenant,
    rows: readonly HerdRow[],
    units: UnitSystem | undefined,
  ): Promise<(row: HerdRow) => Answer> {
    const [{ today, head }, events] = await together(
      this.herds.headToday(tenant, rows),
      this.events.standing(
        tenant,
        rows.map((row) => row.id),
      ),
    );
    return (row) =>
      herdAnswer(
        row,
        { events: events.get(row.id) ?? [], head: head.get(row.id) ?? 0, today: today.get(row.ranch_id) ?? '' },
        units ?? tenant.operation.unitPreference,
      );
  }
}

type Entry = InputOf<typeof api.createHerd>['body'];
type Change = InputOf<typeof api.changeHerd>['body'];

/** Fields for the mean days of breeding and calving in a herd's own body. */
const MEAN_DAYS = { bred: '#/bredOn', calved: '#/calvedOn' } as const;

/** By whose bounds the mature weight of a sex is held. */
const MATURE_CLASS = {
  cow: 'dry-open-cow',
  heifer: 'dry-open-cow',
  steer: 'finishing',
  bull: 'bull',
} as const satisfies Record<AnimalSex, AnimalClass>;

async function refuseDaysToCome(tenant: OperationTenant, body: Pick<Change, 'bredOn' | 'calvedOn'>): Promise<void> {
  for (const field of ['bredOn', 'calvedOn'] as const) {
    const day = body[field];
    if (isStated(day)) await refuseNotYet(tenant, { day, pointer: `#/${field}` });
  }
}

const OF_FEMALES: readonly HerdEventRow['kind'][] = ['bred', 'pregnancy-check', 'calved', 'weaned'];

function refuseBreedingOfSex(body: Pick<Change, 'bredOn' | 'calvedOn'>, sex: HerdRow['sex']): void {
  if (isFemale(sex)) return;
  for (const field of ['bredOn', 'calvedOn'] as const)
    if (isStated(body[field]))
      throw ruleBroken(
        `#/${field}`,
        'not-for-this-sex',
        body[field],
        'left out, or sex cow or heifer',
        'Only cows and heifers are bred and calve.',
      );
}

/** What a herd is entered with, as its first events. Breeding and calving are given by a mean day only. */
function firstEvents(body: Entry, today: string): NewHerdEvent[] {
  const first: NewHerdEvent[] = [
    { kind: 'class', happened_on: today, cattle_class: body.cattleClass },
    ...bredAndCalved(body),
    ...(!isStated(body.bodyCondition)
      ? []
      : [{ kind: 'condition' as const, happened_on: body.takenOn ?? today, body_condition: body.bodyCondition }]),
    ...(!isStated(body.targetDailyGain)
      ? []
      : [{ kind: 'target-gain' as const, happened_on: body.takenOn ?? today, ...massColumns(body.targetDailyGain) }]),
    ...(!isStated(body.placeId) ? [] : [{ kind: 'place' as const, happened_on: today, place_id: body.placeId }]),
  ];
  return first.map((event) => ({ ...event, opening: true }));
}

function isStated<Value>(value: Value | null | undefined): value is Value {
  return value !== null && value !== undefined;
}

function bredAndCalved({ bredOn, calvedOn }: Pick<Change, 'bredOn' | 'calvedOn'>): NewHerdEvent[] {
  return [
    ...(!isStated(bredOn) ? [] : [{ kind: 'bred' as const, happened_on: bredOn, last_on: bredOn }]),
    ...(!isStated(calvedOn)
      ? []
      : [{ kind: 'calved' as const, happened_on: calvedOn, median_on: calvedOn, last_on: calvedOn }]),
  ];
}

/** What a change says that is new, as events of today; `null` ends what was entered before. */
function changeEvents(body: Change, standing: readonly HerdEventRow[], today: string): NewHerdEvent[] {
  const last = (kind: HerdEventRow['kind']): HerdEventRow | undefined => standing.findLast((one) => one.kind === kind);
  const { bredOn, calvedOn } = lastRecorded(standing.map(factOf));
  const events = bredAndCalved({
    bredOn: body.bredOn === bredOn ? undefined : body.bredOn,
    calvedOn: body.calvedOn === calvedOn ? undefined : body.calvedOn,
  });
  if (body.cattleClass !== undefined && body.cattleClass !== last('class')?.cattle_class)
    events.push({ kind: 'class', happened_on: today, cattle_class: body.cattleClass });
  if (body.placeId !== undefined && body.placeId !== (last('place')?.place_id ?? null))
    events.push({ kind: 'place', happened_on: today, place_id: body.placeId });
  if (body.bodyCondition !== undefined && body.bodyCondition !== (last('condition')?.body_condition ?? null))
    events.push({ kind: 'condition', happened_on: today, body_condition: body.bodyCondition });
  if (body.targetDailyGain !== undefined)
    events.push({ kind: 'target-gain', happened_on: today, ...massColumns(body.targetDailyGain) });
  if (body.bodyWeight !== undefined)
    events.push({ kind: 'weight', happened_on: today, ...massColumns(body.bodyWeight) });
  return events;
}

/** The three columns of a weight: kilograms, and the figure and unit as typed. */
type TypedMassColumns<Name extends string, Figure, Unit> = Record<`${Name}_kg` | `${Name}_value`, Figure> &
  Record<`${Name}_unit`, Unit>;

function requiredMass<Name extends string>(name: Name, given: MassIn): TypedMassColumns<Name, string, MassUnit> {
  return {
    [`${name}_kg`]: toMass(given).kilograms.toFixed(),
    [`${name}_value`]: given.value,
    [`${name}_unit`]: given.unit,
  } as TypedMassColumns<Name, string, MassUnit>;
}

function optionalMass<Name extends string>(
  name: Name,
  given: MassIn | null | undefined,
): TypedMassColumns<Name, string | null, MassUnit | null> {
  if (given !== null && given !== undefined) return requiredMass(name, given);
  return { [`${name}_kg`]: null, [`${name}_value`]: null, [`${name}_unit`]: null } as TypedMassColumns<
    Name,
    null,
    null
  >;
}

function typed(
  kilograms: string | null,
  value: string | null,
  unit: MassUnit | null,
  system: UnitSystem,
  size: MassSize,
): ReturnType<typeof formatTypedMass> | null {
  return kilograms === null || value === null || unit === null
    ? null
    : formatTypedMass(kilograms, value, unit, system, size);
}

interface HerdKnown {
  /** Those not reversed, oldest first. */
  events: readonly HerdEventRow[];
  head: number;
  today: string;
}

function herdAnswer(row: HerdRow, { events, head, today }: HerdKnown, units: UnitSystem): Answer {
  const facts = events.map(factOf);
  const last = (kind: HerdEventRow['kind']): HerdEventRow | undefined => events.findLast((one) => one.kind === kind);
  const [weight, gain] = [last('weight'), last('target-gain')];
  return {
    id: row.id,
    ranchId: row.ranch_id,
    placeId: row.place_id,
    name: row.name,
    cattleClass: mainClassOn(facts, { cattleClass: row.cattle_class, sex: row.sex }, today),
    sex: row.sex,
    breedType: row.breed_type,
    bodyWeight:
      typed(weight?.mass_kg ?? null, weight?.mass_value ?? null, weight?.mass_unit ?? null, units, 'small') ??
      formatTypedMass(row.body_weight_kg, row.body_weight_value, row.body_weight_unit, units, 'small'),
    matureWeight: typed(row.mature_weight_kg, row.mature_weight_value, row.mature_weight_unit, units, 'small'),
    bodyCondition: last('condition')?.body_condition ?? null,
    ...lastRecorded(facts),
    peakMilk: typed(row.peak_milk_kg, row.peak_milk_value, row.peak_milk_unit, units, 'small'),
    targetDailyGain: typed(gain?.mass_kg ?? null, gain?.mass_value ?? null, gain?.mass_unit ?? null, units, 'small'),
    note: row.note,
    head,
    units,
    createdAt: row.created_at,
    version: row.version,
  };
}
