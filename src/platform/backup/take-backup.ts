import { chmod, copyFile, mkdir, readdir, rename, rm, stat, writeFile } from 'node:fs/promises';
import path from 'node:path';
import pg from 'pg';
import {
  BackupProblem,
  bytesIn,
  CLUSTER,
  type Copied,
  copyFolder,
  type LeftOut,
  MANIFEST,
  type Manifest,
  refuseFullDisk,
  unreadable,
  writeDigests,
} from './backup-files.js';

export interface BackupSource {
  /** Connection of the cluster's owner. */
  readonly url: string;
  readonly dataFolder: string;
}

/** Written anew by the next start, or of the running process alone (PostgreSQL's manual, 25.3.4, data directory). */
const EMPTY = /^(?:pg_wal|pg_replslot|pg_dynshmem|pg_notify|pg_serial|pg_snapshots|pg_stat_tmp|pg_subtrans)$/;
const CLUSTER_WITHOUT: LeftOut = {
  files: (at) =>
    ['postmaster.pid', 'postmaster.opts', 'backup_label', 'tablespace_map'].includes(at) ||
    /(?:^|\/)(?:pgsql_tmp|pg_internal\.init)/.test(at),
  contentsOf: (at) => EMPTY.test(at) || /(?:^|\/)pgsql_tmp/.test(at),
};
/**
 * Beside the cluster: the owner's password and the heads of the audits go along; the key of the secrets is kept apart,
 * and what is of the running process alone is nothing to keep.
 */
const BESIDE = (name: string): boolean =>
  !/^(?:secret\.key|server-process|initdb-password|\.writable|postgres\.log.*)$/.test(name);

/** A folder of this name sorts by its time, on every system. */
const nameAt = (moment: Date): string => `rickyard-${moment.toISOString().slice(0, 19).replaceAll(':', '-')}Z`;

/**
 * Copies the embedded server's cluster while it serves: between `pg_backup_start` and `pg_backup_stop`, with the part
 * of the write-ahead log that makes the copy one moment, the moment of its end. Written under another name and renamed
 * when it is whole.
 * @returns the folder of the backup, below `backups`
 * @throws BackupProblem
 */
export async function takeBackup(
  source: BackupSource,
  backups: string,
  { moment, tell = () => undefined }: { moment: Date; tell?: (words: string) => void },
): Promise<{ folder: string; manifest: Manifest }> {
  await mkdir(backups, { recursive: true, mode: 0o700 });
  const cluster = path.join(source.dataFolder, CLUSTER);
  // The log is copied in part; what it needs beside is left for it.
  const bytes = (await bytesIn(cluster)) - (await bytesIn(path.join(cluster, 'pg_wal')));
  await refuseFullDisk(backups, bytes * 1.1 + 64e6);
  const folder = path.join(backups, nameAt(moment));
  const partial = `${folder}.partial`;
  await rm(partial, { recursive: true, force: true });
  await mkdir(path.join(partial, CLUSTER), { recursive: true, mode: 0o700 });
  try {
    const manifest = await copyCluster(source, partial, { moment, tell: everyTenth(bytes, tell) });
    await writeDigests(partial);
    await writeFile(path.join(partial, MANIFEST), `${JSON.stringify(manifest, null, 2)}\n`, { mode: 0o600 });
    await rename(partial, folder);
    return { folder, manifest };
  } catch (error) {
    await rm(partial, { recursive: true, force: true });
    throw error;
  }
}

