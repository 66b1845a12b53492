/* DEVELOPERS.md and README.md name files and folders of this checkout; each is there. */
import { existsSync, readFileSync } from 'node:fs';
import path from 'node:path';

const CHECKOUT = path.resolve(__dirname, '..', '..');
/** What stands in backticks and begins with a folder of the checkout, or of `src`. */
const NAMED = /`((?:src|test|prisma|seed|core|records|desk|office|access|platform|pages|commands)\/[\w./-]*[\w])`/g;

function missing(page: string): { named: string[]; missing: string[] } {
  const text = readFileSync(path.join(CHECKOUT, page), 'utf8');
  const named = [...new Set([...text.matchAll(NAMED)].map(([, name]) => name ?? ''))];
  const isThere = (name: string): boolean => [name, `src/${name}`].some((one) => existsSync(path.join(CHECKOUT, one)));
  return { named, missing: named.filter((name) => !isThere(name)) };
}

it('DEVELOPERS.md names what is there', () => {
  const { named, missing: gone } = missing('DEVELOPERS.md');
  expect(named.length).toBeGreaterThan(20);
  expect(gone).toEqual([]);
});

it('README.md names what is there', () => {
  expect(missing('README.md').missing).toEqual([]);
});

it('twelve questions of a newcomer are answered with a path each', () => {
  const text = readFileSync(path.join(CHECKOUT, 'DEVELOPERS.md'), 'utf8');
  const questions = (text.split('## Where would I…')[1] ?? '').split('\n## ')[0]?.match(/^- ….*\?.*`.+`/gm) ?? [];
  expect(questions).toHaveLength(12);
});
