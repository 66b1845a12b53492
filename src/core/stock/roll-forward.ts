import type { CalendarDay } from '../time/calendar-day.js';
import { putsEarlierRight } from '../time/what-stands.js';
import { Mass } from '../units/mass.js';
import { type Currency, Money } from '../units/money.js';
import type { CostReplay, EntryCost } from './costing-replay.js';

/**
 * What can change an inventory between two days. A transfer is one only between rows: hay moved within a kind or a
 * ranch is neither in nor out of it. `correction`: what reversals, and what stands in place of what they took back,
 * change of earlier periods, and what taking back a receipt changes besides the receipt itself, since part of its hay
 * had left. `costing-method`: what a change of the
 * method makes of the hay on hand, in money alone.
 */
export const ROLL_FLOWS = [
  'bought',
  'raised',
  'transferred-in',
  'transferred-out',
  'fed',
  'sold',
  'shrink',
  'counted',
  'late-cost',
  'correction',
  'costing-method',
] as const;
export type RollFlow = (typeof ROLL_FLOWS)[number];

/** Signed: what adds to the inventory is above zero. */
export interface Worth {
  readonly mass: Mass;
  readonly value: Money;
}

export interface RollRow {
  readonly key: string;
  readonly opening: Worth;
  readonly flows: Readonly<Record<RollFlow, Worth>>;
  /**
   * Money that lots of one kind hold in common under an average or layers, or that a bill or a receipt taken back
   * spread over several lots; zero in sum over a kind.
   */
  readonly betweenLots: Money;
  readonly closing: Worth;
}

export interface RollForward {
  readonly rows: readonly RollRow[];
  /** Of all lots together, where no transfer leaves. */
  readonly total: RollRow;
}

type LotsAt = CostReplay['lots'];

/** A change of one lot. */
interface Change {
  lotId: string;
  flow: RollFlow;
  mass: Mass;
  value: Money;
  /** Of a transfer, the lot on its other side. */
  other?: string;
}

/**
 * From the inventory at the end of one day to that at the end of another, lot by lot, in mass and money under the
 * books' costing method: opening + all flows + between lots = closing (the cost of goods worksheet of a periodic
 * inventory, opening + purchases - closing = used, with every use told apart).
 *
 * @param entries of the days between, in their order; earlier ones may come before them.
 * @param from the first of these days.
 * @param postedInPlace of entries that were posted late in place of a record, the day that was given.
 * @param keyOf which row a lot belongs to.
 */
export function rollForward(input: {
  opening: LotsAt;
  entries: readonly EntryCost[];
  from: string;
  postedInPlace?: ReadonlyMap<string, CalendarDay>;
  closing: LotsAt;
  keyOf: (lotId: string) => string;
  currency: Currency;
}): RollForward {
  const { opening, closing, currency, keyOf } = input;
  const changes = new Changes(opening, input, currency).of(input.entries);
  const lots = [...new Set([...opening, ...closing].map(({ lotId }) => lotId).concat(changes.map((one) => one.lotId)))];
  const keys = [...new Set(lots.map(keyOf))].sort();
  const row = (key: string, rowOf: (lotId: string) => string): RollRow =>
    rowFrom(
      key,
      opening.filter((lot) => rowOf(lot.lotId) === key),
      changes.filter((one) => rowOf(one.lotId) === key && (one.other === undefined || rowOf(one.other) !== key)),
      closing.filter((lot) => rowOf(lot.lotId) === key),
      currency,
    );
  return {
    rows: keys.map((key) => row(key, keyOf)).filter((one) => !isNothing(one)),
    total: row('total', () => 'total'),
  };
}

function rowFrom(
  key: string,
  opening: LotsAt,
  changes: readonly Change[],
  closing: LotsAt,
  currency: Currency,
): RollRow {
  const worth = (some: readonly { mass: Mass; value: Money }[]): Worth => ({
    mass: Mass.sum(some.map(({ mass }) => mass)),
    value: Money.sum(
      some.map(({ value }) => value),
      currency,
    ),
  });
  const flows = Object.fromEntries(
    ROLL_FLOWS.map((flow) => [flow, worth(changes.filter((one) => one.flow === flow))]),
  ) as Record<RollFlow, Worth>;
  const [before, after] = [worth(opening), worth(closing)];
  const told = Object.values(flows).reduce((sum, { value }) => sum.plus(value), before.value);
  return { key, opening: before, flows, betweenLots: after.value.minus(told), closing: after };
}

function isNothing({ opening, flows, betweenLots, closing }: RollRow): boolean {
  const none = ({ mass, value }: Worth): boolean => mass.isZero() && value.isZero();
  return betweenLots.isZero() && [opening, closing, ...Object.values(flows)].every(none);
}

const FLOW_OF: Readonly<
  Record<Exclude<EntryCost['kind'], 'transfer' | 'reversal' | 'costing-method-change'>, RollFlow>
> = {
  purchase: 'bought',
  harvest: 'raised',
  feed: 'fed',
  sale: 'sold',
  shrink: 'shrink',
  'count-adjustment': 'counted',
  'late-cost': 'late-cost',
};

/** Goes through entries in their order, with what each kind of hay holds before each of them. */
class Changes {
  readonly #kinds = new Map<string, Worth>();
  readonly #ofEntry = new Map<string, { entry: EntryCost; changes: readonly Change[] }>();

  constructor(
    opening: LotsAt,
    private readonly span: { readonly from: string; readonly postedInPlace?: ReadonlyMap<string, CalendarDay> },
    private readonly currency: Currency,
  ) {
    for (const lot of opening) this.#add(lot.hayKind, lot);
  }

