import { existsSync } from 'node:fs';
import path from 'node:path';
import { parseArgs } from 'node:util';
import { BackupProblem, isBackup, type Manifest, manifestOf } from '../platform/backup/backup-files.js';
import { backupsIn } from '../platform/backup/take-backup.js';
import { restoreBackup } from '../platform/backup/restore-backup.js';
import { type Config, readConfig } from '../platform/config.js';
import { findCheckout } from '../platform/open-database.js';

const USAGE =
  'npm run restore -- FOLDER [--replace] [--until INSTANT]\n' +
  '  FOLDER     a backup, or the folder of backups, whose newest is taken\n' +
  '  --replace  moves books that are in the data folder aside\n' +
  '  --until    goes on to this moment by the archived log (RICKYARD_LOG_ARCHIVE); "end": as far as it goes';

/** `npm run restore -- FOLDER`: puts a backup where the books are kept, on this machine or another. */
async function main(): Promise<void> {
  const { values, positionals } = parseArgs({
    allowPositionals: true,
    options: { replace: { type: 'boolean', default: false }, until: { type: 'string' } },
  });
  const [given] = positionals;
  if (given === undefined || positionals.length > 1) throw new BackupProblem(USAGE);
  const config = readConfig(process.env, findCheckout(__dirname));
  if (config.onServer)
    throw new BackupProblem(`This restores the embedded server: leave ${serverNames(config).join(' and ')} out.`);
  const folder = path.resolve(given);
  const replay = values.until === undefined ? undefined : replayUntil(values.until, config.logArchive);
  const backup = await backupAt(folder, replay?.until);
  console.log(`Restoring ${backup} …`);
  const { manifest, dataFolder, movedTo, lastEntryAt } = await restoreBackup({
    backup,
    dataFolder: config.dataFolder,
    replace: values.replace,
    replay,
  });
  const asOf = replay === undefined ? `as of ${manifest.wholeAt}` : wordsOfReplay(replay.until, lastEntryAt, manifest);
  console.log(`Restored to ${dataFolder}: ${asOf}. Start it with npm start.`);
  if (movedTo !== undefined) console.log(`What was there before is in ${movedTo}.`);
  if (config.secretKey === undefined && !existsSync(path.join(dataFolder, 'secret.key')))
    console.log(
      'There is no secret.key here: put the copy that you keep apart there before you start, or people sign in with ' +
        'recovery codes and set up their one-time codes again.',
    );
}

const serverNames = ({ databaseUrl, appDatabaseUrl }: Config): string[] => [
  ...(databaseUrl === undefined ? [] : ['DATABASE_URL']),
  ...(appDatabaseUrl === undefined ? [] : ['APP_DATABASE_URL']),
];

/** The folder itself, or the newest in it: that was whole by the moment, where one is named. */
async function backupAt(folder: string, until: string | undefined): Promise<string> {
  if (await isBackup(folder)) return folder;
  const backups = await backupsIn(folder);
  if (backups.length === 0) throw new BackupProblem(`There is no backup in ${folder}.`);
  for (const one of backups.toReversed())
    if (until === undefined || Date.parse((await manifestOf(one)).wholeAt) <= Date.parse(until)) return one;
  throw new BackupProblem(`No backup in ${folder} was whole by ${until}: the log goes on from one, never back.`);
}

function wordsOfReplay(until: string | undefined, last: Date | undefined, { wholeAt }: Manifest): string {
  const applied =
    last === undefined
      ? `the log had nothing after the backup of ${wholeAt}`
      : `the last entry of the log is of ${last.toISOString()}`;
  return `${until === undefined ? 'to the end of the log' : `as of ${until}`}; ${applied}`;
}

function replayUntil(until: string, logArchive: string | undefined): { logArchive: string; until: string | undefined } {
  if (logArchive === undefined)
    throw new BackupProblem('--until needs the archived log: say where it is by RICKYARD_LOG_ARCHIVE.');
  if (
    until !== 'end' &&
    (!/^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:\d\d)$/.test(until) || Number.isNaN(Date.parse(until)))
  )
    throw new BackupProblem(`--until ${until}: a moment with its offset, as 2027-01-15T07:30:00-07:00, or "end".`);
  return { logArchive, until: until === 'end' ? undefined : until };
}

main().catch((error: unknown) => {
  console.error(error instanceof Error ? error.message : String(error));
  process.exit(1);
});
