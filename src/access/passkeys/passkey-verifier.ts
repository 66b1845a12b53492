import { Injectable } from '@nestjs/common';
import type {
  AuthenticationResponseJSON,
  PublicKeyCredentialCreationOptionsJSON,
  PublicKeyCredentialRequestOptionsJSON,
  RegistrationResponseJSON,
} from '@simplewebauthn/server';
import { domainOf } from '../../platform/http/public-address.js';
import { Problem } from '../../platform/http/problem.js';
import { Outside } from '../../platform/outside.js';
import type { NamedPerson } from '../people/person.read.js';
import type { PasskeyRow } from './passkey.read.js';
import { isUsableKey } from './usable-key.js';

/** A credential as the browser gives it, with the parts that are used. */
export interface Attestation {
  id: string;
  response: { clientDataJSON: string; attestationObject: string; transports?: readonly string[] | undefined };
}
export interface Assertion {
  id: string;
  response: {
    clientDataJSON: string;
    authenticatorData: string;
    signature: string;
    userHandle?: string | null | undefined;
  };
}

export interface VerifiedPasskey {
  credentialId: string;
  publicKey: string;
  counter: number;
  backedUp: boolean;
}

/** Ed25519, ECDSA with P-256 and RSA (COSE algorithms; WebAuthn Level 2, 5.8.5 says to offer these). */
const ALGORITHMS = [-8, -7, -257];
const NAME = 'Rickyard';

/**
 * What is checked of a passkey's answer (WebAuthn Level 2, 7.1 and 7.2), by a kept library: this server's address and
 * domain, a person who was present and verified, the signature. Whose it is and which challenge it answers is checked
 * before. The library is loaded with the first passkey.
 */
@Injectable()
export class PasskeyVerifier {
  constructor(private readonly outside: Outside) {}

  /** Where passkeys work; undefined where the server has no address that a browser takes them at. */
  get offeredAt(): string | undefined {
    const { publicAddress } = this.outside;
    return domainOf(publicAddress) === undefined ? undefined : publicAddress;
  }

  async creationOptions(
    person: NamedPerson,
    challenge: string,
    existing: readonly PasskeyRow[],
  ): Promise<PublicKeyCredentialCreationOptionsJSON> {
    const { domain } = this.#party();
    const { generateRegistrationOptions } = await import('@simplewebauthn/server');
    return generateRegistrationOptions({
      rpName: NAME,
      rpID: domain,
      userID: new Uint8Array(handleOf(person.id)),
      userName: person.email,
      userDisplayName: person.name,
      challenge: new Uint8Array(Buffer.from(challenge, 'base64url')),
      attestationType: 'none',
      excludeCredentials: existing.map(descriptorOf),
      authenticatorSelection: { residentKey: 'required', userVerification: 'required' },
      supportedAlgorithmIDs: ALGORITHMS,
    });
  }

  /** @param allowed of one person; none where nobody is known: then the person chooses among those of this server. */
  async requestOptions(
    challenge: string,
    allowed: readonly PasskeyRow[] = [],
  ): Promise<PublicKeyCredentialRequestOptionsJSON> {
    const { domain } = this.#party();
    const { generateAuthenticationOptions } = await import('@simplewebauthn/server');
    return generateAuthenticationOptions({
      rpID: domain,
      challenge: new Uint8Array(Buffer.from(challenge, 'base64url')),
      userVerification: 'required',
      ...(allowed.length === 0 ? {} : { allowCredentials: allowed.map(descriptorOf) }),
    });
  }

