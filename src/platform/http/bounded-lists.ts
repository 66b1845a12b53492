import type { z } from 'zod';
import { PROBLEMS_MOST } from './field-problems.js';

type Schema = z.core.$ZodType;
type Payload = z.core.ParsePayload<unknown[]>;
type Reading = (payload: Payload, context: z.core.ParseContextInternal) => Payload | Promise<Payload>;

/** A list is read this many entries at a time. */
const PIECE = PROBLEMS_MOST;
const bounded = new WeakSet<Schema>();

/**
 * Makes every list of a schema stop once it has found as many problems as are reported for one request: zod by itself
 * reads a whole list, so 5,000 bad entries would each be refused at length. @returns whether the schema contains a
 * list.
 */
export function boundLists(schema: Schema): boolean {
  const seen = new Set<Schema>();
  visit(schema, seen);
  return [...seen].some(({ _zod: { def } }) => def.type === 'array' || def.type === 'record');
}

function visit(schema: Schema, seen: Set<Schema>): void {
  if (seen.has(schema)) return;
  seen.add(schema);
  for (const inner of within(schema)) visit(inner, seen);
  if (schema._zod.def.type !== 'array' || bounded.has(schema)) return;
  bounded.add(schema);
  boundList(schema as z.core.$ZodArray);
}

/** The schemas that a schema is made of. */
function within({ _zod: { def } }: Schema): Schema[] {
  if (def.type === 'lazy') return [(def as z.core.$ZodLazyDef).getter()];
  return Object.values(def).flatMap((part: unknown) =>
    isSchema(part) ? [part] : typeof part === 'object' && part !== null ? Object.values(part).filter(isSchema) : [],
  );
}

function isSchema(value: unknown): value is Schema {
  return typeof value === 'object' && value !== null && '_zod' in value && 'def' in (value._zod as object);
}

/** The length that a check allows a list. */
function mostOf(check: z.core.$ZodCheckDef): number {
  return check.check === 'max_length' ? (check as z.core.$ZodCheckMaxLengthDef).maximum : Infinity;
}

function boundList(list: z.core.$ZodArray): void {
  const inside = list._zod as z.core.$ZodArray['_zod'] & { parse: Reading; run: Reading };
  const { parse } = inside as { parse: Reading };
  const most = Math.min(...(inside.def.checks ?? []).map(({ _zod: { def } }) => mostOf(def)));
  const inPieces: Reading = (payload, context) => {
    const input: unknown = payload.value;
    // zod refuses a list that is too long before it reads any of it.
    if (!Array.isArray(input) || input.length <= PIECE || input.length > most) return parse(payload, context);
    const read: unknown[] = [];
    for (let from = 0; from < input.length && payload.issues.length < PROBLEMS_MOST; from += PIECE) {
      const piece = parse({ value: input.slice(from, from + PIECE), issues: [] }, context);
      if (piece instanceof Promise) throw new TypeError('A list of a request is read at once');
      for (const issue of piece.issues)
        payload.issues.push({ ...issue, path: [from + Number(issue.path?.[0]), ...(issue.path?.slice(1) ?? [])] });
      read.push(...piece.value);
    }
    payload.value = read;
    return payload;
  };
  if (inside.run === parse) inside.run = inPieces;
  inside.parse = inPieces;
}
