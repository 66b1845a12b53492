import { isOtherFeed } from '../feeds/other-feeds.data.js';
import { headEvents, headHistory, type HeadStep, type SignedHead } from '../standing/head-days.js';
import {
  type RateCorrection,
  rateCorrections,
  ratesOf,
  yardageCost,
  type YardageCost,
  type YardageRateEntry,
} from '../season/yardage.js';
import { type FedInPlace, type FedSum, fedThatStands, type ReversedFeed } from '../stock/fed-hay.js';
import { type SharedVariance, shareWithin } from '../stock/who-ate.js';
import { addDays, type CalendarDay, compareDays } from '../time/calendar-day.js';
import { type DatedEntry, type Standing, whatStands } from '../time/what-stands.js';
import { decimal } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { type Currency, Money } from '../units/money.js';
import type { CattleChange, CloseoutInput } from './closeout.js';
import type { DatedMoney } from './interest.js';

/** Cattle that came (above zero) or went, as it was entered, or the reversal of that. */
export interface HeadEntry extends DatedEntry, SignedHead {
  readonly herdId: string;
  /** What a head weighed; null where nobody weighed them. */
  readonly meanWeight: Mass | null;
}

/** What the cattle of a head change were paid for, or valued at. */
export interface CattlePaid {
  readonly amount: Money;
  readonly how: 'paid' | 'valued';
  readonly payWeight: Mass | null;
  /** Whom it was paid to, or by. */
  readonly party: string | null;
}

/** Cattle that came or went on the days of an account. */
export interface PricedChange extends CattleChange {
  readonly herdId: string;
  readonly party: string | null;
}

/** A cost of a herd besides feed and yardage, as it was entered, or the reversal of that. */
export interface HerdCostOn extends DatedEntry {
  readonly kind: string;
  /** Signed: a reversal takes back what the cost was. */
  readonly amount: Money;
}

/** What the books tell of one herd. */
export interface HerdBooks<Head extends HeadEntry, Cost extends HerdCostOn> {
  readonly herdId: string;
  readonly head: readonly Head[];
  readonly paid: ReadonlyMap<string, CattlePaid>;
  readonly costs: readonly Cost[];
  /** Of the days, summed by day. */
  readonly fed: readonly FedSum[];
  readonly reversedFeed: readonly ReversedFeed[];
  readonly fedInPlace: readonly FedInPlace[];
  /** All bills that are known, shared by who ate. */
  readonly late: readonly SharedVariance[];
  /** As they were entered. */
  readonly rates: readonly YardageRateEntry[];
}

/** What a herd cost and brought on some days. */
export interface HerdAccount<Head extends HeadEntry, Cost extends HerdCostOn> {
  readonly steps: readonly HeadStep[];
  readonly changes: readonly PricedChange[];
  readonly hay: readonly FedSum[];
  readonly otherFeed: readonly FedSum[];
  readonly yardage: YardageCost;
  readonly costs: readonly Cost[];
  /** The herd's part of bills, whenever they came, for hay that it ate on these days; each to the cent. */
  readonly late: readonly { readonly variance: SharedVariance; readonly amount: Money }[];
  /** What reversals of these days, and what was posted in place, change of earlier ones; in no figure above. */
  readonly corrections: {
    readonly fed: readonly ReversedFeed[];
    readonly head: Pick<Standing<Head>, 'corrections' | 'inPlace'>;
    readonly rates: readonly RateCorrection[];
    /** Of other costs; below zero where a cost is taken back. */
    readonly costs: Money;
    /** Of cattle; above zero where they had brought money, below where they had cost it. */
    readonly cattle: Money;
  };
}

