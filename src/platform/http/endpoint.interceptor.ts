import { createHash } from 'node:crypto';
import { Readable } from 'node:stream';
import {
  type CallHandler,
  type ExecutionContext,
  Injectable,
  type NestInterceptor,
  StreamableFile,
} from '@nestjs/common';
import { Reflector } from '@nestjs/core';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { from, lastValueFrom, type Observable } from 'rxjs';
import { z } from 'zod';
import { Database } from '../database/database.js';
import { hasLongAudit, hasLongLedger, hasManyHerds } from '../database/long-books.js';
import type { OperationTenant, Tenant } from '../database/types.js';
import type { Asker, Idempotency } from './asker.js';
import { unmarkedCursor } from './cursor.js';
import {
  type AnyEndpoint,
  ENDPOINT,
  type Form,
  formsOf,
  MEDIA_TYPES,
  type ReceivedCall,
  type ReceivedRequest,
  transactionOf,
} from './endpoint.js';
import { creationHeaders, CSV_TYPE, inForm, promised, type WrittenAnswer } from './answer-form.js';
import { hasHead } from './file-head.js';
import { fileName, nameOfEntered } from './file-name.js';
import { registerPieces, registerWorkbook } from './register.js';
import { etagOf, NO_VERSION, versionOf } from './etag.js';
import { fieldProblems, PROBLEMS_MOST } from './field-problems.js';
import { canonical, linkedPage, listOf } from './page-link.js';
import { placedIn } from './in-the-request.js';
import { Problem, type FieldProblem } from './problem.js';
import { refuseWithoutSecondLook } from './second-look.js';
import { sentFile } from './sent-file.js';
import { asPlainData, recordAtOf, type ThreadRequest } from './thread-request.js';
import { id } from '../wire/common.schema.js';
import { confirmedIn } from '../wire/confirm.schema.js';
import { HeavyWork } from '../workers/heavy-work.js';
import type { Job } from '../workers/job.js';

type Request = FastifyRequest & ReceivedRequest;

/** A file of more characters, some fifty rows, would hold the event loop for more than 50 ms in all. */
const LONG_FILE = 4096;
/** What a thread that writes may take: the longest file by far. */
const WRITING_MOST_MS = 300_000;

/**
 * What every endpoint does, in one place: open the caller's transaction, parse the request, pass it on, check the
 * answer, set the headers. One request is one transaction. The answer is parsed by its own schema, so that nothing is
 * sent that the description does not promise.
 */
@Injectable()
export class EndpointInterceptor implements NestInterceptor {
  constructor(
    private readonly reflector: Reflector,
    private readonly database: Database,
    private readonly heavyWork: HeavyWork,
  ) {}

  intercept(context: ExecutionContext, next: CallHandler): Observable<unknown> {
    const endpoint = this.reflector.get<AnyEndpoint | undefined>(ENDPOINT, context.getHandler());
    if (endpoint === undefined) return next.handle();
    const request = context.switchToHttp().getRequest<Request>();
    const reply = context.switchToHttp().getResponse<FastifyReply>();
    const sent = new SentRequest(endpoint, request, reply);
    return from(
      this.#handled(sent, next)
        .catch((error: unknown) => {
          throw error instanceof Problem ? placedIn(withTag(error, request), sent.input) : error;
        })
        .then((raw) => answer(endpoint, request, reply, raw, sent.form, sent.input.params, this.heavyWork)),
    );
  }

