import { closeSync, copyFileSync, existsSync, openSync, readSync, statSync, truncateSync } from 'node:fs';
import path from 'node:path';

const MOST_BYTES = 10_000_000;
const LAST_WORDS_BYTES = 4000;
/** Whoever looks whether it is ready yet is told so each time; what matters stands between those lines. */
const NOT_YET = /^.*FATAL: {2}the database system is (?:starting up|not yet accepting connections)\n/gm;
const READ_BYTES = 200_000;

/** The log that one start of PostgreSQL writes to. */
interface Output {
  /** The open file, for the program. */
  file: number;
  /** Closes this process's handle; the program keeps its own. */
  close: () => void;
  /** The last lines since this start. */
  said: () => string;
}

/**
 * The embedded PostgreSQL's log, `postgres.log` in the data folder; above ten megabytes it is moved to
 * `postgres.log.1`.
 */
export class PostgresLog {
  readonly path: string;

  constructor(dataFolder: string) {
    this.path = path.join(dataFolder, 'postgres.log');
  }

  open(): Output {
    this.rotate();
    const file = openSync(this.path, 'a', 0o600);
    const from = statSync(this.path).size;
    return { file, close: () => closeSync(file), said: () => this.#lastWords(from) };
  }

  /** Copied and emptied, since the running program keeps writing to the end of the same file. */
  rotate(): void {
    if (!existsSync(this.path) || statSync(this.path).size < MOST_BYTES) return;
    copyFileSync(this.path, `${this.path}.1`);
    truncateSync(this.path);
  }

  #lastWords(from: number): string {
    const { size } = statSync(this.path);
    const start = Math.max(from, size - READ_BYTES, 0);
    const words = Buffer.alloc(Math.max(0, size - start));
    const file = openSync(this.path, 'r');
    try {
      readSync(file, words, 0, words.length, start);
    } finally {
      closeSync(file);
    }
    return words.toString('utf8').replaceAll(NOT_YET, '').slice(-LAST_WORDS_BYTES);
  }
}
