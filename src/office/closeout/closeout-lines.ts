import { cattleLineOf, type CattleLine } from '../../core/closeout/cattle-money.js';
import { type CattleChange, type Closeout, perHead } from '../../core/closeout/closeout.js';
import type { PricedChange } from '../../core/closeout/herd-account.js';
import type { SharedVariance } from '../../core/stock/who-ate.js';
import { Mass } from '../../core/units/mass.js';
import { type Currency, Money } from '../../core/units/money.js';
import { formatMass, formatMoney, type UnitSystem } from '../../platform/wire/quantity.schema.js';
import type { CloseoutAnswer } from './closeout.schema.js';
import type { CostRow } from './herd-books.js';

type Line = CloseoutAnswer['lines'][number];
type Entry = Line['entries'][number];

/** A feeding of the account, at what it cost in the books. */
export interface FedEntry {
  readonly id: string;
  readonly feedingId: string;
  readonly on: string;
  readonly lot: string;
  readonly isHay: boolean;
  readonly mass: Mass;
  readonly cost: Money;
}

export interface LineInputs {
  operationId: string;
  herdId: string;
  from: string;
  until: string;
  units: UnitSystem;
  currency: Currency;
  changes: readonly PricedChange[];
  fed: readonly FedEntry[];
  herdCosts: readonly CostRow[];
  late: readonly { variance: SharedVariance; amount: Money }[];
}

const CATTLE_WORDS: Readonly<Record<CattleChange['kind'], string>> = {
  in: 'Came in',
  'move-in': 'Moved in',
  out: 'Went out',
  'move-out': 'Moved out',
  death: 'Died',
  sale: 'Sold',
};

/** Every line of a closeout with the records that it is made of. */
export function closeoutLines(found: Closeout, inputs: LineInputs): Line[] {
  return [...cattleLines(found, inputs), ...feedLines(found, inputs), ...otherLines(found, inputs)].filter(
    ({ amount, entries }) => entries.length > 0 || amount === null || Number(amount.amount) !== 0,
  );
}

type LineWriter = (
  line: string,
  label: string,
  side: Line['side'],
  amount: Money | null,
  more: { entries?: Entry[]; href?: string },
) => Line;

function writer({ head }: Closeout): LineWriter {
  return (line, label, side, amount, { entries = [], href }) => ({
    line,
    label,
    side,
    amount: moneyOrNull(amount),
    perHeadIn: amount === null ? null : moneyOrNull(perHead(amount, head.in)),
    href: href ?? null,
    entries,
  });
}

function moneyOrNull(amount: Money | null): ReturnType<typeof formatMoney> | null {
  return amount === null ? null : formatMoney(amount);
}

const base = ({ operationId }: LineInputs): string => `/v1/operations/${operationId}`;
const span = ({ from, until }: LineInputs): string => `from=${from}&until=${until}`;

function cattleLines(found: Closeout, inputs: LineInputs): Line[] {
  const line = writer(found);
  const { cattle, head } = found;
  const href = `${base(inputs)}/herds/${inputs.herdId}/head-changes?${span(inputs)}`;
  const own = (name: CattleLine): PricedChange[] => inputs.changes.filter((one) => cattleLineOf(one) === name);
  const of = (name: CattleLine): { entries: Entry[]; href: string } => ({
    entries: own(name).map((one) => changeEntry(one, inputs)),
    href,
  });
  /** Null where one of its entries has no price: part of a sum looks like the whole. */
  const whole = (amount: Money, name: CattleLine): Money | null =>
    own(name).some(({ worth }) => worth === null) ? null : amount;
  const stated = (at: 'opening' | 'closing'): { entries: Entry[] } => ({
    entries: head[at] === 0 || cattle[at] === null ? [] : [statedEntry(at, head[at], cattle[at], inputs)],
  });
  return [
    line('opening-cattle', 'Cattle at the beginning, valued', 'cattle-in', cattle.opening, stated('opening')),
    line('cattle-bought', 'Cattle bought', 'cattle-in', whole(cattle.bought, 'cattle-bought'), of('cattle-bought')),
    line('cattle-valued-in', 'Cattle moved in or raised, valued', 'cattle-in', cattle.valuedIn, of('cattle-valued-in')),
    line('cattle-sold', 'Cattle sold', 'cattle-out', whole(cattle.sold, 'cattle-sold'), of('cattle-sold')),
    line('cattle-valued-out', 'Cattle moved out, valued', 'cattle-out', cattle.valuedOut, of('cattle-valued-out')),
    line('dead-cattle', 'Dead cattle, and what they brought', 'cattle-out', cattle.broughtByDead, of('dead-cattle')),
    line('closing-cattle', 'Cattle at the end, valued', 'cattle-out', cattle.closing, stated('closing')),
  ];
}