  /** @param db The request's transaction, if it has one. */
  async #goesToThread(
    { endpoint: { inThread }, input }: SentRequest,
    operationId: string | undefined,
    db?: Tenant['db'],
  ): Promise<boolean> {
    if (inThread === undefined || !this.heavyWork.answersRequests) return false;
    if (inThread === 'always') return true;
    if (inThread === 'long-file') return typeof input.body === 'string' && isLongFile(input.body);
    if (db === undefined) return false;
    if (inThread === 'many-herds') return hasManyHerds(db, operationId);
    if (operationId === undefined) return false;
    return inThread === 'long-audit' ? hasLongAudit(db, operationId) : hasLongLedger(db, operationId);
  }

  /** The whole answer, made where it holds up nobody. */
  async #inThread(
    { endpoint, request, reply, input, form }: SentRequest,
    asker: Asker,
    inside?: string,
  ): Promise<unknown> {
    const asked: ThreadRequest = {
      endpoint: endpoint.operationId,
      takesFile: endpoint.inThread === 'long-file',
      asker: asPlainData(asker),
      operationId: inside,
      input,
      form,
      url: request.url,
    };
    const work = { personId: asker.personId, operationId: inside };
    // What writes is done to its end, so that whoever comes again after a cut connection finds it.
    const limits = endpoint.creates === undefined ? { gone: goneOf(reply) } : { deadlineMs: WRITING_MOST_MS };
    return new Written((await this.heavyWork.run(work, { kind: 'request', request: asked }, limits)) as WrittenAnswer);
  }

  /** The whole list, page by page in a transaction of its own: CSV as it is taken, a workbook when all is read. */
  async #pulled(
    { endpoint, input, request, form }: SentRequest,
    asker: Asker,
    inside: string,
    handle: (known: { tenant: Tenant }, input: ReceivedCall['input']) => Promise<unknown>,
  ): Promise<Pulled | Filed> {
    let operation = '';
    const query = input.query as object;
    const lines = await this.database.pull(asker, inside, (tenant) => {
      refuseWithoutPermission(endpoint, tenant);
      operation = tenant.operation.name;
      return registerPieces(endpoint, tenant, {
        read: (page) => handle({ tenant }, { ...input, query: { ...query, ...page } }),
        query,
        address: request.url,
        form,
      });
    });
    const name = (): string => fileName(endpoint, { operation, ...query }, form);
    if (form !== 'xlsx') return new Pulled(lines, name());
    return new Filed(await registerWorkbook(endpoint, lines), name());
  }

  /** What the handler returned, after its transaction ended. */
  async #handled(sent: SentRequest, next: CallHandler): Promise<unknown> {
    const { endpoint, request } = sent;
    const { identify } = request;
    const handle = (known: Pick<ReceivedCall, 'asker' | 'tenant'>, input = sent.input): Promise<unknown> => {
      request.receivedCall = { input, ...known };
      request.enteredOperation = nameOfEntered(known.tenant);
      return lastValueFrom(next.handle(), { defaultValue: undefined });
    };
    if (identify === undefined) {
      sent.read();
      return handle({});
    }
    const { operationId } = request.params as { operationId?: string };
    const { access } = endpoint;
    // A malformed id names no operation: whoever is signed in is told so as they are identified.
    const inside =
      access === 'signed-in' || !id.safeParse(operationId).success ? undefined : operationId?.toLowerCase();
    const admit = (tenant: Tenant): Idempotency | undefined => {
      refuseWithoutPermission(endpoint, tenant);
      refuseWithoutSecondLook(endpoint, tenant.asker);
      request.countAdmitted?.({ personId: tenant.personId, operationId: inside });
      return sent.read();
    };
    switch (transactionOf(endpoint)) {
      case 'own': {
        const idempotency = await (inside === undefined
          ? this.database.identify(identify).then((asker) => {
              refuseWithoutSecondLook(endpoint, asker);
              request.countAdmitted?.({ personId: asker.personId, operationId: undefined });
              return sent.read();
            })
          : this.database.readIn(identify, inside, (tenant) => Promise.resolve(admit(tenant))));
        const asker = { ...(request.asker as Asker), idempotency, confirmed: confirmedIn(sent.input.query) };
        return (await this.#goesToThread(sent, inside)) ? this.#inThread(sent, asker, inside) : handle({ asker });
      }
      case 'read': {
        const work = async (tenant: Tenant): Promise<unknown> => {
          admit(tenant);
          if (sent.asRegister) return new ToPull(tenant.asker);
          const toThread = await this.#goesToThread(sent, inside, tenant.db);
          return toThread ? new ToThread(tenant.asker) : handle({ tenant });
        };
        const answered = await (inside === undefined
          ? this.database.read(identify, work)
          : this.database.readIn(identify, inside, work));
        if (answered instanceof ToPull) return this.#pulled(sent, answered.asker, inside ?? '', handle);
        return answered instanceof ToThread ? this.#inThread(sent, answered.asker, inside) : answered;
      }
      case 'write': {
        const work = { admit, work: (tenant: Tenant) => handle({ tenant }), kept: endpoint.keptForRepeats };
        if (inside === undefined) return this.database.writeOnce(identify, work);
        const inOperation = (tenant: OperationTenant): Promise<unknown> => {
          tenant.doubts.confirm(confirmedIn(sent.input.query));
          return handle({ tenant });
        };
        return this.database.writeOnceIn(identify, inside, { ...work, work: inOperation });
      }
    }
  }
}

