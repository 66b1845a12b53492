import { counted } from '../../core/units/counted.js';
import { BUDGET_SPREADS } from '../../core/budget/budget-spreads.data.js';
import type { BudgetDoubts } from '../../core/budget/likely-range.js';
import type { BudgetLoss } from '../../core/budget/loss-figures.js';
import { decimal } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import type { BudgetInputs } from './budget-inputs.js';
import type { FormatMass } from './budget-rows.js';

/** A mass for a sentence; the exact figures are in the answer. */
const SAID_PLACES = 2;

/** How sure the balances are, in a sentence: how many lots, how many bales weighed, plus or minus how much. */
function weightsSaid({ lots }: BudgetInputs, mass: FormatMass): string[] {
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

/** How far off the figures of a budget may be, for its likely range. */
export function doubtsOf({ herds, lots }: BudgetInputs): BudgetDoubts {
  return {
    herds: herds.map((one) => ({
      herdId: one.herd.id,
      waste: one.waste,
      coldCounts: one.intakeFrom === 'equations' || one.intakeFrom === 'corrected-equations',
      wasteIsLaid: one.intakeFrom === 'ration',
    })),
    lots: lots.map((lot) => ({
      lotId: lot.row.id,
      storage: lot.row.storage_method,
      loss: lot.loss,
      balanceSpread: balanceSpreadOf(lot),
    })),
  };
}

/** Standard deviations in half a 95 % interval. */
const NORMAL_95 = 1.96;

function balanceSpreadOf({ sureness, balance }: BudgetInputs['lots'][number]): number {
  if (sureness.basis === 'weighed-bales' && balance.isPositive())
    return sureness.half.ratioTo(balance).toNumber() / NORMAL_95;
  return BUDGET_SPREADS[sureness.basis === 'not-known' ? 'weightNotKnown' : 'weightByScale'].share;
}

/** Spreads that the records do not give, each with its size and source. */
const SPREADS_SAID = Object.values(BUDGET_SPREADS).map(
  ({ share, what, source }) => `Likely range: ${what}, standard deviation ${(100 * share).toFixed(0)} % (${source}).`,
);

/** What the bounds of the range are based on: one sentence for each loss, then how sure the weights are. */
export function restsOn(inputs: BudgetInputs, mass: FormatMass): string[] {
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
    ...SPREADS_SAID,
    'Head is taken as given: try changes of it.',
  ];
}
