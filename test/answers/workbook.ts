import { inflateRawSync } from 'node:zlib';

/** The number formats of Office Open XML that a workbook may name without writing them down (ECMA-376-1, 18.8.30). */
const BUILT_IN: Readonly<Record<number, string>> = { 1: '0', 2: '0.00', 3: '#,##0', 4: '#,##0.00' };

export interface Sheet {
  name: string;
  /** A text as it is, a number with its format, an empty cell as null. */
  rows: (string | { number: string; format: string | null } | null)[][];
}

/** What a reader sees in a workbook, whatever program wrote it: names of sheets, texts, numbers with their formats. */
export function sheetsOf(bytes: Buffer): Sheet[] {
  const files = unzipped(bytes);
  const file = (name: string): string => files.get(name)?.toString('utf8') ?? '';
  const formats = formatsOf(file('xl/styles.xml'));
  const shared = elements(file('xl/sharedStrings.xml'), 'si').map(({ inside }) => textsIn(inside));
  const targets = new Map(
    elements(file('xl/_rels/workbook.xml.rels'), 'Relationship').map(({ attribute }) => [
      attribute('Id'),
      attribute('Target').replace(/^\/?(xl\/)?/, 'xl/'),
    ]),
  );
  return elements(file('xl/workbook.xml'), 'sheet').map(({ attribute }) => ({
    name: attribute('name'),
    rows: elements(file(targets.get(attribute('r:id')) ?? ''), 'row').map((row) =>
      cellsOf(row.inside, shared, formats),
    ),
  }));
}

function cellsOf(row: string, shared: readonly string[], formats: readonly (string | null)[]): Sheet['rows'][number] {
  const cells: Sheet['rows'][number] = [];
  for (const { attribute, inside } of elements(row, 'c')) {
    const letters = attribute('r').replace(/\d+$/, '');
    const at = [...letters].reduce((sum, letter) => sum * 26 + letter.charCodeAt(0) - 64, 0) - 1;
    while (cells.length < at) cells.push(null);
    const value = elements(inside, 'v')[0]?.inside;
    const kind = attribute('t');
    if (kind === 'inlineStr') cells.push(textsIn(inside));
    else if (value === undefined) cells.push(null);
    else if (kind === 's') cells.push(shared[Number(value)] ?? null);
    else if (kind === 'str') cells.push(plain(value));
    else cells.push({ number: value, format: formats[Number(attribute('s'))] ?? null });
  }
  while (cells.at(-1) === null) cells.pop();
  return cells;
}

/** The format of each style of a cell, in order; null where a number shows as it is. */
function formatsOf(styles: string): (string | null)[] {
  const own = new Map(
    elements(styles, 'numFmt').map(({ attribute }) => [attribute('numFmtId'), attribute('formatCode')]),
  );
  const used = elements(styles, 'cellXfs')[0]?.inside ?? '';
  return elements(used, 'xf').map(({ attribute }) => {
    const id = attribute('numFmtId');
    return own.get(id) ?? BUILT_IN[Number(id)] ?? null;
  });
}

interface Element {
  inside: string;
  attribute: (name: string) => string;
}

function elements(xml: string, name: string): Element[] {
  const pattern = new RegExp(`<${name}(\\s[^>]*?)?(?:/>|>([\\s\\S]*?)</${name}>)`, 'g');
  return [...xml.matchAll(pattern)].map(([, attributes = '', inside = '']) => ({
    inside,
    attribute: (wanted) => plain(new RegExp(`\\s${wanted}="([^"]*)"`).exec(attributes)?.[1] ?? ''),
  }));
}

function textsIn(xml: string): string {
  return elements(xml, 't')
    .map(({ inside }) => plain(inside))
    .join('');
}

const ENTITIES: Readonly<Record<string, string>> = { lt: '<', gt: '>', quot: '"', apos: "'", amp: '&' };

function plain(xml: string): string {
  return xml.replaceAll(/&(?:#(\d+)|#x([0-9a-f]+)|(lt|gt|quot|apos|amp));/gi, (_whole, decimal, hex, name) =>
    name !== undefined
      ? (ENTITIES[String(name)] ?? '')
      : String.fromCodePoint(decimal !== undefined ? Number(decimal) : parseInt(String(hex), 16)),
  );
}

/** The files of a zip archive, by its central directory (APPNOTE.TXT, 4.3.12). */
function unzipped(bytes: Buffer): Map<string, Buffer> {
  const end = bytes.lastIndexOf(Buffer.from('PK\x05\x06', 'latin1'));
  const files = new Map<string, Buffer>();
  let at = bytes.readUInt32LE(end + 16);
  for (let left = bytes.readUInt16LE(end + 10); left > 0; left -= 1) {
    const [packed, size] = [bytes.readUInt16LE(at + 10) === 8, bytes.readUInt32LE(at + 20)];
    const [nameLength, extra, comment] = [28, 30, 32].map((offset) => bytes.readUInt16LE(at + offset)) as [
      number,
      number,
      number,
    ];
    const local = bytes.readUInt32LE(at + 42);
    const begins = local + 30 + bytes.readUInt16LE(local + 26) + bytes.readUInt16LE(local + 28);
    const content = bytes.subarray(begins, begins + size);
    files.set(bytes.toString('utf8', at + 46, at + 46 + nameLength), packed ? inflateRawSync(content) : content);
    at += 46 + nameLength + extra + comment;
  }
  return files;
}
