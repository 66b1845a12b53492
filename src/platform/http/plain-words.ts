import { counted } from '../../core/units/counted.js';
import { z } from 'zod';
import { daysInMonth } from '../../core/time/calendar-day.js';

/**
 * zod's findings in plain words. A message that begins with a lower-case letter says something about a field ("is
 * required", "must not be empty"), and `sentenceOf` puts the field's name before it; any other is a whole sentence. A
 * schema's own message takes precedence.
 */
type Found = Pick<z.core.$ZodIssue, 'code'> & { input?: unknown };

z.config({ customError: (issue) => wordsOf(issue as z.core.$ZodIssue & Found) });

function wordsOf(issue: z.core.$ZodIssue & Found): string | undefined {
  if (issue.input === undefined && WANTS_A_VALUE.has(issue.code)) return 'is required';
  switch (issue.code) {
    case 'invalid_type':
    case 'invalid_value':
    case 'not_multiple_of':
      return `must be ${allowedBy(issue)}`;
    case 'too_small':
    case 'too_big':
      return sizeWords(issue);
    case 'invalid_format':
      return formatWords(issue.format, issue.input);
    case 'invalid_union':
      return unionWords(issue);
    default:
      return undefined;
  }
}

const WANTS_A_VALUE = new Set<string>(['invalid_type', 'invalid_value', 'invalid_union']);

type Sized = Extract<z.core.$ZodIssue, { code: 'too_small' | 'too_big' }>;

function sizeWords(issue: Sized): string {
  const counted = issue.origin === 'string' || issue.origin === 'array';
  if (counted && issue.code === 'too_small' && Number(issue.minimum) === 1) return 'must not be empty';
  return `must ${counted ? 'have' : 'be'} ${allowedBy(issue)}`;
}

function unionWords(issue: Extract<z.core.$ZodIssue, { code: 'invalid_union' }> & Found): string | undefined {
  const { discriminator } = issue;
  if (discriminator === undefined) return 'must have one of the forms that are described';
  const given = (issue.input as Record<string, unknown> | null)?.[discriminator];
  return given === undefined ? 'is required' : `must be ${allowedBy(issue)}`;
}

function formatWords(format: string, given: unknown): string {
  if (format === 'date') return noSuchDay(given) ?? 'Use YYYY-MM-DD.';
  const form = FORMATS[format];
  return form === undefined ? 'has a form that cannot be used' : `must be ${form}`;
}

/** A day in the right form that does not exist. */
function noSuchDay(given: unknown): string | undefined {
  const [, year, month, day] = /^(\d{4})-(\d\d)-(\d\d)$/.exec(String(given)) ?? [];
  if (year === undefined) return undefined;
  const name = MONTHS[Number(month) - 1];
  if (name === undefined) return `Month ${Number(month)} does not exist.`;
  const inAnyYear = Number(day) > 0 && Number(day) <= daysInMonth(2000, Number(month));
  return `${name} ${Number(day)}${inAnyYear ? `, ${year},` : ''} does not exist.`;
}

/** What a field takes, as worded after "must be". */
export function allowedBy(issue: z.core.$ZodIssue): string {
  switch (issue.code) {
    case 'invalid_value':
      return oneOf(issue.values.map(String));
    case 'invalid_type':
      return typeWords(issue.expected);
    case 'too_small':
      return bound(issue.inclusive === false ? 'more than' : 'at least', issue.minimum, issue.origin);
    case 'too_big':
      return bound(issue.inclusive === false ? 'less than' : 'at most', issue.maximum, issue.origin);
    case 'not_multiple_of':
      return `a multiple of ${issue.divisor}`;
    case 'invalid_format':
      return FORMATS[issue.format] ?? issue.message;
    case 'invalid_union':
      return optionsOf(issue) ?? issue.message;
    default:
      return issue.message;
  }
}

/** The kinds of a union with a discriminator; the finding is put on that field. */
function optionsOf(issue: z.core.$ZodIssue): string | undefined {
  const { options } = issue as { options?: readonly unknown[] };
  return options === undefined ? undefined : oneOf(options.map(String));
}

export function typeWords(expected: string): string {
  return TYPES[expected] ?? expected;
}

const oneOf = (words: readonly string[]) => (words.length === 1 ? words.join() : `one of ${words.join(', ')}`);

function bound(words: string, limit: number | bigint, origin: string): string {
  const noun = origin === 'string' ? 'character' : origin === 'array' ? 'item' : undefined;
  return `${words} ${noun === undefined ? String(limit) : counted(Number(limit), noun)}`;
}

/** "herdId is required." from a field's path and what is said about it. */
export function sentenceOf(path: readonly PropertyKey[], message: string): string {
  const saysOfAField = /^[a-z]/.test(message);
  const sentence = saysOfAField ? `${nameOf(path)} ${message}` : message;
  return /[.!?]$/.test(sentence) ? sentence : `${sentence}.`;
}

/** A field's name as a person would look for it: `weight.unit`, `layers[0]`. */
function nameOf(path: readonly PropertyKey[]): string {
  const last = path.at(-1);
  if (last === undefined) return 'The body';
  const before = path.slice(0, -1);
  if (typeof last === 'number') return before.length === 0 ? `Item ${last + 1}` : `${nameOf(before)}[${last}]`;
  return PARTS_OF_A_FIGURE.has(last) && before.length > 0 ? `${nameOf(before)}.${String(last)}` : String(last);
}

/** Names that do not by themselves tell which figure is meant. */
const PARTS_OF_A_FIGURE = new Set<PropertyKey>(['value', 'unit', 'amount', 'per', 'basis']);

const TYPES: Readonly<Record<string, string>> = {
  string: 'text',
  number: 'a number',
  int: 'a whole number',
  boolean: 'true or false',
  array: 'a list',
  object: 'an object',
  record: 'an object',
};

const FORMATS: Readonly<Record<string, string>> = {
  date: 'a day written YYYY-MM-DD',
  datetime: 'an instant in RFC 3339 with its offset, such as 2027-01-15T07:30:00-07:00',
  uuid: 'a UUID',
  email: 'an email address',
};

const MONTHS = [
  'January',
  'February',
  'March',
  'April',
  'May',
  'June',
  'July',
  'August',
  'September',
  'October',
  'November',
  'December',
];
