import { headEvents, headDays, headHistory, headOn, type HeadStep } from '../../core/standing/head-days.js';
import { type MeanWeighing, nearest, onOneFooting } from '../../core/gain/comparable-weighings.js';
import { type CostOfGain, costOfGain } from '../../core/gain/cost-of-gain.js';
import type { WeighIn, WeightFlow } from '../../core/gain/daily-gain.js';
import type { Problem } from '../../core/outcome/problem.js';
import { rateCorrections, ratesOf, yardageCost, type YardageRateEntry } from '../../core/season/yardage.js';
import { fedThatStands, type ReversedFeed } from '../../core/stock/fed-hay.js';
import { type SharedVariance, shareWithin } from '../../core/stock/who-ate.js';
import { daysBetween } from '../../core/time/calendar-day.js';
import { whatStands } from '../../core/time/what-stands.js';
import { counted } from '../../core/units/counted.js';
import { decimal, type Decimal } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import { Money, type PricePerMass } from '../../core/units/money.js';
import type { AnswerOf } from '../../platform/http/endpoint.js';
import {
  asCurrency,
  unitFor,
  type UnitSystem,
  formatMass,
  formatMoney,
  formatPrice,
} from '../../platform/wire/quantity.schema.js';
import { type HerdHeadChange, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import type { FedHay } from '../../records/hay/costing/costing.service.js';
import { correctionAnswer, correctionFlags, correctionsOf } from '../corrections.js';
import type { Flag } from '../report.schema.js';
import type * as api from './cost-of-gain.schema.js';

type Row = AnswerOf<typeof api.getCostOfGain>['herds'][number];
type Figures = NonNullable<Row['figures']>;

export interface HerdInputs {
  herd: HerdRow;
  /** As they were entered. */
  changes: readonly HerdHeadChange[];
  weighings: readonly MeanWeighing[];
  /** As they were entered. */
  rates: readonly YardageRateEntry[];
  books: FedHay;
  /** The first day of what the books tell. */
  summedFrom: string;
  /** Bills that came after hay had been eaten, shared among the herds. */
  late: readonly SharedVariance[];
  spread: Spread;
  currency: ReturnType<typeof asCurrency>;
  asked: { from: string; until: string; windowDays: number };
  units: UnitSystem;
}

/** How what was laid for several days spreads over them, by day and kind of hay. */
export interface Spread {
  /** Feedings that were also for days before the first weighing or from the second one on. */
  feedingsCut: number;
  shares: ReadonlyMap<string, Decimal>;
}

export const keyOf = ({ hayKind, on }: { hayKind: string; on: string }): string => `${on} ${hayKind}`;

/** The last day of the account: that of the closing weighing, or the last one asked about if it comes later. */
export function accountUntil(closing: Pick<MeanWeighing, 'day'> | undefined, until: string): string {
  return closing !== undefined && closing.day > until ? closing.day : until;
}

/** Cost of gain of one herd, or why there is none. */
export function herdRow(inputs: HerdInputs): Row {
  const { herd, asked, units } = inputs;
  const { opening, closing, notes: ofFill } = weighingsAt(inputs.weighings, asked);
  const span = { from: opening?.day ?? asked.from, until: closing?.day ?? asked.until };
  const account = { from: span.from, until: accountUntil(closing, asked.until) };
  const head = whatStands(inputs.changes, account);
  const history = headHistory(headEvents(head.standing));
  const steps: readonly HeadStep[] = history.ok ? history.steps : [];
  const weighed = [opening, closing].filter((one) => one !== undefined);
  const notes: Flag[] = [...ofFill, ...weighed.flatMap((one) => partWeighed(one, steps))];
  const costs = costsBetween(inputs, steps, { span, account });
  const rates = rateCorrections({
    ...{ herdId: herd.id, head: inputs.changes, rates: inputs.rates, currency: inputs.currency },
    ...{ from: span.from, until: account.until },
  });
  const corrections = correctionsOf({ fed: costs.corrections, head, rates }, [herd], {
    from: span.from,
    rates: ratesOf(inputs.rates, account),
    currency: inputs.currency,
  });
  notes.push(...correctionFlags(corrections));
  const told = {
    herdId: herd.id,
    herd: herd.name,
    notes,
    correctionsOfEarlier: corrections.map((one) => correctionAnswer(one, units)),
  };
  const flows = weightFlows(head.standing, span);
  const result = costOfGain({
    from: asked.from,
    until: asked.until,
    opening: opening && wholeHerd(opening, steps),
    closing: closing && wholeHerd(closing, steps),
    flows,
    headDays: costs.headDays,
    feedCost: costs.feedCost,
    yardagePerHeadDay: costs.yardagePerHeadDay,
    windowDays: asked.windowDays,
    unit: unitFor(units, 'small'),
  });
  if (!result.ok)
    return { ...told, figures: null, refusedBecause: result.problems.map((problem) => refusalOf(problem, flows)) };
  notes.push(...notesOf(inputs, costs));
  return {
    ...told,
    refusedBecause: [],
    figures: {
      opening: weighingAnswer(opening, asked.from, steps, units),
      closing: weighingAnswer(closing, asked.until, steps, units),
      headDays: costs.headDays,
      ...gainAnswer(result, costs, units),
    },
  };
}

/** What is doubtful about a figure. */
function notesOf({ spread }: HerdInputs, { feedCost }: CostsBetween): Flag[] {
  return [
    ...(spread.feedingsCut > 0
      ? [
          {
            code: 'laid-across-a-weighing',
            message:
              `${counted(spread.feedingsCut, 'feeding')} laid for several days, during which the herd was weighed: ` +
              'of them only the days between the two weighings count.',
          },
        ]
      : []),
    ...(feedCost.isZero()
      ? [
          {
            code: 'no-feed-cost',
            message: 'No hay was fed to this herd between the weighings, or it cost nothing.',
          },
        ]
      : []),
  ];
}

/** Why there is no figure; where a head change lacks its weight, which one and what to do. */
export function refusalOf(
  { code, field, message }: Problem,
  flows: readonly Pick<HerdFlow, 'headChangeId'>[],
): Row['refusedBecause'][number] {
  const at = /^flows\[(\d+)\]/.exec(field)?.[1];
  const headChangeId = at === undefined ? null : (flows[Number(at)]?.headChangeId ?? null);
  return code === 'flow-without-weight'
    ? {
        code,
        headChangeId,
        message:
          `${message} Reverse that head change and enter it again with a meanWeight: what a head weighed, or was ` +
          'estimated to weigh, on that day.',
      }
    : { code, headChangeId, message };
}

/** The weighings nearest to the two days asked, both full or both shrunk; with a note if one had to be converted. */
export function weighingsAt(
  weighings: readonly MeanWeighing[],
  asked: { from: string; until: string },
): { opening: MeanWeighing | undefined; closing: MeanWeighing | undefined; notes: Flag[] } {
  const opening = nearest(weighings, asked.from);
  const closing = nearest(weighings, asked.until);
  if (opening === undefined || closing === undefined) return { opening, closing, notes: [] };
  const footing = onOneFooting(opening, closing);
  return {
    opening: footing.opening,
    closing: footing.closing,
    notes: footing.adjusted
      ? [
          {
            code: 'fill-differs',
            message:
              'One weighing was shrunk and one full; the full one was shrunk by 4 % (NRC: shrunk weight is 0.96 of ' +
              'full weight).',
          },
        ]
      : [],
  };
}

function partWeighed(weighing: MeanWeighing, steps: readonly HeadStep[]): Flag[] {
  const head = headOn(steps, weighing.day);
  return weighing.head === head
    ? []
    : [
        {
          code: 'part-of-herd-weighed',
          message:
            (weighing.head < head
              ? `${weighing.head} of ${head} head were weighed on ${weighing.day}`
              : `${weighing.head} head were weighed on ${weighing.day}, more than the ${head} that the herd counts`) +
            '; their mean is taken for the whole herd.',
        },
      ];
}

/** The mean of the head weighed is taken for the whole herd. */
function wholeHerd(weighing: MeanWeighing, steps: readonly HeadStep[]): WeighIn {
  const head = headOn(steps, weighing.day);
  return { day: weighing.day, head, totalWeight: weighing.mean.times(head) };
}

interface HerdFlow extends WeightFlow {
  headChangeId: string;
}

/**
 * Weight that came in or went out over (from, until]: cattle that came on the day of the opening weighing were weighed.
 */
function weightFlows(changes: readonly HerdHeadChange[], { from, until }: { from: string; until: string }): HerdFlow[] {
  return changes
    .filter((one) => one.on > from && one.on <= until)
    .map((one): HerdFlow => ({
      headChangeId: one.id,
      day: one.on,
      direction: one.head > 0 ? 'in' : 'out',
      head: Math.abs(one.head),
      totalWeight: Mass.kilograms(one.meanWeightKg ?? '0').times(Math.abs(one.head)),
      cause: causeOf(one.kind),
    }));
}

function causeOf(kind: string): WeightFlow['cause'] {
  if (kind === 'death' || kind === 'sale') return kind;
  return kind === 'move-in' || kind === 'move-out' ? 'move' : undefined;
}

interface CostsBetween {
  hayFed: Mass;
  feedCost: Money;
  /** Of that hay, what bills added after it was eaten. */
  lateCosts: Money;
  headDays: number;
  yardagePerHeadDay: Money;
  corrections: readonly ReversedFeed[];
}

/** Hay fed to the herd and its booked cost, head-days and yardage over [from, until). */
function costsBetween(
  { herd, rates, books, summedFrom, late, spread, currency }: HerdInputs,
  steps: readonly HeadStep[],
  { span: { from, until }, account }: Record<'span' | 'account', { from: string; until: string }>,
): CostsBetween {
  const ofHerd = <One extends { herdId: string }>(all: readonly One[]): One[] =>
    all.filter(({ herdId }) => herdId === herd.id);
  const standing = fedThatStands(
    { fed: ofHerd(books.fed), reversed: ofHerd(books.reversed), inPlace: ofHerd(books.inPlace) },
    { ...account, summedFrom, sumOf: (on) => on },
  );
  const shareOf = (one: { hayKind: string; on: string }): Decimal =>
    spread.shares.get(keyOf(one)) ?? decimal(one.on >= from && one.on < until ? 1 : 0);
  const fed = standing.fed.map((one) => ({ ...one, share: shareOf(one) })).filter(({ share }) => share.gt(0));
  const spanned = from < until;
  const yardage = spanned
    ? yardageCost({ herdId: herd.id, steps, rates: ratesOf(rates, account), from, until, currency })
    : undefined;
  const days = spanned ? headDays(steps, from, until) : 0;
  return {
    hayFed: Mass.sum(fed.map(({ mass, share }) => mass.times(share))),
    feedCost: Money.sum(
      fed.map(({ cost, share }) => cost.times(share)),
      currency,
    ).rounded(),
    lateCosts: Money.sum(
      late.flatMap((one) => shareWithin(one, herd.id, (on) => shareOf({ hayKind: one.hayKind, on })) ?? []),
      currency,
    ).rounded(),
    headDays: days,
    yardagePerHeadDay: yardage === undefined || days === 0 ? Money.zero(currency) : yardage.cost.dividedBy(days),
    corrections: standing.corrections,
  };
}

function weighingAnswer(
  weighing: MeanWeighing | undefined,
  asked: string,
  steps: readonly HeadStep[],
  units: UnitSystem,
): Figures['opening'] {
  const day = weighing?.day ?? asked;
  return {
    day,
    head: headOn(steps, day),
    meanWeight: formatMass(weighing?.mean ?? Mass.zero, units, 'small'),
    daysFromAsked: daysBetween(asked, day),
  };
}

function gainAnswer(
  { gain, ...costs }: CostOfGain,
  { hayFed, lateCosts }: CostsBetween,
  units: UnitSystem,
): Omit<Figures, 'opening' | 'closing' | 'headDays'> {
  const price = (one: PricePerMass): ReturnType<typeof formatPrice> => formatPrice(one, units, 'small');
  const withLate = costs.totalCost.plus(lateCosts);
  return {
    totalGain: formatMass(gain.totalGain, units, 'small'),
    dailyGain: formatMass(gain.dailyGain, units, 'small'),
    weightIn: formatMass(gain.weightIn, units, 'small'),
    weightOut: formatMass(gain.weightOut, units, 'small'),
    feedCost: formatMoney(costs.feedCost),
    yardageCost: formatMoney(costs.yardageCost),
    totalCost: formatMoney(costs.totalCost),
    lateCosts: formatMoney(lateCosts),
    totalWithLateCosts: formatMoney(withLate),
    feedCostOfGain: price(costs.feedCostOfGain),
    totalCostOfGain: price(costs.totalCostOfGain),
    totalCostOfGainWithLateCosts: price(withLate.per(gain.totalGain)),
    deadsIn: {
      weightOfDead: formatMass(gain.weightOfDead, units, 'small'),
      totalGain: formatMass(gain.gainDeadsIn, units, 'small'),
      feedCostOfGain: costs.deadsIn === null ? null : price(costs.deadsIn.feedCostOfGain),
      totalCostOfGain: costs.deadsIn === null ? null : price(costs.deadsIn.totalCostOfGain),
      totalCostOfGainWithLateCosts: costs.deadsIn === null ? null : price(withLate.per(gain.gainDeadsIn)),
    },
    hayFed: formatMass(hayFed, units, 'large'),
    hayPerGain: Number(hayFed.ratioTo(gain.totalGain).toFixed(2)),
  };
}
