import { Injectable } from '@nestjs/common';
import { addDays, daysBetween, monthOf, monthSpans } from '../../core/time/calendar-day.js';
import { putsEarlierRight, whatStands } from '../../core/time/what-stands.js';
import { headEvents, headDays, headHistory } from '../../core/standing/head-days.js';
import { HAY_KINDS } from '../../core/feeds/hay-kinds.data.js';
import { isOtherFeed, OTHER_FEEDS } from '../../core/feeds/other-feeds.data.js';
import {
  type CostApart,
  type FedLine,
  type HerdMonth,
  NO_KIND,
  type SeasonCost,
  seasonCost,
  type SeasonGroup,
  type SeasonRow,
} from '../../core/season/season-cost.js';
import {
  type RateCorrection,
  rateCorrections,
  ratesOf,
  yardageCost,
  type YardageRate,
  type YardageRateEntry,
} from '../../core/season/yardage.js';
import { type FedSum, fedThatStands } from '../../core/stock/fed-hay.js';
import type { SharedVariance } from '../../core/stock/who-ate.js';
import { counted } from '../../core/units/counted.js';
import { decimalText } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import { type Currency, Money } from '../../core/units/money.js';
import { together } from '../../platform/database/together.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import {
  asCurrency,
  type UnitSystem,
  formatMass,
  formatMoney,
  formatPrice,
} from '../../platform/wire/quantity.schema.js';
import { FeedingRead, type MonthOfFeedings } from '../../records/feedings/feeding.read.js';
import { type HerdHeadChange, HerdRead, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import { CostingService, type FedHay } from '../../records/hay/costing/costing.service.js';
import { RanchRead } from '../../records/yard/ranches/ranch.read.js';
import { ClosedReportRead } from '../closings/closed-report.read.js';
import { type Correction, correctionAnswer, correctionFlags, correctionsOf, inWords } from '../corrections.js';
import { methodChangeFlags } from '../method-change.js';
import { spanOf } from '../report-period.js';
import type { Flag } from '../report.schema.js';
import { YardageRateRead } from '../../records/yard/yardage-rates/yardage-rate.read.js';
import type * as api from './season-cost.schema.js';

type Answer = AnswerOf<typeof api.getSeasonCost>;

/** Yardage as an accountant posts it. */
export interface YardagePosting {
  on: string;
  herdId: string;
  what: 'yardage' | 'yardage-correction';
  /** Below zero where a correction takes some back. */
  amount: Money;
}

/** By kind of feed the total has more than its rows. */
const NOT_BY_KIND: Flag = {
  code: 'not-by-kind',
  message:
    'Losses are of whole feedings and head-days of herds, so rows of kinds of feed have no figure of what was eaten, ' +
    'of head-days or per head; the total has them for all kinds together.',
};

/** Which season cost is asked for. */
interface Asked {
  from: string;
  until: string;
  by: SeasonGroup;
}

interface Gathered {
  herds: HerdRow[];
  changes: HerdHeadChange[];
  /** Of yardage, as they were entered. */
  entered: YardageRateEntry[];
  feedings: MonthOfFeedings[];
  booksOf: () => Promise<FedHay>;
  names: ReadonlyMap<string, string>;
}

interface Worked {
  herds: HerdRow[];
  /** Of ranches, where they are asked for. */
  names: ReadonlyMap<string, string>;
  feedings: MonthOfFeedings[];
  rates: YardageRate[];
  books: FedHay;
  months: ReturnType<typeof herdMonths>;
  late: SharedVariance[];
  corrections: Correction[];
  /** What the report adds up. */
  fed: FedLine[];
  apart: CostApart[];
  cost: SeasonCost;
}

@Injectable()
export class SeasonCostService {
  constructor(
    private readonly herds: HerdRead,
    private readonly ranches: RanchRead,
    private readonly feedings: FeedingRead,
    private readonly costing: CostingService,
    private readonly yardage: YardageRateRead,
    private readonly closed: ClosedReportRead,
  ) {}

  async report(tenant: OperationTenant, { query }: InputOf<typeof api.getSeasonCost>): Promise<Answer> {
    spanOf(query);

    const units = query.units ?? tenant.operation.unitPreference;
    return this.closed.orWorkedOut<Answer, Gathered>(
      tenant,
      { name: `season-cost-by-${query.by}`, units, span: query },
      (gathered) => this.#answer(tenant, { ...query, units }, gathered),
      () => this.#gathered(tenant, query),
    );
  }

  /** The report from the books as they are now. */
  async compute(tenant: OperationTenant, query: Asked & { units: UnitSystem }): Promise<Omit<Answer, 'closed'>> {
    return this.#answer(tenant, query, await this.#gathered(tenant, query));
  }

  async #answer(
    tenant: OperationTenant,
    query: Asked & { units: UnitSystem },
    gathered: Gathered,
  ): Promise<Omit<Answer, 'closed'>> {
    const { herds, names, feedings, rates, books, months, late, corrections, cost } = await this.#worked(
      tenant,
      query,
      gathered,
    );
    const { units } = query;
    const labels = labelsOf(tenant, query.by, herds, names);
    return {
      operationId: tenant.operationId,
      operation: tenant.operation.name,
      invented: tenant.operation.invented,
      currency: asCurrency(tenant.operation.currency),
      units,
      method:
        `Hay and other feed at their booked cost (${books.method}), yardage by head-day; head-days integrated ` +
        'from the head history. What was reversed as of one of these days is not there, nor its reversal; what ' +
        'corrects earlier days stands apart, and so do late costs, shared by the hay that each herd ate of the lot.',
      inputs: {
        herds: herds.length,
        feedings: feedings.reduce((sum, one) => sum + one.feedings, 0),
        ledgerMovements: books.movements,
        yardageRates: rates.length,
      },
      flags: [
        ...flagsOf(
          cost.shareOfFeedingsWithLossMeasured,
          months.reduce((sum, one) => sum + one.daysWithoutRate, 0),
          late,
          corrections,
        ),
        ...(query.by === 'kind' && cost.total.headDays !== null ? [NOT_BY_KIND] : []),
        ...methodChangeFlags(books.changes, query),
      ],
      from: query.from,
      until: query.until,
      by: query.by,
      costingMethod: books.method,
      rows: cost.rows.map((one) => answerFrom(one, labels.get(one.key) ?? one.key, units)),
      total: answerFrom(cost.total, 'Total', units),
      correctionsOfEarlier: corrections.map((one) => correctionAnswer(one, units)),
      shareOfFeedingsWithLossMeasured: cost.shareOfFeedingsWithLossMeasured,
    };
  }

  /**
   * Yardage as it is posted: of each herd and month on its last day within these days, and what a reversed head change
   * takes back of earlier days on the day of its reversal. Together the yardage and its corrections of the report.
   */
  async yardagePostings(tenant: OperationTenant, days: { from: string; until: string }): Promise<YardagePosting[]> {
    const span = spanOf(days);
    const currency = asCurrency(tenant.operation.currency);
    const [{ herds, changes }, entered] = await together(this.#cattle(tenant), this.yardage.all(tenant));
    const rates = ratesOf(entered, days);
    const head = whatStands(changes, days);
    const months = herds.flatMap((herd) => {
      const own = head.standing.filter((one) => one.herdId === herd.id);
      return herdMonths(herd, own, rates, [], span, currency);
    });
    const wrong = {
      fed: [],
      head,
      rates: wrongRates(herds, changes, entered, { ...days, currency }),
    };
    const corrections = correctionsOf(wrong, herds, { from: days.from, rates, currency });
    return [
      ...months.map(({ month, lastDay }): YardagePosting => ({
        on: lastDay,
        herdId: month.herdId,
        what: 'yardage',
        amount: month.yardage.rounded(),
      })),
      ...corrections.map(({ on, herdId, amount }): YardagePosting => ({
        on,
        herdId,
        what: 'yardage-correction',
        amount: amount.rounded(),
      })),
    ].filter(({ amount }) => !amount.isZero());
  }

  /** The same money, neither added up over months nor over herds. */
  async byHerdAndMonth(
    tenant: OperationTenant,
    span: { from: string; until: string },
  ): Promise<{
    method: string;
    changes: FedHay['changes'];
    fed: FedLine[];
    herdMonths: HerdMonth[];
    apart: CostApart[];
  }> {
    const query = { ...span, by: 'herd' } as const;
    const { books, fed, months, apart } = await this.#worked(tenant, query, await this.#gathered(tenant, query));
    const { method, changes } = books;
    return { method, changes, fed, herdMonths: months.map(({ month }) => month), apart };
  }

  /** What is read for it, in one round trip. */
  async #gathered(tenant: OperationTenant, query: Asked): Promise<Gathered> {
    const span = spanOf(query);
    const days = { from: query.from, until: query.until };
    const [{ herds, changes }, entered, feedings, booksOf, names] = await together(
      this.#cattle(tenant),
      this.yardage.all(tenant),
      this.feedings.lossesByMonth(tenant, {
        ...{ from: span.from, until: span.end },
        ...{ accountFrom: query.from, accountUntil: query.until },
      }),
      this.costing.fedAsWritten(tenant, { ...days, by: 'month' }),
      query.by === 'ranch' ? this.ranches.names(tenant) : Promise.resolve(new Map<string, string>()),
    );
    return { herds, changes, entered, feedings, booksOf, names };
  }

  /** What the report is made of. */
  async #worked(
    tenant: OperationTenant,
    query: Asked,
    { herds, changes, entered, feedings, booksOf, names }: Gathered,
  ): Promise<Worked> {
    const span = spanOf(query);
    const currency = asCurrency(tenant.operation.currency);
    const days = { from: query.from, until: query.until };
    const books = await booksOf();
    const shared = await this.costing.shared(tenant, books.variances);
    const late = shared.filter(({ putsRight }) => !putsEarlierRight(putsRight, days));
    const put = shared.filter((one) => !late.includes(one));
    const rates = ratesOf(entered, days);
    const head = whatStands(changes, days);
    const standing = fedThatStands(books, { ...days, summedFrom: span.from, sumOf: (on) => `${monthOf(on)}-01` });
    const wrong = wrongRates(herds, changes, entered, { ...days, currency });
    const corrections = correctionsOf({ fed: standing.corrections, hayCosts: put, head, rates: wrong }, herds, {
      from: query.from,
      rates,
      currency,
    });
    const months = herds.flatMap((herd) =>
      herdMonths(
        herd,
        head.standing.filter((one) => one.herdId === herd.id),
        rates,
        feedings,
        span,
        currency,
      ),
    );
    const fed = fedLines(standing.fed, herds);
    const apart = [...lateLines(late, herds), ...corrections.map((one) => ({ ...one, what: 'correction' as const }))];
    const cost = seasonCost({
      fed,
      herdMonths: months.map((one) => one.month),
      apart,
      by: query.by,
      days: span.days,
      currency,
    });
    return { herds, names, feedings, rates, books, months, late, corrections, fed, apart, cost };
  }

  async #cattle(tenant: OperationTenant): Promise<{ herds: HerdRow[]; changes: HerdHeadChange[] }> {
    const [herds, changes] = await together(this.herds.all(tenant), this.herds.entered(tenant, 'all'));
    return { herds, changes };
  }
}

