import { z } from 'zod';
import { endpoint } from '../../platform/http/endpoint.js';
import { id, instantOut } from '../../platform/wire/common.schema.js';
import { emailNoteOut, emailProvenOut } from '../../platform/wire/unproven-address.schema.js';
import { SESSION_DAYS } from './tokens.js';

export const email = z
  .string()
  .trim()
  .toLowerCase()
  .max(254)
  .pipe(z.email())
  .describe('Email address that the person signs in with');

export const oneTimeCode = z
  .string()
  .regex(/^\d{6}$/, 'must be six digits')
  .describe('The current code of your generator');
export const recoveryCode = z.string().min(20).max(40).describe('One of the ten recovery codes; good for one use');

const personOut = z
  .object({
    id,
    name: z.string().describe('Name of the person, as it is shown to others'),
    email: z.string().describe('Email address that the person signs in with'),
    emailProven: emailProvenOut,
    emailNote: emailNoteOut,
  })
  .meta({ id: 'Person', description: 'A person who signs in' });

export const session = z
  .object({
    tokenType: z.literal('Bearer').describe('How the access token is sent: Authorization: Bearer …'),
    accessToken: z.string().describe('Access token, to be sent with every request'),
    accessExpiresAt: instantOut,
    refreshToken: z.string().describe('Refresh token; good once, for a new pair'),
    refreshExpiresAt: instantOut,
    device: z
      .string()
      .describe(
        'Mark of this device, to be kept and sent with the next sign-in, so that guesses of others at the account do ' +
          'not slow that. It opens nothing',
      ),
    person: personOut,
  })
  .meta({ id: 'Session', description: 'A pair of tokens for a person' });

export const signIn = endpoint({
  method: 'POST',
  path: '/v1/sign-in',
  operationId: 'signIn',
  tag: 'Access',
  access: 'public',
  status: 200,
  summary: 'Sign in with email and passphrase',
  description:
    'An account that many addresses guess at is slowed, but neither where its person signed in lately nor with the ' +
    '`device` of an earlier session of theirs. ' +
    'Limited for each pair of email and address, and for each address, so that nobody can lock another person out.',
  body: z.strictObject({
    email,
    passphrase: z.string().min(1).max(256).describe('Passphrase of the person, kept as a hash'),
    oneTimeCode: oneTimeCode.optional(),
    recoveryCode: recoveryCode.optional().describe('An unused recovery code, where the generator is lost'),
    device: z.string().max(200).optional().describe('The `device` of an earlier session on this device'),
  }),
  answer: session,
  problems: ['sign-in-failed', 'second-factor-needed', 'second-factor-unreadable', 'too-many-attempts'],
});

export const refresh = endpoint({
  method: 'POST',
  path: '/v1/token-refresh',
  operationId: 'refreshTokens',
  tag: 'Access',
  access: 'public',
  status: 200,
  summary: 'Trade a refresh token for a new pair',
  description:
    'A refresh token works once. One that is used a second time ends its whole session. However often it is renewed, ' +
    `a session ends ${SESSION_DAYS} days after signing in.`,
  body: z.strictObject({ refreshToken: z.string().min(1).max(200).describe('The refresh token of the latest pair') }),
  answer: session,
  problems: ['refresh-failed'],
});

export const signOut = endpoint({
  method: 'POST',
  transaction: 'own',
  path: '/v1/sign-out',
  operationId: 'signOut',
  tag: 'Access',
  access: 'signed-in',
  status: 204,
  summary: 'End this session, or all of your sessions',
  body: z.strictObject({
    everywhere: z.boolean().default(false).describe('True to end every session of yours'),
    endKeys: z.boolean().default(false).describe('True to end every key that you made, in every operation, as well'),
  }),
});

export const me = endpoint({
  method: 'GET',
  path: '/v1/me',
  operationId: 'getMe',
  tag: 'Access',
  access: 'signed-in',
  summary: 'Who am I, and where do I belong?',
  answer: z.object({
    person: personOut,
    notices: z
      .number()
      .int()
      .describe('Events of the last 7 days on your account that you should look at in /v1/me/activity; 0 to a key'),
    memberships: z.array(
      z.object({
        operationId: id,
        operation: z.string().describe('Name of the operation'),
        role: z.string().describe('Role of the person in the operation'),
        seesPrices: z
          .boolean()
          .describe('Whether money is shown to whoever sent this request: to a key only with the scope prices'),
      }),
    ),
    withheld: z
      .array(
        z.object({
          operationId: id,
          missing: z
            .enum(['second-factor', 'second-look', 'newer-key'])
            .describe('What to do: set up one-time codes, take a second look, or rotate the key'),
        }),
      )
      .describe('Operations of yours that stay closed until you have what their owners ask for'),
  }),
});
