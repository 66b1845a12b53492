import { compareDays, isCalendarDay, type CalendarDay } from '../time/calendar-day.js';
import { decimal } from '../units/decimal.js';
import { KILOGRAM_PLACES, Mass } from '../units/mass.js';
import { MINOR_DIGITS, Money, type Currency, type PricePerMass } from '../units/money.js';
import type { AccountRole } from './accounts.data.js';
import { noteOrigin, putIn, shareStillHere, forgetOrigin, type CostBalance, type CostPiece } from './cost-balance.js';
import { costFlow, type CostFlow, type HayAddress, type Inflow, type LotMove, type MassPiece } from './cost-flow.js';
import type {
  CostingEntry,
  CostingMethod,
  HarvestEntry,
  LateCostEntry,
  PurchaseEntry,
  ReversalEntry,
  TransferEntry,
} from './costing-entries.js';
import type { CostingState } from './costing-state.js';
import { type CostingTotals, NOTHING_YET, RunningTotals } from './costing-totals.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { type Steps, withoutRest } from '../outcome/steps.js';
import { namedBy, NO_TURNING_POINTS, turningPoints } from './turning-points.js';
import { problem, type Problem } from '../outcome/problem.js';

/** One side of a posting: a positive amount is a debit, a negative one a credit. */
export interface PostingLine {
  readonly account: AccountRole;
  readonly amount: Money;
  readonly hayKind: string;
  readonly lotId: string;
  readonly herdId?: string;
}

/** Why an entry came out differently than expected. */
export const COSTING_NOTES = {
  'no-hay-left-to-carry-cost':
    'The loss took the last of the hay, so its cost was expensed although it was booked as normal.',
  'no-unit-cost-known': 'Hay was found where the books held none: it came in at no cost.',
} as const;
export type CostingNote = keyof typeof COSTING_NOTES;

/** What one entry did. */
export interface EntryCost {
  readonly entryId: string;
  readonly on: CalendarDay;
  /** Also a change of the costing method, which `joinedBooks` puts between days of two methods. */
  readonly kind: CostingEntry['kind'] | 'costing-method-change';
  readonly reverses?: string;
  readonly hayKind: string;
  /** The herd of a feeding, or of a feeding reversed. */
  readonly herdId?: string;
  /** Changes of the physical ledger; a transfer has two that balance. */
  readonly rows: readonly { readonly lotId: string; readonly placeId: string; readonly change: Mass }[];
  readonly massChange: Mass;
  readonly inventoryChange: Money;
  /** Money per mass at which the hay came in or left; absent where no hay moved or none of its money did. */
  readonly unitCost?: PricePerMass;
  /** Which balances (lots, kinds or receipts' layers) the hay came from, with the mass and money from each. */
  readonly drawnFrom: readonly { readonly from: string; readonly mass: Mass; readonly cost: Money }[];
  readonly lines: readonly PostingLine[];
  readonly notes: readonly CostingNote[];
}

/**
 * What an entry charged to feed; negative where a feeding is reversed: at what it was charged, even
 * where its hay comes back at another cost, since a receipt that it was fed from was taken back meanwhile.
 */
export function chargedToFeed({ lines, inventoryChange }: EntryCost): Money {
  return Money.sum(
    lines.flatMap(({ account, amount }) => (account === 'feed-expense' ? [amount] : [])),
    inventoryChange.currency,
  );
}

export interface CostVariance {
  readonly entryId: string;
  readonly on: CalendarDay;
  /** Positive: more cost than was charged when the hay was fed. */
  readonly amount: Money;
  readonly cause: 'late-cost' | 'reversal';
}

export interface CostReplay {
  readonly ok: true;
  readonly method: CostingMethod;
  readonly currency: Currency;
  readonly entries: readonly EntryCost[];
  readonly lots: readonly {
    readonly lotId: string;
    readonly hayKind: string;
    readonly mass: Mass;
    readonly value: Money;
    readonly places: readonly { readonly placeId: string; readonly mass: Mass; readonly value: Money }[];
  }[];
  readonly kinds: readonly {
    readonly hayKind: string;
    readonly mass: Mass;
    readonly value: Money;
    readonly layers: readonly { readonly key: string; readonly mass: Mass; readonly value: Money }[];
  }[];
  readonly closingMass: Mass;
  readonly closingValue: Money;
  /** Net of reversals. */
  readonly feedByHerd: readonly { readonly herdId: string; readonly mass: Mass; readonly cost: Money }[];
  readonly variances: readonly CostVariance[];
  /** Since the books began, whatever was replayed before. */
  readonly totals: CostingTotals;
}

type Undo =
  | { readonly type: 'inflow'; readonly inflow: Inflow }
  | { readonly type: 'draw'; readonly pieces: readonly CostPiece[] }
  | { readonly type: 'stretch'; readonly pieces: readonly MassPiece[] }
  | { readonly type: 'late-cost'; readonly source: string; readonly amount: Money }
  | { readonly type: 'move'; readonly move: LotMove | undefined };

interface Done {
  readonly entry: CostingEntry;
  readonly cost: EntryCost;
  readonly undo: Undo;
  readonly address: HayAddress;
}

