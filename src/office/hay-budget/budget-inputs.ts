import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import { type BalanceInterval, type ReceivedHay, weighedBalanceInterval } from '../../core/budget/balance-interval.js';
import type { HayBudgetInput, LotOnHand } from '../../core/budget/hay-budget.js';
import { intakeFromBodyWeight, type HerdPlan } from '../../core/budget/hay-need.js';
import { type BudgetFeedingMethod, FEEDING_WASTE_CHOICES } from '../../core/budget/loss-choices.data.js';
import {
  type BudgetLoss,
  ownFeedingWaste,
  publishedFeedingWaste,
  publishedStorageLoss,
  statedLoss,
} from '../../core/budget/loss-figures.js';
import type { HayKindCode } from '../../core/feeds/hay-kinds.data.js';
import { rationLotOf } from '../../core/ration/ration-lot.js';
import { addDays, daysBetween, monthSpans } from '../../core/time/calendar-day.js';
import { type HeadEvent, headDays, headHistory, headOn } from '../../core/standing/head-days.js';
import { dietContextOf } from '../../core/judge/diet-context.js';
import type { RationLot } from '../../core/ration/ration.js';
import { rationSupply } from '../../core/judge/ration-supply.js';
import { requirementsFor } from '../../core/requirements/requirements-for.js';
import { type Decimal, decimal, decimalFromFloat, decimalText, sumDecimals } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import { type Currency, Money, PricePerMass } from '../../core/units/money.js';
import { endOfDayIn } from '../../platform/clock.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { type FieldProblem, Problem } from '../../platform/http/problem.js';
import { asCurrency, toMass } from '../../platform/wire/quantity.schema.js';
import { FeedingRead } from '../../records/feedings/feeding.read.js';
import { HayLotRead, type HayLotRow } from '../../records/hay/lots/hay-lot.read.js';
import { animalOfHerd } from '../../records/cattle/herds/animal-of-herd.js';
import { headEvents, HerdRead, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import { type KnownLabTest, LabTestRead } from '../../records/hay/lab-tests/lab-test.read.js';
import { type ReceivedIntoLot, StockRead } from '../../records/hay/stock/stock.read.js';
import { StorageLossRead } from '../../records/hay/storage-shrink/storage-loss.read.js';
import { WeighInRead } from '../../records/cattle/weigh-ins/weigh-in.read.js';
import type { Flag } from '../report.schema.js';
import type { PlanIn } from './hay-budget.schema.js';

export interface HerdInput {
  herd: HerdRow;
  headBasis: 'history-carried-forward' | 'stated';
  headOnFirstDay: number;
  headDays: number;
  intakeBasis: string;
  intakeByMonth: { month: string; dryMatterIntakePerHeadDay: Mass }[];
  dryMatter: Decimal;
  dryMatterBasis: string;
  restsOnBookValues: boolean;
  waste: BudgetLoss;
  kinds: { hayKind: string; share: Decimal }[];
  headEvents: HeadEvent[];
}

export interface LotInput {
  row: HayLotRow;
  balance: Mass;
  /** How sure the balance is, from the bales that were weighed. */
  sureness: BalanceInterval;
  storedOn: string;
  loss: BudgetLoss;
  /** Known when the yard begins to be fed. */
  tests: readonly KnownLabTest[];
}

/** All that a budget rests on, read once; the core's own inputs are made from it at typical losses or at a bound. */
export interface BudgetInputs {
  from: string;
  /** The day after the last. */
  end: string;
  plan: PlanIn;
  currency: Currency;
  herds: HerdInput[];
  lots: LotInput[];
  prices: { hayKind: string; price: PricePerMass }[];
  flags: Flag[];
}

/**
 * Own feedings stand for a herd's waste, and tickets for a price, this long before the plan begins; common practice, no
 * source.
 */
const OWN_FIGURES_DAYS = 366;
/** A weigh-in this old still stands for the herd's weight; common practice, no source. */
const WEIGHT_GOOD_FOR_DAYS = 60;
const DAYS_MAX = 400;
/** A ration of any size will do: only the shares decide what the hay is like. */
const ANY_RATION_KG = 10;
const SHARE_PLACES = 12;
const MASS_PLACES = 6;

/** What the fields of a plan are called where they are asked for in a query. */
const PARAMETERS: Readonly<Record<string, string>> = { waste: 'wastePercent', intake: 'intakePercent' };

/** What is told for every herd at once, where no herd is told of. */
export type ForEveryHerd = Partial<Pick<NonNullable<PlanIn['herds']>[number], 'intake' | 'waste'>>;

interface KnownHay {
  lots: readonly LotInput[];
  rationLots: ReadonlyMap<string, RationLot>;
}

@Injectable()
export class BudgetInputsRead {
  constructor(
    private readonly herds: HerdRead,
    private readonly feedings: FeedingRead,
    private readonly lots: HayLotRead,
    private readonly stock: StockRead,
    private readonly labTests: LabTestRead,
    private readonly weighIns: WeighInRead,
    private readonly storageLosses: StorageLossRead,
  ) {}

  /** @param from the day from which the yard is fed: the plan's first, or today for a re-forecast. */
  async gather(
    tenant: OperationTenant,
    plan: PlanIn,
    from: string,
    pointer: string,
    every: ForEveryHerd = {},
  ): Promise<BudgetInputs> {
    const end = addDays(plan.until, 1);
    const days = daysBetween(plan.from, end);
    if (days < 1 || days > DAYS_MAX) {
      throw new Problem('invalid-input', undefined, [
        {
          ...(pointer === '' ? { parameter: 'until' } : { pointer: `${pointer}/until` }),
          code: days < 1 ? 'span-reversed' : 'span-too-long',
          given: plan.until,
          allowed: `${plan.from} to ${addDays(plan.from, DAYS_MAX - 1)}`,
          message: `A hay budget runs over 1 to ${DAYS_MAX} days.`,
        },
      ]);
    }
    const currency = asCurrency(tenant.operation.currency);
    const lots = await this.#lotsOnHand(tenant, plan, from);
    const hay = knownHay(lots);
    const flags: Flag[] = [];
    const herds = await this.#herds(tenant, plan, end, from, hay, pointer, flags, every);
    const prices = await this.#prices(tenant, plan, from, currency, flags);
    if (lots.length === 0) flags.push({ code: 'no-hay-on-hand', message: `No hay was on hand on ${from}.` });
    return { from, end, plan, currency, herds, lots, prices, flags };
  }

  async #lotsOnHand(tenant: OperationTenant, plan: PlanIn, from: string): Promise<LotInput[]> {
    const balances = await this.stock.balances(tenant, { untilDay: addDays(from, -1) });
    const seasonLoss = await this.storageLosses.seasonLossOn(tenant, from);
    const firstIn = await tenant.db
      .selectFrom('stock_movement')
      .select(['hay_lot_id', (e) => e.fn.min('effective_on').as('first')])
      .where('operation_id', '=', tenant.operationId)
      .where('kilograms', '>', '0')
      .groupBy('hay_lot_id')
      .execute();
    const came = new Map(firstIn.map((row) => [row.hay_lot_id, row.first]));
    const all = (await this.lots.all(tenant)).filter(
      (row) => row.category === 'hay' && balances.get(row.id)?.isPositive() === true,
    );
    const instant = endOfDayIn(tenant.operation.timeZone, from > plan.from ? from : plan.from);
    const tests = await this.labTests.knownAt(
      tenant,
      all.map((row) => row.id),
      (instant > tenant.moment ? tenant.moment : instant).toISOString(),
    );
    const received = await this.stock.receivedInto(
      tenant,
      all.map((row) => row.id),
      addDays(from, -1),
    );
    const lots = all.map((row): LotInput => {
      const told = plan.storageLosses?.find((one) => one.storageMethod === row.storage_method);
      const season = seasonLoss(row);
      const storedOn = row.stored_since ?? row.harvested_on ?? came.get(row.id) ?? from;
      const balance = balances.get(row.id) ?? Mass.zero;
      return {
        row,
        balance,
        sureness: weighedBalanceInterval({
          balance,
          received: received.filter((one) => one.hay_lot_id === row.id).map(receivedHay),
        }),
        tests: tests.get(row.id) ?? [],
        storedOn: storedOn > from ? from : storedOn,
        loss:
          told !== undefined
            ? statedLoss(decimal(told.percent).div(100), told.how)
            : season.basis === 'own-measurement'
              ? { ...statedLoss(season.share, season.how), basis: season.basis }
              : publishedStorageLoss(season.method),
      };
    });
    // What weathers fastest is fed first, then what lies longest.
    return lots.sort(
      (a, b) =>
        b.loss.typical.comparedTo(a.loss.typical) ||
        (a.storedOn < b.storedOn ? -1 : a.storedOn > b.storedOn ? 1 : a.row.name < b.row.name ? -1 : 1),
    );
  }

  async #herds(
    tenant: OperationTenant,
    plan: PlanIn,
    end: string,
    from: string,
    hay: KnownHay,
    pointer: string,
    flags: Flag[],
    every: ForEveryHerd,
  ): Promise<HerdInput[]> {
    const all = await this.herds.all(tenant);
    const problems: FieldProblem[] = [];
    const told =
      plan.herds ??
      all.map((herd): NonNullable<PlanIn['herds']>[number] => ({
        herdId: herd.id,
        intake: { basis: 'equations' },
        ...every,
      }));
    const at = (index: number, field: string): Pick<FieldProblem, 'parameter' | 'pointer'> =>
      plan.herds === undefined || pointer === ''
        ? { parameter: PARAMETERS[field] ?? field }
        : { pointer: `${pointer}/herds/${index}/${field}` };
    const ids = told.map((one) => one.herdId);
    const changes = await this.herds.changes(tenant, ids);
    const weighIns = await this.weighIns.of(tenant, ids);
    const fedBefore = await this.#fedBefore(tenant, ids, from);
    const inputs: HerdInput[] = [];
    told.forEach((one, index) => {
      const herd = all.find((each) => each.id === one.herdId);
      if (herd === undefined) {
        problems.push({
          ...at(index, 'herdId'),
          code: 'no-such-herd',
          given: one.herdId,
          allowed: 'a herd of this operation',
          message: 'There is no such herd, or none that you may know of.',
        });
        return;
      }
      if (told.findIndex((each) => each.herdId === one.herdId) < index)
        problems.push({
          ...at(index, 'herdId'),
          code: 'herd-twice',
          given: one.herdId,
          allowed: 'each herd once',
          message: `${herd.name} stands twice in the plan.`,
        });
      const events = plannedEvents(headEvents(changes.filter((change) => change.herdId === herd.id)), one.head);
      const history = headHistory(events);
      const steps = history.ok ? history.steps : [];
      const headDaysInSpan = headDays(steps, from, end);
      if (headDaysInSpan === 0 && plan.herds === undefined) return;
      const kinds = kindsOf(one.kinds, hay.lots);
      if (kinds === undefined) {
        problems.push({
          ...at(index, 'kinds'),
          code: 'shares-do-not-add-up',
          given: decimalText(sumDecimals((one.kinds ?? []).map((kind) => decimal(kind.percent)))),
          allowed: '100',
          message: `The kinds of ${herd.name} do not add up to 100 %.`,
        });
        return;
      }
      const mix = mixOf(kinds, hay);
      const waste = wasteOf(one.waste, fedBefore.get(herd.id));
      if (typeof waste === 'string') {
        problems.push({
          ...at(index, 'waste'),
          code: 'waste-unknown',
          given: null,
          allowed: `a waste in %, or a way of feeding: ${Object.keys(FEEDING_WASTE_CHOICES).join(', ')}`,
          message: `${herd.name}: ${waste}`,
        });
        return;
      }
      const weighIn = weighIns
        .filter(
          (each) => each.herdId === herd.id && each.day <= from && daysBetween(each.day, from) <= WEIGHT_GOOD_FOR_DAYS,
        )
        .at(-1);
      const intake = intakeOf(
        one.intake,
        herd,
        weighIn === undefined
          ? { mass: Mass.kilograms(herd.body_weight_kg), on: plan.from }
          : { mass: weighIn.mean, on: weighIn.day },
        plan,
        end,
        mix.lots,
      );
      if ('refused' in intake) {
        problems.push({
          ...at(index, 'intake'),
          code: 'intake-not-predicted',
          given: herd.name,
          allowed: 'a share of body weight or a stated intake, where the equations give none',
          message: `${herd.name}: ${intake.refused}`,
        });
        return;
      }
      inputs.push({
        herd,
        headBasis: one.head === undefined ? 'history-carried-forward' : 'stated',
        headOnFirstDay: headOn(steps, from),
        headDays: headDaysInSpan,
        intakeBasis: intake.basis,
        intakeByMonth: intake.byMonth,
        dryMatter: one.dryMatterPercent === undefined ? mix.dryMatter : decimal(one.dryMatterPercent).div(100),
        dryMatterBasis: one.dryMatterPercent === undefined ? mix.basis : 'stated in the plan',
        restsOnBookValues: one.dryMatterPercent === undefined && mix.restsOnBookValues,
        waste,
        kinds,
        headEvents: events,
      });
    });
    if (problems.length > 0) throw new Problem('rule-broken', problems.map((one) => one.message).join(' '), problems);
    if (inputs.length === 0) flags.push({ code: 'no-cattle', message: 'No herd has cattle in these days.' });
    for (const one of inputs.filter((each) => each.restsOnBookValues))
      flags.push({
        code: 'book-values',
        message: `The dry matter of ${one.herd.name}'s hay rests on book values; test the lots.`,
      });
    for (const one of inputs.filter((each) => each.waste.basis === 'published'))
      flags.push({
        code: 'waste-published',
        message:
          `The waste of ${one.herd.name} is a published figure (${one.waste.source}); weigh what is left at some ` +
          'feedings.',
      });
    return inputs;
  }

  /** What each herd was fed in the year before, how it was last fed, and what was lost where that was measured. */
  async #fedBefore(
    tenant: OperationTenant,
    herdIds: readonly string[],
    from: string,
  ): Promise<Map<string, { lastMethod: string; measured: { fed: Mass; lost: Mass }[] }>> {
    const feedings = await this.feedings.between(tenant, {
      herdIds,
      from: addDays(from, -OWN_FIGURES_DAYS),
      until: from,
    });
    const measured = feedings.filter((feeding) => feeding.refused_kg !== null || feeding.wasted_kg !== null);
    const layers = await this.feedings.layersOf(
      tenant,
      measured.map((feeding) => feeding.id),
    );
    return new Map(
      herdIds.flatMap((herdId) => {
        const last = feedings.filter((feeding) => feeding.herd_id === herdId).at(-1);
        if (last === undefined) return [];
        return [
          [
            herdId,
            {
              lastMethod: last.method,
              measured: measured
                .filter((feeding) => feeding.herd_id === herdId)
                .map((feeding) => ({
                  fed: Mass.sum((layers.get(feeding.id) ?? []).map((layer) => Mass.kilograms(layer.kilograms))),
                  lost: Mass.kilograms(feeding.refused_kg ?? '0').plus(Mass.kilograms(feeding.wasted_kg ?? '0')),
                })),
            },
          ] as const,
        ];
      }),
    );
  }

  async #prices(
    tenant: OperationTenant,
    plan: PlanIn,
    from: string,
    currency: Currency,
    flags: Flag[],
  ): Promise<BudgetInputs['prices']> {
    if (!tenant.may('prices', tenant.operationId)) return [];
    const told = (plan.prices ?? []).map(({ hayKind, amount, per }) => ({
      hayKind: hayKind,
      price: PricePerMass.of(amount, currency, per),
    }));
    const rows = await tenant.db
      .selectFrom('hay_purchase')
      .innerJoin('hay_purchase_price', (join) =>
        join
          .onRef('hay_purchase_price.operation_id', '=', 'hay_purchase.operation_id')
          .onRef('hay_purchase_price.hay_purchase_id', '=', 'hay_purchase.id'),
      )
      .innerJoin('hay_lot', (join) =>
        join
          .onRef('hay_lot.operation_id', '=', 'hay_purchase.operation_id')
          .onRef('hay_lot.id', '=', 'hay_purchase.hay_lot_id'),
      )
      .leftJoin('reversal', (join) =>
        join
          .onRef('reversal.operation_id', '=', 'hay_purchase.operation_id')
          .onRef('reversal.subject_id', '=', 'hay_purchase.id'),
      )
      .select([
        'hay_lot.hay_kind',
        sql<string>`sum(hay_purchase_price.hay_amount + hay_purchase_price.freight_amount + hay_purchase_price.charges_amount)`.as(
          'amount',
        ),
        sql<string>`sum(hay_purchase.weight_kg)`.as('kilograms'),
      ])
      .where('hay_purchase.operation_id', '=', tenant.operationId)
      .where('reversal.id', 'is', null)
      .where('hay_purchase.happened_on', '<=', from)
      .where('hay_purchase.happened_on', '>=', addDays(from, -OWN_FIGURES_DAYS))
      .groupBy('hay_lot.hay_kind')
      .execute();
    const own = rows
      .filter((row) => !told.some((one) => one.hayKind === row.hay_kind))
      .map((row) => ({
        hayKind: row.hay_kind,
        price: Money.of(row.amount, currency).per(Mass.kilograms(row.kilograms)),
      }));
    if (own.length > 0)
      flags.push({
        code: 'prices-from-own-tickets',
        message:
          `The price of ${own.map((one) => one.hayKind).join(', ')} is the mean delivered price of the tickets of ` +
          `the year before ${from}.`,
      });
    return [...told, ...own];
  }
}

