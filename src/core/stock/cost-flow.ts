import { decimal } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { Money, type Currency } from '../units/money.js';
import {
  emptyBalance,
  forgetOrigin,
  noteOrigin,
  putIn,
  restoreOrigins,
  shareMass,
  shareStillHere,
  takeOut,
  withdrawOrigins,
  type CostBalance,
  type CostPiece,
} from './cost-balance.js';
import type { CostingMethod } from './costing-entries.js';

/** Shares are carried at sixty digits; nearer to one than this is one. */
const ALMOST_ALL = decimal(1).minus('1e-40');

/** Which hay is meant: costing looks at the lot or at the kind, as the method asks. */
export interface HayAddress {
  readonly lotId: string;
  readonly hayKind: string;
}

/** A change of mass without money, in one balance. */
export interface MassPiece {
  readonly balance: CostBalance;
  readonly mass: Mass;
}

/** Hay and money that came in by one entry, kept so that it can be undone. */
export interface Inflow {
  readonly source: string;
  readonly address: HayAddress;
  readonly balance: CostBalance;
  readonly mass: Mass;
  readonly value: Money;
}

export interface LotMove {
  readonly source: string;
  readonly piece: CostPiece;
  readonly into: CostBalance;
}

/** How cost moves under one method. Everything here trusts that the lots themselves hold the mass that is drawn. */
export interface CostFlow {
  receive(source: string, address: HayAddress, mass: Mass, value: Money): Inflow;
  draw(address: HayAddress, mass: Mass): CostPiece[];
  /** Mass that the method has for this address; money can stay only where some of it is left. */
  massAt(address: HayAddress): Mass;
  /** What a found bale is worth: the present unit cost times its mass, to the cent; zero where there is no hay. */
  presentWorth(address: HayAddress, mass: Mass): Money;
  /** Takes mass out (or puts it in) without money: the unit cost of the rest rises (or falls). */
  stretch(address: HayAddress, change: Mass, source: string): MassPiece[];
  undoStretch(address: HayAddress, pieces: readonly MassPiece[]): void;
  /** Takes an inflow's hay out again with what is still here of its cost; returns the money taken out. */
  undoInflow(inflow: Inflow): Money;
  /** Cost travels with the hay from lot to lot; nothing where the method does not look at lots. */
  move(source: string, from: HayAddress, to: HayAddress, mass: Mass): LotMove | undefined;
  /** Hay goes back to its first lot with the cost it left with; returns the money taken from the second lot. */
  undoMove(move: LotMove): Money;
  /** Every balance of a hay kind in a fixed order. */
  balancesOf(hayKind: string): readonly CostBalance[];
  hayKinds(): readonly string[];
  valueOfKind(hayKind: string): Money;
  /** Money of each lot given the lots' masses: its own, or its share of the kind's by mass, to the cent. */
  valueOfLots(hayKind: string, lots: readonly { readonly lotId: string; readonly mass: Mass }[]): Money[];
}

export function costFlow(method: CostingMethod, currency: Currency): CostFlow {
  switch (method) {
    case 'specific-lot':
      return new BlendedFlow(currency, 'lotId');
    case 'moving-average':
      return new BlendedFlow(currency, 'hayKind');
    case 'fifo':
      return new LayeredFlow(currency);
  }
}

/** One balance per lot, or per hay kind: whatever comes in is blended with what is there. */
class BlendedFlow implements CostFlow {
  readonly #balances = new Map<string, Map<string, CostBalance>>();

  constructor(
    private readonly currency: Currency,
    private readonly by: keyof HayAddress,
  ) {}

  receive(source: string, address: HayAddress, mass: Mass, value: Money): Inflow {
    const balance = this.#at(address);
    putIn(balance, mass, value);
    noteOrigin(balance, source, decimal(1));
    return { source, address, balance, mass, value };
  }

