import { Problem } from './problem.js';

/** A strong ETag: the record's version, and the units it was written in (another unit is another representation). */
export function etagOf(version: number, units: string | undefined): string {
  return units === undefined ? `"${version}"` : `"${version}-${units}"`;
}

/** The version that an If-Match header names. @throws Problem if it is missing or is not one of our ETags. */
export function versionOf(ifMatch: string | undefined): number {
  if (ifMatch === undefined || ifMatch.trim() === '' || ifMatch.trim() === '*') throw new Problem('precondition-missing');
  const match = /^"(\d{1,9})(?:-(?:us|metric))?"$/.exec(ifMatch.trim());
  // Weak or foreign tags never match: If-Match compares strongly (RFC 9110, 13.1.1).
  if (match?.[1] === undefined) throw new Problem('changed-meanwhile');
  return Number(match[1]);
}
