import { z } from 'zod';

const base64url = (most: number) =>
  z
    .string()
    .max(most)
    .regex(/^[A-Za-z0-9_-]+$/, 'must be base64url without padding');

const ID_MOST = 1400;
const CLIENT_DATA_MOST = 4000;
const OBJECT_MOST = 12_000;

/** What browsers send beside, which is not used. */
const beside = {
  rawId: base64url(ID_MOST).optional().describe('The same as `id`'),
  type: z.literal('public-key').optional(),
  authenticatorAttachment: z.string().max(40).nullable().optional().describe('Where its keeper is; not used'),
  clientExtensionResults: z.looseObject({}).optional().describe('What extensions answered; not used'),
};
const clientDataJSON = base64url(CLIENT_DATA_MOST).describe('What the browser says of the challenge and where it was');

/** RegistrationResponseJSON of WebAuthn Level 3, 5.1, as `toJSON()` of a new credential writes it. */
export const attestation = z
  .strictObject({
    id: base64url(ID_MOST).describe('Id of the credential'),
    ...beside,
    response: z
      .strictObject({
        clientDataJSON,
        attestationObject: base64url(OBJECT_MOST).describe('The new public key, as its keeper gives it'),
        transports: z
          .array(z.string().max(40).describe('A way to reach it'))
          .max(12)
          .optional()
          .describe('How it can be reached'),
        authenticatorData: base64url(OBJECT_MOST).optional().describe('A part of attestationObject; not used'),
        publicKey: base64url(OBJECT_MOST).nullable().optional().describe('The key once more; not used'),
        publicKeyAlgorithm: z.number().int().optional().describe('Its algorithm once more; not used'),
      })
      .describe('What its keeper answered'),
  })
  .meta({ id: 'PasskeyMade', description: 'A credential that navigator.credentials.create made' });

/** AuthenticationResponseJSON of WebAuthn Level 3, 5.1. */
export const assertion = z
  .strictObject({
    id: base64url(ID_MOST).describe('Id of the credential'),
    ...beside,
    response: z
      .strictObject({
        clientDataJSON,
        authenticatorData: base64url(OBJECT_MOST).describe('What its keeper says of the person and its count'),
        signature: base64url(OBJECT_MOST).describe('Signature of both'),
        userHandle: base64url(200).nullable().optional().describe('Whose passkey it is, as its keeper keeps it'),
      })
      .describe('What its keeper answered'),
  })
  .meta({ id: 'PasskeyShown', description: 'The answer of a passkey that navigator.credentials.get gave' });
