import { z } from 'zod';
import { endpoint } from '../../platform/http/endpoint.js';
import { instantOut } from '../../platform/wire/common.schema.js';
import { presentPassphrase } from '../people/passphrase-rule.js';
import { emailNoteOut, emailProvenOut } from '../../platform/wire/unproven-address.schema.js';
import { email } from '../sign-in/sign-in.schema.js';

const tag = 'Account';

const EMAIL_LINK_STATES = ['waiting', 'sent', 'not-delivered', 'expired', 'used'] as const;

export const emailStanding = z
  .object({
    email: z.string().describe('Email address that you sign in with'),
    emailProven: emailProvenOut,
    emailNote: emailNoteOut,
    provenAt: instantOut.describe('When you opened a link that was sent to it; null: unproven').nullable(),
    mailOffered: z.boolean().describe('Whether this server sends mail; if not, every address stays unproven'),
    link: z
      .object({
        askedAt: instantOut.describe('When you asked for it'),
        expiresAt: instantOut.describe('Until when it is good'),
        state: z
          .enum(EMAIL_LINK_STATES)
          .describe('waiting: to be sent, or tried again; not-delivered: it will not be tried again'),
        problem: z.string().describe('What kept the mail from going out last; null: nothing').nullable(),
      })
      .describe('The link that you asked for last; null: none')
      .nullable(),
  })
  .meta({ id: 'EmailStanding', description: 'Your email address, and whether it is proven' });

export const getEmail = endpoint({
  method: 'GET',
  path: '/v1/me/email',
  operationId: 'getEmail',
  tag,
  access: 'signed-in',
  summary: 'Your email address, and whether it is proven',
  answer: emailStanding,
});

export const changeEmail = endpoint({
  method: 'POST',
  transaction: 'own',
  path: '/v1/me/email',
  operationId: 'changeEmail',
  tag,
  access: 'signed-in',
  secondLook: true,
  status: 200,
  summary: 'Change your email address',
  description:
    'You sign in with it from now on. It is unproven until you open a link that was sent to it; links to the address ' +
    'before it work no longer. The answer does not say whether others name the same address.',
  body: z.strictObject({ email, presentPassphrase }),
  answer: emailStanding,
  problems: ['conflict', 'rule-broken', 'too-many-attempts'],
});

export const askEmailLink = endpoint({
  method: 'POST',
  transaction: 'own',
  path: '/v1/me/email-links',
  operationId: 'askEmailLink',
  tag,
  access: 'signed-in',
  status: 200,
  summary: 'Have a link sent to your email address, to show that mail reaches you',
  description:
    'Good once, for a day, and only while you are signed in to this account; an earlier link works no longer. The ' +
    'answer comes before the mail goes out: `link` of GET /v1/me/email says what became of it.',
  answer: emailStanding,
  problems: ['conflict', 'mail-not-offered', 'too-many-attempts'],
});

export const linkToken = z.string().min(1).max(200).describe('The token in the link');

export const proveEmail = endpoint({
  method: 'POST',
  transaction: 'own',
  path: '/v1/me/email-proofs',
  operationId: 'proveEmail',
  tag,
  access: 'signed-in',
  status: 200,
  summary: 'Prove your email address with the link that was sent to it',
  description: 'The page that the link opens does the same.',
  body: z.strictObject({ token: linkToken }),
  answer: emailStanding,
  problems: ['rule-broken', 'too-many-attempts'],
});
