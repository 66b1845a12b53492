import { headOn } from '../standing/head-days.js';
import { lossUntil } from '../stock/losses.js';
import { addDays, type CalendarDay, daysBetween, monthOf } from '../time/calendar-day.js';
import { seededRandom, type SeededRandom } from '../trial/seeded-random.js';
import { decimal, decimalFromFloat } from '../units/decimal.js';
import { KILOGRAM_PLACES, Mass } from '../units/mass.js';
import { BUDGET_SPREADS, LIKELY_RANGE } from './budget-spreads.data.js';
import type { HayBudgetInput } from './hay-budget.js';
import { hayNeed, headToFeed, herdInMonth } from './hay-need.js';
import type { BudgetLoss } from './loss-figures.js';

/** How far off the figures of a budget may be. */
export interface BudgetDoubts {
  readonly herds: readonly {
    readonly herdId: string;
    readonly waste: BudgetLoss;
    /** Whether the intake was worked out with cold in it; a stated intake is assumed to include it. */
    readonly coldCounts: boolean;
    /** A ration is laid as it is: its waste is in it, and does not move the need. */
    readonly wasteIsLaid?: boolean;
  }[];
  readonly lots: readonly {
    readonly lotId: string;
    /** Lots stored the same way lose at the same rate. */
    readonly storage: string;
    readonly loss: BudgetLoss;
    /** Standard deviation of the balance as a share of it. */
    readonly balanceSpread: number;
  }[];
}

/** A range that should contain the outcome of so many winters in a hundred. */
export interface LikelyRange {
  readonly percent: number;
  readonly draws: number;
  readonly seed: string;
  /** Share of the draws in which the hay does not last, 0 to 1. */
  readonly shareRunningOut: number;
  /** `null`: it lasts. */
  readonly runsOutOn: { readonly earliest: CalendarDay | null; readonly latest: CalendarDay | null };
  readonly short: { readonly low: Mass; readonly high: Mass };
  readonly needed: { readonly low: Mass; readonly high: Mass };
  /** What is left at the end of each day that was asked for. */
  readonly stock: readonly { readonly on: CalendarDay; readonly low: Mass; readonly high: Mass }[];
}

/** How one winter turns out, against what was planned. */
export interface Winter {
  /** Factor on each herd's planned need. */
  readonly needTimes: readonly number[];
  /** Each lot's loss over the season, a share; each lot's balance, as a factor on what is on file. */
  readonly lots: readonly { readonly seasonLoss: number; readonly balanceTimes: number }[];
}

export interface WinterOutcome {
  /** Days after the first of the plan; `null`: the hay lasts. */
  readonly runsOutAfterDays: number | null;
  readonly shortKg: number;
  readonly neededKg: number;
  /** What is left and usable at the end of each day of `stockOn`. */
  readonly stockKg: readonly number[];
}

/** A yard set up once and run through many winters. Floats: a draw is a guess, not bookkeeping. */
export interface Yard {
  readonly input: HayBudgetInput;
  readonly stockOn: readonly CalendarDay[];
  readonly run: (winter: Winter) => WinterOutcome;
}

