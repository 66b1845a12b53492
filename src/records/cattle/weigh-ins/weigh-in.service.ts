import { Injectable } from '@nestjs/common';
import { SHRUNK_SHARE_OF_FULL_WEIGHT } from '../../../core/requirements/maintenance.js';
import { oneADay } from '../../../core/gain/comparable-weighings.js';
import { decimalText } from '../../../core/units/decimal.js';
import { KILOGRAM_PLACES, Mass, type MassUnit } from '../../../core/units/mass.js';
import { dayIn } from '../../../platform/clock.js';
import type { OperationTenant, Words } from '../../../platform/database/types.js';
import { together } from '../../../platform/database/together.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { ruleBroken } from '../../../platform/http/problem.js';
import {
  toMass,
  type UnitSystem,
  unitFor,
  formatMass,
  formatTypedMass,
} from '../../../platform/wire/quantity.schema.js';
import { HerdRead } from '../herds/herd.read.js';
import { HerdWeightFit } from '../herds/herd-weight-fit.js';
import type { EntryWarning } from '../../kit/entry-warning.schema.js';
import { RanchRead } from '../../yard/ranches/ranch.read.js';
import { checkDay } from '../../kit/happened.read.js';
import type { ReversalRow } from '../../kit/reversal.read.js';
import { confirmedOf, doubtsConfirmed } from '../../kit/confirmed.read.js';
import { corrected } from '../../kit/correction.store.js';
import { Reversals } from '../../kit/reversal.store.js';
import { reversalAnswer } from '../../kit/reversal.schema.js';
import { meanAfterShrink, WeighInRead, type WeighInRow } from './weigh-in.read.js';
import type * as api from './weigh-in.schema.js';
import { type NewAnimalWeight, WeighInStore } from './weigh-in.store.js';

type Body = InputOf<typeof api.createWeighIn>['body'];
type Answer = AnswerOf<typeof api.getWeighIn>;

@Injectable()
export class WeighInService {
  constructor(
    private readonly herds: HerdRead,
    private readonly ranches: RanchRead,
    private readonly weighIns: WeighInRead,
    private readonly store: WeighInStore,
    private readonly reversals: Reversals,
    private readonly weights: HerdWeightFit,
  ) {}

  async create(tenant: OperationTenant, { query, body }: InputOf<typeof api.createWeighIn>): Promise<Answer> {
    return this.record(tenant, body, query.units);
  }

  /** Writes one weigh-in inside an open transaction. */
  async record(tenant: OperationTenant, body: Body, units: UnitSystem | undefined): Promise<Answer> {
    const herd = await this.herds.one(tenant, body.herdId);
    await checkDay(tenant, { day: body.weighedOn, pointer: '#/weighedOn' });
    if (body.weighedAt !== undefined) {
      const timeZone = await this.ranches.timeZone(tenant, herd.ranch_id);
      if (dayIn(timeZone, new Date(body.weighedAt)) !== body.weighedOn) {
        throw ruleBroken(
          '#/weighedAt',
          'not-on-that-day',
          body.weighedAt,
          `an instant on ${body.weighedOn} at the ranch (${timeZone})`,
          'The time is not on the day of the weigh-in.',
        );
      }
    }
    refuseDoubles(body);
    const typed = typedWeight(body, tenant.operation.unitPreference);
    await this.#check(tenant, body, typed);
    const animals =
      body.scope === 'group'
        ? []
        : body.animals.map((animal, index) => ({
            position: index + 1,
            visual_tag: animal.visualTag ?? null,
            electronic_id: animal.electronicId ?? null,
            kilograms: toMass(animal.weight).kilograms.toFixed(),
            typed_value: animal.weight.value,
            typed_unit: animal.weight.unit,
          }));
    const row = await this.store.insert(
      tenant,
      {
        herd_id: body.herdId,
        happened_on: body.weighedOn,
        happened_at: body.weighedAt === undefined ? null : new Date(body.weighedAt).toISOString(),
        scope: body.scope,
        fill: body.fill,
        shrink_pct: body.shrinkPercent ?? null,
        hours_off_feed: body.hoursOffFeed ?? null,
        scale: body.scale ?? null,
        head: typed.head,
        mean_kg: typed.mean.kilograms.toDecimalPlaces(KILOGRAM_PLACES).toFixed(),
        typed_value: typed.value,
        typed_unit: typed.unit,
        typed_measure: typed.measure,
        note: body.note ?? null,
      },
      animals,
    );
    const [, warnings] = await together(
      tenant.audit({
        action: 'weigh-in.create',
        subjectKind: 'weigh-in',
        subjectId: row.id,
        after: { ...row, animals: animals.length },
      }),
      this.#warnings(tenant, [row], () => animals),
    );
    return {
      ...answerFrom(row, animals, undefined, warnings.get(row) ?? [], units ?? tenant.operation.unitPreference),
      confirmed: doubtsConfirmed(tenant, { kind: 'weigh-in', id: row.id }, row.happened_on),
    };
  }

