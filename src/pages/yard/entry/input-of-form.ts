import { fieldProblems } from '../../../platform/http/field-problems.js';
import { Problem } from '../../../platform/http/problem.js';
import { bodyOfFields, type Typed } from './body-of-fields.js';
import type { EntryKind } from './entry-kinds.js';

/** What the API address is sent, with every field that cannot be used told at once. @throws Problem invalid-input */
export function inputOfForm(
  kind: EntryKind,
  operationId: string,
  { once: _once, by: _by, told: _told, ...typed }: Typed,
): { params: object; body: unknown } {
  const { endpoint, fixed = {}, inPath = [], expand = (same) => same } = kind;
  const all = expand(typed);
  const ofPath = Object.fromEntries(inPath.map((name) => [name, all[name]?.trim() || undefined]));
  const ofBody = Object.fromEntries(Object.entries(all).filter(([name]) => !inPath.includes(name)));
  const body = bodyOfFields(endpoint, { ...ofBody, ...fixed });
  const params = endpoint.params?.safeParse({ operationId, ...ofPath });
  const parsed = endpoint.body?.safeParse(body);
  const problems = [
    ...(params?.success === false ? fieldProblems(params.error, 'body', { operationId, ...ofPath }) : []),
    ...(parsed?.success === false ? fieldProblems(parsed.error, 'body', body) : []),
  ];
  if (problems.length > 0) throw new Problem('invalid-input', undefined, problems);
  return { params: params?.data as object, body: parsed?.data };
}
