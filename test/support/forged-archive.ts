import { createHash } from 'node:crypto';
import { gunzipSync, gzipSync } from 'node:zlib';

/**
 * An archive with other lines between head and end, closed again as whoever makes such a file would: with the right
 * checksum and count, and with a seal only where one is given.
 */
export function forgedArchive(archive: Buffer, change: (lines: string[]) => string[], seal?: string): Buffer {
  const [head = '', ...rest] = gunzipSync(archive).toString('utf8').trimEnd().split('\n');
  const lines = [head, ...change(rest.slice(0, -1))];
  const text = lines.map((line) => `${line}\n`).join('');
  const sha256 = createHash('sha256').update(text).digest('hex');
  return gzipSync(`${text}${JSON.stringify({ end: true, records: lines.length - 1, sha256, seal })}\n`);
}

/** The closing line of an archive. */
export function closingOf(archive: Buffer): { records: number; sha256: string; seal?: string } {
  return JSON.parse(gunzipSync(archive).toString('utf8').trimEnd().split('\n').at(-1) ?? '') as ReturnType<
    typeof closingOf
  >;
}