function knownHay(lots: readonly LotInput[]): KnownHay {
  return {
    lots,
    rationLots: new Map(
      lots.map(({ row, tests }) => [
        row.id,
        rationLotOf({
          lotId: row.id,
          lotName: row.name,
          hayKind: row.hay_kind,
          tests: tests.map((test) => ({
            id: test.id,
            method: test.method,
            analysis: test.analysis,
            ...(test.cores === null ? {} : { coresSampled: test.cores }),
          })),
        }),
      ]),
    ),
  };
}

/** A load as the books keep it, for the core. */
function receivedHay(row: ReceivedIntoLot): ReceivedHay {
  const weight = Mass.kilograms(row.weight_kg);
  if (row.bale_count === null || row.bales_weighed === null || row.bale_weight_unit === null) return { weight };
  return {
    weight,
    weighing: {
      bales: row.bale_count,
      weighed: row.bales_weighed,
      standardDeviation: row.bale_weight_sd === null ? null : Mass.of(row.bale_weight_sd, row.bale_weight_unit),
    },
  };
}

/**
 * The core's input at typical losses and balances, or at a bound: low losses with as much hay as may be there, high
 * losses with as little.
 */
export function coreInput(inputs: BudgetInputs, at: 'low' | 'typical' | 'high'): HayBudgetInput {
  return {
    from: inputs.from,
    until: inputs.end,
    currency: inputs.currency,
    prices: inputs.prices,
    substituteKinds: inputs.plan.substituteKinds,
    herds: inputs.herds.map((one): HerdPlan => ({
      herdId: one.herd.id,
      headEvents: one.headEvents,
      dryMatterIntakePerHeadDay: one.intakeByMonth[0]?.dryMatterIntakePerHeadDay ?? Mass.zero,
      intakeOfMonths: one.intakeByMonth,
      dryMatter: one.dryMatter,
      waste: one.waste[at],
      wasteConvention: inputs.plan.wasteConvention,
      kinds: one.kinds,
    })),
    lots: inputs.lots.map((one): LotOnHand => ({
      lotId: one.row.id,
      hayKind: one.row.hay_kind,
      balance: { low: one.sureness.high, typical: one.balance, high: one.sureness.low }[at],
      storedOn: one.storedOn,
      countedOn: inputs.from,
      seasonLoss: one.loss[at],
    })),
  };
}

