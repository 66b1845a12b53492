import { v7 } from 'uuid';

/** A UUIDv7 (RFC 9562): sorts by time for the index. It is no secret; nothing is allowed because someone knows one. */
export function newId(): string {
  return v7();
}
