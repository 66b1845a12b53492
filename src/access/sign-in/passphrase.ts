import { hash, verify } from '@node-rs/argon2';

/**
 * argon2id (the library's default variant) with the first parameter set of the OWASP Password Storage Cheat Sheet: 19
 * MiB, two passes, one lane.
 */
const SETTINGS = { memoryCost: 19_456, timeCost: 2, parallelism: 1 } as const;

export async function hashPassphrase(passphrase: string): Promise<string> {
  return hash(passphrase, SETTINGS);
}

let decoy: Promise<string> | undefined;

/** Takes as long for a person who does not exist as for one who does, so that the time tells nothing. */
export async function passphraseMatches(stored: string | null | undefined, passphrase: string): Promise<boolean> {
  decoy ??= hashPassphrase('nobody has this passphrase');
  const matches = await verify(stored ?? (await decoy), passphrase);
  return stored !== null && stored !== undefined && matches;
}
