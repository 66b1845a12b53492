import { z } from 'zod';
import { ruleBroken } from '../../platform/http/problem.js';

const LEAST = 12;
const MOST = 256;
const LEAST_DIFFERENT = 5;

/**
 * A new passphrase: long enough, and not one character over and over. No character classes are required (NIST SP
 * 800-63B-4, 3.1.1.2).
 */
export const newPassphrase = z
  .string()
  .min(LEAST)
  .max(MOST)
  .refine((text) => new Set(text).size >= LEAST_DIFFERENT, `must hold at least ${LEAST_DIFFERENT} different characters`)
  .describe(
    `A new passphrase, ${LEAST} to ${MOST} characters; a sentence is good. One of the most common, or made up ` +
      'of them, is refused',
  );

export const presentPassphrase = z.string().min(1).max(MOST).describe('The present passphrase');

/** The long list of common ones is loaded with the first passphrase to judge. @throws Problem rule-broken */
export async function refuseCommon(passphrase: string, pointer: string): Promise<void> {
  const { isCommon } = await import('./common-passphrases.js');
  if (isCommon(passphrase))
    throw ruleBroken(
      pointer,
      'too-common',
      null,
      'a passphrase that is not among the most common, nor made of them; four or five words of your own are good',
      'This passphrase is easily guessed.',
    );
}

/** A passphrase that is the person's own email or name proves nothing. @throws Problem rule-broken */
export function refuseTelling(passphrase: string, person: { email: string; name: string }, pointer: string): void {
  if (tellsItself(passphrase, person))
    throw ruleBroken(
      pointer,
      'tells-itself',
      null,
      'a passphrase that is not your own name or email',
      'This passphrase is your own name or email.',
    );
}

function tellsItself(passphrase: string, person: { email: string; name: string }): boolean {
  const plain = passphrase.toLowerCase();
  return [person.email, person.email.split('@')[0] ?? '', person.name].some(
    (word) => word.length >= 4 && plain.replaceAll(word.toLowerCase(), '').length < 6,
  );
}
