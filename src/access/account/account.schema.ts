import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { id, instantOut } from '../../platform/wire/common.schema.js';
import { ACCOUNT_EVENTS } from '../../platform/wire/words.data.js';
import { lastUsedFrom } from '../api-keys/api-key.schema.js';
import { assertion } from '../passkeys/credential.schema.js';
import { newPassphrase, presentPassphrase } from '../people/passphrase-rule.js';
import { email, oneTimeCode, recoveryCode } from '../sign-in/sign-in.schema.js';

const tag = 'Account';

/** In their place a passkey of one's own, which stands for passphrase and one-time code. */
const selfProof = {
  presentPassphrase: presentPassphrase.optional(),
  oneTimeCode: oneTimeCode
    .optional()
    .describe('Current code of your generator, beside the passphrase where that alone does not sign you in'),
  recoveryCode: recoveryCode.optional().describe('An unused recovery code in place of the one-time code'),
  passkey: assertion
    .optional()
    .describe('A passkey of yours, in place of the passphrase, that answers POST /v1/me/passkey-challenges'),
};
const isOneProof = (body: { presentPassphrase?: unknown; passkey?: unknown }): boolean =>
  (body.presentPassphrase === undefined) !== (body.passkey === undefined);
const ONE_PROOF = { message: 'must give presentPassphrase or passkey, and not both' };

const remainingKey = z
  .object({
    id,
    name: z.string().describe('What the key is for'),
    operationId: id.describe('Operation that it opens; null: a key of your own').nullable(),
    expiresAt: instantOut,
    lastUsedAt: instantOut.nullable(),
    lastUsedFrom,
  })
  .meta({ id: 'RemainingKey', description: 'A key of yours that works' });

export const changePassphrase = endpoint({
  method: 'POST',
  transaction: 'own',
  path: '/v1/me/passphrase',
  operationId: 'changePassphrase',
  tag,
  access: 'signed-in',
  status: 200,
  summary: 'Change your passphrase',
  description: 'Every other session of yours ends. Keys that you made go on unless `endKeys` is true.',
  body: z
    .strictObject({
      ...selfProof,
      newPassphrase,
      endKeys: z.boolean().default(false).describe('True to end every key that you made, in every operation, at once'),
    })
    .refine(isOneProof, ONE_PROOF),
  answer: z.object({
    keysEnded: z.number().int().describe('Number of keys of yours that ended with this change'),
    keysRemaining: z.array(remainingKey).describe('Keys of yours that still work'),
  }),
  problems: ['second-factor-unreadable', 'rule-broken', 'too-many-attempts'],
});

export const secondLook = endpoint({
  method: 'POST',
  transaction: 'own',
  path: '/v1/me/second-look',
  operationId: 'takeSecondLook',
  tag,
  access: 'signed-in',
  status: 200,
  summary: 'Show once more that it is you, for this session',
  description:
    'Keys, members, deletion and recovery are managed only for some minutes after this, or after signing in. Who has ' +
    'one-time codes or a passkey shows the passkey, or gives a code beside the passphrase: here, and wherever a ' +
    'passkey may stand for the passphrase.',
  body: z.strictObject(selfProof).refine(isOneProof, ONE_PROOF),
  answer: z.object({ goodUntil: instantOut }),
  problems: ['second-factor-unreadable', 'too-many-attempts'],
});

export const sessionOut = z
  .object({
    id,
    startedAt: instantOut,
    lastRenewedAt: instantOut.describe('When its tokens were last renewed'),
    userAgent: z.string().describe('Name that the program gave itself; null if it gave none').nullable(),
    address: z.string().describe('Network address that it was opened from; null if not known').nullable(),
    present: z.boolean().describe('True for the session that sent this request'),
  })
  .meta({ id: 'OpenSession', description: 'A session of your own that has not ended' });

export const listSessions = endpoint({
  method: 'GET',
  path: '/v1/me/sessions',
  operationId: 'listSessions',
  tag,
  access: 'signed-in',
  summary: 'Your open sessions, newest first',
  query: z.strictObject(pageQuery),
  answer: pageAnswer(sessionOut),
  paged: true,
});

export const endSession = endpoint({
  method: 'DELETE',
  path: '/v1/me/sessions/:sessionId',
  operationId: 'endSession',
  tag,
  access: 'signed-in',
  status: 204,
  summary: 'End one of your sessions',
  params: z.object({ sessionId: id }),
});

const event = z
  .object({
    happenedAt: instantOut,
    kind: z.enum(ACCOUNT_EVENTS).describe('What happened'),
    address: z.string().describe('Network address that it came from; null if not known').nullable(),
    subjectId: id.describe('Session or key that it is about; null if it is about the account').nullable(),
    attempts: z.number().int().describe('How often, for attempts of one hour that failed alike; else 1'),
    notice: z.boolean().describe('True if you should make sure that it was you'),
  })
  .meta({ id: 'AccountEvent', description: 'Something that happened to your account' });

