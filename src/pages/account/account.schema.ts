import { z } from 'zod';
import { sessionOut } from '../../access/account/account.schema.js';
import { emailStanding, linkToken } from '../../access/email/email.schema.js';
import { assertion, attestation } from '../../access/passkeys/credential.schema.js';
import { passkeyOut } from '../../access/passkeys/passkey.schema.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { id, name } from '../../platform/wire/common.schema.js';
import { codeField } from './code-field.js';
import { inField } from './in-field.js';

const base = { tag: 'Pages', browser: true, access: 'signed-in' } as const;
const get = { ...base, method: 'GET' } as const;
/** A form of one of these pages: it answers by sending the browser on. */
const form = {
  ...base,
  method: 'POST',
  transaction: 'own',
  bodyType: 'application/x-www-form-urlencoded',
  status: 303,
} as const;

export const accountOut = z.object({
  standing: emailStanding,
  passkeysAt: z.string().nullable(),
  passkeys: z.array(passkeyOut),
  /** Whether a secret was shown lately; then what a browser needs to make a passkey is there, else to show one. */
  fresh: z.boolean(),
  creation: z.string().nullable(),
  request: z.string().nullable(),
  recoveryCodes: z.array(z.string()),
  sessions: z.array(sessionOut),
});

export const accountPage = endpoint({
  ...get,
  path: '/yard/account',
  operationId: 'accountPage',
  summary: 'Your own account: email address and passkeys',
  answer: accountOut,
  alsoAs: ['html'],
});

export const askEmailLinkByForm = endpoint({
  ...form,
  path: '/yard/account/email-links',
  operationId: 'askEmailLinkByForm',
  summary: 'Have a link sent to your email address',
  body: z.strictObject({}),
});

export const secondLookByForm = endpoint({
  ...form,
  path: '/yard/account/second-look',
  operationId: 'secondLookByForm',
  summary: 'Show once more that it is you',
  body: z
    .strictObject({
      passphrase: z.string().max(256).optional(),
      code: codeField,
      credential: inField(assertion).optional(),
    })
    .refine((body) => (body.passphrase === undefined) !== (body.credential === undefined), 'must give one of them'),
});

/** Answers with the page itself: it may show recovery codes, once. */
export const addPasskeyByForm = endpoint({
  ...base,
  method: 'POST',
  bodyType: 'application/x-www-form-urlencoded',
  status: 200,
  secondLook: true,
  path: '/yard/account/passkeys',
  operationId: 'addPasskeyByForm',
  summary: 'Register a passkey that the browser made',
  body: z.strictObject({ name, credential: inField(attestation) }),
  answer: accountOut,
  alsoAs: ['html'],
});

export const endPasskeyByForm = endpoint({
  ...form,
  transaction: 'write',
  secondLook: true,
  path: '/yard/account/passkeys/end',
  operationId: 'endPasskeyByForm',
  summary: 'End one of your passkeys',
  body: z.strictObject({ passkeyId: id }),
});

/** From wherever one is signed in, so that a lost phone is signed out from the desk. */
export const endSessionByForm = endpoint({
  ...form,
  transaction: 'write',
  path: '/yard/account/sessions/end',
  operationId: 'endSessionByForm',
  summary: 'Sign a device of yours out',
  body: z.strictObject({ sessionId: id }),
});

/** Opening it changes nothing: scanners of mail open links too. */
export const emailProofPage = endpoint({
  ...get,
  path: '/yard/account/email-proof',
  operationId: 'emailProofPage',
  summary: 'The page that a mailed link opens, with the button that proves the address',
  query: z.strictObject({ token: linkToken }),
  answer: z.object({ email: z.string(), token: z.string() }),
  alsoAs: ['html'],
});

export const proveEmailByForm = endpoint({
  ...form,
  path: '/yard/account/email-proof',
  operationId: 'proveEmailByForm',
  summary: 'Prove your email address with the link that was sent to it',
  body: z.strictObject({ token: linkToken }),
});
