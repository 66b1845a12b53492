import { Injectable } from '@nestjs/common';
import { type RaisedCaution, worstFirst } from '../../core/cautions/caution.js';
import { daysToTell, type LaidDay } from '../../core/judge/days-to-tell.js';
import { isAskedBefore, mayHarmInOneMeal } from '../../core/judge/one-meal.js';
import type { UnitSystem } from '../../core/units/unit.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import type { Doubt } from '../../platform/database/doubts.js';
import { confirmedNow } from '../../records/kit/confirmed.read.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { FeedingRead, type LaidByFeeding } from '../../records/feedings/feeding.read.js';
import type * as api from '../../records/feedings/feeding.schema.js';
import { FeedingService } from '../../records/feedings/feeding.service.js';
import { corrected } from '../../records/kit/correction.store.js';
import { cautionAnswer } from '../../records/kit/caution.schema.js';
import { groupedBy } from '../facts/grouped-by.js';
import { keyOf } from '../facts/herd-on.js';
import { LotFactsRead } from '../facts/lot-facts.js';
import { FedDaysRead, operationOf } from '../rations/fed-days.read.js';

type Answer = AnswerOf<typeof api.getFeeding>;

/**
 * Feedings as answered: the records write and read them and know how the hay was laid; the judge adds cautions, knowing
 * what is in the hay and which cattle eat it.
 */
@Injectable()
export class JudgedFeedingService {
  constructor(
    private readonly feedings: FeedingService,
    private readonly days: FedDaysRead,
    private readonly herds: HerdRead,
    private readonly read: FeedingRead,
    private readonly lots: LotFactsRead,
  ) {}

  async create(tenant: OperationTenant, input: InputOf<typeof api.createFeeding>): Promise<Answer> {
    const { answer, beside } = await this.feedings.create(tenant, input, ({ herd, row }) =>
      this.days.of(tenant, herd, row.happened_on),
    );
    const told = judged(answer, beside, input.query.units ?? tenant.operation.unitPreference);
    askedBefore(tenant, told);
    return { ...told, confirmed: confirmedNow(tenant, answer.id) };
  }

  /** The hay comes back before it is drawn again: there may be no more of it. */
  correct(
    tenant: OperationTenant,
    { params, query, body: { reason, entry } }: InputOf<typeof api.correctFeeding>,
  ): Promise<AnswerOf<typeof api.correctFeeding>> {
    const { operationId, feedingId } = params;
    return corrected(
      tenant,
      { kind: 'feeding', id: feedingId },
      {
        reverse: () => this.feedings.reverse(tenant, { params, query, body: { reason, postTo: entry.postTo } }),
        enter: (correctsId) => this.create(tenant, { params: { operationId }, query, body: { ...entry, correctsId } }),
      },
    );
  }

  async get(tenant: OperationTenant, input: InputOf<typeof api.getFeeding>): Promise<Answer> {
    const answer = await this.feedings.get(tenant, input);
    const cautions = answer.reversal === null ? await this.days.ofHerd(tenant, answer.herdId, answer.fedOn) : [];
    return judged(answer, cautions, input.query.units ?? tenant.operation.unitPreference);
  }

  /**
   * Those of these feedings whose cautions are worth the telling (`daysToTell`), the newest of them, as `get` answers
   * each; what stands alone is read and judged, and days are gathered once for all herds.
   */
  async tellable(tenant: OperationTenant, ids: readonly string[], most: number): Promise<Answer[]> {
    const laid = await this.read.laidBy(tenant, ids);
    const toTell = daysToTell(laidDays(laid), await this.#mayHarm(tenant, laid));
    const newestFirst = toTell.toSorted((a, b) => (a.day < b.day ? 1 : a.day > b.day ? -1 : 0));
    const answers = await this.feedings.allOf(
      tenant,
      newestFirst.flatMap(({ feedingIds }) => feedingIds).slice(0, most),
    );
    const herds = await this.herds.byId(
      tenant,
      answers.map(({ herdId }) => herdId),
    );
    const fed = new Map(answers.map((answer) => [keyOf({ herdId: answer.herdId, on: answer.fedOn }), answer]));
    const asked = [...fed.values()].flatMap(({ herdId, fedOn }) => {
      const herd = herds.get(herdId);
      return herd === undefined ? [] : [{ herd, day: fedOn }];
    });
    const judgedDays = await this.days.onDays(tenant, operationOf(tenant), asked);
    const found = new Map(judgedDays.map(({ herdId, day, cautions }) => [keyOf({ herdId, on: day }), cautions]));
    return answers.map((answer) =>
      judged(
        answer,
        found.get(keyOf({ herdId: answer.herdId, on: answer.fedOn })) ?? [],
        tenant.operation.unitPreference,
      ),
    );
  }

  /** Whether a meal of a lot may do harm; of one sampled since the first of these days nobody knows what held then. */
  async #mayHarm(tenant: OperationTenant, laid: readonly LaidByFeeding[]): Promise<(lotId: string) => boolean> {
    const days = laid.map(({ day }) => day).sort();
    const [first = '', last = ''] = [days[0], days.at(-1)];
    const lotIds = [...new Set(laid.flatMap((one) => one.lotIds))];
    const lots = lotIds.length === 0 ? null : await this.lots.across(tenant, operationOf(tenant), lotIds, last);
    return (lotId) => {
      const facts = lots?.get(lotId);
      return facts !== undefined && (mayHarmInOneMeal(facts.lot) || (facts.testedOn ?? '') > first);
    };
  }
}

/** What of a feeding's cautions has to be answered before it is kept, noted as doubts of it. */
export function askedBefore(tenant: OperationTenant, { id, fedOn, cautions }: Answer): Doubt[] {
  const dangers = cautions.filter(isAskedBefore).map(dangerAsked);
  tenant.doubts.of({ kind: 'feeding', id }, fedOn, dangers);
  return dangers;
}

/** A danger is asked about before the feeding is entered: what was not yet laid need not be. */
function dangerAsked({ code, given, threshold, unit, source, message, advice }: Answer['cautions'][number]): Doubt {
  const figure = (value: number): string => `${Number(value.toPrecision(4))} ${unit}`;
  return {
    code,
    pointer: '#/layers',
    given: figure(given),
    usual: `not past ${figure(threshold)}`,
    source,
    message: `${message} ${advice}`,
  };
}

/** What these feedings laid for each herd on each day. */
function laidDays(laid: readonly LaidByFeeding[]): (LaidDay & { readonly feedingIds: readonly string[] })[] {
  const days = groupedBy(laid, ({ herdId, day }) => keyOf({ herdId, on: day }));
  return [...days.values()].flatMap((ofDay) =>
    ofDay.slice(0, 1).map(({ herdId, day }) => ({
      herdId,
      day,
      kilograms: ofDay.reduce((sum, { kilograms }) => sum + kilograms, 0),
      lotIds: ofDay.flatMap(({ lotIds }) => lotIds),
      feedingIds: ofDay.map(({ id }) => id),
    })),
  );
}

function judged(answer: Answer, cautions: readonly RaisedCaution[], units: UnitSystem): Answer {
  const found = cautions.map((each) => cautionAnswer(each, units));
  // Both may warn of bloat; the judge does it from what is in the lots.
  const laying = answer.cautions.filter(({ code }) => !found.some((other) => other.code === code));
  return { ...answer, cautions: worstFirst([...found, ...laying]) };
}
