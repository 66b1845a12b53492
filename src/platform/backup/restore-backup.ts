import { chown, copyFile, mkdir, readdir, rename, rm, rmdir, writeFile } from 'node:fs/promises';
import { existsSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { startEmbeddedServer, urlOfRunning } from '../embedded/embedded-server.js';
import { findPostgres, type PostgresFiles, reachableDataFolder } from '../embedded/postgres-files.js';
import { leaveMark, markedBy, removeMark } from '../embedded/server-mark.js';
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
  /** Goes on from the backup with what was archived since, up to this moment (ISO 8601 with offset), or to its end. */
  readonly replay?: { readonly logArchive: string; readonly until: string | undefined } | undefined;
  /** What is restored only to be looked at need not outlive a power cut. */
  readonly durable?: boolean;
}

export interface Restored {
  readonly manifest: Manifest;
  readonly dataFolder: string;
  /** Where the books went that were there before. */
  readonly movedTo: string | undefined;
  /** When the last transaction of the archived log that was applied was made; undefined where there was none. */
  readonly lastEntryAt: Date | undefined;
}

/**
 * Puts a backup where a data folder is to be. The copy is made and started once, which makes it one moment, in a folder
 * of its own; only when that server was stopped again do the books change places. Whatever fails before leaves the data
 * folder as it was.
 * @throws BackupProblem
 */
export async function restoreBackup(options: RestoreOptions): Promise<Restored> {
  const { backup, replace = false } = options;
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
  const isNew = (await mkdir(dataFolder, { recursive: true, mode: 0o755 })) !== undefined;
  if (urlOfRunning(dataFolder) !== undefined || markedBy(dataFolder) !== undefined)
    throw new BackupProblem(`A server is running on ${dataFolder}. Stop it first.`);
  const cluster = path.join(dataFolder, CLUSTER);
  const isThere = existsSync(path.join(cluster, 'PG_VERSION'));
  if (isThere && !replace)
    throw new BackupProblem(
      `${dataFolder} has books already. Choose another folder by RICKYARD_DATA, or say --replace: they are moved ` +
        'aside then, not deleted.',
    );
  const aside = path.join(dataFolder, ASIDE);
  leaveMark(dataFolder);
  try {
    await refuseFullDisk(dataFolder, await bytesIn(backup));
    const lastEntryAt = await startedOnce(options, aside, runAs);
    const movedTo = isThere
      ? `${cluster}.replaced-${new Date().toISOString().slice(0, 19).replaceAll(':', '-')}Z`
      : undefined;
    await changePlaces(path.join(aside, CLUSTER), cluster, movedTo);
    await copyBeside(backup, dataFolder);
    return { manifest, dataFolder, movedTo, lastEntryAt };
  } catch (error) {
    throw inWords(error, options, dataFolder);
  } finally {
    await rm(aside, { recursive: true, force: true });
    removeMark(dataFolder);
    // What was made for nothing; a folder with anything in it stays.
    if (isNew && !existsSync(cluster)) await rmdir(dataFolder).catch(() => undefined);
  }
}

/** Where the copy is made and tried. */
const ASIDE = '.restoring';

/** Copies the backup into a folder of its own and starts its server once. When the last entry of the log was made. */
async function startedOnce(
  { backup, replay, durable = true }: RestoreOptions,
  aside: string,
  runAs: PostgresFiles['runAs'],
): Promise<Date | undefined> {
  await rm(aside, { recursive: true, force: true });
  await mkdir(aside, { mode: 0o755 });
  const cluster = path.join(aside, CLUSTER);
  await copyFolder(path.join(backup, CLUSTER), cluster, { files: () => false, contentsOf: () => false });
  // The server itself asks for the archived log, and forgets this when it has it.
  if (replay !== undefined) await writeFile(path.join(cluster, 'recovery.signal'), '');
  if (runAs !== undefined) await handOverAll(cluster, runAs);
  await copyBeside(backup, aside);
  const server = await startEmbeddedServer({ dataFolder: aside, isReached: true, durable, replay });
  await server.stop();
  return server.lastEntryAt;
}

async function changePlaces(fresh: string, cluster: string, movedTo: string | undefined): Promise<void> {
  if (movedTo !== undefined) await rename(cluster, movedTo);
  try {
    await rename(fresh, cluster);
  } catch (error) {
    if (movedTo !== undefined) await rename(movedTo, cluster);
    throw error;
  }
}

/** What PostgreSQL said of a log that cannot be followed that far; and that nothing was changed. */
function inWords(error: unknown, { replay }: RestoreOptions, dataFolder: string): BackupProblem {
  const said = error instanceof Error ? error.message : String(error);
  const last = /last completed transaction was at log time ([^\n]+)/.exec(said)?.[1];
  const until = replay?.until;
  const why =
    until !== undefined && said.includes('recovery ended before configured recovery target was reached')
      ? `the archived log does not go as far as ${until}` +
        (last === undefined ? '' : ` (its last entry is of ${last})`) +
        '; name an earlier moment, or say --until end'
      : until !== undefined && said.includes('requested recovery stop point is before consistent recovery point')
        ? `${until} is before the backup was whole; take an older backup`
        : said;
  const put = existsSync(path.join(dataFolder, CLUSTER, 'PG_VERSION'))
    ? `the books in ${dataFolder} are as they were`
    : `there is nothing of it in ${dataFolder}`;
  return new BackupProblem(`The backup was not restored: ${why}\nNothing was changed: ${put}.`);
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
