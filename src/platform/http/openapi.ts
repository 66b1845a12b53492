import { z } from 'zod';
import {
  createDocument,
  type ZodOpenApiContentObject,
  type ZodOpenApiOperationObject,
  type ZodOpenApiResponseObject,
  type ZodOpenApiResponsesObject,
} from 'zod-openapi';
import { type AnyEndpoint, type Form, formsOf, MEDIA_TYPES, statusOf } from './endpoint.js';
import { withExamples } from './examples.js';
import { hasHead } from './file-head.js';
import { TAGS } from './tags.data.js';
import { withoutRepetition } from './openapi-references.js';
import { PROBLEM_CODES, PROBLEMS, type ProblemCode } from './problem-catalogue.js';
import { isReport, isRevalidated } from './revalidation.js';
import { withSharedShapes } from './shared-shapes.js';
import { SECOND_LOOK_MINUTES } from './second-look.js';
import { WEBHOOK_MESSAGES, type WebhookMessage } from './webhook-message.js';

const problem = z
  .object({
    type: z.string().describe('Where the problem is explained: /problems/<code>'),
    title: z.string().describe('Title, the same for every problem of this type'),
    status: z.number().int().describe('The HTTP status of this answer'),
    detail: z.string().describe('What is wrong in this case'),
    instance: z.string().describe('The path of the request'),
    requestId: z.string().describe('Id of the request, to quote when reporting the problem'),
    errors: z
      .array(
        z.object({
          pointer: z.string().optional().describe('JSON Pointer into the body'),
          parameter: z.string().optional().describe('Name of a path, query or header field'),
          code: z.string().describe('What is wrong, by its code'),
          given: z.unknown().optional().describe('What the request gave in this field'),
          allowed: z.string().describe('What is allowed in this field'),
          message: z.string().describe('The same in a sentence'),
          usual: z.string().optional().describe('To be confirmed: what would not have been asked about'),
          source: z.string().optional().describe('To be confirmed: where the usual range comes from'),
        }),
      )
      .optional()
      .describe('One entry for each field that cannot be used; the first 50 of them, if there are more'),
  })
  .meta({ id: 'Problem', description: 'RFC 9457 problem details' });

/** The API description (OpenAPI 3.1), made from the endpoints' own schemas. */
export function buildOpenApi(
  endpoints: readonly AnyEndpoint[],
  versionOfApi: string,
): ReturnType<typeof createDocument> {
  const paths: Record<string, Record<string, ZodOpenApiOperationObject>> = {};
  const problemResponses: Record<string, ZodOpenApiResponseObject> = {};
  const shared = new SharedAnswers(endpoints);
  for (const one of endpoints) {
    const path = one.path.replaceAll(/:([A-Za-z]+)/g, '{$1}');
    (paths[path] ??= {})[one.method.toLowerCase()] = operationOf(one, shared, problemResponses);
  }
  const document = createDocument({
    openapi: '3.1.0',
    info: {
      title: 'Rickyard',
      version: versionOfApi,
      description:
        'Records, rations, trials and accounts of hay-fed beef herds.\n\n' +
        'Every quantity carries its unit; amounts are decimal text. Figures read back digit for digit as typed. ' +
        'Lists are paged by cursor (Link header). Requests that create carry an Idempotency-Key, changes an ' +
        'If-Match. ' +
        'Errors are application/problem+json (RFC 9457), explained at /problems.\n\n' +
        'Figures about feeding are aids to judgment and defer to a veterinarian, a licensed nutritionist, the ' +
        'lab and local codes.',
    },
    servers: [{ url: '/', description: 'The server that this description was read from' }],
    // Sorted by name, so that the order in which modules load does not matter.
    tags: [...new Set(endpoints.map((one) => one.tag))].sort().map((name) => ({ name, description: TAGS[name] ?? '' })),
    components: {
      securitySchemes: {
        bearer: {
          type: 'http',
          scheme: 'bearer',
          description: 'An access token (rya_…) from /v1/sign-in, or an API key (ryk_…)',
        },
      },
      schemas: { Problem: problem },
      responses: problemResponses,
    },
    paths,
    webhooks: Object.fromEntries(WEBHOOK_MESSAGES.map((one) => [one.kind, { post: messageOf(one) }])),
  });
  const bodies = new Map(endpoints.map((one) => [one.operationId, one.body]));
  const takes = (name: string, body: unknown): boolean => bodies.get(name)?.safeParse(body).success === true;
  return withExamples(withSharedShapes(withoutRepetition(document)), takes);
}

