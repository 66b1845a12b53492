import { z } from 'zod';
import { oneTimeCode, recoveryCode } from '../../access/sign-in/sign-in.schema.js';

const none = z.literal('').transform(() => undefined);

/** The one field of a form for a one-time code or a recovery code; nothing where it is left empty. */
export const codeField = z
  .union([
    none,
    z
      .string()
      .trim()
      .pipe(z.union([oneTimeCode, recoveryCode])),
  ])
  .optional();

/** Which of the two was typed. */
export function codeGiven(code: string | undefined): { oneTimeCode?: string; recoveryCode?: string } {
  if (code === undefined) return {};
  return /^\d{6}$/.test(code) ? { oneTimeCode: code } : { recoveryCode: code };
}
