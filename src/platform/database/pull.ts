import { createHash } from 'node:crypto';
import { Problem } from '../http/problem.js';

/**
 * What somebody takes piece by piece, for so long at most: however slowly it is taken, what it holds open is let go
 * then, and the taker gets an error, never an end that looks like the whole. The first piece is waited for, so that
 * what fails before it is a problem like any other.
 */
export async function pulledWithin(pieces: AsyncGenerator<string>, mostMs: number): Promise<AsyncIterable<string>> {
  let late = false;
  const clock = setTimeout(() => {
    late = true;
    void pieces.return(undefined).catch(() => undefined);
  }, mostMs);
  const next = async (): Promise<IteratorResult<string>> => {
    const piece = await pieces.next().catch((error: unknown) => {
      clearTimeout(clock);
      throw error;
    });
    if (late) throw new Problem('took-too-long', 'This was not taken in time.', [], { 'Retry-After': '60' });
    return piece;
  };
  const end = async (): Promise<IteratorReturnResult<undefined>> => {
    clearTimeout(clock);
    await pieces.return(undefined);
    return { done: true, value: undefined };
  };
  let waiting: IteratorResult<string> | undefined = await next();
  const take = async (): Promise<IteratorResult<string>> => {
    const piece = waiting ?? (await next());
    waiting = undefined;
    return piece.done === true ? end() : piece;
  };
  // Not a generator: one that nobody has begun to take from would not notice that nobody will.
  return { [Symbol.asyncIterator]: () => ({ next: take, return: end }) };
}

/** What of a text has been taken so far: how much, and by what it is known again. */
export class TextSoFar {
  length = 0;
  readonly #digest = createHash('sha256');

  add(piece: string): void {
    this.length += piece.length;
    // Exact wherever a piece is cut, even inside a letter.
    this.#digest.update(piece, 'utf16le');
  }

  /** Whether `other`, which is as long, is the same text. */
  is(other: TextSoFar): boolean {
    return this.#digest.copy().digest().equals(other.#digest.copy().digest());
  }
}

/**
 * The rest of a text of which `taken` was taken elsewhere. What was taken is made once more and held against that, so
 * that the whole is the text as it is made here. @throws Problem where the text begins otherwise here.
 */
export async function* continued(taken: TextSoFar, pieces: AsyncIterable<string>): AsyncGenerator<string> {
  const again = new TextSoFar();
  for await (const piece of pieces) {
    const missing = taken.length - again.length;
    if (missing === 0) {
      yield piece;
      continue;
    }
    again.add(piece.slice(0, missing));
    if (again.length < taken.length) continue;
    if (!taken.is(again)) throw changedMeanwhile();
    if (piece.length > missing) yield piece.slice(missing);
  }
  if (again.length < taken.length) throw changedMeanwhile();
}

function changedMeanwhile(): Problem {
  return new Problem('not-ready', 'The database was lost while this was taken. Take it again.', [], {
    'Retry-After': '2',
  });
}
