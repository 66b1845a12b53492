import { Injectable } from '@nestjs/common';
import type { Refusal } from '../../../core/outcome/outcome.js';
import type { CostingMethod } from '../../../core/stock/costing-entries.js';
import {
  chargedToFeed,
  continueInSteps,
  type CostReplay,
  type EntryCost,
  replayInSteps,
} from '../../../core/stock/costing-replay.js';
import type { CostingState } from '../../../core/stock/costing-state.js';
import type { FedInPlace, FedSum, ReversedFeed } from '../../../core/stock/fed-hay.js';
import { atWhatWasCharged, joinedBooks, type MethodStretch } from '../../../core/stock/method-change.js';
import { type SharedVariance, shareVariance } from '../../../core/stock/who-ate.js';
import { addDays, compareDays, monthOf } from '../../../core/time/calendar-day.js';
import { decimal } from '../../../core/units/decimal.js';
import { Mass } from '../../../core/units/mass.js';
import { type Currency, Money, type PricePerMass } from '../../../core/units/money.js';
import { together } from '../../../platform/database/together.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { inTurns } from '../../../platform/turns.js';
import { asCurrency } from '../../../platform/wire/quantity.schema.js';
import { CostingRead, type LedgerRow, type WrittenCosts, type WrittenVariance } from './costing.read.js';
import { type BooksAsRead, KeptBooksRead } from './kept-books.read.js';
import { costingEntriesInSteps } from './ledger-entries.js';
import {
  BEFORE_ALL_BOOKS,
  partOf,
  type Stretch,
  stretchesOf,
  type ToldMethodChange,
  toldChanges,
  within,
} from './method-stretches.js';

export interface CostedBooks {
  /** Its entries begin where they were asked from, or earlier; each at what it cost under the method of its day. */
  replay: CostReplay;
  /** Of the last day. */
  method: CostingMethod;
  /** Changes of the method since the books began, up to the last day. */
  changes: readonly ToldMethodChange[];
  /** Which herd each entry fed (for a reversal, the herd of what it reversed). */
  herdOf: ReadonlyMap<string, string>;
  /** The ledger row of each entry, with the record that caused it. */
  rowOf: ReadonlyMap<string, LedgerRow>;
  /** Every row of these entries, including those that were reversed at their own instant and have no cost. */
  rows: readonly LedgerRow[];
}

/** Under which methods the books are up to a day. */
export interface MethodsOfBooks {
  /** Of the last day. */
  method: CostingMethod;
  stretches: readonly Stretch[];
  /** Between them. */
  changes: readonly ToldMethodChange[];
}

/** A few milliseconds of work each. */
const [ROWS_A_TURN, ENTRIES_A_TURN] = [1000, 100];

/** Which books are meant. */
interface Which {
  /** The first day whose entries are needed; all of them, if none is named. What stands at the end needs none. */
  entriesFrom?: string;
  /** As known at an instant; now, if none is named. */
  knownAt?: string | undefined;
}

/**
 * Hay that herds were fed, at its cost in the books. In `fed`, a feeding and its reversal count on their own days (a
 * reversal is negative): what stands of it for an account tells `fedThatStands`, by the reversals of these days.
 */
export interface FedHay {
  /** Of the last day. */
  method: CostingMethod;
  /** Changes of the method since the books began, up to the last day. */
  changes: readonly ToldMethodChange[];
  /** In the ledger up to the last of the days, whatever they moved. */
  movements: number;
  /** Of bills and reversals of these days. */
  variances: readonly Variance[];
  fed: readonly FedSum[];
  reversed: readonly ReversedFeed[];
  inPlace: readonly FedInPlace[];
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

/** Days of one method, of which some may have to be worked out together. */
interface NextDays {
  from: string;
  until: string;
  atMost: string;
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
   * What hay cost up to the end of a day, and what stands then. Closed days are valued by the method in force when they
   * were closed, open ones by the present method; a change between them is an entry of its own (`joinedBooks`). Taken
   * up from what is kept before `entriesFrom`; the whole history is replayed where all entries are asked for, where
   * something is still to be written, and for what was known at an instant, with the closings that stood then.
   */
  async upTo(tenant: OperationTenant, lastDay: string, which: Which = {}): Promise<CostedBooks> {
    return this.#upTo(tenant, await this.#stretches(tenant, lastDay, which.knownAt), lastDay, which);
  }

