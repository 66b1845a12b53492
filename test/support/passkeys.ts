import { Outside } from '../../src/platform/outside.js';
import type { ApiClient } from './client.js';
import { Authenticator } from './authenticator.js';

export const AT = 'https://books.ranch.example';
/** A server that can name its address, and sends no mail. */
export const AT_ITS_ADDRESS = new Outside(AT, undefined);

type Options = { challenge: string; user: { id: string }; excludeCredentials?: { id: string }[] };

export async function begun(as: ApiClient): Promise<Options> {
  return (await as.post<Options>('/v1/me/passkey-registrations', undefined, { key: null, expect: 200 })).body;
}

/** A passkey of this person's, registered. */
export async function passkeyOf(
  as: ApiClient,
  keeper = new Authenticator(AT),
): Promise<{ keeper: Authenticator; id: string; recoveryCodes: string[] | null }> {
  const credential = keeper.made(await begun(as));
  const { body } = await as.post<{ id: string; recoveryCodes: string[] | null }>(
    '/v1/me/passkeys',
    { name: 'Phone', credential },
    { expect: 201 },
  );
  return { keeper, ...body };
}

export async function signInChallenge(anyone: ApiClient): Promise<{ challenge: string }> {
  return (await anyone.post<{ challenge: string }>('/v1/passkey-challenges', undefined, { key: null, expect: 200 }))
    .body;
}

export async function proofChallenge(as: ApiClient): Promise<{ challenge: string }> {
  return (await as.post<{ challenge: string }>('/v1/me/passkey-challenges', undefined, { key: null, expect: 200 }))
    .body;
}
