import { Injectable } from '@nestjs/common';
import { z } from 'zod';
import { type DailyDraw, daysOfHay, type LotLasts } from '../../core/budget/days-of-hay.js';
import { type MeasuredGain, measuredGain } from '../../core/gain/measured-gain.js';
import { concernRank, herdConcerns, type HerdStanding } from '../../core/judge/herd-concerns.js';
import { daysBetween } from '../../core/time/calendar-day.js';
import type { Outcome } from '../../core/outcome/outcome.js';
import type { RequirementEdition } from '../../core/requirements/requirement-set.js';
import { Mass } from '../../core/units/mass.js';
import { dayIn } from '../../platform/clock.js';
import type { Tenant } from '../../platform/database/types.js';
import { readCursor, formatCursor } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { formatMass } from '../../platform/wire/quantity.schema.js';
import type { HerdRow } from '../../records/cattle/herds/herd.read.js';
import { animalOfHerd } from '../../records/cattle/herds/animal-of-herd.js';
import { bodyWeightOf } from '../facts/body-weight.js';
import { spaceClassOf } from '../../core/laying/space-class.js';
import type { HerdFacts } from '../facts/herd-facts.js';
import { type LotFacts, lotFactsOf } from '../facts/lot-facts.js';
import { contentOf, type LaidRation, layOut, massOfKilograms, type RationRow } from '../facts/ration-content.js';
import { type JudgedRation, judgeRation } from '../judge/ration-judge.js';
import { type ClientOperation, PortfolioRead, type PortfolioRecords } from './portfolio.read.js';
import type * as api from './portfolio.schema.js';

type Answer = AnswerOf<typeof api.portfolioOfHerds>;
type Line = Answer['items'][number];
/** Rank upside down, so that the order of the cursor is the order of the list. */
const order = z.tuple([z.string().regex(/^\d{5}$/), z.string().max(200), z.string().max(200), z.uuid()]);
const RANK_TOP = 20_000;

interface Standing {
  herd: HerdRow;
  operation: ClientOperation;
  facts: HerdFacts;
  ration: RationRow | undefined;
  laid: LaidRation | undefined;
  layRefused: string[];
  proposed: number;
  measured: MeasuredGain;
}

/** Over all the operations that one consults: which herd to look at first, and why. */
@Injectable()
export class PortfolioService {
  constructor(private readonly read: PortfolioRead) {}

