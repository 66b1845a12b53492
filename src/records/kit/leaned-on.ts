import { counted } from '../../core/units/counted.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { problemOfDatabaseError } from '../../platform/database/database-errors.js';
import { massToldIn } from '../../platform/http/mass-told.js';
import { type FieldProblem, type LeaningDraw, Problem } from '../../platform/http/problem.js';
import type { MassUnit } from '../../core/units/mass.js';
import { correctionOf, kindInWords } from './corrected-at.data.js';

/** An entry that is taken back, by itself or for another in its place. */
interface TakenBack {
  readonly kind: string;
  readonly id: string;
  readonly how: 'reversal' | 'correction';
}

/**
 * Where the ledger refuses to take hay back since later entries drew it: which lot, what is missing in it, what leans
 * on it and what to do, every figure in the unit that was typed. Any other error, and a draw that is itself too large,
 * stays as it is.
 */
export function leanedOn(error: unknown, { operation }: OperationTenant, taken: TakenBack): unknown {
  const problem = problemOfDatabaseError(error, operation.unitPreference);
  const { subject } = problem ?? {};
  if (problem?.code !== 'lot-short' || subject?.unit === undefined || subject.left !== undefined) return error;
  const { count, newest } = subject.leaning ?? { count: 0, newest: [] };
  const detail =
    `${problem.detail ?? ''} ${counted(count, 'entry draws', 'entries draw')} on this hay since` +
    (count > newest.length ? `; the newest ${newest.length} are named. ` : '. ') +
    nextStep(taken);
  return new Problem(
    'lot-short',
    detail,
    [
      ...problem.errors.map((one) => ({ ...one, message: detail })),
      ...newest.map((draw) => errorOf(draw, subject.unit ?? 'kg')),
    ],
    problem.headers,
    subject,
  );
}

function errorOf(draw: LeaningDraw, unit: MassUnit): FieldProblem {
  const step = correctionOf(draw);
  return {
    code: 'leans-on-it',
    given: draw.id,
    allowed: step === undefined ? 'reversed first' : `reversed first, or of its true lot: ${step}`,
    message: `The ${kindInWords(draw.kind)} of ${draw.on} drew ${massToldIn(draw.mass, unit, 'up')}.`,
  };
}

function nextStep({ kind, id, how }: TakenBack): string {
  const elsewhere =
    'If they drew on another lot, correct each to its true lot (the address is in errors), once the hay is in that lot';
  if (how === 'correction')
    return (
      `${elsewhere}: where it is there only by this correction, enter the right ${kindInWords(kind)} as one of its ` +
      `own first, correct them, and reverse this one then. Otherwise, leave as much in the lot as they drew.`
    );
  const inOneCall = correctionOf({ kind, id });
  return (
    (inOneCall === undefined
      ? ''
      : `If something about it was typed wrong, correct it in one call: ${inOneCall} with the reason and the right ` +
        'entry; what was drawn stays. ') +
    `${elsewhere}. If the hay never came, reverse what was drawn from the lot since then first, or enter where it ` +
    'came from.'
  );
}
