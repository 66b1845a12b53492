import { type LineSigner, wordsSigned } from '../audit/line-signer.js';

/** What a seal vouches for: every line of an archive by their hash, and how far its audit goes. */
export interface Sealed {
  operationId: string;
  sha256: string;
  records: number;
  auditLines: number;
  /** Hash of the audit's last line. */
  auditHash: string;
  sealedAt: string;
}

const WORDS =
  /^rickyard-archive ([0-9a-f-]{36}) ([0-9a-f]{64}) (\d{1,9}) (\d{1,15}) ([0-9a-f]{64}) (\d{4}-\d{2}-\d{2}T[\d:.]+Z)$/;

/** One line of text, signed under the server's key. Its checksum anybody can make; this only who holds that key. */
export function sealOf(signer: LineSigner, sealed: Sealed): string {
  const { operationId, sha256, records, auditLines, auditHash, sealedAt } = sealed;
  return signer.signed(`rickyard-archive ${operationId} ${sha256} ${records} ${auditLines} ${auditHash} ${sealedAt}`);
}

/** Undefined where the line was not signed under this key, or is no seal. */
export function sealOpened(line: string, publicKey: string): Sealed | undefined {
  const [, operationId, sha256 = '', records, auditLines, auditHash = '', sealedAt = ''] =
    WORDS.exec(wordsSigned(line, publicKey)?.join(' ') ?? '') ?? [];
  return operationId === undefined
    ? undefined
    : { operationId, sha256, records: Number(records), auditLines: Number(auditLines), auditHash, sealedAt };
}
