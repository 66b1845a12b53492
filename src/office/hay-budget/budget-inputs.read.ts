import { headEvents } from '../../core/standing/head-days.js';
import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import { type ReceivedHay, weighedBalanceInterval } from '../../core/budget/balance-interval.js';
import { type BudgetLoss, publishedStorageLoss, statedLoss } from '../../core/budget/loss-figures.js';
import { lotDangers } from '../../core/judge/lot-dangers.js';
import { COW_INTAKE_READS_LOW } from '../../core/budget/intake-correction.data.js';
import { firstDayToFeed, lastDayOfStock } from '../../core/season/days-to-feed.js';
import { addDays, daysBetween } from '../../core/time/calendar-day.js';
import { decimal } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import { type Currency, Money, PricePerMass } from '../../core/units/money.js';
import { HerdFactsRead } from '../../desk/facts/herd-facts.js';
import { LotFactsRead, testingOf } from '../../desk/facts/lot-facts.js';
import { contentOf, layOut, type RationRow } from '../../desk/facts/ration-content.js';
import { RationRead } from '../../desk/rations/ration.read.js';
import { dayIn } from '../../platform/clock.js';
import { together } from '../../platform/database/together.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { type FieldProblem, Problem } from '../../platform/http/problem.js';
import { asCurrency } from '../../platform/wire/quantity.schema.js';
import { FeedingRead } from '../../records/feedings/feeding.read.js';
import { HerdRead, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import { HayLotRead, type HayLotRow } from '../../records/hay/lots/hay-lot.read.js';
import { type ReceivedIntoLot, StockRead } from '../../records/hay/stock/stock.read.js';
import { StorageLossRead } from '../../records/hay/storage-shrink/storage-loss.read.js';
import { notReversed } from '../../records/kit/not-reversed.read.js';
import type { Flag } from '../report.schema.js';
import {
  type BudgetInputs,
  type HerdInput,
  type KnownHay,
  knownHay,
  type LotInput,
  type NotCounted,
  OWN_FIGURES_DAYS,
} from './budget-inputs.js';
import type { PlanIn } from './hay-budget.schema.js';
import type { PlannedRation } from './herd-months.js';
import { type BudgetSpan, herdInputOf, type HerdKnown, type StatedHerd, type ReportProblem } from './herd-input.js';

const DAYS_MAX = 400;

/** Names of a plan's fields as query parameters. */
const PARAMETERS: Readonly<Record<string, string>> = { waste: 'wastePercent', intake: 'intakePercent' };

/** Fields given for all herds at once, where no herd is given. */
export type ForEveryHerd = Partial<Pick<StatedHerd, 'intake' | 'waste'>>;

@Injectable()
export class BudgetInputsRead {
  constructor(
    private readonly herds: HerdRead,
    private readonly lots: HayLotRead,
    private readonly stock: StockRead,
    private readonly herdFacts: HerdFactsRead,
    private readonly rations: RationRead,
    private readonly lotFacts: LotFactsRead,
    private readonly storageLosses: StorageLossRead,
    private readonly feedings: FeedingRead,
  ) {}

  /** @param from the day that feeding starts from: the plan's first, or today for a re-forecast. */
  async gather(
    tenant: OperationTenant,
    plan: PlanIn,
    from: string,
    pointer: string,
    every: ForEveryHerd = {},
  ): Promise<BudgetInputs> {
    const end = addDays(plan.until, 1);
    refuseSpan(plan, end, pointer);
    const currency = asCurrency(tenant.operation.currency);
    const today = dayIn(tenant.operation.timeZone, tenant.moment);
    const lots = await this.#lotsOnHand(tenant, plan, from, lastDayOfStock(from, today));
    const hay = knownHay(lots);
    const flags: Flag[] = [];
    const { herds, notCounted } = await this.#herds(tenant, { from, end, plan, today }, hay, pointer, every);
    flags.push(...herdFlags(herds, notCounted));
    const prices = await this.#prices(tenant, plan, from, currency, flags);
    if (lots.length === 0) flags.push({ code: 'no-hay-on-hand', message: `No hay was on hand on ${from}.` });
    return { from, end, plan, currency, herds, notCounted, lots, inDanger: inDanger(lots, from), prices, flags };
  }

  async #lotsOnHand(tenant: OperationTenant, plan: PlanIn, from: string, untilDay: string): Promise<LotInput[]> {
    const balances = await this.stock.balances(tenant, { untilDay });
    const seasonLoss = await this.storageLosses.seasonLossOn(tenant, from);
    const came = await this.#cameOn(tenant);
    const rows = (await this.lots.all(tenant)).filter(
      (row) => row.category === 'hay' && balances.get(row.id)?.isPositive() === true,
    );
    const ids = rows.map((row) => row.id);
    const known = await this.lotFacts.named(
      tenant,
      ids.map((id) => ({ id, pointer: '#' })),
      from,
    );
    const received = await this.stock.receivedInto(tenant, ids, untilDay);
    const lots = rows.flatMap((row): LotInput[] => {
      const facts = known.get(row.id);
      if (facts === undefined) return [];
      const storedOn = row.stored_since ?? row.harvested_on ?? came.get(row.id) ?? from;
      const balance = balances.get(row.id) ?? Mass.zero;
      const loads = received.filter((one) => one.hay_lot_id === row.id).map(receivedHay);
      return [
        {
          row,
          balance,
          sureness: weighedBalanceInterval({ balance, received: loads }),
          facts,
          storedOn: storedOn > from ? from : storedOn,
          loss: storageLossOf(row, plan, seasonLoss),
        },
      ];
    });
    // What spoils fastest in storage is fed first, then what has been stored longest.
    return lots.sort(
      (a, b) =>
        b.loss.typical.comparedTo(a.loss.typical) ||
        (a.storedOn < b.storedOn ? -1 : a.storedOn > b.storedOn ? 1 : a.row.name < b.row.name ? -1 : 1),
    );
  }

  /** The first day that hay came into each lot. */
  async #cameOn({ db, operationId }: OperationTenant): Promise<Map<string, string>> {
    const rows = await db
      .selectFrom('stock_movement')
      .select(['hay_lot_id', (e) => e.fn.min('effective_on').as('first')])
      .where('operation_id', '=', operationId)
      .where('kilograms', '>', '0')
      .groupBy('hay_lot_id')
      .execute();
    return new Map(rows.map((row) => [row.hay_lot_id, row.first]));
  }

  async #herds(
    tenant: OperationTenant,
    span: BudgetSpan,
    hay: KnownHay,
    pointer: string,
    every: ForEveryHerd,
  ): Promise<Pick<BudgetInputs, 'herds' | 'notCounted'>> {
    const { from, end, plan, today } = span;
    const all = await this.herds.all(tenant);
    const stated =
      plan.herds ?? all.map((herd): StatedHerd => ({ herdId: herd.id, intake: { basis: 'equations' }, ...every }));
    const ids = stated.map((one) => one.herdId);
    const known = all.filter((herd) => ids.includes(herd.id));
    const [changes, fedToday, through, before, inUse] = await together(
      this.herds.changes(tenant, ids),
      this.feedings.herdsFedOn(tenant, ids, today),
      this.herdFacts.throughTime(tenant, known, plan.from),
      this.herdFacts.of(tenant, known, addDays(from, -1)),
      this.rations.inUseBetween(tenant, ids, '0001-01-01', addDays(end, -1)),
    );
    const rations = stated.some((one) => one.intake.basis === 'ration-in-use')
      ? await this.#laid(tenant, inUse, addDays(end, -1))
      : new Map([...inUse].map(([herdId, rows]) => [herdId, rows.map((row): PlannedRation => ({ row }))]));
    const problems: FieldProblem[] = [];
    const notCounted: NotCounted[] = [];
    const herds = stated.flatMap((one, index): HerdInput[] => {
      const report: ReportProblem = (field, problem, ofHerd) => {
        const herd = all.find((each) => each.id === one.herdId);
        // A herd that the plan names must be judged; when all herds are asked for, one that cannot be does not stop the
        // others.
        if (plan.herds === undefined && herd !== undefined && ofHerd !== undefined)
          notCounted.push({ herdId: herd.id, herd: herd.name, ...ofHerd, because: problem.message });
        else problems.push({ ...placeOf(plan, pointer, index, field), ...problem });
        return undefined;
      };
      const herd = herdNamed(all, stated, index, report);
      const onDay = through.get(one.herdId);
      const onEve = before.find((facts) => facts.herd.id === one.herdId);
      if (herd === undefined || onDay === undefined || onEve === undefined) return [];
      const found: HerdKnown = {
        herd,
        feedsFrom: firstDayToFeed(from, { today, isFedToday: fedToday.has(herd.id) }),
        headEvents: headEvents(changes.filter((change) => change.herdId === herd.id)),
        onDay,
        before: onEve,
        rations: rations.get(herd.id) ?? [],
      };
      const input = herdInputOf(one, found, span, hay, report);
      return input === undefined ? [] : [input];
    });
    if (problems.length > 0) throw new Problem('rule-broken', problems.map((one) => one.message).join(' '), problems);
    return { herds, notCounted };
  }

  /** Rations laid out from the lots as known on a day. */
  async #laid(
    tenant: OperationTenant,
    rows: ReadonlyMap<string, readonly RationRow[]>,
    until: string,
  ): Promise<Map<string, PlannedRation[]>> {
    const layers = await this.rations.layersOf(tenant, [...rows.values()].flat());
    const lotIds = [...new Set([...layers.values()].flat().map((layer) => layer.hay_lot_id))];
    const lots = await this.lotFacts.named(
      tenant,
      lotIds.map((id) => ({ id, pointer: '#' })),
      until,
    );
    return new Map(
      [...rows].map(([herdId, own]) => [
        herdId,
        own.map((row) => ({ row, laid: layOut(contentOf(row, layers.get(row.id) ?? []), lots) })),
      ]),
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
    const stated = (plan.prices ?? []).map(({ hayKind, amount, per }) => ({
      hayKind: hayKind,
      price: PricePerMass.of(amount, currency, per),
    }));
    const rows = await this.#bought(tenant, from);
    const own = rows
      .filter((row) => !stated.some((one) => one.hayKind === row.hay_kind))
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
    return [...stated, ...own];
  }

  /** What was bought of each kind in the year before a day, with its delivered cost. */
  async #bought(
    { db, operationId }: OperationTenant,
    from: string,
  ): Promise<{ hay_kind: string; amount: string; kilograms: string }[]> {
    return db
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
      .select([
        'hay_lot.hay_kind',
        sql<string>`sum(hay_purchase_price.hay_amount + hay_purchase_price.freight_amount
          + hay_purchase_price.charges_amount)`.as('amount'),
        sql<string>`sum(hay_purchase.weight_kg)`.as('kilograms'),
      ])
      .where('hay_purchase.operation_id', '=', operationId)
      .where(notReversed('hay_purchase'))
      .where('hay_purchase.happened_on', '<=', from)
      .where('hay_purchase.happened_on', '>=', addDays(from, -OWN_FIGURES_DAYS))
      .groupBy('hay_lot.hay_kind')
      .execute();
  }
}

