import { Injectable } from '@nestjs/common';
import { z } from 'zod';
import { type RaisedCaution, SEVERITY_ORDER } from '../../core/cautions/caution.js';
import { daysOfHay, type LotLasts } from '../../core/budget/days-of-hay.js';
import { type MeasuredGain, measuredGain } from '../../core/gain/measured-gain.js';
import { concernRank, herdConcerns, type HerdStanding, isListed } from '../../core/judge/herd-concerns.js';
import type { CautionsOfDay } from '../../core/judge/one-meal.js';
import { PRESENT_FEEDING } from '../../core/judge/present-feeding.data.js';
import { succeeded } from '../../core/outcome/outcome.js';
import { figureIn, wordsIn } from '../../core/units/wording.js';
import { daysBetween } from '../../core/time/calendar-day.js';
import { dayIn } from '../../platform/clock.js';
import type { Books } from '../../platform/database/books.js';
import { together } from '../../platform/database/together.js';
import type { Tenant } from '../../platform/database/types.js';
import { readCursor, formatCursor } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { formatMass } from '../../platform/wire/quantity.schema.js';
import type { HerdRow } from '../../records/cattle/herds/herd.read.js';
import { weatherChoiceOf } from '../facts/weather.schema.js';
import type { WeatherChoice } from '../facts/weather-choice.js';
import { groupedBy } from '../facts/grouped-by.js';
import { type HerdFacts, HerdFactsRead } from '../facts/herd-facts.js';
import { type LotFacts, LotFactsRead } from '../facts/lot-facts.js';
import { fedAtPresentOf, lastFedOf } from '../facts/present-ration.js';
import { contentOf, type LaidRation, layOut, massOfKilograms, type RationRow } from '../facts/ration-content.js';
import { linesAnswer } from '../judge/judgement.js';
import { type JudgedRation, judgeRation, withDays } from '../judge/ration-judge.js';
import { FedDaysRead } from '../rations/fed-days.read.js';
import { RationRead } from '../rations/ration.read.js';
import { type ClientOperation, PortfolioRead, type PortfolioRecords } from './portfolio.read.js';
import type * as api from './portfolio.schema.js';

type Answer = AnswerOf<typeof api.portfolioOfHerds>;
type Line = Answer['items'][number];
/** Inverted rank, so that the cursor sorts like the list. */
const order = z.tuple([z.string().regex(/^\d{5}$/), z.string().max(200), z.string().max(200), z.uuid()]);
const RANK_TOP = 20_000;

/** A client's herd, with the ration in use as laid on the day, or else what it was fed lately. */
interface Standing {
  operation: ClientOperation;
  facts: HerdFacts;
  ration: RationRow | undefined;
  laid: LaidRation | undefined;
  /** What it was fed lately, where a ration is in use and something else may have been laid. */
  asFed: LaidRation | undefined;
  /** Its last week of feeding, day by day, where one meal may have done harm. */
  days: readonly CautionsOfDay[];
  layRefused: string[];
  proposed: number;
  measured: MeasuredGain;
}

/** Across all operations that engage the consultant: which herd to look at first, and why. */
@Injectable()
export class PortfolioService {
  constructor(
    private readonly read: PortfolioRead,
    private readonly herdFacts: HerdFactsRead,
    private readonly rations: RationRead,
    private readonly lots: LotFactsRead,
    private readonly fedDays: FedDaysRead,
  ) {}