/** Sets up a yard that `hayBudget` accepts; a winter as planned gives what `hayBudget` gives. */
export function yardOf(input: HayBudgetInput, stockOn: readonly CalendarDay[] = []): Yard {
  const days = daysBetween(input.from, input.until);
  const stockDays = new Set(stockOn.map((day) => daysBetween(input.from, day)));
  const fedKinds = input.herds.flatMap((herd) => [
    ...herd.kinds,
    ...(herd.ofMonths ?? []).flatMap((month) => month.kinds ?? []),
  ]);
  const kinds = [...new Set([...fedKinds, ...input.lots].map((one) => one.hayKind))];
  const needs = input.herds.map((herd) => herdNeed(input, herd, kinds, days));
  const lots = input.lots.map((lot) => ({
    kind: kinds.indexOf(lot.hayKind),
    balance: lot.balance.kilograms.toNumber(),
    // How much of the season's loss has happened by each day: it grows evenly, then stops.
    grown: Array.from({ length: days + 1 }, (_, day) => grownBy(lot, addDays(input.from, day))),
    grownAtCount: grownBy(lot, lot.countedOn),
  }));
  return {
    input,
    stockOn,
    run: ({ needTimes, lots: drawn }) => {
      // What is left of each lot as of its count, before the loss that is still to come.
      const rest = lots.map((lot, index) => lot.balance * (drawn[index]?.balanceTimes ?? 1));
      let [neededKg, shortKg] = [0, 0];
      const stockKg: number[] = [];
      const keptOf = (index: number, day: number): number => {
        const [lot, loss] = [lots[index], drawn[index]?.seasonLoss ?? 0];
        return (1 - loss * (lot?.grown[day] ?? 1)) / (1 - loss * (lot?.grownAtCount ?? 0));
      };
      let runsOutAfterDays: number | null = null;
      for (let day = 0; day < days; day += 1) {
        for (const [kind] of kinds.entries()) {
          const needed = needs.reduce((sum, need, herd) => sum + (need[day]?.[kind] ?? 0) * (needTimes[herd] ?? 1), 0);
          if (needed <= 0) continue;
          neededKg += needed;
          let wanted = needed;
          for (const own of input.substituteKinds === true ? [true, false] : [true]) {
            for (const [index, lot] of lots.entries()) {
              if ((lot.kind === kind) !== own || wanted <= 0) continue;
              const kept = keptOf(index, day);
              const taken = Math.min(wanted, (rest[index] ?? 0) * kept);
              rest[index] = (rest[index] ?? 0) - taken / kept;
              wanted -= taken;
            }
          }
          if (wanted > needed * CRUMB) {
            shortKg += wanted;
            runsOutAfterDays ??= day;
          }
        }
        if (stockDays.has(day)) stockKg.push(rest.reduce((sum, kg, index) => sum + kg * keptOf(index, day), 0));
      }
      return { runsOutAfterDays, shortKg, neededKg, stockKg };
    },
  };
}

/** A shortage below this share of a day's need is only float rounding. */
const CRUMB = 1e-9;

function grownBy(lot: HayBudgetInput['lots'][number], day: CalendarDay): number {
  return lossUntil({
    seasonLoss: decimal(1),
    storedOn: lot.storedOn,
    usedOn: day,
    ...(lot.seasonDays === undefined ? {} : { seasonDays: lot.seasonDays }),
  }).toNumber();
}

/** Hay to put out for a herd by day and kind, kg. */
function herdNeed(
  input: HayBudgetInput,
  herd: HayBudgetInput['herds'][number],
  kinds: readonly string[],
  days: number,
): number[][] {
  const history = headToFeed(herd);
  const times = input.needTimes?.find((each) => each.herdId === herd.herdId)?.times.toNumber() ?? 1;
  const ofMonths = new Map<string, number[]>();
  const perHead = (month: string): number[] => {
    const known = ofMonths.get(month);
    if (known !== undefined) return known;
    const fed = herdInMonth(herd, month);
    const need = hayNeed({ ...fed, headDays: 1 });
    const kg = need.ok ? need.needed.kilograms.toNumber() * times : 0;
    const byKind = kinds.map((kind) =>
      fed.kinds.filter((one) => one.hayKind === kind).reduce((sum, one) => sum + decimal(one.share).toNumber() * kg, 0),
    );
    ofMonths.set(month, byKind);
    return byKind;
  };
  return Array.from({ length: days }, (_, index) => {
    const day = addDays(input.from, index);
    const head = history.ok ? headOn(history.steps, day) : 0;
    return perHead(monthOf(day)).map((kg) => kg * head);
  });
}

const NOT_LESS = 0.05;