/** What stands of a herd's books for some days, by the one rule of `core/time/what-stands.ts`. */
export function herdAccount<Head extends HeadEntry, Cost extends HerdCostOn>(
  books: HerdBooks<Head, Cost>,
  { from, until }: { readonly from: CalendarDay; readonly until: CalendarDay },
  currency: Currency,
): HerdAccount<Head, Cost> {
  const { herdId } = books;
  const span = { from, until };
  const rates = ratesOf(books.rates, span);
  const head = whatStands(books.head, span);
  const costs = whatStands(books.costs, span);
  const own = <One extends { herdId: string }>(one: One): boolean => one.herdId === herdId;
  const fed = fedThatStands(
    { fed: books.fed.filter(own), reversed: books.reversedFeed.filter(own), inPlace: books.fedInPlace.filter(own) },
    { ...span, summedFrom: from, sumOf: (on) => on },
  );
  const laidOut = ({ id, head: signed }: Head): Money => {
    const amount = books.paid.get(id)?.amount ?? Money.zero(currency);
    return signed > 0 ? amount : amount.negated();
  };
  const history = headHistory(headEvents(head.standing));
  const steps = history.ok ? history.steps : [];
  const sum = (amounts: readonly Money[]): Money => Money.sum(amounts, currency);
  return {
    steps,
    changes: cattleChanges(head.standing, books.paid, span),
    hay: fed.fed.filter(({ hayKind }) => !isOtherFeed(hayKind)),
    otherFeed: fed.fed.filter(({ hayKind }) => isOtherFeed(hayKind)),
    yardage: yardageCost({ herdId, steps, rates, from, until: addDays(until, 1), currency }),
    costs: costs.standing.filter(({ on, reversesId }) => reversesId === null && on >= from && on <= until),
    late: lateCosts(books.late, herdId, span),
    corrections: {
      fed: fed.corrections,
      head,
      rates: rateCorrections({ herdId, head: books.head, rates: books.rates, ...span, currency }),
      costs: sum([
        ...costs.corrections.map(({ reversed }) => reversed.amount.negated()),
        ...costs.inPlace.map(({ entry }) => entry.amount),
      ]),
      cattle: sum([
        ...head.corrections.map(({ reversed }) => laidOut(reversed).negated()),
        ...head.inPlace.map(({ entry }) => laidOut(entry)),
      ]),
    },
  };
}

/** Head changes of some days that stand, with what was paid for them. */
export function cattleChanges(
  standing: readonly HeadEntry[],
  paid: ReadonlyMap<string, CattlePaid>,
  { from, until }: { readonly from: CalendarDay; readonly until: CalendarDay },
): PricedChange[] {
  return standing
    .filter(({ on, kind }) => on >= from && on <= until && kind !== 'reversal')
    .toSorted((one, other) => compareDays(one.on, other.on))
    .map((one) => {
      const price = paid.get(one.id);
      const head = Math.abs(one.head);
      const totalWeight = one.meanWeight?.times(head) ?? null;
      return {
        id: one.id,
        herdId: one.herdId,
        on: one.on,
        kind: one.kind as CattleChange['kind'],
        head,
        totalWeight,
        payWeight: price?.payWeight ?? totalWeight,
        worth: price?.amount ?? null,
        how: price?.how ?? null,
        party: price?.party ?? null,
      };
    });
}

/** A herd's part of bills for hay that it ate on some days, to the cent; those that come to nothing are left out. */
function lateCosts(
  shared: readonly SharedVariance[],
  herdId: string,
  { from, until }: { readonly from: CalendarDay; readonly until: CalendarDay },
): { variance: SharedVariance; amount: Money }[] {
  return shared.flatMap((variance) => {
    const amount = shareWithin(variance, herdId, (on) => decimal(on >= from && on <= until ? 1 : 0))?.rounded();
    return amount === undefined || amount.isZero() ? [] : [{ variance, amount }];
  });
}

/** An account as the money of a closeout. */
export function closeoutMoney(
  account: HerdAccount<HeadEntry, HerdCostOn>,
  currency: Currency,
): Pick<CloseoutInput, 'steps' | 'changes' | 'hay' | 'otherFeed' | 'yardage' | 'herdCosts' | 'lateCosts'> {
  const { steps, changes, hay, otherFeed, yardage, costs, late } = account;
  const dated = ({ on, cost }: FedSum): DatedMoney => ({ on, amount: cost });
  return {
    steps,
    changes,
    hay: hay.map(dated),
    otherFeed: otherFeed.map(dated),
    yardage: yardage.cost,
    herdCosts: costs.map(({ kind, on, amount }) => ({ kind, on, amount })),
    lateCosts: Money.sum(
      late.map(({ amount }) => amount),
      currency,
    ),
  };
}

/** Feed by kind. */
export function massByKind(fed: readonly Pick<FedSum, 'hayKind' | 'mass'>[]): Map<string, Mass> {
  const sums = new Map<string, Mass>();
  for (const { hayKind, mass } of fed) sums.set(hayKind, (sums.get(hayKind) ?? Mass.zero).plus(mass));
  return sums;
}
