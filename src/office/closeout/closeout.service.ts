import { Injectable } from '@nestjs/common';
import type { z } from 'zod';
import { type CattleStanding, closeout, type Closeout, type CloseoutInput } from '../../core/closeout/closeout.js';
import {
  type CattlePaid,
  closeoutMoney,
  type HerdAccount,
  herdAccount,
  massByKind,
  type PricedChange,
} from '../../core/closeout/herd-account.js';
import { type CloseoutTotals, closeoutTotals } from '../../core/closeout/closeout-totals.js';
import { type CloseoutDays, closeoutDays, lotBills } from '../../core/closeout/lot-days.js';
import { standingWeights } from '../../core/closeout/standing-weights.js';
import { isOtherFeed } from '../../core/feeds/other-feeds.data.js';
import { type MeanWeighing, oneADay } from '../../core/gain/comparable-weighings.js';
import { ratesOf, type YardageRateEntry } from '../../core/season/yardage.js';
import { headEvents, headHistory, headOn, type HeadStep } from '../../core/standing/head-days.js';
import type { SharedVariance } from '../../core/stock/who-ate.js';
import { addDays } from '../../core/time/calendar-day.js';
import { whatStands } from '../../core/time/what-stands.js';
import { Mass } from '../../core/units/mass.js';
import { type Currency, Money } from '../../core/units/money.js';
import { dayIn } from '../../platform/clock.js';
import { together } from '../../platform/database/together.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { asCurrency, unitFor, type UnitSystem } from '../../platform/wire/quantity.schema.js';
import { HerdCostRead } from '../../records/cattle/herd-costs/herd-cost.read.js';
import { HeadChangeRead } from '../../records/cattle/herds/head-change.read.js';
import { HerdRead, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import { type HerdWeighIn, WeighInRead } from '../../records/cattle/weigh-ins/weigh-in.read.js';
import { CostingService, type FedHay } from '../../records/hay/costing/costing.service.js';
import { YardageRateRead } from '../../records/yard/yardage-rates/yardage-rate.read.js';
import { type Correction, correctionsOf, OF_YARDAGE, sumOf } from '../corrections.js';
import { ClosedReportRead } from '../closings/closed-report.read.js';
import { spanOf } from '../report-period.js';
import type { Flag } from '../report.schema.js';
import { answerOf } from './closeout-answer.js';
import type { FedEntry } from './closeout-lines.js';
import { type Asked, hayAtMarket, interestTerms, standingAt, statedShrink } from './closeout-terms.js';
import { CloseoutRead } from './closeout.read.js';
import type * as api from './closeout.schema.js';
import { closeoutQuery } from './closeout.schema.js';
import type { periodCloseoutsReport } from './period-closeouts.schema.js';
import { type CostRow, costEntries, headEntries, type HeadRow, paidCattle } from './herd-books.js';

/** What a closeout was made of, and what it found. */
export interface WorkedCloseout {
  herd: HerdRow;
  span: CloseoutDays;
  units: UnitSystem;
  currency: Currency;
  method: string;
  methodChanges: FedHay['changes'];
  changes: readonly PricedChange[];
  fed: FedEntry[];
  hayFed: Mass;
  herdCosts: readonly CostRow[];
  late: HerdAccount<HeadRow, CostRow>['late'];
  daysWithoutRate: number;
  yardageRates: number;
  corrections: Correction[];
  /** Of other costs and of cattle at money. */
  correctedMoney: { costs: Money; cattle: Money };
  atMarket: Money | null;
  unpricedHay: string[];
  terms: CloseoutInput['interest'];
  sameFill: CloseoutInput['sameFill'];
  found: Closeout;
}

interface Days {
  from: string;
  until: string;
}
/** The closeouts that a closing stored. */
type Stored = z.output<typeof periodCloseoutsReport>;

/** Of some herds, whatever the days. */
interface Gathered {
  entered: HeadRow[];
  paid: ReadonlyMap<string, CattlePaid>;
  weighings: HerdWeighIn[];
  rates: YardageRateEntry[];
  costs: CostRow[];
}

/** The days of a closeout, with what their hay cost. */
interface DaysOfBooks<Span extends Days = Days> {
  span: Span;
  currency: Currency;
  books: FedHay;
  shared: SharedVariance[];
}

/** Closes a herd out: what it cost and brought over some days. */
@Injectable()
export class CloseoutService {
  constructor(
    private readonly herds: HerdRead,
    private readonly headChanges: HeadChangeRead,
    private readonly herdCosts: HerdCostRead,
    private readonly weighIns: WeighInRead,
    private readonly yardage: YardageRateRead,
    private readonly costing: CostingService,
    private readonly read: CloseoutRead,
    private readonly closed: ClosedReportRead,
  ) {}

  async report(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.getHerdCloseout>,
  ): Promise<AnswerOf<typeof api.getHerdCloseout>> {
    const herd = await this.herds.one(tenant, params.herdId);
    const units = query.units ?? tenant.operation.unitPreference;
    // What was stored is at no terms.
    const asStored = isPlain(query) ? query : undefined;
    if (asStored?.from !== undefined && asStored.until !== undefined) {
      const days = { from: asStored.from, until: asStored.until };
      const stored = await this.closed.find<Stored>(tenant, 'herd-closeouts', units, days);
      const own = stored?.ofThePeriod.find(({ herdId }) => herdId === herd.id);
      if (stored !== undefined && own !== undefined) return { ...own, closed: stored.closed };
    }
    const worked = await this.#worked(tenant, herd, query);
    const found = answerOf(tenant, worked);
    const changed = asStored === undefined ? [] : await this.#changedSince(tenant, { ...found, ...worked.span }, units);
    return { ...found, flags: [...found.flags, ...changed], closed: null };
  }

  /** From the books as they are now. */
  async compute(
    tenant: OperationTenant,
    herd: HerdRow,
    query: Asked,
  ): Promise<Omit<AnswerOf<typeof api.getHerdCloseout>, 'closed'>> {
    return answerOf(tenant, await this.#worked(tenant, herd, query));
  }

  /** Whether a closing stored this lot with other money: late bills, and what else was told since. */
  async #changedSince(
    tenant: OperationTenant,
    found: Pick<AnswerOf<typeof api.getHerdCloseout>, 'herdId' | 'totals'> & CloseoutDays,
    units: UnitSystem,
  ): Promise<Flag[]> {
    const { herdId, lastLeft } = found;
    const stored = await this.closed.covering<Stored>(tenant, 'herd-closeouts', units, lastLeft ?? found.until);
    // A lot is closed out with the bills that are known, so its account may end later than the one that was stored.
    const then = stored?.ended.find(
      (one) =>
        one.herdId === herdId &&
        (lastLeft === null ? one.from === found.from && one.until === found.until : one.until >= lastLeft),
    );
    if (then === undefined || then.totals.costs.amount === found.totals.costs.amount) return [];
    const { amount, currency } = then.totals.costs;
    return [
      {
        code: 'changed-since-closing',
        message:
          `The closing of the period up to ${stored?.until} stored this lot with costs of ${amount} ${currency}; ` +
          'these figures have what was told since, such as bills that came late.',
      },
    ];
  }

  /** Every herd closed out over the same days, without stated terms or values; what is corrected in them is in it. */
  async totals(tenant: OperationTenant, span: Days): Promise<CloseoutTotals> {
    const herds = await this.herds.all(tenant);
    const ids = herds.map((herd) => herd.id);
    const gathered = await this.#gathered(tenant, ids, span.until);
    const days = await this.#days(tenant, span);
    const { currency } = days;
    return closeoutTotals(
      herds.map((herd) => {
        const account = accountOf(herd.id, gathered, days);
        const found = closeout({ ...span, ...closeoutMoney(account, currency), ...NOTHING_STATED, currency });
        const corrected = correctionsWithin(account, herd, gathered, days);
        const { costs: otherCosts, cattle } = account.corrections;
        const feed = sumOf(corrected, ['feeding'], currency);
        return { found, corrections: { feed, yardage: sumOf(corrected, OF_YARDAGE, currency), otherCosts, cattle } };
      }),
      currency,
    );
  }

  async #worked(tenant: OperationTenant, herd: HerdRow, query: Asked): Promise<WorkedCloseout> {
    const today = dayIn(tenant.operation.timeZone, tenant.moment);
    const gathered = await this.#gathered(tenant, [herd.id], query.until ?? today);
    const lots = { steps: stepsOf(gathered.entered), bills: lotBills(gathered.costs) };
    const span = closeoutDays(lots, query, today);
    spanOf(span);
    const days = await this.#days(tenant, span);
    const fed = await this.#fedEntries(tenant, herd.id, days);
    return workedFrom({ herd, query, gathered, days, fed, units: query.units ?? tenant.operation.unitPreference });
  }

  /** @param until the last day of which costs are wanted */
  async #gathered(tenant: OperationTenant, herdIds: readonly string[], until: string): Promise<Gathered> {
    const [entered, prices, weighings, rates, costs] = await together(
      this.herds.entered(tenant, herdIds),
      this.headChanges.pricesOfHerds(tenant, herdIds),
      this.weighIns.of(tenant, herdIds),
      this.yardage.all(tenant),
      this.herdCosts.entered(tenant, herdIds, until),
    );
    return {
      entered: headEntries(entered),
      paid: paidCattle(prices),
      weighings,
      rates,
      costs: costEntries(costs, asCurrency(tenant.operation.currency)),
    };
  }

  /** A bill tells what the hay cost whenever it comes, so all that are known count. */
  async #days<Span extends Days>(tenant: OperationTenant, span: Span): Promise<DaysOfBooks<Span>> {
    const currency = asCurrency(tenant.operation.currency);
    const today = dayIn(tenant.operation.timeZone, tenant.moment);
    const known = { from: span.from, until: span.until > today ? span.until : today };
    const books = await this.costing.fed(tenant, { from: span.from, until: span.until, by: 'day' });
    const shared = await this.costing.shared(tenant, await this.costing.variances(tenant, known));
    return { span, currency, books, shared };
  }

  /** Each feeding of the days that stands, at its cost in the books. */
  async #fedEntries(tenant: OperationTenant, herdId: string, { span, currency }: DaysOfBooks): Promise<FedEntry[]> {
    const movements = whatStands(await this.read.fed(tenant, herdId, span.until), span).standing.filter(
      ({ on, reversesId }) => on >= span.from && reversesId === null,
    );
    if (movements.length === 0) return [];
    const costs = await this.costing.costsOf(tenant, span.until, { entryIds: movements.map(({ id }) => id) });
    return movements.map(({ id, feedingId, on, lot, hayKind, kilograms }) => ({
      id,
      feedingId,
      on,
      lot,
      isHay: !isOtherFeed(hayKind),
      mass: Mass.kilograms(kilograms).negated(),
      cost: costs.get(id)?.inventoryChange.negated() ?? Money.zero(currency),
    }));
  }
}

