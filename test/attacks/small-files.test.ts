/* Small things that do much: a cell that is a formula, a file that unpacks to gigabytes, a password that is known. */
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { gzipSync } from 'node:zlib';
import { unpackArchive } from '../../src/access/data-rights/archive-format.js';
import { renderCsv } from '../../src/platform/http/csv.js';

describe('A cell', () => {
  it.each(['＝1+1', '＋1', '－1+1', '＠SUM(A1)', ' =1+1', '\u00a0=1', '\u200b=1', '\ufeff@x', '\n=1', ' \t＝1'])(
    'is no formula: %j',
    (text) => {
      expect(renderCsv({ columns: [{ name: 'a', type: 'text' }], rows: [[text]] }).replaceAll('"', '')).toBe(
        `a\r\n'${text}\r\n`,
      );
    },
  );

  it.each(['12-13', 'a＝b', 'Grünland', ' blank ', '-12.5'])('stays as it is: %j', (text) => {
    expect(renderCsv({ columns: [{ name: 'a', type: 'text' }], rows: [[text]] }).replaceAll('"', '')).toBe(
      `a\r\n${text}\r\n`,
    );
  });
});

describe('An archive', () => {
  it('of nothing but line ends is refused before it fills the memory', () => {
    const bomb = gzipSync(Buffer.alloc(20 * 2 ** 20, '\n'));
    expect(bomb.length).toBeLessThan(30_000);
    expect(() => unpackArchive(bomb)).toThrow(/unpacks to more than \d+ MiB/);
    expect(() => unpackArchive(gzipSync(Buffer.alloc(2 ** 19, '\n')))).toThrow(/empty line/);
  });
});

describe('The containers', () => {
  it('start with no password that everybody knows', () => {
    const compose = readFileSync(path.resolve(__dirname, '..', '..', 'docker-compose.yml'), 'utf8');
    expect(compose).not.toMatch(/PASSWORD:-/);
    expect(compose).toMatch(/POSTGRES_PASSWORD: \$\{RICKYARD_OWNER_PASSWORD:\?/);
  });
});