/**
 * The schema as a component, under its own name or else the one given. Bodies and answers are named for their
 * operation, so that a generated client has one type for each and none twice.
 */
function component(schema: z.ZodType, name: string): z.ZodType {
  const known = z.globalRegistry.get(schema);
  if (known?.id !== undefined) return schema;
  const made = COMPONENTS.get(schema) ?? schema.meta({ ...known, id: name });
  COMPONENTS.set(schema, made);
  return made;
}
const COMPONENTS = new WeakMap<z.ZodType, z.ZodType>();

const pascal = (name: string): string => name.charAt(0).toUpperCase() + name.slice(1);
const bodyName = (one: AnyEndpoint): string => `${pascal(one.operationId)}Request`;
const answerName = (one: AnyEndpoint): string => `${pascal(one.operationId)}Response`;

type ProblemResponses = Record<string, ZodOpenApiResponseObject>;

function operationOf(
  one: AnyEndpoint,
  shared: SharedAnswers,
  problemResponses: ProblemResponses,
): ZodOpenApiOperationObject {
  const header: Record<string, z.ZodType> = {};
  if (one.creates !== undefined || one.onlyOnce === true) header['Idempotency-Key'] = REQUEST_HEADERS.idempotencyKey;
  if (one.changes === true) header['If-Match'] = REQUEST_HEADERS.ifMatch;
  const forms = formsOf(one);
  const query = forms.length === 1 ? one.query : withFormat(one, forms);
  return {
    operationId: one.operationId,
    tags: [one.tag],
    summary: one.summary,
    description: [one.description, one.register === undefined ? undefined : REGISTER_WORDS, accessText(one)]
      .filter((text) => text !== undefined)
      .join(' '),
    security: one.access === 'public' ? [] : [{ bearer: [] }],
    requestParams: {
      ...(one.params === undefined ? {} : { path: one.params as z.ZodObject }),
      ...(query === undefined ? {} : { query: query as z.ZodObject }),
      ...(Object.keys(header).length === 0 ? {} : { header: z.object(header) }),
    },
    ...(one.body === undefined ? {} : { requestBody: { required: true, content: bodyOf(one, one.body) } }),
    responses: { ...successOf(one, shared), ...problemRefs(one, problemResponses) },
  };
}

/** What a receiver gets and should answer (Standard Webhooks 1.0.0). */
function messageOf({ kind, summary, body }: WebhookMessage): ZodOpenApiOperationObject {
  const name = kind.split(/[._]/).map(pascal).join('');
  return {
    operationId: `receive${name}`,
    tags: ['Webhooks'],
    summary,
    requestParams: { header: z.object(MESSAGE_HEADERS) },
    requestBody: {
      required: true,
      content: { 'application/json': { schema: body.meta({ id: `${name}Message`, description: summary }) } },
    },
    responses: {
      '2XX': { description: 'Taken. Anything else, or nothing within 15 seconds, has it sent again' },
      '410': { description: 'No more messages are wanted: the webhook ends' },
    },
  };
}

const MESSAGE_HEADERS = {
  'webhook-id': z.string().describe('Of the message; the same in every attempt'),
  'webhook-timestamp': z.string().describe('When this attempt was sent, in seconds since 1970'),
  'webhook-signature': z
    .string()
    .describe('v1, and the HMAC-SHA256 of id.timestamp.body in base64; of two secrets with a blank between'),
};

const REQUEST_HEADERS = {
  idempotencyKey: z.string().min(1).max(255).meta({
    id: 'IdempotencyKey',
    description:
      'A quoted string of your own making; for 48 hours the same key with the same body is answered, not done again',
  }),
  ifMatch: z.string().meta({ id: 'VersionTag', description: 'The ETag of the version that the change is based on' }),
};

const REGISTER_WORDS =
  'As CSV or XLSX it is the whole list, without `limit` and `cursor`: one snapshot, CSV sent as it is read.';