/** What rates that were reversed in these days had made wrong before them, herd by herd. */
function wrongRates(
  herds: readonly HerdRow[],
  changes: readonly HerdHeadChange[],
  rates: readonly YardageRateEntry[],
  days: { from: string; until: string; currency: Currency },
): RateCorrection[] {
  return herds.flatMap(({ id: herdId }) =>
    rateCorrections({ herdId, head: changes.filter((one) => one.herdId === herdId), rates, ...days }),
  );
}

/** What rows are called, by key. */
function labelsOf(
  tenant: OperationTenant,
  by: SeasonGroup,
  herds: readonly HerdRow[],
  ranches: ReadonlyMap<string, string>,
): ReadonlyMap<string, string> {
  switch (by) {
    case 'operation':
      return new Map([['operation', tenant.operation.name]]);
    case 'herd':
      return new Map(herds.map((herd) => [herd.id, herd.name]));
    case 'ranch':
      return ranches;
    case 'kind':
      return new Map([
        ...Object.entries({ ...HAY_KINDS, ...OTHER_FEEDS }).map(([code, kind]): [string, string] => [code, kind.name]),
        [NO_KIND, 'Yardage, of no kind of feed'],
      ]);
    case 'month':
      return new Map();
  }
}

/** What herds were fed, at booked cost. */
function fedLines(fed: readonly FedSum[], herds: readonly HerdRow[]): FedLine[] {
  const ranchOf = ranchesOf(herds);
  return fed.map(({ herdId, hayKind, on, mass, cost }) => ({
    herdId,
    ranchId: ranchOf(herdId),
    hayKind,
    feed: isOtherFeed(hayKind) ? 'other' : 'hay',
    month: monthOf(on),
    mass,
    cost,
  }));
}