  async #upTo(
    tenant: OperationTenant,
    stretches: readonly Stretch[],
    lastDay: string,
    { entriesFrom, knownAt }: Which,
  ): Promise<CostedBooks> {
    const last = stretches.at(-1) ?? { method: tenant.operation.costingMethod, closed: false };
    const wanted = { until: lastDay, entriesFrom, knownAt };
    if (stretches.length <= 1) return { ...(await this.#under(tenant, last.method, wanted)), changes: [] };
    return this.#joined(tenant, stretches, wanted);
  }

  /** The same under one method, as if it had always been that one. */
  async #under(
    tenant: OperationTenant,
    method: CostingMethod,
    { until, entriesFrom, knownAt }: Wanted,
  ): Promise<OneMethod> {
    const kept =
      entriesFrom === undefined || knownAt !== undefined
        ? undefined
        : await this.kept.before(tenant, method, { entriesFrom, until });
    return costedBooks(tenant, method, kept ?? { rows: await this.ledger.ledger(tenant, until, knownAt) });
  }

  /** The last stretch first: what it reverses of earlier ones is needed with what it was charged there. */
  async #joined(tenant: OperationTenant, stretches: readonly Stretch[], wanted: Wanted): Promise<CostedBooks> {
    const parts: { stretch: Stretch; during: OneMethod; before: OneMethod | undefined }[] = [];
    const named: string[] = [];
    for (const [index, stretch] of [...stretches.entries()].toReversed()) {
      const next = stretches[index + 1];
      const until = next?.from === undefined ? wanted.until : addDays(next.from, -1);
      // Of the later stretches all: what they reverse of earlier ones is in the totals since the books began.
      const asked = stretch.from ?? wanted.entriesFrom;
      const first = asked && [asked, ...named].sort()[0];
      const entriesFrom = first === undefined || first <= until ? first : addDays(until, 1);
      const during = await this.#under(tenant, stretch.method, { until, entriesFrom, knownAt: wanted.knownAt });
      const before = await this.#beginning(tenant, stretch, wanted.knownAt);
      parts.unshift({ stretch, during, before });
      named.push(...earlierReversed(during, stretch.from));
    }
    const told = parts.map(({ stretch, during, before }) => partOf(stretch, during.replay, before?.replay));
    const rows = parts.flatMap(({ stretch, during }) =>
      during.rows.filter((row) => stretch.from === undefined || row.effective_on >= stretch.from),
    );
    const all = parts.flatMap(({ during }) => during.rows);
    return {
      replay: joinedBooks(told),
      method: parts.at(-1)?.during.method ?? tenant.operation.costingMethod,
      changes: toldChanges(told, stretches),
      rows,
      herdOf: herdsOf(all),
      rowOf: new Map(all.map((row) => [row.id, row])),
    };
  }

