import {
  applyDecorators,
  createParamDecorator,
  Delete,
  type ExecutionContext,
  Get,
  HttpCode,
  Patch,
  Post,
  Put,
  SetMetadata,
  type Type,
} from '@nestjs/common';
import { ROUTE_ARGS_METADATA } from '@nestjs/common/constants.js';
import type { z } from 'zod';
import type { Who } from '../database/database.js';
import type { OperationTenant, Tenant } from '../database/types.js';
import type { Access } from './act.js';
import type { Asker } from './asker.js';
import type { Column } from './columns.js';
import type { FiledUnder } from './file-name.js';
import type { Problem } from './problem.js';
import type { ProblemCode } from './problem-catalogue.js';
import type { RegisterOptions } from './register-columns.js';

/** One table of values, for CSV and spreadsheets: a header and rows of text, of which each column says the type. */
export interface Table {
  columns: Column[];
  rows: (string | null)[][];
}

/** The forms that an answer can take, and their media types. JSON is always offered. */
export const MEDIA_TYPES = {
  json: 'application/json',
  csv: 'text/csv',
  xlsx: 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet',
  html: 'text/html',
  pdf: 'application/pdf',
  svg: 'image/svg+xml',
  gzip: 'application/gzip',
  beancount: 'text/x-beancount',
} as const;
export type Form = keyof typeof MEDIA_TYPES;
/** A form that its own writer (`writers.ts`) makes from the checked answer: a page, a printed sheet, a picture. */
export type WrittenForm = 'html' | 'pdf' | 'svg' | 'gzip' | 'beancount';
/**
 * What the transaction of a request may do. By default a GET reads and everything else writes. `own`: the handler opens
 * its own transactions, because it needs several, or none during long work.
 */
export type RequestTransaction = 'read' | 'write' | 'own';

/**
 * Everything the API promises about one address, in one place: who may call it, what it takes, what it returns. The
 * same object validates the request, checks the answer, decides the headers, and becomes the API description.
 */
export interface EndpointOptions<
  Params extends z.ZodType = z.ZodType,
  Query extends z.ZodType = z.ZodType,
  Body extends z.ZodType = z.ZodType,
  Answer extends z.ZodType = z.ZodType,
> {
  method: 'GET' | 'POST' | 'PATCH' | 'PUT' | 'DELETE';
  path: string;
  operationId: string;
  tag: string;
  summary: string;
  description?: string;
  access: Access;
  transaction?: RequestTransaction;
  params?: Params;
  query?: Query;
  body?: Body;
  /** The media type of the body; JSON if absent. A CSV body arrives as text, a form as its fields. */
  bodyType?: 'text/csv' | 'application/x-www-form-urlencoded';
  /** A workbook (.xlsx) is taken in place of the CSV body. */
  workbookToo?: true;
  answer?: Answer;
  status?: 200 | 201 | 204 | 303;
  /** Creates a record: needs an Idempotency-Key, answers 201 with the Location of the new record. */
  creates?: (answer: z.output<Answer>, params: z.output<Params>) => string;
  /** Does something that must not be done twice without creating an address of its own: needs an Idempotency-Key. */
  onlyOnce?: boolean;
  /**
   * The part of the first answer kept for a repeat of the request, where something in it (a secret) must not be stored.
   */
  keptForRepeats?: (answer: z.input<Answer>) => z.input<Answer>;
  /** Done in person only, by whoever has just given the passphrase or a one-time code (`second-look.ts`). */
  secondLook?: true;
  /** Changes a versioned record: needs If-Match. */
  changes?: boolean;
  /** The answer carries `version`, which the ETag is made from. */
  versioned?: boolean;
  /** The answer is a page: `items` and `nextCursor`; the Link header names the next page. */
  paged?: boolean;
  /**
   * The list is a register, and a file is all of it: every page in one snapshot, as CSV sent as it is read, or as a
   * workbook. The columns follow from the items' schema (`register-columns.ts`). Goes with `paged`, in an operation.
   */
  register?: RegisterOptions;
  /** The same answer as CSV (RFC 4180) or as a workbook, where Accept or ?format=csv or ?format=xlsx asks for it. */
  table?: (answer: z.output<Answer>) => Table;
  /** The same answer in other media, where Accept or ?format= asks for one. Each has a writer (`writers.ts`). */
  alsoAs?: readonly WrittenForm[];
  /** Which of several a file of the answer is, and of which days, where the answer itself does not begin with that. */
  filedUnder?: (answer: z.output<Answer>) => FiledUnder;
  /**
   * A page for a browser, outside the API description: HTML is its first form, and the cookie of a page sign-in opens
   * it (but no API address).
   */
  browser?: true;
  /**
   * What can take long, answered as a whole by a worker thread with its own connections, so that it holds up nobody: a
   * read always, or where the operation's books are long (`long-books.ts`); a file where the file is.
   */
  inThread?: 'always' | 'long-ledger' | 'long-audit' | 'many-herds' | 'long-file';
  problems?: ProblemCode[];
}