/** The head history, or from its first day on a stated plan in its place. */
function plannedEvents(
  history: readonly HeadEvent[],
  stated: readonly { from: string; head: number }[] | undefined,
): HeadEvent[] {
  if (stated === undefined) return [...history];
  const steps = [...stated].sort((a, b) => (a.from < b.from ? -1 : 1));
  const first = steps[0]?.from ?? '';
  const before = history.filter((event) => event.day < first);
  const known = headHistory(before);
  let head = known.ok ? (known.steps.at(-1)?.head ?? 0) : 0;
  return [
    ...before,
    ...steps.flatMap((step): HeadEvent[] => {
      const difference = step.head - head;
      head = step.head;
      return difference === 0
        ? []
        : [{ day: step.from, kind: difference > 0 ? 'in' : 'out', head: Math.abs(difference) }];
    }),
  ];
}

/** Shares of the kinds that are fed, as told or as they lie in the yard; with an empty yard, meadow hay. */
function kindsOf(
  told: readonly { hayKind: string; percent: string }[] | undefined,
  lots: readonly LotInput[],
): { hayKind: string; share: Decimal }[] | undefined {
  if (told !== undefined) {
    const kinds = told.map((one) => ({ hayKind: one.hayKind, share: decimal(one.percent).div(100) }));
    return sumDecimals(kinds.map((one) => one.share)).eq(1) ? kinds : undefined;
  }
  const total = Mass.sum(lots.map((lot) => lot.balance));
  if (!total.isPositive()) return [{ hayKind: 'meadow', share: decimal(1) }];
  const names = [...new Set(lots.map((lot) => lot.row.hay_kind))];
  const shares = names.map((hayKind) => ({
    hayKind,
    share: Mass.sum(lots.filter((lot) => lot.row.hay_kind === hayKind).map((lot) => lot.balance))
      .ratioTo(total)
      .toDecimalPlaces(SHARE_PLACES),
  }));
  // The last kind takes the crumb of the rounding, so that the shares are one.
  return shares.map((one, index) =>
    index === shares.length - 1
      ? { ...one, share: decimal(1).minus(sumDecimals(shares.slice(0, -1).map((each) => each.share))) }
      : one,
  );
}

