import { spawnSync } from 'node:child_process';
import { randomBytes } from 'node:crypto';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { EmbeddedServerProblem } from './embedded-server-problem.js';
import type { PostgresFiles } from './postgres-files.js';

const fileIn = (dataFolder: string): string => path.join(dataFolder, 'owner-password');

/** The password of the schema's owner, kept beside the cluster; undefined where there is none. */
export function ownerPassword(dataFolder: string): string | undefined {
  const file = fileIn(dataFolder);
  const kept = existsSync(file) ? readFileSync(file, 'utf8').trim() : '';
  return kept === '' ? undefined : kept;
}

export function newOwnerPassword(dataFolder: string): string {
  const password = randomBytes(24).toString('base64url');
  writeFileSync(fileIn(dataFolder), password, { mode: 0o600 });
  return password;
}

/** The server refuses the password that is kept. */
export class PasswordRefused extends Error {
  override name = 'PasswordRefused';
}

/**
 * Gives the owner a password while no server runs on the folder: PostgreSQL's single-user mode asks for none, since
 * whoever may read the folder has the books anyway.
 */
export function setOwnerPassword(
  { binFolder, runAs }: PostgresFiles,
  cluster: string,
  { owner, password, env }: { owner: string; password: string; env: NodeJS.ProcessEnv },
): void {
  const { status, stdout, stderr } = spawnSync(
    path.join(binFolder, 'postgres'),
    ['--single', '-D', cluster, '-c', 'unix_socket_directories=', 'postgres'],
    {
      input: `ALTER ROLE ${owner} PASSWORD '${password}'\n`,
      encoding: 'utf8',
      env,
      ...(runAs === undefined ? {} : { uid: runAs.uid, gid: runAs.gid }),
    },
  );
  if (status !== 0 || /ERROR|FATAL/.test(stderr))
    throw new EmbeddedServerProblem(
      `The password of the schema's owner was lost, and no new one could be set:\n${stdout}${stderr}`,
    );
}
