import { noun } from '../../../core/units/counted.js';
import { Injectable } from '@nestjs/common';
import { observationCautions } from '../../../core/cautions/hay-observations.js';
import { convertDecimal } from '../../../core/units/unit.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { ruleBroken } from '../../../platform/http/problem.js';
import { formatTypedMeasureOrNull, type UnitSystem } from '../../../platform/wire/quantity.schema.js';
import { cautionAnswer } from '../../kit/caution.schema.js';
import { refuseNotYet } from '../../kit/happened.read.js';
import type { ReversalRow } from '../../kit/reversal.read.js';
import { reversalAnswer } from '../../kit/reversal.schema.js';
import { Reversals } from '../../kit/reversal.store.js';
import { baledAfter, HayLotRead, type HayLotRow } from '../lots/hay-lot.read.js';
import { HayObservationRead, type HayObservationRow, observationOf, observedLotOf } from './hay-observation.read.js';
import type * as api from './hay-observation.schema.js';
import { HayObservationStore } from './hay-observation.store.js';

type Answer = AnswerOf<typeof api.getHayObservation>;
type Body = InputOf<typeof api.createHayObservation>['body'];

@Injectable()
export class HayObservationService {
  constructor(
    private readonly lots: HayLotRead,
    private readonly observations: HayObservationRead,
    private readonly store: HayObservationStore,
    private readonly reversals: Reversals,
  ) {}

  async create(tenant: OperationTenant, { body, query }: InputOf<typeof api.createHayObservation>): Promise<Answer> {
    return this.record(tenant, body, query.units);
  }

  /** Writes one observation inside an open transaction; used for single entries and imports alike. */
  async record(tenant: OperationTenant, body: Body, units: UnitSystem | undefined): Promise<Answer> {
    const lots = await this.lots.named(tenant, [{ id: body.hayLotId, pointer: '#/hayLotId' }]);
    // A look that nobody has taken yet would answer for the hay from that day on.
    await refuseNotYet(tenant, { day: body.seenOn, pointer: '#/seenOn' });
    refuseEmpty(body);
    refuseMoreThanLookedAt(body);
    refuseBeforeBaling(body, lots.get(body.hayLotId));
    const { probe } = body;
    const row = await this.store.insert(tenant, {
      hay_lot_id: body.hayLotId,
      happened_on: body.seenOn,
      seen_by_name: body.seenBy ?? null,
      bales_checked: body.balesChecked ?? null,
      mold: body.mold ?? null,
      bales_moldy: body.balesMoldy ?? null,
      dust: body.dust ?? null,
      bales_spoiled: body.balesSpoiled ?? null,
      smell: body.smell ?? null,
      color: body.color ?? null,
      heat_felt: body.heatFelt ?? null,
      temperature_c:
        probe === undefined ? null : convertDecimal(probe.temperature.value, probe.temperature.unit, 'C').toFixed(3),
      temperature_value: probe?.temperature.value ?? null,
      temperature_unit: probe?.temperature.unit ?? null,
      depth_value: probe?.depth?.value ?? null,
      depth_unit: probe?.depth?.unit ?? null,
      moisture_percent: body.moisturePercent ?? null,
      note: body.note ?? null,
    });
    await tenant.audit({
      action: 'hay-observation.create',
      subjectKind: 'hay-observation',
      subjectId: row.id,
      after: row,
    });
    return answerFrom(row, lots.get(row.hay_lot_id), undefined, units ?? tenant.operation.unitPreference);
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listHayObservations>,
  ): Promise<AnswerOf<typeof api.listHayObservations>> {
    const rows = await this.observations.page(tenant, query);
    const reversals = await this.reversals.of(
      tenant,
      rows.map((row) => row.id),
    );
    const lots = await this.#lotsOf(tenant, rows);
    const units = query.units ?? tenant.operation.unitPreference;
    return pageOf(
      rows,
      query.limit,
      (row) => answerFrom(row, lots.get(row.hay_lot_id), reversals.get(row.id), units),
      (row) => [row.happened_on, row.id],
    );
  }

