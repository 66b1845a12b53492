import { Injectable } from '@nestjs/common';
import type { Refusal } from '../../../core/outcome/outcome.js';
import type { CostingMethod } from '../../../core/stock/costing-entries.js';
import { chargedToFeed, continueInSteps, type CostReplay, replayInSteps } from '../../../core/stock/costing-replay.js';
import type { CostingState } from '../../../core/stock/costing-state.js';
import type { FedSum, ReversedFeed } from '../../../core/stock/fed-hay.js';
import { type SharedVariance, shareVariance } from '../../../core/stock/who-ate.js';
import { addDays, monthOf } from '../../../core/time/calendar-day.js';
import { decimal } from '../../../core/units/decimal.js';
import { Mass } from '../../../core/units/mass.js';
import { type Currency, Money, type PricePerMass } from '../../../core/units/money.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { together } from '../../../platform/database/together.js';
import { inTurns } from '../../../platform/turns.js';
import { asCurrency } from '../../../platform/wire/quantity.schema.js';
import { CostingRead, type LedgerRow, type WrittenCosts, type WrittenVariance } from './costing.read.js';
import { type BooksAsRead, KeptBooksRead } from './kept-books.read.js';
import { costingEntriesInSteps } from './ledger-entries.js';

export interface CostedBooks {
  /** Its entries begin where they were asked from, or earlier. */
  replay: CostReplay;
  method: CostingMethod;
  /** Which herd each entry fed (for a reversal, the herd of what it reversed). */
  herdOf: ReadonlyMap<string, string>;
  /** The ledger row of each entry, with the record that caused it. */
  rowOf: ReadonlyMap<string, LedgerRow>;
  /** Every row of these entries, including those that were reversed at their own instant and have no cost. */
  rows: readonly LedgerRow[];
}

/** A few milliseconds of work each. */
const [ROWS_A_TURN, ENTRIES_A_TURN] = [1000, 100];

/** Which books are meant. */
interface Which {
  /** The first day whose entries are needed; all of them, if none is named. What stands at the end needs none. */
  entriesFrom?: string;
  /** As known at an instant; now, if none is named. */
  knownAt?: string | undefined;
  /** Instead of the method in force for the last day. */
  underMethod?: CostingMethod;
}

/**
 * Hay that herds were fed, at its cost in the books. In `fed`, a feeding and its reversal count on their own days (a
 * reversal is negative): what stands of it for an account tells `fedThatStands`, by the reversals of these days.
 */
export interface FedHay {
  method: CostingMethod;
  /** In the ledger up to the last of the days, whatever they moved. */
  movements: number;
  /** Of bills and reversals of these days. */
  variances: readonly Variance[];
  fed: readonly FedSum[];
  reversed: readonly ReversedFeed[];
}

/** What a later bill, or a reversed receipt, changed of the cost of hay that had left. */
export interface Variance {
  entryId: string;
  on: string;
  amount: Money;
}

/** Some days, and whether what was fed in them is summed over each day or month. */
export interface FedSpan {
  from: string;
  until: string;
  by: 'day' | 'month';
}

/** Some days of the books. Later ones can go on where these ended. */
export interface StretchOfBooks extends Pick<CostedBooks, 'rows' | 'rowOf'> {
  replay: Pick<CostReplay, 'entries' | 'currency'>;
  until: string;
  after: CostingState;
  as: BooksAsRead;
}

/** What an entry changed, signed as the ledger is. */
export interface CostOfEntry {
  mass: Mass;
  inventoryChange: Money;
  /** Absent where no hay moved or none of its money did. */
  unitCost?: PricePerMass;
}

/** The hay ledger and its money, replayed by the core under the operation's costing method. */
@Injectable()
export class CostingService {
  constructor(
    private readonly ledger: CostingRead,
    private readonly kept: KeptBooksRead,
  ) {}

