import path from 'node:path';
import { BackupProblem } from '../platform/backup/backup-files.js';
import { checkedBackup, wordsOf } from '../platform/backup/checked-backup.js';
import { readConfig } from '../platform/config.js';
import { startEmbeddedServer, urlOfRunning } from '../platform/embedded/embedded-server.js';
import { findPostgres, reachableDataFolder } from '../platform/embedded/postgres-files.js';
import { findCheckout } from '../platform/open-database.js';

/**
 * `npm run backup [-- folder]`: copies the embedded server's books while they are served, and restores the copy aside
 * to compare every row. A server of one's own has tools for that.
 */
async function main(): Promise<void> {
  const config = readConfig(process.env, findCheckout(__dirname));
  if (config.onServer)
    throw new BackupProblem(
      'The books are on a server of yours: take its backups with its own tools, pg_basebackup for the whole server ' +
        'or pg_dump --format=custom for this database; the latter as a superuser or a role with BYPASSRLS, since ' +
        'row-level security is forced upon the owner too, and pg_restore as a superuser on a server that has the ' +
        'roles. This command copies the embedded server.',
    );
  const dataFolder = reachableDataFolder(config.dataFolder, findPostgres().runAs);
  const backups = path.resolve(process.argv[2] ?? config.backups?.folder ?? path.join(dataFolder, 'backups'));
  const running = urlOfRunning(dataFolder);
  const own = running === undefined ? await startEmbeddedServer({ dataFolder: config.dataFolder }) : undefined;
  try {
    const url = running ?? own?.url ?? '';
    console.log(`Backing up ${dataFolder}${running === undefined ? '' : ', which is being served'} …`);
    const { folder, compared } = await checkedBackup({ url, dataFolder }, backups, {
      moment: new Date(),
      tell: (words) => console.log(words),
    });
    console.log(`Backup: ${folder}; ${wordsOf(compared)}.`);
    console.log('The key of the secrets (secret.key) is not in it: keep a copy of that in another place.');
  } finally {
    await own?.stop();
  }
}

main().catch((error: unknown) => {
  console.error(error instanceof Error ? error.message : String(error));
  process.exit(1);
});
