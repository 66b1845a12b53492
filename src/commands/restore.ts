import { existsSync } from 'node:fs';
import path from 'node:path';
import { parseArgs } from 'node:util';
import { BackupProblem } from '../platform/backup/backup-files.js';
import { backupsIn } from '../platform/backup/take-backup.js';
import { restoreBackup } from '../platform/backup/restore-backup.js';
import { readConfig } from '../platform/config.js';
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
  if (config.onServer) throw new BackupProblem('This restores an embedded server: leave DATABASE_URL out.');
  const folder = path.resolve(given);
  const backup = existsSync(path.join(folder, 'backup.json')) ? folder : (await backupsIn(folder)).at(-1);
  if (backup === undefined) throw new BackupProblem(`There is no backup in ${folder}.`);
  const replay = values.until === undefined ? undefined : replayUntil(values.until, config.logArchive);
  console.log(`Restoring ${backup} …`);
  const { manifest, dataFolder, movedTo } = await restoreBackup({
    backup,
    dataFolder: config.dataFolder,
    replace: values.replace,
    replay,
  });
  console.log(`Restored to ${dataFolder}: as of ${replay?.until ?? manifest.wholeAt}. Start it with npm start.`);
  if (movedTo !== undefined) console.log(`What was there before is in ${movedTo}.`);
  if (config.secretKey === undefined && !existsSync(path.join(dataFolder, 'secret.key')))
    console.log(
      'There is no secret.key here: put the copy that you keep apart there before you start, or people sign in with ' +
        'recovery codes and set up their one-time codes again.',
    );
}

function replayUntil(until: string, logArchive: string | undefined): { logArchive: string; until: string | undefined } {
  if (logArchive === undefined)
    throw new BackupProblem('--until needs the archived log: say where it is by RICKYARD_LOG_ARCHIVE.');
  if (until !== 'end' && !/^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:\d\d)$/.test(until))
    throw new BackupProblem(`--until ${until}: a moment with its offset, as 2027-01-15T07:30:00-07:00, or "end".`);
  return { logArchive, until: until === 'end' ? undefined : new Date(until).toISOString() };
}

main().catch((error: unknown) => {
  console.error(error instanceof Error ? error.message : String(error));
  process.exit(1);
});
