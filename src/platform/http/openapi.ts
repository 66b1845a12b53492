import { z } from 'zod';
import { createDocument, type ZodOpenApiOperationObject, type ZodOpenApiResponsesObject } from 'zod-openapi';
import { type AnyEndpoint, type Form, formsOf, MEDIA_TYPES, statusOf } from './endpoint.js';
import { PROBLEMS, type ProblemCode } from './problem-catalogue.js';

const problem = z
  .object({
    type: z.string().describe('Where the problem is explained: /problems/<code>'),
    title: z.string().describe('The same for every problem of this type'),
    status: z.number().int().describe('The HTTP status'),
    detail: z.string().describe('What is the matter this time'),
    instance: z.string().describe('The path that was asked'),
    requestId: z.string().describe('To quote when reporting'),
    errors: z
      .array(
        z.object({
          pointer: z.string().optional().describe('JSON Pointer into the body'),
          parameter: z.string().optional().describe('Name of a path, query or header field'),
          code: z.string().describe('What is wrong, as a word'),
          given: z.unknown().optional().describe('What was given'),
          allowed: z.string().describe('What is allowed'),
          message: z.string().describe('The same in a sentence'),
        }),
      )
      .optional()
      .describe('One entry for each field that cannot be used'),
  })
  .meta({ id: 'Problem', description: 'RFC 9457 problem details' });

/** The API description (OpenAPI 3.1), made from the endpoints' own schemas. */
export function buildOpenApi(
  endpoints: readonly AnyEndpoint[],
  versionOfApi: string,
): ReturnType<typeof createDocument> {
  const paths: Record<string, Record<string, ZodOpenApiOperationObject>> = {};
  for (const one of endpoints) {
    const path = one.path.replaceAll(/:([A-Za-z]+)/g, '{$1}');
    (paths[path] ??= {})[one.method.toLowerCase()] = operationOf(one);
  }
  return createDocument({
    openapi: '3.1.0',
    info: {
      title: 'Rickyard',
      version: versionOfApi,
      description:
        'Records, rations, trials and accounts of hay-fed beef herds.\n\n' +
        'Every quantity carries its unit; amounts are decimal text. What was typed reads back digit for digit. ' +
        'Lists are paged by cursor (Link header). Creating requests carry an Idempotency-Key, changes an If-Match. ' +
        'Errors are application/problem+json (RFC 9457), explained at /problems.\n\n' +
        'Numbers about feeding are aids to judgement and defer to a veterinarian, a licensed nutritionist, the ' +
        'lab and local codes.',
    },
    servers: [{ url: '/', description: 'This server' }],
    // By name: the order in which rooms are loaded is nobody's business.
    tags: [...new Set(endpoints.map((one) => one.tag))].sort().map((name) => ({ name })),
    components: {
      securitySchemes: {
        bearer: {
          type: 'http',
          scheme: 'bearer',
          description: 'An access token (rya_…) from /v1/sign-in, or an API key (ryk_…)',
        },
      },
      schemas: { Problem: problem },
    },
    paths: paths,
  });
}

function operationOf(one: AnyEndpoint): ZodOpenApiOperationObject {
  const header: Record<string, z.ZodType> = {};
  if (one.creates !== undefined || one.onlyOnce === true)
    header['Idempotency-Key'] = z
      .string()
      .min(1)
      .max(255)
      .describe(
        'A quoted string of your own making; the same key with the same body is answered, not done again, for 48 hours',
      );
  if (one.changes === true)
    header['If-Match'] = z.string().describe('The ETag of the version that the change is based on');
  const forms = formsOf(one);
  const query = forms.length === 1 ? one.query : withFormat(one.query, forms);
  return {
    operationId: one.operationId,
    tags: [one.tag],
    summary: one.summary,
    description: [one.description, accessText(one)].filter((text) => text !== undefined).join('\n\n'),
    security: one.access === 'public' ? [] : [{ bearer: [] }],
    requestParams: {
      ...(one.params === undefined ? {} : { path: one.params as z.ZodObject }),
      ...(query === undefined ? {} : { query: query as z.ZodObject }),
      ...(Object.keys(header).length === 0 ? {} : { header: z.object(header) }),
    },
    ...(one.body === undefined
      ? {}
      : { requestBody: { required: true, content: { [one.bodyType ?? 'application/json']: { schema: one.body } } } }),
    responses: responsesOf(one),
  };
}