function ranchesOf(herds: readonly HerdRow[]): (herdId: string) => string {
  const ranchOf = new Map(herds.map((herd) => [herd.id, herd.ranch_id]));
  return (herdId) => ranchOf.get(herdId) ?? '';
}

/** Each herd's share of what later bills changed. */
function lateLines(late: readonly SharedVariance[], herds: readonly HerdRow[]): CostApart[] {
  const ranchOf = ranchesOf(herds);
  return late.flatMap(({ on, hayKind, shares }) =>
    shares.flatMap(({ herdId, amount }): CostApart[] =>
      herdId === null
        ? []
        : [{ what: 'late-cost', herdId, ranchId: ranchOf(herdId), hayKind, month: monthOf(on), amount }],
    ),
  );
}

function herdMonths(
  herd: HerdRow,
  changes: Parameters<typeof headEvents>[0],
  rates: readonly YardageRate[],
  feedings: readonly MonthOfFeedings[],
  span: { from: string; end: string },
  currency: Currency,
): { month: HerdMonth; lastDay: string; daysWithoutRate: number }[] {
  const history = headHistory(headEvents(changes));
  const steps = history.ok ? history.steps : [];
  return monthSpans(span.from, span.end).map(({ month, from, until }) => {
    const fed = feedings.find((one) => one.herdId === herd.id && one.month === month);
    const cost = yardageCost({ herdId: herd.id, steps, rates, from, until, currency });
    return {
      month: {
        herdId: herd.id,
        ranchId: herd.ranch_id,
        month,
        days: daysBetween(from, until),
        headDays: headDays(steps, from, until),
        yardage: cost.cost,
        lost: Mass.kilograms(fed?.lostKilograms ?? '0'),
        feedings: fed?.feedings ?? 0,
        feedingsWithLossMeasured: fed?.measured ?? 0,
      },
      lastDay: addDays(until, -1),
      daysWithoutRate: rates.length === 0 ? 0 : cost.daysWithoutRate,
    };
  });
}

