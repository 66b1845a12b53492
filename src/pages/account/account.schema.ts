import { z } from 'zod';
import { emailStanding, linkToken } from '../../access/email/email.schema.js';
import { endpoint } from '../../platform/http/endpoint.js';

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

export const accountPage = endpoint({
  ...get,
  path: '/yard/account',
  operationId: 'accountPage',
  summary: 'Your own account: email address',
  answer: z.object({ standing: emailStanding }),
  alsoAs: ['html'],
});

export const askEmailLinkByForm = endpoint({
  ...form,
  path: '/yard/account/email-links',
  operationId: 'askEmailLinkByForm',
  summary: 'Have a link sent to your email address',
  body: z.strictObject({}),
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
