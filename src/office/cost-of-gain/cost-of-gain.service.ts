import { Injectable } from '@nestjs/common';
import { addDays, daysBetween } from '../../core/time/calendar-day.js';
import { headDays, headHistory, headOn, type HeadStep } from '../../core/standing/head-days.js';
import { type MeanWeighing, nearest, oneADay, onOneFooting } from '../../core/gain/comparable-weighings.js';
import { type CostOfGain, costOfGain, DEFAULT_WEIGHING_WINDOW_DAYS } from '../../core/gain/cost-of-gain.js';
import type { WeighIn, WeightFlow } from '../../core/gain/daily-gain.js';
import { yardageCost, type YardageRate } from '../../core/season/yardage.js';
import { counted } from '../../core/units/counted.js';
import { decimal, type Decimal } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import { Money } from '../../core/units/money.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import {
  asCurrency,
  unitFor,
  type UnitSystem,
  formatMass,
  formatMoney,
  formatPrice,
} from '../../platform/wire/quantity.schema.js';
import { DAYS_AROUND, FedWithinRead } from '../../desk/facts/fed-within.js';
import { HayLotRead } from '../../records/hay/lots/hay-lot.read.js';
import { headEvents, type HerdHeadChange, HerdRead, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import { WeighInRead } from '../../records/cattle/weigh-ins/weigh-in.read.js';
import { CostingService, type FedHay } from '../../records/hay/costing/costing.service.js';
import { spanOf } from '../report-period.js';
import type { Flag } from '../report.schema.js';
import { YardageRateRead } from '../../records/yard/yardage-rates/yardage-rate.read.js';
import { ClosedReportRead } from '../closings/closed-report.read.js';
import type * as api from './cost-of-gain.schema.js';

type Answer = AnswerOf<typeof api.getCostOfGain>;

type Row = Answer['herds'][number];
type Figures = NonNullable<Row['figures']>;

interface HerdInputs {
  herd: HerdRow;
  changes: readonly HerdHeadChange[];
  weighings: readonly MeanWeighing[];
  rates: readonly YardageRate[];
  books: FedHay;
  spread: Spread;
  currency: ReturnType<typeof asCurrency>;
  asked: { from: string; until: string; windowDays: number };
  units: UnitSystem;
}

@Injectable()
export class CostOfGainService {
  constructor(
    private readonly herds: HerdRead,
    private readonly weighIns: WeighInRead,
    private readonly costing: CostingService,
    private readonly yardage: YardageRateRead,
    private readonly closed: ClosedReportRead,
    private readonly fedWithin: FedWithinRead,
    private readonly lots: HayLotRead,
  ) {}

  async report(tenant: OperationTenant, { query }: InputOf<typeof api.getCostOfGain>): Promise<Answer> {
    spanOf(query);

    const units = query.units ?? tenant.operation.unitPreference;
    const frozen =
      query.herdId === undefined && query.windowDays === DEFAULT_WEIGHING_WINDOW_DAYS
        ? await this.closed.find<Answer>(tenant, 'cost-of-gain', units, query)
        : undefined;
    return frozen ?? { ...(await this.compute(tenant, { ...query, units })), closed: null };
  }

  /** The report from the books as they are now. */
  async compute(
    tenant: OperationTenant,
    query: { from: string; until: string; windowDays: number; herdId?: string | undefined; units: UnitSystem },
  ): Promise<Omit<Answer, 'closed'>> {
    const currency = asCurrency(tenant.operation.currency);
    const herds =
      query.herdId === undefined ? await this.herds.all(tenant) : [await this.herds.one(tenant, query.herdId)];
    const ids = herds.map((herd) => herd.id);
    const changes = await this.herds.changes(tenant, ids);
    const weighings = await this.weighIns.of(tenant, ids);
    const rates = await this.yardage.all(tenant);
    // The closing weighing may be some days after the last day asked; costs are needed up to it.
    const latest = weighings
      .map((one) => one.day)
      .filter((day) => Math.abs(daysBetween(query.until, day)) <= query.windowDays)
      .sort()
      .at(-1);
    const books = await this.costing.fed(tenant, {
      from: addDays(query.from, -query.windowDays - DAYS_AROUND),
      until: latest !== undefined && latest > query.until ? latest : query.until,
      by: 'day',
    });
    const { units } = query;
    return {
      operationId: tenant.operationId,
      operation: tenant.operation.name,
      invented: tenant.operation.invented,
      currency,
      units,
      method:
        'Cost between the two weighings over the weight gained between them: closing weight + weight out − ' +
        'weight in − opening weight. What was laid for several days counts over these. Means stand for the whole ' +
        'herd. (Total cost over total gain: Nebraska Extension G2095, 2023.)',
      inputs: {
        herds: herds.length,
        weighIns: weighings.length,
        headChanges: changes.length,
        ledgerMovements: books.movements,
        yardageRates: rates.length,
      },
      flags:
        rates.length === 0
          ? [{ code: 'no-yardage-rate', message: 'No yardage rate is set; total cost is feed alone.' }]
          : [],
      from: query.from,
      until: query.until,
      weighingWindowDays: query.windowDays,
      herds: await inTurn(herds, async (herd) => {
        const own = oneADay(weighings.filter((one) => one.herdId === herd.id));
        return herdRow({
          herd,
          changes: changes.filter((one) => one.herdId === herd.id),
          weighings: own,
          rates,
          books,
          spread: await this.#spread(tenant, herd.id, weighingsAt(own, query)),
          currency,
          asked: query,
          units,
        });
      }),
    };
  }

  /** Of each kind of hay on each day, the share that was for days between the weighings. */
  async #spread(
    tenant: OperationTenant,
    herdId: string,
    { opening, closing }: ReturnType<typeof weighingsAt>,
  ): Promise<Spread> {
    if (opening === undefined || closing === undefined || opening.day >= closing.day)
      return { feedingsCut: 0, shares: new Map() };
    const fed = await this.fedWithin.of(tenant, herdId, { from: opening.day, until: closing.day });
    const layers = fed.flatMap(({ feeding, layers: own, share }) =>
      own.map((layer) => ({ lotId: layer.hay_lot_id, on: feeding.happened_on, mass: layer.kilograms, share })),
    );
    const lots = await this.lots.byId(tenant, [...new Set(layers.map(({ lotId }) => lotId))]);
    const kindOf = new Map(lots.map((lot) => [lot.id, lot.hay_kind]));
    const sums = new Map<string, { all: Mass; within: Mass }>();
    for (const { lotId, on, mass, share } of layers) {
      const key = keyOf({ hayKind: kindOf.get(lotId) ?? '', on });
      const { all, within } = sums.get(key) ?? { all: Mass.zero, within: Mass.zero };
      const kilograms = Mass.kilograms(mass);
      sums.set(key, { all: all.plus(kilograms), within: within.plus(kilograms.times(share)) });
    }
    return {
      feedingsCut: fed.filter(({ share }) => share.gt(0) && share.lt(1)).length,
      shares: new Map([...sums].map(([key, { all, within }]) => [key, within.ratioTo(all)])),
    };
  }
}