function flagsOf(
  measuredShare: number | null,
  daysWithoutRate: number,
  late: readonly SharedVariance[],
  corrections: readonly Correction[],
): Flag[] {
  return [
    ...(measuredShare === null ? [{ code: 'nothing-fed', message: 'No feeding was recorded in these days.' }] : []),
    ...(measuredShare !== null && measuredShare < 1
      ? [
          {
            code: 'waste-not-always-measured',
            message:
              measuredShare === 0
                ? 'Refusals or waste were recorded in no feeding, so nothing is told of what was eaten.'
                : `Refusals or waste were recorded in ${Math.round(measuredShare * 100)} % of the feedings; eaten ` +
                  'hay counts the others as eaten whole.',
          },
        ]
      : []),
    ...(daysWithoutRate > 0
      ? [
          {
            code: 'yardage-rate-missing',
            message: `On ${daysWithoutRate} herd-days no yardage rate was in force; they cost nothing here.`,
          },
        ]
      : []),
    ...lateFlags(late),
    ...correctionFlags(corrections),
  ];
}

/** How much later bills changed, and how much of that no herd ate. */
function lateFlags(late: readonly SharedVariance[]): Flag[] {
  const [first] = late;
  if (first === undefined) return [];
  const zero = Money.zero(first.amount.currency);
  const all = late.reduce((sum, { amount }) => sum.plus(amount), zero);
  const eaten = late
    .flatMap(({ shares }) => shares)
    .reduce((sum, { herdId, amount }) => (herdId === null ? sum : sum.plus(amount)), zero);
  return [
    {
      code: 'cost-variances',
      message:
        `${counted(late.length, 'bill or correction', 'bills or corrections')} of these days changed the cost of hay ` +
        `that had left before by ${inWords(all)}: ${inWords(eaten)} of it is the late costs of herds, ` +
        `${inWords(all.minus(eaten))} is of hay that was sold or lost and not part of these costs.`,
    },
  ];
}

function answerFrom(row: SeasonRow, label: string, units: UnitSystem): AnswerOf<typeof api.getSeasonCost>['total'] {
  const money = (amount: Money | null): ReturnType<typeof formatMoney> | null =>
    amount === null ? null : formatMoney(amount);
  return {
    key: row.key,
    label,
    fed: formatMass(row.fed, units, 'large'),
    eaten: row.eaten === null ? null : formatMass(row.eaten, units, 'large'),
    hayCost: formatMoney(row.hayCost),
    otherFed: formatMass(row.otherFed, units, 'large'),
    otherFeedCost: formatMoney(row.otherFeedCost),
    yardageCost: money(row.yardageCost),
    totalCost: formatMoney(row.totalCost),
    lateCosts: formatMoney(row.lateCosts),
    totalWithLateCosts: formatMoney(row.totalWithLateCosts),
    corrections: formatMoney(row.corrections),
    headDays: row.headDays,
    meanHead: row.meanHead === null ? null : decimalText(row.meanHead.toDecimalPlaces(2)),
    perHeadDay: money(row.perHeadDay),
    perHead: money(row.perHead),
    hayPerMassFed: row.perMassFed === null ? null : formatPrice(row.perMassFed, units),
    hayPerMassEaten: row.perMassEaten === null ? null : formatPrice(row.perMassEaten, units),
  };
}
