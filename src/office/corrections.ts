import type { z } from 'zod';
import { headCorrection, headInPlace } from '../core/season/head-correction.js';
import type { RateCorrection, YardageRate } from '../core/season/yardage.js';
import type { ReversedFeed } from '../core/stock/fed-hay.js';
import type { SharedVariance } from '../core/stock/who-ate.js';
import { monthOf } from '../core/time/calendar-day.js';
import type { Standing } from '../core/time/what-stands.js';
import { counted } from '../core/units/counted.js';
import type { Mass } from '../core/units/mass.js';
import { type Currency, Money } from '../core/units/money.js';
import { formatMass, formatMoney, type UnitSystem } from '../platform/wire/quantity.schema.js';
import type { HerdHeadChange, HerdRow } from '../records/cattle/herds/herd.read.js';
import type { correctionOut, Flag } from './report.schema.js';

/** A record of an earlier period that was reversed or replaced in this one, and what it had made of earlier costs. */
export interface Correction {
  reversed: 'feeding' | 'hay-cost' | 'head-change' | 'yardage-rate';
  herdId: string;
  herd: string;
  ranchId: string;
  on: string;
  of: string;
  month: string;
  hayKind: string | null;
  fed: Mass | null;
  head: number | null;
  headDays: number | null;
  amount: Money;
}

/** All sorts of corrections of the days before `from`, in the order of the reversals; head at the rates that stand. */
export function correctionsOf(
  {
    fed,
    hayCosts = [],
    head,
    rates,
  }: {
    fed: readonly ReversedFeed[];
    hayCosts?: readonly SharedVariance[];
    head: HeadPutRight;
    rates: readonly RateCorrection[];
  },
  herds: readonly HerdRow[],
  before: { from: string; rates: readonly YardageRate[]; currency: Currency },
): Correction[] {
  const herdOf = new Map(herds.map((herd) => [herd.id, herd]));
  const of = (herdId: string): Pick<Correction, 'herdId' | 'herd' | 'ranchId'> => ({
    herdId,
    herd: herdOf.get(herdId)?.name ?? '',
    ranchId: herdOf.get(herdId)?.ranch_id ?? '',
  });
  const ofFeedings = fed.map((one): Correction => ({
    reversed: 'feeding',
    ...of(one.herdId),
    on: one.reversalOn,
    of: one.reversedOn,
    month: monthOf(one.reversalOn),
    hayKind: one.hayKind,
    fed: one.mass.negated(),
    head: null,
    headDays: null,
    amount: one.cost.negated(),
  }));
  const ofHead = headPutRight(head, before).map(
    ({ herdId, on, of: day, head: change, headDays, yardage }): Correction => ({
      reversed: 'head-change',
      ...of(herdId),
      on,
      of: day,
      month: monthOf(on),
      hayKind: null,
      fed: null,
      head: change,
      headDays,
      amount: yardage,
    }),
  );
  const ofRates = rates.map((one): Correction => ({
    reversed: 'yardage-rate',
    ...of(one.herdId),
    on: one.reversalOn,
    of: one.reversedOn,
    month: monthOf(one.reversalOn),
    hayKind: null,
    fed: null,
    head: null,
    headDays: null,
    amount: one.amount,
  }));
  const known = [...ofFeedings, ...ofCosts(hayCosts, of), ...ofHead, ...ofRates].filter(({ herdId }) =>
    herdOf.has(herdId),
  );
  return known.sort((one, other) => (one.on === other.on ? 0 : one.on < other.on ? -1 : 1));
}

type HeadPutRight = Pick<Standing<HerdHeadChange>, 'corrections' | 'inPlace'>;

/**
 * What head changes that were taken back had made of the days before, together with what was posted of the same kind
 * and day in their place: where only a price or a weight was wrong, that is nothing of the head.
 */
function headPutRight(
  { corrections, inPlace }: HeadPutRight,
  before: Parameters<typeof headCorrection>[1],
): ({ herdId: string; on: string; of: string } & ReturnType<typeof headCorrection>)[] {
  const takenBack = corrections.map((one) => ({
    ...{ herdId: one.reversed.herdId, kind: one.reversed.kind, on: one.reversal.on, of: one.reversed.on },
    ...headCorrection(one, before),
  }));
  const put = inPlace.map((one) => ({
    ...{ herdId: one.entry.herdId, kind: one.entry.kind, on: one.postedOn, of: one.entry.on },
    ...headInPlace(one, before),
  }));
  const together = takenBack.map((one) => {
    const at = put.findIndex((other) =>
      (['herdId', 'kind', 'on', 'of'] as const).every((name) => one[name] === other[name]),
    );
    const [other] = at < 0 ? [] : put.splice(at, 1);
    return other === undefined
      ? one
      : {
          ...one,
          head: one.head + other.head,
          headDays: one.headDays + other.headDays,
          yardage: one.yardage.plus(other.yardage),
        };
  });
  return [...together, ...put].filter(
    ({ head, headDays, yardage }) => head !== 0 || headDays !== 0 || !yardage.isZero(),
  );
}

/** Each herd's part of what was put right of the cost of hay. */
function ofCosts(
  hayCosts: readonly SharedVariance[],
  of: (herdId: string) => Pick<Correction, 'herdId' | 'herd' | 'ranchId'>,
): Correction[] {
  return hayCosts.flatMap(({ on, putsRight, receivedOn, hayKind, shares }) =>
    shares.flatMap(({ herdId, amount }): Correction[] =>
      herdId === null
        ? []
        : [
            {
              reversed: 'hay-cost',
              ...of(herdId),
              on,
              of: putsRight ?? receivedOn,
              month: monthOf(on),
              hayKind,
              fed: null,
              head: null,
              headDays: null,
              amount,
            },
          ],
    ),
  );
}

export function correctionAnswer(one: Correction, units: UnitSystem): z.input<typeof correctionOut> {
  return {
    what: one.reversed,
    herdId: one.herdId,
    herd: one.herd,
    on: one.on,
    of: one.of,
    hayKind: one.hayKind,
    fed: one.fed === null ? null : formatMass(one.fed, units, 'large'),
    head: one.head,
    headDays: one.headDays,
    amount: formatMoney(one.amount),
  };
}

/** Sorts of corrections that are of yardage. */
export const OF_YARDAGE: readonly Correction['reversed'][] = ['head-change', 'yardage-rate'];

/** What those of some sorts come to. */
export function sumOf(
  corrections: readonly Pick<Correction, 'reversed' | 'amount'>[],
  sorts: readonly Correction['reversed'][],
  currency: Currency,
): Money {
  return Money.sum(
    corrections.filter(({ reversed }) => sorts.includes(reversed)).map(({ amount }) => amount),
    currency,
  );
}

/** How many there are, and what they come to. */
export function correctionFlags(corrections: readonly Correction[]): Flag[] {
  const [first] = corrections;
  if (first === undefined) return [];
  const sum = Money.sum(
    corrections.map(({ amount }) => amount),
    first.amount.currency,
  );
  return [
    {
      code: 'corrections-of-earlier-days',
      message:
        `${counted(corrections.length, 'record')} of earlier days ${corrections.length === 1 ? 'was' : 'were'} ` +
        `reversed in these: ${inWords(sum)}, told apart and not in the figures.`,
    },
  ];
}

/** An amount to the cent with its currency. */
export function inWords(money: Money): string {
  return `${money.amount.toFixed(2)} ${money.currency}`;
}
