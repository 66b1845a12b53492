import { appendFileSync, existsSync, readFileSync } from 'node:fs';
import path from 'node:path';
import type { Transaction } from 'kysely';
import type { Database } from '../../platform/database/database.js';
import type { DB } from '../../platform/database/types.js';
import type { SecretBox } from '../../platform/secrets/secret-box.js';
import { AuditRead } from './audit.read.js';
import { type AuditHead, HeadSigner } from './signed-head.js';
import { wasGivenUp } from './signed-restore.js';

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
 * kept head does not fit gets no new one, so that every later check tells of it too. A head that a restore gave up
 * counts for nothing; the newest before it does.
 * @returns a sentence for each operation whose audit was rewritten or cut.
 */
export async function keepHeads({ database, secrets, file }: HeadsKept, moment: Date): Promise<string[]> {
  const signer = new HeadSigner(secrets);
  const heads = (existsSync(file) ? linesOf(readFileSync(file, 'utf8')) : [])
    .flatMap((line) => signer.opened(line) ?? [])
    .toSorted((a, b) => b.sequence - a.sequence);
  const audit = new AuditRead();
  return database.withProof({}, async (db) => {
    const known = new Map<string, { sequence: number; fault: string | undefined }>();
    for (const head of heads) {
      if (known.has(head.operationId)) continue;
      const is = await compared(db, head, signer.publicKey);
      if (is !== 'given-up') known.set(head.operationId, { sequence: head.sequence, fault: faultIn(head, is) });
    }
    const added = (await audit.heads(db))
      .filter(({ operationId, sequence }) => {
        const before = known.get(operationId);
        return before === undefined || (before.fault === undefined && sequence > before.sequence);
      })
      .map((head) => `${signer.signed({ ...head, signedAt: moment.toISOString() })}\n`);
    if (added.length > 0) appendFileSync(file, added.join(''), { mode: 0o600 });
    return [...known.values()].flatMap(({ fault }) => fault ?? []);
  });
}

/**
 * Everything: each link of every chain, and each of these kept lines against it.
 * @returns the lines checked, a sentence for each fault, and one for each restore that nothing vouched for or that gave
 *   something up.
 */
export async function checkHeads(
  { database, secrets }: Pick<HeadsKept, 'database' | 'secrets'>,
  kept: readonly string[],
): Promise<{ operations: number; kept: number; faults: string[]; notes: string[] }> {
  const signer = new HeadSigner(secrets);
  const audit = new AuditRead();
  return database.withProof({}, async (db) => {
    const [faults, notes]: [string[], string[]] = [[], []];
    const heads = await audit.heads(db);
    for (const { operationId } of heads) {
      const { firstBreak } = await audit.chain({ db, operationId });
      if (firstBreak !== null) faults.push(`Operation ${operationId}: line ${firstBreak} of the audit was changed.`);
      for (const { recorded, told } of await audit.restores({ db, operationId })) {
        const was = `Operation ${operationId} was restored ${recorded} from an archive (SHA-256 ${told.sha256})`;
        if (told.seal === 'none') notes.push(`${was} that no seal vouched for.`);
        if (told.givenUp !== null) notes.push(`${was}; what came after its line ${told.auditLines} was given up.`);
      }
    }
    for (const line of kept) {
      const head = signer.opened(line);
      const fault =
        head === undefined
          ? `This line was not signed under this server's key: ${line.slice(0, 100)}`
          : faultIn(head, await compared(db, head, signer.publicKey));
      if (fault !== undefined) faults.push(fault);
    }
    return { operations: heads.length, kept: kept.length, faults, notes };
  });
}

export function linesOf(text: string): string[] {
  return text.split(/\r?\n/).filter((line) => line.trim() !== '');
}

export function fileOfHeads(dataFolder: string): string {
  return path.join(dataFolder, HEADS_FILE);
}

type Compared = 'holds' | 'given-up' | 'cut-off' | 'rewritten';

/** It holds also where its operation was deleted in due form. */
async function compared(db: Transaction<DB>, head: AuditHead, publicKey: string): Promise<Compared> {
  const audit = new AuditRead();
  const now = await audit.place(db, head);
  if (now.chainHash === head.chainHash || (now.chainHash === null && now.erased)) return 'holds';
  const restores = await audit.restores({ db, operationId: head.operationId });
  const signed = restores.map(({ told }) => told.givenUp);
  if (wasGivenUp(head, signed, publicKey)) return 'given-up';
  return now.chainHash === null ? 'cut-off' : 'rewritten';
}

function faultIn({ operationId, sequence, signedAt }: AuditHead, is: Compared): string | undefined {
  if (is === 'holds' || is === 'given-up') return undefined;
  const was = `Operation ${operationId}: line ${sequence} of the audit, signed ${signedAt}, `;
  return is === 'cut-off'
    ? `${was}is gone: the audit was cut off.`
    : `${was}is another one now: the audit was rewritten.`;
}
