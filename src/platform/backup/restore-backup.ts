import { chown, copyFile, mkdir, readdir, rename, rm, writeFile } from 'node:fs/promises';
import { existsSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { startEmbeddedServer, urlOfRunning } from '../embedded/embedded-server.js';
import { findPostgres, reachableDataFolder } from '../embedded/postgres-files.js';
import {
  BackupProblem,
  bytesIn,
  checkDigests,
  CLUSTER,
  copyFolder,
  DIGESTS,
  filesIn,
  MANIFEST,
  type Manifest,
  manifestOf,
  refuseFullDisk,
} from './backup-files.js';

export interface RestoreOptions {
  readonly backup: string;
  readonly dataFolder: string;
  /** Moves books that are there aside instead of refusing them. */
  readonly replace?: boolean;
  /** Goes on from the backup with what was archived since, up to this moment, or to its end. */
  readonly replay?: { readonly logArchive: string; readonly until: string | undefined } | undefined;
  /** What is restored only to be looked at need not outlive a power cut. */
  readonly durable?: boolean;
}

export interface Restored {
  readonly manifest: Manifest;
  readonly dataFolder: string;
  /** Where the books went that were there before. */
  readonly movedTo: string | undefined;
}

/**
 * Puts a backup where a data folder is to be, and starts the server on it once, which makes the copy one moment; then
 * stops it. Nothing is changed before the backup is checked against its digests.
 * @throws BackupProblem
 */
export async function restoreBackup(options: RestoreOptions): Promise<Restored> {
  const { backup, replace = false, replay, durable = true } = options;
  const manifest = await manifestOf(backup);
  await checkDigests(backup);
  const { runAs, majorVersion } = findPostgres();
  const found = readFileSync(path.join(backup, CLUSTER, 'PG_VERSION'), 'utf8').trim();
  if (found !== majorVersion)
    throw new BackupProblem(
      `${backup} is of PostgreSQL ${found}, and this release comes with ${majorVersion}: restore it with the release ` +
        'that made it, and move its operations by their archives.',
    );
  const dataFolder = reachableDataFolder(options.dataFolder, runAs);
  await mkdir(dataFolder, { recursive: true, mode: 0o755 });
  if (urlOfRunning(dataFolder) !== undefined)
    throw new BackupProblem(`A server is running on ${dataFolder}. Stop it first.`);
  const cluster = path.join(dataFolder, CLUSTER);
  const isThere = existsSync(path.join(cluster, 'PG_VERSION'));
  if (isThere && !replace)
    throw new BackupProblem(
      `${dataFolder} has books already. Choose another folder by RICKYARD_DATA, or say --replace: they are moved ` +
        'aside then, not deleted.',
    );
  await refuseFullDisk(dataFolder, await bytesIn(backup));
  const fresh = `${cluster}.restored`;
  await rm(fresh, { recursive: true, force: true });
  await copyFolder(path.join(backup, CLUSTER), fresh, { files: () => false, contentsOf: () => false });
  // The server itself asks for the archived log, and forgets this when it has it.
  if (replay !== undefined) await writeFile(path.join(fresh, 'recovery.signal'), '');
  if (runAs !== undefined) await handOverAll(fresh, runAs);
  const movedTo = isThere
    ? `${cluster}.replaced-${new Date().toISOString().slice(0, 19).replaceAll(':', '-')}Z`
    : undefined;
  if (movedTo !== undefined) await rename(cluster, movedTo);
  await rename(fresh, cluster);
  await copyBeside(backup, dataFolder);
  await (await startEmbeddedServer({ dataFolder, durable, replay })).stop();
  return { manifest, dataFolder, movedTo };
}

/** The owner's password is that of the cluster; heads of audits that were kept here say more than those of then. */
async function copyBeside(backup: string, dataFolder: string): Promise<void> {
  for (const name of await readdir(backup)) {
    if ([CLUSTER, MANIFEST, DIGESTS].includes(name)) continue;
    if (name !== 'owner-password' && existsSync(path.join(dataFolder, name))) continue;
    await copyFile(path.join(backup, name), path.join(dataFolder, name));
  }
}

async function handOverAll(folder: string, { uid, gid }: { uid: number; gid: number }): Promise<void> {
  const folders = (await readdir(folder, { recursive: true, withFileTypes: true }))
    .filter((entry) => entry.isDirectory())
    .map((entry) => path.join(entry.parentPath, entry.name));
  for (const one of [folder, ...folders, ...(await filesIn(folder)).map((file) => path.join(folder, file))])
    await chown(one, uid, gid);
}
