import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { copyFile, mkdir, readdir, readFile, stat, statfs, writeFile } from 'node:fs/promises';
import { userInfo } from 'node:os';
import path from 'node:path';
import { pipeline } from 'node:stream/promises';

/** What stands beside the files of a backup; it is written last, so that a folder without it is no backup. */
export const MANIFEST = 'backup.json';
/** Lines as `sha256sum` writes and checks them. */
export const DIGESTS = 'files.sha256';
export const CLUSTER = 'postgres';

/** A backup that cannot be made or used, explained for the person at the keyboard. */
export class BackupProblem extends Error {
  override name = 'BackupProblem';
}

export interface Manifest {
  readonly format: 1;
  /** When it was begun and when it was whole; what was committed until the second is in it. */
  readonly beganAt: string;
  readonly wholeAt: string;
  readonly postgres: string;
  /** First and last file of the write-ahead log that it needs. */
  readonly firstLog: string;
  readonly lastLog: string;
  readonly files: number;
  readonly bytes: number;
}

/** Names of what is left out; a folder among them is copied empty. */
export interface LeftOut {
  readonly files: (at: string) => boolean;
  readonly contentsOf: (at: string) => boolean;
}

export interface Copied {
  files: number;
  bytes: number;
}

/**
 * Copies a folder that a running server may be writing to: a file that vanishes meanwhile was on its way out. Paths in
 * `leftOut` are relative to the folder, with slashes.
 */
export async function copyFolder(
  from: string,
  to: string,
  leftOut: LeftOut,
  copied: (bytes: number) => void = () => undefined,
): Promise<Copied> {
  const done: Copied = { files: 0, bytes: 0 };
  const below = async (at: string): Promise<void> => {
    await mkdir(path.join(to, at), { recursive: true, mode: 0o700 });
    for (const entry of await readdir(path.join(from, at), { withFileTypes: true })) {
      const here = at === '' ? entry.name : `${at}/${entry.name}`;
      if (entry.isDirectory()) {
        if (leftOut.contentsOf(here)) await mkdir(path.join(to, here), { recursive: true, mode: 0o700 });
        else await below(here);
      } else if (entry.isFile() && !leftOut.files(here)) {
        const bytes = await copyUnlessGone(path.join(from, here), path.join(to, here));
        if (bytes === undefined) continue;
        done.files += 1;
        done.bytes += bytes;
        copied(bytes);
      }
    }
  };
  await below('');
  return done;
}

async function copyUnlessGone(from: string, to: string): Promise<number | undefined> {
  try {
    await copyFile(from, to);
    return (await stat(to)).size;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return undefined;
    throw error;
  }
}

/** Every file below a folder, relative to it, with slashes, in the order of their names. */
export async function filesIn(folder: string): Promise<string[]> {
  const entries = await readdir(folder, { recursive: true, withFileTypes: true });
  return entries
    .filter((entry) => entry.isFile())
    .map((entry) => path.relative(folder, path.join(entry.parentPath, entry.name)).replaceAll(path.sep, '/'))
    .sort();
}

async function digestOf(file: string): Promise<string> {
  const hash = createHash('sha256');
  await pipeline(createReadStream(file), hash);
  return hash.digest('hex');
}

export async function writeDigests(folder: string): Promise<void> {
  const lines: string[] = [];
  for (const file of await filesIn(folder)) lines.push(`${await digestOf(path.join(folder, file))}  ${file}`);
  await writeFile(path.join(folder, DIGESTS), `${lines.join('\n')}\n`, { mode: 0o600 });
}

/** @throws BackupProblem naming what is missing, changed or not of it */
export async function checkDigests(folder: string): Promise<void> {
  const listed = new Map<string, string>();
  for (const line of (await readFile(path.join(folder, DIGESTS), 'utf8')).split('\n')) {
    const [, digest, file] = /^([0-9a-f]{64}) {2}(.+)$/.exec(line) ?? [];
    if (digest !== undefined && file !== undefined) listed.set(file, digest);
  }
  const there = new Set((await filesIn(folder)).filter((file) => file !== DIGESTS && file !== MANIFEST));
  const faults = [...there].filter((file) => !listed.has(file)).map((file) => `${file} is not of the backup`);
  for (const [file, digest] of listed) {
    if (!there.has(file)) faults.push(`${file} is missing`);
    else if ((await digestOf(path.join(folder, file))) !== digest) faults.push(`${file} was changed`);
  }
  const [first] = faults;
  if (first === undefined) return;
  const others = faults.length - 1;
  throw new BackupProblem(
    `${folder} is not as it was made: ${first}${others === 0 ? '' : `, and ${others} more`}. Take another backup.`,
  );
}

/** Whether a folder has what a whole backup ends with. @throws BackupProblem where that cannot be seen */
export async function isBackup(folder: string): Promise<boolean> {
  try {
    await stat(path.join(folder, MANIFEST));
    return true;
  } catch (error) {
    if (['ENOENT', 'ENOTDIR'].includes((error as NodeJS.ErrnoException).code ?? '')) return false;
    throw unreadable(folder, error);
  }
}

/** A backup belongs to the account that took it, and opens to no other. */
export function unreadable(folder: string, error: unknown): BackupProblem {
  const { code = String(error) } = error as NodeJS.ErrnoException;
  const who = `the account "${userInfo().username}"`;
  return new BackupProblem(
    `${folder} cannot be read by ${who} (${code}). Run this as the account that it belongs to, or give it to this ` +
      `one, as root: chown -R ${userInfo().username} ${folder}`,
  );
}

/** @throws BackupProblem where a folder is no backup, or one of a later release */
export async function manifestOf(folder: string): Promise<Manifest> {
  if (!(await isBackup(folder))) throw new BackupProblem(`${folder} is no whole backup: it has no ${MANIFEST}.`);
  const text = await readFile(path.join(folder, MANIFEST), 'utf8').catch((error: unknown) => {
    throw unreadable(folder, error);
  });
  const manifest = JSON.parse(text) as Manifest;
  if ((manifest.format as number) !== 1)
    throw new BackupProblem(`${folder} was made by a later release, which is needed to restore it.`);
  return manifest;
}

/** Before hours are spent on it. @throws BackupProblem */
export async function refuseFullDisk(folder: string, bytesNeeded: number): Promise<void> {
  const { bavail, bsize } = await statfs(folder);
  const free = bavail * bsize;
  if (free >= bytesNeeded) return;
  const megabytes = (bytes: number): string => `${Math.ceil(bytes / 1e6).toLocaleString('en-US')} MB`;
  throw new BackupProblem(`${folder} has ${megabytes(free)} free, and ${megabytes(bytesNeeded)} are needed.`);
}

export async function bytesIn(folder: string): Promise<number> {
  let bytes = 0;
  for (const file of await filesIn(folder))
    bytes += (await stat(path.join(folder, file)).catch(() => undefined))?.size ?? 0;
  return bytes;
}
