/* A schema reads no further into a list than it takes to refuse it. */
import { z } from 'zod';
import { PROBLEMS_MOST } from '../../../src/platform/http/field-problems.js';
import { boundLists } from '../../../src/platform/http/bounded-lists.js';

describe('Reading a list', () => {
  let read = 0;
  const counted = z.unknown().transform((value, context) => {
    read += 1;
    if (value !== 'good') context.addIssue({ code: 'custom', message: 'must be good' });
    return value;
  });
  const findings = (schema: z.ZodType, value: unknown): string[] => {
    boundLists(schema);
    read = 0;
    return schema.safeParse(value).error?.issues.map(({ path }) => path.join('/')) ?? [];
  };
  const list = (good: number, bad: number): string[] => [
    ...Array.from({ length: good }, () => 'good'),
    ...Array.from({ length: bad }, () => 'bad'),
  ];

  it('goes on to the end where all of it is good', () => {
    expect(findings(z.array(counted), list(1_000, 0))).toEqual([]);
    expect(read).toBe(1_000);
  });

  it('keeps what was read, and the place of what is wrong', () => {
    const schema = z.strictObject({ lots: z.array(z.array(counted).max(300)).min(1).optional() });
    boundLists(schema);
    expect(schema.parse({ lots: [list(120, 0)] })).toEqual({ lots: [list(120, 0)] });
    expect(findings(schema, { lots: [list(120, 2)] })).toEqual(['lots/0/120', 'lots/0/121']);
  });

  it('stops once it has found as much as is ever told', () => {
    expect(findings(z.array(counted), list(100, 10_000)).length).toBeGreaterThanOrEqual(PROBLEMS_MOST);
    expect(read).toBeLessThanOrEqual(100 + 2 * PROBLEMS_MOST);
  });

  it('reads nothing of a list that is too long', () => {
    expect(findings(z.strictObject({ a: z.array(counted).max(60) }), { a: list(0, 10_000) })).toEqual(['a']);
    expect(read).toBe(0);
  });

  it.each([
    ['a choice of forms', (inner: z.ZodType) => z.union([z.strictObject({ list: inner }), z.string()])],
    [
      'one kind of several',
      (inner: z.ZodType) => z.discriminatedUnion('k', [z.strictObject({ k: z.literal('a'), list: inner })]),
    ],
    ['what is piped', (inner: z.ZodType) => z.unknown().pipe(z.strictObject({ list: inner }))],
    ['what is read later', (inner: z.ZodType) => z.lazy(() => z.strictObject({ list: inner }))],
    ['what is computed from it', (inner: z.ZodType) => z.strictObject({ list: inner }).transform((value) => value)],
  ])('within %s', (_, around) => {
    findings(around(z.array(counted).default([]).nullable()), { k: 'a', list: list(0, 5_000) });
    expect(read).toBeLessThanOrEqual(2 * PROBLEMS_MOST);
  });
});
