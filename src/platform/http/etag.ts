import { createHash } from 'node:crypto';
import { Problem } from './problem.js';

const DIGEST_LETTERS = 10;
const SEAL_LETTERS = 6;
/** No record has it: a change that names it finds the record first and then that it is another version. */
export const NO_VERSION = -1;

/**
 * A strong ETag: the record's version, a digest of this very representation, and a seal. The version is what a change
 * is measured by; the digest tells apart other units, and figures that follow from other records (a balance, a head
 * count) and move without a new version; the seal tells our tag of this record from one that was made up.
 */
export function etagOf(version: number, representation: Readonly<Record<string, unknown>>): string {
  const digest = shortDigest(JSON.stringify(representation), DIGEST_LETTERS);
  const { id } = representation;
  return `"${version}-${digest}${sealOf(String(version), digest, typeof id === 'string' ? id : '')}"`;
}

/**
 * The version that an If-Match header names, by any tag of its list that we gave for one of these records; of several
 * the highest, since a version that was seen has been reached. `NO_VERSION` where none is ours: If-Match compares
 * strongly, so a weak tag is none (RFC 9110, 13.1.1). `*` names no version.
 * @throws Problem precondition-missing
 */
export function versionOf(ifMatch: string | undefined, ids: readonly string[]): number {
  const sent = ifMatch?.trim() ?? '';
  if (sent === '' || sent === '*') throw new Problem('precondition-missing');
  return Math.max(NO_VERSION, ...strongTags(sent).map((tag) => versionOfTag(tag, ids)));
}

/** RFC 9110, 8.8.3 and 5.6.1. Of a list that is malformed nothing is believed. */
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
