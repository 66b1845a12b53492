import Ajv2020, { type ValidateFunction } from 'ajv/dist/2020.js';
import addFormats from 'ajv-formats';

/**
 * Checks live answers against the served API description: status, media type, body and promised headers of every answer
 * must match it. This is what keeps description and server from drifting apart.
 */
export interface Description {
  document: OpenApiDocument;
  check(answer: LiveAnswer): void;
  /** The same for a message that the server sent to a webhook. */
  checkMessage(text: string): void;
}

export interface LiveAnswer {
  method: string;
  path: string;
  status: number;
  headers: Readonly<Record<string, string | string[] | undefined>>;
  text: string;
}

interface ResponseObject {
  description: string;
  headers?: Record<string, HeaderObject | Reference>;
  content?: Record<string, { schema?: object }>;
}

interface HeaderObject {
  required?: boolean;
}

export interface OperationObject {
  operationId?: string;
  summary?: string;
  description?: string;
  security?: object[];
  parameters?: { name: string; in: string; required?: boolean; description?: string; schema?: object }[];
  requestBody?: { content: Record<string, { schema?: object }> };
  responses: Record<string, ResponseObject | Reference>;
}

interface Reference {
  $ref: string;
}

export interface OpenApiDocument {
  openapi: string;
  paths: Record<string, Record<string, OperationObject>>;
  webhooks: Record<string, Record<string, OperationObject>>;
  components: {
    schemas: Record<string, object>;
    responses: Record<string, ResponseObject>;
    headers: Record<string, HeaderObject>;
    securitySchemes: Record<string, object>;
  };
}

const ROOT = 'https://description.invalid/openapi.json';
/** Pages and files that are not part of the described API. */
const UNDESCRIBED = [
  /^\/$/,
  /^\/metrics$/,
  /^\/openapi\.json$/,
  /^\/problems(\/|$)/,
  /^\/reference(\/|$)/,
  /^\/yard(\/|$)/,
];
/** Statuses that the framework answers before any endpoint is known. */
const UNROUTED = new Set([400, 404, 405, 413, 414]);

/** Compiled schemas are kept for every later server of this worker that serves the same text. */
const judges = new Map<string, Description>();

export async function readDescription(address: string): Promise<Description> {
  const text = await (await fetch(`${address}/openapi.json`)).text();
  const known = judges.get(text);
  if (known !== undefined) return known;
  const judge = judgeOf(JSON.parse(text) as OpenApiDocument);
  judges.set(text, judge);
  return judge;
}

function judgeOf(document: OpenApiDocument): Description {
  const fits = bodyJudge(document);
  const routes = Object.entries(document.paths)
    .map(([template, operations]) => ({
      template,
      operations,
      pattern: new RegExp(`^${template.replaceAll(/\{[^}]+\}/g, '[^/]+')}$`),
      fixed: template.split('/').filter((part) => !part.startsWith('{')).length,
    }))
    .sort((a, b) => b.fixed - a.fixed);

  return {
    document,
    checkMessage: (text) => {
      const { type } = JSON.parse(text) as { type: string };
      const sent = { method: 'POST', path: type, status: 0, headers: {}, text };
      if (!(type in document.webhooks)) complain(sent, 'there is no such message in the description');
      fits(sent, `/webhooks/${type}/post/requestBody/content/${step('application/json')}/schema`);
    },
    check: (answer) => {
      const path = answer.path.split('?')[0] ?? '/';
      if (UNDESCRIBED.some((pattern) => pattern.test(path))) return;
      const route = routes.find((one) => one.pattern.test(path));
      const method = (answer.method === 'HEAD' ? 'GET' : answer.method).toLowerCase();
      const operation = route?.operations[method];
      if (operation === undefined || route === undefined) {
        checkUnrouted(answer);
        fits(answer, '/components/schemas/Problem');
        return;
      }
      const { response, at } = responseOf(document, operation, route.template, method, String(answer.status));
      checkHeaders(document, response, answer);
      const mediaType = checkAgainst(operation, response, answer, route.template);
      if (mediaType?.endsWith('json') === true) fits(answer, `${at}/content/${step(mediaType)}/schema`);
    },
  };
}