async function copyCluster(
  { url, dataFolder }: BackupSource,
  to: string,
  { moment, tell }: { moment: Date; tell: (bytes: number) => void },
): Promise<Manifest> {
  const client = new pg.Client({ connectionString: url });
  client.on('error', () => undefined);
  await client.connect();
  try {
    const ask = async <Row extends pg.QueryResultRow>(statement: string, values: unknown[] = []): Promise<Row> => {
      const [row] = (await client.query<Row>(statement, values)).rows;
      if (row === undefined) throw new BackupProblem(`PostgreSQL did not answer ${statement}`);
      return row;
    };
    await client.query('SET statement_timeout = 0');
    // A slot of this session keeps the log from being recycled until it is copied.
    await client.query('SELECT pg_create_physical_replication_slot($1, true, true)', [
      `rickyard_backup_${process.pid}`,
    ]);
    const { first } = await ask<{ first: string }>(
      "SELECT pg_walfile_name(pg_backup_start('rickyard', true)) AS first",
    );
    const cluster = path.join(to, CLUSTER);
    const copied = await copyFolder(path.join(dataFolder, CLUSTER), cluster, CLUSTER_WITHOUT, tell);
    const end = await ask<{ labelfile: string; spcmapfile: string; last: string; version: string }>(
      "SELECT labelfile, spcmapfile, pg_walfile_name(lsn) AS last, current_setting('server_version') AS version " +
        'FROM pg_backup_stop(false)',
    );
    await writeFile(path.join(cluster, 'backup_label'), end.labelfile, { mode: 0o600 });
    if (end.spcmapfile !== '') await writeFile(path.join(cluster, 'tablespace_map'), end.spcmapfile, { mode: 0o600 });
    const log = await copyFolder(path.join(dataFolder, CLUSTER, 'pg_wal'), path.join(cluster, 'pg_wal'), {
      files: (at) => !at.endsWith('.history') && !(/^[0-9A-F]{24}$/.test(at) && at >= first && at <= end.last),
      contentsOf: () => true,
    });
    if (log.files === 0) throw new BackupProblem('The write-ahead log of the backup is gone before it was copied.');
    const beside = await copyBeside(dataFolder, to);
    return {
      format: 1,
      beganAt: moment.toISOString(),
      wholeAt: new Date().toISOString(),
      postgres: end.version,
      firstLog: first,
      lastLog: end.last,
      files: copied.files + log.files + beside.files,
      bytes: copied.bytes + log.bytes + beside.bytes,
    };
  } finally {
    // Ends the slot, and a backup that was not ended.
    await client.end();
  }
}

/** What of the data folder belongs to its cluster, as the owner's password does. */
async function copyBeside(dataFolder: string, to: string): Promise<Copied> {
  const copied: Copied = { files: 0, bytes: 0 };
  for (const entry of await readdir(dataFolder, { withFileTypes: true })) {
    if (!entry.isFile() || !BESIDE(entry.name)) continue;
    await copyFile(path.join(dataFolder, entry.name), path.join(to, entry.name));
    await chmod(path.join(to, entry.name), 0o600);
    copied.files += 1;
    copied.bytes += (await stat(path.join(to, entry.name))).size;
  }
  return copied;
}

/** Says after each tenth how far it is. */
function everyTenth(bytes: number, tell: (words: string) => void): (copied: number) => void {
  let done = 0;
  let told = 0;
  return (copied) => {
    done += copied;
    const tenth = bytes === 0 ? 10 : Math.min(10, Math.floor((10 * done) / bytes));
    if (tenth <= told) return;
    told = tenth;
    tell(`  ${tenth * 10} % of ${Math.ceil(bytes / 1e6).toLocaleString('en-US')} MB`);
  };
}

/** Backups in a folder, oldest first. */
export async function backupsIn(backups: string): Promise<string[]> {
  const names = await readdir(backups).catch((error: unknown) => {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
    throw unreadable(backups, error);
  });
  return names
    .filter((name) => /^rickyard-[0-9T-]{19}Z$/.test(name))
    .sort()
    .map((name) => path.join(backups, name));
}

/** Only the newest are kept. */
export async function pruneBackups(backups: string, kept: number): Promise<string[]> {
  const old = (await backupsIn(backups)).slice(0, -kept);
  for (const folder of old) await rm(folder, { recursive: true });
  return old;
}
