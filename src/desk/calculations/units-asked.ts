import { Decimal } from '../../core/units/decimal.js';
import { convertDecimal, type Unit } from '../../core/units/unit.js';
import { UNITS } from '../../core/units/units.data.js';
import { signOf } from '../../core/units/wording.js';
import { type FieldProblem, Problem } from '../../platform/http/problem.js';

/** Digits of a bound that was converted; it is rounded inward, so that whatever is said to be allowed is taken. */
const DIGITS = 4;

/**
 * The equations have bounds in their own units. Where the figure that is out of them was asked in another, the problem
 * tells the bounds, and what was given, in that one.
 */
export function inUnitsAsked(problem: Problem, body: unknown): Problem {
  const errors = problem.errors.map((one) => askedIn(one, body));
  if (errors.every((one, index) => one === problem.errors[index])) return problem;
  return new Problem(problem.code, errors.map(({ message }) => message).join(' '), errors);
}

function askedIn(error: FieldProblem, body: unknown): FieldProblem {
  const steps = (error.pointer ?? '').split('/').slice(1);
  const asked = steps.at(-1) === 'value' ? at(body, steps.slice(0, -1)) : undefined;
  const [, from, to, sign] = /^(-?[\d.]+) to (-?[\d.]+) °?(\S+)$/.exec(error.allowed) ?? [];
  if (!isFigure(asked) || from === undefined || to === undefined || !isUnit(sign)) return error;
  const { unit, value } = asked;
  if (unit === sign || UNITS[unit].dimension !== UNITS[sign].dimension) return error;
  const told = (bound: string, inward: typeof Decimal.ROUND_CEIL | typeof Decimal.ROUND_FLOOR): string =>
    convertDecimal(bound, sign, unit).toSignificantDigits(DIGITS, inward).toFixed();
  const [least, most] = [told(from, Decimal.ROUND_CEIL), told(to, Decimal.ROUND_FLOOR)];
  const shown = signOf(unit);
  return {
    ...error,
    given: value,
    allowed: `${least} to ${most} ${shown}`,
    message: `${steps.slice(0, -1).join('.')} must be between ${least} and ${most} ${shown}.`,
  };
}

/** What stands at a place of the body. */
function at(body: unknown, steps: readonly string[]): unknown {
  return steps.reduce<unknown>(
    (inside, step) =>
      typeof inside === 'object' && inside !== null ? (inside as Readonly<Record<string, unknown>>)[step] : undefined,
    body,
  );
}

const isUnit = (unit: unknown): unit is Unit => typeof unit === 'string' && Object.hasOwn(UNITS, unit);

function isFigure(asked: unknown): asked is { readonly value: unknown; readonly unit: Unit } {
  return typeof asked === 'object' && asked !== null && 'value' in asked && 'unit' in asked && isUnit(asked.unit);
}
