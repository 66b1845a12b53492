import { Injectable } from '@nestjs/common';
import type { OperationTenant } from '../../../platform/database/types.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { changedFields } from '../../kit/changed-fields.js';
import { formatTypedMeasureOrNull, type UnitSystem } from '../../../platform/wire/quantity.schema.js';
import { PlaceRead, type PlaceRow } from './place.read.js';
import { PlaceStore } from './place.store.js';
import { RanchRead, type RanchRow } from './ranch.read.js';
import type * as api from './ranch.schema.js';
import { RanchStore } from './ranch.store.js';

@Injectable()
export class RanchService {
  constructor(
    private readonly ranches: RanchRead,
    private readonly ranchStore: RanchStore,
    private readonly places: PlaceRead,
    private readonly placeStore: PlaceStore,
  ) {}

  async create(
    tenant: OperationTenant,
    { body }: InputOf<typeof api.createRanch>,
  ): Promise<AnswerOf<typeof api.getRanch>> {
    const row = await this.ranchStore.insert(tenant, {
      name: body.name,
      time_zone: body.timeZone ?? tenant.operation.timeZone,
    });
    await tenant.audit({ action: 'ranch.create', subjectKind: 'ranch', subjectId: row.id, after: row });
    return ranchAnswer(row);
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listRanches>,
  ): Promise<AnswerOf<typeof api.listRanches>> {
    return pageOf(await this.ranches.page(tenant, query), query.limit, ranchAnswer, (row) => [row.name, row.id]);
  }

  async get(tenant: OperationTenant, { params }: InputOf<typeof api.getRanch>): Promise<AnswerOf<typeof api.getRanch>> {
    return ranchAnswer(await this.ranches.one(tenant, params.ranchId));
  }

  async change(
    tenant: OperationTenant,
    { params, body, expectedVersion }: InputOf<typeof api.changeRanch>,
  ): Promise<AnswerOf<typeof api.getRanch>> {
    const before = await this.ranches.one(tenant, params.ranchId);
    const after = await this.ranchStore.change(
      tenant,
      { id: before.id, version: expectedVersion },
      changedFields({ name: body.name, time_zone: body.timeZone }),
    );
    await tenant.audit({ action: 'ranch.change', subjectKind: 'ranch', subjectId: after.id, before, after });
    return ranchAnswer(after);
  }

  async createPlace(
    tenant: OperationTenant,
    { body, query }: InputOf<typeof api.createPlace>,
  ): Promise<AnswerOf<typeof api.getPlace>> {
    await this.ranches.one(tenant, body.ranchId);
    const row = await this.placeStore.insert(tenant, {
      ranch_id: body.ranchId,
      name: body.name,
      kind: body.kind,
      bunk_length_value: body.bunkLength?.value ?? null,
      bunk_length_unit: body.bunkLength?.unit ?? null,
    });
    await tenant.audit({ action: 'place.create', subjectKind: 'place', subjectId: row.id, after: row });
    return placeAnswer(row, query.units ?? tenant.operation.unitPreference);
  }

  async listPlaces(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listPlaces>,
  ): Promise<AnswerOf<typeof api.listPlaces>> {
    const units = query.units ?? tenant.operation.unitPreference;
    return pageOf(
      await this.places.page(tenant, query),
      query.limit,
      (row) => placeAnswer(row, units),
      (row) => [row.name, row.id],
    );
  }

  async getPlace(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.getPlace>,
  ): Promise<AnswerOf<typeof api.getPlace>> {
    return placeAnswer(await this.places.one(tenant, params.placeId), query.units ?? tenant.operation.unitPreference);
  }

  async changePlace(
    tenant: OperationTenant,
    { params, query, body, expectedVersion }: InputOf<typeof api.changePlace>,
  ): Promise<AnswerOf<typeof api.getPlace>> {
    const before = await this.places.one(tenant, params.placeId);
    const length = body.bunkLength;
    const after = await this.placeStore.change(
      tenant,
      { id: before.id, version: expectedVersion },
      changedFields({
        name: body.name,
        kind: body.kind,
        bunk_length_value: length === undefined ? undefined : (length?.value ?? null),
        bunk_length_unit: length === undefined ? undefined : (length?.unit ?? null),
      }),
    );
    await tenant.audit({ action: 'place.change', subjectKind: 'place', subjectId: after.id, before, after });
    return placeAnswer(after, query.units ?? tenant.operation.unitPreference);
  }
}

function ranchAnswer(row: RanchRow): AnswerOf<typeof api.getRanch> {
  return { id: row.id, name: row.name, timeZone: row.time_zone, createdAt: row.created_at, version: row.version };
}

function placeAnswer(row: PlaceRow, units: UnitSystem): AnswerOf<typeof api.getPlace> {
  return {
    id: row.id,
    ranchId: row.ranch_id,
    name: row.name,
    kind: row.kind,
    bunkLength: formatTypedMeasureOrNull<'length'>(row.bunk_length_value, row.bunk_length_unit, units),
    createdAt: row.created_at,
    version: row.version,
  };
}
