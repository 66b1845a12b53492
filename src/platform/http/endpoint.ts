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
} from '@nestjs/common';
import type { z } from 'zod';
import type { Access } from './act.js';
import type { Asker } from './asker.js';
import type { Problem } from './problem.js';
import type { ProblemCode } from './problem-catalogue.js';

/** One table of values, for CSV and spreadsheets: a header and rows of text. */
export interface Table {
  columns: string[];
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
} as const;
export type Form = keyof typeof MEDIA_TYPES;
/** A form that is made from the checked answer by a writer of its own (`writers.ts`): a page, a printed sheet, a picture. */
export type WrittenForm = 'html' | 'pdf' | 'svg' | 'gzip';

/**
 * All that the API promises about one address, said once: who may call it, what it takes, what it gives. The same
 * object validates the request, checks the answer, decides the headers, and becomes the API description.
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
  params?: Params;
  query?: Query;
  body?: Body;
  /** The media type of the body; JSON if absent. A CSV body arrives as text, a form as its fields. */
  bodyType?: 'text/csv' | 'application/x-www-form-urlencoded';
  answer?: Answer;
  status?: 200 | 201 | 204 | 303;
  /** Creates a record: needs an Idempotency-Key, answers 201 with the Location of the new record. */
  creates?: (answer: z.output<Answer>, params: z.output<Params>) => string;
  /** Does something that must not be done twice without creating an address of its own: needs an Idempotency-Key. */
  onlyOnce?: boolean;
  /** Changes a versioned record: needs If-Match. */
  changes?: boolean;
  /** The answer carries `version`, from which the ETag is made. */
  versioned?: boolean;
  /** The answer is a page: `items` and `nextCursor`; the Link header names the next page. */
  paged?: boolean;
  /** The same answer as CSV (RFC 4180) or as a workbook, where Accept or ?format=csv or ?format=xlsx asks for it. */
  table?: (answer: z.output<Answer>) => Table;
  /** The same answer in other media, where Accept or ?format= asks for one. Each has a writer (`writers.ts`). */
  alsoAs?: readonly WrittenForm[];
  /**
   * The answer is not one document but a stream of this form: the handler hands out an async iterable of text. Goes
   * with `status: 200` and no `answer`.
   */
  streams?: 'csv';
  /**
   * A page of the browser's own, outside the API description: HTML is its first form, and the cookie of a page sign-in
   * opens it (and no address of the API).
   */
  browser?: true;
  problems?: ProblemCode[];
}

export type AnyEndpoint = EndpointOptions<z.ZodType, z.ZodType, z.ZodType, z.ZodType>;

/**
 * Every endpoint there is, in the order of declaration: the API description and the access matrix are made from this
 * list.
 */
export const ENDPOINTS: AnyEndpoint[] = [];
/** The pages that a browser opens, beside them: in the access matrix, but not in the API description. */
export const PAGES: AnyEndpoint[] = [];

export const ENDPOINT = Symbol('endpoint');

const METHODS = { GET: Get, POST: Post, PATCH: Patch, PUT: Put, DELETE: Delete };

export function endpoint<
  Params extends z.ZodType = z.ZodUndefined,
  Query extends z.ZodType = z.ZodUndefined,
  Body extends z.ZodType = z.ZodUndefined,
  Answer extends z.ZodType = z.ZodUndefined,
>(options: EndpointOptions<Params, Query, Body, Answer>): EndpointOptions<Params, Query, Body, Answer> {
  return options;
}

export function statusOf(options: Pick<AnyEndpoint, 'status' | 'creates' | 'answer'>): 200 | 201 | 204 | 303 {
  return options.status ?? (options.creates !== undefined ? 201 : options.answer === undefined ? 204 : 200);
}

/** The forms offered at an address, the first of all being JSON; at a page of the browser's, the page. */
export function formsOf(options: Pick<AnyEndpoint, 'table' | 'alsoAs' | 'browser'>): Form[] {
  const others = [...(options.table === undefined ? [] : ['csv' as const, 'xlsx' as const]), ...(options.alsoAs ?? [])];
  return options.browser === true ? [...others, 'json'] : ['json', ...others];
}

/** Declares a controller's method as this endpoint. */
export function Endpoint<P extends z.ZodType, Q extends z.ZodType, B extends z.ZodType, A extends z.ZodType>(
  options: EndpointOptions<P, Q, B, A>,
): MethodDecorator {
  const known = options as unknown as AnyEndpoint;
  if ([...ENDPOINTS, ...PAGES].some((other) => other.operationId === options.operationId))
    throw new RangeError(`Two endpoints are called ${options.operationId}`);
  (known.browser === true ? PAGES : ENDPOINTS).push(known);
  return applyDecorators(
    METHODS[options.method](options.path),
    HttpCode(statusOf(known)),
    SetMetadata(ENDPOINT, known),
  );
}

/** A request as a controller receives it: known who asks, every part parsed. */
export interface Call<Params, Query, Body> {
  asker: Asker;
  params: Params;
  query: Query;
  body: Body;
  /** The version named by If-Match; present on every endpoint that `changes`. */
  expectedVersion: number;
}

export type CallOf<E> =
  E extends EndpointOptions<infer P, infer Q, infer B, z.ZodType> ? Call<z.output<P>, z.output<Q>, z.output<B>> : never;

/** What a handler of this endpoint must return: the answer before its schema has checked it. */
export type AnswerOf<E> = E extends EndpointOptions<z.ZodType, z.ZodType, z.ZodType, infer A> ? z.input<A> : never;

export interface ReceivedRequest {
  receivedCall?: Call<unknown, unknown, unknown>;
  asker?: Asker;
  /** Which endpoint it is, once the guard has looked. */
  endpoint?: AnyEndpoint;
  /** What was wrong, where something was: the answer that goes out. */
  problem?: Problem;
}

/** The parsed call, as the method's only argument. */
export const Received = createParamDecorator(
  (_: unknown, context: ExecutionContext) => context.switchToHttp().getRequest<ReceivedRequest>().receivedCall,
);