/** Whether nothing is asked but which days, in which units. */
function isPlain({ from, until, units, ...terms }: Asked): boolean {
  const { from: _from, until: _until, units: _units, ...plain } = closeoutQuery.parse({ from, until, units });
  return JSON.stringify(Object.entries(terms).sort()) === JSON.stringify(Object.entries(plain).sort());
}

/** A closeout at no terms and with no values of cattle that stand. */
const NOTHING_STATED = {
  opening: { totalWeight: null, value: null },
  closing: { totalWeight: null, value: null },
  hayAtMarket: null,
  interest: null,
  sameFill: null,
};

function accountOf(herdId: string, gathered: Gathered, days: DaysOfBooks): HerdAccount<HeadRow, CostRow> {
  return herdAccount(
    {
      herdId,
      head: gathered.entered.filter((one) => one.herdId === herdId),
      paid: gathered.paid,
      costs: gathered.costs.filter((one) => one.herdId === herdId),
      fed: days.books.fed,
      reversedFeed: days.books.reversed,
      fedInPlace: days.books.inPlace,
      late: days.shared,
      rates: gathered.rates,
    },
    days.span,
    days.currency,
  );
}

function correctionsWithin(
  { corrections }: HerdAccount<HeadRow, CostRow>,
  herd: HerdRow,
  { rates }: Gathered,
  { span, currency }: DaysOfBooks,
): Correction[] {
  return correctionsOf(corrections, [herd], { from: span.from, rates: ratesOf(rates, span), currency });
}

