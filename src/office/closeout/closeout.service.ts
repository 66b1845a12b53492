import { Injectable } from '@nestjs/common';
import { type CattleChange, closeout, type Closeout, type CloseoutInput } from '../../core/closeout/closeout.js';
import { isOtherFeed } from '../../core/feeds/other-feeds.data.js';
import { type MeanWeighing, nearest, oneADay } from '../../core/gain/comparable-weighings.js';
import { headHistory, headOn, type HeadStep } from '../../core/standing/head-days.js';
import { yardageCost, type YardageRate } from '../../core/season/yardage.js';
import { fedThatStands } from '../../core/stock/fed-hay.js';
import { type SharedVariance, shareWithin } from '../../core/stock/who-ate.js';
import { addDays, daysBetween } from '../../core/time/calendar-day.js';
import { whatStands } from '../../core/time/what-stands.js';
import { decimal } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import { type Currency, Money } from '../../core/units/money.js';
import { dayIn } from '../../platform/clock.js';
import { together } from '../../platform/database/together.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { asCurrency, unitFor, type UnitSystem } from '../../platform/wire/quantity.schema.js';
import { HerdCostRead, type HerdCostEntry } from '../../records/cattle/herd-costs/herd-cost.read.js';
import { HeadChangeRead, type HeadChangePriceRow } from '../../records/cattle/herds/head-change.read.js';
import { headEvents, type HerdHeadChange, HerdRead, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import { WeighInRead } from '../../records/cattle/weigh-ins/weigh-in.read.js';
import { CostingService, type FedHay } from '../../records/hay/costing/costing.service.js';
import { YardageRateRead } from '../../records/yard/yardage-rates/yardage-rate.read.js';
import { type Correction, correctionsOf } from '../corrections.js';
import { weighingsAt } from '../cost-of-gain/herd-row.js';
import { spanOf } from '../report-period.js';
import { answerOf } from './closeout-answer.js';
import type { FedEntry } from './closeout-lines.js';
import { type Asked, hayAtMarket, interestTerms, standingAt, statedShrink } from './closeout-terms.js';
import { CloseoutRead } from './closeout.read.js';
import type * as api from './closeout.schema.js';

/** What a closeout was made of, and what it found. */
export interface WorkedCloseout {
  herd: HerdRow;
  span: { from: string; until: string };
  units: UnitSystem;
  currency: Currency;
  method: string;
  changes: (CattleChange & { party: string | null })[];
  fed: FedEntry[];
  hayFed: Mass;
  herdCosts: HerdCostEntry[];
  late: { variance: SharedVariance; amount: Money }[];
  daysWithoutRate: number;
  yardageRates: number;
  corrections: Correction[];
  correctedMoney: Money;
  atMarket: Money | null;
  unpricedHay: string[];
  terms: CloseoutInput['interest'];
  sameFill: CloseoutInput['sameFill'];
  found: Closeout;
}

interface Gathered {
  entered: HerdHeadChange[];
  prices: ReadonlyMap<string, HeadChangePriceRow>;
  weighings: MeanWeighing[];
  rates: YardageRate[];
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
  ) {}

  async report(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.getHerdCloseout>,
  ): Promise<AnswerOf<typeof api.getHerdCloseout>> {
    const herd = await this.herds.one(tenant, params.herdId);
    return answerOf(tenant, await this.#worked(tenant, herd, query));
  }

  async #worked(tenant: OperationTenant, herd: HerdRow, query: Asked): Promise<WorkedCloseout> {
    const gathered = await this.#gathered(tenant, herd.id);
    const today = dayIn(tenant.operation.timeZone, tenant.moment);
    const span = daysOf(gathered.entered, query, today);
    spanOf(span);
    const units = query.units ?? tenant.operation.unitPreference;
    const currency = asCurrency(tenant.operation.currency);
    const known = { from: span.from, until: span.until > today ? span.until : today };
    const [books, enteredCosts] = await together(
      this.costing.fed(tenant, { ...span, by: 'day' }),
      this.herdCosts.entered(tenant, [herd.id], span.until),
    );
    const fed = await this.#fedEntries(tenant, herd.id, span, currency);
    const shared = await this.costing.shared(tenant, await this.costing.variances(tenant, known, books.method));
    return workedFrom({ herd, query, gathered, span, units, currency, books, enteredCosts, fed, shared });
  }

  async #gathered(tenant: OperationTenant, herdId: string): Promise<Gathered> {
    const [entered, prices, weighings, rates] = await together(
      this.herds.entered(tenant, [herdId]),
      this.headChanges.pricesOfHerds(tenant, [herdId]),
      this.weighIns.of(tenant, [herdId]),
      this.yardage.all(tenant),
    );
    return { entered, prices, weighings: oneADay(weighings), rates };
  }

  /** Each feeding of the days that stands, at its cost in the books. */
  async #fedEntries(
    tenant: OperationTenant,
    herdId: string,
    span: { from: string; until: string },
    currency: Currency,
  ): Promise<FedEntry[]> {
    const movements = whatStands(await this.read.fed(tenant, herdId, span.until), span).standing.filter(
      ({ on, reversesId }) => on >= span.from && reversesId === null,
    );
    if (movements.length === 0) return [];
    const { costs } = await this.costing.costsOf(tenant, span.until, { entryIds: movements.map(({ id }) => id) });
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

interface Facts extends Pick<WorkedCloseout, 'herd' | 'span' | 'units' | 'currency' | 'fed'> {
  query: Asked;
  gathered: Gathered;
  books: FedHay;
  enteredCosts: readonly HerdCostEntry[];
  shared: readonly SharedVariance[];
}

/** What was gathered, closed out. */
function workedFrom(facts: Facts): WorkedCloseout {
  const { herd, query, gathered, span, units, currency, books, fed } = facts;
  const late = lateOf(facts.shared, herd.id, span);
  const head = whatStands(gathered.entered, span);
  const steps = stepsOf(head.standing);
  const costs = whatStands(facts.enteredCosts, span);
  const standing = fedThatStands(ofHerd(books, herd.id), { ...span, summedFrom: span.from, sumOf: (on) => on });
  const changes = changesOf(head.standing, gathered.prices, span);
  const until = addDays(span.until, 1);
  const yardage = yardageCost({ herdId: herd.id, steps, rates: gathered.rates, from: span.from, until, currency });
  const hay = standing.fed.filter(({ hayKind }) => !isOtherFeed(hayKind));
  const market = hayAtMarket(query, massByKind(hay), { units, currency });
  const [terms, sameFill] = [interestTerms(query), statedShrink(query)];
  const herdCosts = costs.standing.filter((one) => one.reversesId === null && one.on >= span.from);
  const found = closeout({
    ...span,
    currency,
    steps,
    ...standingCattle(query, gathered.weighings, { span, steps, currency }),
    changes,
    hay: hay.map(dated),
    otherFeed: standing.fed.filter(({ hayKind }) => isOtherFeed(hayKind)).map(dated),
    hayAtMarket: market.value,
    yardage: yardage.cost,
    herdCosts: herdCosts.map(({ kind, on, amount }) => ({ kind, on, amount: Money.of(amount, currency) })),
    lateCosts: sumOf(late, currency),
    interest: terms,
    sameFill,
    unit: unitFor(units, 'small'),
  });
  const corrected = { fed: standing.corrections, head: head.corrections };
  return {
    ...{ herd, span, units, currency, method: books.method, changes, fed, herdCosts, late, terms, sameFill, found },
    hayFed: Mass.sum(hay.map(({ mass }) => mass)),
    daysWithoutRate: yardage.daysWithoutRate,
    yardageRates: gathered.rates.length,
    corrections: correctionsOf(corrected, [herd], { from: span.from, rates: gathered.rates, currency }),
    correctedMoney: sumOf(
      costs.corrections.map(({ reversed }) => ({ amount: Money.of(reversed.amount, currency).negated() })),
      currency,
    ),
    atMarket: market.value,
    unpricedHay: market.unpriced,
  };
}

function dated({ on, cost }: { on: string; cost: Money }): { on: string; amount: Money } {
  return { on, amount: cost };
}

function sumOf(some: readonly { amount: Money }[], currency: Currency): Money {
  return Money.sum(
    some.map(({ amount }) => amount),
    currency,
  );
}

/** The days asked about; those on which the cattle that stood there last came and went, where none are named. */
function daysOf(
  entered: readonly HerdHeadChange[],
  { from, until }: Asked,
  today: string,
): { from: string; until: string } {
  const steps = stepsOf(whatStands(entered).standing);
  const lastDay = until ?? today;
  const begun = steps.findLastIndex((step, index) => {
    const before = steps[index - 1]?.head ?? 0;
    return step.head > 0 && before === 0 && step.from <= lastDay;
  });
  const first = from ?? steps[begun]?.from ?? lastDay;
  if (until !== undefined || begun < 0) return { from: first, until: lastDay < first ? first : lastDay };
  const gone = steps.slice(begun).find(({ head }) => head === 0)?.from;
  return { from: first, until: gone !== undefined && gone <= today && gone >= first ? gone : lastDay };
}

function stepsOf(changes: readonly HerdHeadChange[]): readonly HeadStep[] {
  const history = headHistory(headEvents(changes));
  return history.ok ? history.steps : [];
}

function ofHerd(books: FedHay, herdId: string): Pick<FedHay, 'fed' | 'reversed'> {
  const own = (one: { herdId: string }): boolean => one.herdId === herdId;
  return { fed: books.fed.filter(own), reversed: books.reversed.filter(own) };
}

function massByKind(fed: readonly { hayKind: string; mass: Mass }[]): Map<string, Mass> {
  const sums = new Map<string, Mass>();
  for (const { hayKind, mass } of fed) sums.set(hayKind, (sums.get(hayKind) ?? Mass.zero).plus(mass));
  return sums;
}

/** The herd's part of bills for hay that it ate on these days, to the cent. */
function lateOf(
  shared: readonly SharedVariance[],
  herdId: string,
  { from, until }: { from: string; until: string },
): WorkedCloseout['late'] {
  return shared.flatMap((variance) => {
    const amount = shareWithin(variance, herdId, (on) => decimal(on >= from && on <= until ? 1 : 0))?.rounded();
    return amount === undefined || amount.isZero() ? [] : [{ variance, amount }];
  });
}

function changesOf(
  changes: readonly HerdHeadChange[],
  prices: ReadonlyMap<string, HeadChangePriceRow>,
  { from, until }: { from: string; until: string },
): WorkedCloseout['changes'] {
  return changes
    .filter(({ day, kind }) => day >= from && day <= until && kind !== 'reversal')
    .map((one) => {
      const price = prices.get(one.id);
      const head = Math.abs(one.head);
      const weight = one.meanWeightKg === null ? null : Mass.kilograms(one.meanWeightKg).times(head);
      return {
        id: one.id,
        on: one.day,
        kind: one.kind as CattleChange['kind'],
        head,
        totalWeight: weight,
        payWeight: price === undefined || price.pay_weight_kg === null ? weight : Mass.kilograms(price.pay_weight_kg),
        worth: price === undefined ? null : Money.of(price.amount, asCurrency(price.currency)),
        how: price?.how ?? null,
        party: price?.party ?? null,
      };
    });
}

/** Cattle that stand before the first day and after the last: at the mean weight near it and the value stated. */
function standingCattle(
  query: Asked,
  weighings: readonly MeanWeighing[],
  { span, steps, currency }: { span: { from: string; until: string }; steps: readonly HeadStep[]; currency: Currency },
): Pick<CloseoutInput, 'opening' | 'closing'> {
  const [before, after] = [headOn(steps, addDays(span.from, -1)), headOn(steps, span.until)];
  // Two weighings are brought to one fill where both are of cattle that stand.
  const both = before > 0 && after > 0 ? weighingsAt(weighings, span) : undefined;
  const weightOf = (found: MeanWeighing | undefined, day: string, head: number): Mass | null =>
    found === undefined || Math.abs(daysBetween(day, found.day)) > query.windowDays ? null : found.mean.times(head);
  const opening = weightOf(both?.opening ?? nearest(weighings, span.from), span.from, before);
  const closing = weightOf(both?.closing ?? nearest(weighings, span.until), span.until, after);
  return {
    opening: standingAt(query, 'opening', { head: before, totalWeight: opening, currency }),
    closing: standingAt(query, 'closing', { head: after, totalWeight: closing, currency }),
  };
}
