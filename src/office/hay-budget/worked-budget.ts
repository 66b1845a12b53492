import { hayBudget, type HayBudget } from '../../core/budget/hay-budget.js';
import { periodHayNeed, type PeriodNeed } from '../../core/budget/hay-need.js';
import { likelyRange, yardOf } from '../../core/budget/likely-range.js';
import type { Refusal } from '../../core/outcome/outcome.js';
import { type Decimal, decimal } from '../../core/units/decimal.js';
import { problemOfCore } from '../../platform/http/core-problems.js';
import type { Problem } from '../../platform/http/problem.js';
import type { WorkedBudget } from './budget-answer.js';
import { type BudgetInputs, coreInput } from './budget-inputs.js';
import { doubtsOf } from './budget-range.js';

/**
 * Works out the budget from what was gathered; plain data, so that a worker thread can do it.
 * @param rates scales each herd's need by its share: what was fed of what was planned
 * @throws Problem if it cannot be worked out
 */
export function workedBudget(inputs: BudgetInputs, rates: ReadonlyMap<string, Decimal> | undefined): WorkedBudget {
  const needTimes = rates === undefined ? {} : { needTimes: [...rates].map(([herdId, times]) => ({ herdId, times })) };
  const at = (losses: 'low' | 'typical' | 'high'): HayBudget =>
    answered(hayBudget({ ...coreInput(inputs, losses), ...needTimes }));
  const typical = at('typical');
  const yard = yardOf(
    { ...coreInput(inputs, 'typical'), ...needTimes },
    typical.stock.map(({ on }) => on),
  );
  const need = answered(periodHayNeed(coreInput(inputs, 'typical')));
  return {
    inputs,
    need: rates === undefined ? need : scaled(need, rates),
    typical,
    low: at('low'),
    high: at('high'),
    likely: likelyRange(yard, doubtsOf(inputs)),
  };
}

function scaled(need: PeriodNeed, rates: ReadonlyMap<string, Decimal>): PeriodNeed {
  return {
    ...need,
    rows: need.rows.map((row) => {
      const times = rates.get(row.herdId) ?? decimal(1);
      return {
        ...row,
        dryMatterEaten: row.dryMatterEaten.times(times),
        wasted: row.wasted.times(times),
        needed: row.needed.times(times),
        byKind: row.byKind.map((kind) => ({ ...kind, needed: kind.needed.times(times) })),
      };
    }),
  };
}

function answered<T extends { ok: true }>(answer: T | Refusal): T {
  if (!answer.ok) throw refusedBy(answer);
  return answer;
}

export function refusedBy(answer: Refusal): Problem {
  return problemOfCore(answer.problems, () => '#');
}
