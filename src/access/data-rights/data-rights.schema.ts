import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { registerWriters } from '../../platform/http/writers.js';
import { id, instantOut, operationParams, reason } from '../../platform/wire/common.schema.js';

const tag = 'Data rights';
export const WAIT_DAYS = 14;
export const CONFIRM_WITHIN_DAYS = 30;

export const exportOperation = endpoint({
  method: 'GET',
  transaction: 'own',
  path: '/v1/operations/:operationId/archive',
  operationId: 'exportOperation',
  tag,
  access: 'own',
  secondLook: true,
  summary: 'The whole operation as one archive',
  description:
    'gzip of UTF-8 lines, one JSON value each: a head, then ["table", row] for every record, then a closing ' +
    "line with the count, the SHA-256 of everything before it, and a seal: a line signed under this server's key, " +
    'which is not in the database. Secrets (passphrases, keys, tokens) are not in it. ' +
    '`npm run restore-operation` reads it into a server that does not have the operation, and takes it without ' +
    'further ado only where the seal is of that server and fits.',
  params: operationParams,
  answer: z.object({
    operationId: id,
    exportedAt: instantOut,
    records: z.number().int().describe('Number of records in the archive'),
    tables: z.array(
      z.object({
        table: z.string().describe('Name of the table in the archive'),
        records: z.number().int().describe('How many records of the table are in the archive'),
      }),
    ),
    sha256: z.string().describe('SHA-256 of the lines before the closing line'),
    seal: z
      .string()
      .describe(
        'The seal: operation, SHA-256, number of records, lines and last hash of the audit, when, the Ed25519 public ' +
          'key, then the signature (base64url) of all of that',
      ),
    content: z.string().describe('The archive, base64; as application/gzip (?format=gzip) the archive itself'),
  }),
  alsoAs: ['gzip'],
});
registerWriters(exportOperation, { gzip: (archive) => Buffer.from(archive.content, 'base64') });

const deletion = z
  .object({
    id,
    operationId: id,
    reason: z.string().describe('Why it was done, in the words of the person'),
    requestedBy: id,
    requestedAt: instantOut,
    confirmableFrom: instantOut.describe('Earliest moment at which it can be confirmed'),
    confirmableUntil: instantOut.describe(
      'Latest moment at which it can be confirmed; afterward it must be requested again',
    ),
  })
  .meta({ id: 'OperationDeletion', description: 'A request to delete an operation, waiting to be confirmed' });

export const requestDeletion = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/deletion',
  operationId: 'requestDeletion',
  tag,
  access: 'own',
  secondLook: true,
  summary: 'Ask for the operation to be deleted: the first of two steps',
  description:
    `Nothing happens yet: after ${WAIT_DAYS} days, and for ${CONFIRM_WITHIN_DAYS} days from then, an owner can ` +
    'confirm; until then any owner can cancel.',
  params: operationParams,
  body: z.strictObject({ name: z.string().describe('The exact name of the operation'), reason }),
  answer: deletion,
  creates: (_made, { operationId }) => `/v1/operations/${operationId}/deletion`,
});

export const getDeletion = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/deletion',
  operationId: 'getDeletion',
  tag,
  access: 'own',
  summary: 'The deletion that was asked for',
  params: operationParams,
  answer: deletion,
});

export const cancelDeletion = endpoint({
  method: 'DELETE',
  path: '/v1/operations/:operationId/deletion',
  operationId: 'cancelDeletion',
  tag,
  access: 'own',
  status: 204,
  summary: 'Cancel the deletion',
  params: operationParams,
});

const erased = z
  .object({
    operationId: id,
    name: z.string().describe('Name of the operation that was deleted'),
    requestedAt: instantOut,
    requestedBy: id,
    confirmedAt: instantOut,
    confirmedBy: id,
    records: z.number().int().describe('Number of records that were deleted'),
    auditLines: z.number().int().describe('Number of lines in its audit'),
    lastAuditHash: z.string().describe('Hash of the last line of its audit'),
  })
  .meta({ id: 'ErasedOperation', description: 'What is left of a deleted operation' });

export const confirmDeletion = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/deletion/confirmation',
  operationId: 'confirmDeletion',
  tag,
  access: 'own',
  secondLook: true,
  status: 200,
  summary: 'Delete the operation: the second step',
  description: 'Deletes every record of it at once and for good.',
  params: operationParams,
  body: z.strictObject({
    name: z.string().describe('The exact name of the operation'),
    understood: z
      .literal('every record is deleted for good')
      .describe('Type these words, to show that the effect is understood'),
  }),
  answer: erased,
  problems: ['deletion-not-ready'],
});

export const listErasedOperations = endpoint({
  method: 'GET',
  path: '/v1/me/erased-operations',
  operationId: 'listErasedOperations',
  tag,
  access: 'signed-in',
  summary: 'Deleted operations whose deletion you requested or confirmed',
  query: z.strictObject(pageQuery),
  answer: pageAnswer(erased),
  paged: true,
});