  /**
   * What hay cost up to the end of a day, and what stands then. A day in a closed period is valued by the method in
   * force when it was closed. Taken up from what is kept before `entriesFrom`; the whole history is replayed where all
   * entries are asked for, where something is still to be written, and for what was known at an instant.
   */
  async upTo(tenant: OperationTenant, lastDay: string, which: Which = {}): Promise<CostedBooks> {
    const { entriesFrom, knownAt, underMethod } = which;
    if (entriesFrom === undefined || knownAt !== undefined) {
      const [method, rows] = await together(
        underMethod === undefined ? this.methodOn(tenant, lastDay) : Promise.resolve(underMethod),
        this.ledger.ledger(tenant, lastDay, knownAt),
      );
      return costedBooks(tenant, method, { rows });
    }
    const method = underMethod ?? (await this.methodOn(tenant, lastDay));
    const kept = await this.kept.before(tenant, method, { entriesFrom, until: lastDay });
    return costedBooks(tenant, method, kept ?? { rows: await this.ledger.ledger(tenant, lastDay, undefined) });
  }

  /**
   * What the entries of some days cost, one stretch of days after the other, so that few of them are held at once.
   * @param days the next ones; where they cannot be known from what stood before them alone, those up to `atMost` are
   *   worked out together, since that takes the replay up further back
   * @returns entries may begin before the days asked for
   */
  async stretch(
    tenant: OperationTenant,
    method: CostingMethod,
    { from, until, atMost }: { from: string; until: string; atMost: string },
    before: StretchOfBooks | undefined,
  ): Promise<StretchOfBooks> {
    if (before !== undefined) {
      const next = { from: addDays(before.until, 1), until };
      const following = await this.kept.following(tenant, method, before.as, next);
      if (following !== undefined) return stretchOf(tenant, method, { ...following, after: before.after, until });
    }
    const end = before === undefined ? until : atMost;
    const kept = await this.kept.before(tenant, method, { entriesFrom: from, until: end });
    if (kept !== undefined) return stretchOf(tenant, method, { ...kept, until: end });
    const [rows, as] = [await this.ledger.ledger(tenant, end, undefined), await this.kept.asRead(tenant, method, end)];
    return stretchOf(tenant, method, { rows, as, until: end });
  }

  /**
   * What herds were fed over some days and what it cost: sums of the written costs or, where something is still to be
   * written, of a replay.
   * @returns in `fed`, `on` is the day, or the first one of the month
   */
  async fed(tenant: OperationTenant, span: FedSpan): Promise<FedHay> {
    return (await this.fedAsWritten(tenant, span))();
  }

  /** The same in two steps: what is written is read now, and replayed only where it is asked for. */
  async fedAsWritten(tenant: OperationTenant, span: FedSpan): Promise<() => Promise<FedHay>> {
    const currency = asCurrency(tenant.operation.currency);
    const { method, costs } = await this.ledger.written(tenant, span);
    return async () => {
      if (costs !== undefined) return { method, ...fedByWriting(costs, currency) };
      const books = await this.upTo(tenant, span.until, { underMethod: method });
      return { method, ...fedByReplay(books, span) };
    };
  }

  /** Variances of bills and reversals of some days, under a method. */
  async variances(
    tenant: OperationTenant,
    span: { from: string; until: string },
    method: CostingMethod,
  ): Promise<Variance[]> {
    const written = await this.ledger.variances(tenant, method, span);
    if (written !== undefined) return written.map((one) => varianceOf(one, asCurrency(tenant.operation.currency)));
    const { replay } = await this.upTo(tenant, span.until, { underMethod: method });
    return replay.variances.filter(({ on }) => on >= span.from);
  }

