import { Injectable } from '@nestjs/common';
import type { CautionsOfDay } from '../../core/judge/one-meal.js';
import { wordsIn } from '../../core/units/wording.js';
import { dayIn } from '../../platform/clock.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { formatMass } from '../../platform/wire/quantity.schema.js';
import { HerdRead, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import { nameCursor } from '../../records/kit/name-order.read.js';
import { type HerdFacts, HerdFactsRead } from '../facts/herd-facts.js';
import { type LotFacts, LotFactsRead } from '../facts/lot-facts.js';
import { fedAtPresentOf, fedUntil, lastFedOf, presentRationOf } from '../facts/present-ration.js';
import { type LaidRation, massOfKilograms, type RationContent } from '../facts/ration-content.js';
import { weatherAnswer, weatherChoiceOf } from '../facts/weather.schema.js';
import { judgementAnswer } from '../judge/judgement.js';
import { judgeContent, judgePresent } from '../judge/ration-judge.js';
import { FedDaysRead, operationOf } from '../rations/fed-days.read.js';
import { type FedNow, FedNowRead } from '../rations/fed-now.read.js';
import { RationRead } from '../rations/ration.read.js';
import type * as api from './ration-review.schema.js';

type Review = AnswerOf<typeof api.getRationReview>;
type Query = InputOf<typeof api.getRationReview>['query'];

/** A herd and its present feed, as laid in its last week of feeding. */
interface Fed {
  facts: HerdFacts;
  content: RationContent | null;
}

/** As for a report: the ration in use by which a herd was judged because, by the books, nothing is fed at present. */
type Reported = Review & { byRation: string | null };

/** What each herd is really fed against what it needs, judged like any ration. */
@Injectable()
export class RationReviewService {
  constructor(
    private readonly herds: HerdRead,
    private readonly herdFacts: HerdFactsRead,
    private readonly lots: LotFactsRead,
    private readonly rations: RationRead,
    private readonly days: FedDaysRead,
    private readonly now: FedNowRead,
  ) {}

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listRationReviews>,
    reporting = false,
  ): Promise<AnswerOf<typeof api.listRationReviews> & { items: Reported[] }> {
    const on = query.on ?? dayIn(tenant.operation.timeZone, tenant.moment);
    const all = await this.herds.all(tenant);
    const head = await this.herds.headOn(
      tenant,
      all.map((herd) => herd.id),
      on,
    );
    const after = nameCursor(query.cursor);
    const herds = all
      .filter((herd) => (head.get(herd.id) ?? 0) > 0)
      .sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : a.id < b.id ? -1 : 1))
      .filter(
        (herd) => after === undefined || herd.name > after.name || (herd.name === after.name && herd.id > after.id),
      )
      .slice(0, query.limit + 1);
    const reviews = await this.#reviews(tenant, herds.slice(0, query.limit), { on, query, reporting });
    return pageOf(
      herds,
      query.limit,
      (herd) => {
        const review = reviews.get(herd.id);
        if (review === undefined) throw new RangeError('Every herd of the page was reviewed');
        return review;
      },
      (herd) => [herd.name, herd.id],
    );
  }

  /** Reporting, a herd that is not fed at present, by the books, is judged by its ration in use. */
  async get(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.getRationReview>,
    reporting = false,
  ): Promise<Reported> {
    const herd = await this.herds.one(tenant, params.herdId);
    const on = query.on ?? (await this.herdFacts.today(tenant, herd.ranch_id));
    const [review] = (await this.#reviews(tenant, [herd], { on, query, reporting })).values();
    if (review === undefined) throw new RangeError('A herd that is there has a review');
    return review;
  }

  async #reviews(
    tenant: OperationTenant,
    herds: readonly HerdRow[],
    { on, query, reporting }: { on: string; query: Query; reporting: boolean },
  ): Promise<Map<string, Reported>> {
    const herdFacts = await this.herdFacts.of(tenant, herds, on, weatherChoiceOf(query));
    const fed = herdFacts.map((facts): Fed => ({
      facts,
      content: facts.fedLately === null ? null : presentRationOf(facts.fedLately, fedUntil(facts)),
    }));
    const notFed = reporting ? herdFacts.filter((facts) => !fedAtPresentOf(facts).ok) : [];
    const byRation = await this.now.of(tenant, notFed);
    const inUse = await this.rations.inUseOn(
      tenant,
      herds.map((herd) => herd.id),
      on,
    );
    const layers = await this.rations.layersOf(tenant, [...inUse.values()]);
    const inFront = new Map(
      herds.map((herd) => [
        herd.id,
        (layers.get(inUse.get(herd.id)?.id ?? '') ?? []).filter((one) => one.free_choice).map((one) => one.hay_lot_id),
      ]),
    );
    const lotIds = [
      ...new Set([
        ...fed.flatMap(({ content }) => content?.parts.map((part) => part.lotId) ?? []),
        ...[...inFront.values()].flat(),
      ]),
    ];
    const lots = await this.lots.named(
      tenant,
      lotIds.map((id) => ({ id, pointer: '#' })),
      on,
      query.tests,
    );
    const days = await this.days.ofLastWeek(tenant, operationOf(tenant), {
      herds: fed.map((one) => one.facts),
      lots,
      tests: query.tests,
    });
    return new Map(
      fed.map((one) => {
        const wasted = inUse.get(one.facts.herd.id)?.wasted_percent ?? null;
        return [
          one.facts.herd.id,
          reviewOf(tenant, one, {
            lots,
            query,
            days: days.get(one.facts.herd.id) ?? [],
            statedWastedShare: wasted === null ? null : Number(wasted) / 100,
            byRation: byRation.get(one.facts.herd.id),
            inFront: inFront.get(one.facts.herd.id) ?? [],
          }),
        ];
      }),
    );
  }
}