export const listActivity = endpoint({
  method: 'GET',
  path: '/v1/me/activity',
  operationId: 'listActivity',
  tag,
  access: 'signed-in',
  summary: 'What happened to your account, newest first',
  description:
    'Sign-ins, attempts that failed (for 90 days), what was changed. If it was not you: end every session and key ' +
    'with POST /v1/sign-out, `everywhere` and `endKeys` being true, and change your passphrase.',
  query: z.strictObject(pageQuery),
  answer: pageAnswer(event),
  paged: true,
});

const codes = z.object({
  codes: z.array(z.string()).describe('Ten codes, each good for one use; shown here and never again'),
});

export const makeRecoveryCodes = endpoint({
  method: 'POST',
  transaction: 'own',
  path: '/v1/me/recovery-codes',
  operationId: 'makeRecoveryCodes',
  tag,
  access: 'signed-in',
  status: 200,
  summary: 'Make ten recovery codes; earlier ones no longer work',
  description: 'For the day when the passphrase or the generator of one-time codes is lost.',
  body: z.strictObject(selfProof).refine(isOneProof, ONE_PROOF),
  answer: codes,
  problems: ['second-factor-unreadable', 'too-many-attempts'],
});

export const getSecondFactor = endpoint({
  method: 'GET',
  path: '/v1/me/second-factor',
  operationId: 'getSecondFactor',
  tag,
  access: 'signed-in',
  summary: 'Whether the passphrase alone signs you in',
  answer: z.object({
    inForce: z.boolean().describe('True if a one-time code is needed beside the passphrase'),
    since: instantOut.nullable(),
    passkeys: z
      .number()
      .int()
      .describe('Number of passkeys that work; with one, the passphrase alone does not sign you in either'),
    recoveryCodesLeft: z.number().int().describe('Number of recovery codes not used yet'),
  }),
});

export const beginSecondFactor = endpoint({
  method: 'POST',
  transaction: 'own',
  path: '/v1/me/second-factor',
  operationId: 'beginSecondFactor',
  tag,
  access: 'signed-in',
  status: 200,
  summary: 'Get the secret for a generator of one-time codes (RFC 6238)',
  description: 'It is turned on once a first code confirms it. A secret that was never confirmed is replaced.',
  body: z.strictObject(selfProof).refine(isOneProof, ONE_PROOF),
  answer: z.object({
    secret: z.string().describe('Base32, for typing in'),
    keyUri: z.string().describe('The same as an otpauth address, for a QR code'),
  }),
  problems: ['second-factor-unreadable', 'conflict', 'too-many-attempts'],
});

export const confirmSecondFactor = endpoint({
  method: 'POST',
  transaction: 'own',
  path: '/v1/me/second-factor/confirmation',
  operationId: 'confirmSecondFactor',
  tag,
  access: 'signed-in',
  status: 200,
  summary: 'Turn on the second factor with its first code; the answer gives recovery codes',
  description: 'Where it is your first factor, your other sessions end: they were opened by less.',
  body: z.strictObject({ oneTimeCode }),
  answer: codes,
  problems: ['conflict', 'second-factor-unreadable', 'too-many-attempts'],
});

export const removeSecondFactor = endpoint({
  method: 'POST',
  transaction: 'own',
  path: '/v1/me/second-factor/removal',
  operationId: 'removeSecondFactor',
  tag,
  access: 'signed-in',
  status: 204,
  summary: 'Remove the second factor',
  body: z.strictObject(selfProof).refine(isOneProof, ONE_PROOF),
  problems: ['conflict', 'rule-broken', 'second-factor-unreadable', 'too-many-attempts'],
});

const second = {
  oneTimeCode: oneTimeCode.optional().describe('Needed where a second factor is turned on'),
  secondRecoveryCode: recoveryCode.optional().describe('Another unused recovery code, instead of the one-time code'),
};

export const recoverByCode = endpoint({
  method: 'POST',
  path: '/v1/recovery-by-code',
  operationId: 'recoverByCode',
  tag,
  access: 'public',
  status: 204,
  summary: 'Set a new passphrase with a recovery code',
  description: 'Every session of the person ends. Limited like sign-in.',
  body: z.strictObject({ email, recoveryCode, newPassphrase, ...second }),
  problems: ['recovery-failed', 'second-factor-unreadable', 'too-many-attempts'],
});

export const recoverByToken = endpoint({
  method: 'POST',
  path: '/v1/recovery-by-token',
  operationId: 'recoverByToken',
  tag,
  access: 'public',
  status: 204,
  summary: 'Set a new passphrase with a token that an owner issued',
  description:
    "Works only for people who belong to no other operation, so that no owner can get into another's books. " +
    'Every session of the person ends.',
  body: z.strictObject({
    token: z.string().min(1).max(200).describe('The token that the owner handed over'),
    newPassphrase,
    ...second,
  }),
  problems: ['recovery-failed', 'second-factor-unreadable', 'too-many-attempts'],
});