/** @throws Problem where the plan runs backward or over too many days */
function refuseSpan(plan: PlanIn, end: string, pointer: string): void {
  const days = daysBetween(plan.from, end);
  if (days >= 1 && days <= DAYS_MAX) return;
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

/** Place of a herd's field in the request. */
function placeOf(
  plan: PlanIn,
  pointer: string,
  index: number,
  field: string,
): Pick<FieldProblem, 'parameter' | 'pointer'> {
  return plan.herds === undefined || pointer === ''
    ? { parameter: PARAMETERS[field] ?? field }
    : { pointer: `${pointer}/herds/${index}/${field}` };
}

/** The herd that a plan names; reports one that does not exist or was already named. */
function herdNamed(
  all: readonly HerdRow[],
  stated: readonly StatedHerd[],
  index: number,
  report: ReportProblem,
): HerdRow | undefined {
  const herdId = stated[index]?.herdId ?? '';
  const herd = all.find((each) => each.id === herdId);
  if (herd === undefined)
    return report('herdId', {
      code: 'no-such-herd',
      given: herdId,
      allowed: 'a herd of this operation',
      message: 'There is no such herd, or none that you may see.',
    });
  if (stated.findIndex((each) => each.herdId === herdId) < index)
    report('herdId', {
      code: 'herd-twice',
      given: herdId,
      allowed: 'each herd once',
      message: `${herd.name} is in the plan twice.`,
    });
  return herd;
}

/** By the cautions of the judge, as of the day that feeding starts from. */
function inDanger(lots: readonly LotInput[], from: string): BudgetInputs['inDanger'] {
  return lots.flatMap((lot) => {
    const { facts } = lot;
    const dangers = lotDangers(facts.lot, { testing: testingOf([facts], from, false), observed: [facts.observed] });
    return dangers.length === 0 ? [] : [{ lot, titles: [...new Set(dangers.map(({ title }) => title))] }];
  });
}

function herdFlags(inputs: readonly HerdInput[], notCounted: readonly NotCounted[]): Flag[] {
  const flags: Flag[] = [];
  if (notCounted.length > 0)
    flags.push({
      code: 'herds-not-counted',
      message:
        `Not counted: ${notCounted.map((one) => one.herd).join(', ')}. What they need comes on top. ` +
        notCounted.map((one) => one.because).join(' '),
    });
  if (inputs.length === 0 && notCounted.length === 0)
    flags.push({ code: 'no-cattle', message: 'No herd has cattle in these days.' });
  for (const one of inputs.filter((each) => each.restsOnBookValues))
    flags.push({
      code: 'book-values',
      message: `The dry matter of the hay for ${one.herd.name} rests on book values; test the lots.`,
    });
  for (const one of inputs.filter((each) => each.waste.basis === 'published'))
    flags.push({
      code: 'waste-published',
      message:
        `The waste of ${one.herd.name} is a published figure (${one.waste.source}); weigh what is left at some ` +
        'feedings.',
    });
  for (const one of inputs.filter((each) => each.waste.basis === 'assumed'))
    flags.push({
      code: 'waste-assumed',
      message:
        `How ${one.herd.name} is fed is not known; its waste is taken as that of the usual way, a ring feeder ` +
        `(${one.waste.source}). State a waste or a way of feeding, or record its feedings.`,
    });
  return [...flags, ...intakeFlags(inputs)];
}

function intakeFlags(inputs: readonly HerdInput[]): Flag[] {
  const { dry, lactating, source } = COW_INTAKE_READS_LOW;
  const corrected = inputs.filter((one) => one.intakeFrom === 'corrected-equations');
  const carried = inputs.filter((one) => one.intakeByMonth.some(({ ration }) => ration?.carriedForward === true));
  const names = (herds: readonly HerdInput[]): string => herds.map((one) => one.herd.name).join(', ');
  return [
    ...(carried.length === 0
      ? []
      : [
          {
            code: 'ration-carried-forward',
            message: `In some months no ration is in use, and an earlier or later one is assumed: ${names(carried)}.`,
          },
        ]),
    ...(corrected.length === 0
      ? []
      : [
          {
            code: 'intake-corrected',
            message:
              `The intake of cows (${names(corrected)}) is the equation's, raised by what it is known to read low: ` +
              `${dry.percent} % of what they eat for ${dry.of}, which raises it by ${raisedBy(dry.percent)} %, and ` +
              `${lactating.percent} % for ${lactating.of}, by ${raisedBy(lactating.percent)} %. Fiber does not hold ` +
              'down what is raised, as it does the predicted intake of an evaluation: the cows of the source ate ' +
              `more than that allows. What was raised is under \`correction\`. Source: ${source}.`,
          },
        ]),
  ];
}

/** What reads so many percent low is raised by more than that: eaten = predicted / (1 - share). */
const raisedBy = (readsLow: number): string => ((1 / (1 - readsLow / 100) - 1) * 100).toFixed(1);

/** A lot's loss over a season: from the plan, as measured here, or as published for its storage. */
function storageLossOf(
  row: HayLotRow,
  plan: PlanIn,
  seasonLoss: Awaited<ReturnType<StorageLossRead['seasonLossOn']>>,
): BudgetLoss {
  const stated = plan.storageLosses?.find((one) => one.storageMethod === row.storage_method);
  if (stated !== undefined) return statedLoss(decimal(stated.percent).div(100), stated.how);
  const season = seasonLoss(row);
  return season.basis === 'own-measurement'
    ? { ...statedLoss(season.share, season.how), basis: season.basis }
    : publishedStorageLoss(season.method);
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
