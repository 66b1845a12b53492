import { v7 } from 'uuid';

/** A UUIDv7 (RFC 9562): sorts by time for the index. It is not a secret: knowing one does not grant anything. */
export function newId(): string {
  return v7();
}
