import { createRequire } from 'node:module';
import path from 'node:path';
import PDFDocument from 'pdfkit';

type Document = InstanceType<typeof PDFDocument>;

const FOLDER = path.join(path.dirname(createRequire(__filename).resolve('dejavu-fonts-ttf/package.json')), 'ttf');
const FILES = {
  Plain: 'DejaVuSansCondensed.ttf',
  Bold: 'DejaVuSansCondensed-Bold.ttf',
  Slanted: 'DejaVuSansCondensed-Oblique.ttf',
} as const;
export type PrintFont = keyof typeof FILES;

/**
 * A new document in the program's own fonts: Latin, Greek, Cyrillic and more, embedded, so that a name prints anywhere
 * as it was written.
 */
export function newPrint(options: PDFKit.PDFDocumentOptions): Document {
  const document = new PDFDocument({ ...options, font: path.join(FOLDER, FILES.Plain) });
  for (const [name, file] of Object.entries(FILES)) document.registerFont(name, path.join(FOLDER, file));
  return document.font('Plain');
}

/** A document knows at any time what its present font can draw; this says it in a type. */
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
 * What the fonts have no letter for is written without its accent, else as a question mark: seen to be missing, and not
 * left out.
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