  async list(tenant: Tenant, { query }: InputOf<typeof api.portfolioOfHerds>): Promise<Answer> {
    const mine = tenant.memberships
      .map((one) => one.operationId)
      .filter((operationId) => tenant.may('desk', operationId));
    const operations = (await this.read.operations(tenant, mine)).map((one): ClientOperation => ({
      ...one,
      on: query.on ?? dayIn(one.time_zone, tenant.moment),
    }));
    if (operations.length === 0) return { items: [], nextCursor: null };
    const lines = linesOf(await this.#standings(tenant, operations, weatherChoiceOf(query)), query)
      .filter((line) => query.show === 'all' || line.concerns.length > 0)
      .sort(byWhatMatters);
    const after = query.cursor === undefined ? undefined : readCursor(query.cursor, order);
    const rest = after === undefined ? lines : lines.filter((line) => isAfter(placeOf(line), after));
    const items = rest.slice(0, query.limit);
    const last = items.at(-1);
    return { items, nextCursor: rest.length > query.limit && last !== undefined ? formatCursor(placeOf(last)) : null };
  }

  /**
   * Every herd with cattle, gathered at once for all operations with the same day: there are as many days as time
   * zones.
   */
  async #standings(
    tenant: Tenant,
    operations: readonly ClientOperation[],
    weather: WeatherChoice,
  ): Promise<Standing[]> {
    const records = await this.read.records(tenant, operations);
    const standings: Standing[] = [];
    for (const ofDay of groupedBy(operations, ({ on }) => on).values()) {
      const ids = new Set(ofDay.map(({ id }) => id));
      const herds = records.herds.filter((herd) => (records.head.get(herd.id) ?? 0) > 0 && ids.has(herd.operation_id));
      standings.push(...(await this.#standingsOn(tenant, ofDay, herds, { records, weather })));
    }
    return standings;
  }

  async #standingsOn(
    tenant: Tenant,
    operations: readonly ClientOperation[],
    herds: readonly HerdRow[],
    { records, weather }: { records: PortfolioRecords; weather: WeatherChoice },
  ): Promise<Standing[]> {
    const on = operations[0]?.on;
    if (on === undefined || herds.length === 0) return [];
    const books = { db: tenant.db, operationIds: operations.map((operation) => operation.id) };
    const herdIds = herds.map((herd) => herd.id);
    const [{ inUse, layers }, herdFacts] = await together(
      this.#rationsInUse(books, herdIds, on),
      this.herdFacts.of(books, herds, on, weather),
    );
    const fed = new Map(herdFacts.map((facts) => [facts.herd.id, fedAtPresentOf(facts)]));
    const contents = new Map(
      [...fed].map(([herdId, present]) => {
        const ration = inUse.get(herdId);
        return [
          herdId,
          ration === undefined ? present : succeeded(contentOf(ration, layers.get(ration.id) ?? [])),
        ] as const;
      }),
    );
    const lotIds = [...contents.values(), ...fed.values()].flatMap((one) =>
      one.ok ? one.value.parts.map((part) => part.lotId) : [],
    );
    const lots = await this.lots.across(tenant, operations, [...new Set(lotIds)], on);
    const days = await this.fedDays.ofLastWeek(tenant, operations, { herds: herdFacts, lots });
    const operationOf = new Map(operations.map((one) => [one.id, one]));
    return herdFacts.flatMap((facts): Standing[] => {
      const operation = operationOf.get(facts.herd.operation_id);
      if (operation === undefined) return [];
      const ration = inUse.get(facts.herd.id);
      const content = contents.get(facts.herd.id);
      const laid = content?.ok === true ? layOut(content.value, lots) : undefined;
      const present = ration === undefined ? undefined : fed.get(facts.herd.id);
      const asFed = present?.ok === true ? layOut(present.value, lots) : undefined;
      return [
        {
          operation,
          facts,
          ration,
          laid: laid?.ok === true ? laid.value : undefined,
          asFed: asFed?.ok === true ? asFed.value : undefined,
          days: days.get(facts.herd.id) ?? [],
          layRefused: laid?.ok === false ? laid.problems.map((one) => one.message) : [],
          proposed: records.proposed.get(facts.herd.id) ?? 0,
          measured: measuredGain({
            weighings: records.weighIns.get(facts.herd.id) ?? [],
            headChanges: records.headChanges.get(facts.herd.id) ?? [],
            headNow: facts.head,
            on,
          }),
        },
      ];
    });
  }

  async #rationsInUse(books: Books, herdIds: readonly string[], on: string) {
    const inUse = await this.rations.inUseOn(books, herdIds, on);
    return { inUse, layers: await this.rations.layersOf(books, [...inUse.values()]) };
  }
}

type Place = z.output<typeof order>;

function placeOf(line: Line): Place {
  return [String(RANK_TOP - line.rank).padStart(5, '0'), line.operation, line.herd, line.herdId];
}