/** What was gathered, closed out. */
function workedFrom({
  herd,
  query,
  gathered,
  days,
  fed,
  units,
}: {
  herd: HerdRow;
  query: Asked;
  gathered: Gathered;
  days: DaysOfBooks<CloseoutDays>;
  fed: FedEntry[];
  units: UnitSystem;
}): WorkedCloseout {
  const { span, currency, books } = days;
  const account = accountOf(herd.id, gathered, days);
  const { hay, yardage, late, corrections } = account;
  const market = hayAtMarket(query, massByKind(hay), { units, currency });
  const [terms, sameFill] = [interestTerms(query), statedShrink(query)];
  const weighings = oneADay(gathered.weighings.filter((one) => one.herdId === herd.id));
  const found = closeout({
    ...span,
    ...closeoutMoney(account, currency),
    currency,
    ...standingCattle(query, weighings, { span, steps: account.steps, currency }),
    hayAtMarket: market.value,
    interest: terms,
    sameFill,
    unit: unitFor(units, 'small'),
  });
  return {
    ...{ herd, span, units, currency, method: books.method, fed, late, terms, sameFill, found },
    methodChanges: books.changes,
    changes: account.changes,
    herdCosts: account.costs,
    hayFed: Mass.sum(hay.map(({ mass }) => mass)),
    daysWithoutRate: yardage.daysWithoutRate,
    yardageRates: ratesOf(gathered.rates, span).length,
    corrections: correctionsWithin(account, herd, gathered, days),
    correctedMoney: corrections,
    atMarket: market.value,
    unpricedHay: market.unpriced,
  };
}

function stepsOf(entered: readonly HeadRow[]): readonly HeadStep[] {
  const history = headHistory(headEvents(whatStands(entered).standing));
  return history.ok ? history.steps : [];
}

/** Cattle that stand before the first day and after the last: at the mean weight near it and the value stated. */
function standingCattle(
  query: Asked,
  weighings: readonly MeanWeighing[],
  { span, steps, currency }: { span: Days; steps: readonly HeadStep[]; currency: Currency },
): Pick<CloseoutInput, 'opening' | 'closing'> {
  const opening = { on: span.from, head: headOn(steps, addDays(span.from, -1)) };
  const closing = { on: span.until, head: headOn(steps, span.until) };
  const weights = standingWeights(weighings, { opening, closing, windowDays: query.windowDays });
  const at = (side: 'opening' | 'closing', { head }: { head: number }): CattleStanding =>
    standingAt(query, side, { head, totalWeight: weights[side], currency });
  return { opening: at('opening', opening), closing: at('closing', closing) };
}
