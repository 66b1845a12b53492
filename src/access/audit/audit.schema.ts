import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { figure, text } from '../../platform/http/columns.js';
import { endpoint, type Table } from '../../platform/http/endpoint.js';
import { id, instantIn, instantOut, operationParams, wholeNumber } from '../../platform/wire/common.schema.js';
import { emailNoteOut } from '../../platform/wire/unproven-address.schema.js';

const tag = 'Audit';

const entry = z
  .object({
    sequence: z.number().int().describe('Position in the chain, counted from 1'),
    recordedAt: z.string().describe('When it was recorded, to the microsecond, UTC'),
    personId: id.describe('Id of the person who did it; null if not known').nullable(),
    person: z.string().describe('Name of the person').nullable(),
    personNote: emailNoteOut,
    apiKeyId: id.describe('Key that was used; null if a person was signed in').nullable(),
    requestId: z.string().describe('Id of the request'),
    address: z.string().describe('Network address that the request came from; null if not known'),
    action: z.string().describe('What was done, by its code'),
    subjectKind: z.string().describe('Kind of record that was acted on'),
    subjectId: id.describe('Record that was acted on; null where there is none').nullable(),
    before: z.unknown().describe('The record before the change; null where it was created').nullable(),
    after: z.unknown().describe('The record after the change; null where it was removed').nullable(),
    chainHash: z.string().describe('SHA-256 over this line and the hash before it'),
  })
  .meta({ id: 'AuditEntry', description: 'One line of the audit; never changed' });

const filters = {
  from: instantIn.optional().describe('Only what was recorded at or after this instant'),
  until: instantIn.optional().describe('Only what was recorded before this instant'),
  personId: id.optional().describe('Only what this person did'),
  apiKeyId: id.optional().describe('Only what was done with this key'),
  action: z
    .string()
    .regex(/^[a-z-]+(\.[a-z-]+)?$/, 'must be an action such as herd.create')
    .max(60)
    .optional()
    .describe('Only this action, or all actions on a kind of record: herd.create, or herd'),
  subjectId: id.optional().describe('Only what was done to this record'),
};

type Entry = z.output<typeof entry>;
const table = ({ items }: { items: Entry[] }): Table => ({
  columns: [
    figure('sequence'),
    text('recordedAt'),
    text('personId'),
    text('person'),
    text('apiKeyId'),
    text('requestId'),
    text('address'),
    text('action'),
    text('subjectKind'),
    text('subjectId'),
    text('before'),
    text('after'),
    text('chainHash'),
    text('personNote'),
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
    asJson(one.before),
    asJson(one.after),
    one.chainHash,
    one.personNote,
  ]),
});
const asJson = (value: unknown): string | null =>
  value === null || value === undefined ? null : JSON.stringify(value);

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

/** How to check an export of either kind without this program; a test follows these steps. */
const RECIPE =
  'To check it: chainHash of each line is the SHA-256 (hex) of the UTF-8 text of one JSON array: the chainHash ' +
  "of the line before (an empty text for the first), the operation's id, sequence, " +
  'recordedAt without its Z, personId, apiKeyId, requestId, address, action, subjectKind, subjectId, before, ' +
  'after; what is missing is null. The text has ", " between elements and ": " after keys, and the keys of each ' +
  'object in order of their length in bytes, equal ones by their bytes.';

export const exportAudit = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/audit/export',
  operationId: 'exportAudit',
  inThread: 'long-audit',
  tag,
  access: 'own',
  summary: 'The audit as one file, oldest first',
  description: `At most ${EXPORT_MOST} lines; \`moreAfter\` says where to continue. ${RECIPE}`,
  params: operationParams,
  query: z.strictObject({
    ...filters,
    after: wholeNumber(0).prefault(0).describe('Only lines after this position in the chain'),
  }),
  answer: z.object({
    items: z.array(entry),
    moreAfter: z.number().int().describe('Ask again with after set to this; null if that was all').nullable(),
  }),
  table,
});

