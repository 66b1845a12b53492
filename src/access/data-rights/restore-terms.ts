import { keyNamedIn, type LineSigner } from '../audit/line-signer.js';
import { type AuditHead, headSigned } from '../audit/signed-head.js';
import { givenUpSigned, RESTORE, type RestoreTold, wasGivenUp } from '../audit/signed-restore.js';
import { ArchiveProblem, type ArchiveRecord, auditEnd, type UnpackedArchive } from './archive-format.js';
import { sealOpened } from './archive-seal.js';

/** What is known beside the file, and what its keeper says about it. */
export interface RestoreTerms {
  signer: LineSigner;
  /** Heads of audits that this server kept: lines that it did not sign are passed over. */
  ownHeads: readonly string[];
  /** Heads that the keeper brings. */
  broughtHeads?: readonly string[];
  /** Public key of another server whose archives the keeper trusts. */
  sealedBy?: string | undefined;
  /** The keeper takes an archive that nothing vouches for. */
  unsealed?: boolean;
  /** The keeper gives up what was entered after the archive was made. */
  older?: boolean;
  /** Name of the keeper's account on this machine. */
  by: string | null;
  moment: Date;
}

/**
 * Judges a file before anything of it is written; what came of it goes into the audit.
 * @throws ArchiveProblem where the seal does not fit or is missing, or kept heads of the audit do not fit.
 */
export function refuseDoubtful(archive: UnpackedArchive, terms: RestoreTerms): RestoreTold {
  const seal = sealJudged(archive, terms);
  const lines = archive.records.filter(({ table }) => table === 'audit_entry');
  const { lines: auditLines } = auditEnd(lines.at(-1)?.row);
  const { operationId } = archive.head;
  const lostUntil = lastLost(operationId, lines, terms);
  const restoredAt = terms.moment.toISOString();
  return {
    sha256: archive.sha256,
    records: archive.records.length,
    exportedAt: archive.head.exportedAt,
    seal,
    publicKey: keyNamedIn(archive.seal ?? '') ?? null,
    auditLines,
    by: terms.by,
    givenUp:
      lostUntil === undefined ? null : givenUpSigned(terms.signer, { operationId, auditLines, lostUntil, restoredAt }),
  };
}

function sealJudged(archive: UnpackedArchive, { signer, sealedBy, unsealed }: RestoreTerms): RestoreTold['seal'] {
  const { head, sha256, records, seal } = archive;
  const key = keyNamedIn(seal ?? '');
  if (seal !== undefined && key !== undefined && (key === signer.publicKey || key === sealedBy)) {
    const sealed = sealOpened(seal, key);
    if (sealed?.sha256 !== sha256 || sealed.operationId !== head.operationId || sealed.records !== records.length)
      throw new ArchiveProblem('The seal of the archive does not fit: what is in it was changed after it was sealed.');
    return key === signer.publicKey ? 'this-server' : 'another-server';
  }
  if (unsealed === true) return 'none';
  const instead =
    'Whoever had the file may have changed it. To take it all the same, say --unsealed: the audit will tell of that ' +
    'for ever.';
  if (seal === undefined) throw new ArchiveProblem(`The archive has no seal. ${instead}`);
  throw new ArchiveProblem(
    `The archive is sealed under a key that this server does not know (${key ?? 'unreadable'}). If that is the key ` +
      `of the server that it is from (the last word but one of a signedHead that its owner kept), say ` +
      `--sealed-by and the key. ${instead}`,
  );
}

/**
 * The last line of audit that was signed and is not in the archive; undefined where all that were are in it.
 * @throws ArchiveProblem where that was not foreseen, or another line is in the place of one that was signed.
 */
function lastLost(operationId: string, lines: readonly ArchiveRecord[], terms: RestoreTerms): number | undefined {
  const heads = headsOf(operationId, terms);
  if (heads.length === 0) return undefined;
  const entries = lines.map(
    ({ row }) => JSON.parse(row) as { sequence: number; chain_hash: string; action: string; after: RestoreTold | null },
  );
  const hashes = new Map(entries.map((entry) => [entry.sequence, entry.chain_hash]));
  const given = entries.flatMap(({ action, after }) => (action === RESTORE ? [after?.givenUp ?? null] : []));
  const wrong = heads.filter(
    (head) => hashes.get(head.sequence) !== head.chainHash && !wasGivenUp(head, given, terms.signer.publicKey),
  );
  const rewritten = wrong.find(({ sequence }) => hashes.has(sequence));
  if (rewritten !== undefined)
    throw new ArchiveProblem(
      `The audit of the archive was rewritten: its line ${rewritten.sequence} is not the one that was signed ` +
        `${rewritten.signedAt}.`,
    );
  const last = wrong.toSorted((a, b) => b.sequence - a.sequence)[0];
  if (last !== undefined && terms.older !== true)
    throw new ArchiveProblem(
      `The audit of the archive ends with line ${entries.at(-1)?.sequence ?? 0}, but line ${last.sequence} was ` +
        `signed ${last.signedAt}: its end was cut off, or it was made before that. If it is the newest archive that ` +
        'there is, and what was entered later is to be given up, say --older: the audit will tell so.',
    );
  return last?.sequence;
}

function headsOf(operationId: string, { signer, sealedBy, ownHeads, broughtHeads = [] }: RestoreTerms): AuditHead[] {
  const own = ownHeads.flatMap((line) => headSigned(line, signer.publicKey) ?? []);
  const brought = broughtHeads.map((line) => {
    const head =
      headSigned(line, signer.publicKey) ?? (sealedBy === undefined ? undefined : headSigned(line, sealedBy));
    if (head === undefined)
      throw new ArchiveProblem(
        `This line was signed neither under this server's key nor under the one in --sealed-by: ${line.slice(0, 100)}`,
      );
    return head;
  });
  return [...own, ...brought].filter((head) => head.operationId === operationId);
}