/**
 * Replays a history of hay under a costing method.
 *
 * Rules that hold for all three methods:
 * - Quantity is kept by lot and place and never goes below zero; a draw of more than that is refused, saying what is
 * left.
 * - Every amount is in whole cents. A draw's cost is its share of the balance's money by mass, rounded half to even;
 * the draw that takes the last of a balance takes all the money that is left in it.
 * - Normal shrink takes mass and leaves the money (FIFO: in proportion to the layers' mass); abnormal loss is a draw.
 * - A late bill goes to inventory for the share of the receipt's cost that is still there; the rest is a variance. So
 * the inventory is what it would have been if the bill had come with the hay. Shares to the cent by largest
 * remainder.
 * - A reversal undoes its entry on its own day: the same hay, the same debts, the same expense. A receipt or transfer
 *   reversed leaves every balance as if it had never come, whatever came and left since; what was charged for hay that
 *   left in between stays charged, and the difference is a variance of the reversal's day.
 *
 * @param after what an earlier replay knew before these entries, as for `continueCosts`; absent at the start of the
 * books.
 * @param entries in the order in which they count, days not going back.
 * @returns what each of these entries cost, closing quantity and value, or the first problem met.
 * @throws RangeError if an amount is in another currency.
 */
export function replayCosts(input: CostsToReplay): CostReplay | Refusal {
  return withoutRest(replayInSteps(input));
}

/** As `replayCosts`, one entry after the other. */
export function replayInSteps(input: CostsToReplay): Steps<CostReplay | Refusal> {
  return replayedBy(input, function* (replay) {
    return (yield* replay.posting(input.entries)) ?? replay.result();
  });
}

interface CostsToReplay {
  method: CostingMethod;
  currency: Currency;
  after?: CostingState | undefined;
  entries: readonly CostingEntry[];
}

/**
 * Goes on where an earlier replay of the same books ended.
 *
 * @param after what that replay knew at its end (see `CostingState`); absent at the start of the books.
 * @param keepAfter the days at whose end what is known is to be told too, in order.
 * @param entries the ones that follow. Those that a reversal or a later bill names must be among them: `firstNeeded`
 * tells from which entry on.
 * @returns what each of these entries cost, and what is known after them; or the first problem met.
 */
export function continueCosts(input: CostsToContinue): ContinuedCosts | Refusal {
  return withoutRest(continueInSteps(input));
}

/** As `continueCosts`, one entry after the other. */
export function continueInSteps(input: CostsToContinue): Steps<ContinuedCosts | Refusal> {
  return replayedBy(input, function* (replay) {
    const kept: { until: CalendarDay; state: CostingState }[] = [];
    let next = 0;
    for (const until of input.keepAfter ?? []) {
      const upTo = input.entries.findIndex((entry, index) => index >= next && entry.on > until);
      const found = yield* replay.posting(input.entries.slice(next, upTo < 0 ? undefined : upTo));
      if (found) return found;
      kept.push({ until, state: replay.state() });
      next = upTo < 0 ? input.entries.length : upTo;
    }
    return (
      (yield* replay.posting(input.entries.slice(next))) ?? {
        ok: true,
        ...replay.costs(),
        after: replay.state(),
        kept,
      }
    );
  });
}

interface CostsToContinue extends CostsToReplay {
  keepAfter?: readonly CalendarDay[];
}

interface ContinuedCosts {
  readonly ok: true;
  readonly entries: CostReplay['entries'];
  readonly variances: CostReplay['variances'];
  readonly after: CostingState;
  readonly kept: readonly { readonly until: CalendarDay; readonly state: CostingState }[];
}

/**
 * Replays anew each time that something cannot be taken back as if it had never come: that rests on all that it did,
 * which has to be known from the beginning.
 */
function* replayedBy<Answer>(input: CostsToReplay, answer: (replay: Replay) => Steps<Answer>): Steps<Answer> {
  for (const byShare = new Set<string>(); ;) {
    const replay = new Replay(input.method, input.currency, byShare);
    if (input.after !== undefined) replay.resume(input.after);
    replay.expect(input.entries);
    const answered = yield* answer(replay);
    if (replay.cannotTakeBack === undefined) return answered;
    byShare.add(replay.cannotTakeBack);
  }
}

/** Index of the first entry that those from `from` on rest on: what they reverse or bill, and what that rests on. */
export function firstNeeded(entries: readonly CostingEntry[], from: number): number {
  const indexOf = new Map(entries.map((entry, index) => [entry.id, index]));
  let first = from;
  for (let index = entries.length - 1; index >= first; index -= 1) {
    const entry = entries[index];
    const named = namedBy(entry);
    first = Math.min(first, (named === undefined ? undefined : indexOf.get(named)) ?? first);
  }
  return first;
}

const refusedAt = ({ index, found }: { index: number; found: Problem }): Refusal =>
  refused([{ ...found, field: `entries[${index}].${found.field}` }]);

/** What was known of a kind before one of its entries. */
interface Noted {
  readonly state: CostingState;
  /** What was still to be drawn from hay to come. */
  readonly waiting: readonly Waiting[];
}

/** An entry that draws hay which is not there yet. */
interface Waiting {
  readonly entry: CostingEntry;
  readonly index: number;
  readonly found: Problem;
}