/** What the hay of these kinds is like: the lots on hand by their weight, or a book value where a kind has none. */
function mixOf(
  kinds: readonly { hayKind: string; share: Decimal }[],
  hay: KnownHay,
): { lots: { lot: RationLot; share: number }[]; dryMatter: Decimal; basis: string; restsOnBookValues: boolean } {
  const lots = kinds
    .flatMap(({ hayKind, share }) => {
      const own = hay.lots.filter((lot) => lot.row.hay_kind === hayKind);
      const total = Mass.sum(own.map((lot) => lot.balance));
      if (own.length === 0)
        return [
          {
            lot: rationLotOf({ lotId: hayKind, lotName: hayKind, hayKind: hayKind as HayKindCode, tests: [] }),
            share: share.toNumber(),
          },
        ];
      return own.flatMap((lot) => {
        const found = hay.rationLots.get(lot.row.id);
        return found === undefined ? [] : [{ lot: found, share: share.times(lot.balance.ratioTo(total)).toNumber() }];
      });
    })
    .filter((one) => one.share > 0);
  const percent = lots.reduce((sum, one) => sum + one.share * one.lot.dryMatterPercent.value, 0);
  const restsOnBookValues = lots.some((one) => one.lot.dryMatterPercent.origin === 'book-value');
  return {
    lots,
    dryMatter: decimalFromFloat(percent / 100, MASS_PLACES),
    basis: restsOnBookValues
      ? 'lots on hand by weight; book values where there is no test'
      : 'lab tests of the lots on hand, by weight',
    restsOnBookValues,
  };
}

