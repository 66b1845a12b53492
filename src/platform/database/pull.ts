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
    const piece = await pieces.next();
    if (late) throw new Problem('took-too-long', 'This was not taken in time.', [], { 'Retry-After': '60' });
    return piece;
  };
  const end = async (): Promise<IteratorReturnResult<undefined>> => {
    clearTimeout(clock);
    await pieces.return(undefined);
    return { done: true, value: undefined };
  };
  let waiting: IteratorResult<string> | undefined = await next().catch(async (error: unknown) => {
    await end();
    throw error;
  });
  const take = async (): Promise<IteratorResult<string>> => {
    const piece = waiting ?? (await next());
    waiting = undefined;
    return piece.done === true ? end() : piece;
  };
  // Not a generator: one that nobody has begun to take from would not notice that nobody will.
  return { [Symbol.asyncIterator]: () => ({ next: take, return: end }) };
}