class Replay {
  /** One per hay kind: no entry touches two. */
  readonly #flows = new Map<string, CostFlow>();
  #turning = NO_TURNING_POINTS;
  /** What was known before the entries at which a history may have to be taken up again. */
  readonly #noted = new Map<string, Noted>();
  #waiting: Waiting[] = [];
  /** The first reversal that belongs to those by share and was not known to. */
  cannotTakeBack: string | undefined;
  readonly #stock = new Map<string, Map<string, Mass>>();
  readonly #done = new Map<string, Done>();
  /** In the order in which they count: what waited for hay was posted later. */
  readonly #ids: string[] = [];
  readonly #reversed = new Map<string, string>();
  readonly #lateCosts = new Map<string, string[]>();
  readonly #variances: CostVariance[] = [];
  #totals = new RunningTotals();

  constructor(
    private readonly method: CostingMethod,
    private readonly currency: Currency,
    /** Reversals that undo their entry in the balances as they stand, since there is no history without it. */
    private readonly byShare: ReadonlySet<string>,
    /** Which kind of hay a lot is, is no mistake: histories without an entry share it. */
    private readonly kindOfLot = new Map<string, string>(),
    /** What was taken back, its bills, and the reversals of all these: balances are as if they had never been. */
    private readonly leftOut = new Set<string>(),
  ) {}

  resume(after: CostingState): void {
    this.#totals = new RunningTotals(after.totals);
    for (const { lotId, hayKind, places } of after.lots) {
      this.kindOfLot.set(lotId, hayKind);
      this.#stock.set(lotId, new Map(places.map(([placeId, kilograms]) => [placeId, Mass.kilograms(kilograms)])));
    }
    for (const { hayKind, balances } of after.kinds) this.#flowOf(hayKind).resume(hayKind, balances);
  }