function complain(answer: LiveAnswer, what: string): never {
  throw new Error(`${answer.method} ${answer.path} answered ${answer.status}: ${what}\n${answer.text.slice(0, 2000)}`);
}

/** Checks a body against the schema at a place in the document; each schema is compiled once. */
function bodyJudge(document: OpenApiDocument): (answer: LiveAnswer, pointer: string) => void {
  // Code for most of the answers is run a few times: writing it takes longer, so it is not polished.
  const ajv = new Ajv2020({
    strict: false,
    allErrors: true,
    validateSchema: false,
    inlineRefs: false,
    code: { optimize: false },
  });
  addFormats(ajv);
  ajv.addSchema(document, ROOT);
  const compiled = new Map<string, ValidateFunction>();
  return (answer, pointer) => {
    const valid = compiled.get(pointer) ?? ajv.compile({ $ref: `${ROOT}#${pointer}` });
    compiled.set(pointer, valid);
    if (valid(JSON.parse(answer.text)) === true) return;
    const misses = (valid.errors ?? []).map(
      (one) => `  ${one.instancePath} ${one.message ?? ''} ${JSON.stringify(one.params)}`,
    );
    complain(answer, `the body does not fit the description:\n${misses.join('\n')}`);
  };
}

function checkUnrouted(answer: LiveAnswer): void {
  if (!UNROUTED.has(answer.status)) complain(answer, 'there is no such operation in the description');
  const mediaType = typeOf(answer);
  if (mediaType !== 'application/problem+json')
    complain(answer, `an error must be application/problem+json, not ${mediaType ?? 'nothing'}`);
}

function checkHeaders(document: OpenApiDocument, response: ResponseObject | undefined, answer: LiveAnswer): void {
  for (const [name, said] of Object.entries(response?.headers ?? {})) {
    const header = '$ref' in said ? document.components.headers[said.$ref.replace('#/components/headers/', '')] : said;
    if (header === undefined) complain(answer, `the header ${name} is described nowhere`);
    if (header.required === true && answer.headers[name.toLowerCase()] === undefined)
      complain(answer, `the promised header ${name} is missing`);
  }
}

/** Status and media type; answers the media type of a body that is still to be judged. */
function checkAgainst(
  operation: OperationObject,
  response: ResponseObject | undefined,
  answer: LiveAnswer,
  template: string,
): string | undefined {
  if (response === undefined)
    return complain(
      answer,
      `${operation.operationId ?? template} does not declare this status (declared: ` +
        `${Object.keys(operation.responses).join(', ')})`,
    );
  if (response.content === undefined) {
    if (answer.text !== '') complain(answer, 'a body came where none is declared');
    return undefined;
  }
  if (answer.method === 'HEAD') return undefined;
  const mediaType = typeOf(answer);
  if (mediaType === undefined || response.content[mediaType] === undefined)
    return complain(
      answer,
      `media type ${mediaType ?? 'none'} is not declared (declared: ${Object.keys(response.content).join(', ')})`,
    );
  return mediaType;
}

/** What is promised for a status, and where the description says so: with the operation or as a component. */
export function responseOf(
  document: OpenApiDocument,
  operation: OperationObject,
  template: string,
  method: string,
  status: string,
): { response: ResponseObject | undefined; at: string } {
  const response = operation.responses[status];
  if (response === undefined || !('$ref' in response))
    return { response, at: `/paths/${step(template)}/${method}/responses/${status}` };
  const name = response.$ref.replace('#/components/responses/', '');
  return { response: document.components.responses[name], at: `/components/responses/${name}` };
}

function typeOf(answer: LiveAnswer): string | undefined {
  const header = answer.headers['content-type'];
  return (Array.isArray(header) ? header[0] : header)?.split(';')[0]?.trim();
}

/** One step of a JSON Pointer, written into a URI fragment. */
function step(name: string): string {
  return encodeURIComponent(name.replaceAll('~', '~0').replaceAll('/', '~1'));
}
