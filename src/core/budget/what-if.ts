import { daysBetween } from '../time/calendar-day.js';
import { type Decimal, decimal } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import type { Money } from '../units/money.js';
import { tooManySteps } from './budget-steps.js';
import { hayBudget, type HayBudget, type HayBudgetInput } from './hay-budget.js';
import type { Share } from './hay-need.js';
import { type Refusal, refused } from '../outcome/outcome.js';

/** A change to try; what is left out stays as planned. `times` are factors: 1.1 is a tenth more. */
export interface WhatIf {
  readonly name: string;
  readonly waste?: Share;
  readonly headTimes?: Share;
  readonly intakeTimes?: Share;
  readonly priceTimes?: Share;
  /** Only these herds; all if left out. Prices are for all. */
  readonly herdIds?: readonly string[];
}

export interface WhatIfAnswer {
  readonly name: string;
  readonly budget: HayBudget;
  readonly neededChange: Mass;
  /** Change of the need as a share of the plan's; null if the plan needs nothing. */
  readonly neededChangeShare: Decimal | null;
  readonly shortChange: Mass;
  readonly costChange: Money | null;
  /** Days by which the yard lasts longer (positive) or less; null if either never runs out. */
  readonly daysLonger: number | null;
}

/** The budget as planned and under each change, side by side. Nothing is saved. */
export function whatIfs(input: {
  base: HayBudgetInput;
  changes: readonly WhatIf[];
}): { readonly ok: true; readonly base: HayBudget; readonly answers: readonly WhatIfAnswer[] } | Refusal {
  const tooMuch = tooManySteps(input.base, 1 + input.changes.length);
  if (tooMuch !== undefined) return refused([tooMuch]);
  const base = hayBudget(input.base);
  if (!base.ok) return base;
  const answers: WhatIfAnswer[] = [];
  for (const [index, change] of input.changes.entries()) {
    const budget = hayBudget(changed(input.base, change));
    if (!budget.ok)
      return refused(budget.problems.map((found) => ({ ...found, field: `changes[${index}].${found.field}` })));
    const neededChange = budget.yard.needed.minus(base.yard.needed);
    answers.push({
      name: change.name,
      budget,
      neededChange,
      neededChangeShare: base.yard.needed.isPositive() ? neededChange.ratioTo(base.yard.needed) : null,
      shortChange: budget.yard.short.minus(base.yard.short),
      costChange: budget.costToBuy && base.costToBuy ? budget.costToBuy.minus(base.costToBuy) : null,
      daysLonger:
        base.yard.runsOutOn !== null && budget.yard.runsOutOn !== null
          ? daysBetween(base.yard.runsOutOn, budget.yard.runsOutOn)
          : null,
    });
  }
  return { ok: true, base, answers };
}

function changed(base: HayBudgetInput, change: WhatIf): HayBudgetInput {
  const touches = (herdId: string): boolean => change.herdIds === undefined || change.herdIds.includes(herdId);
  const times = decimal(change.headTimes ?? '1').times(decimal(change.intakeTimes ?? '1'));
  const priceTimes = decimal(change.priceTimes ?? '1');
  return {
    ...base,
    herds: base.herds.map((herd) =>
      touches(herd.herdId) && change.waste !== undefined ? { ...herd, waste: change.waste } : herd,
    ),
    needTimes: base.herds.map(({ herdId }) => {
      const planned = base.needTimes?.find((each) => each.herdId === herdId)?.times ?? decimal(1);
      return { herdId, times: touches(herdId) ? planned.times(times) : planned };
    }),
    prices: base.prices.map(({ hayKind, price }) => ({ hayKind, price: price.times(priceTimes) })),
  };
}