/** A workbook says only when it is unpacked how long it is. */
function isLongFile(body: string): boolean {
  return body.length > LONG_FILE || sentFile(body).form === 'xlsx';
}

/** Who asks for a request that a thread is to answer, once they have been let in. */
class ToThread {
  constructor(readonly asker: Asker) {}
}

/** Who asks for a list as a whole, once they have been let in. */
class ToPull {
  constructor(readonly asker: Asker) {}
}

/** A list as a whole, to be taken line by line. */
class Pulled {
  constructor(
    readonly lines: AsyncIterable<string>,
    readonly name: string,
  ) {}
}

/** A list as a whole, to be written as a workbook. */
class Filed {
  constructor(
    readonly job: Job,
    readonly name: string,
  ) {}
}

function refuseWithoutPermission({ access }: AnyEndpoint, tenant: Tenant): void {
  if (access !== 'public' && access !== 'signed-in' && !tenant.may(access))
    throw new Problem('not-permitted', `This needs the permission "${access}" in this operation.`);
}

/** What a thread answered. */
class Written {
  constructor(readonly answer: WrittenAnswer) {}
}

/** Aborted when whoever asked is gone before the answer. */
function goneOf({ raw }: FastifyReply): AbortSignal {
  const gone = new AbortController();
  raw.once('close', () => gone.abort());
  return gone.signal;
}

/** What came with a request, parsed once the caller has been let in. */
class SentRequest {
  form: Form = 'json';
  input: ReceivedCall['input'] = { params: undefined, query: undefined, body: undefined, expectedVersion: NO_VERSION };

  constructor(
    readonly endpoint: AnyEndpoint,
    readonly request: Request,
    readonly reply: FastifyReply,
  ) {}

  /** Whether the whole of a list is asked for. */
  get asRegister(): boolean {
    return this.endpoint.register !== undefined && (this.form === 'csv' || this.form === 'xlsx');
  }

  /**
   * Parses everything. @returns what identifies a repeat of the request, if the endpoint needs it. @throws Problem
   * where something cannot be read.
   */
  read(): Idempotency | undefined {
    const { endpoint, request } = this;
    this.form = chosenForm(endpoint, request);
    if (this.asRegister) refusePages(request);
    const parts = parseParts(endpoint, request);
    const once = request.identify === undefined ? undefined : idempotencyOf(endpoint, request, parts);
    this.input = {
      ...parts,
      query: endpoint.paged === true ? withListsOwnCursor(endpoint, parts) : parts.query,
      expectedVersion:
        endpoint.changes === true
          ? versionOf(header(request, 'if-match'), Object.values((parts.params ?? {}) as Record<string, string>))
          : NO_VERSION,
    };
    return once;
  }
}

/** Where a record was changed meanwhile: which tag was sent, and where the present one is. */
function withTag(problem: Problem, request: Request): Problem {
  const given = header(request, 'if-match');
  if (problem.code !== 'changed-meanwhile' || problem.errors.length > 0 || given === undefined) return problem;
  const { pathname } = new URL(request.url, 'http://here');
  const allowed = `the ETag that GET ${pathname} answers with now`;
  const message = 'This ETag names no version, or one that is no longer the current one.';
  const error = { parameter: 'If-Match', code: 'not-current-version', given, allowed, message };
  return new Problem(problem.code, problem.detail, [error], problem.headers, problem.subject);
}

/** A file is the whole of a list: a page of it that says nothing of the others would be taken for all there is. */
function refusePages(request: Request): void {
  const given = (request.query ?? {}) as Record<string, unknown>;
  const found = ['limit', 'cursor'].filter((parameter) => parameter in given);
  if (found.length === 0) return;
  throw new Problem(
    'invalid-input',
    undefined,
    found.map((parameter) => ({
      parameter,
      code: 'not-in-a-file',
      given: given[parameter],
      allowed: 'nothing beside CSV or XLSX, which are the whole list; pages come as JSON',
      message: 'A file is the whole list and has no pages.',
    })),
  );
}

const NO_QUERY = z.strictObject({});

interface Parts {
  params: unknown;
  query: unknown;
  body: unknown;
}