  of(entries: readonly EntryCost[]): Change[] {
    return entries
      .filter((entry) => entry.on >= this.span.from)
      .flatMap((entry) => {
        const changes = entry.kind === 'reversal' ? this.#reversed(entry) : this.#entered(entry, entry.kind);
        this.#ofEntry.set(entry.entryId, { entry, changes });
        if (entry.kind === 'costing-method-change')
          for (const { hayKind, amount } of inventoryLines(entry))
            this.#add(hayKind, { mass: Mass.zero, value: amount });
        else this.#add(entry.hayKind, { mass: entry.massChange, value: entry.inventoryChange });
        return changes;
      });
  }

  #entered(entry: EntryCost, kind: Exclude<EntryCost['kind'], 'reversal'>): Change[] {
    if (kind === 'costing-method-change') return revalued(entry);
    const changes = kind === 'transfer' ? this.#moved(entry) : [only(entry, FLOW_OF[kind])];
    return putsEarlierRight(this.span.postedInPlace?.get(entry.entryId), this.span)
      ? changes.map((one) => ({ ...one, flow: 'correction' }))
      : changes;
  }

  #moved({ rows, drawnFrom, hayKind }: EntryCost): Change[] {
    const [out, into] = rows;
    if (out === undefined || into === undefined || out.lotId === into.lotId) return [];
    const cost =
      drawnFrom.length === 0
        ? this.#worth(hayKind, into.change)
        : Money.sum(
            drawnFrom.map((piece) => piece.cost),
            this.currency,
          );
    return [
      { lotId: out.lotId, other: into.lotId, flow: 'transferred-out', mass: out.change, value: cost.negated() },
      { lotId: into.lotId, other: out.lotId, flow: 'transferred-in', mass: into.change, value: cost },
    ];
  }

  /** By `core/time/what-stands.ts`: gone with its record where both are of these days, else a correction. */
  #reversed(entry: EntryCost): Change[] {
    const known = this.#ofEntry.get(entry.reverses ?? '');
    if (known === undefined) return this.#corrected(entry);
    const ofMethod = this.#ofMethod(entry);
    const rest = entry.inventoryChange.plus(known.entry.inventoryChange).minus(ofMethod);
    const lotId = lotOf(entry);
    return [
      ...known.changes.map((one) => ({ ...one, mass: one.mass.negated(), value: one.value.negated() })),
      ...moneyAlone({ lotId, flow: 'correction', value: rest }),
      ...moneyAlone({ lotId, flow: 'costing-method', value: ofMethod }),
    ];
  }

  #corrected(entry: EntryCost): Change[] {
    const [first, second] = entry.rows;
    if (first === undefined || second === undefined) {
      const [lotId, ofMethod] = [lotOf(entry), this.#ofMethod(entry)];
      const value = entry.inventoryChange.minus(ofMethod);
      return [
        { lotId, flow: 'correction', mass: entry.massChange, value },
        ...moneyAlone({ lotId, flow: 'costing-method', value: ofMethod }),
      ];
    }
    if (first.lotId === second.lotId) return [];
    const cost = this.#worth(entry.hayKind, first.change);
    const change = { flow: 'correction' as const };
    return [
      { ...change, lotId: first.lotId, other: second.lotId, mass: first.change, value: cost },
      { ...change, lotId: second.lotId, other: first.lotId, mass: second.change, value: cost.negated() },
      ...moneyAlone({ ...change, lotId: second.lotId, value: entry.inventoryChange }),
    ];
  }

  /** Of what a reversal gives back, the part that a change of the method had made of it. */
  #ofMethod({ lines }: EntryCost): Money {
    return Money.sum(
      lines.flatMap(({ account, amount }) => (account === 'costing-method-change' ? [amount.negated()] : [])),
      this.currency,
    );
  }

  /** What hay of a kind is worth now, by its mean. */
  #worth(hayKind: string, mass: Mass): Money {
    const held = this.#kinds.get(hayKind);
    if (held === undefined || !held.mass.isPositive()) return Money.zero(this.currency);
    return held.value.portion(mass.kilograms, held.mass.kilograms).rounded();
  }

  #add(hayKind: string, { mass, value }: Worth): void {
    const held = this.#kinds.get(hayKind);
    this.#kinds.set(
      hayKind,
      held === undefined ? { mass, value } : { mass: held.mass.plus(mass), value: held.value.plus(value) },
    );
  }
}

function only(entry: EntryCost, flow: RollFlow): Change {
  return { lotId: lotOf(entry), flow, mass: entry.massChange, value: entry.inventoryChange };
}

function moneyAlone(change: Omit<Change, 'mass'>): Change[] {
  return change.value.isZero() ? [] : [{ ...change, mass: Mass.zero }];
}

function inventoryLines({ lines }: EntryCost): EntryCost['lines'] {
  return lines.filter(({ account }) => account === 'hay-inventory');
}

/** What a change of the method makes of each lot. */
function revalued(entry: EntryCost): Change[] {
  return inventoryLines(entry).map(({ lotId, amount }) => ({
    lotId,
    flow: 'costing-method',
    mass: Mass.zero,
    value: amount,
  }));
}

/** The lot that an entry of one lot is about; a bill moves no hay but is posted to one. */
function lotOf({ rows, lines }: EntryCost): string {
  return rows.at(-1)?.lotId ?? lines[0]?.lotId ?? '';
}
