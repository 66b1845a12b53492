import { Injectable } from '@nestjs/common';
import { addDays, monthSpans } from '../../core/time/calendar-day.js';
import { Mass } from '../../core/units/mass.js';
import { type Currency, Money } from '../../core/units/money.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { asCurrency, formatMass, formatMoney, type UnitSystem } from '../../platform/wire/quantity.schema.js';
import { CostingService } from '../../records/hay/costing/costing.service.js';
import { BalancesRead } from '../balances/balances.read.js';
import { GeneralLedgerService } from '../general-ledger/general-ledger.service.js';
import { HayPositionService } from '../hay-position/hay-position.service.js';
import { methodChangeFlags } from '../method-change.js';
import { spanOf } from '../report-period.js';
import { RollForwardService } from '../roll-forward/roll-forward.service.js';
import { SeasonCostService } from '../season-cost/season-cost.service.js';
import type * as api from './tie-out.schema.js';

type Answer = AnswerOf<typeof api.getTieOut>;
type Month = Answer['months'][number];

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
    private readonly costing: CostingService,
  ) {}

  async report(tenant: OperationTenant, { query }: InputOf<typeof api.getTieOut>): Promise<Answer> {
    const span = spanOf(query);
    const units = query.units ?? tenant.operation.unitPreference;
    const months: Month[] = [];
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
      flags: await methodChangeFlags(tenant, this.costing, query),
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
    const { total } = rolled;
    const posted = (account: string): Money =>
      Money.sum(
        ledger.lines
          .filter((line) => line.account === account)
          .map(({ debit, credit }) => money(debit, currency).minus(money(credit, currency))),
        currency,
      );
    const corrected = (what: 'feeding' | 'head-change'): Money =>
      Money.sum(
        (season.correctionsOfEarlier ?? [])
          .filter((one) => one.what === what)
          .map((one) => money(one.amount, currency)),
        currency,
      );
    const [hay, other, yardage] = [season.total.hayCost, season.total.otherFeedCost, season.total.yardageCost];
    const told = {
      month,
      ledgerQuantity: formatMass(Mass.sum(sums.map((one) => Mass.kilograms(one.kilograms))), units, 'large'),
      positionQuantity: position.total.quantity,
      rolledQuantity: formatMass(total.closing.mass, units, 'large'),
      positionValue: position.total.value,
      rolledValue: formatMoney(total.closing.value),
      journalChange: formatMoney(posted('hay-inventory')),
      rolledChange: formatMoney(total.closing.value.minus(total.opening.value)),
      journalFeed: formatMoney(posted('feed-expense')),
      seasonFeed: formatMoney(money(hay, currency).plus(money(other, currency)).plus(corrected('feeding'))),
      rolledFeed: formatMoney(corrected('feeding').minus(total.flows.fed.value)),
      ledgerYardage: formatMoney(posted('yardage-expense')),
      seasonYardage: formatMoney(
        (yardage === null ? Money.zero(currency) : money(yardage, currency)).plus(corrected('head-change')),
      ),
    };
    return { ...told, differences: differencesIn(told) };
  }
}

const money = ({ amount }: { amount: string }, currency: Currency): Money => Money.of(amount, currency);

/** Figures of the same thing that are not the same. */
function differencesIn(told: Omit<Month, 'differences'>): string[] {
  const least = 10 ** -QUANTITY_TELLS * 1.5;
  const quantity = (one: 'positionQuantity' | 'rolledQuantity', what: string): string[] =>
    Math.abs(Number(told[one].value) - Number(told.ledgerQuantity.value)) <= least
      ? []
      : [`${what} ${told[one].value} ${told[one].unit}, by the ledger ${told.ledgerQuantity.value}`];
  type Figure = 'positionValue' | 'rolledValue' | 'journalChange' | 'rolledChange' | 'journalFeed' | 'seasonFeed';
  const amount = (
    one: Figure | 'rolledFeed' | 'ledgerYardage',
    other: Figure | 'seasonYardage',
    what: string,
  ): string[] =>
    told[one].amount === told[other].amount ? [] : [`${what}: ${told[one].amount} and ${told[other].amount}`];
  return [
    ...quantity('positionQuantity', 'On hand by the position'),
    ...quantity('rolledQuantity', 'On hand by the roll-forward'),
    ...amount('rolledValue', 'positionValue', 'Inventory by roll-forward and position'),
    ...amount('journalChange', 'rolledChange', 'Change of the hay account by journal and roll-forward'),
    ...amount('journalFeed', 'seasonFeed', 'Feed by journal and season cost'),
    ...amount('rolledFeed', 'seasonFeed', 'Feed by roll-forward and season cost'),
    ...amount('ledgerYardage', 'seasonYardage', 'Yardage by general ledger and season cost'),
  ];
}
