import type { z } from 'zod';
import type { FieldProblem } from './problem.js';

type Part = 'path' | 'query' | 'body';

const GIVEN_MAX = 200;
const SECRET = /passphrase|token|secret|code/i;

/** zod's findings as field problems: where, what was given, what is allowed. */
export function fieldProblems(error: z.ZodError, part: Part, input: unknown): FieldProblem[] {
  return error.issues.flatMap((issue) => problemsOfIssue(issue, part, input));
}

function problemsOfIssue(issue: z.core.$ZodIssue, part: Part, input: unknown): FieldProblem[] {
  if (issue.code === 'unrecognized_keys') {
    return issue.keys.map((key) => ({
      ...place(part, [...issue.path, key]),
      code: 'unknown-field',
      allowed: 'no field of that name',
      message: `There is no field "${key}" here.`,
    }));
  }
  const given = at(input, issue.path);
  return [
    {
      ...place(part, issue.path),
      code: given === undefined ? 'missing' : (ownWords(issue).code ?? issue.code.replaceAll('_', '-')),
      ...(given === undefined || SECRET.test(issue.path.join('.')) ? {} : { given: shortened(given) }),
      allowed: allowedBy(issue),
      message: issue.message,
    },
  ];
}

function place(part: Part, path: readonly PropertyKey[]): Pick<FieldProblem, 'pointer' | 'parameter'> {
  if (part === 'body')
    return {
      pointer: `#${path.map((step) => `/${String(step).replaceAll('~', '~0').replaceAll('/', '~1')}`).join('')}`,
    };
  return { parameter: path.map(String).join('.') };
}

function allowedBy(issue: z.core.$ZodIssue): string {
  switch (issue.code) {
    case 'invalid_value':
      return `one of ${issue.values.map(String).join(', ')}`;
    case 'invalid_type':
      return `a value of type ${issue.expected}`;
    case 'too_small':
      return `${issue.inclusive === false ? 'more than' : 'at least'} ${String(issue.minimum)}${counted(issue.origin)}`;
    case 'too_big':
      return `${issue.inclusive === false ? 'less than' : 'at most'} ${String(issue.maximum)}${counted(issue.origin)}`;
    case 'invalid_format':
      return FORMATS[issue.format] ?? issue.message;
    case 'invalid_union':
      return unionAllowed(issue);
    default:
      return ownWords(issue).allowed ?? issue.message;
  }
}

/** A rule of the core that a schema asks brings its own code and what it allows. */
function ownWords(issue: z.core.$ZodIssue): { code?: string; allowed?: string } {
  return issue.code === 'custom' ? (issue.params ?? {}) : {};
}

function unionAllowed(issue: Extract<z.core.$ZodIssue, { code: 'invalid_union' }>): string {
  const each = issue.errors.flatMap((branch) => branch.map((inner) => allowedBy(inner)));
  return each.length === 0 ? issue.message : [...new Set(each)].join(', or ');
}

function counted(origin: string): string {
  if (origin === 'string') return ' characters';
  return origin === 'array' ? ' items' : '';
}

const FORMATS: Readonly<Record<string, string>> = {
  date: 'a day written YYYY-MM-DD',
  datetime: 'an instant in RFC 3339 with its offset, such as 2027-01-15T07:30:00-07:00',
  uuid: 'a UUID',
  email: 'an email address',
};

function at(input: unknown, path: readonly PropertyKey[]): unknown {
  return path.reduce<unknown>(
    (value, step) =>
      typeof value === 'object' && value !== null ? (value as Record<PropertyKey, unknown>)[step] : undefined,
    input,
  );
}

/**
 * Input is echoed so that the person recognises it, but never at a length that could flood an answer or a log; secrets
 * never.
 */
function shortened(given: unknown): unknown {
  const text = typeof given === 'string' ? given : JSON.stringify(given);
  if (text === undefined) return null;
  return text.length <= GIVEN_MAX ? given : `${text.slice(0, GIVEN_MAX)}…`;
}
