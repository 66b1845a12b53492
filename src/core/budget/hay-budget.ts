import { addDays, compareDays, dayNumber, daysBetween, monthOf, type CalendarDay } from '../time/calendar-day.js';
import { headOn, type HeadStep } from '../standing/head-days.js';
import { lossUntil } from '../stock/losses.js';
import { type Decimal, decimal } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { Money, type Currency, type PricePerMass } from '../units/money.js';
import { tooManySteps } from './budget-steps.js';
import { hayNeed, headToFeed, herdInMonth, periodHayNeed, type HerdPlan, type Share } from './hay-need.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { problem, type Problem } from '../outcome/problem.js';

/** A lot in the yard. Its balance was right on `countedOn`; from then on storage takes its loss. */
export interface LotOnHand {
  readonly lotId: string;
  readonly hayKind: string;
  readonly balance: Mass;
  readonly storedOn: CalendarDay;
  readonly countedOn: CalendarDay;
  /** Loss of a whole storage season, a share; a published figure or the ranch's own. */
  readonly seasonLoss: Share;
  readonly seasonDays?: number;
}

export interface HayBudgetInput {
  readonly herds: readonly HerdPlan[];
  /** In feeding order: the first lot of a kind is fed out before the next of that kind is started. */
  readonly lots: readonly LotOnHand[];
  readonly from: CalendarDay;
  readonly until: CalendarDay;
  readonly currency: Currency;
  /** Delivered price of what must be bought, by kind. */
  readonly prices: readonly { readonly hayKind: string; readonly price: PricePerMass }[];
  /**
   * When a kind runs out: feed whatever other lots there are, in feeding order. Otherwise kinds do not fill in for
   * each other.
   */
  readonly substituteKinds?: boolean;
  /** Factor on each herd's plan from `today` on; from a re-forecast or a what-if. */
  readonly needTimes?: readonly { readonly herdId: string; readonly times: Decimal }[];
}

export interface StockOnDay {
  readonly on: CalendarDay;
  readonly byKind: readonly { readonly hayKind: string; readonly mass: Mass }[];
}

export interface HayBudget {
  readonly ok: true;
  readonly from: CalendarDay;
  readonly until: CalendarDay;
  readonly lots: readonly {
    readonly lotId: string;
    readonly hayKind: string;
    readonly balance: Mass;
    readonly fed: Mass;
    readonly lost: Mass;
    readonly left: Mass;
    readonly runsOutOn: CalendarDay | null;
  }[];
  readonly kinds: readonly {
    readonly hayKind: string;
    readonly needed: Mass;
    readonly fed: Mass;
    readonly short: Mass;
    readonly firstShortOn: CalendarDay | null;
    readonly surplus: Mass;
  }[];
  readonly months: readonly {
    readonly month: string;
    readonly hayKind: string;
    readonly needed: Mass;
    readonly short: Mass;
  }[];
  readonly yard: {
    readonly needed: Mass;
    readonly fed: Mass;
    readonly short: Mass;
    readonly surplus: Mass;
    readonly runsOutOn: CalendarDay | null;
    readonly daysShort: number;
  };
  /** What is left and usable at the end of every seventh day, of the day the yard runs out and of the last day. */
  readonly stock: readonly StockOnDay[];
  readonly toBuy: readonly { readonly hayKind: string; readonly mass: Mass; readonly cost: Money | null }[];
  /** Of the kinds that have a price; null if any of them has none. */
  readonly costToBuy: Money | null;
}

/**
 * Hay of a lot that is still usable on a day if none is fed until then: balance × (1 − loss to the day) ÷ (1
 * − loss to the count).
 */
export function usableSupply(lot: LotOnHand, day: CalendarDay): Mass {
  return usable({ lot, lossAtCount: lossOn(lot, lot.countedOn), rest: lot.balance }, day);
}

interface LotState {
  readonly lot: LotOnHand;
  readonly lossAtCount: Decimal;
  /** What is left, as of the count: before the loss that is still to come. */
  rest: Mass;
  fed: Mass;
  runsOutOn: CalendarDay | null;
}

/**
 * Feeds the yard day by day over [from, until): each day's need by kind comes off the lots in feeding order, each lot
 * first reduced to what storage has left of it by that day: balance × (1 − loss to the day) ÷ (1 − loss to the
 * count). What the lots cannot supply is short and must be bought. A lot runs out on the day its last hay is fed; the
 * yard runs out on the first day whose need it cannot meet.
 */
