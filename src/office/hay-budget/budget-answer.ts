import type { HayBudget } from '../../core/budget/hay-budget.js';
import type { PeriodNeed } from '../../core/budget/hay-need.js';
import type { BudgetLoss } from '../../core/budget/loss-figures.js';
import { type Decimal, decimal } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf } from '../../platform/http/endpoint.js';
import {
  type UnitSystem,
  writeDecimal,
  writeMass,
  writeMoney,
  writePrice,
} from '../../platform/wire/quantity.schema.js';
import { testedAs } from '../../records/hay/lab-tests/lab-test.read.js';
import type { BudgetInputs } from './budget-inputs.js';
import type * as api from './hay-budget.schema.js';

export type BudgetAnswer = AnswerOf<typeof api.getHayBudget>;

export interface WorkedBudget {
  inputs: BudgetInputs;
  need: PeriodNeed;
  typical: HayBudget;
  low: HayBudget;
  high: HayBudget;
}

export interface Heading {
  units: UnitSystem;
  view: BudgetAnswer['view'];
  planId: string | null;
  plan: string | null;
  invented: boolean;
}

/** A mass in a sentence; the figures themselves stand in the answer. */
const SAID_PLACES = 2;

const percent = (share: Decimal): string => writeDecimal(share.times(100), 2);

export function writeBudget(
  tenant: OperationTenant,
  { inputs, need, typical, low, high }: WorkedBudget,
  { units, view, planId, plan, invented }: Heading,
): BudgetAnswer {
  const mass = (amount: Mass): ReturnType<typeof writeMass> => writeMass(amount, units, 'large');
  const showCost = tenant.may('prices', tenant.operationId);
  const price = (hayKind: string) => inputs.prices.find((one) => one.hayKind === hayKind)?.price;
  const names = new Map(inputs.herds.map((one) => [one.herd.id, one.herd.name]));
  const onHand = (hayKind: string): Mass =>
    Mass.sum(inputs.lots.filter((lot) => lot.row.hay_kind === hayKind).map((lot) => lot.balance));
  const bound = (budget: HayBudget): BudgetAnswer['range']['atLowLosses'] => ({
    needed: mass(budget.yard.needed),
    short: mass(budget.yard.short),
    surplus: mass(budget.yard.surplus),
    runsOutOn: budget.yard.runsOutOn,
    costToBuy: showCost && budget.costToBuy !== null ? writeMoney(budget.costToBuy) : null,
  });
  return {
    operationId: tenant.operationId,
    operation: tenant.operation.name,
    invented,
    currency: inputs.currency,
    units,
    method:
      `Need: head-days × dry matter eaten ÷ dry matter of the hay, and waste (${inputs.plan.wasteConvention}). ` +
      "Supply: each lot less its storage loss, which grows evenly to the season's figure over 270 days; hay that " +
      'weathers fastest is fed first.',
    inputs: { herds: inputs.herds.length, lots: inputs.lots.length, prices: inputs.prices.length },
    flags: [
      ...new Map(inputs.flags.map((flag) => [`${flag.code} ${flag.message}`, flag])).values(),
      ...(showCost && typical.costToBuy === null
        ? [
            {
              code: 'price-missing',
              message: 'Hay must be bought of a kind that has no price; tell prices in the plan.',
            },
          ]
        : []),
    ],
    from: inputs.from,
    until: inputs.plan.until,
    view,
    planId,
    plan,
    herds: inputs.herds.map((one) => ({
      herdId: one.herd.id,
      herd: one.herd.name,
      headOnFirstDay: one.headOnFirstDay,
      headDays: one.headDays,
      headBasis: one.headBasis,
      intakeBasis: one.intakeBasis,
      intakeByMonth: one.intakeByMonth.map((each) => ({
        month: each.month,
        dryMatterPerHeadDay: writeMass(each.dryMatterIntakePerHeadDay, units, 'small'),
      })),
      dryMatterPercent: percent(one.dryMatter),
      dryMatterBasis: one.dryMatterBasis,
      restsOnBookValues: one.restsOnBookValues,
      waste: writeLoss(one.waste),
      kinds: one.kinds.map((kind) => ({ hayKind: kind.hayKind as 'meadow', percent: percent(kind.share) })),
      needed: mass(Mass.sum(need.rows.filter((row) => row.herdId === one.herd.id).map((row) => row.needed))),
    })),
    months: need.rows
      .filter((row) => row.headDays > 0)
      .map((row) => ({
        month: row.month,
        herdId: row.herdId,
        herd: names.get(row.herdId) ?? '',
        headDays: row.headDays,
        dryMatterEaten: mass(row.dryMatterEaten),
        needed: mass(row.needed),
        wasted: mass(row.wasted),
        byKind: row.byKind.map((kind) => ({ hayKind: kind.hayKind as 'meadow', needed: mass(kind.needed) })),
      })),
    kinds: typical.kinds.map((kind) => ({
      hayKind: kind.hayKind as 'meadow',
      onHand: mass(onHand(kind.hayKind)),
      needed: mass(kind.needed),
      fed: mass(kind.fed),
      short: mass(kind.short),
      surplus: mass(kind.surplus),
      firstShortOn: kind.firstShortOn,
    })),
    lots: typical.lots.map((lot) => {
      const known = inputs.lots.find((one) => one.row.id === lot.lotId);
      if (known === undefined) throw new RangeError('The budget fed a lot that was not given to it');
      return {
        hayLotId: lot.lotId,
        hayLot: known.row.name,
        hayKind: lot.hayKind as 'meadow',
        storageMethod: known.row.storage_method,
        balance: mass(lot.balance),
        likelyBalance:
          known.sureness.basis === 'weighed-bales'
            ? { low: mass(known.sureness.low), high: mass(known.sureness.high) }
            : null,
        storageLoss: writeLoss(known.loss),
        testTakenFrom: testedAs(lot.lotId, known.tests),
        fed: mass(lot.fed),
        lost: mass(lot.lost),
        left: mass(lot.left),
        runsOutOn: lot.runsOutOn,
      };
    }),
    yard: {
      onHand: mass(Mass.sum(inputs.lots.map((lot) => lot.balance))),
      needed: mass(typical.yard.needed),
      fed: mass(typical.yard.fed),
      short: mass(typical.yard.short),
      surplus: mass(typical.yard.surplus),
      runsOutOn: typical.yard.runsOutOn,
      daysShort: typical.yard.daysShort,
    },
    toBuy: typical.toBuy.map((one) => {
      const known = price(one.hayKind);
      return {
        hayKind: one.hayKind as 'meadow',
        mass: mass(one.mass),
        price: known === undefined ? null : writePrice(known, units),
        cost: one.cost === null ? null : writeMoney(one.cost),
      };
    }),
    costToBuy: showCost && typical.costToBuy !== null ? writeMoney(typical.costToBuy) : null,
    range: { atLowLosses: bound(low), atHighLosses: bound(high), restsOn: restsOn(inputs, mass) },
  };
}

