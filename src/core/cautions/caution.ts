import type { Caution } from '../outcome/caution.js';
import { CAUTION_SOURCES, type CautionSourceKey, type SourceStatus } from './caution-sources.data.js';
import type { Words } from '../units/wording.js';
import { CAUTIONS, type CautionCode } from './cautions.data.js';

type Consult = 'veterinarian' | 'nutritionist' | 'laboratory' | 'fire service' | 'local codes';
type RaisedWhen = 'above' | 'at-or-above' | 'below' | 'at-or-below';
/**
 * `notice`: good to know. `watch`: act before the next feedings. `danger`: do not feed it, or stay away from the
 * stack, until someone has been asked.
 */
export type Severity = 'notice' | 'watch' | 'danger';

interface OtherThreshold {
  readonly value: number;
  readonly unit: string;
  readonly source: CautionSourceKey;
}

export interface Threshold {
  readonly value: number;
  readonly unit: string;
  readonly raisedWhen: RaisedWhen;
  readonly source: CautionSourceKey;
  /** What other publications say; kept so that the reader sees the disagreement. */
  readonly otherSources?: readonly OtherThreshold[];
}

export interface CautionEntry {
  readonly title: string;
  readonly advice: Words;
  readonly consult: readonly Consult[];
  readonly thresholds: Readonly<Record<string, Threshold>>;
}

/** What the caution is about: a lot, a layer, a place. `null` for the whole ration. */
interface CautionSubject {
  readonly kind: 'lot' | 'layer' | 'stack' | 'water source' | 'place';
  readonly name: string;
  /** Of a lot or the stack that it lies in; absent where nobody said. */
  readonly id?: string | undefined;
}

/** A caution with the number that raised it. It never stops the work; it says whom to ask. */
export interface RaisedCaution extends Omit<Caution, 'message' | 'advice'> {
  readonly message: Words;
  readonly advice: Words;
  readonly code: CautionCode;
  readonly title: string;
  readonly severity: Severity;
  readonly subject: CautionSubject | null;
  readonly raisedWhen: RaisedWhen;
  readonly consult: readonly Consult[];
  readonly sourceStatus: SourceStatus;
  /** Name of the published guide, where several may be chosen. */
  readonly guide: string | null;
  readonly otherSources: readonly { readonly value: number; readonly unit: string; readonly source: string }[];
  /** True if the number that raised it is a book value and not a lab test or a measurement. */
  readonly restsOnBookValue: boolean;
}

/** Converted units carry rounding in the last digits; a typed 150 °F must still reach a step at 150 °F. */
const DUST = 1e-9;

/** Whether `given` is on the wrong side of the threshold. */
export function passes(given: number, raisedWhen: RaisedWhen, threshold: number): boolean {
  const dust = DUST * Math.max(1, Math.abs(threshold));
  switch (raisedWhen) {
    case 'above':
      return given > threshold + dust;
    case 'at-or-above':
      return given >= threshold - dust;
    case 'below':
      return given < threshold - dust;
    case 'at-or-below':
      return given <= threshold + dust;
  }
}

export interface Finding {
  readonly code: CautionCode;
  readonly severity: Severity;
  readonly given: number;
  readonly threshold: Threshold;
  readonly message: Words;
  readonly subject?: CautionSubject | null;
  readonly guide?: string | null;
  readonly restsOnBookValue?: boolean;
  /** In place of the catalogue's, where that would not fit the case. */
  readonly advice?: Words;
}

/**
 * A caution from a finding, filled in from the catalogue.
 * @throws RangeError if the number that is said to raise it is not finite: a caution needs a number.
 */
export function raiseCaution(finding: Finding): RaisedCaution {
  if (!Number.isFinite(finding.given)) throw new RangeError(`Caution ${finding.code} was raised without a number`);
  const entry = CAUTIONS[finding.code];
  const source = CAUTION_SOURCES[finding.threshold.source];
  return {
    code: finding.code,
    title: entry.title,
    severity: finding.severity,
    subject: finding.subject ?? null,
    message: finding.message,
    given: finding.given,
    threshold: finding.threshold.value,
    raisedWhen: finding.threshold.raisedWhen,
    unit: finding.threshold.unit,
    source: source.citation,
    sourceStatus: source.status,
    guide: finding.guide ?? null,
    otherSources: (finding.threshold.otherSources ?? []).map(({ value, unit, source: key }) => ({
      value,
      unit,
      source: CAUTION_SOURCES[key].citation,
    })),
    advice: finding.advice ?? entry.advice,
    consult: entry.consult,
    restsOnBookValue: finding.restsOnBookValue ?? false,
  };
}

/** Raised if the number passes the threshold, nothing otherwise; a number that is not known raises nothing. */
export function raiseIfPassed(finding: Omit<Finding, 'given'> & { readonly given: number | null }): RaisedCaution[] {
  const { given } = finding;
  if (given === null || !passes(given, finding.threshold.raisedWhen, finding.threshold.value)) return [];
  return [raiseCaution({ ...finding, given })];
}

export const SEVERITY_ORDER: Readonly<Record<Severity, number>> = { danger: 0, watch: 1, notice: 2 };

/** Worst first; within one severity, in the order in which they were raised. */
export function worstFirst<One extends Pick<RaisedCaution, 'severity'>>(cautions: readonly One[]): One[] {
  return [...cautions].sort((a, b) => SEVERITY_ORDER[a.severity] - SEVERITY_ORDER[b.severity]);
}

/** A number for a message: at most `digits` decimals, no trailing zeros. */
export function plain(value: number, digits = 2): string {
  return String(Number(value.toFixed(digits)));
}

/** The same of a lower bound: rounded down, so that there is as much as it says. */
export function plainAtLeast(value: number, digits = 2): string {
  const scale = 10 ** digits;
  return plain(Math.floor(value * scale * (1 + DUST)) / scale, digits);
}

/** In as many places as it takes to be told apart from a limit that it has passed. */
export function plainBeyond(value: number, places: number, limit: number): string {
  const shown = plain(value, places);
  return Number(shown) === limit && value !== limit && places < 6 ? plainBeyond(value, places + 1, limit) : shown;
}