function withFormat(query: z.ZodType | undefined, forms: readonly Form[]): z.ZodObject {
  const base = (query as z.ZodObject | undefined) ?? z.object({});
  return z.object({
    ...base.shape,
    format: z
      .enum(forms)
      .optional()
      .describe(`Form of the answer: ${forms.join(', ')}; the Accept header does the same`),
  });
}

const FORM_WORDS: Readonly<Record<Form, string>> = {
  json: 'JSON',
  csv: 'RFC 4180, one header row',
  xlsx: 'The same table as a workbook of one sheet',
  html: 'A page to read or print',
  pdf: 'The printed page',
  svg: 'A picture',
  gzip: 'One line of JSON for each record, compressed',
};

function accessText(one: AnyEndpoint): string {
  if (one.access === 'public') return 'Open to anybody.';
  return one.access === 'signed-in'
    ? 'For anybody signed in.'
    : `Needs the permission \`${one.access}\` in the operation.`;
}

function responsesOf(one: AnyEndpoint): ZodOpenApiResponsesObject {
  const status = statusOf(one);
  const headers: Record<string, z.ZodType> = {};
  if (one.versioned === true) headers['ETag'] = z.string().describe('The version of this record, strong');
  if (one.creates !== undefined) headers['Location'] = z.string().describe('The address of the new record');
  if (one.paged === true)
    headers['Link'] = z.string().optional().describe('RFC 8288: rel="next" where there is a next page');
  const responses: Record<string, object> = {
    [String(status)]: {
      description: one.answer === undefined && one.streams === undefined ? 'Done; nothing to say' : one.summary,
      ...(one.streams === undefined
        ? {}
        : {
            content: {
              [MEDIA_TYPES[one.streams]]: {
                schema: z.string().describe(`${FORM_WORDS[one.streams]}; sent as it is made`),
              },
            },
          }),
      ...(Object.keys(headers).length === 0 ? {} : { headers: z.object(headers) }),
      ...(one.answer === undefined
        ? {}
        : {
            content: {
              'application/json': { schema: one.answer },
              ...Object.fromEntries(
                formsOf(one)
                  .filter((form) => form !== 'json')
                  .map((form) => [MEDIA_TYPES[form], { schema: z.string().describe(FORM_WORDS[form]) }]),
              ),
            },
          }),
    },
  };
  if (one.versioned === true && one.method === 'GET')
    responses['304'] = { description: 'Unchanged since the version that If-None-Match names' };
  for (const [code, titles] of Object.entries(problemsOf(one))) {
    responses[code] = { description: titles.join('; '), content: { 'application/problem+json': { schema: problem } } };
  }
  return responses as ZodOpenApiResponsesObject;
}

/** Each error status that this endpoint can answer with, and the titles behind it. */
function problemsOf(one: AnyEndpoint): Record<string, string[]> {
  const codes = new Set<ProblemCode>(one.problems ?? []);
  codes.add('invalid-input').add('not-acceptable').add('unexpected');
  if (one.access !== 'public') codes.add('not-signed-in').add('not-permitted');
  if (one.params !== undefined) codes.add('not-found');
  if (one.body !== undefined)
    codes.add('malformed-body').add('body-too-large').add('unsupported-media-type').add('rule-broken');
  if (one.creates !== undefined || one.onlyOnce === true)
    codes.add('idempotency-key-missing').add('idempotency-key-reused').add('conflict');
  if (one.changes === true) codes.add('precondition-missing').add('changed-meanwhile');
  // A body may name records of the operation; one that is not there is not found.
  if (one.body !== undefined && one.access !== 'public' && one.access !== 'signed-in')
    codes.add('not-found').add('conflict');
  const byStatus: Record<string, string[]> = {};
  for (const code of codes) (byStatus[String(PROBLEMS[code].status)] ??= []).push(PROBLEMS[code].title);
  return byStatus;
}
