import type { Mass, MassUnit } from '../../core/units/mass.js';
import { PROBLEMS, type ProblemCode } from './problem-catalogue.js';

/**
 * One field that cannot be used. `pointer` is a JSON Pointer into the body; `parameter` names a path, query or header
 * field.
 */
export interface FieldProblem {
  pointer?: string;
  parameter?: string;
  code: string;
  given?: unknown;
  allowed: string;
  message: string;
  /** Where it is asked to be confirmed: what would not have been asked about, and where that comes from. */
  usual?: string;
  source?: string;
}

/** A place in a body as a JSON Pointer (RFC 6901), in the form used in a URI fragment. */
export function pointerOf(path: readonly PropertyKey[]): string {
  return `#${path.map((step) => `/${String(step).replaceAll('~', '~0').replaceAll('/', '~1')}`).join('')}`;
}

/** The record that a problem is about, so that code that knows the request can say which of its fields names it. */
interface Subject {
  id: string;
  /** What it is, in words: herd, hay lot. */
  what: string;
  /** How much of the requested hay could have been drawn, and how much was missing. */
  left?: Mass;
  short?: Mass;
  /** How many head were missing. */
  shortHead?: number;
  /** How much draws on the lot since then and stands, and the newest of it; and the unit that figures are told in. */
  leaning?: { readonly count: number; readonly newest: readonly LeaningDraw[] };
  unit?: MassUnit;
}

/** A record that drew hay. */
export interface LeaningDraw {
  readonly kind: string;
  readonly id: string;
  readonly on: string;
  readonly mass: Mass;
}

/** An error that is reported to the person. Anything else that is thrown is a 500 and our bug. */
export class Problem extends Error {
  override name = 'Problem';

  constructor(
    readonly code: ProblemCode,
    readonly detail?: string,
    readonly errors: readonly FieldProblem[] = [],
    readonly headers: Readonly<Record<string, string>> = {},
    readonly subject?: Subject,
  ) {
    super(detail ?? PROBLEMS[code].title);
  }

  get status(): number {
    return PROBLEMS[this.code].status;
  }

  /** The RFC 9457 body. */
  body(instance: string, requestId: string): Record<string, unknown> {
    return {
      type: `/problems/${this.code}`,
      title: PROBLEMS[this.code].title,
      status: this.status,
      detail: this.detail ?? PROBLEMS[this.code].meaning,
      instance,
      requestId,
      ...(this.errors.length === 0 ? {} : { errors: this.errors }),
    };
  }
}

export function notFound(what: string, id?: string): Problem {
  const detail = `There is no such ${what}, or none that you may see.`;
  return new Problem('not-found', detail, [], {}, id === undefined ? undefined : { id, what });
}

/** To a person who does not belong to it an operation does not exist: exactly the answer for one that never existed. */
export function hidesAnOperation({ code, detail }: Problem): boolean {
  return code === 'not-found' && detail === notFound('operation').detail;
}

/** A rule of the trade that one field of the body breaks. */
export function ruleBroken(pointer: string, code: string, given: unknown, allowed: string, message: string): Problem {
  return new Problem('rule-broken', message, [{ pointer, code, given, allowed, message }]);
}
