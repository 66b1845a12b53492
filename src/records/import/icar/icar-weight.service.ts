import { fieldProblems } from '../../../platform/http/field-problems.js';
import { Injectable } from '@nestjs/common';
import { decimal, decimalText } from '../../../core/units/decimal.js';
import { Mass, type MassUnit } from '../../../core/units/mass.js';
import { dayIn, startOfDayIn } from '../../../platform/clock.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { formatCursor } from '../../../platform/http/cursor.js';
import type { Asker } from '../../../platform/http/asker.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { beginning } from '../../../platform/wire/plain-text.js';
import { HerdRead } from '../../cattle/herds/herd.read.js';
import { RanchRead } from '../../yard/ranches/ranch.read.js';
import { WeighInRead } from '../../cattle/weigh-ins/weigh-in.read.js';
import { createWeighIn } from '../../cattle/weigh-ins/weigh-in.schema.js';
import { WeighInService } from '../../cattle/weigh-ins/weigh-in.service.js';
import { bodyOf } from '../import-kind.js';
import { firstRow, type Pending } from '../import-run.js';
import { ImportService, sha256Of } from '../import.service.js';
import type { RowProblem } from '../row-problem.js';
import {
  ELECTRONIC_ID_SCHEME,
  ICAR_DEFAULT_METHOD,
  ICAR_DEFAULT_UNIT,
  ICAR_MASS_UNITS,
  ICAR_WEIGHT_METHODS,
  type IcarMassUnit,
  type IcarWeightMethod,
  RANCH_SCHEME,
  VISUAL_TAG_SCHEME,
  WEIGHED_METHODS,
} from './icar-weight.data.js';
import { IcarWeightRead } from './icar-weight.read.js';
import type { IcarWeightIn } from './icar-weight.schema.js';
import type * as api from './icar-weight.schema.js';

type Query = InputOf<typeof api.importIcarWeights>['query'];
type Event = AnswerOf<typeof api.exportIcarWeights>['member'][number];

const SCALE_MAX = 120;
const ELECTRONIC_ID = /^\d{15}$/;

interface Numbered {
  /** Place in the collection, from 0. */
  at: number;
  event: IcarWeightIn;
}

@Injectable()
export class IcarWeightService {
  constructor(
    private readonly imports: ImportService,
    private readonly events: IcarWeightRead,
    private readonly herds: HerdRead,
    private readonly ranches: RanchRead,
    private readonly weights: WeighInRead,
    private readonly weighIns: WeighInService,
  ) {}

  async take(
    asker: Asker,
    { params, query, body }: InputOf<typeof api.importIcarWeights>,
  ): Promise<AnswerOf<typeof api.importIcarWeights>> {
    return this.imports.takeWork(asker, params.operationId, {
      kind: 'icar-weights',
      fileSha256: sha256Of(JSON.stringify([query.herdId, query.fill ?? null, query.estimates, body.member])),
      rowCount: body.member.length,
      fileProblems: [],
      problems: [],
      notices: null,
      prepare: async (tenant, { standing }) => {
        const all = await this.#pending(tenant, query, body.member);
        const pending = all.filter(({ rows }) => !standing.has(firstRow(rows)));
        return { pending, heldBack: () => Promise.resolve([]), without: () => pending };
      },
    });
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.exportIcarWeights>,
  ): Promise<AnswerOf<typeof api.exportIcarWeights>> {
    const found = await this.events.page(tenant, query);
    const rows = found.slice(0, query.limit);
    const last = rows.at(-1);
    const animals = await this.weights.animalsOf(
      tenant,
      rows.map((row) => row.id),
    );
    return {
      member: rows.flatMap((row) =>
        animals
          .filter((animal) => animal.weigh_in_id === row.id)
          .map((animal): Event => {
            const { method, device } = readScale(row.scale);
            return {
              resourceType: 'icarWeightEventResource',
              id: `${row.id}.${animal.position}`,
              animal:
                animal.electronic_id === null
                  ? { id: animal.visual_tag ?? '', scheme: VISUAL_TAG_SCHEME }
                  : { id: animal.electronic_id, scheme: ELECTRONIC_ID_SCHEME },
              eventDateTime: new Date(row.happened_at ?? startOfDayIn(row.time_zone, row.happened_on)).toISOString(),
              location: { id: row.ranch_id, scheme: RANCH_SCHEME },
              weight: {
                ...measurementOf(animal.kilograms, animal.typed_value, animal.typed_unit),
                ...(method === undefined ? {} : { method }),
              },
              ...(device === undefined ? {} : { device: { model: device } }),
              ...(row.hours_off_feed === null ? {} : { timeOffFeed: Number(row.hours_off_feed) }),
            };
          }),
      ),
      nextCursor: found.length > query.limit && last !== undefined ? formatCursor([last.happened_on, last.id]) : null,
    };
  }

