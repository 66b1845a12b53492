import { createRequire } from 'node:module';
import path from 'node:path';
import { openSync, type Font } from 'fontkit';
import PDFDocument from 'pdfkit';

type Document = InstanceType<typeof PDFDocument>;

const FOLDER = path.join(path.dirname(createRequire(__filename).resolve('dejavu-fonts-ttf/package.json')), 'ttf');
const FILES = {
  Plain: 'DejaVuSansCondensed.ttf',
  Bold: 'DejaVuSansCondensed-Bold.ttf',
  Slanted: 'DejaVuSansCondensed-Oblique.ttf',
} as const;
export type PrintFont = keyof typeof FILES;

const opened = new Map<PrintFont, Font>();

/** Reading a font's tables costs more than a page: each is read once and serves every document of this thread. */
function fontOf(name: PrintFont): Font {
  const before = opened.get(name);
  if (before !== undefined) return before;
  const font = openSync(path.join(FOLDER, FILES[name])) as Font;
  opened.set(name, font);
  return font;
}

/**
 * A new document in the program's own fonts: Latin, Greek, Cyrillic and more, embedded, so that a name prints as
 * written on any machine.
 */
export function newPrint(options: PDFKit.PDFDocumentOptions): Document {
  // pdfkit takes an opened font as it takes a path, and starts with the one it is given; its types know paths alone.
  const source = (name: PrintFont) => fontOf(name) as unknown as string;
  const document = new PDFDocument({ ...options, font: source('Plain') });
  for (const name of ['Plain', 'Bold', 'Slanted'] as const) document.registerFont(name, source(name));
  return document.font('Plain');
}

/** Type of the document's current font: what it can draw. */
interface Drawing {
  _font: { font: { hasGlyphForCodePoint(point: number): boolean } };
}
const known = new Map<string, boolean>();
let probe: Drawing | undefined;

function canBePrinted(sign: string): boolean {
  const before = known.get(sign);
  if (before !== undefined) return before;
  probe ??= newPrint({ autoFirstPage: false }) as unknown as Drawing;
  const can = probe._font.font.hasGlyphForCodePoint(sign.codePointAt(0) ?? 0);
  known.set(sign, can);
  return can;
}

/**
 * A letter that the fonts lack is written without its accent, else as a question mark, so that it is seen to be
 * missing.
 */
export function printable(words: string): string {
  return [...words.normalize('NFC')]
    .map((sign) => {
      if (sign === '\n' || canBePrinted(sign)) return sign;
      const bare = sign.normalize('NFD').replaceAll(/\p{M}/gu, '');
      return bare !== '' && [...bare].every(canBePrinted) ? bare : '?';
    })
    .join('');
}
