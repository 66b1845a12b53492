import { createHash } from 'node:crypto';
import { Problem } from './problem.js';

/**
 * A strong ETag: the record's version, and a digest of this very representation. The version is what a change is
 * measured by; the digest tells apart other units, and figures that follow from other records (a balance, a head count)
 * and move without a new version.
 */
export function etagOf(version: number, representation: unknown): string {
  return `"${version}-${createHash('sha256').update(JSON.stringify(representation)).digest('base64url').slice(0, 16)}"`;
}

/** The version that an If-Match header names. @throws Problem if it is missing or is not one of our ETags. */
export function versionOf(ifMatch: string | undefined): number {
  if (ifMatch === undefined || ifMatch.trim() === '' || ifMatch.trim() === '*')
    throw new Problem('precondition-missing');
  const match = /^"(\d{1,9})-[A-Za-z0-9_-]{16}"$/.exec(ifMatch.trim());
  // Weak or foreign tags never match: If-Match compares strongly (RFC 9110, 13.1.1).
  if (match?.[1] === undefined) throw new Problem('changed-meanwhile');
  return Number(match[1]);
}
