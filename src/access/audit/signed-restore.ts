import { type LineSigner, wordsSigned } from './line-signer.js';
import type { AuditHead } from './signed-head.js';

/** Action of the audit line that a restore writes. */
export const RESTORE = 'operation.restore';

/** What the audit line of a restore holds: which file it was, and what vouched for it. */
export interface RestoreTold {
  sha256: string;
  records: number;
  exportedAt: string;
  /** this-server: sealed under this server's key; another-server: under one that the keeper named; none: by nothing. */
  seal: 'this-server' | 'another-server' | 'none';
  /** The key that the seal names; null where there is no seal. */
  publicKey: string | null;
  /** Lines of audit that came with it. */
  auditLines: number;
  /** Name of the machine's account that restored it; null where it has none. */
  by: string | null;
  /** A signed line of what was given up; null where nothing was. */
  givenUp: string | null;
}

/**
 * That somebody at the server's terminal took an operation back from an archive, knowing what was lost: heads of lines
 * after `auditLines` and up to `lostUntil` that were signed before are not in the chain, and that is no fault. Who
 * holds only the database cannot sign one.
 */
export interface GivenUp {
  operationId: string;
  auditLines: number;
  lostUntil: number;
  restoredAt: string;
}

const WORDS = /^rickyard-given-up ([0-9a-f-]{36}) (\d{1,15}) (\d{1,15}) (\d{4}-\d{2}-\d{2}T[\d:.]+Z)$/;

export function givenUpSigned(signer: LineSigner, { operationId, auditLines, lostUntil, restoredAt }: GivenUp): string {
  return signer.signed(`rickyard-given-up ${operationId} ${auditLines} ${lostUntil} ${restoredAt}`);
}

/** Whether one of these signed lines says that the line of this head was given up. */
export function wasGivenUp(head: AuditHead, signed: readonly (string | null)[], publicKey: string): boolean {
  return signed.some((line) => {
    const [, operationId, auditLines, lostUntil, restoredAt = ''] =
      WORDS.exec(wordsSigned(line ?? '', publicKey)?.join(' ') ?? '') ?? [];
    return (
      operationId === head.operationId &&
      head.sequence > Number(auditLines) &&
      head.sequence <= Number(lostUntil) &&
      head.signedAt <= restoredAt
    );
  });
}
