import { inflateSync } from 'node:zlib';

/**
 * The words of a PDF with embedded fonts: glyph numbers are turned back into letters by each font's ToUnicode table
 * (ISO 32000-1, 9.10.3), which search and copy in a PDF reader use. Runs of one line stay together; runs are separated
 * by spaces.
 */
export function printedWords(pdf: Buffer): string {
  const objects = objectsOf(pdf);
  const fonts = new Map<string, Map<number, string>>();
  for (const { head } of objects.values()) {
    for (const [, name, number] of head.matchAll(/\/(F\d+) (\d+) 0 R/g)) {
      const table = /\/ToUnicode (\d+) 0 R/.exec(objects.get(Number(number))?.head ?? '')?.[1];
      if (name !== undefined && table !== undefined)
        fonts.set(name, lettersOf(objects.get(Number(table))?.stream ?? ''));
    }
  }
  const words: string[] = [];
  for (const { stream } of objects.values()) {
    if (!/ TJ\b/.test(stream)) continue;
    let font: ReadonlyMap<number, string> | undefined;
    for (const [, name, run] of stream.matchAll(/\/(F\d+) [\d.]+ Tf|\[([^\]]*)\] TJ/g)) {
      if (name !== undefined) font = fonts.get(name);
      else
        words.push(
          [...(run ?? '').matchAll(/<([0-9a-f]*)>/gi)]
            .flatMap(([, hex]) => (hex?.match(/.{4}/g) ?? []).map((glyph) => font?.get(parseInt(glyph, 16)) ?? ''))
            .join(''),
        );
    }
  }
  return words.join(' ');
}

interface PdfObject {
  head: string;
  /** Inflated; empty if there is none or it is not text. */
  stream: string;
}

function objectsOf(pdf: Buffer): Map<number, PdfObject> {
  const objects = new Map<number, PdfObject>();
  const text = pdf.toString('latin1');
  for (const match of text.matchAll(/(?:^|\n)(\d+) 0 obj\n/g)) {
    const begin = match.index + match[0].length;
    const end = text.indexOf('\nendobj', begin);
    const streamAt = text.indexOf('\nstream\n', begin);
    const hasStream = streamAt >= 0 && streamAt < end;
    objects.set(Number(match[1]), {
      head: text.slice(begin, hasStream ? streamAt : end),
      stream: hasStream ? inflated(pdf.subarray(streamAt + 8, text.indexOf('\nendstream', streamAt))) : '',
    });
  }
  return objects;
}

function inflated(bytes: Buffer): string {
  try {
    return inflateSync(bytes).toString('latin1');
  } catch {
    return bytes.toString('latin1');
  }
}

/** Ranges of a ToUnicode table, each with its letters in order. */
function lettersOf(table: string): Map<number, string> {
  const letters = new Map<number, string>();
  for (const [, from, list] of table.matchAll(/<([0-9a-f]{4})> <[0-9a-f]{4}> \[([^\]]*)\]/gi)) {
    [...(list ?? '').matchAll(/<([0-9a-f ]*)>/gi)].forEach(([, hex], index) => {
      letters.set(
        parseInt(from ?? '0', 16) + index,
        Buffer.from((hex ?? '').replaceAll(' ', ''), 'hex')
          .swap16()
          .toString('utf16le'),
      );
    });
  }
  return letters;
}
