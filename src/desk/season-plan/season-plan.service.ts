import { Injectable } from '@nestjs/common';
import { wordsIn } from '../../core/units/wording.js';
import { firstDayToFeed, lastDayOfStock } from '../../core/season/days-to-feed.js';
import { headEvents, headDays, headHistory, type HeadStep } from '../../core/standing/head-days.js';
import { addDays, type CalendarDay, daysBetween } from '../../core/time/calendar-day.js';
import { counted } from '../../core/units/counted.js';
import { Mass } from '../../core/units/mass.js';
import { dayIn } from '../../platform/clock.js';
import { together } from '../../platform/database/together.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import { formatMass, type UnitSystem } from '../../platform/wire/quantity.schema.js';
import { HerdRead, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import { HayLotRead } from '../../records/hay/lots/hay-lot.read.js';
import { FeedingRead } from '../../records/feedings/feeding.read.js';
import { StockRead } from '../../records/hay/stock/stock.read.js';
import { type HerdFacts, HerdFactsRead } from '../facts/herd-facts.js';
import { type LotFacts, LotFactsRead } from '../facts/lot-facts.js';
import { rationPlannedOn } from '../facts/ration-of-day.js';
import { weatherFlags } from '../facts/weather-flags.js';
import { weatherChoiceOf } from '../facts/weather.schema.js';
import { contentOf, type LaidRation, layOut, massOfKilograms, type RationRow } from '../facts/ration-content.js';
import { judgementAnswer } from '../judge/judgement.js';
import { type JudgedRation, judgeRation } from '../judge/ration-judge.js';
import { RationRead } from '../rations/ration.read.js';
import { MONTHS_MAX, type PlanMonth, planMonths } from './plan-months.js';
import type * as api from './season-plan.schema.js';

type Answer = AnswerOf<typeof api.seasonRationPlan>;
type Query = InputOf<typeof api.seasonRationPlan>['query'];
type MonthAnswer = Answer['herds'][number]['months'][number];

/** Facts gathered once for the whole plan. */
interface Gathered {
  tenant: OperationTenant;
  query: Query;
  units: UnitSystem;
  today: CalendarDay;
  months: PlanMonth[];
  /** Herds that have been fed today. */
  fedToday: ReadonlySet<string>;
  rations: ReadonlyMap<string, readonly RationRow[]>;
  laid: ReadonlyMap<string, ReturnType<typeof layOut>>;
  lots: ReadonlyMap<string, LotFacts>;
  steps: ReadonlyMap<string, readonly HeadStep[]>;
}

/** A month of a herd: what it is judged to need, and what its ration takes. */
interface Planned {
  herd: HerdRow;
  month: PlanMonth;
  answer: MonthAnswer;
  draws: ReadonlyMap<string, Mass>;
}

/** From the rations in use: what each herd needs and gets through the season, and the hay that takes. */
@Injectable()
export class SeasonPlanService {
  constructor(
    private readonly herds: HerdRead,
    private readonly herdFacts: HerdFactsRead,
    private readonly rations: RationRead,
    private readonly lots: LotFactsRead,
    private readonly hayLots: HayLotRead,
    private readonly stock: StockRead,
    private readonly feedings: FeedingRead,
  ) {}

  async get(tenant: OperationTenant, { query }: InputOf<typeof api.seasonRationPlan>): Promise<Answer> {
    const today = dayIn(tenant.operation.timeZone, tenant.moment);
    const months = planMonths(query, today);
    const [first, last] = [months?.[0], months?.at(-1)];
    if (months === undefined || first === undefined || last === undefined)
      throw new Problem('invalid-input', undefined, [
        {
          parameter: 'until',
          code: 'span-out-of-range',
          given: query.until ?? null,
          allowed: `the first month to ${MONTHS_MAX - 1} months after it`,
          message: 'The plan ends before it begins, or is longer than a year.',
        },
      ]);
    const herds =
      query.herdId === undefined ? await this.herds.all(tenant) : [await this.herds.one(tenant, query.herdId)];
    const gathered = await this.#gather(tenant, herds, { query, today, months });
    const planned: Planned[] = [];
    for (const month of months) {
      const facts = await this.herdFacts.of(tenant, herds, month.onDay, weatherChoiceOf(query));
      planned.push(...facts.flatMap((one) => monthOfHerd(one, month, gathered) ?? []));
    }
    const onHand = await this.stock.balances(tenant, { untilDay: lastDayOfStock(first.plansFrom, today) });
    return {
      from: first.month,
      until: last.month,
      units: gathered.units,
      herds: herds
        .map((herd) => ({
          herdId: herd.id,
          herd: herd.name,
          months: planned.filter((one) => one.herd.id === herd.id).map((one) => one.answer),
        }))
        .filter((herd) => herd.months.length > 0),
      lots: [...gathered.lots.values()]
        .sort((a, b) => (a.row.name < b.row.name ? -1 : 1))
        .flatMap((lot) => lotAnswer(lot, onHand.get(lot.row.id) ?? Mass.zero, planned, gathered) ?? []),
      kinds: await this.#kinds(tenant, onHand, planned, gathered),
      flags: flagsOf(planned),
    };
  }

  async #gather(
    tenant: OperationTenant,
    herds: readonly HerdRow[],
    { query, today, months }: Pick<Gathered, 'query' | 'today' | 'months'>,
  ): Promise<Gathered> {
    const ids = herds.map((herd) => herd.id);
    const end = months.at(-1)?.until ?? '';
    const rations = await this.rations.inUseBetween(tenant, ids, '0001-01-01', addDays(end, -1));
    const layers = await this.rations.layersOf(tenant, [...rations.values()].flat());
    const lotIds = [...new Set([...layers.values()].flat().map((layer) => layer.hay_lot_id))];
    const lots = await this.lots.named(
      tenant,
      lotIds.map((id) => ({ id, pointer: '#' })),
      addDays(end, -1),
    );
    const [changes, fedToday] = await together(
      this.herds.changes(tenant, ids),
      this.feedings.herdsFedOn(tenant, ids, today),
    );
    return {
      tenant,
      query,
      today,
      months,
      fedToday,
      rations,
      lots,
      units: query.units ?? tenant.operation.unitPreference,
      laid: new Map(
        [...rations.values()].flat().map((row) => [row.id, layOut(contentOf(row, layers.get(row.id) ?? []), lots)]),
      ),
      steps: new Map(
        ids.map((herdId) => {
          const history = headHistory(headEvents(changes.filter((change) => change.herdId === herdId)));
          return [herdId, history.ok ? history.steps : []];
        }),
      ),
    };
  }

  async #kinds(
    tenant: OperationTenant,
    onHand: ReadonlyMap<string, Mass>,
    planned: readonly Planned[],
    { lots, units }: Gathered,
  ): Promise<Answer['kinds']> {
    const rows = await this.hayLots.all(tenant);
    const kinds = [...new Set([...lots.values()].map((lot) => lot.row.hay_kind))].sort();
    return kinds.map((hayKind) => ({
      hayKind,
      needed: formatMass(
        Mass.sum([...lots.values()].filter((lot) => lot.row.hay_kind === hayKind).map((lot) => takenOf(lot, planned))),
        units,
        'large',
      ),
      onHand: formatMass(
        Mass.sum(rows.filter((row) => row.hay_kind === hayKind).map((row) => onHand.get(row.id) ?? Mass.zero)),
        units,
        'large',
      ),
    }));
  }
}