  async list(tenant: Tenant, { query }: InputOf<typeof api.portfolioOfHerds>): Promise<Answer> {
    const mine = tenant.memberships
      .map((one) => one.operationId)
      .filter((operationId) => tenant.may('desk', operationId));
    const operations = (await this.read.operations(tenant, mine)).map((one): ClientOperation => ({
      ...one,
      on: query.on ?? dayIn(one.time_zone, tenant.moment),
    }));
    if (operations.length === 0) return { items: [], nextCursor: null };
    const lines = linesOf(operations, await this.read.records(tenant, operations), query.edition, query.hayMustLastDays)
      .filter((line) => query.show === 'all' || line.concerns.length > 0)
      .sort(byWhatMatters);
    const after = query.cursor === undefined ? undefined : readCursor(query.cursor, order);
    const rest = after === undefined ? lines : lines.filter((line) => isAfter(placeOf(line), after));
    const items = rest.slice(0, query.limit);
    const last = items.at(-1);
    return { items, nextCursor: rest.length > query.limit && last !== undefined ? formatCursor(placeOf(last)) : null };
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

function linesOf(
  operations: readonly ClientOperation[],
  records: PortfolioRecords,
  edition: RequirementEdition,
  hayMustLastDays: number,
): Line[] {
  const lots = new Map(
    [...records.lots].map(([lotId, row]) => [
      lotId,
      lotFactsOf({
        row,
        tests: records.tests.get(lotId) ?? [],
        balance: records.balances.get(lotId) ?? Mass.zero,
        baleWeight: null,
      }),
    ]),
  );
  const standings = operations.flatMap((operation) =>
    records.herds
      .filter((herd) => herd.operation_id === operation.id && (records.head.get(herd.id) ?? 0) > 0)
      .map((herd) => standingOf(herd, operation, records, lots)),
  );
  const draws = standings.flatMap(
    ({ facts, laid }): DailyDraw[] =>
      laid?.parts.map((part) => ({
        herdId: facts.herd.id,
        lotId: part.lotId,
        kgPerDay: part.asFedKgPerHead * facts.head,
      })) ?? [],
  );
  const lasts = daysOfHay({
    balances: new Map([...lots].map(([lotId, facts]) => [lotId, facts.balance.kilograms.toNumber()])),
    draws,
  });
  return standings.map((standing) => lineOf(standing, lasts, edition, hayMustLastDays));
}

function standingOf(
  herd: HerdRow,
  operation: ClientOperation,
  records: PortfolioRecords,
  lots: ReadonlyMap<string, LotFacts>,
): Standing {
  const { bodyWeight, from } = bodyWeightOf(herd, records.weighIns, operation.on);
  const animal = animalOfHerd(herd, bodyWeight, operation.on);
  const own = records.rations.filter((ration) => ration.herd_id === herd.id);
  const ration = own.find((one) => one.in_use_from !== null && records.layers.has(one.id));
  const laid = ration === undefined ? undefined : layOut(contentOf(ration, records.layers.get(ration.id) ?? []), lots);
  return {
    herd,
    operation,
    ration,
    laid: laid?.ok === true ? laid.value : undefined,
    layRefused: laid?.ok === false ? laid.problems.map((one) => one.message) : [],
    proposed: own.filter((one) => one.state === 'proposed').length,
    measured: measuredGain({
      weighings: records.weighIns.filter((one) => one.herdId === herd.id),
      headChanges: records.headChanges.get(herd.id) ?? [],
      headNow: records.head.get(herd.id) ?? 0,
      on: operation.on,
    }),
    facts: {
      herd,
      on: operation.on,
      head: records.head.get(herd.id) ?? 0,
      bodyWeight,
      bodyWeightFrom: from,
      animal,
      weather: null,
      space: { spaceClass: spaceClassOf(animal.class), access: 'once-daily', feedingLengthM: null, volumeM3: null },
    },
  };
}

function judgedOf({ facts, ration, laid }: Standing, edition: RequirementEdition): Outcome<JudgedRation> | undefined {
  if (laid === undefined) return undefined;
  return judgeRation(facts, laid, {
    edition,
    coldMethod: 'heat-balance',
    useWeather: false,
    wastedShare: Number(ration?.wasted_percent ?? 0) / 100,
    showCost: false,
    inUse: true,
  });
}

/** What the concerns of a herd are raised from. */
function herdStanding(
  { operation, facts, ration, laid, layRefused, measured }: Standing,
  judged: Outcome<JudgedRation> | undefined,
  lasts: ReadonlyMap<string, LotLasts>,
  hayMustLastDays: number,
): HerdStanding {
  const evaluation = judged?.ok === true ? judged.value.evaluation : undefined;
  const lots = [...new Map(laid?.parts.map((part) => [part.lotId, part.facts])).values()];
  return {
    hasRation: ration !== undefined,
    refusedBecause: [...layRefused, ...(judged?.ok === false ? judged.problems.map((one) => one.message) : [])],
    nutrients:
      evaluation?.lines.map(({ nutrient, verdict, surplusPercent }) => ({ nutrient, verdict, surplusPercent })) ?? [],
    dangers:
      evaluation?.cautions
        .filter((caution) => caution.severity === 'danger')
        .map(({ title, given, threshold }) => ({ title, given, threshold })) ?? [],
    targetGainKgPerDay: facts.animal.targetShrunkGainKgPerDay ?? null,
    expectedGainKgPerDay: evaluation?.gain.expectedKgPerDay ?? null,
    measuredGain: measured.ok
      ? { kgPerDay: measured.dailyGain.kilograms.toNumber(), fromDay: measured.fromDay, untilDay: measured.untilDay }
      : null,
    conditionDirection: evaluation?.condition.direction ?? null,
    daysToOneScore: evaluation?.condition.daysToOneScore ?? null,
    hay: lots.map(({ lot }) => ({ lotName: lot.lotName, days: lasts.get(lot.lotId)?.days ?? null })),
    hayMustLastDays,
    tests: lots.map(({ lot, testedOn }) => ({
      lotName: lot.lotName,
      daysSinceSample: testedOn === null ? null : Math.max(0, daysBetween(testedOn, operation.on)),
    })),
  };
}

function lineOf(
  one: Standing,
  lasts: ReadonlyMap<string, LotLasts>,
  edition: RequirementEdition,
  hayMustLastDays: number,
): Line {
  const { herd, operation, facts, ration, proposed, measured } = one;
  const units = operation.unit_preference;
  const standing = herdStanding(one, judgedOf(one, edition), lasts, hayMustLastDays);
  const concerns = herdConcerns(standing);
  const days = standing.hay.flatMap((hay) => hay.days ?? []);
  const gain = (kilograms: number | null): ReturnType<typeof formatMass> | null =>
    kilograms === null ? null : formatMass(massOfKilograms(kilograms), units, 'small');
  return {
    operationId: operation.id,
    operation: operation.name,
    herdId: herd.id,
    herd: herd.name,
    cattleClass: herd.cattle_class,
    head: facts.head,
    onDay: operation.on,
    ration:
      ration === undefined ? null : { id: ration.id, name: ration.name, inUseFrom: ration.in_use_from ?? operation.on },
    rank: concernRank(concerns),
    concerns: concerns.map((one) => ({
      ...one,
      given: Number(one.given.toFixed(3)),
      threshold: Number(one.threshold.toFixed(3)),
    })),
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
