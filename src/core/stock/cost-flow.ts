import { decimal } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { Money, type Currency } from '../units/money.js';
import {
  emptyBalance,
  forgetOrigin,
  noteOrigin,
  putBack,
  putIn,
  restoreOrigins,
  shareMass,
  shareStillHere,
  SourceHolders,
  takeOut,
  withdrawOrigins,
  worthOf,
  type CostBalance,
  type CostPiece,
} from './cost-balance.js';
import { Origins } from './cost-origins.js';
import type { CostingMethod } from './costing-entries.js';
import { balanceFromState, type BalanceState, balanceState } from './costing-state.js';

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
  /** Puts drawn hay back where it came from: the same mass, the same money, the same origins. */
  undoDraw(address: HayAddress, pieces: readonly CostPiece[]): void;
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
  /** The balances of a hay kind that hold hay, in a fixed order. */
  balancesOf(hayKind: string): readonly CostBalance[];
  /** Those of them that a source's cost came into. */
  holdersOf(source: string): readonly CostBalance[];
  hayKinds(): readonly string[];
  valueOfKind(hayKind: string): Money;
  /** Money of each lot given the lots' masses: its own, or its share of the kind's by mass, to the cent. */
  valueOfLots(hayKind: string, lots: readonly { readonly lotId: string; readonly mass: Mass }[]): Money[];
  /** All that later entries need of a kind's balances. */
  stateOf(hayKind: string): BalanceState[];
  /** Takes up where a state was left. */
  resume(hayKind: string, balances: readonly BalanceState[]): void;
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
  readonly #holders = new SourceHolders();

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

  undoDraw(_address: HayAddress, pieces: readonly CostPiece[]): void {
    for (const piece of pieces) putBack(piece);
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
    return this.#all(hayKind).filter((balance) => balance.mass.isPositive());
  }

  holdersOf(source: string): readonly CostBalance[] {
    return this.#holders.of(source);
  }

  hayKinds(): readonly string[] {
    return [...this.#balances.keys()];
  }

  valueOfKind(hayKind: string): Money {
    return Money.sum(
      this.#all(hayKind).map((balance) => balance.value),
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

  stateOf(hayKind: string): BalanceState[] {
    return this.#all(hayKind).map(balanceState);
  }

  resume(hayKind: string, balances: readonly BalanceState[]): void {
    const ofKind = getOrMake(this.#balances, hayKind, () => new Map<string, CostBalance>());
    for (const state of balances)
      ofKind.set(state.key, balanceFromState(state, ofKind.size, this.#holders, this.currency));
  }

  #all(hayKind: string): CostBalance[] {
    return [...(this.#balances.get(hayKind)?.values() ?? [])];
  }

  #at(address: HayAddress): CostBalance {
    const ofKind = getOrMake(this.#balances, address.hayKind, () => new Map<string, CostBalance>());
    const key = address[this.by];
    return getOrMake(ofKind, key, () => emptyBalance(key, ofKind.size, this.#holders, this.currency));
  }
}

interface Layers {
  /** Layers that hold hay, the oldest first. */
  readonly live: CostBalance[];
  /** Layers that rounding stretched down to nothing and whose cents wait for an heir. */
  readonly stranded: Set<CostBalance>;
  /** How many there ever were. */
  made: number;
}

/** Layers per hay kind in the order of their receipts; draws empty the oldest first. */
class LayeredFlow implements CostFlow {
  readonly #layers = new Map<string, Layers>();
  readonly #holders = new SourceHolders();

  constructor(private readonly currency: Currency) {}

  receive(source: string, address: HayAddress, mass: Mass, value: Money): Inflow {
    const balance = this.#newLayer(source, address.hayKind, mass);
    putIn(balance, Mass.zero, value);
    noteOrigin(balance, source, decimal(1));
    return { source, address, balance, mass, value };
  }

  draw(address: HayAddress, mass: Mass): CostPiece[] {
    const pieces: CostPiece[] = [];
    const { live } = this.#of(address.hayKind);
    let wanted = mass;
    let emptied = 0;
    for (const layer of live) {
      if (!wanted.isPositive()) break;
      const part = layer.mass.compare(wanted) < 0 ? layer.mass : wanted;
      pieces.push(takeOut(layer, part));
      wanted = wanted.minus(part);
      if (!layer.mass.isPositive()) emptied += 1;
    }
    live.splice(0, emptied);
    if (wanted.isPositive()) throw new RangeError(`The layers of ${address.hayKind} lack ${wanted.toString()}`);
    return pieces;
  }

  undoDraw(address: HayAddress, pieces: readonly CostPiece[]): void {
    for (const piece of pieces) {
      putBack(piece);
      this.#sortIn(address.hayKind, piece.balance);
    }
  }

  massAt(address: HayAddress): Mass {
    return Mass.sum(this.balancesOf(address.hayKind).map((layer) => layer.mass));
  }

  presentWorth(address: HayAddress, mass: Mass): Money {
    const newest = this.balancesOf(address.hayKind).at(-1);
    return newest ? worthAt(newest, mass) : Money.zero(this.currency);
  }

  stretch(address: HayAddress, change: Mass, source: string): MassPiece[] {
    const live = this.balancesOf(address.hayKind);
    if (live.length === 0) return [{ balance: this.#newLayer(source, address.hayKind, change), mass: change }];
    const sign = change.isNegative() ? -1 : 1;
    const shares = shareMass(change.times(sign), live);
    const pieces = live.map((balance, index) => ({ balance, mass: (shares[index] ?? Mass.zero).times(sign) }));
    this.#changeMass(address.hayKind, pieces);
    return pieces;
  }

  undoStretch(address: HayAddress, pieces: readonly MassPiece[]): void {
    const fits = pieces.every(({ balance, mass }) => balance.mass.minus(mass).isPositive() || mass.isNegative());
    // Where the layers that were stretched have been fed since, the mass comes out of all that are left, in proportion.
    const live = this.balancesOf(address.hayKind);
    const shares = fits ? [] : shareMass(Mass.sum(pieces.map(({ mass }) => mass)), live);
    const undone = fits ? pieces : live.map((balance, index) => ({ balance, mass: shares[index] ?? Mass.zero }));
    this.#changeMass(
      address.hayKind,
      undone.map(({ balance, mass }) => ({ balance, mass: mass.negated() })),
    );
  }

  undoInflow(inflow: Inflow): Money {
    const own = inflow.balance;
    const fromOwn = own.mass.compare(inflow.mass) < 0 ? own.mass : inflow.mass;
    const first = fromOwn.isPositive() ? takeOut(own, fromOwn).value : Money.zero(this.currency);
    this.#sortIn(inflow.address.hayKind, own);
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
    return [...(this.#layers.get(hayKind)?.live ?? [])];
  }

  holdersOf(source: string): readonly CostBalance[] {
    return this.#holders.of(source);
  }

  hayKinds(): readonly string[] {
    return [...this.#layers.keys()];
  }

  valueOfKind(hayKind: string): Money {
    const { live, stranded } = this.#of(hayKind);
    return Money.sum(
      [...live, ...stranded].map((layer) => layer.value),
      this.currency,
    );
  }

  valueOfLots(hayKind: string, lots: readonly { readonly lotId: string; readonly mass: Mass }[]): Money[] {
    return shareByMass(
      this.valueOfKind(hayKind),
      lots.map(({ mass }) => mass),
    );
  }

  stateOf(hayKind: string): BalanceState[] {
    const { live, stranded } = this.#of(hayKind);
    return [...live, ...stranded].sort((one, other) => one.order - other.order).map(balanceState);
  }

  resume(hayKind: string, balances: readonly BalanceState[]): void {
    const layers = this.#of(hayKind);
    for (const state of balances) {
      const layer = balanceFromState(state, layers.made, this.#holders, this.currency);
      layers.made += 1;
      if (layer.mass.isPositive()) layers.live.push(layer);
      else layers.stranded.add(layer);
    }
  }

  #of(hayKind: string): Layers {
    return getOrMake(this.#layers, hayKind, () => ({ live: [], stranded: new Set<CostBalance>(), made: 0 }));
  }

  #newLayer(key: string, hayKind: string, mass: Mass): CostBalance {
    const layers = this.#of(hayKind);
    const layer = emptyBalance(key, layers.made, this.#holders, this.currency);
    layer.mass = mass;
    layers.made += 1;
    layers.live.push(layer);
    return layer;
  }

  #changeMass(hayKind: string, pieces: readonly MassPiece[]): void {
    for (const { balance, mass } of pieces) {
      balance.mass = balance.mass.plus(mass);
      this.#sortIn(hayKind, balance);
    }
    this.#carryStrandedMoney(hayKind);
  }

  /** Puts a layer in its place among those with hay, or takes it from there if it has none. */
  #sortIn(hayKind: string, layer: CostBalance): void {
    const { live, stranded } = this.#of(hayKind);
    let place = 0;
    for (let end = live.length; place < end;) {
      const middle = Math.floor((place + end) / 2);
      if ((live[middle]?.order ?? 0) < layer.order) place = middle + 1;
      else end = middle;
    }
    const isIn = live[place] === layer;
    if (layer.mass.isPositive()) {
      stranded.delete(layer);
      if (!isIn) live.splice(place, 0, layer);
      return;
    }
    if (isIn) live.splice(place, 1);
    if (!layer.value.isZero()) stranded.add(layer);
  }

  /** A layer that rounding stretched down to nothing hands its cents to the oldest layer that still has hay. */
  #carryStrandedMoney(hayKind: string): void {
    const { live, stranded } = this.#of(hayKind);
    const [heir] = live;
    if (heir === undefined) return;
    for (const layer of [...stranded].sort((one, other) => one.order - other.order)) {
      putIn(heir, Mass.zero, layer.value);
      restoreOrigins(heir, {
        balance: layer,
        mass: Mass.zero,
        value: layer.value,
        origins: layer.origins.then(),
        originFactor: layer.scale,
      });
      layer.value = Money.zero(this.currency);
      layer.origins = new Origins();
      layer.scale = decimal(1);
    }
    stranded.clear();
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
  return worthOf(balance, mass);
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