/** One winter drawn at random from what is uncertain: intake and cold, for all herds and for each; losses; weights. */
export function drawWinter(doubts: BudgetDoubts, input: HayBudgetInput, random: SeededRandom): Winter {
  const off = (share: number): number => share * random.nextNormal();
  const [ofAll, cold] = [off(BUDGET_SPREADS.intakeOfAll.share), off(BUDGET_SPREADS.cold.share)];
  const needTimes = doubts.herds.map(({ waste, coldCounts, wasteIsLaid }, index) => {
    const eaten = 1 + ofAll + (coldCounts ? cold : 0) + off(BUDGET_SPREADS.intakeOfHerd.share);
    const drawn = drawLoss(waste, BUDGET_SPREADS.wasteWithoutBounds.share, random);
    if (wasteIsLaid === true) return Math.max(NOT_LESS, eaten);
    const planned = decimal(input.herds[index]?.waste ?? 0).toNumber();
    const byWaste =
      input.herds[index]?.wasteConvention === 'multiplier' ? (1 + drawn) / (1 + planned) : (1 - planned) / (1 - drawn);
    return Math.max(NOT_LESS, eaten) * byWaste;
  });
  const storages = new Map<string, number>();
  const lots = doubts.lots.map(({ storage, loss, balanceSpread }) => {
    const seasonLoss = storages.get(storage) ?? drawLoss(loss, BUDGET_SPREADS.storageWithoutBounds.share, random);
    storages.set(storage, seasonLoss);
    return { seasonLoss, balanceTimes: Math.max(NOT_LESS, 1 + off(balanceSpread)) };
  });
  return { needTimes, lots };
}

const MOST = 0.95;
/** Standard deviations in half a 95 % interval. */
const NORMAL_95 = 1.96;
/** Whole numbers below 2³² as a share. */
const WHOLE = 2 ** 32;

/**
 * A loss drawn from its bounds: between published figures, with the one followed as the median; around the ranch's
 * own measurements by their interval; else around the figure by a stated spread.
 */
function drawLoss(loss: BudgetLoss, spread: number, random: SeededRandom): number {
  const [low, typical, high] = [loss.low.toNumber(), loss.typical.toNumber(), loss.high.toNumber()];
  const held = (value: number): number => Math.min(MOST, Math.max(0, value));
  if (loss.bounds === 'interval-95') return held(typical + ((high - low) / 2 / NORMAL_95) * random.nextNormal());
  if (loss.bounds === 'none' || high - low < Number.EPSILON) return held(typical * (1 + spread * random.nextNormal()));
  const share = random.nextUint32() / WHOLE;
  return held(share < 0.5 ? low + 2 * share * (typical - low) : typical + (2 * share - 1) * (high - typical));
}

/**
 * The likely range of a budget: the yard is run through winters drawn at random from what is uncertain, and the
 * middle of the outcomes is reported. Same input, same range: the seed is fixed and reported.
 */
export function likelyRange(
  yard: Yard,
  doubts: BudgetDoubts,
  { draws = LIKELY_RANGE.draws, seed = LIKELY_RANGE.seed }: { draws?: number; seed?: string } = {},
): LikelyRange {
  const random = seededRandom({ seed });
  const outcomes = Array.from({ length: draws }, () => yard.run(drawWinter(doubts, yard.input, random)));
  const tail = (100 - LIKELY_RANGE.percent) / 200;
  const at = (pick: (outcome: WinterOutcome) => number, share: number): number => {
    const sorted = outcomes.map(pick).sort((a, b) => (a === b ? 0 : a < b ? -1 : 1));
    return sorted[Math.round(share * (sorted.length - 1))] ?? 0;
  };
  const mass = (kg: number): Mass => Mass.kilograms(decimalFromFloat(kg, KILOGRAM_PLACES));
  const range = (pick: (outcome: WinterOutcome) => number): { low: Mass; high: Mass } => ({
    low: mass(at(pick, tail)),
    high: mass(at(pick, 1 - tail)),
  });
  const days = ({ runsOutAfterDays }: WinterOutcome): number => runsOutAfterDays ?? Infinity;
  const day = (after: number): CalendarDay | null => (Number.isFinite(after) ? addDays(yard.input.from, after) : null);
  return {
    percent: LIKELY_RANGE.percent,
    draws,
    seed,
    shareRunningOut: outcomes.filter((one) => one.runsOutAfterDays !== null).length / draws,
    runsOutOn: { earliest: day(at(days, tail)), latest: day(at(days, 1 - tail)) },
    short: range((one) => one.shortKg),
    needed: range((one) => one.neededKg),
    stock: yard.stockOn.map((on, index) => ({ on, ...range((one) => one.stockKg[index] ?? 0) })),
  };
}