function parseParts(endpoint: AnyEndpoint, request: Request): Parts {
  const problems: FieldProblem[] = [];
  const parse = (schema: z.ZodType | undefined, part: 'query' | 'body', input: unknown): unknown => {
    if (schema === undefined) return undefined;
    const result = schema.safeParse(input);
    if (result.success) return result.data;
    problems.push(...fieldProblems(result.error, part, input));
    return undefined;
  };
  const types = bodyTypesOf(endpoint);
  const sentAs = header(request, 'content-type')?.trim().toLowerCase() ?? '';
  if (types.length > 0 && !types.some((type) => sentAs.startsWith(type)))
    throw new Problem('unsupported-media-type', `This address takes a body of Content-Type: ${types.join(' or ')}.`);
  if (endpoint.body !== undefined && request.body === undefined) {
    throw new Problem('invalid-input', 'A JSON body is needed.', [
      { pointer: '#', code: 'missing', allowed: 'one JSON object', message: 'A JSON body is needed.' },
    ]);
  }
  // A malformed id in the path means an address that does not exist, not invalid input.
  const inPath = endpoint.params?.safeParse(request.params);
  if (inPath?.success === false) throw new Problem('not-found');
  const { format: _format, ...asked } = (request.query ?? {}) as Record<string, unknown>;
  const { head, ...query } = hasHead(endpoint) ? asked : { ...asked, head: undefined };
  if (head !== undefined && head !== 'yes' && head !== 'no') problems.push(notAHead(head));
  const parts = {
    params: inPath?.data,
    query: parse(endpoint.query ?? NO_QUERY, 'query', query),
    body: parse(endpoint.body, 'body', request.body),
  };
  if (problems.length >= PROBLEMS_MOST)
    throw new Problem(
      'invalid-input',
      `These are the first ${PROBLEMS_MOST} problems; there may be more.`,
      problems.slice(0, PROBLEMS_MOST),
    );
  if (problems.length > 0) throw new Problem('invalid-input', undefined, problems);
  return parts;
}

function notAHead(given: unknown): FieldProblem {
  return {
    parameter: 'head',
    code: 'invalid-value',
    given,
    allowed: 'yes or no',
    message: 'Whether a file says before its table whose it is and how it was made: yes or no.',
  };
}

/** The media types of a body that is not JSON. */
function bodyTypesOf({ bodyType, workbookToo }: AnyEndpoint): string[] {
  return bodyType === undefined ? [] : [bodyType, ...(workbookToo === true ? [MEDIA_TYPES.xlsx] : [])];
}

function withListsOwnCursor(endpoint: AnyEndpoint, { params, query }: Parts): unknown {
  const { cursor } = query as { cursor?: string };
  return cursor === undefined
    ? query
    : { ...(query as object), cursor: unmarkedCursor(listOf(endpoint, params), cursor) };
}

/**
 * Same key and same payload is the same request; a different order of object keys, or an id in capitals, does not
 * matter.
 */
function idempotencyOf(endpoint: AnyEndpoint, request: Request, parts: Parts): Idempotency | undefined {
  if (endpoint.creates === undefined && endpoint.onlyOnce !== true) return undefined;
  const raw = header(request, 'idempotency-key') ?? keyOfForm(endpoint, request);
  if (raw === undefined || raw.trim() === '') throw new Problem('idempotency-key-missing');
  const key = /^"(.*)"$/.exec(raw.trim())?.[1] ?? raw.trim();
  if (key.length < 1 || key.length > 255 || !/^[\x20-\x7e]+$/.test(key)) {
    throw new Problem('invalid-input', undefined, [
      {
        parameter: 'Idempotency-Key',
        code: 'invalid-format',
        given: raw.slice(0, 100),
        allowed: 'a quoted string of 1 to 255 visible ASCII characters',
        message: 'The Idempotency-Key cannot be used.',
      },
    ]);
  }
  return {
    route: `${endpoint.method} ${endpoint.path} ${canonical(parts.params)}`,
    key,
    payloadHash: createHash('sha256')
      .update(canonical({ query: parts.query, body: request.body }))
      .digest('hex'),
    ...recordAtOf(endpoint, parts.params),
  };
}

/** A form of a page carries its key in the field `once`: a browser sends no header of our own. */
function keyOfForm({ browser }: AnyEndpoint, { body }: Request): string | undefined {
  const once = browser === true ? (body as { once?: unknown } | undefined)?.once : undefined;
  return typeof once === 'string' ? once : undefined;
}

/**
 * `?format=` decides; else the Accept header: the form it prefers or, among equals, the one named first (RFC 9110,
 * 12.5.1).
 */
