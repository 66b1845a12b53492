import { Injectable } from '@nestjs/common';
import type { OperationTenant } from '../../../platform/database/types.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import {
  type MassIn,
  type MassSize,
  toMass,
  type UnitSystem,
  formatTypedMass,
} from '../../../platform/wire/quantity.schema.js';
import { changedFields } from '../../kit/changed-fields.js';
import { HerdRead, type HerdRow } from './herd.read.js';
import type * as api from './herd.schema.js';
import { HerdStore } from './herd.store.js';
import type { MassUnit } from '../../../core/units/mass.js';

@Injectable()
export class HerdService {
  constructor(
    private readonly herds: HerdRead,
    private readonly store: HerdStore,
  ) {}

  async create(
    tenant: OperationTenant,
    { query, body }: InputOf<typeof api.createHerd>,
  ): Promise<AnswerOf<typeof api.getHerd>> {
    const row = await this.store.insert(tenant, {
      ranch_id: body.ranchId,
      place_id: body.placeId ?? null,
      name: body.name,
      cattle_class: body.cattleClass,
      sex: body.sex,
      breed_type: body.breedType,
      ...requiredMass('body_weight', body.bodyWeight),
      ...optionalMass('mature_weight', body.matureWeight),
      ...optionalMass('peak_milk', body.peakMilk),
      ...optionalMass('target_gain', body.targetDailyGain),
      body_condition: body.bodyCondition ?? null,
      bred_on: body.bredOn ?? null,
      calved_on: body.calvedOn ?? null,
      note: body.note ?? null,
    });
    await tenant.audit({ action: 'herd.create', subjectKind: 'herd', subjectId: row.id, after: row });
    return herdAnswer(row, 0, query.units ?? tenant.operation.unitPreference);
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listHerds>,
  ): Promise<AnswerOf<typeof api.listHerds>> {
    const rows = await this.herds.page(tenant, query);
    const head = await this.herds.headToday(tenant, rows);
    return pageOf(
      rows,
      query.limit,
      (row) => herdAnswer(row, head.get(row.id) ?? 0, query.units ?? tenant.operation.unitPreference),
      (row) => [row.name, row.id],
    );
  }

  async get(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.getHerd>,
  ): Promise<AnswerOf<typeof api.getHerd>> {
    return this.#answer(tenant, await this.herds.one(tenant, params.herdId), query.units);
  }

  async change(
    tenant: OperationTenant,
    { params, query, body, expectedVersion }: InputOf<typeof api.changeHerd>,
  ): Promise<AnswerOf<typeof api.getHerd>> {
    const before = await this.herds.one(tenant, params.herdId);
    const after = await this.store.change(
      tenant,
      { id: before.id, version: expectedVersion },
      {
        ...changedFields({
          name: body.name,
          place_id: body.placeId,
          cattle_class: body.cattleClass,
          sex: body.sex,
          breed_type: body.breedType,
          body_condition: body.bodyCondition,
          bred_on: body.bredOn,
          calved_on: body.calvedOn,
          note: body.note,
        }),
        ...(body.bodyWeight === undefined ? {} : requiredMass('body_weight', body.bodyWeight)),
        ...(body.matureWeight === undefined ? {} : optionalMass('mature_weight', body.matureWeight)),
        ...(body.peakMilk === undefined ? {} : optionalMass('peak_milk', body.peakMilk)),
        ...(body.targetDailyGain === undefined ? {} : optionalMass('target_gain', body.targetDailyGain)),
      },
    );
    await tenant.audit({ action: 'herd.change', subjectKind: 'herd', subjectId: after.id, before, after });
    return this.#answer(tenant, after, query.units);
  }

  async #answer(
    tenant: OperationTenant,
    row: HerdRow,
    units: UnitSystem | undefined,
  ): Promise<AnswerOf<typeof api.getHerd>> {
    const head = await this.herds.headToday(tenant, [row]);
    return herdAnswer(row, head.get(row.id) ?? 0, units ?? tenant.operation.unitPreference);
  }
}

/** The three columns of a weight: in kilograms, and the figure and unit as they were typed. */
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

function herdAnswer(row: HerdRow, head: number, units: UnitSystem): AnswerOf<typeof api.getHerd> {
  return {
    id: row.id,
    ranchId: row.ranch_id,
    placeId: row.place_id,
    name: row.name,
    cattleClass: row.cattle_class,
    sex: row.sex,
    breedType: row.breed_type,
    bodyWeight: formatTypedMass(row.body_weight_kg, row.body_weight_value, row.body_weight_unit, units, 'small'),
    matureWeight: typed(row.mature_weight_kg, row.mature_weight_value, row.mature_weight_unit, units, 'small'),
    bodyCondition: row.body_condition,
    bredOn: row.bred_on,
    calvedOn: row.calved_on,
    peakMilk: typed(row.peak_milk_kg, row.peak_milk_value, row.peak_milk_unit, units, 'small'),
    targetDailyGain: typed(row.target_gain_kg, row.target_gain_value, row.target_gain_unit, units, 'small'),
    note: row.note,
    head,
    units,
    createdAt: row.created_at,
    version: row.version,
  };
}