function wasteOf(
  told: NonNullable<PlanIn['herds']>[number]['waste'],
  before: { lastMethod: string; measured: { fed: Mass; lost: Mass }[] } | undefined,
): BudgetLoss | string {
  if (told?.basis === 'stated') return statedLoss(decimal(told.percent).div(100), 'stated in the plan');
  const published = (method: string): BudgetLoss | string =>
    method in FEEDING_WASTE_CHOICES
      ? publishedFeedingWaste(method as BudgetFeedingMethod)
      : `No waste is published for the way of feeding "${method}"; state one.`;
  if (told?.basis === 'method') return published(told.method);
  const own = ownFeedingWaste(before?.measured ?? []);
  if (own !== null) return own;
  if (told?.basis === 'own-feedings') return 'No feeding of the last year has refusals or waste weighed.';
  return before === undefined
    ? 'It was not fed in the last year, so how it is fed is not known; state a waste or a way of feeding.'
    : published(before.lastMethod);
}

type Intake = { basis: string; byMonth: { month: string; dryMatterIntakePerHeadDay: Mass }[] } | { refused: string };

function intakeOf(
  told: NonNullable<PlanIn['herds']>[number]['intake'],
  herd: HerdRow,
  weight: { mass: Mass; on: string },
  plan: PlanIn,
  end: string,
  lots: readonly { lot: RationLot; share: number }[],
): Intake {
  const spans = monthSpans(plan.from, end);
  const everyMonth = (mass: Mass) => spans.map(({ month }) => ({ month, dryMatterIntakePerHeadDay: mass }));
  if (told.basis === 'stated') return { basis: 'stated in the plan', byMonth: everyMonth(toMass(told.dryMatter)) };
  if (told.basis === 'percent-of-body-weight') {
    const bodyWeight = told.bodyWeight === undefined ? weight.mass : toMass(told.bodyWeight);
    return {
      basis: `${told.percent} % of body weight`,
      byMonth: everyMonth(intakeFromBodyWeight({ bodyWeight, share: decimal(told.percent).div(100) })),
    };
  }
  const diet = dietContextOf(
    rationSupply({
      layers: [
        { role: 'mixed', lots: lots.map(({ lot, share }) => ({ lot, asFedKgPerHeadPerDay: share * ANY_RATION_KG })) },
      ],
    }),
  );
  const byMonth: { month: string; dryMatterIntakePerHeadDay: Mass }[] = [];
  for (const span of spans) {
    const middle = addDays(span.from, Math.floor(daysBetween(span.from, span.until) / 2));
    // Growing cattle are as heavy in each month as the gain that is wanted makes them.
    const grown =
      herd.target_gain_kg === null
        ? weight.mass
        : weight.mass.plus(Mass.kilograms(herd.target_gain_kg).times(Math.max(0, daysBetween(weight.on, middle))));
    const requirement = requirementsFor(animalOfHerd(herd, grown, middle), { edition: plan.edition, diet });
    if (!requirement.ok) return { refused: requirement.problems.map((one) => one.message).join(' ') };
    byMonth.push({
      month: span.month,
      dryMatterIntakePerHeadDay: Mass.kilograms(
        decimalFromFloat(requirement.value.dryMatterIntakeKgPerDay, MASS_PLACES),
      ),
    });
  }
  return { basis: `predicted month by month by the requirement equations (${plan.edition}) on this hay`, byMonth };
}