  /** Looks at other lots that this lot's hay was, or had been, a part of, each with the name of its lot. */
  async elsewhere(
    tenant: OperationTenant,
    lotId: string,
    units: UnitSystem | undefined,
  ): Promise<{ hayLot: string; observation: Answer }[]> {
    const rows = await this.observations.elsewhere(tenant, lotId);
    const lots = await this.#lotsOf(tenant, rows);
    return rows.map((row) => ({
      hayLot: lots.get(row.hay_lot_id)?.name ?? '',
      observation: answerFrom(row, lots.get(row.hay_lot_id), undefined, units ?? tenant.operation.unitPreference),
    }));
  }

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getHayObservation>): Promise<Answer> {
    const row = await this.observations.one(tenant, params.hayObservationId);
    const lots = await this.#lotsOf(tenant, [row]);
    const reversal = (await this.reversals.of(tenant, [row.id])).get(row.id);
    return answerFrom(row, lots.get(row.hay_lot_id), reversal, query.units ?? tenant.operation.unitPreference);
  }

  async reverse(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof api.reverseHayObservation>,
  ): Promise<AnswerOf<typeof api.reverseHayObservation>> {
    const row = await this.observations.one(tenant, params.hayObservationId);
    const reversal = await this.reversals.write(
      tenant,
      { kind: 'hay-observation', id: row.id, happenedOn: row.happened_on },
      body,
    );
    return reversalAnswer(reversal);
  }

  async #lotsOf(tenant: OperationTenant, rows: readonly HayObservationRow[]): Promise<Map<string, HayLotRow>> {
    const ids = [...new Set(rows.map((row) => row.hay_lot_id))];
    const lots = await this.lots.byId({ db: tenant.db, operationIds: [tenant.operationId] }, ids);
    return new Map(lots.map((lot) => [lot.id, lot]));
  }
}

const LOOKED_AT = [
  'mold',
  'dust',
  'balesSpoiled',
  'smell',
  'color',
  'heatFelt',
  'probe',
  'moisturePercent',
  'note',
] as const satisfies readonly (keyof Body)[];

function refuseEmpty(body: Body): void {
  if (LOOKED_AT.some((field) => body[field] !== undefined && body[field] !== '')) return;
  throw ruleBroken(
    '#/mold',
    'nothing-observed',
    null,
    `at least one of ${LOOKED_AT.join(', ')}`,
    'The record says nothing of the hay.',
  );
}

function refuseBeforeBaling({ seenOn }: Body, lot: HayLotRow | undefined): void {
  const baledOn = baledAfter(lot, seenOn);
  if (baledOn === null) return;
  const allowed = `${baledOn} or later`;
  const message = `The hay was baled on ${baledOn}: before that nobody can have looked at it.`;
  throw ruleBroken('#/seenOn', 'before-it-was-baled', seenOn, allowed, message);
}

function refuseMoreThanLookedAt({ mold, balesChecked, balesMoldy, balesSpoiled }: Body): void {
  if (balesMoldy !== undefined && (mold === undefined || (mold === 'none' && balesMoldy > 0)))
    throw ruleBroken(
      '#/balesMoldy',
      'moldy-bales-without-mold',
      balesMoldy,
      'only with mold light or heavy',
      'Moldy bales were counted, but the amount of mold is not given.',
    );
  for (const [field, counted] of [
    ['balesMoldy', balesMoldy],
    ['balesSpoiled', balesSpoiled],
  ] as const)
    if (counted !== undefined && balesChecked !== undefined && counted > balesChecked)
      throw ruleBroken(
        `#/${field}`,
        'more-than-looked-at',
        counted,
        `${balesChecked} ${noun(balesChecked, 'bale')} or fewer`,
        'More bales are entered than were looked at.',
      );
}

function answerFrom(
  row: HayObservationRow,
  lot: HayLotRow | undefined,
  reversal: ReversalRow | undefined,
  units: UnitSystem,
): Answer {
  const raised = lot === undefined ? [] : observationCautions(observedLotOf(lot, [observationOf(row)]));
  const temperature = formatTypedMeasureOrNull<'temperature'>(row.temperature_value, row.temperature_unit, units);
  return {
    id: row.id,
    hayLotId: row.hay_lot_id,
    seenOn: row.happened_on,
    seenBy: row.seen_by_name,
    balesChecked: row.bales_checked,
    mold: row.mold,
    balesMoldy: row.bales_moldy,
    dust: row.dust,
    balesSpoiled: row.bales_spoiled,
    smell: row.smell,
    color: row.color,
    heatFelt: row.heat_felt,
    probe:
      temperature === null
        ? null
        : {
            temperature,
            depth: formatTypedMeasureOrNull<'length'>(row.depth_value, row.depth_unit, units),
          },
    moisturePercent: row.moisture_percent,
    note: row.note,
    cautions: raised.map((one) => cautionAnswer(one, units)),
    lotCautions: null,
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