  /** What is unlikely of these weights. */
  #warnings(
    tenant: OperationTenant,
    rows: readonly WeighInRow[],
    animalsOf: (row: WeighInRow) => readonly NewAnimalWeight[],
  ): Promise<Map<WeighInRow, EntryWarning[]>> {
    return this.weights.warnings(tenant, rows, (row) => ({
      on: row.happened_on,
      kg: fullKilograms(Mass.kilograms(row.mean_kg), row.fill),
      how: 'weighed',
      head: row.head,
      animals: animalsOf(row).map((animal) => ({
        name: animal.visual_tag ?? animal.electronic_id ?? `animal ${animal.position}`,
        kg: fullKilograms(Mass.kilograms(animal.kilograms), row.fill),
      })),
    }));
  }

  /** Refuses more head than there are, and weights that these cattle cannot have. */
  async #check(tenant: OperationTenant, body: Body, typed: ReturnType<typeof typedWeight>): Promise<void> {
    const [head, weight] = body.scope === 'group' ? ['#/head', '#/weight'] : ['#/animals', '#/animals'];
    const full = (mass: Mass): number => fullKilograms(mass, body.fill);
    const common = { on: body.weighedOn, how: 'weighed' as const };
    const refuseHead = this.weights.refuseHead(tenant, body.herdId, {
      on: body.weighedOn,
      head: typed.head,
      pointer: head,
      strays: body.scope === 'animal',
    });
    const refuseWeights = this.weights.check(
      tenant,
      body.herdId,
      { ...common, head: typed.head, kg: full(typed.mean), pointer: weight, given: typed },
      body.scope === 'group'
        ? []
        : body.animals.map((animal, index) => ({
            ...common,
            kg: full(toMass(animal.weight)),
            pointer: `#/animals/${index}/weight`,
            given: animal.weight,
          })),
    );
    await together(refuseHead, refuseWeights);
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listWeighIns>,
  ): Promise<AnswerOf<typeof api.listWeighIns>> {
    const rows = await this.weighIns.page(tenant, query);
    const write = await this.#writer(tenant, rows, query.units);
    return pageOf(rows, query.limit, write, (row) => [row.happened_on, row.id]);
  }

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getWeighIn>): Promise<Answer> {
    const row = await this.weighIns.one(tenant, params.weighInId);
    return (await this.#writer(tenant, [row], query.units))(row);
  }

  async dayWeights(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.getDayWeights>,
  ): Promise<AnswerOf<typeof api.getDayWeights>> {
    const herd = await this.herds.one(tenant, params.herdId);
    const weighings = await this.weighIns.of(tenant, [herd.id]);
    const units = query.units ?? tenant.operation.unitPreference;
    return {
      herdId: herd.id,
      days: oneADay(weighings).map((one) => ({
        day: one.day,
        fill: one.fill,
        weighings: weighings.filter((weighing) => weighing.day === one.day).length,
        head: one.head,
        meanWeight: formatMass(one.mean, units, 'small'),
      })),
    };
  }

  /** The mistake goes out first: what is right is not held against it. */
  correct(
    tenant: OperationTenant,
    { params, query, body: { reason, entry } }: InputOf<typeof api.correctWeighIn>,
  ): Promise<AnswerOf<typeof api.correctWeighIn>> {
    return corrected(
      tenant,
      { kind: 'weigh-in', id: params.weighInId },
      {
        reverse: () => this.reverse(tenant, { params, body: { reason } }),
        enter: () => this.record(tenant, entry, query.units),
      },
    );
  }

  async reverse(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof api.reverseWeighIn>,
  ): Promise<AnswerOf<typeof api.reverseWeighIn>> {
    const row = await this.weighIns.one(tenant, params.weighInId);
    const reversal = await this.reversals.write(
      tenant,
      { kind: 'weigh-in', id: row.id, happenedOn: row.happened_on },
      body,
    );
    return reversalAnswer(reversal);
  }

  async #writer(
    tenant: OperationTenant,
    rows: readonly WeighInRow[],
    units: UnitSystem | undefined,
  ): Promise<(row: WeighInRow) => Answer> {
    const ids = rows.map((row) => row.id);
    const [animals, reversals, confirmed] = await together(
      this.weighIns.animalsOf(tenant, ids),
      this.reversals.of(tenant, ids),
      confirmedOf(tenant, ids),
    );
    const animalsOf = (row: WeighInRow): NewAnimalWeight[] => animals.filter((animal) => animal.weigh_in_id === row.id);
    const standing = rows.filter((row) => !reversals.has(row.id));
    const warnings = await this.#warnings(tenant, standing, animalsOf);
    return (row) => ({
      ...answerFrom(
        row,
        animalsOf(row),
        reversals.get(row.id),
        warnings.get(row) ?? [],
        units ?? tenant.operation.unitPreference,
      ),
      confirmed: confirmed(row.id),
    });
  }
}