  state(): CostingState {
    return {
      lots: this.#lots(),
      kinds: [...this.#flows].map(([hayKind, flow]) => ({ hayKind, balances: flow.stateOf(hayKind) })),
      totals: this.#totals.asText(),
    };
  }

  #lots(ofKind?: string): CostingState['lots'] {
    return [...this.#stock].flatMap(([lotId, places]) => {
      const hayKind = this.kindOfLot.get(lotId) ?? '';
      if (ofKind !== undefined && ofKind !== hayKind) return [];
      return [
        { lotId, hayKind, places: [...places].map(([place, mass]) => [place, mass.kilograms.toFixed()] as const) },
      ];
    });
  }

  /** Has noted what is needed to take back what these entries reverse; they are then posted, in one part or several. */
  expect(entries: readonly CostingEntry[]): void {
    this.#turning = turningPoints(entries, this.method, this.kindOfLot, this.byShare);
  }

  *posting(entries: readonly CostingEntry[]): Steps<Refusal | undefined> {
    let previous: CalendarDay | undefined;
    for (const [index, entry] of entries.entries()) {
      const [first] = this.#waiting;
      if (first !== undefined && (entry.on !== first.entry.on || entry.instant !== first.entry.instant))
        return refusedAt(first);
      this.#note(entry.id);
      const found = this.#commonProblem(entry, previous) ?? (yield* this.#postOne(entry));
      yield;
      previous = entry.on;
      this.#ids.push(entry.id);
      if (found === undefined) yield* this.#postWaiting();
      else if (entry.instant !== undefined && found.code === 'lot-drawn-below-zero')
        this.#waiting.push({ entry, index, found });
      else return refusedAt({ index, found });
    }
    const [first] = this.#waiting;
    return first && refusedAt(first);
  }

  /** What was drawn at the instant at which the hay came is drawn from it, in whichever order the two were entered. */
  *#postWaiting(): Steps<void> {
    for (let before = Infinity; this.#waiting.length > 0 && this.#waiting.length < before;) {
      before = this.#waiting.length;
      const waiting: Waiting[] = [];
      for (const one of this.#waiting) if ((yield* this.#postOne(one.entry)) !== undefined) waiting.push(one);
      this.#waiting = waiting;
    }
  }

  costs(): { entries: EntryCost[]; variances: readonly CostVariance[] } {
    return { entries: this.#ids.flatMap((id) => this.#done.get(id)?.cost ?? []), variances: this.#variances };
  }

  #commonProblem(entry: CostingEntry, previous: CalendarDay | undefined): Problem | undefined {
    if (!isCalendarDay(entry.on))
      return problem('day-not-a-date', 'on', entry.on, 'YYYY-MM-DD', `${entry.on} is not a calendar day.`);
    if (previous !== undefined && compareDays(entry.on, previous) < 0) {
      return problem(
        'history-out-of-order',
        'on',
        entry.on,
        `${previous} or later`,
        `Entry ${entry.id} comes after one of ${previous}.`,
      );
    }
    if (this.#done.has(entry.id))
      return problem(
        'entry-id-repeated',
        'id',
        entry.id,
        'an id of its own',
        `Entry ${entry.id} is in the history twice.`,
      );
    return undefined;
  }

  *#postOne(entry: CostingEntry): Steps<Problem | undefined> {
    switch (entry.kind) {
      case 'purchase':
      case 'harvest':
        return this.#receive(entry);
      case 'feed':
        return this.#draw(entry, entry.mass, 'feed-expense', entry.herdId);
      case 'sale': {
        const wrong = entry.proceeds && moneyProblem('proceeds', entry.proceeds);
        return wrong ?? this.#draw(entry, entry.mass, 'cost-of-hay-sold', undefined, entry.proceeds);
      }
      case 'shrink':
        return (
          massProblem('mass', entry.mass) ?? this.#difference(entry, entry.mass.negated(), entry.treatment, 'hay-loss')
        );
      case 'count-adjustment':
        return this.#difference(entry, entry.change, entry.treatment, 'count-difference');
      case 'transfer':
        return this.#transfer(entry);
      case 'late-cost':
        return this.#lateCost(entry);
      case 'reversal':
        return yield* this.#reverse(entry);
    }
  }

  #receive(entry: PurchaseEntry | HarvestEntry): Problem | undefined {
    const freight =
      entry.kind === 'purchase' ? (entry.freight ?? Money.zero(this.currency)) : Money.zero(this.currency);
    const wrong =
      massProblem('mass', entry.mass) ??
      moneyProblem('cost', entry.cost) ??
      moneyProblem('freight', freight) ??
      this.#kindProblem('lotId', entry.lotId, entry.hayKind);
    if (wrong) return wrong;
    this.kindOfLot.set(entry.lotId, entry.hayKind);
    const landed = entry.cost.plus(freight);
    const address = { lotId: entry.lotId, hayKind: entry.hayKind };
    const inflow = this.#flowOf(entry.hayKind).receive(entry.id, address, entry.mass, landed);
    const owed: AccountRole = entry.kind === 'purchase' ? 'payables' : 'raised-feed-transfer';
    return this.#record(
      entry,
      address,
      { type: 'inflow', inflow },
      {
        rows: [{ lotId: entry.lotId, placeId: entry.placeId, change: entry.mass }],
        amounts: [
          ['hay-inventory', landed],
          [owed, entry.cost.negated()],
          ['freight-payable', freight.negated()],
        ],
      },
    );
  }

  #transfer(entry: TransferEntry): Problem | undefined {
    const fromKind = this.kindOfLot.get(entry.fromLotId) ?? '';
    const wrong =
      massProblem('mass', entry.mass) ??
      this.#shortProblem(entry.fromLotId, entry.fromPlaceId, entry.mass) ??
      this.#kindProblem('toLotId', entry.toLotId, fromKind);
    if (wrong) return wrong;
    this.kindOfLot.set(entry.toLotId, fromKind);
    const from = { lotId: entry.fromLotId, hayKind: fromKind };
    const to = { lotId: entry.toLotId, hayKind: fromKind };
    const move = this.#flowOf(fromKind).move(entry.id, from, to, entry.mass);
    return this.#record(
      entry,
      from,
      { type: 'move', move },
      {
        rows: [
          { lotId: entry.fromLotId, placeId: entry.fromPlaceId, change: entry.mass.negated() },
          { lotId: entry.toLotId, placeId: entry.toPlaceId, change: entry.mass },
        ],
        amounts: [],
        pieces: move ? [move.piece] : [],
      },
    );
  }

  #draw(
    entry: Extract<CostingEntry, { kind: 'feed' | 'sale' | 'shrink' | 'count-adjustment' }>,
    mass: Mass,
    account: AccountRole,
    herdId?: string,
    proceeds?: Money,
    notes: readonly CostingNote[] = [],
  ): Problem | undefined {
    const wrong = massProblem('mass', mass) ?? this.#shortProblem(entry.lotId, entry.placeId, mass);
    if (wrong) return wrong;
    const address = { lotId: entry.lotId, hayKind: this.kindOfLot.get(entry.lotId) ?? '' };
    const pieces = this.#flowOf(address.hayKind).draw(address, mass);
    const cost = Money.sum(
      pieces.map((piece) => piece.value),
      this.currency,
    );
    return this.#record(
      entry,
      address,
      { type: 'draw', pieces },
      {
        rows: [{ lotId: entry.lotId, placeId: entry.placeId, change: mass.negated() }],
        amounts: [
          ['hay-inventory', cost.negated()],
          [account, cost],
          ...(proceeds
            ? ([
                ['receivables', proceeds],
                ['hay-sales', proceeds.negated()],
              ] as [AccountRole, Money][])
            : []),
        ],
        pieces,
        notes,
        ...(herdId === undefined ? {} : { herdId }),
      },
    );
  }

  /** A loss or a count: hay that is less or more than the books say. */
  #difference(
    entry: Extract<CostingEntry, { kind: 'shrink' | 'count-adjustment' }>,
    change: Mass,
    treatment: 'into-unit-cost' | 'expense',
    account: AccountRole,
  ): Problem | undefined {
    const field = entry.kind === 'shrink' ? 'mass' : 'change';
    const size = change.isNegative() ? change.negated() : change;
    const hayKind = this.kindOfLot.get(entry.lotId) ?? (entry.kind === 'count-adjustment' ? entry.hayKind : undefined);
    if (hayKind === undefined)
      return problem(
        'lot-unknown',
        'lotId',
        entry.lotId,
        'a lot with a receipt',
        `Lot ${entry.lotId} has no receipt before this entry.`,
      );
    const wrong =
      massProblem(field, size) ??
      (change.isNegative() ? this.#shortProblem(entry.lotId, entry.placeId, size) : undefined);
    if (wrong) return wrong;
    this.kindOfLot.set(entry.lotId, hayKind);
    const address = { lotId: entry.lotId, hayKind };
    const rows = [{ lotId: entry.lotId, placeId: entry.placeId, change }];
    const flow = this.#flowOf(hayKind);
    const there = flow.massAt(address);
    if (change.isNegative()) {
      if (treatment === 'expense') return this.#draw(entry, size, account);
      if (there.compare(size) <= 0)
        return this.#draw(entry, size, account, undefined, undefined, ['no-hay-left-to-carry-cost']);
    } else if (treatment === 'expense') {
      const worth = flow.presentWorth(address, size);
      const inflow = flow.receive(entry.id, address, size, worth);
      return this.#record(
        entry,
        address,
        { type: 'inflow', inflow },
        {
          rows,
          amounts: [
            ['hay-inventory', worth],
            [account, worth.negated()],
          ],
          notes: there.isPositive() ? [] : ['no-unit-cost-known'],
        },
      );
    }
    const pieces = flow.stretch(address, change, entry.id);
    return this.#record(
      entry,
      address,
      { type: 'stretch', pieces },
      { rows, amounts: [], notes: there.isPositive() ? [] : ['no-unit-cost-known'] },
    );
  }

  #lateCost(entry: LateCostEntry): Problem | undefined {
    const receipt = this.#done.get(entry.receiptId);
    if (!receipt || (receipt.entry.kind !== 'purchase' && receipt.entry.kind !== 'harvest')) {
      return problem(
        'receipt-unknown',
        'receiptId',
        entry.receiptId,
        'an earlier purchase or harvest',
        `There is no receipt ${entry.receiptId} before this bill.`,
      );
    }
    if (this.#reversed.has(entry.receiptId)) {
      return problem(
        'receipt-reversed',
        'receiptId',
        entry.receiptId,
        'a receipt that was not reversed',
        `Receipt ${entry.receiptId} was reversed by ${this.#reversed.get(entry.receiptId)}.`,
      );
    }
    if (entry.amount.isZero() || entry.amount.amount.decimalPlaces() > MINOR_DIGITS) {
      return problem(
        'amount-not-in-cents',
        'amount',
        entry.amount.toString(),
        'whole cents, not zero',
        `A bill of ${entry.amount.toString()} cannot be booked.`,
      );
    }
    const landed = receipt.cost.inventoryChange;
    if (landed.plus(entry.amount).isNegative()) {
      return problem(
        'credit-above-cost',
        'amount',
        entry.amount.toString(),
        `no more than ${landed.toString()} back`,
        `The credit is larger than what the hay cost.`,
      );
    }
    const kept = this.#spreadBySource(receipt.address.hayKind, entry.amount, entry.receiptId);
    for (const { balance, money, share } of kept) {
      putIn(balance, Mass.zero, money);
      noteOrigin(balance, entry.id, share);
    }
    const intoInventory = Money.sum(
      kept.map(({ money }) => money),
      this.currency,
    );
    const variance = entry.amount.minus(intoInventory);
    const bills = this.#lateCosts.get(entry.receiptId);
    if (bills === undefined) this.#lateCosts.set(entry.receiptId, [entry.id]);
    else bills.push(entry.id);
    this.#noteVariance(entry, variance, 'late-cost');
    return this.#record(
      entry,
      receipt.address,
      { type: 'late-cost', source: entry.id, amount: entry.amount },
      {
        rows: [],
        amounts: [
          ['hay-inventory', intoInventory],
          ['purchase-price-variance', variance],
          [entry.owed === 'freight' ? 'freight-payable' : 'payables', entry.amount.negated()],
        ],
      },
    );
  }

  /** Shares an amount over the balances that still hold a source's cost; what is left over belongs to no balance. */
  #spreadBySource(
    hayKind: string,
    amount: Money,
    source: string,
  ): { balance: CostBalance; money: Money; share: ReturnType<typeof decimal> }[] {
    const holders = this.#flowOf(hayKind)
      .holdersOf(source)
      .map((balance) => ({ balance, share: shareStillHere(balance, source) }))
      .filter(({ share }) => share.gt(0));
    if (holders.length === 0) return [];
    const total = holders.reduce((sum, { share }) => sum.plus(share), decimal(0));
    const gone = decimal(1).minus(total);
    const weights = [...holders.map(({ share }) => share), gone.gt('1e-40') ? gone : decimal(0)];
    const shares = amount.sharedBy(weights);
    return holders.map(({ balance, share }, index) => {
      const money = shares[index] ?? Money.zero(this.currency);
      // A credit may not take out more than is there; the missing cent stays in the variance.
      return { balance, share, money: balance.value.plus(money).isNegative() ? balance.value.negated() : money };
    });
  }

  *#reverse(entry: ReversalEntry): Steps<Problem | undefined> {
    const done = this.#done.get(entry.reverses);
    if (!done)
      return problem(
        'reversed-unknown',
        'reverses',
        entry.reverses,
        'an earlier entry',
        `There is no entry ${entry.reverses} before this reversal.`,
      );
    const refusal = this.#refuseReversal(entry, done);
    if (refusal) return refusal;
    const rows = done.cost.rows.map((row) => ({ ...row, change: row.change.negated() }));
    for (const row of rows) {
      const short = row.change.isNegative()
        ? this.#shortProblem(row.lotId, row.placeId, row.change.negated(), 'reverses')
        : undefined;
      if (short) return short;
    }

    const inventoryChange = (yield* this.#takenBack(done, entry.id)) ?? this.#undo(done);
    const { lines, variance } = this.#mirrored(done, inventoryChange);
    this.#reversed.set(entry.reverses, entry.id);
    this.#noteVariance(entry, variance, 'reversal');
    this.#move(rows);
    this.#keep({
      entry,
      address: done.address,
      undo: done.undo,
      cost: {
        entryId: entry.id,
        on: entry.on,
        kind: 'reversal',
        reverses: entry.reverses,
        hayKind: done.address.hayKind,
        rows,
        massChange: done.cost.massChange.negated(),
        inventoryChange,
        ...(done.cost.herdId === undefined ? {} : { herdId: done.cost.herdId }),
        ...(done.cost.massChange.isZero() || inventoryChange.isZero()
          ? {}
          : { unitCost: inventoryChange.per(done.cost.massChange.negated()) }),
        drawnFrom: [],
        lines,
        notes: [],
      },
    });
    return undefined;
  }

  /**
   * Takes back hay and money that came by mistake: from here on the balances are those of the same history without it
   * and without its bills, whatever came or left since.
   * @returns the change of the inventory's money; undefined for what brought nothing, and where there is no such
   * history: where hay that never was went round in a circle before any other came.
   */
  *#takenBack({ entry, address: { hayKind } }: Done, reversalId: string): Steps<Money | undefined> {
    const begin = this.#turning.beginAt.get(entry.id);
    if (begin === undefined || this.byShare.has(reversalId)) return undefined;
    const ofKind = this.#turning.ofKind.get(hayKind) ?? [];
    const until = this.#turning.placeOf.get(reversalId)?.index;
    const noted = this.#noted.get(ofKind[begin]?.id ?? '');
    if (until === undefined || noted === undefined)
      throw new RangeError(`Nothing is known of what came before ${entry.id}`);
    const bills = this.#lateCosts.get(entry.id) ?? [];
    for (const id of [entry.id, reversalId, ...bills, ...bills.map((bill) => this.#reversed.get(bill) ?? '')])
      this.leftOut.add(id);
    const since = ofKind.slice(begin, until);
    const without = new Replay(this.method, this.currency, this.byShare, this.kindOfLot, this.leftOut);
    without.#turning = this.#turning;
    without.resume(noted.state);
    without.#waiting = noted.waiting.filter((one) => !this.leftOut.has(one.entry.id));
    if (!(yield* without.#postPatiently(since))) {
      this.cannotTakeBack ??= reversalId;
      return undefined;
    }
    return this.#goOnFrom(without, hayKind);
  }

  /** Takes the balances of a history without some entries in place of its own; returns the change of their money. */
  #goOnFrom(without: Replay, hayKind: string): Money {
    const value = this.#flowOf(hayKind).valueOfKind(hayKind);
    const flow = without.#flowOf(hayKind);
    this.#flows.set(hayKind, flow);
    for (const [point, noted] of without.#noted) this.#noted.set(point, noted);
    // What is undone later is undone in these balances.
    for (const [id, { undo }] of without.#done) {
      const known = this.#done.get(id);
      if (known !== undefined) this.#done.set(id, { ...known, undo });
    }
    return flow.valueOfKind(hayKind).minus(value);
  }

  /**
   * Posts entries of a history that lacks some hay: what was drawn of it is drawn from the hay that came next, and what
   * was drawn and put back before that is left out.
   * @returns whether all could be posted.
   */
  *#postPatiently(entries: readonly CostingEntry[]): Steps<boolean> {
    for (const [index, entry] of entries.entries()) {
      this.#note(entry.id);
      if (this.leftOut.has(entry.id)) continue;
      const undone = entry.kind === 'reversal' && this.#waiting.some((one) => one.entry.id === entry.reverses);
      if (undone) {
        this.#waiting = this.#waiting.filter((one) => one.entry.id !== entry.reverses);
        continue;
      }
      const found = yield* this.#postOne(entry);
      yield;
      if (found === undefined) yield* this.#postWaiting();
      else if (found.code === 'lot-drawn-below-zero') this.#waiting.push({ entry, index, found });
      else return false;
    }
    return this.#waiting.length === 0;
  }

  #refuseReversal(entry: ReversalEntry, done: Done): Problem | undefined {
    if (done.entry.kind === 'reversal')
      return problem(
        'reversal-of-reversal',
        'reverses',
        entry.reverses,
        'an entry that is not itself a reversal',
        'A reversal cannot be reversed: enter the correct record again.',
      );
    const by = this.#reversed.get(entry.reverses);
    if (by !== undefined)
      return problem(
        'reversed-already',
        'reverses',
        entry.reverses,
        'an entry that was not reversed',
        `Entry ${entry.reverses} was reversed by ${by}.`,
      );
    if (entry.reason.trim() === '')
      return problem('reason-missing', 'reason', entry.reason, 'some words', 'A reversal needs its reason.');
    const standing = (this.#lateCosts.get(entry.reverses) ?? []).filter((id) => !this.#reversed.has(id));
    if (standing.length > 0)
      return problem(
        'late-costs-stand',
        'reverses',
        entry.reverses,
        'a receipt without later bills',
        `Reverse the later bills first: ${standing.join(', ')}.`,
      );
    return undefined;
  }

  /** The posting of a reversal: every line mirrored, the inventory at what it holds now, the rest a variance. */
  #mirrored(done: Done, inventoryChange: Money): { lines: PostingLine[]; variance: Money } {
    const kept = done.cost.lines.filter(
      (line) => line.account !== 'hay-inventory' && line.account !== 'purchase-price-variance',
    );
    const mirrored = kept.map((line): PostingLine => ({ ...line, amount: line.amount.negated() }));
    const variance = Money.sum([inventoryChange, ...mirrored.map((line) => line.amount)], this.currency).negated();
    const where = { hayKind: done.address.hayKind, lotId: done.address.lotId };
    const lines = [
      { account: 'hay-inventory' as const, amount: inventoryChange, ...where },
      ...mirrored,
      { account: 'purchase-price-variance' as const, amount: variance, ...where },
    ].filter((line) => !line.amount.isZero());
    return { lines, variance };
  }

  /** Undoes an entry's effect on the costs; returns the change of the inventory's money. */
  #undo({ undo, address }: Done): Money {
    const flow = this.#flowOf(address.hayKind);
    switch (undo.type) {
      case 'inflow':
        return flow.undoInflow(undo.inflow).negated();
      case 'draw':
        flow.undoDraw(address, undo.pieces);
        return Money.sum(
          undo.pieces.map((piece) => piece.value),
          this.currency,
        );
      case 'stretch': {
        const change = Mass.sum(undo.pieces.map(({ mass }) => mass));
        if (change.isPositive() && flow.massAt(address).compare(change) <= 0) {
          // The found hay is all that is left: its money cannot stay without hay.
          return Money.sum(
            flow.draw(address, change).map((piece) => piece.value),
            this.currency,
          ).negated();
        }
        flow.undoStretch(address, undo.pieces);
        return Money.zero(this.currency);
      }
      case 'late-cost': {
        const back = this.#spreadBySource(address.hayKind, undo.amount, undo.source);
        const out = back.map(({ balance, money }) => (money.compare(balance.value) > 0 ? balance.value : money));
        back.forEach(({ balance }, index) => {
          putIn(balance, Mass.zero, (out[index] ?? Money.zero(this.currency)).negated());
          forgetOrigin(balance, undo.source);
        });
        return Money.sum(out, this.currency).negated();
      }
      case 'move':
        if (undo.move === undefined) return Money.zero(this.currency);
        return undo.move.piece.value.minus(flow.undoMove(undo.move));
    }
  }

  #record(
    entry: CostingEntry,
    address: HayAddress,
    undo: Undo,
    did: {
      rows: EntryCost['rows'];
      amounts: readonly (readonly [AccountRole, Money])[];
      pieces?: readonly CostPiece[];
      notes?: readonly CostingNote[];
      herdId?: string;
    },
  ): undefined {
    const inventoryChange = Money.sum(
      did.amounts.filter(([account]) => account === 'hay-inventory').map(([, amount]) => amount),
      this.currency,
    );
    const massChange = Mass.sum(did.rows.map((row) => row.change));
    const lines = did.amounts
      .filter(([, amount]) => !amount.isZero())
      .map(([account, amount]): PostingLine => ({
        account,
        amount,
        hayKind: address.hayKind,
        lotId: address.lotId,
        ...(did.herdId !== undefined && account === 'feed-expense' ? { herdId: did.herdId } : {}),
      }));
    this.#move(did.rows);
    this.#keep({
      entry,
      address,
      undo,
      cost: {
        entryId: entry.id,
        on: entry.on,
        kind: entry.kind,
        hayKind: address.hayKind,
        rows: did.rows,
        massChange,
        inventoryChange,
        ...(did.herdId === undefined ? {} : { herdId: did.herdId }),
        ...(massChange.isZero() || inventoryChange.isZero() ? {} : { unitCost: inventoryChange.per(massChange) }),
        drawnFrom: (did.pieces ?? []).map((piece) => ({
          from: piece.balance.key,
          mass: piece.mass,
          cost: piece.value,
        })),
        lines,
        notes: did.notes ?? [],
      },
    });
    return undefined;
  }

  /** Notes what is known of an entry's kind before it, where a history may have to be taken up again. */
  #note(entryId: string): void {
    const place = this.#turning.points.has(entryId) ? this.#turning.placeOf.get(entryId) : undefined;
    if (place === undefined) return;
    const { hayKind } = place;
    this.#noted.set(entryId, {
      state: {
        lots: this.#lots(hayKind),
        kinds: [{ hayKind, balances: this.#flowOf(hayKind).stateOf(hayKind) }],
        totals: NOTHING_YET,
      },
      waiting: this.#waiting.filter((one) => this.#turning.placeOf.get(one.entry.id)?.hayKind === hayKind),
    });
  }

  #keep(done: Done): void {
    this.#done.set(done.entry.id, done);
    this.#totals.add(done.cost);
  }

  #flowOf(hayKind: string): CostFlow {
    const known = this.#flows.get(hayKind);
    if (known !== undefined) return known;
    const made = costFlow(this.method, this.currency);
    this.#flows.set(hayKind, made);
    return made;
  }

  #move(rows: EntryCost['rows']): void {
    for (const { lotId, placeId, change } of rows) {
      const places = this.#stock.get(lotId) ?? new Map<string, Mass>();
      places.set(placeId, (places.get(placeId) ?? Mass.zero).plus(change));
      this.#stock.set(lotId, places);
    }
  }

  #noteVariance(entry: { id: string; on: CalendarDay }, amount: Money, cause: CostVariance['cause']): void {
    if (amount.isZero()) return;
    this.#variances.push({ entryId: entry.id, on: entry.on, amount, cause });
    this.#totals.addVariance();
  }

  #shortProblem(lotId: string, placeId: string, mass: Mass, field = 'mass'): Problem | undefined {
    const left = this.#stock.get(lotId)?.get(placeId) ?? Mass.zero;
    if (left.compare(mass) >= 0) return undefined;
    return problem(
      'lot-drawn-below-zero',
      field,
      mass.toString(),
      `at most ${left.toString()}`,
      `Lot ${lotId} has ${left.toString()} left at ${placeId}.`,
    );
  }

  #kindProblem(field: string, lotId: string, hayKind: string): Problem | undefined {
    const known = this.kindOfLot.get(lotId);
    if (known === undefined || known === hayKind) return undefined;
    return problem(
      'lot-of-another-kind',
      field,
      hayKind,
      known,
      `Lot ${lotId} is ${known}; one lot holds one kind of hay.`,
    );
  }

  result(): CostReplay {
    const lots = this.#closingLots();
    const kinds = [...this.#flows].map(([hayKind, flow]) => {
      const balances = flow.balancesOf(hayKind);
      return {
        hayKind,
        value: flow.valueOfKind(hayKind),
        mass: Mass.sum(balances.map(({ mass }) => mass)),
        layers: balances.map(({ key, mass, value }) => ({ key, mass, value })),
      };
    });
    return {
      ok: true,
      method: this.method,
      currency: this.currency,
      ...this.costs(),
      lots,
      kinds,
      totals: this.#totals.asText(),
      closingMass: Mass.sum(kinds.map(({ mass }) => mass)),
      closingValue: Money.sum(
        kinds.map(({ value }) => value),
        this.currency,
      ),
      feedByHerd: this.#feedByHerd(),
    };
  }

  #closingLots(): CostReplay['lots'] {
    // In an order of their own: which lot has the odd cent must not depend on which of them came first.
    const inOrder = [...this.#stock].sort(([one], [other]) => (one < other ? -1 : 1));
    const lots = inOrder.map(([lotId, places]) => ({
      lotId,
      hayKind: this.kindOfLot.get(lotId) ?? '',
      mass: Mass.sum(places.values()),
      places,
    }));
    return [...this.#flows].flatMap(([hayKind, flow]) => {
      const ofKind = lots.filter((lot) => lot.hayKind === hayKind);
      const values = flow.valueOfLots(hayKind, ofKind);
      return ofKind.map((lot, index) => {
        const value = values[index] ?? Money.zero(this.currency);
        const held = [...lot.places].filter(([, mass]) => mass.isPositive());
        const shares = held.length > 0 ? value.sharedBy(held.map(([, mass]) => mass.kilograms)) : [];
        return {
          lotId: lot.lotId,
          hayKind,
          mass: lot.mass,
          value,
          places: held.map(([placeId, mass], place) => ({
            placeId,
            mass,
            value: shares[place] ?? Money.zero(this.currency),
          })),
        };
      });
    });
  }

  #feedByHerd(): CostReplay['feedByHerd'] {
    const herds = new Map<string, { mass: Mass; cost: Money }>();
    for (const { cost } of this.#done.values()) {
      if (cost.herdId === undefined) continue;
      const so = herds.get(cost.herdId) ?? { mass: Mass.zero, cost: Money.zero(this.currency) };
      herds.set(cost.herdId, { mass: so.mass.minus(cost.massChange), cost: so.cost.plus(chargedToFeed(cost)) });
    }
    return [...herds].map(([herdId, { mass, cost }]) => ({ herdId, mass, cost }));
  }
}

function massProblem(field: string, mass: Mass): Problem | undefined {
  if (!mass.isPositive())
    return problem(
      'mass-not-positive',
      field,
      mass.toString(),
      'more than 0 kg',
      `A movement of ${mass.toString()} moves nothing.`,
    );
  if (mass.kilograms.decimalPlaces() > KILOGRAM_PLACES) {
    return problem(
      'mass-too-fine',
      field,
      mass.toString(),
      `at most ${KILOGRAM_PLACES} decimal places of a kilogram`,
      `${mass.toString()} is finer than the books keep.`,
    );
  }
  return undefined;
}

function moneyProblem(field: string, money: Money): Problem | undefined {
  if (money.isNegative() || money.amount.decimalPlaces() > MINOR_DIGITS) {
    return problem(
      'amount-not-in-cents',
      field,
      money.toString(),
      'whole cents, not below zero',
      `${money.toString()} cannot be booked.`,
    );
  }
  return undefined;
}