/** How what was laid for several days spreads over them, by day and kind of hay. */
interface Spread {
  /** Feedings that were also for days before the first weighing or from the second one on. */
  feedingsCut: number;
  shares: ReadonlyMap<string, Decimal>;
}

const keyOf = ({ hayKind, on }: { hayKind: string; on: string }): string => `${on} ${hayKind}`;

/** One after the other: they share a connection. */
async function inTurn<One, Answered>(
  some: readonly One[],
  answer: (one: One) => Promise<Answered>,
): Promise<Answered[]> {
  const answers: Answered[] = [];
  for (const one of some) answers.push(await answer(one));
  return answers;
}

function herdRow(inputs: HerdInputs): Row {
  const { herd, changes, asked, units } = inputs;
  const history = headHistory(headEvents(changes));
  const steps: readonly HeadStep[] = history.ok ? history.steps : [];
  const { opening, closing, notes: ofFill } = weighingsAt(inputs.weighings, asked);
  const weighed = [opening, closing].filter((one) => one !== undefined);
  const notes: Flag[] = [...ofFill, ...weighed.flatMap((one) => partWeighed(one, steps))];
  const from = opening?.day ?? asked.from;
  const until = closing?.day ?? asked.until;
  const costs = costsBetween(inputs, steps, from, until);
  const result = costOfGain({
    from: asked.from,
    until: asked.until,
    opening: opening && wholeHerd(opening, steps),
    closing: closing && wholeHerd(closing, steps),
    flows: weightFlows(changes, from, until),
    headDays: costs.headDays,
    feedCost: costs.feedCost,
    yardagePerHeadDay: costs.yardagePerHeadDay,
    windowDays: asked.windowDays,
    unit: unitFor(units, 'small'),
  });
  if (!result.ok)
    return {
      herdId: herd.id,
      herd: herd.name,
      figures: null,
      refusedBecause: result.problems.map(({ code, message }) => ({ code, message })),
      notes,
    };
  if (inputs.spread.feedingsCut > 0)
    notes.push({
      code: 'laid-across-a-weighing',
      message:
        `${counted(inputs.spread.feedingsCut, 'feeding')} laid for several days, during which the herd was weighed: ` +
        'of them only the days between the two weighings count.',
    });
  if (costs.feedCost.isZero())
    notes.push({
      code: 'no-feed-cost',
      message: 'No hay was fed to this herd between the weighings, or it cost nothing.',
    });
  return {
    herdId: herd.id,
    herd: herd.name,
    refusedBecause: [],
    notes,
    figures: {
      opening: weighingAnswer(opening, asked.from, steps, units),
      closing: weighingAnswer(closing, asked.until, steps, units),
      headDays: costs.headDays,
      ...gainAnswer(result, costs.hayFed, units),
    },
  };
}

