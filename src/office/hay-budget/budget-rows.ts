import type { HayBudget } from '../../core/budget/hay-budget.js';
import { dailyAmount } from '../../desk/judge/judgement.js';
import type { LikelyRange } from '../../core/budget/likely-range.js';
import type { PeriodNeed } from '../../core/budget/hay-need.js';
import type { BudgetLoss } from '../../core/budget/loss-figures.js';
import type { Decimal } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import { massOfKilograms } from '../../desk/facts/ration-content.js';
import type { AnswerOf } from '../../platform/http/endpoint.js';
import {
  type UnitSystem,
  formatDecimal,
  formatMass,
  formatMeasure,
  formatMoney,
  formatPrice,
} from '../../platform/wire/quantity.schema.js';
import type { BudgetInputs, HerdInput, LotInput } from './budget-inputs.js';
import type * as api from './hay-budget.schema.js';

export type BudgetAnswer = AnswerOf<typeof api.getHayBudget>;
export type FormatMass = (amount: Mass) => ReturnType<typeof formatMass>;

const percent = (share: Decimal): string => formatDecimal(share.times(100), 2);

/** What a herd's need is based on, and the need itself over the whole period. */
export function formatHerd(herd: HerdInput, need: PeriodNeed, units: UnitSystem): BudgetAnswer['herds'][number] {
  return {
    herdId: herd.herd.id,
    herd: herd.herd.name,
    headOnFirstDay: herd.headOnFirstDay,
    headDays: herd.headDays,
    headBasis: herd.headBasis,
    intakeBasis: herd.intakeBasis,
    intakeByMonth: herd.intakeByMonth.map((each) => ({
      month: each.month,
      dryMatterPerHeadDay: formatMass(each.dryMatterIntakePerHeadDay, units, 'small'),
      meanTemperature: each.weather === null ? null : formatMeasure(each.weather.temperatureC, 'temperature', units),
      temperatureFrom: each.weather?.from ?? null,
      onDay: each.onDay,
      head: each.head,
      bodyWeight: formatMass(each.bodyWeight, units, 'small'),
      need:
        each.need === null
          ? null
          : {
              dryMatterPredicted: formatMass(massOfKilograms(each.need.dryMatterIntakeKgPerDay), units, 'small'),
              netEnergyMaintenance: dailyAmount(each.need.netEnergyMaintenanceTotalMcalPerDay, 'Mcal/d', 3),
            },
      correction: correctionOf(each, units),
      ration: each.ration,
    })),
    dryMatterPercent: percent(herd.dryMatter),
    dryMatterBasis: herd.dryMatterBasis,
    restsOnBookValues: herd.restsOnBookValues,
    waste: lossAnswer(herd.waste),
    kinds: herd.kinds.map((kind) => ({ hayKind: kind.hayKind as 'meadow', percent: percent(kind.share) })),
    needed: formatMass(
      Mass.sum(need.rows.filter((row) => row.herdId === herd.herd.id).map((row) => row.needed)),
      units,
      'large',
    ),
  };
}

/** What cows were predicted to eat before they were corrected, and by how much that raised it. */
function correctionOf(
  { beforeCorrectionKgPerDay: before, dryMatterIntakePerHeadDay: after }: HerdInput['intakeByMonth'][number],
  units: UnitSystem,
): BudgetAnswer['herds'][number]['intakeByMonth'][number]['correction'] {
  if (before === undefined) return null;
  return {
    dryMatterBefore: formatMass(massOfKilograms(before), units, 'small'),
    raisedByPercent: percent(after.ratioTo(massOfKilograms(before)).minus(1)),
  };
}

/** The need of each herd in each month in which it has head. */
export function formatMonths(need: PeriodNeed, herds: readonly HerdInput[], mass: FormatMass): BudgetAnswer['months'] {
  const names = new Map(herds.map((one) => [one.herd.id, one.herd.name]));
  return need.rows
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
    }));
}

export function kindAnswer(
  kind: HayBudget['kinds'][number],
  lots: readonly LotInput[],
  mass: FormatMass,
): BudgetAnswer['kinds'][number] {
  const onHand = lots.filter((lot) => lot.row.hay_kind === kind.hayKind).map((lot) => lot.balance);
  return {
    hayKind: kind.hayKind as 'meadow',
    onHand: mass(Mass.sum(onHand)),
    needed: mass(kind.needed),
    fed: mass(kind.fed),
    short: mass(kind.short),
    surplus: mass(kind.surplus),
    firstShortOn: kind.firstShortOn,
  };
}

export function lotAnswer(
  lot: HayBudget['lots'][number],
  lots: readonly LotInput[],
  mass: FormatMass,
): BudgetAnswer['lots'][number] {
  const known = lots.find((one) => one.row.id === lot.lotId);
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
    storageLoss: lossAnswer(known.loss),
    testTakenFrom: known.facts.testTakenFrom,
    fed: mass(lot.fed),
    lost: mass(lot.lost),
    left: mass(lot.left),
    runsOutOn: lot.runsOutOn,
  };
}

export function yardAnswer(yard: HayBudget['yard'], lots: readonly LotInput[], mass: FormatMass): BudgetAnswer['yard'] {
  return {
    onHand: mass(Mass.sum(lots.map((lot) => lot.balance))),
    needed: mass(yard.needed),
    fed: mass(yard.fed),
    short: mass(yard.short),
    surplus: mass(yard.surplus),
    runsOutOn: yard.runsOutOn,
    daysShort: yard.daysShort,
  };
}

/** What is left at the end of some days as planned, and where it lies in most winters. */
export function stockAnswer(stock: HayBudget['stock'], likely: LikelyRange, mass: FormatMass): BudgetAnswer['stock'] {
  const ranges = new Map(likely.stock.map((one) => [one.on, one]));
  return stock.map(({ on, byKind }) => {
    const range = ranges.get(on);
    if (range === undefined) throw new RangeError('The winters were not asked about a day of the stock');
    return {
      on,
      onHand: mass(Mass.sum(byKind.map((kind) => kind.mass))),
      byKind: byKind.map((kind) => ({ hayKind: kind.hayKind as 'meadow', onHand: mass(kind.mass) })),
      likely: { low: mass(range.low), high: mass(range.high) },
    };
  });
}

export function purchaseAnswer(
  purchase: HayBudget['toBuy'][number],
  prices: BudgetInputs['prices'],
  units: UnitSystem,
): BudgetAnswer['toBuy'][number] {
  const price = prices.find((one) => one.hayKind === purchase.hayKind)?.price;
  return {
    hayKind: purchase.hayKind as 'meadow',
    mass: formatMass(purchase.mass, units, 'large'),
    price: price === undefined ? null : formatPrice(price, units),
    cost: purchase.cost === null ? null : formatMoney(purchase.cost),
  };
}

function lossAnswer(loss: BudgetLoss): BudgetAnswer['herds'][number]['waste'] {
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
