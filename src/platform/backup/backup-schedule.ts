import { readdir, rm } from 'node:fs/promises';
import path from 'node:path';
import { manifestOf } from './backup-files.js';
import { checkedBackup, wordsOf } from './checked-backup.js';
import { backupsIn, type BackupSource, pruneBackups } from './take-backup.js';

export interface BackupSettings {
  readonly folder: string;
  readonly everyHours: number;
  readonly kept: number;
}

const HOUR_MS = 3_600_000;

/**
 * Takes a backup if the newest one is older than the settings allow, and keeps as many as they say, with the archived
 * log from the oldest of them on.
 * @returns what was done, in words for the person who keeps the server; nothing where none was due
 */
export async function backupIfDue(
  source: BackupSource,
  { folder, everyHours, kept }: BackupSettings,
  { now, logArchive }: { now: Date; logArchive: string | undefined },
): Promise<string | undefined> {
  const newest = (await backupsIn(folder)).at(-1);
  const last = newest === undefined ? undefined : await manifestOf(newest).catch(() => undefined);
  if (last !== undefined && now.getTime() - Date.parse(last.beganAt) < everyHours * HOUR_MS) return undefined;
  const taken = await checkedBackup(source, folder, { moment: now });
  const gone = await pruneBackups(folder, kept);
  if (logArchive !== undefined) await pruneArchive(logArchive, folder);
  const dropped = gone.length === 0 ? '' : `; ${gone.length} older ones were deleted`;
  return `${taken.folder}: ${wordsOf(taken.compared)}${dropped}`;
}

/** No backup needs what the log has from before the oldest one. */
async function pruneArchive(logArchive: string, backups: string): Promise<void> {
  const [oldest] = await backupsIn(backups);
  if (oldest === undefined) return;
  const { firstLog } = await manifestOf(oldest);
  for (const name of await readdir(logArchive))
    // The first eight letters are the timeline; the order in time is that of the rest.
    if (/^[0-9A-F]{24}$/.test(name) && name.slice(8) < firstLog.slice(8)) await rm(path.join(logArchive, name));
}
