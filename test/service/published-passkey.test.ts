/*
 * A ceremony that somebody else made and published: W3C Web Authentication Level 3, 16.2, "ES256 Credential with No
 * Attestation" (RP ID example.org, origin https://example.org, all values in hex as printed there). Its keeper did not
 * verify the person, so it is good by the library's reading of the standard, and not good enough here.
 */
import { verifyAuthenticationResponse, verifyRegistrationResponse } from '@simplewebauthn/server';
import { challengeIn, PasskeyVerifier } from '../../src/access/passkeys/passkey-verifier.js';
import { Outside } from '../../src/platform/outside.js';

const ORIGIN = 'https://example.org';
const DOMAIN = 'example.org';
const base64url = (...hex: string[]): string => Buffer.from(hex.join(''), 'hex').toString('base64url');

const ID = base64url('f91f391db4c9b2fde0ea70189cba3fb63f579ba6122b33ad94ff3ec330084be4');
const MADE = {
  challenge: base64url('00c30fb78531c464d2b6771dab8d7b603c01162f2fa486bea70f283ae556e130'),
  clientDataJSON: base64url(
    '7b2274797065223a22776562617574686e2e637265617465222c226368616c6c656e6765',
    '223a22414d4d507434557878475453746e63647134313759447742466938767049612d70',
    '77386f4f755657345441222c226f726967696e223a2268747470733a2f2f6578616d706c',
    '652e6f7267222c2263726f73734f726967696e223a66616c73652c226578747261446174',
    '61223a22636c69656e74446174614a534f4e206d617920626520657874656e6465642077',
    '697468206164646974696f6e616c206669656c647320696e20746865206675747572652c',
    '207375636820617320746869733a20426b5165446a646354427258426941774a544c4535',
    '51227d',
  ),
  attestationObject: base64url(
    'a363666d74646e6f6e656761747453746d74a068617574684461746158a4bfabc3743295',
    '8b063360d3ad6461c9c4735ae7f8edd46592a5e0f01452b2e4b559000000008446ccb9ab',
    '1db374750b2367ff6f3a1f0020f91f391db4c9b2fde0ea70189cba3fb63f579ba6122b33',
    'ad94ff3ec330084be4a5010203262001215820afefa16f97ca9b2d23eb86ccb64098d20d',
    'b90856062eb249c33a9b672f26df61225820930a56b87a2fca66334b03458abf879717c1',
    '2cc68ed73290af2e2664796b9220',
  ),
};
const SHOWN = {
  challenge: base64url('39c0e7521417ba54d43e8dc95174f423dee9bf3cd804ff6d65c857c9abf4d408'),
  clientDataJSON: base64url(
    '7b2274797065223a22776562617574686e2e676574222c226368616c6c656e6765223a22',
    '4f63446e55685158756c5455506f334a5558543049393770767a7a59425039745a636858',
    '79617630314167222c226f726967696e223a2268747470733a2f2f6578616d706c652e6f',
    '7267222c2263726f73734f726967696e223a66616c73657d',
  ),
  authenticatorData: base64url('bfabc37432958b063360d3ad6461c9c4735ae7f8edd46592a5e0f01452b2e4b51900000000'),
  signature: base64url(
    '3046022100f50a4e2e4409249c4a853ba361282f09841df4dd4547a13a87780218deffcd',
    '380221008480ac0f0b93538174f575bf11a1dd5d78c6e486013f937295ea13653e331e87',
  ),
};
const credential = { id: ID, rawId: ID, type: 'public-key', clientExtensionResults: {} } as const;
const verifier = new PasskeyVerifier(new Outside(ORIGIN, undefined));

/** What the registration gave, by the library, verification of the person not being asked for. */
async function registered() {
  const { clientDataJSON, attestationObject } = MADE;
  const verified = await verifyRegistrationResponse({
    response: { ...credential, response: { clientDataJSON, attestationObject } },
    expectedChallenge: MADE.challenge,
    expectedOrigin: ORIGIN,
    expectedRPID: DOMAIN,
    requireUserVerification: false,
  });
  if (!verified.verified) throw new Error('The published registration was refused');
  return verified.registrationInfo;
}

it('the challenge that is read out of each is the published one', () => {
  expect(challengeIn({ id: ID, response: MADE })).toBe(MADE.challenge);
  expect(challengeIn({ id: ID, response: SHOWN })).toBe(SHOWN.challenge);
});

it('the registration is good but for the person, whom nobody verified: refused here', async () => {
  const { credential: made, userVerified } = await registered();
  expect([made.id, made.counter, userVerified]).toEqual([ID, 0, false]);
  expect(await verifier.registered({ id: ID, response: MADE }, MADE.challenge)).toBeUndefined();
});

it('so is the sign-in; with another challenge or another key it is not good at all', async () => {
  const { credential: made } = await registered();
  const { clientDataJSON, authenticatorData, signature } = SHOWN;
  const verified = (expectedChallenge: string, changed: Partial<typeof SHOWN> = {}) =>
    verifyAuthenticationResponse({
      response: { ...credential, response: { clientDataJSON, authenticatorData, signature, ...changed } },
      expectedChallenge,
      expectedOrigin: ORIGIN,
      expectedRPID: DOMAIN,
      requireUserVerification: false,
      credential: made,
    });
  expect((await verified(SHOWN.challenge)).verified).toBe(true);
  await expect(verified(MADE.challenge)).rejects.toThrow('challenge');
  const row = {
    credential_id: ID,
    public_key: Buffer.from(made.publicKey).toString('base64url'),
    person_id: '01890a5d-ac96-774b-bcce-b302099a8057',
  };
  expect(await verifier.asserted({ id: ID, response: SHOWN }, SHOWN.challenge, row)).toBeUndefined();
});
