import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { id, instantIn, instantOut, name, version } from '../../platform/wire/common.schema.js';
import { lastUsedFrom } from '../api-keys/api-key.schema.js';
import { PERSON_KEY_SCOPES } from '../../platform/wire/words.data.js';

const tag = 'Account';
const scopes = z
  .array(z.enum(PERSON_KEY_SCOPES))
  .min(1)
  .max(PERSON_KEY_SCOPES.length)
  .refine((list) => list.includes('read'), 'must include read: nothing else works without it')
  .describe('What the key may do; in each engagement, never more than its maker may do');

const personKey = z
  .object({
    id,
    name: z.string().describe('What the key is for, in a few words'),
    scopes,
    createdAt: instantOut,
    expiresAt: instantOut,
    revokedAt: instantOut.nullable(),
    lastUsedAt: instantOut.nullable(),
    lastUsedFrom,
    replacesId: id.describe('Id of the key that it replaces; null if it replaces none').nullable(),
    version,
  })
  .meta({ id: 'PersonKey', description: "A consultant's own key: good in every operation that engages its maker" });
const withSecret = personKey
  .extend({ secret: z.string().describe('The whole key; null in a repeated answer').nullable() })
  .meta({ id: 'NewPersonKey', description: 'A key of your own as it was made, with its secret' });
const params = z.object({ personKeyId: id });

export const createPersonKey = endpoint({
  method: 'POST',
  path: '/v1/me/api-keys',
  operationId: 'createPersonKey',
  tag,
  access: 'signed-in',
  secondLook: true,
  summary: 'Make a key of your own',
  description:
    'For a consultant: it reaches the operations that engage you as nutritionist, from the day of an engagement ' +
    'to its end. The secret is shown once.',
  body: z.strictObject({ name, scopes, expiresAt: instantIn.describe('At most two years ahead') }),
  answer: withSecret,
  versioned: true,
  creates: (key) => `/v1/me/api-keys/${key.id}`,
  keptForRepeats: (answer) => ({ ...answer, secret: null }),
});
export const listPersonKeys = endpoint({
  method: 'GET',
  path: '/v1/me/api-keys',
  operationId: 'listPersonKeys',
  tag,
  access: 'signed-in',
  summary: 'Your own keys',
  query: z.strictObject(pageQuery),
  answer: pageAnswer(personKey),
  paged: true,
});
export const getPersonKey = endpoint({
  method: 'GET',
  path: '/v1/me/api-keys/:personKeyId',
  operationId: 'getPersonKey',
  tag,
  access: 'signed-in',
  summary: 'One of your own keys',
  params,
  answer: personKey,
  versioned: true,
});
export const rotatePersonKey = endpoint({
  method: 'POST',
  path: '/v1/me/api-keys/:personKeyId/rotation',
  operationId: 'rotatePersonKey',
  tag,
  access: 'signed-in',
  secondLook: true,
  summary: 'Make a key that replaces this one',
  description: 'Both work until the older one ends after the overlap.',
  params,
  body: z.strictObject({
    overlapHours: z.number().int().min(0).max(168).default(24).describe('Hours for which the older key still works'),
    expiresAt: instantIn
      .optional()
      .describe('When the new key ends; left out, it lasts as long as the older one was made for'),
  }),
  answer: withSecret,
  versioned: true,
  creates: (key) => `/v1/me/api-keys/${key.id}`,
  keptForRepeats: (answer) => ({ ...answer, secret: null }),
});
export const revokePersonKey = endpoint({
  method: 'DELETE',
  path: '/v1/me/api-keys/:personKeyId',
  operationId: 'revokePersonKey',
  tag,
  access: 'signed-in',
  secondLook: true,
  status: 204,
  summary: 'Revoke one of your own keys at once',
  params,
  changes: true,
});