  /** Variances, shared among the herds that ate of their lots: the one answer to who bears a late cost. */
  async shared(tenant: OperationTenant, variances: readonly Variance[]): Promise<SharedVariance[]> {
    if (variances.length === 0) return [];
    const origins = new Map(
      (
        await this.ledger.originsOf(
          tenant,
          variances.map(({ entryId }) => entryId),
        )
      ).map((one) => [one.entryId, one]),
    );
    const kinds = new Set([...origins.values()].map(({ hayKind }) => hayKind));
    const received = [...origins.values()].map(({ receivedOn }) => receivedOn).sort();
    const told = variances.map(({ on }) => on).sort();
    const span = { from: received[0] ?? '', until: told.at(-1) ?? '' };
    const movements = await this.ledger.movementsOfKinds(tenant, [...kinds], span);
    const moves = movements.map((one) => ({ ...one, kilograms: decimal(one.kilograms) }));
    return variances.map((one) => {
      const { lotId = '', hayKind = '', receivedOn = one.on } = origins.get(one.entryId) ?? {};
      const lots = [...new Set(movements.filter((move) => move.hayKind === hayKind).map((move) => move.lotId))];
      return shareVariance({ ...one, lotId, hayKind, receivedOn }, moves, lots);
    });
  }

  /** What some entries cost, or those of a lot, up to the end of a day; what has no cost of its own is left out. */
  async costsOf(
    tenant: OperationTenant,
    until: string,
    of: { entryIds: readonly string[] } | { lotId: string },
  ): Promise<{ method: CostingMethod; costs: ReadonlyMap<string, CostOfEntry> }> {
    const currency = asCurrency(tenant.operation.currency);
    const method = await this.methodOn(tenant, until);
    const written = await this.ledger.writtenOf(tenant, method, until, of);
    const costs =
      written === undefined
        ? (await this.upTo(tenant, until, { underMethod: method })).replay.entries.map(
            (entry) => [entry.entryId, costOfEntry(entry.massChange, entry.inventoryChange)] as const,
          )
        : written.map(
            (row) => [row.entryId, costOfEntry(Mass.kilograms(row.kilograms), Money.of(row.amount, currency))] as const,
          );
    return { method, costs: new Map(costs) };
  }

  /** Book cost of the hay in each of these lots at the end of a day; of a lot that is fed out, when it was last fed. */
  async prices(tenant: OperationTenant, on: string, lotIds: readonly string[]): Promise<Map<string, PricePerMass>> {
    const currency = asCurrency(tenant.operation.currency);
    const { replay, method } = await this.upTo(tenant, on, { entriesFrom: addDays(on, 1) });
    const prices = new Map(
      replay.lots.flatMap(({ lotId, mass, value }) => (mass.isPositive() ? [[lotId, value.per(mass)] as const] : [])),
    );
    const empty = lotIds.filter((id) => !prices.has(id));
    const fed = empty.length === 0 ? [] : await this.ledger.lastFed(tenant, method, on, empty);
    if (fed !== undefined) {
      for (const { lotId, kilograms, amount } of fed)
        prices.set(lotId, Money.of(amount, currency).per(Mass.kilograms(kilograms)));
      return prices;
    }
    const all = await this.upTo(tenant, on, { underMethod: method });
    for (const { kind, rows, unitCost } of all.replay.entries) {
      const lotId = rows[0]?.lotId;
      if (kind === 'feed' && lotId !== undefined && unitCost !== undefined && empty.includes(lotId))
        prices.set(lotId, unitCost);
    }
    return prices;
  }

  /** Later bills of a lot, and their reversals, up to the end of a day. */
  laterBills(tenant: OperationTenant, lotId: string, until: string): Promise<LedgerRow[]> {
    return this.ledger.laterBills(tenant, lotId, until);
  }

  /** The costing method for a day: that of the closing in force that covers it, or the operation's present one. */
  async methodOn(tenant: OperationTenant, day: string): Promise<CostingMethod> {
    return ((await this.ledger.methodOfClosing(tenant, day)) ?? tenant.operation.costingMethod) as CostingMethod;
  }
}

function varianceOf({ entryId, on, amount }: WrittenVariance, currency: Currency): Variance {
  return { entryId, on, amount: Money.of(amount, currency) };
}

function fedByWriting(costs: WrittenCosts, currency: Currency): Omit<FedHay, 'method'> {
  const moved = <Of extends { kilograms: string; amount: string }>({ kilograms, amount, ...of }: Of) => ({
    ...of,
    mass: Mass.kilograms(kilograms).negated(),
    cost: Money.of(amount, currency).negated(),
  });
  return {
    movements: costs.movements,
    variances: costs.variances.map((one) => varianceOf(one, currency)),
    fed: costs.fed.map(moved),
    reversed: costs.reversed.map(moved),
  };
}

