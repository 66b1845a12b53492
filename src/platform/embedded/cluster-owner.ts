import { chmodSync, chownSync, lchownSync, readdirSync, statSync } from 'node:fs';
import path from 'node:path';
import { EmbeddedServerProblem } from './embedded-server-problem.js';
import type { PostgresFiles } from './postgres-files.js';

/** PostgreSQL refuses a folder that others may read or write; a group that reads it is fine. */
const CLOSED_TO_OTHERS = 0o750;

/**
 * A folder that was copied belongs to whoever copied it. Root gives it back to the account that PostgreSQL runs as;
 * anybody else is told, since they cannot.
 * @throws EmbeddedServerProblem
 */
export function takeCluster(cluster: string, runAs: PostgresFiles['runAs']): string[] {
  const notes: string[] = [];
  const found = statSync(cluster);
  const wanted = runAs?.uid ?? process.getuid?.();
  if (wanted === undefined) return notes;
  const inside = statSync(path.join(cluster, 'PG_VERSION'));
  if (found.uid !== wanted || inside.uid !== wanted) {
    if (runAs === undefined)
      throw new EmbeddedServerProblem(
        `The books in ${cluster} belong to another account (number ${found.uid}), and PostgreSQL would not open them ` +
          `as this one (number ${wanted}). As root: chown -R ${wanted} ${path.dirname(cluster)}`,
      );
    giveAll(cluster, runAs);
    notes.push(`gave the data folder to the account "${runAs.name}", which PostgreSQL runs as`);
  }
  if ((found.mode & 0o777 & ~CLOSED_TO_OTHERS) !== 0) {
    chmodSync(cluster, 0o700);
    notes.push('closed the data folder to other accounts');
  }
  return notes;
}

function giveAll(folder: string, { uid, gid }: { uid: number; gid: number }): void {
  chownSync(folder, uid, gid);
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    const at = path.join(folder, entry.name);
    if (entry.isDirectory()) giveAll(at, { uid, gid });
    else lchownSync(at, uid, gid);
  }
}
