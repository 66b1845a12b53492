import { coldLeftOutCautions } from '../../core/cautions/cold-left-out.js';
import { Mass } from '../../core/units/mass.js';
import type { HayBudget } from '../../core/budget/hay-budget.js';
import type { LikelyRange } from '../../core/budget/likely-range.js';
import type { PeriodNeed } from '../../core/budget/hay-need.js';
import { type Decimal, decimal } from '../../core/units/decimal.js';
import { wordsIn } from '../../core/units/wording.js';
import { type ToldOfWeather, weatherFlags } from '../../desk/facts/weather-flags.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { type UnitSystem, formatDecimal, formatMass, formatMoney } from '../../platform/wire/quantity.schema.js';
import type { Flag } from '../report.schema.js';
import type { BudgetInputs } from './budget-inputs.js';
import { restsOn } from './budget-range.js';
import {
  type BudgetAnswer,
  type FormatMass,
  formatHerd,
  kindAnswer,
  lotAnswer,
  formatMonths,
  purchaseAnswer,
  stockAnswer,
  yardAnswer,
} from './budget-rows.js';

export interface WorkedBudget {
  inputs: BudgetInputs;
  need: PeriodNeed;
  typical: HayBudget;
  low: HayBudget;
  high: HayBudget;
  likely: LikelyRange;
}

export interface Heading {
  units: UnitSystem;
  view: BudgetAnswer['view'];
  planId: string | null;
  plan: string | null;
  invented: boolean;
}

export function budgetAnswer(
  tenant: OperationTenant,
  { inputs, need, typical, low, high, likely }: WorkedBudget,
  { units, view, planId, plan, invented }: Heading,
): BudgetAnswer {
  const mass: FormatMass = (amount) => formatMass(amount, units, 'large');
  const showCost = tenant.may('prices', tenant.operationId);
  const { herds, lots, prices } = inputs;
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
    inputs: { herds: herds.length, lots: lots.length, prices: prices.length },
    flags: flagsOf(
      [
        ...inputs.flags,
        ...wasteFlags(inputs, units),
        ...weatherFlags(toldOfWeather(inputs, units)),
        ...dangerFlags(inputs, mass),
      ],
      showCost && typical.costToBuy === null,
    ),
    from: inputs.from,
    until: inputs.plan.until,
    view,
    planId,
    plan,
    herds: herds.map((one) => formatHerd(one, need, units)),
    notCounted: inputs.notCounted,
    months: formatMonths(need, herds, mass),
    kinds: typical.kinds.map((kind) => kindAnswer(kind, lots, mass)),
    lots: typical.lots.map((lot) => lotAnswer(lot, lots, mass)),
    yard: yardAnswer(typical.yard, lots, mass),
    stock: stockAnswer(typical.stock, likely, mass),
    toBuy: typical.toBuy.map((one) => purchaseAnswer(one, prices, units)),
    costToBuy: showCost && typical.costToBuy !== null ? formatMoney(typical.costToBuy) : null,
    range: {
      atLowLosses: boundAnswer(low, showCost, mass),
      atHighLosses: boundAnswer(high, showCost, mass),
      likely: likelyAnswer(likely, mass),
      restsOn: restsOn(inputs, mass),
    },
  };
}

/** What the judge says of the weather in which the herds of a budget are judged month by month. */
function toldOfWeather({ herds }: BudgetInputs, units: UnitSystem): ToldOfWeather[] {
  return herds.flatMap(({ herd: { name: herd }, intakeByMonth }) =>
    intakeByMonth.flatMap(({ need, coldLeftOut }): ToldOfWeather[] =>
      [...(need?.notes ?? []), ...(coldLeftOut === null ? [] : coldLeftOutCautions(coldLeftOut))].map((one) => ({
        ...one,
        herd,
        message: wordsIn(units, one.message),
      })),
    ),
  );
}

/** How the leftovers of too large an offer were counted. */
function wasteFlags({ herds }: BudgetInputs, units: UnitSystem): Flag[] {
  return herds.flatMap(({ herd, wasteNote }) =>
    wasteNote === undefined
      ? []
      : [{ code: 'leftovers-of-a-larger-offer', message: `${herd.name}: ${wordsIn(units, wasteNote)}` }],
  );
}

/** Hay that may not be fed as it is still counts as supply, so the reader is told how much of it there is. */
function dangerFlags({ inDanger }: BudgetInputs, mass: FormatMass): Flag[] {
  if (inDanger.length === 0) return [];
  const said = (amount: Mass): string => {
    const { value, unit } = mass(amount);
    return `${Number(Number(value).toFixed(1))} ${unit}`;
  };
  const total = said(Mass.sum(inDanger.map(({ lot }) => lot.balance)));
  const named = inDanger.map(
    ({ lot, titles }) => `${lot.row.name}, ${said(lot.balance)} (${titles.join('; ').toLowerCase()})`,
  );
  return [
    {
      code: 'hay-under-danger-caution',
      message: `${total} of the hay counted is under a danger caution: ${named.join('; ')}.`,
    },
  ];
}

/** Each flag once, even if several herds or lots raised it; and a flag if hay to buy has no price. */
function flagsOf(raised: readonly Flag[], priceMissing: boolean): Flag[] {
  return [
    ...new Map(raised.map((flag) => [`${flag.code} ${flag.message}`, flag])).values(),
    ...(priceMissing
      ? [
          {
            code: 'price-missing',
            message: 'Hay must be bought of a kind that has no price; give prices in the plan.',
          },
        ]
      : []),
  ];
}

function boundAnswer(
  { yard, costToBuy }: HayBudget,
  showCost: boolean,
  mass: FormatMass,
): BudgetAnswer['range']['atLowLosses'] {
  return {
    needed: mass(yard.needed),
    short: mass(yard.short),
    surplus: mass(yard.surplus),
    runsOutOn: yard.runsOutOn,
    costToBuy: showCost && costToBuy !== null ? formatMoney(costToBuy) : null,
  };
}

function likelyAnswer(likely: LikelyRange, mass: FormatMass): BudgetAnswer['range']['likely'] {
  return {
    percent: likely.percent,
    draws: likely.draws,
    seed: likely.seed,
    runningOutPercent: (100 * likely.shareRunningOut).toFixed(1),
    runsOutOn: likely.runsOutOn,
    short: { low: mass(likely.short.low), high: mass(likely.short.high) },
    needed: { low: mass(likely.needed.low), high: mass(likely.needed.high) },
  };
}

export function ratio(value: Decimal | null): string | null {
  return value === null ? null : formatDecimal(decimal(value), 4);
}