function withFormat(one: AnyEndpoint, forms: readonly Form[]): z.ZodObject {
  const base = (one.query as z.ZodObject | undefined) ?? z.object({});
  return z.object({
    ...base.shape,
    format: z
      .enum(forms)
      .optional()
      .describe(`Form of the answer: ${forms.join(', ')}; the Accept header does the same`),
    ...(hasHead(one) ? { head: HEAD } : {}),
  });
}

const HEAD = z
  .enum(['yes', 'no'])
  .default('yes')
  .meta({
    description:
      'Whether a file says whose it is, of which days, how it was made and what its SHA-256 is: in CSV in rows that ' +
      'begin with #, in a workbook on a second sheet',
  });

const FORM_WORDS: Readonly<Record<Form, string>> = {
  json: 'JSON',
  csv: 'RFC 4180, one header row; rows that begin with # are comments',
  xlsx: 'The same table as a workbook',
  html: 'A page to read or print',
  pdf: 'The printed page',
  svg: 'A picture',
  gzip: 'One line of JSON for each record, compressed',
  beancount: 'Double entry in plain text (beancount.github.io/docs/beancount_language_syntax.html)',
};

function accessText(one: AnyEndpoint): string {
  if (one.access === 'public') return 'Open to anybody.';
  const who =
    one.access === 'signed-in' ? 'For anybody signed in.' : `Needs the permission \`${one.access}\` in the operation.`;
  return one.secondLook === true
    ? `${who} In person, within ${SECOND_LOOK_MINUTES} minutes of signing in or of POST /v1/me/second-look.`
    : who;
}

const WORKBOOK =
  'A workbook (.xlsx), at most 8 MiB and 64 MiB unpacked: the sheet that names the most columns, with the values ' +
  'that were last saved; formulas are not worked out.';

function bodyOf(one: AnyEndpoint, body: z.ZodType): ZodOpenApiContentObject {
  if (one.bodyType !== undefined)
    return {
      [one.bodyType]: { schema: body },
      ...(one.workbookToo === true
        ? { [MEDIA_TYPES.xlsx]: { schema: { type: 'string' as const, format: 'binary', description: WORKBOOK } } }
        : {}),
    };
  return { 'application/json': { schema: component(body, bodyName(one)) } };
}

function successOf(one: AnyEndpoint, shared: SharedAnswers): ZodOpenApiResponsesObject {
  return {
    [String(statusOf(one))]: shared.of(one),
    ...(isRevalidated(one) ? { '304': UNCHANGED } : {}),
  };
}

/**
 * Successful answers that several operations have alike. Each is a component, named for what it holds, so that neither
 * the description nor a generated client spells it out at every address.
 */
class SharedAnswers {
  readonly #uses = new Map<string, number>();
  readonly #made = new Map<string, ZodOpenApiResponseObject>();

  constructor(endpoints: readonly AnyEndpoint[]) {
    for (const name of endpoints.map(answerPartName)) this.#uses.set(name, (this.#uses.get(name) ?? 0) + 1);
  }

  of(one: AnyEndpoint): ZodOpenApiResponseObject {
    const headers = headersOf(one);
    const content = contentOf(one);
    const alone = {
      description: content === undefined ? 'Done; the answer has no body' : `Success: ${one.summary}`,
      ...(content === undefined ? {} : { content }),
      ...(Object.keys(headers).length === 0 ? {} : { headers: z.object(headers) }),
    };
    const name = answerPartName(one);
    if (this.#uses.get(name) === 1) return alone;
    const words = one.answer === undefined ? undefined : z.globalRegistry.get(one.answer)?.description;
    const made = this.#made.get(name) ?? {
      ...alone,
      id: name,
      ...(content === undefined ? {} : { description: words === undefined ? 'Success' : `Success: ${words}` }),
    };
    this.#made.set(name, made);
    return made;
  }
}

/** What the answer is, with which headers and in which forms. */
function answerPartName(one: AnyEndpoint): string {
  const status = statusOf(one);
  if (one.answer === undefined) return status === 204 ? 'Done' : `Done${status}`;
  const headers = headersOf(one);
  return [
    z.globalRegistry.get(component(one.answer, answerName(one)))?.id,
    'Location' in headers ? 'Created' : status === 200 ? '' : String(status),
    'ETag' in headers ? 'Tagged' : '',
    ...formsOf(one)
      .filter((form) => form !== 'json')
      .map(pascal),
  ].join('');
}

