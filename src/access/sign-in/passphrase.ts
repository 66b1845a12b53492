import { timingSafeEqual } from 'node:crypto';
import { hash, verify } from '@node-rs/argon2';

/**
 * argon2id (the library's default variant) with the first parameter set of the OWASP Password Storage Cheat Sheet: 19
 * MiB, two passes, one lane.
 */
const SETTINGS = { memoryCost: 19_456, timeCost: 2, parallelism: 1 } as const;

interface Keeps {
  passphrase_hash: string | null;
}

/**
 * With a random salt, or that of the accounts it will stand beside: accounts of one email share theirs, so that one
 * computation tells which of them a passphrase opens, and its time not how many there are.
 */
export async function hashPassphrase(passphrase: string, beside: readonly Keeps[] = []): Promise<string> {
  const salt = beside.map((one) => saltOf(one.passphrase_hash)).find((known) => known !== undefined);
  return hash(passphrase, salt === undefined ? SETTINGS : { ...SETTINGS, salt });
}

let decoy: Promise<string> | undefined;

/** Takes as long for a person who does not exist as for one who does, so that the time tells nothing. */
export async function passphraseMatches(stored: string | null | undefined, passphrase: string): Promise<boolean> {
  decoy ??= hashPassphrase('nobody has this passphrase');
  const matches = await verify(stored ?? (await decoy), passphrase);
  return stored !== null && stored !== undefined && matches;
}

/** Which of the accounts of one email does the passphrase open? */
export async function openedBy<Account extends Keeps>(
  accounts: readonly Account[],
  passphrase: string,
): Promise<Account | undefined> {
  const [first, ...others] = accounts.filter((one) => one.passphrase_hash !== null);
  if (first === undefined || others.length === 0)
    return (await passphraseMatches(first?.passphrase_hash, passphrase)) ? first : undefined;
  const made = Buffer.from(await hashPassphrase(passphrase, [first]));
  return [first, ...others].find(({ passphrase_hash: kept }) => {
    const stored = Buffer.from(kept ?? '');
    return stored.length === made.length && timingSafeEqual(stored, made);
  });
}

/** The salt in a hash as it is kept: `$argon2id$v=19$m=…,t=…,p=…$salt$hash`. */
function saltOf(stored: string | null): Buffer | undefined {
  const salt = stored?.split('$').at(-2);
  return salt === undefined || salt === '' ? undefined : Buffer.from(salt, 'base64');
}
