import { createReadStream, createWriteStream } from 'node:fs';
import { createInterface } from 'node:readline';
import { PassThrough } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { createGunzip, createGzip } from 'node:zlib';

/** One answer as it was recorded. */
export interface Entry {
  /** Who asked what, in words without ids: by this an answer is found again in another recording. */
  ask: string;
  person: string;
  role: string;
  method: string;
  path: string;
  sent?: unknown;
  status: number;
  headers: Record<string, string>;
  body: unknown;
  /** SQL statements that this process sent for it, BEGIN and COMMIT among them. */
  statements: number;
}

const packed = (file: string): boolean => file.endsWith('.gz');

/** One JSON document a line; gzip where the file's name says so. */
export class RecordingWriter {
  readonly #lines;
  readonly #written: Promise<void>;

  constructor(file: string) {
    this.#lines = packed(file) ? createGzip() : new PassThrough();
    this.#written = pipeline(this.#lines, createWriteStream(file));
  }

  write(entry: Entry): void {
    this.#lines.write(`${JSON.stringify(entry)}\n`);
  }

  async close(): Promise<void> {
    this.#lines.end();
    await this.#written;
  }
}

/** The answers of a recording, in the order in which they were asked. */
export async function* readRecording(file: string): AsyncGenerator<Entry> {
  const bytes = createReadStream(file);
  const input = packed(file) ? bytes.pipe(createGunzip()) : bytes;
  for await (const line of createInterface({ input, crlfDelay: Infinity })) yield JSON.parse(line) as Entry;
}