  /** What stood before a stretch under its own method; no entries. */
  async #beginning(
    tenant: OperationTenant,
    { method, from }: Stretch,
    knownAt?: string,
  ): Promise<OneMethod | undefined> {
    return from === undefined
      ? undefined
      : this.#under(tenant, method, { until: addDays(from, -1), entriesFrom: from, knownAt });
  }

  /** Changes of the method up to a day, with what they made of the hay on hand then. */
  async #changes(tenant: OperationTenant, stretches: readonly Stretch[]): Promise<ToldMethodChange[]> {
    if (stretches.length <= 1) return [];
    const told: MethodStretch[] = [];
    for (const [index, stretch] of stretches.entries()) {
      const begins = stretches[index + 1]?.from;
      const before = await this.#beginning(tenant, stretch);
      const during =
        begins === undefined
          ? before
          : await this.#under(tenant, stretch.method, { until: addDays(begins, -1), entriesFrom: begins });
      if (during !== undefined) told.push(partOf(stretch, during.replay, before?.replay));
    }
    return toldChanges(told, stretches);
  }

  /** The methods of the books up to a day, and what their changes made of the hay on hand; no entries. */
  async methodsUpTo(tenant: OperationTenant, until: string): Promise<MethodsOfBooks> {
    const stretches = await this.#stretches(tenant, until);
    const method = stretches.at(-1)?.method ?? tenant.operation.costingMethod;
    return { method, stretches, changes: await this.#changes(tenant, stretches) };
  }

  /**
   * What the entries of some days cost, one stretch of days after the other, so that few of them are held at once. What
   * they reverse of days of another method is taken back at what it was charged then.
   * @param methods up to these days or later ones
   * @param days the next ones, all of one method; where they cannot be known from what stood before them alone, those
   *   up to `atMost`, which is of that method too, are worked out together, since that takes the replay up further back
   * @param before of the same method
   * @returns entries may begin before the days asked for
   */
  async stretch(
    tenant: OperationTenant,
    { stretches }: MethodsOfBooks,
    days: NextDays,
    before: StretchOfBooks | undefined,
  ): Promise<StretchOfBooks> {
    const at = stretches.findLastIndex(({ from }) => from === undefined || from <= days.from);
    const { method, from: begins } = stretches[at] ?? { method: tenant.operation.costingMethod };
    const books = await this.#next(tenant, method, days, before);
    const reversed = books.replay.entries.flatMap(({ on, reverses = '' }) =>
      on < days.from ? [] : (books.rowOf.get(reverses) ?? []),
    );
    const earlier = reversed.filter((row) => begins !== undefined && row.effective_on < begins);
    const charged = await this.#charged(tenant, stretches.slice(0, at), earlier);
    const { entries, currency } = books.replay;
    return {
      ...books,
      replay: {
        currency,
        entries: entries.map((one) => atWhatWasCharged(one, charged.get(one.reverses ?? '')).entry),
      },
    };
  }

  async #next(
    tenant: OperationTenant,
    method: CostingMethod,
    { from, until, atMost }: NextDays,
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

  /** What some entries cost under the method of their day. */
  async #charged(
    tenant: OperationTenant,
    stretches: readonly Stretch[],
    rows: readonly LedgerRow[],
  ): Promise<ReadonlyMap<string, EntryCost>> {
    const charged = new Map<string, EntryCost>();
    const days = rows.map((row) => row.effective_on).sort();
    const [first, last] = [days[0], days.at(-1)];
    if (first === undefined || last === undefined) return charged;
    for (const { method, from, until } of within(stretches, { from: first, until: last })) {
      const own = days.filter((on) => on >= from && on <= until);
      const [entriesFrom, lastOwn] = [own[0], own.at(-1)];
      if (entriesFrom === undefined || lastOwn === undefined) continue;
      const { replay } = await this.#under(tenant, method, { until: lastOwn, entriesFrom });
      for (const one of replay.entries) if (one.on >= entriesFrom) charged.set(one.entryId, one);
    }
    return charged;
  }

  /**
   * What herds were fed over some days and what it cost: sums of the written costs or, where something is still to be
   * written or the days have more than one method, of a replay.
   * @returns in `fed`, `on` is the day, or the first one of the month
   */
  async fed(tenant: OperationTenant, span: FedSpan): Promise<FedHay> {
    return (await this.fedAsWritten(tenant, span))();
  }

  /** The same in two steps: what is written is read now, in one statement, and all else only where it is asked for. */
  async fedAsWritten(tenant: OperationTenant, span: FedSpan): Promise<() => Promise<FedHay>> {
    const currency = asCurrency(tenant.operation.currency);
    const { method, closings, costs } = await this.ledger.written(tenant, span);
    const stretches = stretchesOf(tenant.operation.costingMethod, closings, span.until);
    const begins = stretches.at(-1)?.from;
    // What was charged under another method is taken back at that.
    const isOne =
      begins === undefined ||
      (begins <= span.from && costs?.reversed.every(({ reversedOn }) => reversedOn >= begins) === true);
    return async () => {
      if (isOne && costs !== undefined)
        return { method, changes: await this.#changes(tenant, stretches), ...fedByWriting(costs, currency) };
      const which = stretches.length <= 1 ? {} : { entriesFrom: span.from };
      const books = await this.#upTo(tenant, stretches, span.until, which);
      return { method, changes: books.changes, ...fedByReplay(books, span, await this.postedInPlace(tenant, span)) };
    };
  }

  /** Variances of bills and reversals of some days, each under the method of its day. */
  async variances(tenant: OperationTenant, span: { from: string; until: string }): Promise<Variance[]> {
    const found: Variance[] = [];
    for (const { method, ...days } of within(await this.#stretches(tenant, span.until), span)) {
      const written = await this.ledger.variances(tenant, method, days);
      found.push(
        ...(written?.map((one) => varianceOf(one, asCurrency(tenant.operation.currency))) ??
          (await this.#under(tenant, method, { until: days.until, entriesFrom: undefined })).replay.variances.filter(
            ({ on }) => on >= days.from,
          )),
      );
    }
    return found;
  }

  /** Variances, shared among the herds that ate of their lots: the one answer to who bears a late cost. */
  async shared(tenant: OperationTenant, variances: readonly Variance[]): Promise<SharedVariance[]> {
    if (variances.length === 0) return [];
    const entryIds = variances.map(({ entryId }) => entryId);
    const [found, right] = await together(
      this.ledger.originsOf(tenant, entryIds),
      this.ledger.puttingRight(tenant, entryIds),
    );
    const origins = new Map(found.map((one) => [one.entryId, one]));
    const putsRight = new Map(right.map(({ entryId, of }) => [entryId, of]));
    const kinds = new Set([...origins.values()].map(({ hayKind }) => hayKind));
    const received = [...origins.values()].map(({ receivedOn }) => receivedOn).sort();
    const told = variances.map(({ on }) => on).sort();
    const span = { from: received[0] ?? '', until: told.at(-1) ?? '' };
    const movements = await this.ledger.movementsOfKinds(tenant, [...kinds], span);
    const moves = movements.map((one) => ({ ...one, kilograms: decimal(one.kilograms) }));
    return variances.map((one) => {
      const { lotId = '', hayKind = '', receivedOn = one.on } = origins.get(one.entryId) ?? {};
      const lots = [...new Set(movements.filter((move) => move.hayKind === hayKind).map((move) => move.lotId))];
      const variance = { ...one, lotId, hayKind, receivedOn, putsRight: putsRight.get(one.entryId) ?? null };
      return shareVariance(variance, moves, lots);
    });
  }

  /** The entries of some days that were posted late in place of a record, each with the day that was given. */
  async postedInPlace(
    tenant: OperationTenant,
    days: { from: string; until: string },
  ): Promise<ReadonlyMap<string, string>> {
    return new Map((await this.ledger.postedInPlace(tenant, days)).map(({ entryId, of }) => [entryId, of]));
  }

  /**
   * What some entries cost, or those of a lot, up to the end of a day, each under the method of its day; what has no
   * cost of its own is left out.
   */
  async costsOf(
    tenant: OperationTenant,
    until: string,
    of: { entryIds: readonly string[] } | { lotId: string },
  ): Promise<ReadonlyMap<string, CostOfEntry>> {
    const currency = asCurrency(tenant.operation.currency);
    const costs: (readonly [string, CostOfEntry])[] = [];
    const span = { from: BEFORE_ALL_BOOKS, until };
    for (const { method, ...days } of within(await this.#stretches(tenant, until), span)) {
      const written = await this.ledger.writtenOf(tenant, method, days, of);
      if (written === undefined) {
        const { replay } = await this.#under(tenant, method, { until: days.until, entriesFrom: undefined });
        for (const { entryId, on, massChange, inventoryChange } of replay.entries)
          if (on >= days.from) costs.push([entryId, costOfEntry(massChange, inventoryChange)]);
      } else
        for (const { entryId, kilograms, amount } of written)
          costs.push([entryId, costOfEntry(Mass.kilograms(kilograms), Money.of(amount, currency))]);
    }
    return new Map(costs);
  }

  /** Book cost of the hay in each of these lots at the end of a day; of a lot that is fed out, when it was last fed. */
  async prices(tenant: OperationTenant, on: string, lotIds: readonly string[]): Promise<Map<string, PricePerMass>> {
    const currency = asCurrency(tenant.operation.currency);
    const stretches = await this.#stretches(tenant, on);
    const { replay } = await this.#upTo(tenant, stretches, on, { entriesFrom: addDays(on, 1) });
    const prices = new Map(
      replay.lots.flatMap(({ lotId, mass, value }) => (mass.isPositive() ? [[lotId, value.per(mass)] as const] : [])),
    );
    for (const { method, ...days } of within(stretches, { from: BEFORE_ALL_BOOKS, until: on }).toReversed()) {
      const empty = lotIds.filter((id) => !prices.has(id));
      if (empty.length === 0) break;
      const fed = await this.ledger.lastFed(tenant, method, days, empty);
      if (fed !== undefined)
        for (const { lotId, kilograms, amount } of fed)
          prices.set(lotId, Money.of(amount, currency).per(Mass.kilograms(kilograms)));
      else {
        const all = await this.#under(tenant, method, { until: days.until, entriesFrom: undefined });
        for (const [lotId, price] of lastFedPrices(all.replay, days.from, empty)) prices.set(lotId, price);
      }
    }
    return prices;
  }

  /** Later bills of a lot, and their reversals, up to the end of a day. */
  laterBills(tenant: OperationTenant, lotId: string, until: string): Promise<LedgerRow[]> {
    return this.ledger.laterBills(tenant, lotId, until);
  }

  /** The costing method for a day: that of the closing in force that covers it, or the operation's present one. */
  async methodOn(tenant: OperationTenant, day: string): Promise<CostingMethod> {
    return (await this.#stretches(tenant, day)).at(-1)?.method ?? tenant.operation.costingMethod;
  }

  /** Days of one method that follow each other, as far as they begin by a day. */
  async #stretches(tenant: OperationTenant, until: string, knownAt?: string): Promise<Stretch[]> {
    const { costingMethod } = tenant.operation;
    if (knownAt === undefined) return stretchesOf(costingMethod, await this.ledger.closings(tenant), until);
    const [then, now] = await together(this.ledger.closings(tenant, knownAt), this.ledger.closings(tenant));
    // Days that were open then went by the method that they were closed under next, as far as the books know it.
    const later = now.find(({ recordedAt }) => Date.parse(recordedAt) > Date.parse(knownAt));
    return stretchesOf(later?.method ?? costingMethod, then, until);
  }
}

interface Wanted {
  until: string;
  entriesFrom: string | undefined;
  /** As known at an instant; now, if none is named. */
  knownAt?: string | undefined;
}

type OneMethod = Omit<CostedBooks, 'changes'>;

/** Days of earlier stretches whose entries are reversed in this one. */
function earlierReversed({ replay, rowOf }: OneMethod, from: string | undefined): string[] {
  if (from === undefined) return [];
  return replay.entries.flatMap(({ on, reverses }) => {
    const day = on < from || reverses === undefined ? undefined : rowOf.get(reverses)?.effective_on;
    return day === undefined || day >= from ? [] : [day];
  });
}

function lastFedPrices(replay: CostReplay, from: string, lotIds: readonly string[]): Map<string, PricePerMass> {
  const prices = new Map<string, PricePerMass>();
  for (const { kind, on, rows, unitCost } of replay.entries) {
    const lotId = rows[0]?.lotId;
    if (kind === 'feed' && on >= from && lotId !== undefined && unitCost !== undefined && lotIds.includes(lotId))
      prices.set(lotId, unitCost);
  }
  return prices;
}

function varianceOf({ entryId, on, amount }: WrittenVariance, currency: Currency): Variance {
  return { entryId, on, amount: Money.of(amount, currency) };
}

function fedByWriting(costs: WrittenCosts, currency: Currency): Omit<FedHay, 'method' | 'changes'> {
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
    inPlace: costs.inPlace.map(moved),
  };
}

/** The same, from a replay. */
function fedByReplay(
  { replay, herdOf, rowOf }: CostedBooks,
  span: FedSpan,
  postedInPlace: ReadonlyMap<string, string>,
): Omit<FedHay, 'method' | 'changes'> {
  const ofHerds = replay.entries.flatMap((entry) => {
    const herdId = herdOf.get(entry.entryId);
    return herdId === undefined || entry.on < span.from ? [] : [{ herdId, entry }];
  });
  const takenBack = new Set(replay.entries.flatMap(({ reverses }) => reverses ?? []));
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
    // In the order in which they are read where they are written.
    reversed: inOrder(
      ofHerds.flatMap(({ herdId, entry }) => {
        const reversed = entry.reverses === undefined ? undefined : rowOf.get(entry.reverses);
        if (reversed === undefined) return [];
        const { hayKind, massChange: mass } = entry;
        const cost = chargedToFeed(entry).negated();
        return [{ herdId, hayKind, reversedOn: reversed.effective_on, reversalOn: entry.on, mass, cost }];
      }),
    ),
    inPlace: ofHerds.flatMap(({ herdId, entry }) => {
      const { entryId, hayKind, on, massChange } = entry;
      const of = takenBack.has(entryId) ? undefined : postedInPlace.get(entryId);
      return of === undefined
        ? []
        : [{ herdId, hayKind, on, of, mass: massChange.negated(), cost: chargedToFeed(entry) }];
    }),
  };
}

