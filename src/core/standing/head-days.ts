import { refused, type Refusal } from '../outcome/outcome.js';
import type { Problem } from '../outcome/problem.js';
import {
  compareDays,
  dayNumber,
  daysBetween,
  isCalendarDay,
  monthSpans,
  type CalendarDay,
} from '../time/calendar-day.js';

/** What changes the head count of a herd, and in which direction. */
export const HEAD_EVENT_SIGNS = {
  in: 1,
  'move-in': 1,
  out: -1,
  'move-out': -1,
  death: -1,
  sale: -1,
} as const;
export type HeadEventKind = keyof typeof HEAD_EVENT_SIGNS;

/** `head` is a whole number above zero; the kind says whether they came or went. */
export interface HeadEvent {
  readonly day: CalendarDay;
  readonly kind: HeadEventKind;
  readonly head: number;
}

/** A change of the head count as books keep it: above zero where cattle came; a `reversal` undoes another one. */
export interface SignedHead {
  readonly on: CalendarDay;
  readonly head: number;
  readonly kind: string;
}

/** Signed changes as events: only the sign matters for the count. */
export function headEvents(changes: readonly SignedHead[]): HeadEvent[] {
  return changes.map(({ on, head, kind }) => ({
    day: on,
    head: Math.abs(head),
    kind: kind === 'reversal' ? (head > 0 ? 'in' : 'out') : (kind as HeadEventKind),
  }));
}

/** From `from` on, up to the next step, the herd has `head` head. */
export interface HeadStep {
  readonly from: CalendarDay;
  readonly head: number;
}

export type HeadHistory = { readonly ok: true; readonly steps: readonly HeadStep[] } | Refusal;

/**
 * The head count as steps. Convention: an event counts from its own day on. Cattle that come in on the 1st are counted
 * on the 1st; an animal sold, moved out or found dead on the 10th is no longer counted on the 10th. Events of one day
 * are netted, so that cattle may come and go on the same day in either order.
 */
export function headHistory(events: readonly HeadEvent[]): HeadHistory {
  const problems: Problem[] = [];
  events.forEach((event, index) => {
    if (!Number.isSafeInteger(event.head) || event.head <= 0) {
      problems.push({
        code: 'head-not-a-count',
        field: `events[${index}].head`,
        given: event.head,
        allowed: 'a whole number above 0',
        message: `${event.head} is not a number of head.`,
      });
    }
    if (!isCalendarDay(event.day)) {
      problems.push({
        code: 'day-not-a-date',
        field: `events[${index}].day`,
        given: event.day,
        allowed: 'YYYY-MM-DD',
        message: `${event.day} is not a calendar day.`,
      });
    }
  });
  if (problems.length > 0) return refused(problems);

  const changes = new Map<CalendarDay, number>();
  for (const event of events)
    changes.set(event.day, (changes.get(event.day) ?? 0) + HEAD_EVENT_SIGNS[event.kind] * event.head);
  const steps: HeadStep[] = [];
  let head = 0;
  for (const [day, change] of [...changes].sort(([one], [other]) => compareDays(one, other))) {
    if (change === 0) continue;
    head += change;
    if (head < 0) {
      problems.push({
        code: 'head-below-zero',
        field: 'events',
        given: head,
        allowed: '0 or more',
        message: `On ${day} the history leaves ${head} head: more went out than were there.`,
      });
    }
    steps.push({ from: day, head });
  }
  return problems.length > 0 ? refused(problems) : { ok: true, steps };
}

/** Head on a day: 0 before the first event. The steps must be those of `headHistory`. */
export function headOn(steps: readonly HeadStep[], day: CalendarDay): number {
  let low = 0;
  let high = steps.length;
  const wanted = dayNumber(day);
  while (low < high) {
    const middle = (low + high) >> 1;
    const step = steps[middle];
    if (step && dayNumber(step.from) <= wanted) low = middle + 1;
    else high = middle;
  }
  return steps[low - 1]?.head ?? 0;
}

/**
 * Head-days over [from, until): the sum of the head on each day from `from` to the day before `until`.
 * @throws RangeError if `until` is before `from`.
 */
export function headDays(steps: readonly HeadStep[], from: CalendarDay, until: CalendarDay): number {
  const [first, end] = [dayNumber(from), dayNumber(until)];
  if (end < first) throw new RangeError(`The span ends (${until}) before it begins (${from})`);
  let total = 0;
  steps.forEach((step, index) => {
    const next = steps[index + 1];
    const start = Math.max(first, dayNumber(step.from));
    const stop = Math.min(end, next ? dayNumber(next.from) : end);
    if (stop > start) total += step.head * (stop - start);
  });
  return total;
}

/** The same herd without its head before a day. */
export function stepsFrom(steps: readonly HeadStep[], day: CalendarDay): HeadStep[] {
  return [{ from: day, head: headOn(steps, day) }, ...steps.filter((step) => compareDays(step.from, day) > 0)];
}

interface HeadFlow {
  readonly ok: true;
  readonly from: CalendarDay;
  readonly until: CalendarDay;
  readonly days: number;
  /** Head on `from` itself, with that day's events counted. */
  readonly openingHead: number;
  /** Head on the last day of the span, the day before `until`. */
  readonly closingHead: number;
  readonly headDays: number;
  readonly averageHead: number;
  readonly byMonth: readonly { readonly month: string; readonly days: number; readonly headDays: number }[];
}

/** Head-days of an event history over [from, until), whole and by month; problems if the history is impossible. */
export function integrateHeadDays(input: {
  events: readonly HeadEvent[];
  from: CalendarDay;
  until: CalendarDay;
}): HeadFlow | Refusal {
  const { events, from, until } = input;
  const problems: Problem[] = [];
  for (const [field, day] of [
    ['from', from],
    ['until', until],
  ] as const) {
    if (!isCalendarDay(day))
      problems.push({
        code: 'day-not-a-date',
        field,
        given: day,
        allowed: 'YYYY-MM-DD',
        message: `${day} is not a calendar day.`,
      });
  }
  if (problems.length === 0 && compareDays(from, until) >= 0) {
    problems.push({
      code: 'span-reversed',
      field: 'until',
      given: until,
      allowed: `after ${from}`,
      message: `The span must end after it begins: ${from} to ${until}.`,
    });
  }
  if (problems.length > 0) return refused(problems);
  const history = headHistory(events);
  if (!history.ok) return history;
  const days = daysBetween(from, until);
  const total = headDays(history.steps, from, until);
  return {
    ok: true,
    from,
    until,
    days,
    openingHead: headOn(history.steps, from),
    closingHead: headOnDayBefore(history.steps, until),
    headDays: total,
    averageHead: total / days,
    byMonth: monthSpans(from, until).map((span) => ({
      month: span.month,
      days: daysBetween(span.from, span.until),
      headDays: headDays(history.steps, span.from, span.until),
    })),
  };
}

function headOnDayBefore(steps: readonly HeadStep[], day: CalendarDay): number {
  let head = 0;
  for (const step of steps) {
    if (compareDays(step.from, day) >= 0) break;
    head = step.head;
  }
  return head;
}