/** Undefined if the herd has no cattle in the month. */
function monthOfHerd(facts: HerdFacts, month: PlanMonth, gathered: Gathered): Planned | undefined {
  const { tenant, query, units } = gathered;
  const steps = gathered.steps.get(facts.herd.id) ?? [];
  const count = headDays(steps, month.from, month.until);
  if (count === 0) return undefined;
  const ration = rationPlannedOn(gathered.rations.get(facts.herd.id) ?? [], month.onDay);
  const outcome = ration === undefined ? undefined : gathered.laid.get(ration.row.id);
  const laid = outcome?.ok === true ? outcome.value : undefined;
  const isFedToday = gathered.fedToday.has(facts.herd.id);
  const feedsFrom = firstDayToFeed(month.plansFrom, { today: gathered.today, isFedToday });
  const draws = laid === undefined ? new Map<string, Mass>() : drawsOf(laid, headDays(steps, feedsFrom, month.until));
  const judged: Pick<JudgedRation, 'requirement' | 'evaluation' | 'cautions' | 'wasted' | 'refusedBecause'> =
    laid === undefined || ration === undefined
      ? {
          requirement: null,
          evaluation: null,
          cautions: [],
          wasted: { share: 0, restsOn: 'nothing' },
          refusedBecause: outcome?.ok === false ? outcome.problems : [noRation(facts)],
        }
      : judgeRation(facts, laid, {
          ...query,
          statedWastedShare: ration.row.wasted_percent === null ? null : Number(ration.row.wasted_percent) / 100,
          showCost: tenant.may('prices', tenant.operationId),
          fedAtPresent: true,
        });
  const { pregnant, inMilk } = facts.standing.state.share;
  return {
    herd: facts.herd,
    month,
    draws,
    answer: {
      month: month.month,
      onDay: month.onDay,
      headDays: count,
      head: facts.head,
      bodyWeight: formatMass(facts.bodyWeight, units, 'small'),
      bodyWeightFrom: wordsIn(units, facts.bodyWeightFrom),
      sharePregnant: Number(pregnant.toFixed(4)),
      shareInMilk: Number(inMilk.toFixed(4)),
      ration:
        ration === undefined
          ? null
          : { id: ration.row.id, name: ration.row.name, carriedForward: ration.carriedForward },
      needed: [...draws].map(([hayLotId, mass]) => ({
        hayLotId,
        hayLot: gathered.lots.get(hayLotId)?.row.name ?? '',
        asFed: formatMass(mass, units, 'large'),
      })),
      ...withRestOfMonth(judgementAnswer(judged, units), month, feedsFrom),
    },
  };
}