/** The weighings nearest to the two days asked, both full or both shrunk; with a note if one had to be converted. */
function weighingsAt(
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

/**
 * Weight that came in or went out over (from, until]: cattle that came on the day of the opening weighing were weighed.
 */
function weightFlows(changes: readonly HerdHeadChange[], from: string, until: string): WeightFlow[] {
  return changes
    .filter((one) => one.day > from && one.day <= until)
    .map((one): WeightFlow => ({
      day: one.day,
      direction: one.head > 0 ? 'in' : 'out',
      head: Math.abs(one.head),
      totalWeight: Mass.kilograms(one.meanWeightKg ?? '0').times(Math.abs(one.head)),
    }));
}

/** Hay fed to the herd and its booked cost, head-days and yardage over [from, until). */
function costsBetween(
  { herd, rates, books, spread, currency }: HerdInputs,
  steps: readonly HeadStep[],
  from: string,
  until: string,
): { hayFed: Mass; feedCost: Money; headDays: number; yardagePerHeadDay: Money } {
  const fed = books.fed
    .filter(({ herdId }) => herdId === herd.id)
    .map((one) => ({
      ...one,
      share: spread.shares.get(keyOf(one)) ?? decimal(one.on >= from && one.on < until ? 1 : 0),
    }))
    .filter(({ share }) => share.gt(0));
  const spanned = from < until;
  const yardage = spanned ? yardageCost({ herdId: herd.id, steps, rates, from, until, currency }) : undefined;
  const days = spanned ? headDays(steps, from, until) : 0;
  return {
    hayFed: Mass.sum(fed.map(({ mass, share }) => mass.times(share))),
    feedCost: Money.sum(
      fed.map(({ cost, share }) => cost.times(share)),
      currency,
    ).rounded(),
    headDays: days,
    yardagePerHeadDay: yardage === undefined || days === 0 ? Money.zero(currency) : yardage.cost.dividedBy(days),
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
  hayFed: Mass,
  units: UnitSystem,
): Omit<Figures, 'opening' | 'closing' | 'headDays'> {
  return {
    totalGain: formatMass(gain.totalGain, units, 'small'),
    dailyGain: formatMass(gain.dailyGain, units, 'small'),
    weightIn: formatMass(gain.weightIn, units, 'small'),
    weightOut: formatMass(gain.weightOut, units, 'small'),
    feedCost: formatMoney(costs.feedCost),
    yardageCost: formatMoney(costs.yardageCost),
    totalCost: formatMoney(costs.totalCost),
    feedCostOfGain: formatPrice(costs.feedCostOfGain, units, 'small'),
    totalCostOfGain: formatPrice(costs.totalCostOfGain, units, 'small'),
    hayFed: formatMass(hayFed, units, 'large'),
    hayPerGain: Number(hayFed.ratioTo(gain.totalGain).toFixed(2)),
  };
}
