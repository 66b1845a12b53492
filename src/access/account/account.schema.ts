import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { id, instantOut } from '../../platform/wire/common.schema.js';
import { newPassphrase, presentPassphrase } from '../people/passphrase-rule.js';
import { email, oneTimeCode, recoveryCode } from '../sign-in/sign-in.schema.js';

const tag = 'Account';

export const changePassphrase = endpoint({
  method: 'POST',
  transaction: 'own',
  path: '/v1/me/passphrase',
  operationId: 'changePassphrase',
  tag,
  access: 'signed-in',
  status: 204,
  summary: "Change one's passphrase",
  description: 'Every other session of this person ends.',
  body: z.strictObject({ presentPassphrase, newPassphrase }),
  problems: ['rule-broken', 'too-many-attempts'],
});

const session = z
  .object({
    id,
    startedAt: instantOut,
    lastRenewedAt: instantOut.describe('When its tokens were last renewed'),
    userAgent: z.string().describe('What the program called itself').nullable(),
    address: z.string().describe('Where it was opened from').nullable(),
    present: z.boolean().describe('True for the session of this very request'),
  })
  .meta({ id: 'OpenSession', description: "A session of one's own that has not ended" });

export const listSessions = endpoint({
  method: 'GET',
  path: '/v1/me/sessions',
  operationId: 'listSessions',
  tag,
  access: 'signed-in',
  summary: "One's open sessions, newest first",
  query: z.strictObject(pageQuery),
  answer: pageAnswer(session),
  paged: true,
});

export const endSession = endpoint({
  method: 'DELETE',
  path: '/v1/me/sessions/:sessionId',
  operationId: 'endSession',
  tag,
  access: 'signed-in',
  status: 204,
  summary: "End one of one's sessions",
  params: z.object({ sessionId: id }),
});

const codes = z.object({
  codes: z.array(z.string()).describe('Ten codes, each good once; shown here and never again'),
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
  body: z.strictObject({ presentPassphrase }),
  answer: codes,
  problems: ['too-many-attempts'],
});

export const getSecondFactor = endpoint({
  method: 'GET',
  path: '/v1/me/second-factor',
  operationId: 'getSecondFactor',
  tag,
  access: 'signed-in',
  summary: 'Is a one-time code needed to sign in?',
  answer: z.object({
    inForce: z.boolean().describe('A one-time code is needed to sign in'),
    since: instantOut.nullable(),
    recoveryCodesLeft: z.number().int().describe('Recovery codes not used yet'),
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
  description: 'It is in force once a first code confirms it. A secret that was never confirmed is replaced.',
  body: z.strictObject({ presentPassphrase }),
  answer: z.object({
    secret: z.string().describe('Base32, for typing in'),
    keyUri: z.string().describe('The same as an otpauth address, for a picture'),
  }),
  problems: ['conflict', 'too-many-attempts'],
});

export const confirmSecondFactor = endpoint({
  method: 'POST',
  transaction: 'own',
  path: '/v1/me/second-factor/confirmation',
  operationId: 'confirmSecondFactor',
  tag,
  access: 'signed-in',
  status: 200,
  summary: 'Put the second factor in force with its first code; answers recovery codes',
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
  summary: 'Do without a second factor again',
  body: z.strictObject({
    presentPassphrase,
    oneTimeCode: oneTimeCode.optional(),
    recoveryCode: recoveryCode.optional(),
  }),
  problems: ['conflict', 'second-factor-unreadable', 'too-many-attempts'],
});

const second = {
  oneTimeCode: oneTimeCode.optional().describe('Needed where a second factor is in force'),
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
    "Works only for people who belong to no other operation, so that no owner can walk into another's books. " +
    'Every session of the person ends.',
  body: z.strictObject({
    token: z.string().min(1).max(200).describe('The token that the owner handed over'),
    newPassphrase,
    ...second,
  }),
  problems: ['recovery-failed', 'second-factor-unreadable', 'too-many-attempts'],
});