function chosenForm(endpoint: AnyEndpoint, request: Request): Form {
  const asked = (request.query as Record<string, unknown> | undefined)?.['format'];
  const forms = formsOf(endpoint);
  if (asked !== undefined) {
    const form = forms.find((one) => one === asked);
    if (form !== undefined) return form;
    throw new Problem('invalid-input', undefined, [
      {
        parameter: 'format',
        code: 'invalid-value',
        given: asked,
        allowed: `one of ${forms.join(', ')}`,
        message: 'This form is not offered here.',
      },
    ]);
  }
  const ranges = rangesOf(header(request, 'accept') ?? '*/*');
  const [best] = forms
    .map((form) => ({ form, range: rangeFor(form, ranges) }))
    .filter(({ range }) => range.quality > 0)
    .sort((a, b) => b.range.quality - a.range.quality || a.range.place - b.range.place);
  if (best !== undefined) return best.form;
  if (endpoint.answer === undefined) return 'json';
  throw new Problem('not-acceptable', `Offered here: ${forms.map((one) => MEDIA_TYPES[one]).join(', ')}.`);
}

interface AcceptedRange {
  range: string;
  /** A weight of 0 rules it out. */
  quality: number;
  place: number;
}

function rangesOf(accept: string): AcceptedRange[] {
  return accept.split(',').map((part, place) => {
    const [range = '', ...parameters] = part.split(';').map((piece) => piece.trim().toLowerCase());
    const quality = Number(parameters.find((piece) => piece.startsWith('q='))?.slice(2) ?? '1');
    return { range, quality: Number.isFinite(quality) ? quality : 0, place };
  });
}

/** What Accept says about a form: the most specific matching range decides (RFC 9110, 12.5.1). */
function rangeFor(form: Form, ranges: readonly AcceptedRange[]): AcceptedRange {
  const type = MEDIA_TYPES[form];
  const names = [type, ...(form === 'json' ? ['application/problem+json'] : []), `${type.split('/')[0]}/*`, '*/*'];
  for (const name of names) {
    const found = ranges.find(({ range }) => range === name);
    if (found !== undefined) return found;
  }
  return { range: type, quality: 0, place: ranges.length };
}

async function answer(
  endpoint: AnyEndpoint,
  request: Request,
  reply: FastifyReply,
  raw: unknown,
  form: Form,
  params: unknown,
  heavyWork: HeavyWork,
): Promise<unknown> {
  void reply.header('Cache-Control', 'no-store');
  if (raw instanceof Written) {
    const { headers, content } = raw.answer;
    void reply.headers(headers);
    return content instanceof Uint8Array ? Buffer.from(content) : content;
  }
  if (raw instanceof Pulled) {
    void reply
      .header('Vary', 'Accept')
      .header('Content-Type', CSV_TYPE)
      .header('Content-Disposition', `attachment; filename="${raw.name}"`);
    return new StreamableFile(Readable.from(raw.lines));
  }
  if (raw instanceof Filed) {
    void reply
      .header('Vary', 'Accept')
      .header('Content-Type', MEDIA_TYPES.xlsx)
      .header('Content-Disposition', `attachment; filename="${raw.name}"`);
    return made(heavyWork, request, raw.job);
  }
  if (endpoint.answer === undefined) return undefined;
  const body = promised(endpoint, raw);
  if (endpoint.versioned === true) {
    const etag = etagOf(Number(body['version']), body);
    void reply.header('ETag', etag).header('Cache-Control', 'private, no-cache');
    if (
      endpoint.method === 'GET' &&
      header(request, 'if-none-match')
        ?.split(',')
        .some((tag) => tag.trim().replace(/^W\//, '') === etag) === true
    ) {
      void reply.status(304);
      return undefined;
    }
  }
  void reply.headers(creationHeaders(endpoint, params, raw, body));
  void reply.headers(linkedPage(endpoint, params, request.url, body));
  const make = (job: Job): Promise<string | Buffer> => made(heavyWork, request, job);
  const { headers, content } = await inForm(endpoint, body, form, request.url, make, request.enteredOperation);
  void reply.headers(headers);
  return content;
}

/** Sheets and pictures take long enough to hold up others, so a worker thread makes them. */
async function made(heavyWork: HeavyWork, { asker, params }: Request, job: Job): Promise<string | Buffer> {
  const { operationId } = (params ?? {}) as { operationId?: string };
  const written = await heavyWork.run({ personId: asker?.personId ?? '', operationId }, job);
  return written instanceof Uint8Array ? Buffer.from(written) : (written as string);
}

function header(request: FastifyRequest, name: string): string | undefined {
  const value = request.headers[name];
  return Array.isArray(value) ? value[0] : value;
}
