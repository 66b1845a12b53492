import { createHash } from 'node:crypto';
import { Problem } from './problem.js';

const DIGEST_LETTERS = 10;
const SEAL_LETTERS = 6;
/** No record has this version: a change that names it finds the record, then fails on the version. */
export const NO_VERSION = -1;

/**
 * A strong ETag: the record's version, a digest of this representation, and a seal. Changes are checked against the
 * version. The digest distinguishes other units, and figures that follow from other records (a balance, a head count)
 * and change without a new version. The seal distinguishes our tag for this record from one that was made up.
 */
export function etagOf(version: number, representation: Readonly<Record<string, unknown>>): string {
  const digest = shortDigest(JSON.stringify(representation), DIGEST_LETTERS);
  const { id } = representation;
  return `"${version}-${digest}${sealOf(String(version), digest, typeof id === 'string' ? id : '')}"`;
}

/**
 * The version that an If-Match header names, by any tag in its list that we gave for one of these records; of several
 * the highest, since that version has been reached. `NO_VERSION` if none is ours: If-Match compares strongly, so a weak
 * tag does not count (RFC 9110, 13.1.1). `*` names no version.
 * @throws Problem precondition-missing
 */
export function versionOf(ifMatch: string | undefined, ids: readonly string[]): number {
  const sent = ifMatch?.trim() ?? '';
  if (sent === '' || sent === '*') throw new Problem('precondition-missing');
  return Math.max(NO_VERSION, ...strongTags(sent).map((tag) => versionOfTag(tag, ids)));
}

/** RFC 9110, 8.8.3 and 5.6.1. A malformed list is ignored as a whole. */
function strongTags(list: string): string[] {
  if (!/^([ \t,]*(W\/)?"[\x21\x23-\x7e\x80-\xff]*"[ \t]*(,|$))+[ \t,]*$/.test(list)) return [];
  return [...list.matchAll(/(W\/)?"([^"]*)"/g)].filter(([, weak]) => weak === undefined).map(([, , tag]) => tag ?? '');
}

function versionOfTag(tag: string, ids: readonly string[]): number {
  const [, version = '', digest = '', seal = ''] = /^(\d{1,9})-([\w-]{10})([\w-]{6})$/.exec(tag) ?? [];
  return ['', ...ids].some((id) => sealOf(version, digest, id) === seal) ? Number(version) : NO_VERSION;
}

function sealOf(version: string, digest: string, id: string): string {
  return shortDigest(`${version} ${digest} ${id}`, SEAL_LETTERS);
}

function shortDigest(text: string, letters: number): string {
  return createHash('sha256').update(text).digest('base64url').slice(0, letters);
}
