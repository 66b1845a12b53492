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
  readonly closingHead: number;
  readonly missing: readonly Missing[];
}

export function cattleMoney(input: CloseoutInput, head: HeadFigures): CattleMoney {
  const { changes, currency } = input;
  const sum = (of: (one: CattleChange) => boolean): Money => sumOf(changes.filter(of), currency);
  const isIn = ({ kind }: CattleChange): boolean => kind === 'in' || kind === 'move-in';
  const isOut = ({ kind }: CattleChange): boolean => kind === 'out' || kind === 'sale' || kind === 'move-out';
  const valued = ({ how }: CattleChange): boolean => how === 'valued';
  const opening = head.opening === 0 ? Money.zero(currency) : input.opening.value;
  const closing = head.closing === 0 ? Money.zero(currency) : input.closing.value;
  const [bought, valuedIn] = [sum((one) => isIn(one) && !valued(one)), sum((one) => isIn(one) && valued(one))];
  const [sold, valuedOut] = [sum((one) => isOut(one) && !valued(one)), sum((one) => isOut(one) && valued(one))];
  const broughtByDead = sum(({ kind }) => kind === 'death');
  const unpriced = (of: (one: CattleChange) => boolean): boolean =>
    changes.some((one) => of(one) && one.worth === null);
  const inKnown = opening !== null && !unpriced(isIn);
  const outKnown = closing !== null && !unpriced(isOut);
  // A valued exit, and what a dead animal brought, lower what the others have to bring.
  const otherKnown = !unpriced(({ kind }) => kind === 'move-out');
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
