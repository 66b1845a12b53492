import { z } from 'zod';

/** Beside every address of a person that is shown. */
export const emailProvenOut = z
  .boolean()
  .describe('False: unproven, nobody has shown that mail to this address reaches the person');

/** The same in words, beside it. */
export const emailNoteOut = z
  .string()
  .describe('What to keep in mind while the address is unproven, in a sentence; null once it is proven')
  .nullable();

/** What whoever reads an unproven address, or the name that goes with it, is told; by whose it is to them. */
const UNPROVEN = {
  own: 'Nobody has shown yet that mail to this address reaches you.',
  /** Invited, or offered an engagement, by the operation. */
  invited:
    'Nobody has proven that this address is theirs; ask them in person or by phone for the code that you handed over.',
  proposes: 'Nobody has proven that this address is theirs; ask them in person or by phone whether they sent this.',
  acted: 'Nobody has proven that the address of this account is its own: the name is what the account calls itself.',
} as const;

export function emailNote(proven: boolean, whose: keyof typeof UNPROVEN): string | null {
  return proven ? null : UNPROVEN[whose];
}
