import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { id, instantOut, name, version } from '../../platform/wire/common.schema.js';
import { lastUsedFrom } from '../api-keys/api-key.schema.js';
import { session } from '../sign-in/sign-in.schema.js';
import { assertion, attestation } from './credential.schema.js';

const tag = 'Account';

export const passkeyOut = z
  .object({
    id,
    name: z.string().describe('What you call it'),
    createdAt: instantOut,
    lastUsedAt: instantOut.nullable(),
    lastUsedFrom,
    backedUp: z.boolean().describe('True if its keeper may have copies of it on other devices of yours'),
    countFellAt: instantOut
      .describe('When its count last failed to rise, as that of a copy does; null: never seen')
      .nullable(),
    endedAt: instantOut.describe('When you ended it; null: it works').nullable(),
    version,
  })
  .meta({ id: 'Passkey', description: 'A key pair (WebAuthn) that a device of yours keeps and that signs you in' });

const challenge = z.string().describe('What the passkey signs, in base64url; good once, for minutes');
const descriptor = z.object({
  id: z.string().describe('Id of the credential, in base64url'),
  type: z.string().describe('Always public-key'),
  transports: z.array(z.string().describe('A way to reach it')).optional().describe('How it can be reached'),
});
const timeout = z.number().int().optional().describe('Milliseconds for which a browser should wait');

const requestOptions = z
  .object({
    challenge,
    rpId: z.string().optional().describe('Domain that the passkey belongs to'),
    allowCredentials: z.array(descriptor).optional().describe('Which passkeys may answer; absent: any of this server'),
    timeout,
    userVerification: z.string().optional().describe('Always required: the keeper of the passkey verifies the person'),
  })
  .meta({
    id: 'PasskeyRequest',
    description: 'For navigator.credentials.get (PublicKeyCredentialRequestOptionsJSON of WebAuthn Level 3)',
  });

const creationOptions = z
  .object({
    challenge,
    rp: z
      .object({
        id: z.string().optional().describe('Domain that the passkey will belong to'),
        name: z.string().describe('Name of the server, for display'),
      })
      .describe('Who asks for a passkey'),
    user: z
      .object({
        id: z.string().describe('You, as the keeper of the passkey keeps you; in base64url'),
        name: z.string().describe('Your email address, for display'),
        displayName: z.string().describe('Your name, for display'),
      })
      .describe('Whose passkey it will be'),
    pubKeyCredParams: z
      .array(
        z.object({
          alg: z.number().int().describe('Number of a signature algorithm (COSE)'),
          type: z.string().describe('Always public-key'),
        }),
      )
      .describe('Which signatures are taken, the best first'),
    timeout,
    attestation: z.string().optional().describe('Always none: which make it is, is not asked'),
    excludeCredentials: z.array(descriptor).optional().describe('Passkeys that you have here already'),
    authenticatorSelection: z
      .object({
        residentKey: z.string().optional().describe('Always required: it is found without a name being typed'),
        requireResidentKey: z.boolean().optional().describe('The same, for older browsers'),
        userVerification: z.string().optional().describe('Always required'),
      })
      .optional()
      .describe('What the keeper of the passkey must be able to do'),
    hints: z.array(z.string().describe('A kind of keeper')).optional().describe('Which keepers are preferred'),
    extensions: z
      .object({ credProps: z.boolean().optional().describe('Ask the browser what it made') })
      .optional()
      .describe('What is asked beside'),
  })
  .meta({
    id: 'PasskeyCreation',
    description: 'For navigator.credentials.create (PublicKeyCredentialCreationOptionsJSON of WebAuthn Level 3)',
  });

const params = z.object({ passkeyId: id });

export const beginPasskey = endpoint({
  method: 'POST',
  transaction: 'read',
  path: '/v1/me/passkey-registrations',
  operationId: 'beginPasskey',
  tag,
  access: 'signed-in',
  secondLook: true,
  status: 200,
  summary: 'Get what a browser needs to make a passkey for you',
  description:
    'It works at the public address of the server alone. Nothing is kept: send what the browser makes to ' +
    'POST /v1/me/passkeys within ten minutes. The page /yard/account does both.',
  answer: creationOptions,
  problems: ['passkeys-not-offered'],
});