export function hayBudget(input: HayBudgetInput): HayBudget | Refusal {
  const tooMuch = tooManySteps(input);
  if (tooMuch !== undefined) return refused([tooMuch]);
  const problems = lotProblems(input);
  if (problems.length > 0) return refused(problems);
  const plan = periodHayNeed(input);
  if (!plan.ok) return plan;
  const herds = dailyHerds(input);
  if ('problems' in herds) return herds;

  const states: LotState[] = input.lots.map((lot) => ({
    lot,
    lossAtCount: lossOn(lot, lot.countedOn),
    rest: lot.balance,
    fed: Mass.zero,
    runsOutOn: null,
  }));
  const kinds = new Map<string, { needed: Mass; short: Mass; firstShortOn: CalendarDay | null }>();
  const months = new Map<string, { month: string; hayKind: string; needed: Mass; short: Mass }>();
  const stock: StockOnDay[] = [];
  let daysShort = 0;
  let yardOut: CalendarDay | null = null;
  for (let day = input.from; compareDays(day, input.until) < 0; day = addDays(day, 1)) {
    let shortToday = false;
    for (const [hayKind, needed] of needOnDay(herds, day)) {
      const short = feedFrom(states, day, hayKind, needed, input.substituteKinds === true);
      const kind = kinds.get(hayKind) ?? { needed: Mass.zero, short: Mass.zero, firstShortOn: null };
      kinds.set(hayKind, {
        needed: kind.needed.plus(needed),
        short: kind.short.plus(short),
        firstShortOn: kind.firstShortOn ?? (short.isPositive() ? day : null),
      });
      const key = `${monthOf(day)} ${hayKind}`;
      const month = months.get(key) ?? { month: monthOf(day), hayKind, needed: Mass.zero, short: Mass.zero };
      months.set(key, { ...month, needed: month.needed.plus(needed), short: month.short.plus(short) });
      shortToday ||= short.isPositive();
    }
    if (shortToday) {
      daysShort += 1;
      yardOut ??= day;
    }
    if (isStockDay(input, day) || yardOut === day) stock.push({ on: day, byKind: stockOn(states, day) });
  }
  return settle(input, states, { kinds, stock, months: [...months.values()], daysShort, runsOutOn: yardOut });
}

const STOCK_EVERY_DAYS = 7;

function isStockDay({ from, until }: HayBudgetInput, day: CalendarDay): boolean {
  const nth = daysBetween(from, day) + 1;
  return nth % STOCK_EVERY_DAYS === 0 || nth === daysBetween(from, until);
}

/** What is left at the end of a day, by kind. */
function stockOn(states: readonly LotState[], day: CalendarDay): StockOnDay['byKind'] {
  const kinds = new Map<string, Mass>();
  for (const state of states) {
    const { hayKind } = state.lot;
    kinds.set(hayKind, (kinds.get(hayKind) ?? Mass.zero).plus(usable(state, day)));
  }
  return [...kinds].map(([hayKind, mass]) => ({ hayKind, mass }));
}

/** How the yard was fed over the days. */
interface Fed extends Pick<HayBudget, 'stock' | 'months'>, Pick<HayBudget['yard'], 'daysShort' | 'runsOutOn'> {
  readonly kinds: ReadonlyMap<string, { needed: Mass; short: Mass; firstShortOn: CalendarDay | null }>;
}

function settle(
  input: HayBudgetInput,
  states: readonly LotState[],
  { kinds, stock, months, daysShort, runsOutOn }: Fed,
): HayBudget {
  const lastDay = addDays(input.until, -1);
  const lots = states.map((state) => {
    const left = usable(state, lastDay);
    return {
      lotId: state.lot.lotId,
      hayKind: state.lot.hayKind,
      balance: state.lot.balance,
      fed: state.fed,
      left,
      lost: state.lot.balance.minus(state.fed).minus(left),
      runsOutOn: state.runsOutOn,
    };
  });
  const names = [...new Set([...kinds.keys(), ...lots.map((lot) => lot.hayKind)])];
  const rows = names.map((hayKind) => {
    const kind = kinds.get(hayKind) ?? { needed: Mass.zero, short: Mass.zero, firstShortOn: null };
    return {
      hayKind,
      ...kind,
      fed: kind.needed.minus(kind.short),
      surplus: Mass.sum(lots.filter((lot) => lot.hayKind === hayKind).map((lot) => lot.left)),
    };
  });
  const toBuy = rows
    .filter((row) => row.short.isPositive())
    .map((row) => {
      const price = input.prices.find((each) => each.hayKind === row.hayKind)?.price;
      return { hayKind: row.hayKind, mass: row.short, cost: price ? price.for(row.short).rounded() : null };
    });
  const priced = toBuy.flatMap((row) => (row.cost ? [row.cost] : []));
  const total = (pick: (row: (typeof rows)[number]) => Mass): Mass => Mass.sum(rows.map(pick));
  return {
    ok: true,
    from: input.from,
    until: input.until,
    lots,
    kinds: rows,
    months,
    yard: {
      needed: total((row) => row.needed),
      fed: total((row) => row.fed),
      short: total((row) => row.short),
      surplus: total((row) => row.surplus),
      runsOutOn,
      daysShort,
    },
    stock,
    toBuy,
    costToBuy: priced.length === toBuy.length ? Money.sum(priced, input.currency) : null,
  };
}

