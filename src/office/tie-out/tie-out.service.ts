import { Injectable } from '@nestjs/common';
import type { AccountRole } from '../../core/stock/accounts.data.js';
import type { RollForward } from '../../core/stock/roll-forward.js';
import { TIE_FIGURES, type TieFigure, untied } from '../../core/stock/tie-out.js';
import { addDays, monthSpans } from '../../core/time/calendar-day.js';
import { Mass } from '../../core/units/mass.js';
import { type Currency, Money } from '../../core/units/money.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { asCurrency, formatMass, formatMoney, type UnitSystem } from '../../platform/wire/quantity.schema.js';
import { CostingService } from '../../records/hay/costing/costing.service.js';
import { BalancesRead } from '../balances/balances.read.js';
import { CloseoutService } from '../closeout/closeout.service.js';
import { type Correction, OF_YARDAGE, sumOf } from '../corrections.js';
import type { LedgerLine } from '../general-ledger/general-ledger.schema.js';
import { GeneralLedgerService } from '../general-ledger/general-ledger.service.js';
import { HayPositionService } from '../hay-position/hay-position.service.js';
import { methodChangeFlags } from '../method-change.js';
import { spanOf } from '../report-period.js';
import { RollForwardService } from '../roll-forward/roll-forward.service.js';
import { SeasonCostService } from '../season-cost/season-cost.service.js';
import type * as api from './tie-out.schema.js';

type Answer = AnswerOf<typeof api.getTieOut>;
type Month = Answer['months'][number];
type Season = Awaited<ReturnType<SeasonCostService['compute']>>;

/** Quantities that are told to so many places may differ by one in the last. */
const QUANTITY_TELLS = 6;

@Injectable()
export class TieOutService {
  constructor(
    private readonly balances: BalancesRead,
    private readonly position: HayPositionService,
    private readonly rolls: RollForwardService,
    private readonly ledger: GeneralLedgerService,
    private readonly seasonCost: SeasonCostService,
    private readonly closeouts: CloseoutService,
    private readonly costing: CostingService,
  ) {}

  async report(tenant: OperationTenant, { query }: InputOf<typeof api.getTieOut>): Promise<Answer> {
    const span = spanOf(query);
    const units = query.units ?? tenant.operation.unitPreference;
    const months: Month[] = [];
    const { changes } = await this.costing.upTo(tenant, query.until, { entriesFrom: span.end });
    for (const { month, from, until } of monthSpans(span.from, span.end))
      months.push(await this.#month(tenant, month, { from, until: addDays(until, -1), units }));
    return {
      operationId: tenant.operationId,
      operation: tenant.operation.name,
      invented: tenant.operation.invented,
      currency: asCurrency(tenant.operation.currency),
      units,
      method: 'Each report asked for each month by itself, and their figures of the same thing held together.',
      inputs: { months: months.length },
      flags: methodChangeFlags(changes, query),
      from: query.from,
      until: query.until,
      months,
      ties: months.every(({ differences }) => differences.length === 0),
    };
  }

  async #month(
    tenant: OperationTenant,
    month: string,
    days: { from: string; until: string; units: UnitSystem },
  ): Promise<Month> {
    const currency = asCurrency(tenant.operation.currency);
    const { until, units } = days;
    const sums = await this.balances.grouped(tenant, 'kind', { untilDay: until }, undefined);
    const position = await this.position.compute(tenant, { on: until, units });
    const { rolled } = await this.rolls.rolled(tenant, { ...days, by: 'kind' });
    const ledger = await this.ledger.compute(tenant, days);
    const season = await this.seasonCost.compute(tenant, { ...days, by: 'operation' });
    const closeouts = await this.closeouts.totals(tenant, days);
    const quantities = {
      ledgerQuantity: formatMass(Mass.sum(sums.map((one) => Mass.kilograms(one.kilograms))), units, 'large'),
      positionQuantity: position.total.quantity,
      rolledQuantity: formatMass(rolled.total.closing.mass, units, 'large'),
    };
    const figures: Record<TieFigure, Money> = {
      positionValue: money(position.total.value, currency),
      ...rolledFigures(rolled, season, currency),
      ...ledgerFigures(ledger.lines, currency),
      ...seasonFigures(season, currency),
      closeoutFeed: closeouts.feed,
      closeoutYardage: closeouts.yardage,
      closeoutOtherCosts: closeouts.otherCosts,
      closeoutCattle: closeouts.cattle,
    };
    const told = Object.fromEntries(TIE_FIGURES.map((name) => [name, formatMoney(figures[name])])) as Record<
      TieFigure,
      ReturnType<typeof formatMoney>
    >;
    return { month, ...quantities, ...told, differences: [...untiedQuantities(quantities), ...untied(figures)] };
  }
}