/** The same, from a replay of the whole ledger. */
function fedByReplay({ replay, herdOf, rowOf }: CostedBooks, span: FedSpan): Omit<FedHay, 'method'> {
  const ofHerds = replay.entries.flatMap((entry) => {
    const herdId = herdOf.get(entry.entryId);
    return herdId === undefined || entry.on < span.from ? [] : [{ herdId, entry }];
  });
  return {
    movements: replay.totals.movements,
    variances: replay.variances.filter(({ on }) => on >= span.from),
    fed: summed(
      ofHerds.map(({ herdId, entry }) => ({
        herdId,
        hayKind: entry.hayKind,
        on: span.by === 'day' ? entry.on : `${monthOf(entry.on)}-01`,
        mass: entry.massChange.negated(),
        cost: chargedToFeed(entry),
      })),
    ),
    reversed: ofHerds.flatMap(({ herdId, entry }) => {
      const reversed = entry.reverses === undefined ? undefined : rowOf.get(entry.reverses);
      if (reversed === undefined) return [];
      const { hayKind, massChange: mass } = entry;
      const cost = chargedToFeed(entry).negated();
      return [{ herdId, hayKind, reversedOn: reversed.effective_on, reversalOn: entry.on, mass, cost }];
    }),
  };
}

function summed(fed: readonly FedSum[]): FedSum[] {
  const sums = new Map<string, FedSum>();
  for (const one of fed) {
    const key = `${one.on} ${one.herdId} ${one.hayKind}`;
    const known = sums.get(key);
    sums.set(
      key,
      known === undefined ? one : { ...known, mass: known.mass.plus(one.mass), cost: known.cost.plus(one.cost) },
    );
  }
  return [...sums.values()];
}

function costOfEntry(mass: Mass, inventoryChange: Money): CostOfEntry {
  const hasUnitCost = !mass.isZero() && !inventoryChange.isZero();
  return { mass, inventoryChange, ...(hasUnitCost ? { unitCost: inventoryChange.per(mass) } : {}) };
}

async function stretchOf(
  { operation }: OperationTenant,
  method: CostingMethod,
  { after, rows, ...of }: { after?: CostingState; rows: readonly LedgerRow[]; until: string; as: BooksAsRead },
): Promise<StretchOfBooks> {
  const currency = asCurrency(operation.currency);
  const entries = await inTurns(costingEntriesInSteps(rows, currency), ROWS_A_TURN);
  const costs = noneRefused(await inTurns(continueInSteps({ method, currency, after, entries }), ENTRIES_A_TURN));
  const rowOf = new Map(rows.map((row) => [row.id, row]));
  return { ...of, rows, rowOf, after: costs.after, replay: { entries: costs.entries, currency } };
}

async function costedBooks(
  { operation }: OperationTenant,
  method: CostingMethod,
  { after, rows }: { after?: CostingState; rows: readonly LedgerRow[] },
): Promise<CostedBooks> {
  const currency = asCurrency(operation.currency);
  const entries = await inTurns(costingEntriesInSteps(rows, currency), ROWS_A_TURN);
  const replay = noneRefused(await inTurns(replayInSteps({ method, currency, after, entries }), ENTRIES_A_TURN));
  return {
    replay,
    method,
    rows,
    herdOf: new Map(rows.flatMap((row) => (row.herd_id === null ? [] : [[row.id, row.herd_id] as const]))),
    rowOf: new Map(rows.map((row) => [row.id, row])),
  };
}

/**
 * The database refuses draws below zero and reversals that do not match, so the core should have nothing left to
 * refuse.
 */
function noneRefused<Costs extends { readonly ok: true }>(costs: Costs | Refusal): Costs {
  if (costs.ok) return costs;
  throw new Error(`The ledger cannot be costed: ${costs.problems.map((one) => one.message).join(' ')}`);
}
