import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';

const FOLDER = path.resolve(__dirname, '..', 'snapshots');

/**
 * Compares a generated text with the committed one. UPDATE_SNAPSHOTS=1 writes it anew; the difference is for a review
 * to read.
 */
export function snapshot(name: string, text: string): void {
  const file = path.join(FOLDER, name);
  if (process.env['UPDATE_SNAPSHOTS'] === '1') {
    mkdirSync(FOLDER, { recursive: true });
    writeFileSync(file, text);
  }
  if (!existsSync(file)) throw new Error(`test/snapshots/${name} is missing: write it with UPDATE_SNAPSHOTS=1`);
  expect(text.split('\n')).toEqual(readFileSync(file, 'utf8').split('\n'));
}