/** Takes a day's need of a kind from the lots; what is left of the need is short. */
function feedFrom(
  states: readonly LotState[],
  day: CalendarDay,
  hayKind: string,
  needed: Mass,
  substitute: boolean,
): Mass {
  let wanted = needed;
  const own = states.filter((state) => state.lot.hayKind === hayKind);
  const others = substitute ? states.filter((state) => state.lot.hayKind !== hayKind) : [];
  for (const state of [...own, ...others]) {
    if (!wanted.isPositive()) break;
    if (!state.rest.isPositive()) continue;
    const there = usable(state, day);
    if (there.compare(wanted) <= 0) {
      state.fed = state.fed.plus(there);
      state.rest = Mass.zero;
      state.runsOutOn = day;
      wanted = wanted.minus(there);
    } else {
      state.fed = state.fed.plus(wanted);
      state.rest = state.rest.minus(
        wanted.times(decimal(1).minus(state.lossAtCount)).dividedBy(decimal(1).minus(lossOn(state.lot, day))),
      );
      wanted = Mass.zero;
    }
  }
  return wanted;
}

function lossOn(lot: LotOnHand, day: CalendarDay): Decimal {
  return lossUntil({
    seasonLoss: decimal(lot.seasonLoss),
    storedOn: lot.storedOn,
    usedOn: day,
    ...(lot.seasonDays === undefined ? {} : { seasonDays: lot.seasonDays }),
  });
}

function usable(state: Pick<LotState, 'lot' | 'lossAtCount' | 'rest'>, day: CalendarDay): Mass {
  return state.rest.times(decimal(1).minus(lossOn(state.lot, day))).dividedBy(decimal(1).minus(state.lossAtCount));
}

interface DailyHerd {
  readonly steps: readonly HeadStep[];
  readonly perHeadDay: (month: string) => readonly { readonly hayKind: string; readonly mass: Mass }[];
}

function dailyHerds(input: HayBudgetInput): DailyHerd[] | Refusal {
  const herds: DailyHerd[] = [];
  for (const herd of input.herds) {
    const history = headToFeed(herd);
    const oneHead = hayNeed({ ...herd, headDays: 1 });
    if (!history.ok) return refused(history.problems.map((found) => ({ ...found, given: String(found.given) })));
    if (!oneHead.ok) return oneHead;
    const times = input.needTimes?.find((each) => each.herdId === herd.herdId)?.times ?? decimal(1);
    herds.push({ steps: history.steps, perHeadDay: perHeadDay(herd, times) });
  }
  return herds;
}

/**
 * Hay to put out for one head on a day, by kind; a plan has few months and many days, so each month is worked out
 * once.
 */
function perHeadDay(herd: HerdPlan, times: Decimal): DailyHerd['perHeadDay'] {
  const known = new Map<string, readonly { readonly hayKind: string; readonly mass: Mass }[]>();
  return (month) => {
    const before = known.get(month);
    if (before !== undefined) return before;
    const fed = herdInMonth(herd, month);
    const need = hayNeed({ ...fed, headDays: 1 });
    const kinds = need.ok
      ? fed.kinds.map((kind) => ({ hayKind: kind.hayKind, mass: need.needed.times(times).times(decimal(kind.share)) }))
      : [];
    known.set(month, kinds);
    return kinds;
  };
}

function needOnDay(herds: readonly DailyHerd[], day: CalendarDay): Map<string, Mass> {
  const need = new Map<string, Mass>();
  for (const herd of herds) {
    const head = headOn(herd.steps, day);
    if (head === 0) continue;
    for (const { hayKind, mass } of herd.perHeadDay(monthOf(day)))
      need.set(hayKind, (need.get(hayKind) ?? Mass.zero).plus(mass.times(head)));
  }
  return need;
}

function lotProblems(input: HayBudgetInput): Problem[] {
  const problems: Problem[] = [];
  input.lots.forEach((lot, index) => {
    const loss = decimal(lot.seasonLoss);
    if (loss.lt(0) || loss.gte(1))
      problems.push(
        problem(
          'loss-out-of-range',
          `lots[${index}].seasonLoss`,
          loss.toFixed(),
          '0 to below 1',
          'A loss is a share: 0.08 is 8 %.',
        ),
      );
    if (lot.balance.isNegative())
      problems.push(
        problem(
          'balance-negative',
          `lots[${index}].balance`,
          lot.balance.toString(),
          '0 kg or more',
          "A lot's balance cannot be below zero.",
        ),
      );
    if (dayNumber(lot.countedOn) < dayNumber(lot.storedOn))
      problems.push(
        problem(
          'counted-before-stored',
          `lots[${index}].countedOn`,
          lot.countedOn,
          `${lot.storedOn} or later`,
          'Hay is counted after it is stored.',
        ),
      );
    if (daysBetween(lot.countedOn, input.from) < 0)
      problems.push(
        problem(
          'counted-after-start',
          `lots[${index}].countedOn`,
          lot.countedOn,
          `${input.from} or earlier`,
          'The balance must be known when the budget begins.',
        ),
      );
  });
  return problems;
}
