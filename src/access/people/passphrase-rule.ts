import { z } from 'zod';

const LEAST = 12;
const MOST = 256;

/** A passphrase to be: long enough, not one character over and over. No classes of characters are asked for (NIST SP 800-63B-4, 3.1.1.2). */
export const newPassphrase = z.string().min(LEAST).max(MOST)
  .refine((text) => new Set(text).size >= 5, 'must hold at least five different characters')
  .describe(`A new passphrase, ${LEAST} to ${MOST} characters; a sentence is good`);

export const presentPassphrase = z.string().min(1).max(MOST).describe('The present passphrase');

/** A passphrase that is somebody's own email or name says who they are, not that they are. */
export function tellsItself(passphrase: string, person: { email: string; name: string }): boolean {
  const plain = passphrase.toLowerCase();
  return [person.email, person.email.split('@')[0] ?? '', person.name].some((word) => word.length >= 4 && plain.replaceAll(word.toLowerCase(), '').length < 6);
}