  /** The new passkey; undefined if what was sent is not one, made here and now. */
  async registered({ id, response }: Attestation, challenge: string): Promise<VerifiedPasskey | undefined> {
    const { origin, domain } = this.#party();
    const { verifyRegistrationResponse } = await import('@simplewebauthn/server');
    const sent: RegistrationResponseJSON = {
      id,
      rawId: id,
      type: 'public-key',
      clientExtensionResults: {},
      response: { clientDataJSON: response.clientDataJSON, attestationObject: response.attestationObject },
    };
    const verified = await orUndefined(() =>
      verifyRegistrationResponse({
        response: sent,
        expectedChallenge: challenge,
        expectedOrigin: origin,
        expectedRPID: domain,
        requireUserVerification: true,
        supportedAlgorithmIDs: ALGORITHMS,
      }),
    );
    if (verified?.verified !== true) return undefined;
    const { credential, credentialBackedUp } = verified.registrationInfo;
    const { decodeCredentialPublicKey } = await import('@simplewebauthn/server/helpers');
    if (!isUsableKey(decodeCredentialPublicKey(credential.publicKey) as unknown as ReadonlyMap<number, unknown>))
      return undefined;
    return {
      credentialId: credential.id,
      publicKey: Buffer.from(credential.publicKey).toString('base64url'),
      counter: credential.counter,
      backedUp: credentialBackedUp,
    };
  }

  /**
   * Its count and whether it is backed up; undefined if this passkey did not sign this challenge here. The count is
   * for the caller to compare: only one that is signed says anything.
   */
  async asserted(
    { id, response }: Assertion,
    challenge: string,
    row: Pick<PasskeyRow, 'credential_id' | 'public_key' | 'person_id'>,
  ): Promise<Pick<VerifiedPasskey, 'counter' | 'backedUp'> | undefined> {
    const { origin, domain } = this.#party();
    const { clientDataJSON, authenticatorData, signature, userHandle } = response;
    if (typeof userHandle === 'string' && userHandle !== handleOf(row.person_id).toString('base64url'))
      return undefined;
    const { verifyAuthenticationResponse } = await import('@simplewebauthn/server');
    const sent: AuthenticationResponseJSON = {
      id,
      rawId: id,
      type: 'public-key',
      clientExtensionResults: {},
      response: { clientDataJSON, authenticatorData, signature },
    };
    const verified = await orUndefined(() =>
      verifyAuthenticationResponse({
        response: sent,
        expectedChallenge: challenge,
        expectedOrigin: origin,
        expectedRPID: domain,
        requireUserVerification: true,
        credential: {
          id: row.credential_id,
          publicKey: new Uint8Array(Buffer.from(row.public_key, 'base64url')),
          counter: 0,
        },
      }),
    );
    if (verified?.verified !== true) return undefined;
    const { newCounter, credentialBackedUp } = verified.authenticationInfo;
    return { counter: newCounter, backedUp: credentialBackedUp };
  }

  /** @throws Problem passkeys-not-offered */
  #party(): { origin: string; domain: string } {
    const origin = this.offeredAt;
    if (origin === undefined) throw new Problem('passkeys-not-offered');
    return { origin, domain: domainOf(origin) ?? '' };
  }
}

/** The challenge that a credential says it answers; undefined where it says nothing that can be read, or in a frame. */
export function challengeIn({ response }: Attestation | Assertion): string | undefined {
  try {
    const said = JSON.parse(Buffer.from(response.clientDataJSON, 'base64url').toString('utf8')) as {
      challenge?: unknown;
      crossOrigin?: unknown;
    };
    return typeof said.challenge === 'string' && said.crossOrigin !== true ? said.challenge : undefined;
  } catch {
    return undefined;
  }
}

/** The person as an authenticator keeps them: the bytes of the id, which says nothing about them. */
function handleOf(personId: string): Buffer {
  return Buffer.from(personId.replaceAll('-', ''), 'hex');
}

function descriptorOf({ credential_id: id, transports }: PasskeyRow): { id: string; transports: string[] } {
  return { id, transports: [...transports] };
}

/** The library throws for whatever does not fit; which of it, nobody is told. */
async function orUndefined<T>(work: () => Promise<T>): Promise<T | undefined> {
  try {
    return await work();
  } catch {
    return undefined;
  }
}