export const verifyAudit = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/audit/verification',
  operationId: 'verifyAudit',
  tag,
  access: 'own',
  summary: 'Check that the chain is unbroken',
  description:
    'Computes every link again and shows where a line was changed, removed or added. Whoever holds the database can ' +
    'still cut the chain off, or compute it all anew. So keep the line `signedHead` elsewhere (print it, mail it to ' +
    'yourself) and send it as `keptHead` later: the chain must still hold what was signed then. The line names the ' +
    'operation, how many lines there were, the last hash, the moment and the Ed25519 public key, then the signature ' +
    '(base64url) of all of that.',
  params: operationParams,
  query: z.strictObject({
    keptHead: z.string().max(400).optional().describe('A line `signedHead` that you kept, to be compared'),
  }),
  answer: z.object({
    holds: z.boolean().describe('True if every link is what it must be'),
    lines: z.number().int().describe('Number of lines in the chain'),
    firstBreak: z.number().int().describe('Position of the first line that does not fit; null if all fit').nullable(),
    lastHash: z.string().describe('Hash of the last line; null if there are no lines').nullable(),
    signedHead: z
      .string()
      .describe('How far the chain goes, signed under a key outside the database; null if it does not hold')
      .nullable(),
    restored: z
      .array(
        z.object({
          sequence: z.number().int().describe('Its line in the audit'),
          recordedAt: z.string().describe('When it was restored, to the microsecond, UTC'),
          seal: z
            .enum(['this-server', 'another-server', 'none'])
            .describe(
              "What vouched for the archive: this server's seal, that of another server whose key its keeper named, " +
                'or nothing',
            ),
          publicKey: z.string().describe('Key that the seal named; null where there was no seal').nullable(),
          sha256: z.string().describe('SHA-256 that the archive states'),
          exportedAt: z.string().describe('When the archive was made, as it says itself'),
          by: z.string().describe('Account on the machine that restored it; null if not known').nullable(),
          auditLines: z.number().int().describe('Number of lines of audit that came with it'),
          gaveUp: z.boolean().describe('True if lines signed later were given up, as its keeper said'),
        }),
      )
      .describe('From which archives the operation was brought back to a server, each for ever'),
    keptHead: z
      .enum(['holds', 'cut-off', 'rewritten', 'not-ours'])
      .describe(
        'What became of the head that you kept: holds, the chain holds it still; cut-off, its line is gone; ' +
          "rewritten, another line is in its place; not-ours, not signed under this server's key for this operation. " +
          'What a restore gave up is cut-off or rewritten',
      )
      .nullable(),
  }),
});

const denied = z
  .object({
    id,
    endpoint: z
      .string()
      .describe(
        'Endpoint that was tried (for unknown callers, the first tried from that address); more-of-this-hour ' +
          'where the ' +
          'hour had too many kinds to record each',
      ),
    code: z.string().describe('Why it was turned away'),
    personId: id.describe('Person who tried; null if not known').nullable(),
    apiKeyId: id.describe('Key that was used; null if a person was signed in').nullable(),
    address: z.string().describe('Network address; empty where many are counted together'),
    requestId: z.string().describe('Id of the first request'),
    firstAt: instantOut,
    lastAt: instantOut,
    attempts: z.number().int().describe('Number of attempts in this hour; 1000 means that many or more'),
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
    'Everything answered 401 or 403 in this operation or for one of its keys, requests of strangers to whom it ' +
    'does not exist, sign-ins, renewals and recoveries of members that failed, wrong passphrases in an open ' +
    'session. Counted by hour.',
  params: operationParams,
  query: z.strictObject(pageQuery),
  answer: pageAnswer(denied),
  paged: true,
  table: ({ items }) => ({
    columns: [
      text('firstAt'),
      text('lastAt'),
      figure('attempts'),
      text('endpoint'),
      text('code'),
      text('personId'),
      text('apiKeyId'),
      text('address'),
      text('requestId'),
    ],
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
