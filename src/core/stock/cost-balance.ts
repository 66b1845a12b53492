import { type Decimal, decimal, shareOut, ZERO } from '../units/decimal.js';
import { KILOGRAM_PLACES, Mass } from '../units/mass.js';
import { Money, type Currency } from '../units/money.js';

const ONE: Decimal = decimal(1);

/**
 * A mass of hay and the money in it, plus how much of each bill's cost still lives here.
 *
 * `origins` holds, per source of cost (a receipt, a late bill, a transfer), a raw share; raw share times `scale` is the
 * share of that source's cost that has not left yet. Scaling one number on each draw keeps a draw cheap however many
 * receipts the pool has seen. The map is replaced, never changed, so that a draw may keep the one it saw.
 */
export interface CostBalance {
  readonly key: string;
  mass: Mass;
  value: Money;
  scale: Decimal;
  origins: ReadonlyMap<string, Decimal>;
}

/** What one entry took out of (or put into) one balance; enough to undo it exactly. */
export interface CostPiece {
  readonly balance: CostBalance;
  readonly mass: Mass;
  readonly value: Money;
  readonly origins: ReadonlyMap<string, Decimal>;
  /** Raw share times this is the share that moved. */
  readonly originFactor: Decimal;
}

const NOTHING: ReadonlyMap<string, Decimal> = new Map();

export function emptyBalance(key: string, currency: Currency): CostBalance {
  return { key, mass: Mass.zero, value: Money.zero(currency), scale: ONE, origins: NOTHING };
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
  const origins = new Map(balance.origins);
  origins.set(source, (origins.get(source) ?? ZERO).plus(share.div(balance.scale)));
  balance.origins = origins;
}

export function forgetOrigin(balance: CostBalance, source: string): void {
  if (!balance.origins.has(source)) return;
  const origins = new Map(balance.origins);
  origins.delete(source);
  balance.origins = origins;
}

/** Brings the origins of a piece back, `kept` of them (1 = all), with their raw shares put on this balance's scale. */
export function restoreOrigins(balance: CostBalance, piece: CostPiece, kept: Decimal = ONE): void {
  const origins = new Map(balance.origins);
  for (const [source, raw] of piece.origins) {
    const share = raw.times(piece.originFactor).times(kept);
    origins.set(source, (origins.get(source) ?? ZERO).plus(share.div(balance.scale)));
  }
  balance.origins = origins;
}

/** Takes the origins of a piece away again, as far as they are still here. */
export function withdrawOrigins(balance: CostBalance, piece: CostPiece, kept: Decimal): void {
  const origins = new Map(balance.origins);
  for (const [source, raw] of piece.origins) {
    const left = (origins.get(source) ?? ZERO).minus(raw.times(piece.originFactor).times(kept).div(balance.scale));
    if (left.gt('1e-40')) origins.set(source, left);
    else origins.delete(source);
  }
  balance.origins = origins;
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
    return { balance, mass, value: Money.zero(balance.value.currency), origins: NOTHING, originFactor: ZERO };
  const part = rest.isZero() ? ONE : mass.ratioTo(balance.mass);
  const value = balance.value.times(part).rounded();
  const piece: CostPiece = { balance, mass, value, origins: balance.origins, originFactor: balance.scale.times(part) };
  balance.mass = rest;
  balance.value = balance.value.minus(value);
  if (rest.isZero()) {
    balance.scale = ONE;
    balance.origins = NOTHING;
  } else {
    balance.scale = balance.scale.times(ONE.minus(part));
  }
  return piece;
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
