import { chmod, mkdtemp, rm } from 'node:fs/promises';
import path from 'node:path';
import { startEmbeddedServer } from '../embedded/embedded-server.js';
import { BackupProblem } from './backup-files.js';
import { type BooksFigures, type Compared, compareBooks, figuresOfBooks } from './compare-books.js';
import { restoreBackup } from './restore-backup.js';
import { type BackupSource, takeBackup } from './take-backup.js';

/**
 * Takes a backup, restores it into a folder of its own and compares every row with the server that it was taken of; the
 * copy is deleted then. A backup that differs is not kept.
 * @throws BackupProblem
 */
export async function checkedBackup(
  source: BackupSource,
  backups: string,
  options: { moment: Date; tell?: (words: string) => void },
): Promise<{ folder: string; compared: Compared }> {
  const tell = options.tell ?? (() => undefined);
  const before = await figuresOfBooks(source.url);
  const { folder } = await takeBackup(source, backups, options);
  tell('Restoring it to compare every row …');
  const after = await figuresOfBooks(source.url);
  const tried = await mkdtemp(path.join(backups, '.tried-'));
  // Where this is root, the server's programs run as another account and have to reach it.
  await chmod(backups, 0o711);
  await chmod(tried, 0o755);
  let reached = tried;
  try {
    const { dataFolder } = await restoreBackup({ backup: folder, dataFolder: tried, durable: false });
    reached = dataFolder;
    const compared = compareBooks(before, after, await figuresOn(dataFolder));
    if (compared.differ.length > 0) {
      await rm(folder, { recursive: true });
      throw new BackupProblem(
        `The backup was not kept: restored, it differs from the server in ${compared.differ.slice(0, 5).join(', ')}.`,
      );
    }
    return { folder, compared };
  } finally {
    // It may have been put elsewhere, if it could not be reached here.
    for (const one of new Set([tried, reached])) await rm(one, { recursive: true, force: true });
  }
}

async function figuresOn(dataFolder: string): Promise<BooksFigures> {
  const server = await startEmbeddedServer({ dataFolder, durable: false });
  try {
    return await figuresOfBooks(server.url);
  } finally {
    await server.stop();
  }
}

export function wordsOf({ rows, same, movedOn }: Compared): string {
  const beside = movedOn === 0 ? '' : `; ${movedOn} parts were written to meanwhile and cannot be compared`;
  return `restored and compared: ${rows.toLocaleString('en-US')} rows in ${same} parts are the same${beside}`;
}
