import { daysBetween } from '../time/calendar-day.js';
import { nameKey } from '../units/name-key.js';
import type { ForageAnalysis } from './forage-analysis.js';

/** A test of a lot as it is compared with others; figures on the dry matter basis. */
export interface ComparedTest {
  readonly lab: string;
  readonly reportNumber: string | null;
  readonly sampledOn: string;
  readonly analysis: Partial<ForageAnalysis>;
  /** Of a label: its guaranteed maxima. */
  readonly atMost: Partial<ForageAnalysis>;
}

/** `same`: nothing tells the two apart, and a mean would count one sample twice. `likely`: it well may be so. */
export interface EnteredBefore<Test extends ComparedTest> {
  readonly how: 'same' | 'likely';
  readonly as: Test;
  /** Figures besides dry matter that are the same to the digit, of those that both have. */
  readonly alike: number;
  readonly shared: number;
}

/** So many figures that agree to the digit are no chance; common practice, no source. */
const ALIKE_MIN = 3;

/**
 * Whether a test of a lot was likely entered before. A laboratory's numbers tell samples apart; without them, figures
 * that all stand to the digit under the same day and laboratory are the same test. A later report of the same number
 * that only adds figures is no repeat.
 */
export function enteredBefore<Test extends ComparedTest>(
  standing: readonly Test[],
  entered: ComparedTest,
): EnteredBefore<Test> | undefined {
  const found = standing.flatMap((one) => {
    const finding = compared(one, entered);
    return finding === undefined ? [] : [finding];
  });
  return found.find((one) => one.how === 'same') ?? found[0];
}

function compared<Test extends ComparedTest>(one: Test, entered: ComparedTest): EnteredBefore<Test> | undefined {
  const [before, now] = [figuresOf(one), figuresOf(entered)];
  const both = [...now.keys()].filter((name) => before.has(name) && name !== DRY_MATTER);
  const alike = both.filter((name) => before.get(name) === now.get(name)).length;
  const finding = (how: EnteredBefore<Test>['how']) => ({ how, as: one, alike, shared: both.length });
  const sameLab = nameKey(one.lab) === nameKey(entered.lab);
  const sameDryMatter = before.get(DRY_MATTER) === now.get(DRY_MATTER);
  if (sameLab && one.reportNumber !== null && entered.reportNumber !== null) {
    if (nameKey(one.reportNumber) !== nameKey(entered.reportNumber)) return undefined;
    return both.length === 0 && sameDryMatter && now.size > 1 ? undefined : finding('same');
  }
  const sameDay = one.sampledOn === entered.sampledOn;
  const repeats = sameDryMatter && alike === both.length && [...now.keys()].every((name) => before.has(name));
  if (sameDay && sameLab && repeats) return finding(entered.reportNumber === null ? 'same' : 'likely');
  if (alike < ALIKE_MIN) return undefined;
  if (sameDay ? alike >= both.length - 1 : alike === both.length && sameDryMatter && isNear(one, entered))
    return finding('likely');
  return undefined;
}

/** A day that was mistyped is seldom a year off. */
const NEAR_DAYS = 366;
const isNear = (one: ComparedTest, other: ComparedTest): boolean =>
  Math.abs(daysBetween(one.sampledOn, other.sampledOn)) <= NEAR_DAYS;

const DRY_MATTER = 'least dryMatterPercent';
const DIGITS = 6;

function figuresOf({ analysis, atMost }: ComparedTest): Map<string, string> {
  const named = (what: string, figures: Partial<ForageAnalysis>): [string, string][] =>
    Object.entries(figures).flatMap(([field, value]) =>
      typeof value === 'number' && Number.isFinite(value) ? [[`${what} ${field}`, value.toPrecision(DIGITS)]] : [],
    );
  return new Map([...named('least', analysis), ...named('most', atMost)]);
}