const money = ({ amount }: { amount: string }, currency: Currency): Money => Money.of(amount, currency);

function rolledFigures(
  { total }: RollForward,
  season: Season,
  currency: Currency,
): Pick<Record<TieFigure, Money>, 'rolledValue' | 'rolledChange' | 'rolledFeed'> {
  return {
    rolledValue: total.closing.value,
    rolledChange: total.closing.value.minus(total.opening.value),
    // Season cost is what was fed in the roll-forward; what it corrects of earlier days is a correction in both.
    rolledFeed: corrected(season, ['feeding'], currency).minus(total.flows.fed.value),
  };
}

/** What was posted to accounts, by their roles. */
function ledgerFigures(
  lines: readonly LedgerLine[],
  currency: Currency,
): Pick<
  Record<TieFigure, Money>,
  'journalChange' | 'journalFeed' | 'ledgerYardage' | 'ledgerLateCosts' | 'ledgerOtherCosts' | 'ledgerCattle'
> {
  const posted = (roles: readonly AccountRole[], keep: (line: LedgerLine) => boolean = () => true): Money =>
    Money.sum(
      lines
        .filter((line) => roles.includes(line.account) && keep(line))
        .map(({ debit, credit }) => money(debit, currency).minus(money(credit, currency))),
      currency,
    );
  return {
    journalChange: posted(['hay-inventory']),
    journalFeed: posted(['feed-expense']),
    ledgerYardage: posted(['yardage-expense']),
    ledgerLateCosts: posted(['purchase-price-variance'], ({ herdId }) => herdId !== null),
    ledgerOtherCosts: posted(['herd-costs']),
    ledgerCattle: posted(['cattle-purchases', 'cattle-sales', 'cattle-transfers']),
  };
}

function seasonFigures(
  season: Season,
  currency: Currency,
): Pick<Record<TieFigure, Money>, 'seasonFeed' | 'seasonYardage' | 'seasonLateCosts'> {
  const { hayCost, otherFeedCost, yardageCost, lateCosts } = season.total;
  const of = (one: { amount: string } | null | undefined): Money => money(one ?? { amount: '0' }, currency);
  return {
    seasonFeed: of(hayCost)
      .plus(of(otherFeedCost))
      .plus(corrected(season, ['feeding'], currency)),
    seasonYardage: of(yardageCost).plus(corrected(season, OF_YARDAGE, currency)),
    seasonLateCosts: of(lateCosts).plus(corrected(season, ['hay-cost'], currency)),
  };
}

/** What a season corrects of the cost of earlier days. */
function corrected(
  { correctionsOfEarlier = [] }: Season,
  sorts: readonly Correction['reversed'][],
  currency: Currency,
): Money {
  const corrections = correctionsOfEarlier.map((one) => ({ reversed: one.what, amount: money(one.amount, currency) }));
  return sumOf(corrections, sorts, currency);
}

/** Quantities of the same hay that are not the same. */
function untiedQuantities(
  told: Pick<Month, 'ledgerQuantity' | 'positionQuantity' | 'rolledQuantity'>,
): Month['differences'] {
  const least = 10 ** -QUANTITY_TELLS * 1.5;
  const quantity = (one: 'positionQuantity' | 'rolledQuantity', what: string): string[] =>
    Math.abs(Number(told[one].value) - Number(told.ledgerQuantity.value)) <= least
      ? []
      : [`${what} ${told[one].value} ${told[one].unit}, by the ledger ${told.ledgerQuantity.value}`];
  return [
    ...quantity('positionQuantity', 'On hand by the position'),
    ...quantity('rolledQuantity', 'On hand by the roll-forward'),
  ];
}
