import { Injectable } from '@nestjs/common';
import { recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../../platform/http/problem.js';
import { newId } from '../../../platform/identifiers.js';
import { toMass, type UnitSystem, formatTypedMass } from '../../../platform/wire/quantity.schema.js';
import { latePostings, postingDay } from '../../kit/posting.read.js';
import { notePosted, notePosting } from '../../kit/posting.store.js';
import { postedLate, postedLateAnswer } from '../../kit/posting.schema.js';
import { priceAnswer, priceRow } from './head-change-price.js';
import { type HeadChangePriceRow, HeadChangeRead, type HeadChangeRow } from './head-change.read.js';
import { HeadChangeStore } from './head-change.store.js';
import { HerdWeightFit } from './herd-weight-fit.js';
import { HerdRead } from './herd.read.js';
import type * as api from './herd.schema.js';

/** The head count is a history: cattle come and go by rows that are only ever added. */
@Injectable()
export class HeadChangeService {
  constructor(
    private readonly herds: HerdRead,
    private readonly changes: HeadChangeRead,
    private readonly store: HeadChangeStore,
    private readonly weights: HerdWeightFit,
  ) {}

  async create(
    tenant: OperationTenant,
    { params, query, body }: InputOf<typeof api.createHeadChange>,
  ): Promise<AnswerOf<typeof api.getHeadChange>> {
    return this.record(tenant, params.herdId, body, query.units);
  }

  /** Writes one change inside an open transaction; used for single entries and imports alike. */
  async record(
    tenant: OperationTenant,
    herdId: string,
    body: InputOf<typeof api.createHeadChange>['body'],
    units: UnitSystem | undefined,
  ): Promise<AnswerOf<typeof api.getHeadChange>> {
    await this.herds.one(tenant, herdId);
    refuseMove(herdId, body);
    const moved = body.kind === 'move';
    const posting = await postingDay(tenant, {
      statedOn: body.happenedOn,
      postTo: body.postTo,
      pointer: '#/happenedOn',
      mayLieAhead: 'a year',
    });
    if (body.meanWeight !== undefined)
      await this.weights.refuseAnimals(tenant, body.toHerdId === undefined ? [herdId] : [herdId, body.toHerdId], {
        on: body.happenedOn,
        kg: toMass(body.meanWeight).kilograms.toNumber(),
        how: 'weighed',
        pointer: '#/meanWeight',
        given: body.meanWeight,
      });
    const price = body.price === undefined ? undefined : priceRow(tenant, body, body.price);
    const moveId = moved ? newId() : null;
    const base = {
      happened_on: posting.on,
      move_id: moveId,
      note: body.note ?? null,
      mean_weight_kg: body.meanWeight === undefined ? null : toMass(body.meanWeight).kilograms.toFixed(),
      mean_weight_value: body.meanWeight?.value ?? null,
      mean_weight_unit: body.meanWeight?.unit ?? null,
    };
    const own = {
      ...recordStamp(tenant),
      ...base,
      herd_id: herdId,
      kind: body.kind === 'move' ? ('move-out' as const) : body.kind,
      head: body.kind === 'in' ? body.head : -body.head,
      other_herd_id: body.toHerdId ?? null,
    };
    const rows: (typeof own | (Omit<typeof own, 'kind'> & { kind: 'move-in' }))[] = [own];
    if (body.toHerdId !== undefined) {
      await this.herds.one(tenant, body.toHerdId);
      rows.push({
        ...recordStamp(tenant),
        ...base,
        herd_id: body.toHerdId,
        kind: 'move-in',
        head: body.head,
        other_herd_id: herdId,
      });
    }
    const written = await this.store.insert(tenant, rows);
    const ids = rows.map((row) => row.id);
    const priced = price === undefined ? [] : await this.store.price(tenant, rows, price);
    for (const id of ids) await notePosting(tenant, { kind: 'head-change', id }, posting, body.correctsId);
    const after = price === undefined ? rows : rows.map((row) => ({ ...row, price }));
    await tenant.audit({ action: 'head-change.create', subjectKind: 'head-change', subjectId: own.id, after });
    return answer(
      written.find((row) => row.id === own.id),
      units ?? tenant.operation.unitPreference,
      postedLate(posting, body.correctsId),
      seenBy(tenant, priced[0]),
    );
  }

  async list(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.listHeadChanges>,
  ): Promise<AnswerOf<typeof api.listHeadChanges>> {
    await this.herds.one(tenant, params.herdId);
    return this.listAll(tenant, { query: { ...query, herdId: params.herdId } });
  }

  async listAll(
    tenant: OperationTenant,
    { query }: Pick<InputOf<typeof api.listAllHeadChanges>, 'query'>,
  ): Promise<AnswerOf<typeof api.listAllHeadChanges>> {
    const units = query.units ?? tenant.operation.unitPreference;
    const rows = await this.changes.page(tenant, query);
    const ids = rows.map((row) => row.id);
    const late = await latePostings(tenant, ids);
    const prices = await this.changes.prices(tenant, ids);
    return pageOf(
      rows,
      query.limit,
      (row) => answer(row, units, postedLateAnswer(late.get(row.id)), prices.get(row.id)),
      (row) => [row.happened_on, row.id],
    );
  }

  async get(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.getHeadChange>,
  ): Promise<AnswerOf<typeof api.getHeadChange>> {
    const row = await this.changes.one(tenant, params.herdId, params.headChangeId);
    const late = await latePostings(tenant, [row.id]);
    const prices = await this.changes.prices(tenant, [row.id]);
    const units = query.units ?? tenant.operation.unitPreference;
    return answer(row, units, postedLateAnswer(late.get(row.id)), prices.get(row.id));
  }

  /** Prices a change that was entered without; once, and not in a closed period. */
  async price(
    tenant: OperationTenant,
    { params, query, body }: InputOf<typeof api.priceHeadChange>,
  ): Promise<AnswerOf<typeof api.getHeadChange>> {
    const row = await this.changes.one(tenant, params.herdId, params.headChangeId);
    if (row.kind === 'reversal' || (await this.changes.isReversed(tenant, row.id)))
      throw new Problem('conflict', 'This was reversed, or is a reversal: it has no price.');
    await postingDay(tenant, {
      statedOn: row.happened_on,
      postTo: undefined,
      pointer: '#/price',
      mayLieAhead: 'as its record',
    });
    const sides = await this.changes.sidesOf(tenant, row);
    const change = {
      kind: row.move_id === null ? (row.kind as 'in') : ('move' as const),
      head: Math.abs(row.head),
      ...(row.mean_weight_value === null || row.mean_weight_unit === null
        ? {}
        : { meanWeight: { value: row.mean_weight_value, unit: row.mean_weight_unit } }),
    };
    const priced = await this.store.price(tenant, sides, priceRow(tenant, change, body.price));
    await tenant.audit({ action: 'head-change.price', subjectKind: 'head-change', subjectId: row.id, after: priced });
    const late = await latePostings(tenant, [row.id]);
    return answer(
      row,
      query.units ?? tenant.operation.unitPreference,
      postedLateAnswer(late.get(row.id)),
      seenBy(
        tenant,
        priced.find((one) => one.head_change_id === row.id),
      ),
    );
  }

  async reverse(
    tenant: OperationTenant,
    { params, query, body }: InputOf<typeof api.reverseHeadChange>,
  ): Promise<AnswerOf<typeof api.getHeadChange>> {
    const mistake = await this.changes.one(tenant, params.herdId, params.headChangeId);
    if (mistake.kind === 'reversal')
      throw new Problem('conflict', 'A reversal cannot be reversed: enter what is right again.');
    const statedOn = body.effectiveOn ?? mistake.happened_on;
    if (statedOn < mistake.happened_on)
      throw ruleBroken(
        '#/effectiveOn',
        'before-what-it-reverses',
        statedOn,
        `${mistake.happened_on} or later`,
        'A reversal cannot be dated before what it reverses.',
      );
    const posting = await postingDay(tenant, {
      statedOn: statedOn,
      postTo: body.postTo,
      pointer: '#/effectiveOn',
      mayLieAhead: 'as its record',
    });
    const both = await this.changes.sidesOf(tenant, mistake);
    const rows = both.map((row) => ({
      ...recordStamp(tenant),
      herd_id: row.herd_id,
      kind: 'reversal' as const,
      head: -row.head,
      happened_on: posting.on,
      other_herd_id: row.other_herd_id,
      move_id: row.move_id,
      reverses_id: row.id,
      mean_weight_kg: row.mean_weight_kg,
      mean_weight_value: row.mean_weight_value,
      mean_weight_unit: row.mean_weight_unit,
      note: body.reason,
    }));
    const written = await this.store.insert(tenant, rows);
    for (const row of rows) await notePosted(tenant, { kind: 'head-change', id: row.id }, posting, row.reverses_id);
    await tenant.audit({
      action: 'head-change.reverse',
      subjectKind: 'head-change',
      subjectId: mistake.id,
      before: mistake,
      after: rows,
    });
    return answer(
      written.find((row) => row.reverses_id === mistake.id),
      query.units ?? tenant.operation.unitPreference,
      postedLate(posting, mistake.id),
    );
  }
}

/** A move names another herd, and nothing else does. */
function refuseMove(herdId: string, { kind, toHerdId }: InputOf<typeof api.createHeadChange>['body']): void {
  const moved = kind === 'move';
  if (moved !== (toHerdId !== undefined))
    throw ruleBroken(
      '#/toHerdId',
      'move-needs-a-herd',
      toHerdId ?? null,
      moved ? 'the herd that they go to' : 'nothing, unless kind is "move"',
      moved ? 'A move needs the herd that the cattle go to.' : 'Only a move names another herd.',
    );
  if (toHerdId === herdId)
    throw ruleBroken(
      '#/toHerdId',
      'move-to-itself',
      toHerdId,
      'another herd',
      'Cattle cannot move to the herd they are in.',
    );
}

function seenBy(tenant: OperationTenant, price: HeadChangePriceRow | undefined): HeadChangePriceRow | undefined {
  return tenant.may('prices', tenant.operationId) ? price : undefined;
}

function answer(
  row: HeadChangeRow | undefined,
  units: UnitSystem,
  late: AnswerOf<typeof api.getHeadChange>['postedLate'],
  price?: HeadChangePriceRow,
): AnswerOf<typeof api.getHeadChange> {
  if (row === undefined) throw new RangeError('The head change that was just written did not come back');
  return {
    id: row.id,
    herdId: row.herd_id,
    kind: row.kind,
    head: row.head,
    happenedOn: row.happened_on,
    otherHerdId: row.other_herd_id,
    meanWeight:
      row.mean_weight_kg === null || row.mean_weight_value === null || row.mean_weight_unit === null
        ? null
        : formatTypedMass(row.mean_weight_kg, row.mean_weight_value, row.mean_weight_unit, units, 'small'),
    price: priceAnswer(price, units),
    note: row.note,
    postedLate: late,
    reversesId: row.reverses_id,
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
