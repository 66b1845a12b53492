import { createHash } from 'node:crypto';
import { pipeline } from 'node:stream/promises';
import { createGzip, gunzipSync, gzipSync } from 'node:zlib';

/**
 * The archive of an operation: gzip of UTF-8 lines, each one JSON value.
 *
 * - The first line is `{"archive":"rickyard-operation","formatVersion":1,"operationId":…,"name":…,"exportedAt":…,
 *   "about":…}`.
 * - Then one line for each row, `["<table>",{…row…}]`: first the people (id, name, email), then the operation, then
 *   every other table.
 * - The last line is `{"end":true,"records":<lines between>,"sha256":"<hex of all lines before this one, each with its
 *   line feed>","seal":"<line of archive-seal.ts>"}`. A consultant's own copy has no seal.
 *
 * Decimals are JSON numbers with all their digits: read them with a parser that keeps them. Instants are ISO 8601 with
 * an offset, bytes are \x hex.
 */
const ARCHIVE_KIND = 'rickyard-operation';
const FORMAT_VERSION = 1;
/** A few kilobytes can unpack to any size; no archive written here is larger than this, about 2.5 million records. */
const UNPACKED_MOST = 500 * 2 ** 20;
/** Rows in JSON shrink to a tenth or so; what is a hundred times denser than that was made to fill the memory. */
const DENSEST = 200;
const SMALL = 2 ** 20;

export interface ArchiveHead {
  operationId: string;
  name: string;
  exportedAt: string;
}

/**
 * One record as the database wrote it: its JSON text stays text, so that no digit of a decimal goes through a float.
 */
export interface ArchiveRecord {
  table: string;
  row: string;
}

/** An archive without its last line. */
export interface PackedArchive {
  content: Buffer;
  sha256: string;
  records: number;
  tables: { table: string; records: number }[];
  audit: AuditEnd;
}

/** How far the audit in an archive goes. */
export interface AuditEnd {
  lines: number;
  /** Undefined where there is no line. */
  lastHash: string | undefined;
}

export interface UnpackedArchive {
  head: ArchiveHead;
  records: ArchiveRecord[];
  sha256: string;
  seal: string | undefined;
}

export class ArchiveProblem extends Error {
  override name = 'ArchiveProblem';
}

/** Takes the records in batches, so that neither the memory nor the other work of this thread bears them at once. */
export async function packArchive(
  head: ArchiveHead,
  batches: AsyncIterable<readonly ArchiveRecord[]>,
): Promise<PackedArchive> {
  const hash = createHash('sha256');
  const counts = new Map<string, number>();
  let [records, sha256] = [0, ''];
  let lastLine: string | undefined;
  async function* text(): AsyncGenerator<string> {
    const first = JSON.stringify({
      archive: ARCHIVE_KIND,
      formatVersion: FORMAT_VERSION,
      ...head,
      about:
        'One JSON value per line: ["table", row]. Decimals are numbers with all their digits. Secrets (passphrases, ' +
        'keys, tokens) are not in it.',
    });
    hash.update(`${first}\n`);
    yield `${first}\n`;
    for await (const batch of batches) {
      const lines = batch.map(({ table, row }) => `["${table}",${row}]\n`).join('');
      hash.update(lines);
      for (const { table } of batch) counts.set(table, (counts.get(table) ?? 0) + 1);
      lastLine = batch.findLast(({ table }) => table === 'audit_entry')?.row ?? lastLine;
      records += batch.length;
      yield lines;
    }
    sha256 = hash.digest('hex');
  }
  const content: Buffer[] = [];
  await pipeline(text(), createGzip(), async (packed: AsyncIterable<Buffer>) => {
    for await (const piece of packed) content.push(piece);
  });
  return {
    content: Buffer.concat(content),
    sha256,
    records,
    tables: [...counts].map(([table, count]) => ({ table, records: count })),
    audit: auditEnd(lastLine),
  };
}

/**
 * With its last line, which is packed by itself (a gzip file may have several members; RFC 1952, 2.2): the thread that
 * packs an archive does not have the key that seals it.
 */
export function closedArchive(
  { content, sha256, records }: Pick<PackedArchive, 'content' | 'sha256' | 'records'>,
  seal: string | undefined,
): Buffer {
  return Buffer.concat([content, gzipSync(`${JSON.stringify({ end: true, records, sha256, seal })}\n`)]);
}

/** How far the audit goes whose last line this is. */
export function auditEnd(lastLine: string | undefined): AuditEnd {
  if (lastLine === undefined) return { lines: 0, lastHash: undefined };
  const { sequence, chain_hash: lastHash } = parse<{ sequence: number; chain_hash: string }>(lastLine);
  return { lines: sequence, lastHash };
}

/** @throws ArchiveProblem where the file is not one of ours, is cut short, or was changed. */
export function unpackArchive(content: Buffer): UnpackedArchive {
  const text = textOf(content);
  // Looked for before the text is taken apart: millions of empty lines are millions of pieces.
  if (/^\n|\n\n/.test(text)) throw new ArchiveProblem('The archive holds an empty line.');
  const lines = text.split('\n');
  if (lines.pop() !== '') throw new ArchiveProblem('The archive is cut short: its last line does not end.');
  const last = parse<{ end?: unknown; records?: unknown; sha256?: unknown; seal?: unknown }>(lines.pop());
  if (last.end !== true) throw new ArchiveProblem('The archive is cut short: its closing line is missing.');
  const sha256 = createHash('sha256')
    .update(lines.map((line) => `${line}\n`).join(''))
    .digest('hex');
  if (sha256 !== last.sha256) throw new ArchiveProblem('The archive was changed: its checksum does not match.');
  const head = parse<ArchiveHead & { archive?: unknown; formatVersion?: unknown }>(lines.shift());
  if (head.archive !== ARCHIVE_KIND) throw new ArchiveProblem('This is not an archive of an operation.');
  if (head.formatVersion !== FORMAT_VERSION)
    throw new ArchiveProblem(
      `The archive has format ${String(head.formatVersion)}; this release reads format ${FORMAT_VERSION}.`,
    );
  const records = lines.map((line) => {
    const match = /^\["([a-z_]+)",(\{.*\})\]$/.exec(line);
    if (match === null) throw new ArchiveProblem('The archive holds a line that is not a record.');
    return { table: match[1] ?? '', row: match[2] ?? '' };
  });
  if (records.length !== last.records)
    throw new ArchiveProblem('The archive does not hold the number of records that it states.');
  return {
    head: { operationId: head.operationId, name: head.name, exportedAt: head.exportedAt },
    records,
    sha256,
    seal: typeof last.seal === 'string' ? last.seal : undefined,
  };
}

function textOf(content: Buffer): string {
  const most = Math.min(UNPACKED_MOST, Math.max(SMALL, content.length * DENSEST));
  try {
    return gunzipSync(content, { maxOutputLength: most }).toString('utf8');
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ERR_BUFFER_TOO_LARGE')
      throw new ArchiveProblem(
        `The archive unpacks to more than ${UNPACKED_MOST / 2 ** 20} MiB, or to more than ${DENSEST} times its size.`,
      );
    throw new ArchiveProblem('The file is not a whole gzip file.');
  }
}

function parse<T>(line: string | undefined): T {
  try {
    return JSON.parse(line ?? '') as T;
  } catch {
    throw new ArchiveProblem('The archive holds a line that is not JSON.');
  }
}
