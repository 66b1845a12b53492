import { z } from 'zod';
import { pageQuery } from '../../../src/platform/http/cursor.js';
import { fieldProblems } from '../../../src/platform/http/field-problems.js';

const query = z.strictObject(pageQuery);

const read = (limit: string | undefined) => {
  const result = query.safeParse({ limit });
  return result.success ? result.data.limit : fieldProblems(result.error, 'query', { limit });
};

describe('A whole number of a query is written in digits', () => {
  it.each([
    ['1', 1],
    ['200', 200],
    ['007', 7],
    [undefined, 50],
  ])('%s is read', (limit, number) => {
    expect(read(limit)).toBe(number);
  });

  it.each(['1e2', '0x10', '1.0', ' 5', '5 ', '+5', '', 'ten', '1,000', '٣'])('"%s" is refused', (limit) => {
    expect(read(limit)).toEqual([
      {
        parameter: 'limit',
        code: 'invalid-type',
        given: limit,
        allowed: 'a whole number',
        message: 'limit must be a whole number.',
      },
    ]);
  });

  it.each([
    ['0', 'limit must be at least 1.'],
    ['-5', 'limit must be at least 1.'],
    ['201', 'limit must be at most 200.'],
  ])('%s is outside its bounds', (limit, message) => {
    expect(read(limit)).toMatchObject([{ parameter: 'limit', given: limit, message }]);
  });
});