function isAfter(one: Place, other: Place): boolean {
  for (const index of [0, 1, 2, 3] as const) {
    if (one[index] !== other[index]) return one[index] > other[index];
  }
  return false;
}

function byWhatMatters(one: Line, other: Line): number {
  return isAfter(placeOf(one), placeOf(other)) ? 1 : -1;
}

type Asked = Pick<
  InputOf<typeof api.portfolioOfHerds>['query'],
  'units' | 'edition' | 'coldMethod' | 'hayMustLastDays'
>;

function linesOf(standings: readonly Standing[], asked: Asked): Line[] {
  const parts = standings.flatMap(({ facts, laid }) => (laid?.parts ?? []).map((part) => ({ facts, part })));
  const lasts = daysOfHay({
    balances: new Map(parts.map(({ part }) => [part.lotId, part.facts.balance.kilograms.toNumber()])),
    draws: parts.map(({ facts, part }) => ({
      herdId: facts.herd.id,
      lotId: part.lotId,
      kgPerDay: part.asFedKgPerHead * facts.head,
    })),
  });
  return standings.map((standing) => lineOf(standing, lasts, asked));
}

function judgedOf({ facts, ration, laid, asFed }: Standing, asked: Asked): JudgedRation | undefined {
  if (laid === undefined) return undefined;
  return judgeRation(facts, laid, {
    ...asked,
    statedWastedShare: ration === undefined ? null : contentOf(ration, []).statedWastedShare,
    showCost: false,
    fedAtPresent: true,
    asFed: ration === undefined || laid === asFed,
  });
}

/**
 * Cautions of the ration in use, and those that only what was really fed raises: a ration that is in order says nothing
 * of the bale that went out instead.
 */
function cautionsOf(one: Standing, judged: JudgedRation | undefined, asked: Asked): HerdStanding['cautions'] {
  const units = asked.units ?? one.operation.unit_preference;
  const ofRation = one.ration === undefined ? [] : listedOf(judged);
  const present = one.ration === undefined ? judged : judgedOf({ ...one, laid: one.asFed }, asked);
  const fed = present === undefined ? [] : listedOf(withDays(present, one.days));
  const onlyAsFed = fed.filter((each) => !ofRation.some((other) => tells(other, each)));
  return [...ofRation, ...onlyAsFed].map((caution) => {
    const { code, severity, title, message, given, threshold, unit } = caution;
    return {
      code,
      severity,
      title,
      message: wordsIn(units, message),
      given,
      threshold,
      unit,
      onlyAsFed: one.ration !== undefined && onlyAsFed.includes(caution),
    };
  });
}

const listedOf = (judged: JudgedRation | undefined): RaisedCaution[] =>
  [...(judged?.cautions ?? []), ...(judged?.laying ?? [])].filter(isListed);
/** Of the same thing, and no milder. */
const tells = (one: RaisedCaution, other: RaisedCaution): boolean =>
  one.code === other.code &&
  one.subject?.name === other.subject?.name &&
  SEVERITY_ORDER[one.severity] <= SEVERITY_ORDER[other.severity];

/** A ration in use that nobody has fed for long, in the words with which the review refuses the herd. */
function notFedNow(facts: HerdFacts): NonNullable<HerdStanding['notFedNow']> | null {
  const present = fedAtPresentOf(facts);
  const last = lastFedOf(facts);
  if (present.ok || last === null) return null;
  const words = present.problems.map((one) => one.message).join(' ');
  return { daysAgo: last.daysAgo, notOlderThanDays: PRESENT_FEEDING.notOlderThanDays.value, words };
}

