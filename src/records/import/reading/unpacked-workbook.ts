import { buffer } from 'node:stream/consumers';
import { type Entry, fromBufferPromise, type ZipFile } from 'yauzl';
import { FILE_BOUNDS } from './file-bounds.data.js';
import { tooMuchUnpacked } from './file-measure.js';

/** The parts of a workbook by their names, as text. */
export type Parts = ReadonlyMap<string, string>;

/**
 * Unpacks the XML of a workbook, in memory only: a name leads nowhere but to its part, and one that points outside, or
 * that comes twice, is refused. Sizes are added up as the archive states them before anything is unpacked, and a part
 * that turns out larger than stated ends there; parts that share their bytes are refused.
 * @throws BeyondBounds, or Error where it is no archive
 */
export async function unpackedWorkbook(bytes: Buffer): Promise<Parts> {
  const archive = await fromBufferPromise(bytes, { lazyEntries: true });
  const entries = await partsOf(archive, bytes.length);
  const parts = new Map<string, string>();
  for (const entry of entries) {
    if (parts.has(entry.fileName)) throw new Error(`It has two parts named ${entry.fileName.slice(0, 100)}.`);
    parts.set(entry.fileName, (await buffer(await archive.openReadStreamPromise(entry))).toString('utf8'));
  }
  return parts;
}

async function partsOf(archive: ZipFile, packed: number): Promise<Entry[]> {
  const entries: Entry[] = [];
  let [unpacked, stored, count] = [0, 0, 0];
  for await (const entry of archive.eachEntry()) {
    count += 1;
    stored += entry.compressedSize;
    if (count > FILE_BOUNDS.parts) throw tooMuchUnpacked(`more than ${FILE_BOUNDS.parts} parts`);
    if (stored > packed) throw new Error('Its parts share their bytes.');
    if (!/\.(?:xml|rels)$/.test(entry.fileName)) continue;
    unpacked += entry.uncompressedSize;
    if (unpacked > FILE_BOUNDS.bytes) throw tooMuchUnpacked(`${unpacked} bytes and more`);
    entries.push(entry);
  }
  return entries;
}