function feedLines({ costs, ...found }: Closeout, inputs: LineInputs): Line[] {
  const line = writer({ costs, ...found });
  const href = `${base(inputs)}/reports/season-cost?by=herd&${span(inputs)}`;
  const of = (hay: boolean): { entries: Entry[]; href: string } => ({
    entries: inputs.fed.filter(({ isHay }) => isHay === hay).map((one) => fedEntry(one, inputs)),
    href,
  });
  return [
    line('hay', 'Hay at cost', 'cost', costs.hay, of(true)),
    line('other-feed', 'Other feed at cost', 'cost', costs.otherFeed, of(false)),
  ];
}

function otherLines(found: Closeout, inputs: LineInputs): Line[] {
  const line = writer(found);
  const { costs } = found;
  return [
    line('yardage', 'Yardage', 'cost', costs.yardage, {
      href: `${base(inputs)}/herds/${inputs.herdId}/head-days?${span(inputs)}`,
    }),
    ...costs.herdCosts.map(({ kind, amount }) =>
      line(kind, LABELS[kind] ?? kind, 'cost', amount, {
        entries: inputs.herdCosts.filter((one) => one.kind === kind).map((one) => costEntry(one, inputs)),
        href: `${base(inputs)}/herd-costs?herdId=${inputs.herdId}&${span(inputs)}`,
      }),
    ),
    line('late-costs', 'Late bills for hay that they ate', 'cost', costs.lateCosts, {
      entries: inputs.late.map((one) => lateEntry(one, inputs)),
    }),
    line('interest-on-cattle', 'Interest on cattle', 'cost', costs.interest.onCattle, {}),
    line('interest-on-costs', 'Interest on feed and other costs', 'cost', costs.interest.onCosts, {}),
  ];
}

const LABELS: Readonly<Record<string, string>> = {
  veterinary: 'Veterinary',
  processing: 'Processing',
  'death-disposal': 'Disposal of the dead',
  trucking: 'Trucking',
  commission: 'Commission',
  pasture: 'Pasture',
  insurance: 'Insurance',
  other: 'Other costs',
};

function changeEntry(one: LineInputs['changes'][number], inputs: LineInputs): Entry {
  return {
    kind: 'head-change',
    id: one.id,
    on: one.on,
    head: one.head,
    mass: one.totalWeight === null ? null : formatMass(one.totalWeight, inputs.units, 'small'),
    amount: one.worth === null ? null : formatMoney(one.worth),
    words: one.party === null ? CATTLE_WORDS[one.kind] : `${CATTLE_WORDS[one.kind]}: ${one.party}`,
    href: `${base(inputs)}/herds/${inputs.herdId}/head-changes/${one.id}`,
  };
}

function statedEntry(at: 'opening' | 'closing', head: number, value: Money, { from, until }: LineInputs): Entry {
  return {
    kind: 'stated-value',
    id: null,
    on: at === 'opening' ? from : until,
    head,
    mass: null,
    amount: formatMoney(value),
    words: 'Value stated for this report',
    href: null,
  };
}

function fedEntry({ feedingId, on, lot, mass, cost }: FedEntry, inputs: LineInputs): Entry {
  return {
    kind: 'feeding',
    id: feedingId,
    on,
    head: null,
    mass: formatMass(mass, inputs.units, 'small'),
    amount: formatMoney(cost),
    words: lot,
    href: `${base(inputs)}/feedings/${feedingId}`,
  };
}

function costEntry({ herdCostId, on, payee, amount }: CostRow, inputs: LineInputs): Entry {
  return {
    kind: 'herd-cost',
    id: herdCostId,
    on,
    head: null,
    mass: null,
    amount: formatMoney(amount),
    words: payee,
    href: `${base(inputs)}/herd-costs/${herdCostId}`,
  };
}

function lateEntry({ variance, amount }: LineInputs['late'][number], inputs: LineInputs): Entry {
  return {
    kind: 'cost-variance',
    id: variance.entryId,
    on: variance.on,
    head: null,
    mass: null,
    amount: formatMoney(amount),
    words: 'Share of a bill that came after its hay was eaten',
    href: `${base(inputs)}/reports/cost-variances?from=${variance.on}&until=${variance.on}`,
  };
}