/** What a herd's concerns are raised from. */
function herdStanding(
  one: Standing,
  judged: JudgedRation | undefined,
  lasts: ReadonlyMap<string, LotLasts>,
  asked: Asked,
): HerdStanding {
  const { operation, facts, ration, laid, asFed, layRefused, measured } = one;
  const evaluation = judged?.evaluation ?? undefined;
  const last = lastFedOf(facts);
  const lotsOf = (...rations: (LaidRation | undefined)[]): LotFacts[] => [
    ...new Map(rations.flatMap((each) => each?.parts ?? []).map((part) => [part.lotId, part.facts])).values(),
  ];
  return {
    hasRation: ration !== undefined,
    fedLately: last === null ? null : { ...last, judged: laid !== undefined },
    refusedBecause: [...layRefused, ...(judged?.refusedBecause ?? []).map((one) => one.message)],
    nutrients:
      evaluation?.lines.map(({ nutrient, verdict, surplusPercent, supply, harmfulAbove }) => ({
        nutrient,
        verdict,
        surplusPercent,
        abovePercent: supply === null || harmfulAbove === null ? null : (supply / harmfulAbove - 1) * 100,
      })) ?? [],
    notFedNow: ration === undefined ? null : notFedNow(facts),
    cautions: cautionsOf(one, judged, asked),
    targetGainKgPerDay: facts.animal.targetShrunkGainKgPerDay ?? null,
    expectedGainKgPerDay: evaluation?.gain.expectedKgPerDay ?? null,
    measuredGain: measured.ok
      ? { kgPerDay: measured.dailyGain.kilograms.toNumber(), fromDay: measured.fromDay, untilDay: measured.untilDay }
      : null,
    conditionDirection: evaluation?.condition.direction ?? null,
    daysToOneScore: evaluation?.condition.daysToOneScore ?? null,
    hay: lotsOf(laid).map(({ lot }) => ({ lotName: lot.lotName, days: lasts.get(lot.lotId)?.days ?? null })),
    hayMustLastDays: asked.hayMustLastDays,
    tests: lotsOf(laid, asFed).map(({ lot, testedOn }) => ({
      lotName: lot.lotName,
      daysSinceSample: testedOn === null ? null : Math.max(0, daysBetween(testedOn, operation.on)),
    })),
  };
}

function lineOf(one: Standing, lasts: ReadonlyMap<string, LotLasts>, asked: Asked): Line {
  const { operation, facts, ration, proposed, measured } = one;
  const { herd } = facts;
  const units = asked.units ?? operation.unit_preference;
  const judged = judgedOf(one, asked);
  const standing = herdStanding(one, judged, lasts, asked);
  const concerns = herdConcerns(standing);
  const forage = (one.laid?.parts ?? []).filter((part) => part.facts.lot.isForage);
  const days = forage.flatMap((part) => lasts.get(part.lotId)?.days ?? []);
  const gain = (kilograms: number | null): ReturnType<typeof formatMass> | null =>
    kilograms === null ? null : formatMass(massOfKilograms(kilograms), units, 'small');
  return {
    operationId: operation.id,
    operation: operation.name,
    herdId: herd.id,
    herd: herd.name,
    cattleClass: facts.animal.class,
    head: facts.head,
    onDay: operation.on,
    ration:
      ration === undefined ? null : { id: ration.id, name: ration.name, inUseFrom: ration.in_use_from ?? operation.on },
    judgedBy: one.laid === undefined ? 'nothing' : ration === undefined ? 'fed-lately' : 'ration-in-use',
    lastFedOn: lastFedOf(facts)?.untilDay ?? null,
    rank: concernRank(concerns),
    concerns: concerns.map((concern) => {
      const { value: given, unit } = figureIn(units, { value: concern.given, unit: concern.unit });
      const { value: threshold } = figureIn(units, { value: concern.threshold, unit: concern.unit });
      return { ...concern, given: Number(given.toFixed(3)), threshold: Number(threshold.toFixed(3)), unit };
    }),
    lines: linesAnswer(judged?.evaluation?.lines ?? [], units),
    expectedDailyGain: gain(standing.expectedGainKgPerDay),
    targetDailyGain: gain(standing.targetGainKgPerDay),
    measuredGain: measured.ok
      ? {
          dailyGain: formatMass(measured.dailyGain, units, 'small'),
          from: measured.fromDay,
          until: measured.untilDay,
          days: measured.days,
          flags: measured.flags.map((one) => ({ ...one })),
        }
      : null,
    notMeasuredBecause: measured.ok ? null : measured.because,
    conditionDirection: standing.conditionDirection,
    hayLastsDays: days.length === 0 ? null : Number(Math.min(...days).toFixed(1)),
    rationsProposed: proposed,
    units,
  };
}
