import { type Decimal, decimal, shareOut, ZERO } from '../units/decimal.js';
import { KILOGRAM_PLACES, Mass } from '../units/mass.js';
import { Money, type Currency } from '../units/money.js';
import { Origins, type OriginsThen } from './cost-origins.js';

const ONE: Decimal = decimal(1);

/**
 * A mass of hay and the money in it, plus how much of each bill's cost still lives here.
 *
 * `origins` holds, per source of cost (a receipt, a late bill, a transfer), a raw share; raw share times `scale` is the
 * share of that source's cost that has not left yet. Scaling one number on each draw keeps a draw cheap however many
 * receipts the pool has seen.
 */
export interface CostBalance {
  readonly key: string;
  /** Place in the fixed order of the balances of its kind. */
  readonly order: number;
  readonly holders: SourceHolders;
  mass: Mass;
  value: Money;
  scale: Decimal;
  origins: Origins;
}

/** What one entry took out of (or put into) one balance; enough to undo it exactly. */
export interface CostPiece {
  readonly balance: CostBalance;
  readonly mass: Mass;
  readonly value: Money;
  readonly origins: OriginsThen;
  /** Raw share times this is the share that moved. */
  readonly originFactor: Decimal;
}

/** Which balances a source's cost ever came into, so that a late bill need not look at all of them. */
export class SourceHolders {
  readonly #balances = new Map<string, CostBalance[]>();

  note(source: string, balance: CostBalance): void {
    const known = this.#balances.get(source);
    if (known === undefined) this.#balances.set(source, [balance]);
    else if (!known.includes(balance)) known.push(balance);
  }

  /** Those that still hold hay, in their fixed order. */
  of(source: string): CostBalance[] {
    return (this.#balances.get(source) ?? [])
      .filter((balance) => balance.mass.isPositive())
      .sort((one, other) => one.order - other.order);
  }
}

export function emptyBalance(key: string, order: number, holders: SourceHolders, currency: Currency): CostBalance {
  return {
    key,
    order,
    holders,
    mass: Mass.zero,
    value: Money.zero(currency),
    scale: ONE,
    origins: new Origins(),
  };
}

/** Share of the source's cost that is still in this balance, 0 to 1. */
export function shareStillHere(balance: CostBalance, source: string): Decimal {
  return (balance.origins.get(source) ?? ZERO).times(balance.scale);
}

export function putIn(balance: CostBalance, mass: Mass, value: Money): void {
  balance.mass = balance.mass.plus(mass);
  balance.value = balance.value.plus(value);
}

/** Notes that `share` of a source's cost came into the balance. */
export function noteOrigin(balance: CostBalance, source: string, share: Decimal): void {
  if (share.lte(0)) return;
  balance.origins.set(source, (balance.origins.get(source) ?? ZERO).plus(share.div(balance.scale)));
  balance.holders.note(source, balance);
}

export function forgetOrigin(balance: CostBalance, source: string): void {
  balance.origins.delete(source);
}

/**
 * Brings the origins of a piece back. In the balance that it came from, raising the scale brings back every share that
 * stands as the piece saw it; only those changed since are set one by one.
 */
export function restoreOrigins(balance: CostBalance, piece: CostPiece): void {
  const { origins, version } = piece.origins;
  if (origins !== balance.origins) {
    for (const [source, raw] of origins.at(version)) noteOrigin(balance, source, raw.times(piece.originFactor));
    return;
  }
  const scale = balance.scale.plus(piece.originFactor);
  for (const [source, then] of origins.changedSince(version)) {
    const now = (origins.get(source) ?? ZERO).times(balance.scale);
    const raw = now.plus((then ?? ZERO).times(piece.originFactor)).div(scale);
    if (raw.gt(0)) origins.set(source, raw);
  }
  balance.scale = scale;
}

/** Takes the origins of a piece away again, as far as they are still here. */
export function withdrawOrigins(balance: CostBalance, piece: CostPiece, kept: Decimal): void {
  for (const [source, raw] of piece.origins.origins.at(piece.origins.version)) {
    const here = balance.origins.get(source) ?? ZERO;
    const left = here.minus(raw.times(piece.originFactor).times(kept).div(balance.scale));
    if (left.gt('1e-40')) balance.origins.set(source, left);
    else balance.origins.delete(source);
  }
}

/**
 * Takes a mass out at the balance's unit cost. The money is rounded to the cent, half to even; the draw that takes
 * the last of the hay takes all the money that is left, so that no cent is left without hay.
 * @throws RangeError if there is less than `mass`.
 */
export function takeOut(balance: CostBalance, mass: Mass): CostPiece {
  const rest = balance.mass.minus(mass);
  if (rest.isNegative())
    throw new RangeError(`Cannot take ${mass.toString()} out of ${balance.mass.toString()} (${balance.key})`);
  if (mass.isZero())
    return {
      balance,
      mass,
      value: Money.zero(balance.value.currency),
      origins: balance.origins.then(),
      originFactor: ZERO,
    };
  const part = rest.isZero() ? ONE : mass.ratioTo(balance.mass);
  const value = rest.isZero() ? balance.value : worthOf(balance, mass);
  const origins = balance.origins.then();
  const piece: CostPiece = { balance, mass, value, origins, originFactor: balance.scale.times(part) };
  balance.mass = rest;
  balance.value = balance.value.minus(value);
  if (rest.isZero()) {
    balance.scale = ONE;
    balance.origins = new Origins();
  } else {
    balance.scale = balance.scale.times(ONE.minus(part));
  }
  return piece;
}

/** What a mass of a balance's hay is worth at its unit cost, to the cent, half to even. */
export function worthOf(balance: CostBalance, mass: Mass): Money {
  return balance.value.portion(mass.kilograms, balance.mass.kilograms).rounded();
}

/** Puts a piece back where it came from: the same mass, the same money, the same origins. */
export function putBack(piece: CostPiece): void {
  putIn(piece.balance, piece.mass, piece.value);
  restoreOrigins(piece.balance, piece);
}

/** Shares a mass out over balances in proportion to their mass, exactly, at the precision of a mass at rest. */
export function shareMass(mass: Mass, balances: readonly CostBalance[]): Mass[] {
  return shareOut(
    mass.kilograms,
    balances.map((balance) => balance.mass.kilograms),
    KILOGRAM_PLACES,
  ).map((kilograms) => Mass.kilograms(kilograms));
}