  async #pending(tenant: OperationTenant, query: Query, events: readonly IcarWeightIn[]): Promise<Pending[]> {
    const herd = await this.herds.one(tenant, query.herdId);
    const timeZone = await this.ranches.timeZone(tenant, herd.ranch_id);
    return weighInsOf(events, timeZone).map((group): Pending => ({
      rows: group.map(({ at }) => ({ number: at + 1, cells: new Map([['herd', query.herdId]]) })),
      ready: () => {
        const problems = group.flatMap((one) => problemsOf(one, query));
        const given = bodyOfGroup(group, timeZone, query);
        const body = bodyOf(createWeighIn).safeParse(given);
        if (!body.success)
          problems.push(
            ...fieldProblems(body.error, 'body', given).map((one) =>
              problemAt(group, one.pointer?.slice(1) ?? '', one.code, one.allowed, one.message),
            ),
          );
        if (!body.success || problems.length > 0) return { problems };
        return {
          write: async (inside) => ({
            kind: 'weigh-in',
            id: (await this.weighIns.record(inside, body.data, undefined)).id,
          }),
          blame: (problem) =>
            problem.errors.length === 0
              ? [problemAt(group, '', problem.code, 'what the message says', problem.detail ?? problem.message)]
              : problem.errors.map((one) =>
                  problemAt(group, one.pointer?.slice(1) ?? '', one.code, one.allowed, one.message),
                ),
        };
      },
    }));
  }
}

/**
 * Events of one day, with the same hours off feed and device, make one weigh-in; a second weight of an animal makes
 * another.
 */
function weighInsOf(events: readonly IcarWeightIn[], timeZone: string): Numbered[][] {
  const groups = new Map<string, Numbered[]>();
  const seen = new Map<string, number>();
  events.forEach((event, at) => {
    const key = [dayIn(timeZone, new Date(event.eventDateTime)), event.timeOffFeed ?? '', scaleOf(event) ?? ''].join(
      '\u0001',
    );
    const ofAnimal = `${key}\u0001${event.animal.id}`;
    const times = (seen.get(ofAnimal) ?? 0) + 1;
    seen.set(ofAnimal, times);
    groups.set(`${key}\u0001${times}`, [...(groups.get(`${key}\u0001${times}`) ?? []), { at, event }]);
  });
  return [...groups.values()];
}

function problemsOf({ at, event }: Numbered, query: Query): RowProblem[] {
  const { method } = event.weight;
  if (method === 'GroupAverage')
    return [
      {
        row: at + 1,
        column: 'weight.method',
        pointer: `#/member/${at}/weight/method`,
        code: 'not-an-animal',
        given: method,
        allowed: `one of ${WEIGHED_METHODS.join(', ')}`,
        message:
          "A group's average is not the weight of an animal and has no head count; enter it as a weigh-in of a group.",
      },
    ];
  if (method !== undefined && method !== null && !WEIGHED_METHODS.includes(method) && query.estimates === 'refuse') {
    return [
      {
        row: at + 1,
        column: 'weight.method',
        pointer: `#/member/${at}/weight/method`,
        code: 'not-weighed',
        given: method,
        allowed: `one of ${WEIGHED_METHODS.join(', ')}, or any with estimates=take`,
        message: 'This weight was not read from a scale; gains computed from estimates mislead.',
      },
    ];
  }
  return [];
}

