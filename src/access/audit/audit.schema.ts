import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint, type Table } from '../../platform/http/endpoint.js';
import { id, instantIn, instantOut, operationParams } from '../../platform/wire/common.schema.js';

const tag = 'Audit';

const entry = z
  .object({
    sequence: z.number().int().describe('Place in the chain, from 1'),
    recordedAt: z.string().describe('When, to the microsecond, UTC'),
    personId: id.describe('Who; null where it was nobody known').nullable(),
    person: z.string().describe('Name of the person').nullable(),
    apiKeyId: id.describe('Key that was used; null if a person was signed in').nullable(),
    requestId: z.string().describe('In which request'),
    address: z.string().describe('Network address that the request came from; null if not known'),
    action: z.string().describe('What was done, by its code'),
    subjectKind: z.string().describe('To what sort of thing'),
    subjectId: id.describe('Record that was acted on; null where there is none').nullable(),
    before: z.unknown().describe('The record before the act; null where it began').nullable(),
    after: z.unknown().describe('The record after the act; null where it ended').nullable(),
    chainHash: z.string().describe('SHA-256 over this line and the hash before it'),
  })
  .meta({ id: 'AuditEntry', description: 'One line of the audit; never changed' });

const filters = {
  from: instantIn.optional().describe('Recorded at or after'),
  until: instantIn.optional().describe('Only what was recorded before this instant'),
  personId: id.optional().describe('Only what this person did'),
  apiKeyId: id.optional().describe('Only what was done with this key'),
  action: z
    .string()
    .regex(/^[a-z-]+(\.[a-z-]+)?$/, 'must be an action such as herd.create')
    .max(60)
    .optional()
    .describe('This action, or all of a kind: herd or herd.create'),
  subjectId: id.optional().describe('About this record'),
};

type Entry = z.output<typeof entry>;
const table = ({ items }: { items: Entry[] }): Table => ({
  columns: [
    'sequence',
    'recordedAt',
    'personId',
    'person',
    'apiKeyId',
    'requestId',
    'address',
    'action',
    'subjectKind',
    'subjectId',
    'before',
    'after',
    'chainHash',
  ],
  rows: items.map((one) => [
    String(one.sequence),
    one.recordedAt,
    one.personId,
    one.person,
    one.apiKeyId,
    one.requestId,
    one.address,
    one.action,
    one.subjectKind,
    one.subjectId,
    text(one.before),
    text(one.after),
    one.chainHash,
  ]),
});
const text = (value: unknown): string | null => (value === null || value === undefined ? null : JSON.stringify(value));

export const listAudit = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/audit',
  operationId: 'listAudit',
  tag,
  access: 'own',
  summary: 'The audit, newest first',
  description: 'Every change, every denied attempt: who, by which key, when, from where, before and after.',
  params: operationParams,
  query: z.strictObject({ ...pageQuery, ...filters }),
  answer: pageAnswer(entry),
  paged: true,
  table,
});

export const EXPORT_MOST = 10_000;

/** How somebody checks an export, of either form, without this program; a test does it by these words. */
const RECIPE =
  'To check it: chainHash of each line is the SHA-256 (hex) of the UTF-8 text of one JSON array: the chainHash ' +
  "of the line before (an empty text for the first), the operation's id, sequence, " +
  'recordedAt without its Z, personId, apiKeyId, requestId, address, action, subjectKind, subjectId, before, ' +
  'after; what is absent is null. The text has ", " between elements and ": " after keys, and the keys of each ' +
  'object in order of their length in bytes, equal ones by their bytes.';

export const exportAudit = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/audit/export',
  operationId: 'exportAudit',
  tag,
  access: 'own',
  summary: 'The audit as one file, oldest first',
  description: `At most ${EXPORT_MOST} lines; \`moreAfter\` says where to go on. ${RECIPE}`,
  params: operationParams,
  query: z.strictObject({
    ...filters,
    after: z.coerce.number().int().min(0).default(0).describe('Only lines after this place in the chain'),
  }),
  answer: z.object({
    items: z.array(entry),
    moreAfter: z.number().int().describe('Ask again with after=this; null: that was all').nullable(),
  }),
  table,
});

export const verifyAudit = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/audit/verification',
  operationId: 'verifyAudit',
  tag,
  access: 'own',
  summary: 'Does the chain hold?',
  description:
    'Computes every link again. A line changed, taken out or put in shows, and where. The last hash, kept ' +
    'elsewhere, shows a chain that was cut at its end.',
  params: operationParams,
  answer: z.object({
    holds: z.boolean().describe('True if every link is what it must be'),
    lines: z.number().int().describe('Lines in the chain'),
    firstBreak: z.number().int().describe('Place of the first line that does not fit').nullable(),
    lastHash: z.string().describe('Hash of the last line: keep it elsewhere').nullable(),
  }),
});

const denied = z
  .object({
    id,
    endpoint: z
      .string()
      .describe(
        'Which endpoint (of nobody known: the first that was tried from there); more-of-this-hour where the ' +
          'hour held too many kinds to write each',
      ),
    code: z.string().describe('Why it was turned away'),
    personId: id.describe('Person who tried; null if not known').nullable(),
    apiKeyId: id.describe('Key that was used; null if a person was signed in').nullable(),
    address: z.string().describe('From where; empty where many are counted together'),
    requestId: z.string().describe('The first request'),
    firstAt: instantOut,
    lastAt: instantOut,
    attempts: z.number().int().describe('How often in this hour; 1000 means that many or more'),
  })
  .meta({ id: 'DeniedAttempt', description: 'Equal attempts of one hour that were turned away' });

export const listDeniedAttempts = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/denied-attempts',
  operationId: 'listDeniedAttempts',
  tag,
  access: 'own',
  summary: 'Attempts that were turned away, newest first',
  description:
    'Whatever was answered 401 or 403 in this operation or by a key of it, requests of strangers to whom it ' +
    'does not exist, sign-ins, renewals and recoveries of members that failed, wrong passphrases in an open ' +
    'session. Counted by hour.',
  params: operationParams,
  query: z.strictObject(pageQuery),
  answer: pageAnswer(denied),
  paged: true,
  table: ({ items }) => ({
    columns: ['firstAt', 'lastAt', 'attempts', 'endpoint', 'code', 'personId', 'apiKeyId', 'address', 'requestId'],
    rows: items.map((one) => [
      one.firstAt,
      one.lastAt,
      String(one.attempts),
      one.endpoint,
      one.code,
      one.personId,
      one.apiKeyId,
      one.address,
      one.requestId,
    ]),
  }),
});
