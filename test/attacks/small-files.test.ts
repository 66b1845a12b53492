/* Small things that do much: a cell that is a formula, a file that unpacks to gigabytes, a password that is known. */
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { gzipSync } from 'node:zlib';
import { unpackArchive } from '../../src/access/data-rights/archive-format.js';
import { asTyped, renderCsv } from '../../src/platform/http/csv.js';

describe('A cell', () => {
  const cell = (text: string): string =>
    renderCsv({ columns: [{ name: 'a', type: 'text' }], rows: [[text]] })
      .replaceAll('"', '')
      .slice('a\r\n'.length, -'\r\n'.length);

  it.each(['＝1+1', '＋1', '－1+1', '＠SUM(A1)', ' =1+1', '\u00a0=1', '\u200b=1', '\ufeff@x', "'=1", '@x;y'])(
    'is no formula: %j',
    (text) => {
      expect(cell(text)).toBe(`'${text}`);
    },
  );

  it.each([
    ['a;=1+1', "a;'=1+1"],
    ['a\t@SUM(A1)', "a\t'@SUM(A1)"],
    ['hay | -1+1', "hay |' -1+1"],
    ['a\r\n＝1', "a\r\n'＝1"],
    ['\n=1', "\n'=1"],
    [' \t＝1', " \t'＝1"],
    [';;=1;+2', ";;'=1;'+2"],
  ])('is no formula to a reader that separates by other signs: %j', (text, written) => {
    expect(cell(text)).toBe(written);
    // As such readers take a comma file apart: quotes in the middle of a cell hold nothing together.
    for (const separator of [';', '\t', '|'])
      for (const found of renderCsv({
        columns: ['a', 'b'].map((name) => ({ name, type: 'text' as const })),
        rows: [['hay', text]],
      }).split(new RegExp(`[\r\n${separator}]`)))
        expect(found.replace(/^hay,/, '').trim()).not.toMatch(/^"?[=+\-@\uff1d\uff0b\uff0d\uff20]/u);
  });

  it.each(["'=1", "''=1;'x", 'a;=1+1', "a;'=1", '\t-', "it's", '-12.5', "'-12.5", ';|\r\n;-x'])(
    'that an import reads is as it was typed: %j',
    (text) => {
      expect(asTyped(cell(text))).toBe(text);
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
