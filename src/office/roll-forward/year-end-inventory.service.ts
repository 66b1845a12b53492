import { Injectable } from '@nestjs/common';
import { HAY_KINDS } from '../../core/feeds/hay-kinds.data.js';
import { OTHER_FEEDS } from '../../core/feeds/other-feeds.data.js';
import { FARM_PRICE_SOURCE, farmPriceOfKinds, type FarmPriceValue } from '../../core/stock/farm-price.js';
import { addDays } from '../../core/time/calendar-day.js';
import { Mass } from '../../core/units/mass.js';
import { type Currency, Money, PricePerMass } from '../../core/units/money.js';
import { together } from '../../platform/database/together.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import {
  asCurrency,
  formatMass,
  formatMoney,
  formatPrice,
  type UnitSystem,
  unitFor,
} from '../../platform/wire/quantity.schema.js';
import { CostingService } from '../../records/hay/costing/costing.service.js';
import { AccountMapRead } from '../account-map/account-map.read.js';
import { boughtCattleFlags } from '../bought-cattle.js';
import { CattleJournalRead } from '../cattle-journal/cattle-journal.read.js';
import { methodChangeFlags } from '../method-change.js';
import type { Flag } from '../report.schema.js';
import { type LastSale, LastSalesRead } from './last-sales.read.js';
import type * as api from './roll-forward.schema.js';

type Answer = AnswerOf<typeof api.getYearEndInventory>;
type Row = Answer['rows'][number];

const NAMES: Readonly<Record<string, { name: string }>> = { ...HAY_KINDS, ...OTHER_FEEDS };
/** A sale of more than a year ago says nothing of this year's market (common practice, no source). */
const SALE_DAYS = 365;

@Injectable()
export class YearEndInventoryService {
  constructor(
    private readonly costing: CostingService,
    private readonly sales: LastSalesRead,
    private readonly cattle: CattleJournalRead,
    private readonly accounts: AccountMapRead,
  ) {}

  async report(tenant: OperationTenant, { query }: InputOf<typeof api.getYearEndInventory>): Promise<Answer> {
    const { on } = query;
    const units = query.units ?? tenant.operation.unitPreference;
    const currency = asCurrency(tenant.operation.currency);
    const stated = pricesIn('farmPrices', query.farmPrices, currency, units);
    const disposition = pricesIn('disposition', query.disposition, currency, units);
    const [{ replay, method, changes }, sales, bought, { accounts }] = await together(
      this.costing.upTo(tenant, on, { entriesFrom: addDays(on, 1) }),
      this.sales.byKind(tenant, { from: addDays(on, 1 - SALE_DAYS), until: on }),
      this.cattle.boughtOnHand(tenant, on),
      this.accounts.of(tenant),
    );
    const kinds = replay.kinds
      .filter(({ mass, value }) => !mass.isZero() || !value.isZero())
      .sort((one, other) => (one.hayKind < other.hayKind ? -1 : 1));
    const prices = kinds.map(({ hayKind }) =>
      priceOf(
        stated.get(hayKind),
        sales.find((one) => one.hayKind === hayKind),
        currency,
      ),
    );
    const farm = farmPriceOfKinds(
      kinds.map(({ hayKind, mass }, index) => ({
        hayKind,
        onHand: mass,
        marketPrice: prices[index]?.price,
        costOfDisposition: disposition.get(hayKind) ?? PricePerMass.of('0', currency, 'ton'),
      })),
      currency,
    );
    const rows = kinds.map(({ hayKind, mass, value }, index): Row => ({
      hayKind,
      label: NAMES[hayKind]?.name ?? hayKind,
      quantity: formatMass(mass, units, 'large'),
      atCost: formatMoney(value),
      atFarmPrice: farmAnswer(prices[index], farm.values[index], units),
    }));
    return {
      operationId: tenant.operationId,
      operation: tenant.operation.name,
      invented: tenant.operation.invented,
      currency,
      units,
      method:
        `At cost: the books by ${method}. At farm price: market price less the direct cost of disposition, for all ` +
        'that is on hand, raised or bought.',
      inputs: { kinds: rows.length, sales: sales.length },
      flags: [
        ...methodChangeFlags(changes, { from: on, until: on }),
        ...boughtCattleFlags(bought, accounts, on),
        ...flagsOf(farm.unpriced.map((kind) => NAMES[kind]?.name ?? kind)),
      ],
      onDay: on,
      costingMethod: method,
      rows,
      totalAtCost: formatMoney(replay.closingValue),
      totalGrossValue: moneyOrNull(farm.total?.grossValue),
      totalDisposition: moneyOrNull(farm.total?.disposition),
      totalAtFarmPrice: moneyOrNull(farm.total?.value),
      source: FARM_PRICE_SOURCE,
    };
  }
}

function moneyOrNull(amount: Money | undefined): Answer['totalAtFarmPrice'] {
  return amount === undefined ? null : formatMoney(amount);
}

interface MarketPrice {
  price: PricePerMass;
  basis: 'stated' | 'last-sale';
  soldOn: string | null;
}

function priceOf(
  stated: PricePerMass | undefined,
  sale: LastSale | undefined,
  currency: Currency,
): MarketPrice | undefined {
  if (stated !== undefined) return { price: stated, basis: 'stated', soldOn: null };
  if (sale === undefined) return undefined;
  const price = Money.of(sale.proceeds, currency).per(Mass.kilograms(sale.kilograms));
  return { price, basis: 'last-sale', soldOn: sale.soldOn };
}

function farmAnswer(
  market: MarketPrice | undefined,
  worth: FarmPriceValue | null | undefined,
  units: UnitSystem,
): Row['atFarmPrice'] {
  if (market === undefined || worth === null || worth === undefined) return null;
  return {
    price: formatPrice(market.price, units),
    basis: market.basis,
    soldOn: market.soldOn,
    grossValue: formatMoney(worth.grossValue),
    disposition: formatMoney(worth.disposition),
    value: formatMoney(worth.value),
  };
}

function flagsOf(missing: readonly string[]): Flag[] {
  return missing.length === 0
    ? []
    : [
        {
          code: 'farm-price-missing',
          message: `No price was given for ${missing.join(', ')}, and none was sold in the year before.`,
        },
      ];
}

/** Prices by kind as they were asked: `meadow:150,alfalfa:210.50`. @throws Problem where a kind is not known. */
function pricesIn(
  parameter: string,
  asked: string | undefined,
  currency: Currency,
  units: UnitSystem,
): ReadonlyMap<string, PricePerMass> {
  const pairs = (asked?.split(',') ?? []).map((one) => one.split(':') as [kind: string, price: string]);
  const unknown = pairs.find(([kind]) => !(kind in NAMES));
  if (unknown !== undefined)
    throw new Problem('invalid-input', undefined, [
      {
        parameter,
        code: 'no-such-kind',
        given: unknown[0],
        allowed: `kinds of hay or feed: ${Object.keys(NAMES).join(', ')}`,
        message: `There is no kind of hay or feed called ${unknown[0]}.`,
      },
    ]);
  return new Map(pairs.map(([kind, price]) => [kind, PricePerMass.of(price, currency, unitFor(units, 'large'))]));
}
