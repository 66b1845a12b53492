import { compareDays, type CalendarDay } from '../time/calendar-day.js';
import { type Decimal, decimal } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { hayBudget, type HayBudget, type HayBudgetInput } from './hay-budget.js';
import { type PeriodNeed, periodHayNeed } from './hay-need.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { problem } from '../outcome/problem.js';

export interface Reforecast {
  readonly ok: true;
  readonly today: CalendarDay;
  readonly herds: readonly {
    readonly herdId: string;
    readonly plannedToDate: Mass;
    readonly fedToDate: Mass;
    readonly fedPerPlanned: Decimal;
    readonly plannedToCome: Mass;
    readonly forecastToCome: Mass;
  }[];
  readonly plannedTotal: Mass;
  /** Fed so far and what is to come at the rate seen. */
  readonly forecastTotal: Mass;
  /** The yard from today on, at the rate seen; its lots must be those of today. */
  readonly budget: HayBudget;
}

/**
 * Re-forecast: from what was really fed over [from, today) against the plan of the same days, per herd; the plan of
 * [today, until) is multiplied by fed ÷ planned. A herd that has been fed today (`feedsFrom`) counts today to the days
 * behind it. A herd that had no plan to date keeps its plan. `lots` are today's.
 */
export function reforecast(
  input: HayBudgetInput & {
    readonly today: CalendarDay;
    readonly fedToDate: readonly { readonly herdId: string; readonly fed: Mass }[];
  },
): Reforecast | Refusal {
  const { from, until, today } = input;
  if (compareDays(today, from) <= 0 || compareDays(today, until) >= 0) {
    return refused(
      problem(
        'today-outside-plan',
        'today',
        today,
        `after ${from}, before ${until}`,
        'A re-forecast needs days behind it and days to come.',
      ),
    );
  }
  const past = needToDate(input);
  const toCome = periodHayNeed({ herds: input.herds, from: today, until });
  if (!past.ok) return past;
  if (!toCome.ok) return toCome;
  const of = (need: Pick<PeriodNeed, 'rows'>, herdId: string): Mass =>
    Mass.sum(need.rows.filter((row) => row.herdId === herdId).map((row) => row.needed));
  const herds = input.herds.map(({ herdId }) => {
    const plannedToDate = of(past, herdId);
    const fedToDate = Mass.sum(input.fedToDate.filter((each) => each.herdId === herdId).map((each) => each.fed));
    const fedPerPlanned = plannedToDate.isPositive() ? fedToDate.ratioTo(plannedToDate) : decimal(1);
    const plannedToCome = of(toCome, herdId);
    return {
      herdId,
      plannedToDate,
      fedToDate,
      fedPerPlanned,
      plannedToCome,
      forecastToCome: plannedToCome.times(fedPerPlanned),
    };
  });
  const budget = hayBudget({
    ...input,
    from: today,
    needTimes: herds.map(({ herdId, fedPerPlanned }) => ({ herdId, times: fedPerPlanned })),
  });
  if (!budget.ok) return budget;
  return {
    ok: true,
    today,
    herds,
    budget,
    plannedTotal: Mass.sum(herds.flatMap((herd) => [herd.plannedToDate, herd.plannedToCome])),
    forecastTotal: Mass.sum(herds.flatMap((herd) => [herd.fedToDate, herd.forecastToCome])),
  };
}

/** What was planned for the days that are fed: up to today, and today for a herd that has been fed. */
function needToDate({
  herds,
  from,
  today,
}: HayBudgetInput & { readonly today: CalendarDay }): Pick<PeriodNeed, 'ok' | 'rows'> | Refusal {
  const rows: PeriodNeed['rows'][number][] = [];
  for (const { feedsFrom = today, ...herd } of herds) {
    const need = periodHayNeed({ herds: [herd], from, until: feedsFrom });
    if (!need.ok) return need;
    rows.push(...need.rows);
  }
  return { ok: true, rows };
}
