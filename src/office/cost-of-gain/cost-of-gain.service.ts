import { Injectable } from '@nestjs/common';
import { daysBetween } from '../../core/time/calendar-day.js';
import { headDays, headHistory, headOn, type HeadStep } from '../../core/standing/head-days.js';
import { type MeanWeighing, nearest, oneADay, onOneFooting } from '../../core/gain/comparable-weighings.js';
import { costOfGain, DEFAULT_WEIGHING_WINDOW_DAYS } from '../../core/gain/cost-of-gain.js';
import type { WeightFlow } from '../../core/gain/daily-gain.js';
import { yardageCost, type YardageRate } from '../../core/season/yardage.js';
import { Mass } from '../../core/units/mass.js';
import { Money } from '../../core/units/money.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { asCurrency, type UnitSystem, writeMass, writeMoney, writePrice } from '../../platform/wire/quantity.schema.js';
import { headEvents, type HerdHeadChange, HerdRead, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import { WeighInRead } from '../../records/cattle/weigh-ins/weigh-in.read.js';
import { type CostedBooks, CostingService } from '../../records/hay/costing/costing.service.js';
import { spanOf } from '../report-period.js';
import type { Flag } from '../report.schema.js';
import { YardageRateRead } from '../../records/yard/yardage-rates/yardage-rate.read.js';
import { ClosedReportRead } from '../closings/closed-report.read.js';
import type * as api from './cost-of-gain.schema.js';

type Answer = AnswerOf<typeof api.getCostOfGain>;

type Row = AnswerOf<typeof api.getCostOfGain>['herds'][number];

interface HerdInputs {
  herd: HerdRow;
  changes: readonly HerdHeadChange[];
  weighings: readonly MeanWeighing[];
  rates: readonly YardageRate[];
  books: CostedBooks;
  currency: ReturnType<typeof asCurrency>;
  asked: { from: string; until: string; windowDays: number };
  units: UnitSystem;
}

@Injectable()
export class CostOfGainService {
  constructor(
    private readonly herds: HerdRead,
    private readonly weighIns: WeighInRead,
    private readonly costing: CostingService,
    private readonly yardage: YardageRateRead,
    private readonly closed: ClosedReportRead,
  ) {}

  async report(tenant: OperationTenant, { query }: InputOf<typeof api.getCostOfGain>): Promise<Answer> {
    spanOf(query);

    const units = query.units ?? tenant.operation.unitPreference;
    const frozen =
      query.herdId === undefined && query.windowDays === DEFAULT_WEIGHING_WINDOW_DAYS
        ? await this.closed.find<Answer>(tenant, 'cost-of-gain', units, query)
        : undefined;
    return frozen ?? { ...(await this.compute(tenant, { ...query, units })), closed: null };
  }

  /** The report as the books stand now. */
  async compute(
    tenant: OperationTenant,
    query: { from: string; until: string; windowDays: number; herdId?: string | undefined; units: UnitSystem },
  ): Promise<Omit<Answer, 'closed'>> {
    const currency = asCurrency(tenant.operation.currency);
    const herds =
      query.herdId === undefined ? await this.herds.all(tenant) : [await this.herds.one(tenant, query.herdId)];
    const ids = herds.map((herd) => herd.id);
    const changes = await this.herds.changes(tenant, ids);
    const weighings = await this.weighIns.of(tenant, ids);
    const rates = await this.yardage.all(tenant);
    // A weighing may lie some days after the last day asked; its costs are needed up to there.
    const latest = weighings
      .map((one) => one.day)
      .filter((day) => Math.abs(daysBetween(query.until, day)) <= query.windowDays)
      .sort()
      .at(-1);
    const books = await this.costing.upTo(tenant, latest !== undefined && latest > query.until ? latest : query.until);
    const { units } = query;
    return {
      operationId: tenant.operationId,
      operation: tenant.operation.name,
      invented: tenant.operation.invented,
      currency,
      units,
      method:
        'Cost between the two weighings over the weight gained between them: closing weight + weight out − ' +
        'weight in − opening weight. Means stand for the whole herd. (Total cost over total gain: Nebraska ' +
        'Extension G2095, 2023.)',
      inputs: {
        herds: herds.length,
        weighIns: weighings.length,
        headChanges: changes.length,
        ledgerMovements: books.movements,
        yardageRates: rates.length,
      },
      flags:
        rates.length === 0
          ? [{ code: 'no-yardage-rate', message: 'No yardage rate is set; total cost is feed alone.' }]
          : [],
      from: query.from,
      until: query.until,
      weighingWindowDays: query.windowDays,
      herds: herds.map((herd) =>
        herdRow({
          herd,
          changes: changes.filter((one) => one.herdId === herd.id),
          weighings: oneADay(weighings.filter((one) => one.herdId === herd.id)),
          rates,
          books,
          currency,
          asked: query,
          units,
        }),
      ),
    };
  }
}

function herdRow({ herd, changes, weighings, rates, books, currency, asked, units }: HerdInputs): Row {
  const history = headHistory(headEvents(changes));
  const steps: readonly HeadStep[] = history.ok ? history.steps : [];
  const openingFound = nearest(weighings, asked.from);
  const closingFound = nearest(weighings, asked.until);
  const notes: Flag[] = [];
  const footing =
    openingFound !== undefined && closingFound !== undefined ? onOneFooting(openingFound, closingFound) : undefined;
  if (footing?.adjusted === true)
    notes.push({
      code: 'fill-differs',
      message:
        'One weighing was shrunk and one full; the full one was shrunk by 4 % (NRC: shrunk weight is 0.96 of ' +
        'full weight).',
    });
  const opening = footing?.opening ?? openingFound;
  const closing = footing?.closing ?? closingFound;
  const whole = (one: MeanWeighing | undefined): { day: string; head: number; totalWeight: Mass } | undefined => {
    if (one === undefined) return undefined;
    const head = headOn(steps, one.day);
    if (one.head !== head)
      notes.push({
        code: 'part-of-herd-weighed',
        message: `${one.head} of ${head} head were weighed on ${one.day}; their mean stands for the herd.`,
      });
    return { day: one.day, head, totalWeight: one.mean.times(head) };
  };
  const from = opening?.day ?? asked.from;
  const until = closing?.day ?? asked.until;
  const spanned = from < until;
  const flows = changes
    .filter((one) => one.day > from && one.day <= until)
    .map((one): WeightFlow => ({
      day: one.day,
      direction: one.head > 0 ? 'in' : 'out',
      head: Math.abs(one.head),
      totalWeight: Mass.kilograms(one.meanWeightKg ?? '0').times(Math.abs(one.head)),
    }));
  const entries = books.replay.entries.filter(
    (entry) => books.herdOf.get(entry.entryId) === herd.id && entry.on >= from && entry.on < until,
  );
  const hayFed = Mass.sum(entries.map((entry) => entry.massChange)).negated();
  const feedCost = Money.sum(
    entries.map((entry) => entry.inventoryChange),
    currency,
  ).negated();
  const yardage = spanned ? yardageCost({ herdId: herd.id, steps, rates, from, until, currency }) : undefined;
  const days = spanned ? headDays(steps, from, until) : 0;
  const result = costOfGain({
    from: asked.from,
    until: asked.until,
    opening: whole(opening),
    closing: whole(closing),
    flows,
    headDays: days,
    feedCost,
    yardagePerHeadDay: yardage === undefined || days === 0 ? Money.zero(currency) : yardage.cost.dividedBy(days),
    windowDays: asked.windowDays,
  });
  if (!result.ok)
    return {
      herdId: herd.id,
      herd: herd.name,
      figures: null,
      refusedBecause: result.problems.map(({ code, message }) => ({ code, message })),
      notes,
    };
  if (feedCost.isZero())
    notes.push({
      code: 'no-feed-cost',
      message: 'No hay was fed to this herd between the weighings, or it cost nothing.',
    });
  const weighing = (
    one: MeanWeighing | undefined,
    day: string,
  ): { day: string; head: number; meanWeight: ReturnType<typeof writeMass>; daysFromAsked: number } => ({
    day: one?.day ?? day,
    head: headOn(steps, one?.day ?? day),
    meanWeight: writeMass(one?.mean ?? Mass.zero, units, 'small'),
    daysFromAsked: daysBetween(day, one?.day ?? day),
  });
  const { gain } = result;
  return {
    herdId: herd.id,
    herd: herd.name,
    refusedBecause: [],
    notes,
    figures: {
      opening: weighing(opening, asked.from),
      closing: weighing(closing, asked.until),
      headDays: days,
      totalGain: writeMass(gain.totalGain, units, 'small'),
      dailyGain: writeMass(gain.dailyGain, units, 'small'),
      weightIn: writeMass(gain.weightIn, units, 'small'),
      weightOut: writeMass(gain.weightOut, units, 'small'),
      feedCost: writeMoney(result.feedCost),
      yardageCost: writeMoney(result.yardageCost),
      totalCost: writeMoney(result.totalCost),
      feedCostOfGain: writePrice(result.feedCostOfGain, units, 'small'),
      totalCostOfGain: writePrice(result.totalCostOfGain, units, 'small'),
      hayFed: writeMass(hayFed, units, 'large'),
      hayPerGain: Number(hayFed.ratioTo(gain.totalGain).toFixed(2)),
    },
  };
}