const counted = (count: number, one: string, many: string): string => `${count} ${count === 1 ? one : many}`;

/**
 * How sure the balances are, in words with their numbers: how many lots, how many bales weighed, plus or minus so much.
 */
function weightsSaid({ lots }: BudgetInputs, mass: (amount: Mass) => { value: string; unit: string }): string[] {
  if (lots.length === 0) return [];
  const tons = (amount: Mass): string => {
    const { value, unit } = mass(amount);
    return `${decimal(value).toDecimalPlaces(SAID_PLACES).toFixed()} ${unit}`;
  };
  const weighed = lots.filter((lot) => lot.sureness.basis === 'weighed-bales');
  const unknown = lots.filter((lot) => lot.sureness.loadsNotKnown > 0);
  const others = lots.filter((lot) => lot.sureness.basis === 'not-weighed-bales');
  const sum = (pick: (lot: BudgetInputs['lots'][number]) => number): number =>
    weighed.reduce((total, lot) => total + pick(lot), 0);
  return [
    ...(weighed.length === 0
      ? []
      : [
          `Weights of bales: ${counted(weighed.length, 'lot rests', 'lots rest')} on ` +
            `${sum((lot) => lot.sureness.balesWeighed)} of ${sum((lot) => lot.sureness.bales)} bales weighed; ` +
            `${tons(Mass.sum(weighed.map((lot) => lot.balance)))} on the first day, plus or minus ` +
            `${tons(Mass.sum(weighed.map((lot) => lot.sureness.half)))} (95 % of each lot, all of them low or ` +
            'high together).',
        ]),
    ...(unknown.length === 0
      ? []
      : [
          `Weights of bales: not known how sure for ${unknown.map((lot) => lot.row.name).join(', ')}, where one ` +
            'bale alone was weighed or no spread was given; it widens nothing.',
        ]),
    ...(others.length === 0
      ? []
      : [
          `Weights of ${counted(others.length, 'lot', 'lots')} from scale tickets, net weights or transfers are ` +
            'taken as they are.',
        ]),
  ];
}

function restsOn(inputs: BudgetInputs, mass: (amount: Mass) => { value: string; unit: string }): string[] {
  const said = (loss: BudgetLoss): string =>
    ({
      'published-figures':
        'the spread of published figures ' +
        `(${[...new Set([loss.source, ...loss.others.map((one) => one.source)])].join('; ')})`,
      'interval-95': `a 95 % interval of ${loss.source}`,
      none: `one figure without bounds (${loss.source})`,
    })[loss.bounds];
  return [
    ...inputs.herds.map((one) => `Waste of ${one.herd.name}: ${said(one.waste)}.`),
    ...[...new Map(inputs.lots.map((lot) => [lot.row.storage_method, lot.loss]))].map(
      ([method, loss]) => `Storage loss, ${method}: ${said(loss)}.`,
    ),
    ...weightsSaid(inputs, mass),
    'Head and intake are taken as given: try changes of them.',
  ];
}

function writeLoss(loss: BudgetLoss): BudgetAnswer['herds'][number]['waste'] {
  return {
    percent: percent(loss.typical),
    lowPercent: percent(loss.low),
    highPercent: percent(loss.high),
    basis: loss.basis,
    bounds: loss.bounds,
    source: loss.source,
    others: loss.others.map((one) => ({
      lowPercent: percent(one.low),
      highPercent: percent(one.high),
      source: one.source,
    })),
  };
}

export function ratio(value: Decimal | null): string | null {
  return value === null ? null : writeDecimal(decimal(value), 4);
}
