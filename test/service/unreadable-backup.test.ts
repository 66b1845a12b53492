/* A backup that another account took is there, though this one cannot see into it. */
import files from 'node:fs/promises';
import { userInfo } from 'node:os';
import { isBackup, manifestOf } from '../../src/platform/backup/backup-files.js';
import { backupsIn } from '../../src/platform/backup/take-backup.js';

const refused = (code: string): Error => Object.assign(new Error(code), { code });
// Root reads everything, so that the system's refusal is put in its place.
const words = new RegExp(`^/b cannot be read by the account "${userInfo().username}" \\(EACCES\\)\\..*chown -R`);

afterEach(() => jest.restoreAllMocks());

it('is told apart from none', async () => {
  jest.spyOn(files, 'stat').mockRejectedValue(refused('EACCES'));
  await expect(isBackup('/b')).rejects.toThrow(words);
  await expect(manifestOf('/b')).rejects.toThrow(words);
  jest.spyOn(files, 'stat').mockRejectedValue(refused('ENOENT'));
  expect(await isBackup('/b')).toBe(false);
  await expect(manifestOf('/b')).rejects.toThrow('/b is no whole backup: it has no backup.json.');
});

it('so are backups in a folder that cannot be listed', async () => {
  jest.spyOn(files, 'readdir').mockRejectedValue(refused('EACCES'));
  await expect(backupsIn('/b')).rejects.toThrow(words);
  jest.spyOn(files, 'readdir').mockRejectedValue(refused('ENOENT'));
  expect(await backupsIn('/b')).toEqual([]);
});