export type AnyEndpoint = EndpointOptions<z.ZodType, z.ZodType, z.ZodType, z.ZodType>;

/** All endpoints, in the order of declaration: the API description and the access matrix are made from this list. */
export const ENDPOINTS: AnyEndpoint[] = [];
/** The pages for a browser: in the access matrix, but not in the API description. */
export const PAGES: AnyEndpoint[] = [];

/** Which method of which controller answers an endpoint, by the endpoint's operationId. */
export const HANDLERS = new Map<string, { endpoint: AnyEndpoint; controller: Type; method: string }>();

export const ENDPOINT = Symbol('endpoint');

const METHODS = { GET: Get, POST: Post, PATCH: Patch, PUT: Put, DELETE: Delete };

/** An endpoint as declared, with what its handler's types depend on. */
export interface DeclaredEndpoint<
  Params extends z.ZodType,
  Query extends z.ZodType,
  Body extends z.ZodType,
  Answer extends z.ZodType,
  Reach extends Access,
  Mode extends RequestTransaction | undefined,
  Changes extends boolean,
> extends EndpointOptions<Params, Query, Body, Answer> {
  /** Never set at run time. */
  readonly types?: {
    params: Params;
    query: Query;
    body: Body;
    answer: Answer;
    reach: Reach;
    mode: Mode;
    changes: Changes;
  };
}

export function endpoint<
  Params extends z.ZodType = z.ZodUndefined,
  Query extends z.ZodType = z.ZodUndefined,
  Body extends z.ZodType = z.ZodUndefined,
  Answer extends z.ZodType = z.ZodUndefined,
  const Reach extends Access = Access,
  const Mode extends RequestTransaction | undefined = undefined,
  const Changes extends boolean = false,
>(
  options: EndpointOptions<Params, Query, Body, Answer> & { access: Reach; transaction?: Mode; changes?: Changes },
): DeclaredEndpoint<Params, Query, Body, Answer, Reach, Mode, Changes> {
  return options;
}

/** What the transaction of a request to this endpoint may do. */
export function transactionOf({
  transaction,
  method,
}: Pick<AnyEndpoint, 'transaction' | 'method'>): RequestTransaction {
  return transaction ?? (method === 'GET' ? 'read' : 'write');
}

export function statusOf(options: Pick<AnyEndpoint, 'status' | 'creates' | 'answer'>): 200 | 201 | 204 | 303 {
  return options.status ?? (options.creates !== undefined ? 201 : options.answer === undefined ? 204 : 200);
}

/** The forms offered at an address, JSON first; for a page for a browser, the page first. */
export function formsOf(options: Pick<AnyEndpoint, 'table' | 'alsoAs' | 'browser' | 'register'>): Form[] {
  const files =
    options.table === undefined && options.register === undefined ? [] : (['csv', 'xlsx'] as const satisfies Form[]);
  const written = options.alsoAs ?? [];
  return options.browser === true ? [...written, ...files, 'json'] : ['json', ...files, ...written];
}