/** A mean weight with the gut full, kg. */
function fullKilograms(mass: Mass, fill: WeighInRow['fill']): number {
  return mass.kilograms.toNumber() / (fill === 'full' ? 1 : SHRUNK_SHARE_OF_FULL_WEIGHT);
}

function refuseDoubles(body: Body): void {
  if (body.scope === 'group') return;
  const seen = new Map<string, number>();
  body.animals.forEach((animal, index) => {
    for (const [field, value] of [
      ['electronicId', animal.electronicId],
      ['visualTag', animal.electronicId === undefined ? animal.visualTag : undefined],
    ] as const) {
      if (value === undefined) continue;
      const first = seen.get(`${field}:${value}`);
      if (first !== undefined)
        throw ruleBroken(
          `#/animals/${index}/${field}`,
          'animal-twice',
          value,
          'each animal once',
          `Animal ${value} is listed here and at entry ${first + 1}. Enter a repeat as a weigh-in of its own.`,
        );
      seen.set(`${field}:${value}`, index);
    }
  });
}

/** What was typed, and the mean from it. For single animals we compute the mean, in the unit of the first. */
function typedWeight(
  body: Body,
  preference: UnitSystem,
): { mean: Mass; head: number; value: string; unit: MassUnit; measure: Words['WeighedMeasure'] } {
  if (body.scope === 'group') {
    const weight = toMass(body.weight);
    return {
      mean: body.measure === 'total' ? weight.dividedBy(body.head) : weight,
      head: body.head,
      value: body.weight.value,
      unit: body.weight.unit,
      measure: body.measure,
    };
  }
  const mean = Mass.sum(body.animals.map((animal) => toMass(animal.weight))).dividedBy(body.animals.length);
  const unit: MassUnit = body.animals[0]?.weight.unit ?? unitFor(preference, 'small');
  return {
    mean,
    head: body.animals.length,
    value: decimalText(mean.in(unit).toDecimalPlaces(6)),
    unit,
    measure: 'mean',
  };
}

function answerFrom(
  row: WeighInRow,
  animals: readonly NewAnimalWeight[],
  reversal: ReversalRow | undefined,
  warnings: EntryWarning[],
  units: UnitSystem,
): Omit<Answer, 'confirmed'> {
  const typed = { value: row.typed_value, unit: row.typed_unit };
  return {
    id: row.id,
    herdId: row.herd_id,
    weighedOn: row.happened_on,
    weighedAt: row.happened_at,
    scope: row.scope,
    fill: row.fill,
    shrinkPercent: row.shrink_pct,
    hoursOffFeed: row.hours_off_feed,
    scale: row.scale,
    head: row.head,
    measure: row.typed_measure,
    meanWeight: { ...formatMass(Mass.kilograms(row.mean_kg), units, 'small'), typed },
    meanAfterShrink: formatMass(meanAfterShrink(row), units, 'small'),
    animals: animals.map((animal) => ({
      visualTag: animal.visual_tag,
      electronicId: animal.electronic_id,
      weight: formatTypedMass(animal.kilograms, animal.typed_value, animal.typed_unit, units, 'small'),
    })),
    warnings,
    note: row.note,
    reversal: reversalAnswer(reversal),
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