/** By the day of the reversal, then by that of the feeding; those of the same days stay as they are. */
function inOrder(reversed: readonly ReversedFeed[]): ReversedFeed[] {
  return reversed.toSorted(
    (one, other) => compareDays(one.reversalOn, other.reversalOn) || compareDays(one.reversedOn, other.reversedOn),
  );
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
): Promise<OneMethod> {
  const currency = asCurrency(operation.currency);
  const entries = await inTurns(costingEntriesInSteps(rows, currency), ROWS_A_TURN);
  const replay = noneRefused(await inTurns(replayInSteps({ method, currency, after, entries }), ENTRIES_A_TURN));
  return {
    replay,
    method,
    rows,
    herdOf: herdsOf(rows),
    rowOf: new Map(rows.map((row) => [row.id, row])),
  };
}

function herdsOf(rows: readonly LedgerRow[]): ReadonlyMap<string, string> {
  return new Map(rows.flatMap((row) => (row.herd_id === null ? [] : [[row.id, row.herd_id] as const])));
}

/**
 * The database refuses draws below zero and reversals that do not match, so the core should have nothing left to
 * refuse.
 */
function noneRefused<Costs extends { readonly ok: true }>(costs: Costs | Refusal): Costs {
  if (costs.ok) return costs;
  throw new Error(`The ledger cannot be costed: ${costs.problems.map((one) => one.message).join(' ')}`);
}