/** Of a month that has begun, the plan takes hay for its other days alone. */
function withRestOfMonth<One extends Pick<MonthAnswer, 'notes'>>(
  answer: One,
  month: PlanMonth,
  feedsFrom: CalendarDay,
): One {
  if (feedsFrom === month.from) return answer;
  const days = daysBetween(feedsFrom, month.until);
  const left =
    days === 0 ? 'No day of it is left to feed' : `It counts the days from ${feedsFrom} on, ${counted(days, 'day')}`;
  return {
    ...answer,
    notes: [
      ...answer.notes,
      {
        code: 'rest-of-month',
        message: `The hay needed in ${month.month} is for the rest of it. ${left}; headDays are of the whole month.`,
        source: 'the day of the question',
      },
    ],
  };
}

function drawsOf({ parts }: LaidRation, headDaysOfMonth: number): Map<string, Mass> {
  const draws = new Map<string, Mass>();
  for (const { lotId, asFedKgPerHead } of parts)
    draws.set(
      lotId,
      (draws.get(lotId) ?? Mass.zero).plus(massOfKilograms(asFedKgPerHead).times(String(headDaysOfMonth))),
    );
  return draws;
}

function noRation({ on }: HerdFacts): JudgedRation['refusedBecause'][number] {
  return {
    code: 'no-ration',
    field: 'rations',
    given: null,
    allowed: 'a ration of this herd that was put to use',
    message: `No ration of this herd was in use on ${on}, before or after.`,
  };
}

function takenOf({ row }: LotFacts, planned: readonly Planned[]): Mass {
  return Mass.sum(planned.map(({ draws }) => draws.get(row.id) ?? Mass.zero));
}

/** Undefined for a lot that only a ration outside the plan uses. */
function lotAnswer(
  lot: LotFacts,
  onHand: Mass,
  planned: readonly Planned[],
  { months, units }: Gathered,
): Answer['lots'][number] | undefined {
  const needed = takenOf(lot, planned);
  if (!needed.isPositive()) return undefined;
  let left = onHand;
  let runsOutIn: string | null = null;
  for (const { month } of months) {
    left = left.minus(
      Mass.sum(
        planned.filter((one) => one.month.month === month).map(({ draws }) => draws.get(lot.row.id) ?? Mass.zero),
      ),
    );
    if (left.isNegative()) runsOutIn ??= month;
  }
  const short = needed.minus(onHand);
  return {
    hayLotId: lot.row.id,
    hayLot: lot.row.name,
    hayKind: lot.row.hay_kind,
    onHand: formatMass(onHand, units, 'large'),
    needed: formatMass(needed, units, 'large'),
    short: formatMass(short.isPositive() ? short : Mass.zero, units, 'large'),
    runsOutIn,
  };
}

function flagsOf(planned: readonly Planned[]): Answer['flags'] {
  const named = (is: (one: Planned) => boolean): string =>
    [...new Set(planned.filter(is).map(({ herd }) => herd.name))].join(', ');
  const carried = named(({ answer }) => answer.ration?.carriedForward === true);
  const without = named(({ answer }) => answer.ration === null);
  const unjudged = named(({ answer }) => answer.ration !== null && answer.refusedBecause.length > 0);
  return [
    ...(carried === ''
      ? []
      : [{ code: 'ration-carried-forward', message: `In some months no ration is in use; one goes on: ${carried}.` }]),
    ...(without === '' ? [] : [{ code: 'no-ration', message: `No ration, so no hay is counted: ${without}.` }]),
    ...weatherFlags(
      planned.flatMap(({ herd, answer }) =>
        [...answer.notes, ...answer.cautions].map((one) => ({ ...one, herd: herd.name })),
      ),
    ),
    ...(unjudged === '' ? [] : [{ code: 'not-judged', message: `Need not known in some months: ${unjudged}.` }]),
  ];
}