function bodyOfGroup(group: readonly Numbered[], timeZone: string, query: Query): object {
  const first = group[0]?.event;
  if (first === undefined) throw new RangeError('A weigh-in has at least one event');
  const day = dayIn(timeZone, new Date(first.eventDateTime));
  const instants = new Set(group.map(({ event }) => new Date(event.eventDateTime).getTime()));
  const [instant] = instants;
  // A time shared by all events, other than the start of the day, is kept; a weigh-in has no room for several times.
  const timed = instants.size === 1 && instant !== undefined && instant !== startOfDayIn(timeZone, day).getTime();
  const scale = scaleOf(first);
  return {
    scope: 'animal',
    herdId: query.herdId,
    weighedOn: day,
    ...(timed ? { weighedAt: first.eventDateTime } : {}),
    fill: query.fill ?? ((first.timeOffFeed ?? 0) > 0 ? 'shrunk' : 'full'),
    ...(first.timeOffFeed === undefined || first.timeOffFeed === null
      ? {}
      : { hoursOffFeed: String(first.timeOffFeed) }),
    ...(scale === undefined ? {} : { scale }),
    animals: group.map(({ event }) => ({
      ...(ELECTRONIC_ID.test(event.animal.id) ? { electronicId: event.animal.id } : { visualTag: event.animal.id }),
      weight: {
        value: String(event.weight.measurement),
        unit: ICAR_MASS_UNITS[event.weight.units ?? ICAR_DEFAULT_UNIT],
      },
    })),
  };
}

/** Maps a problem of the weigh-in back to the event and field that it came from. */
function problemAt(
  group: readonly Numbered[],
  pointer: string,
  code: string,
  allowed: string,
  message: string,
): RowProblem {
  const [, index = '0', field = ''] = /^\/animals\/(\d+)(?:\/(\w+))?/.exec(pointer) ?? [];
  const one = group[Number(index)] ?? group[0];
  const at = one?.at ?? 0;
  const path = pointer.startsWith('/animals')
    ? field === 'weight'
      ? 'weight/measurement'
      : 'animal/id'
    : pointer.startsWith('/weighed')
      ? 'eventDateTime'
      : pointer.startsWith('/hours')
        ? 'timeOffFeed'
        : '';
  const given =
    path === 'animal/id'
      ? (one?.event.animal.id ?? null)
      : path === 'weight/measurement'
        ? String(one?.event.weight.measurement)
        : null;
  return {
    row: at + 1,
    column: path === '' ? null : path.replaceAll('/', '.'),
    pointer: `#/member/${at}${path === '' ? '' : `/${path}`}`,
    code,
    given,
    allowed,
    message,
  };
}

/** The scale field keeps the device, and the method if it is not the standard's default. */
function scaleOf(event: IcarWeightIn): string | undefined {
  const method = event.weight.method ?? ICAR_DEFAULT_METHOD;
  const device = [event.device?.manufacturerName, event.device?.model, event.device?.serial]
    .filter((part) => part !== undefined && part !== null && part.trim() !== '')
    .join(' ');
  const line = [...(method === ICAR_DEFAULT_METHOD ? [] : [method]), ...(device === '' ? [] : [device])].join('; ');
  const scale = beginning(line, SCALE_MAX).trim();
  return scale === '' ? undefined : scale;
}

function readScale(scale: string | null): { method?: IcarWeightMethod; device?: string } {
  if (scale === null) return {};
  const [first = '', ...rest] = scale.split('; ');
  const method = ICAR_WEIGHT_METHODS.find((one) => one === first);
  if (method === undefined) return { device: scale };
  return rest.length === 0 ? { method } : { method, device: rest.join('; ') };
}

/** In the unit it was typed in if the standard has it, else in kilograms. */
function measurementOf(
  kilograms: string,
  typedValue: string,
  typedUnit: MassUnit,
): { measurement: number; units: IcarMassUnit } {
  const code = (Object.keys(ICAR_MASS_UNITS) as IcarMassUnit[]).find((one) => ICAR_MASS_UNITS[one] === typedUnit);
  return code === undefined
    ? {
        measurement: Number(decimalText(Mass.kilograms(kilograms).kilograms.toDecimalPlaces(6))),
        units: ICAR_DEFAULT_UNIT,
      }
    : { measurement: Number(decimalText(decimal(typedValue))), units: code };
}