/** Declares a controller's method as this endpoint. */
export function Endpoint<P extends z.ZodType, Q extends z.ZodType, B extends z.ZodType, A extends z.ZodType>(
  options: EndpointOptions<P, Q, B, A>,
): MethodDecorator {
  const known = options as unknown as AnyEndpoint;
  return applyDecorators(
    refuseUnmarked,
    (target: object, key: string | symbol) => {
      list(known);
      HANDLERS.set(known.operationId, { endpoint: known, controller: target.constructor as Type, method: String(key) });
    },
    METHODS[options.method](options.path),
    HttpCode(statusOf(known)),
    SetMetadata(ENDPOINT, known),
  );
}

function list(known: AnyEndpoint): void {
  if ([...ENDPOINTS, ...PAGES].some((other) => other.operationId === known.operationId))
    throw new RangeError(`Two endpoints are called ${known.operationId}`);
  (known.browser === true ? PAGES : ENDPOINTS).push(known);
}

/**
 * A parameter without its decorator would be undefined at run time, and the compiler cannot see that.
 * @throws RangeError when the program is loaded.
 */
function refuseUnmarked(target: object, key: string | symbol, { value }: PropertyDescriptor): void {
  const marked = Reflect.getMetadata(ROUTE_ARGS_METADATA, target.constructor, key) as object | undefined;
  if (Object.keys(marked ?? {}).length < (value as { length: number }).length)
    throw new RangeError(`${target.constructor.name}.${String(key)} has a parameter without a decorator: @Received()`);
}

type Declared<E> = E extends { readonly types?: infer Types } ? NonNullable<Types> : never;
type Part<E, Name extends 'params' | 'query' | 'body'> =
  Declared<E> extends Record<Name, infer Schema extends z.ZodType>
    ? Schema extends z.ZodUndefined
      ? unknown
      : Record<Name, z.output<Schema>>
    : never;

/** What was sent: path, query and body, as far as the endpoint takes them, parsed. */
export type InputOf<E> = Part<E, 'params'> &
  Part<E, 'query'> &
  Part<E, 'body'> &
  /** The version named by If-Match. */
  (Declared<E> extends { changes: true } ? { expectedVersion: number } : unknown);

/**
 * A request as a controller receives it: what was sent, and the caller's open transaction, or the caller where the
 * handler opens its own. At a public address nobody is known.
 */
export type CallOf<E> = { input: InputOf<E> } & (Declared<E> extends { reach: 'public' }
  ? unknown
  : Declared<E> extends { mode: 'own' }
    ? { asker: Asker }
    : { tenant: Declared<E> extends { reach: 'signed-in' } ? Tenant : OperationTenant });

/** What a handler of this endpoint must return: the answer before its schema has checked it. */
export type AnswerOf<E> = Declared<E> extends { answer: infer Answer extends z.ZodType } ? z.input<Answer> : never;

export interface ReceivedCall {
  input: { params: unknown; query: unknown; body: unknown; expectedVersion: number };
  asker?: Asker;
  tenant?: Tenant;
}

export interface ReceivedRequest {
  receivedCall?: ReceivedCall;
  /** How to find out who is asking, in the transaction of the request; set by the guard, absent at a public address. */
  identify?: Exclude<Who, Asker>;
  asker?: Asker;
  /** Name of the operation that was entered, for the names of files. */
  enteredOperation?: string | undefined;
  /** Counts the request of somebody who was let in. @throws Problem too-many-requests */
  countAdmitted?: (caller: { personId: string; operationId: string | undefined }) => void;
  /** The endpoint, once the guard has run. */
  endpoint?: AnyEndpoint;
  /** The problem to answer with, if something was wrong. */
  problem?: Problem;
}

/** The parsed call, as the method's only argument. */
export const Received = createParamDecorator(
  (_: unknown, context: ExecutionContext) => context.switchToHttp().getRequest<ReceivedRequest>().receivedCall,
);