function reviewOf(
  tenant: OperationTenant,
  { facts, content }: Fed,
  {
    lots,
    query,
    days,
    statedWastedShare,
    byRation,
    inFront,
  }: {
    lots: ReadonlyMap<string, LotFacts>;
    query: Query;
    statedWastedShare: number | null;
    days: readonly CautionsOfDay[];
    byRation: FedNow | undefined;
    /** Lots that the ration in use keeps in front of the cattle. */
    inFront: readonly string[];
  },
): Reported {
  const units = query.units ?? tenant.operation.unitPreference;
  const feedings = facts.fedLately?.feedings ?? [];
  const asked = { ...query, statedWastedShare, showCost: tenant.may('prices', tenant.operationId) };
  const { laid, judged } =
    byRation === undefined
      ? judgePresent(facts, lots, { ...asked, days })
      : judgeContent(facts, byRation.content, byRation.lots, { ...asked, fedAtPresent: true });
  return {
    herdId: facts.herd.id,
    herd: facts.herd.name,
    byRation: byRation?.row.name ?? null,
    onDay: facts.on,
    edition: query.edition,
    units,
    head: facts.head,
    bodyWeight: formatMass(facts.bodyWeight, units, 'small'),
    bodyWeightFrom: wordsIn(units, facts.bodyWeightFrom),
    weather: weatherAnswer(facts, query.coldMethod, units),
    feedings:
      content === null
        ? null
        : {
            from: feedings[0]?.happened_on ?? facts.on,
            until: feedings.at(-1)?.happened_on ?? facts.on,
            count: feedings.length,
            daysAgo: lastFedOf(facts)?.daysAgo ?? 0,
          },
    layers: (laid?.parts ?? []).map(({ role, facts: lot, asFedKgPerHead }) => ({
      role,
      hayLotId: lot.row.id,
      hayLot: lot.row.name,
      perHead: formatMass(massOfKilograms(asFedKgPerHead), units, 'small'),
      testedOn: lot.testedOn,
      testTakenFrom: lot.testTakenFrom,
    })),
    ...withInFront(judgementAnswer(judged, units), laid, inFront, lots),
  };
}

/** What was fed is what was entered: feed that the ration in use keeps in front of the cattle is told, not counted. */
function withInFront<One extends Pick<Review, 'notes'>>(
  answer: One,
  laid: LaidRation | null,
  inFront: readonly string[],
  lots: ReadonlyMap<string, LotFacts>,
): One {
  const left = [...new Set(inFront)].filter((lotId) => laid?.parts.every((part) => part.lotId !== lotId) === true);
  if (left.length === 0) return answer;
  const named = left.map((lotId) => lots.get(lotId)?.row.name ?? '').join(', ');
  const note = {
    code: 'free-choice-not-entered',
    message:
      `The ration in use keeps in front of the cattle: ${named}. None was entered as fed in these days, so it is not ` +
      'counted here. Enter what is put out as fed, or see the evaluation of the ration.',
    source: 'feedings of the herd',
  };
  return { ...answer, notes: [...answer.notes, note] };
}