export const createPasskey = endpoint({
  method: 'POST',
  path: '/v1/me/passkeys',
  operationId: 'createPasskey',
  tag,
  access: 'signed-in',
  secondLook: true,
  summary: 'Register a passkey that a browser made',
  description:
    'It signs you in by itself, as passphrase and one-time code in one. From then on the passphrase alone does not: ' +
    'beside it goes a one-time code or a recovery code. Where it is your first factor, your other sessions end: they ' +
    'were opened by less.',
  body: z.strictObject({ name, credential: attestation }),
  answer: passkeyOut.extend({
    recoveryCodes: z
      .array(z.string())
      .describe(
        'Ten recovery codes, where you had none left: for the day when the passkey is lost; null if you have some, ' +
          'and in a repeated answer',
      )
      .nullable(),
  }),
  versioned: true,
  creates: (made) => `/v1/me/passkeys/${made.id}`,
  keptForRepeats: (answer) => ({ ...answer, recoveryCodes: null }),
  problems: ['conflict', 'rule-broken', 'passkeys-not-offered'],
});

export const listPasskeys = endpoint({
  method: 'GET',
  path: '/v1/me/passkeys',
  operationId: 'listPasskeys',
  tag,
  access: 'signed-in',
  summary: 'Your passkeys, oldest first, also those that have ended',
  query: z.strictObject(pageQuery),
  answer: pageAnswer(passkeyOut),
  paged: true,
});

export const getPasskey = endpoint({
  method: 'GET',
  path: '/v1/me/passkeys/:passkeyId',
  operationId: 'getPasskey',
  tag,
  access: 'signed-in',
  summary: 'One of your passkeys',
  params,
  answer: passkeyOut,
  versioned: true,
});

export const renamePasskey = endpoint({
  method: 'PATCH',
  path: '/v1/me/passkeys/:passkeyId',
  operationId: 'renamePasskey',
  tag,
  access: 'signed-in',
  summary: 'Call one of your passkeys something else',
  params,
  body: z.strictObject({ name }),
  answer: passkeyOut,
  changes: true,
  versioned: true,
});

export const endPasskey = endpoint({
  method: 'DELETE',
  path: '/v1/me/passkeys/:passkeyId',
  operationId: 'endPasskey',
  tag,
  access: 'signed-in',
  secondLook: true,
  status: 204,
  summary: 'End one of your passkeys: it signs nobody in any more',
  params,
  changes: true,
  problems: ['conflict', 'rule-broken'],
});

export const beginPasskeyProof = endpoint({
  method: 'POST',
  transaction: 'read',
  path: '/v1/me/passkey-challenges',
  operationId: 'beginPasskeyProof',
  tag,
  access: 'signed-in',
  status: 200,
  summary: 'Get a challenge for a passkey of yours, to show that it is still you',
  description: 'Its answer goes where the present passphrase would: as `passkey`, once, within five minutes.',
  answer: requestOptions,
  problems: ['passkeys-not-offered'],
});

export const beginPasskeySignIn = endpoint({
  method: 'POST',
  path: '/v1/passkey-challenges',
  operationId: 'beginPasskeySignIn',
  tag: 'Access',
  access: 'public',
  status: 200,
  summary: 'Get a challenge to sign in with a passkey',
  description: 'The same for everybody: it names nobody. Its answer goes to POST /v1/passkey-sign-ins within minutes.',
  answer: requestOptions,
  problems: ['passkeys-not-offered'],
});

export const signInByPasskey = endpoint({
  method: 'POST',
  path: '/v1/passkey-sign-ins',
  operationId: 'signInByPasskey',
  tag: 'Access',
  access: 'public',
  status: 200,
  summary: 'Sign in with a passkey',
  description:
    'No passphrase and no one-time code is needed beside it. Limited for each passkey and address, and each address.',
  body: z.strictObject({ credential: assertion }),
  answer: session,
  problems: ['passkey-failed', 'passkeys-not-offered', 'too-many-attempts'],
});
