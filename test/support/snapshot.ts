import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';

const CHECKOUT = path.resolve(__dirname, '..', '..');

/**
 * Compares a generated text with the committed one. UPDATE_SNAPSHOTS=1 rewrites it; the difference is for a reviewer to
 * read.
 */
export function snapshot(name: string, text: string): void {
  generated(`test/snapshots/${name}`, text);
}

/** The same for a file elsewhere, with its path from the checkout. */
export function generated(name: string, text: string): void {
  const file = path.join(CHECKOUT, name);
  if (process.env['UPDATE_SNAPSHOTS'] === '1') {
    mkdirSync(path.dirname(file), { recursive: true });
    writeFileSync(file, text);
  }
  if (!existsSync(file)) throw new Error(`${name} is missing: write it with UPDATE_SNAPSHOTS=1`);
  expect(text.split('\n')).toEqual(readFileSync(file, 'utf8').split('\n'));
}
