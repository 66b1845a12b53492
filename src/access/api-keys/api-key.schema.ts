import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { id, instantIn, instantOut, name, operationParams, version } from '../../platform/wire/common.schema.js';
import { KEY_SCOPES } from '../../platform/wire/words.data.js';

/** What a key can be allowed to do; never more than its maker may do. */
const scopes = z
  .array(z.enum(KEY_SCOPES))
  .min(1)
  .max(KEY_SCOPES.length)
  .refine((list) => list.includes('read'), 'must include read: nothing else works without it')
  .describe('What the key may do, always including read; never more than its maker may do');

export const lastUsedFrom = z
  .string()
  .describe('Network address that it was last used from; null if it was never used')
  .nullable();

const apiKey = z
  .object({
    id,
    name: z.string().describe('What the key is for, in a few words'),
    scopes,
    createdBy: id,
    createdAt: instantOut,
    expiresAt: instantOut,
    revokedAt: instantOut.nullable(),
    lastUsedAt: instantOut.nullable(),
    lastUsedFrom,
    replacesId: id.describe('Id of the key that it replaces; null if it replaces none').nullable(),
    version,
  })
  .meta({ id: 'ApiKey', description: 'A key for scheduled pulls; its secret is shown once and kept only as a hash' });

const newKey = apiKey
  .extend({ secret: z.string().describe('The whole key; null in a repeated answer').nullable() })
  .meta({ id: 'NewApiKey', description: 'A key as it was made, with its secret' });

const params = operationParams.extend({ apiKeyId: id });

export const createApiKey = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/api-keys',
  operationId: 'createApiKey',
  tag: 'Access',
  access: 'read',
  secondLook: true,
  summary: 'Make an API key',
  description:
    'The secret is given in this one answer and nowhere else: a repeat with the same Idempotency-Key answers with ' +
    '`secret` null.',
  params: operationParams,
  body: z.strictObject({ name, scopes, expiresAt: instantIn.describe('At most two years ahead') }),
  answer: newKey,
  creates: (key, { operationId }) => `/v1/operations/${operationId}/api-keys/${key.id}`,
  versioned: true,
  problems: ['rule-broken'],
  keptForRepeats: (answer) => ({ ...answer, secret: null }),
});

export const listApiKeys = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/api-keys',
  operationId: 'listApiKeys',
  tag: 'Access',
  access: 'read',
  summary: 'API keys: your own, or all of them for an owner',
  params: operationParams,
  query: z.strictObject(pageQuery),
  answer: pageAnswer(apiKey),
  paged: true,
});

export const getApiKey = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/api-keys/:apiKeyId',
  operationId: 'getApiKey',
  tag: 'Access',
  access: 'read',
  summary: 'One API key',
  params,
  answer: apiKey,
  versioned: true,
});

export const rotateApiKey = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/api-keys/:apiKeyId/rotation',
  operationId: 'rotateApiKey',
  tag: 'Access',
  access: 'read',
  secondLook: true,
  summary: 'Make a key that replaces this one',
  description:
    'Name and scopes stay the same. Both keys work until the older one ends after the overlap, so that a scheduled ' +
    'pull can be moved over. Only its maker can rotate a key.',
  params,
  body: z.strictObject({
    overlapHours: z.number().int().min(0).max(168).default(24).describe('Hours for which the older key still works'),
    expiresAt: instantIn
      .optional()
      .describe('When the new key ends; left out, it lasts as long as the older one was made for'),
  }),
  answer: newKey,
  creates: (key, { operationId }) => `/v1/operations/${operationId}/api-keys/${key.id}`,
  versioned: true,
  keptForRepeats: (answer) => ({ ...answer, secret: null }),
});

export const revokeApiKey = endpoint({
  method: 'DELETE',
  path: '/v1/operations/:operationId/api-keys/:apiKeyId',
  operationId: 'revokeApiKey',
  tag: 'Access',
  access: 'read',
  secondLook: true,
  summary: 'Revoke an API key at once',
  params,
  status: 204,
  changes: true,
});