const UNCHANGED = { id: 'Unchanged', description: 'Unchanged since what If-None-Match names' };

/** Headers of an answer. One that always comes is described once, among the components. */
const ANSWER_HEADERS = {
  etag: z
    .string()
    .meta({ header: { id: 'ETag' }, description: 'A strong validator: send it back in If-Match or If-None-Match' }),
  location: z.string().meta({ header: { id: 'Location' }, description: 'The address of the new record' }),
  link: z
    .string()
    .optional()
    .meta({ header: { id: 'Link' }, description: 'RFC 8288: rel="next" where there is a next page' }),
};

function headersOf(one: AnyEndpoint): Record<string, z.ZodType> {
  return {
    ...(one.versioned === true || isReport(one) ? { ETag: ANSWER_HEADERS.etag } : {}),
    ...(one.creates !== undefined ? { Location: ANSWER_HEADERS.location } : {}),
    ...(one.paged === true ? { Link: ANSWER_HEADERS.link } : {}),
  };
}

/**
 * The other forms are made from the same answer and are described by its schema. A generated client then has one type
 * for the answer, the one it parses; if each form were a string, every report would be typed "this answer or a string"
 * and no field of it could be read.
 */
function contentOf(one: AnyEndpoint): ZodOpenApiContentObject | undefined {
  if (one.answer === undefined) return undefined;
  const answer = component(one.answer, answerName(one));
  return Object.fromEntries(
    formsOf(one).map((form) => [
      MEDIA_TYPES[form],
      { schema: form === 'json' ? answer : answer.describe(FORM_WORDS[form]) },
    ]),
  );
}

/**
 * Many operations fail alike, so each set of problems behind one status is a shared response component, named for its
 * problems.
 */
function problemRefs(one: AnyEndpoint, problemResponses: ProblemResponses): ZodOpenApiResponsesObject {
  const byStatus = Object.entries(problemCodesOf(one)).map(([status, codes]) => {
    const name = codes.map((code) => code.split('-').map(pascal).join('')).join('Or');
    problemResponses[name] ??= {
      description: codes.map((code) => PROBLEMS[code].title).join('; '),
      content: { 'application/problem+json': { schema: problem } },
    };
    return [status, { $ref: `#/components/responses/${name}` }];
  });
  return Object.fromEntries(byStatus) as ZodOpenApiResponsesObject;
}

/** Each error status that this endpoint can answer with, and the problems behind it. */
function problemCodesOf(one: AnyEndpoint): Record<string, ProblemCode[]> {
  const codes = new Set<ProblemCode>(one.problems ?? []);
  codes.add('invalid-input').add('not-acceptable').add('unexpected');
  if (one.access !== 'public') codes.add('not-signed-in').add('not-permitted');
  if (one.access !== 'public' && one.access !== 'signed-in') codes.add('owner-asks-more');
  // Everything but health needs the database, which may be unreachable, busy or slow.
  if (one.tag !== 'Health')
    codes.add('too-many-requests').add('too-much-at-once').add('not-ready').add('took-too-long');
  if (one.secondLook === true) codes.add('second-look-needed');
  if (one.params !== undefined) codes.add('not-found');
  if (one.body !== undefined)
    codes.add('malformed-body').add('body-too-large').add('unsupported-media-type').add('rule-broken');
  if (one.creates !== undefined || one.onlyOnce === true)
    codes.add('idempotency-key-missing').add('idempotency-key-reused').add('conflict');
  if (one.query instanceof z.ZodObject && 'confirm' in one.query.shape) codes.add('confirm');
  if (one.changes === true) codes.add('precondition-missing').add('changed-meanwhile');
  // A body may name records of the operation; one that does not exist is not found.
  if (one.body !== undefined && one.access !== 'public' && one.access !== 'signed-in')
    codes.add('not-found').add('conflict');
  const byStatus: Record<string, ProblemCode[]> = {};
  for (const code of PROBLEM_CODES.filter((known) => codes.has(known)))
    (byStatus[String(PROBLEMS[code].status)] ??= []).push(code);
  return byStatus;
}
