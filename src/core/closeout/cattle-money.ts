import { type Currency, Money } from '../units/money.js';
import type { CattleChange, CloseoutInput, HeadFigures } from './closeout.js';

/** What a figure lacks: the price or the weight of a head change, or of the cattle at the beginning or the end. */
export interface Missing {
  readonly what: 'price' | 'weight';
  readonly of: 'head-change' | 'opening' | 'closing';
  readonly changeId: string | null;
}

/** Cattle in and out at money. A sum is null where an amount of it is missing; a death without money brought none. */
export interface CattleMoney {
  readonly opening: Money | null;
  readonly bought: Money;
  /** Moved in, or raised, at a stated value. */
  readonly valuedIn: Money;
  readonly sold: Money;
  readonly valuedOut: Money;
  readonly broughtByDead: Money;
  readonly closing: Money | null;
  readonly moneyIn: Money | null;
  readonly moneyOut: Money | null;
  /** Of the money out, what is neither of those sold nor of those that stand at the end. */
  readonly otherReceived: Money | null;
  /** For cattle that came, less what those that went brought; without those that stand at either end. */
  readonly netLaidOut: Money;
  readonly closingHead: number;
  readonly missing: readonly Missing[];
}

/** The lines that cattle which come or go are told on. */
export type CattleLine = 'cattle-bought' | 'cattle-valued-in' | 'cattle-sold' | 'cattle-valued-out' | 'dead-cattle';

/** The line of a change: valued where a value was stated instead of money. */
export function cattleLineOf({ kind, how }: Pick<CattleChange, 'kind' | 'how'>): CattleLine {
  if (kind === 'death') return 'dead-cattle';
  const cameIn = kind === 'in' || kind === 'move-in';
  if (how === 'valued') return cameIn ? 'cattle-valued-in' : 'cattle-valued-out';
  return cameIn ? 'cattle-bought' : 'cattle-sold';
}

export function cattleMoney(input: CloseoutInput, head: HeadFigures): CattleMoney {
  const { changes, currency } = input;
  const of = (...lines: CattleLine[]): CattleChange[] => changes.filter((one) => lines.includes(cattleLineOf(one)));
  const sum = (line: CattleLine): Money => sumOf(of(line), currency);
  const allPriced = (some: readonly CattleChange[]): boolean => some.every(({ worth }) => worth !== null);
  const opening = head.opening === 0 ? Money.zero(currency) : input.opening.value;
  const closing = head.closing === 0 ? Money.zero(currency) : input.closing.value;
  const [bought, valuedIn] = [sum('cattle-bought'), sum('cattle-valued-in')];
  const [sold, valuedOut] = [sum('cattle-sold'), sum('cattle-valued-out')];
  const broughtByDead = sum('dead-cattle');
  const inKnown = opening !== null && allPriced(of('cattle-bought', 'cattle-valued-in'));
  const outKnown = closing !== null && allPriced(of('cattle-sold', 'cattle-valued-out'));
  // A valued exit, and what a dead animal brought, lower what the others have to bring.
  const otherKnown = allPriced(changes.filter(({ kind }) => kind === 'move-out'));
  return {
    opening,
    bought,
    valuedIn,
    sold,
    valuedOut,
    broughtByDead,
    closing,
    moneyIn: inKnown ? opening.plus(bought).plus(valuedIn) : null,
    moneyOut: outKnown ? sold.plus(valuedOut).plus(broughtByDead).plus(closing) : null,
    otherReceived: otherKnown ? valuedOut.plus(broughtByDead) : null,
    netLaidOut: bought.plus(valuedIn).minus(sold).minus(valuedOut).minus(broughtByDead),
    closingHead: head.closing,
    missing: missingOf(input, head),
  };
}

function sumOf(changes: readonly CattleChange[], currency: Currency): Money {
  return Money.sum(
    changes.flatMap(({ worth }) => worth ?? []),
    currency,
  );
}

function missingOf({ changes, opening, closing }: CloseoutInput, head: HeadFigures): Missing[] {
  const standing = [
    { of: 'opening' as const, count: head.opening, at: opening },
    { of: 'closing' as const, count: head.closing, at: closing },
  ].filter(({ count }) => count > 0);
  return [
    ...standing.flatMap(({ of, at }): Missing[] => [
      ...(at.value === null ? [{ what: 'price' as const, of, changeId: null }] : []),
      ...(at.totalWeight === null ? [{ what: 'weight' as const, of, changeId: null }] : []),
    ]),
    ...changes.flatMap(({ id, kind, worth, totalWeight }): Missing[] => [
      ...(worth === null && kind !== 'death'
        ? [{ what: 'price' as const, of: 'head-change' as const, changeId: id }]
        : []),
      ...(totalWeight === null ? [{ what: 'weight' as const, of: 'head-change' as const, changeId: id }] : []),
    ]),
  ];
}
