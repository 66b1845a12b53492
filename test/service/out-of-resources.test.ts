/* PostgreSQL's own codes (manual, appendix A, class 53): what it has run out of is told, since waiting helps little. */
import files from 'node:fs/promises';
import { problemOfDatabaseError } from '../../src/platform/database/database-errors.js';
import { diskWarning } from '../../src/platform/embedded/disk-warnings.js';

it.each([
  ['53100', /disk of the database is full/],
  ['53200', /out of memory/],
  ['53300', /no connection left/],
  ['53400', /limit of its settings/],
  ['53999', /out of resources/],
])('%s is told in words', (code, words) => {
  const problem = problemOfDatabaseError(Object.assign(new Error('could not extend file'), { code }));
  expect([problem?.code, problem?.headers]).toEqual(['not-ready', { 'Retry-After': '2' }]);
  expect(problem?.detail).toMatch(words);
});

it('a disk is told as full when no two files of the log have room, and not before', async () => {
  const statfs = jest.spyOn(files, 'statfs');
  const free = (bavail: number) => statfs.mockResolvedValueOnce({ bavail, bsize: 4096 } as never);
  free(1000);
  expect(await diskWarning('/books')).toBe(
    'The disk of the books (/books) is full: 4 MB are free. What cannot be saved answers 503.',
  );
  free(100_000);
  expect(await diskWarning('/books')).toBeUndefined();
  statfs.mockRestore();
});
