import { appendFileSync, existsSync, readFileSync } from 'node:fs';
import path from 'node:path';
import type { Database } from '../../platform/database/database.js';
import { AuditRead } from './audit.read.js';
import { type AuditHead, HeadSigner } from './signed-head.js';
import type { SecretBox } from '../../platform/secrets/secret-box.js';

const HEADS_FILE = 'audit-heads.txt';

/** What is compared: the database, the key, and the lines kept outside. */
export interface HeadsKept {
  database: Database;
  secrets: SecretBox;
  /** The file that lines are added to. */
  file: string;
}

/**
 * Compares the newest kept head of each operation with the chain, and then adds the heads of today. An operation whose
 * kept head does not fit gets no new one, so that every later check tells of it too.
 * @returns a sentence for each operation whose audit was rewritten or cut.
 */
export async function keepHeads({ database, secrets, file }: HeadsKept, moment: Date): Promise<string[]> {
  const signer = new HeadSigner(secrets);
  const lines = existsSync(file) ? linesOf(readFileSync(file, 'utf8')) : [];
  const newest = new Map<string, AuditHead>();
  for (const line of lines) {
    const head = signer.opened(line);
    if (head !== undefined && head.sequence > (newest.get(head.operationId)?.sequence ?? 0))
      newest.set(head.operationId, head);
  }
  const audit = new AuditRead();
  return database.withProof({}, async (db) => {
    const wrong = new Map<string, string>();
    for (const head of newest.values()) {
      const fault = faultOf(head, await audit.place(db, head));
      if (fault !== undefined) wrong.set(head.operationId, fault);
    }
    const added = (await audit.heads(db))
      .filter((head) => !wrong.has(head.operationId) && head.sequence > (newest.get(head.operationId)?.sequence ?? 0))
      .map((head) => `${signer.signed({ ...head, signedAt: moment.toISOString() })}\n`);
    if (added.length > 0) appendFileSync(file, added.join(''), { mode: 0o600 });
    return [...wrong.values()];
  });
}

/**
 * Everything: each link of every chain, and each of these kept lines against it.
 * @returns the lines checked, and a sentence for each fault.
 */
export async function checkHeads(
  { database, secrets }: Pick<HeadsKept, 'database' | 'secrets'>,
  kept: readonly string[],
): Promise<{ operations: number; kept: number; faults: string[] }> {
  const signer = new HeadSigner(secrets);
  const audit = new AuditRead();
  return database.withProof({}, async (db) => {
    const faults: string[] = [];
    const heads = await audit.heads(db);
    for (const { operationId } of heads) {
      const { firstBreak } = await audit.chain({ db, operationId });
      if (firstBreak !== null) faults.push(`Operation ${operationId}: line ${firstBreak} of the audit was changed.`);
    }
    for (const line of kept) {
      const head = signer.opened(line);
      const fault =
        head === undefined
          ? `This line was not signed under this server's key: ${line.slice(0, 100)}`
          : faultOf(head, await audit.place(db, head));
      if (fault !== undefined) faults.push(fault);
    }
    return { operations: heads.length, kept: kept.length, faults };
  });
}

export function linesOf(text: string): string[] {
  return text.split(/\r?\n/).filter((line) => line.trim() !== '');
}

export function fileOfHeads(dataFolder: string): string {
  return path.join(dataFolder, HEADS_FILE);
}

/** Undefined where the chain still holds what was signed, or its operation was deleted in due form. */
function faultOf(
  { operationId, sequence, chainHash, signedAt }: AuditHead,
  now: { chainHash: string | null; erased: boolean },
): string | undefined {
  if (now.chainHash === chainHash || (now.chainHash === null && now.erased)) return undefined;
  const was = `Operation ${operationId}: line ${sequence} of the audit, signed ${signedAt}, `;
  return now.chainHash === null
    ? `${was}is gone: the audit was cut off.`
    : `${was}is another one now: the audit was rewritten.`;
}
