import type { Queries } from './types.js';

/** The books of one operation, or of several that the caller may read. */
export type Books = { readonly db: Queries } & (
  | { readonly operationId: string }
  | { readonly operationIds: readonly string[] }
);

/** The operations whose books are read; never empty. */
export function operationsOf(books: Books): string[] {
  return 'operationId' in books ? [books.operationId] : [...books.operationIds];
}