  draw(address: HayAddress, mass: Mass): CostPiece[] {
    return [takeOut(this.#at(address), mass)];
  }

  massAt(address: HayAddress): Mass {
    return this.#at(address).mass;
  }

  presentWorth(address: HayAddress, mass: Mass): Money {
    return worthAt(this.#at(address), mass);
  }

  stretch(address: HayAddress, change: Mass): MassPiece[] {
    const balance = this.#at(address);
    balance.mass = balance.mass.plus(change);
    return [{ balance, mass: change }];
  }

  undoStretch(_address: HayAddress, pieces: readonly MassPiece[]): void {
    for (const { balance, mass } of pieces) balance.mass = balance.mass.minus(mass);
  }

  undoInflow(inflow: Inflow): Money {
    return takeBack(inflow.balance, inflow.source, inflow.mass, inflow.value);
  }

  move(source: string, from: HayAddress, to: HayAddress, mass: Mass): LotMove | undefined {
    if (from[this.by] === to[this.by]) return undefined;
    const piece = takeOut(this.#at(from), mass);
    const into = this.#at(to);
    putIn(into, piece.mass, piece.value);
    restoreOrigins(into, piece);
    noteOrigin(into, source, decimal(1));
    return { source, piece, into };
  }

  undoMove({ source, piece, into }: LotMove): Money {
    const taken = takeBack(into, source, piece.mass, piece.value, piece);
    putIn(piece.balance, piece.mass, piece.value);
    restoreOrigins(piece.balance, piece);
    return taken;
  }

  balancesOf(hayKind: string): readonly CostBalance[] {
    return [...(this.#balances.get(hayKind)?.values() ?? [])];
  }

  hayKinds(): readonly string[] {
    return [...this.#balances.keys()];
  }

  valueOfKind(hayKind: string): Money {
    return Money.sum(
      this.balancesOf(hayKind).map((balance) => balance.value),
      this.currency,
    );
  }

  valueOfLots(hayKind: string, lots: readonly { readonly lotId: string; readonly mass: Mass }[]): Money[] {
    if (this.by === 'lotId')
      return lots.map(({ lotId }) => this.#balances.get(hayKind)?.get(lotId)?.value ?? Money.zero(this.currency));
    return shareByMass(
      this.valueOfKind(hayKind),
      lots.map(({ mass }) => mass),
    );
  }

  #at(address: HayAddress): CostBalance {
    const ofKind = getOrMake(this.#balances, address.hayKind, () => new Map<string, CostBalance>());
    return getOrMake(ofKind, address[this.by], () => emptyBalance(address[this.by], this.currency));
  }
}

/** Layers per hay kind in the order of their receipts; draws empty the oldest first. */
class LayeredFlow implements CostFlow {
  readonly #layers = new Map<string, CostBalance[]>();

  constructor(private readonly currency: Currency) {}

  receive(source: string, address: HayAddress, mass: Mass, value: Money): Inflow {
    const balance = emptyBalance(source, this.currency);
    putIn(balance, mass, value);
    noteOrigin(balance, source, decimal(1));
    this.#of(address.hayKind).push(balance);
    return { source, address, balance, mass, value };
  }

  draw(address: HayAddress, mass: Mass): CostPiece[] {
    const pieces: CostPiece[] = [];
    let wanted = mass;
    for (const layer of this.#of(address.hayKind)) {
      if (!wanted.isPositive()) break;
      if (!layer.mass.isPositive()) continue;
      const part = layer.mass.compare(wanted) < 0 ? layer.mass : wanted;
      pieces.push(takeOut(layer, part));
      wanted = wanted.minus(part);
    }
    if (wanted.isPositive()) throw new RangeError(`The layers of ${address.hayKind} lack ${wanted.toString()}`);
    return pieces;
  }

  massAt(address: HayAddress): Mass {
    return Mass.sum(this.#of(address.hayKind).map((layer) => layer.mass));
  }

  presentWorth(address: HayAddress, mass: Mass): Money {
    const newest = this.#live(address.hayKind).at(-1);
    return newest ? worthAt(newest, mass) : Money.zero(this.currency);
  }

  stretch(address: HayAddress, change: Mass, source: string): MassPiece[] {
    const live = this.#live(address.hayKind);
    if (live.length === 0) {
      const layer = emptyBalance(source, this.currency);
      layer.mass = change;
      this.#of(address.hayKind).push(layer);
      return [{ balance: layer, mass: change }];
    }
    const sign = change.isNegative() ? -1 : 1;
    const shares = shareMass(change.times(sign), live);
    const pieces = live.map((balance, index) => ({ balance, mass: (shares[index] ?? Mass.zero).times(sign) }));
    for (const { balance, mass } of pieces) balance.mass = balance.mass.plus(mass);
    this.#carryStrandedMoney(address.hayKind);
    return pieces;
  }

  undoStretch(address: HayAddress, pieces: readonly MassPiece[]): void {
    const fits = pieces.every(({ balance, mass }) => balance.mass.minus(mass).isPositive() || mass.isNegative());
    if (fits) {
      for (const { balance, mass } of pieces) balance.mass = balance.mass.minus(mass);
    } else {
      // The layers that were stretched have been fed since: the mass comes out of all that are left, in proportion.
      const live = this.#live(address.hayKind);
      const shares = shareMass(Mass.sum(pieces.map(({ mass }) => mass)), live);
      live.forEach((balance, index) => {
        balance.mass = balance.mass.minus(shares[index] ?? Mass.zero);
      });
    }
    this.#carryStrandedMoney(address.hayKind);
  }

  undoInflow(inflow: Inflow): Money {
    const own = inflow.balance;
    const fromOwn = own.mass.compare(inflow.mass) < 0 ? own.mass : inflow.mass;
    const first = fromOwn.isPositive() ? takeOut(own, fromOwn).value : Money.zero(this.currency);
    const rest = inflow.mass.minus(fromOwn);
    const others = rest.isPositive() ? this.draw(inflow.address, rest).map((piece) => piece.value) : [];
    return Money.sum([first, ...others], this.currency);
  }

  move(): undefined {
    return undefined;
  }

  undoMove(): Money {
    throw new RangeError('Under FIFO within a kind no cost moves between lots');
  }

  balancesOf(hayKind: string): readonly CostBalance[] {
    return this.#of(hayKind);
  }

  hayKinds(): readonly string[] {
    return [...this.#layers.keys()];
  }

  valueOfKind(hayKind: string): Money {
    return Money.sum(
      this.#of(hayKind).map((layer) => layer.value),
      this.currency,
    );
  }

  valueOfLots(hayKind: string, lots: readonly { readonly lotId: string; readonly mass: Mass }[]): Money[] {
    return shareByMass(
      this.valueOfKind(hayKind),
      lots.map(({ mass }) => mass),
    );
  }

  #of(hayKind: string): CostBalance[] {
    return getOrMake(this.#layers, hayKind, () => []);
  }

  #live(hayKind: string): CostBalance[] {
    return this.#of(hayKind).filter((layer) => layer.mass.isPositive());
  }

  /** A layer that rounding stretched down to nothing hands its cents to the oldest layer that still has hay. */
  #carryStrandedMoney(hayKind: string): void {
    const heir = this.#live(hayKind)[0];
    for (const layer of this.#of(hayKind)) {
      if (!heir || layer.mass.isPositive() || layer.value.isZero()) continue;
      putIn(heir, Mass.zero, layer.value);
      restoreOrigins(heir, {
        balance: layer,
        mass: Mass.zero,
        value: layer.value,
        origins: layer.origins,
        originFactor: layer.scale,
      });
      layer.value = Money.zero(this.currency);
      layer.origins = new Map();
      layer.scale = decimal(1);
    }
  }
}

/**
 * Takes back what a source brought. As much of its money as has not left since goes with the same part of its mass;
 * the mass that later draws have already taken is made up from the rest of the balance at the rest's unit cost. What
 * stays is what would be there if the source had never come in.
 */
function takeBack(balance: CostBalance, source: string, mass: Mass, value: Money, piece?: CostPiece): Money {
  const rest = balance.mass.minus(mass);
  if (rest.isNegative())
    throw new RangeError(`Cannot take ${mass.toString()} back out of ${balance.mass.toString()} (${balance.key})`);
  if (rest.isZero()) return takeOut(balance, mass).value;
  const share = shareStillHere(balance, source);
  const still = share.gt(ALMOST_ALL) ? decimal(1) : share;
  const own = value.times(still).rounded();
  const first = own.compare(balance.value) > 0 ? balance.value : own;
  const lacking = mass.minus(mass.times(still));
  const part = lacking.isZero() ? decimal(0) : lacking.ratioTo(balance.mass.minus(mass.times(still)));
  const second = balance.value.minus(first).times(part).rounded();
  if (piece) withdrawOrigins(balance, piece, still);
  forgetOrigin(balance, source);
  balance.scale = balance.scale.times(decimal(1).minus(part));
  balance.mass = rest;
  balance.value = balance.value.minus(first).minus(second);
  return first.plus(second);
}

function worthAt(balance: CostBalance, mass: Mass): Money {
  if (!balance.mass.isPositive()) return Money.zero(balance.value.currency);
  return balance.value.times(mass.ratioTo(balance.mass)).rounded();
}

function shareByMass(value: Money, masses: readonly Mass[]): Money[] {
  if (masses.every((mass) => !mass.isPositive())) return masses.map(() => Money.zero(value.currency));
  return value.sharedBy(masses.map((mass) => mass.kilograms));
}

function getOrMake<Key, Value>(map: Map<Key, Value>, key: Key, make: () => Value): Value {
  const known = map.get(key);
  if (known !== undefined) return known;
  const made = make();
  map.set(key, made);
  return made;
}
