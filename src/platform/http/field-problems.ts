import type { z } from 'zod';
import { type Choice, nearestFindings } from './nearest-form.js';
import { allowedBy, sentenceOf } from './plain-words.js';
import { type FieldProblem, pointerOf } from './problem.js';

type Part = 'path' | 'query' | 'body';

const GIVEN_MAX = 200;
/** Most problems reported for one request: more than anybody fixes at once, in an answer of a few kilobytes. */
export const PROBLEMS_MOST = 50;
const SECRET = /passphrase|token|secret|code/i;

/** zod's findings as field problems: where, what was given, what is allowed; only the first ones if there are many. */
export function fieldProblems(error: Pick<z.ZodError, 'issues'>, part: Part, input: unknown): FieldProblem[] {
  const isMissing = (path: readonly PropertyKey[]) => at(input, path) === undefined;
  return error.issues
    .slice(0, PROBLEMS_MOST)
    .flatMap((issue) => nearestFindings(issue, isMissing))
    .flatMap((found) => problemsOf(found, part, input))
    .slice(0, PROBLEMS_MOST);
}

function problemsOf(found: z.core.$ZodIssue | Choice, part: Part, input: unknown): FieldProblem[] {
  if (found.code === 'unrecognized_keys') {
    return found.keys.map((key) => ({
      ...place(part, [...found.path, key]),
      code: 'unknown-field',
      ...givenAt(input, [...found.path, key]),
      allowed: 'no field of that name',
      message: `There is no field "${key}" here.`,
    }));
  }
  return [
    {
      ...place(part, found.path),
      code: codeOf(found, input),
      ...givenAt(input, found.path),
      allowed: 'allowed' in found ? found.allowed : (ownWords(found).allowed ?? allowedBy(found)),
      message: sentenceOf(found.path, found.message),
    },
  ];
}

function codeOf(found: z.core.$ZodIssue | Choice, input: unknown): string {
  if (at(input, found.path) === undefined) return 'missing';
  return 'allowed' in found ? found.code : (ownWords(found).code ?? found.code.replaceAll('_', '-'));
}

/** What was given there, if anything, unless it is secret. */
function givenAt(input: unknown, path: readonly PropertyKey[]): Pick<FieldProblem, 'given'> {
  const given = at(input, path);
  if (given === undefined || SECRET.test(path.join('.'))) return {};
  // A body that is no object has no field that would tell whether it is a secret.
  if (path.length === 0 && !isObject(given)) return {};
  return { given: shortened(withoutSecrets(given)) };
}

const isObject = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** A whole object is echoed without what its secret fields hold. */
function withoutSecrets(given: unknown): unknown {
  if (Array.isArray(given)) return given.map(withoutSecrets);
  if (!isObject(given)) return given;
  return Object.fromEntries(
    Object.entries(given).flatMap(([name, value]) => (SECRET.test(name) ? [] : [[name, withoutSecrets(value)]])),
  );
}

function place(part: Part, path: readonly PropertyKey[]): Pick<FieldProblem, 'pointer' | 'parameter'> {
  if (part === 'body') return { pointer: pointerOf(path) };
  return { parameter: path.map(String).join('.') };
}

/** A core rule used by a schema brings its own code and allowed values. */
function ownWords(issue: z.core.$ZodIssue): { code?: string; allowed?: string } {
  return issue.code === 'custom' ? (issue.params ?? {}) : {};
}

function at(input: unknown, path: readonly PropertyKey[]): unknown {
  return path.reduce<unknown>(
    (value, step) =>
      typeof value === 'object' && value !== null ? (value as Record<PropertyKey, unknown>)[step] : undefined,
    input,
  );
}

/**
 * Input is echoed so that the person recognizes it, but cut so that it cannot flood an answer or a log; secrets are
 * never echoed.
 */
function shortened(given: unknown): unknown {
  const text = typeof given === 'string' ? given : JSON.stringify(given);
  if (text === undefined) return null;
  return text.length <= GIVEN_MAX ? given : `${text.slice(0, GIVEN_MAX)}…`;
}
