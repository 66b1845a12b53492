import type { Asker } from './asker.js';
import type { AnyEndpoint } from './endpoint.js';
import { Problem } from './problem.js';

/** How long after passphrase, one-time code or passkey a session may do what takes an account or books over. */
export const SECOND_LOOK_MINUTES = 10;

/** Until when a second look is good. */
export function secondLookUntil(provenAt: Date): Date {
  return new Date(provenAt.getTime() + SECOND_LOOK_MINUTES * 60_000);
}

/** Has this person shown a secret lately, in the session that is asking? */
export function hasSecondLook({ provenAt, moment }: Pick<Asker, 'provenAt' | 'moment'>): boolean {
  return provenAt !== undefined && secondLookUntil(new Date(provenAt)) > moment;
}

/**
 * Keys, members, webhooks, deletion and recovery: never by a key, and by a session only soon after its person has shown
 * a secret, since it may have been left open. @throws Problem not-permitted, second-look-needed
 */
export function refuseWithoutSecondLook(
  { secondLook, summary }: Pick<AnyEndpoint, 'secondLook' | 'summary'>,
  asker: Asker,
): void {
  if (secondLook !== true) return;
  if (asker.apiKeyId !== undefined) throw new Problem('not-permitted', 'No key does this; sign in as a person.');
  if (!hasSecondLook(asker))
    throw new Problem(
      'second-look-needed',
      `"${summary}" is done only within ${SECOND_LOOK_MINUTES} minutes of showing that it is you: send the ` +
        'passphrase, the current one-time code or a passkey to POST /v1/me/second-look, and repeat the request.',
    );
}
