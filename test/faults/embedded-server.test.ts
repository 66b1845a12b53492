/*
 * What can be wrong with the folder of the embedded server when somebody starts it: what a killed server left behind
 * heals by itself, what a person must decide is said in words. Real servers, most of them without fsync.
 */
import { execFileSync, spawn, spawnSync } from 'node:child_process';
import { chmodSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import pg from 'pg';
import {
  type EmbeddedServer,
  EmbeddedServerProblem,
  startEmbeddedServer,
} from '../../src/platform/embedded/embedded-server.js';
import { findPostgres, reachableDataFolder } from '../../src/platform/embedded/postgres-files.js';

let folder: string;
let cluster: string;
/** A data folder as a first start leaves it; a copy of it spares a test the making of one. */
let started: string;
const running: EmbeddedServer[] = [];
beforeAll(async () => {
  started = newFolder();
  await (await startEmbeddedServer({ dataFolder: started, durable: false })).stop();
});
afterAll(() => {
  rmSync(started, { recursive: true, force: true });
});
beforeEach(() => {
  folder = newFolder();
  cluster = path.join(folder, 'postgres');
});
afterEach(async () => {
  for (const server of running.splice(0)) await server.stop();
  rmSync(folder, { recursive: true, force: true });
});

function newFolder(): string {
  const made = mkdtempSync(path.join(tmpdir(), 'rickyard-faults-'));
  chmodSync(made, 0o755);
  return made;
}

/** The folder of this test becomes one that was started and stopped before. */
function startedBefore(): void {
  execFileSync('cp', ['-a', `${started}/.`, folder]);
}

async function start(dataFolder = folder): Promise<EmbeddedServer> {
  const server = await startEmbeddedServer({ dataFolder, durable: false });
  running.push(server);
  return server;
}

async function query<Row extends object>(server: EmbeddedServer, sql: string): Promise<Row[]> {
  const client = new pg.Client({ connectionString: server.url });
  client.on('error', () => undefined);
  await client.connect();
  try {
    return (await client.query<Row>(sql)).rows;
  } finally {
    await client.end();
  }
}

const processOf = (): number => Number(readFileSync(path.join(cluster, 'postmaster.pid'), 'utf8').split('\n')[0]);
const hasEnded = (pid: number): boolean => {
  try {
    process.kill(pid, 0);
    return false;
  } catch {
    return true;
  }
};
async function untilEnded(pid: number): Promise<void> {
  const deadline = Date.now() + 30_000;
  while (!hasEnded(pid) && Date.now() < deadline)
    await new Promise((resolve) => {
      setTimeout(resolve, 10);
    });
}
async function atWork(server: EmbeddedServer, session: number): Promise<boolean> {
  const found = await query(
    server,
    `SELECT 1 AS one FROM pg_stat_activity WHERE pid = ${session} AND state = 'active' AND query LIKE 'DO %'`,
  );
  return found.length > 0;
}
/** The number of a process that is surely over. */
const deadProcess = (): number => spawnSync(process.execPath, ['-e', '0']).pid;

describe('the embedded server', () => {
  it('is made once, and finds its data again', async () => {
    const first = await start();
    expect(first.notes).toEqual(['created the data folder']);
    await query(first, 'CREATE TABLE hay (tons int); INSERT INTO hay VALUES (24)');
    await first.stop();
    expect(existsSync(path.join(cluster, 'postmaster.pid'))).toBe(false);
    // Nor is it marked as in use by this process, which goes on.
    expect(existsSync(path.join(folder, 'server-process'))).toBe(false);
    const second = await start();
    expect(second.notes).toEqual(['reused the data folder']);
    expect(await query(second, 'SELECT tons FROM hay')).toEqual([{ tons: 24 }]);
  });

  it('after a lock of a process that is over: removes it and starts', async () => {
    startedBefore();
    writeFileSync(path.join(cluster, 'postmaster.pid'), `${deadProcess()}\n${cluster}\n1\n5432\n\n127.0.0.1\n`);
    const server = await start();
    expect(server.notes).toContain('removed a stale lock that a killed server had left');
    expect(await query(server, 'SELECT 1 AS one')).toEqual([{ one: 1 }]);
  });

  it('after a lock whose process number another program has now: leaves that program alone and starts', async () => {
    startedBefore();
    writeFileSync(path.join(cluster, 'postmaster.pid'), `${process.pid}\n${cluster}\n1\n5432\n\n127.0.0.1\n`);
    const server = await start();
    expect(server.notes).toContain('removed a stale lock that a killed server had left');
    expect(await query(server, 'SELECT 1 AS one')).toEqual([{ one: 1 }]);
  });

  it.each([
    ['nothing', ''],
    ['nonsense', 'not a number\n'],
    ['half a line', '12'],
  ])('after a lock that holds %s: starts', async (_name, content) => {
    startedBefore();
    writeFileSync(path.join(cluster, 'postmaster.pid'), content);
    expect(await query(await start(), 'SELECT 1 AS one')).toEqual([{ one: 1 }]);
  });

  it('after it was killed: starts, with everything that was committed', async () => {
    startedBefore();
    // As real books are kept: what was committed is on the disk.
    const killed = await startEmbeddedServer({ dataFolder: folder });
    running.push(killed);
    await query(killed, 'CREATE TABLE hay (tons int); INSERT INTO hay VALUES (24)');
    const pid = processOf();
    process.kill(pid, 'SIGKILL');
    await untilEnded(pid);
    const server = await start();
    expect(server.notes).toContain('removed a stale lock that a killed server had left');
    expect(await query(server, 'SELECT tons FROM hay')).toEqual([{ tons: 24 }]);
  });

  it('killed while it is watched is started again where it was, with everything that was committed', async () => {
    startedBefore();
    const watched = await startEmbeddedServer({ dataFolder: folder });
    running.push(watched);
    await query(watched, 'CREATE TABLE hay (tons int); INSERT INTO hay VALUES (24)');
    const told: string[] = [];
    const again = new Promise<void>((resolve) => {
      watched.watch((words) => {
        told.push(words);
        if (words.includes('was restarted')) resolve();
      });
    });
    const pid = processOf();
    process.kill(pid, 'SIGKILL');
    await again;
    expect(await query(watched, 'SELECT tons FROM hay')).toEqual([{ tons: 24 }]);
    expect(told[0]).toBe(
      `The embedded PostgreSQL (process ${pid}) ended; its last messages are in ${path.join(folder, 'postgres.log')}.`,
    );
    expect(readFileSync(path.join(folder, 'postgres.log'), 'utf8')).toContain('was not properly shut down');
    const last = processOf();
    await watched.stop();
    expect(hasEnded(last)).toBe(true);
  });

  it('killed while one of its sessions is at work: that is ended before the next one starts', async () => {
    startedBefore();
    const killed = await start();
    const busy = new pg.Client({ connectionString: killed.url });
    busy.on('error', () => undefined);
    await busy.connect();
    const { rows } = await busy.query<{ pid: number }>('SELECT pg_backend_pid() AS pid');
    const session = rows[0]?.pid ?? 0;
    // It waits for nothing, so it does not notice that its server is gone.
    busy.query('DO $$ BEGIN LOOP PERFORM 1; END LOOP; END $$').catch(() => undefined);
    while (!(await atWork(killed, session)));
    const pid = processOf();
    process.kill(pid, 'SIGKILL');
    await untilEnded(pid);
    expect(hasEnded(session)).toBe(false);
    const server = await start();
    expect(hasEnded(session)).toBe(true);
    expect(server.notes).toContain('ended 1 processes that a killed server had left at work');
    expect(await query(server, 'SELECT 1 AS one')).toEqual([{ one: 1 }]);
  });

  it.each([
    [
      'gone',
      (file: string) => rmSync(file),
      "made a new password for the schema's owner, since owner-password was gone",
    ],
    [
      "another folder's",
      (file: string) => writeFileSync(file, 'not-the-password-of-these-books'),
      "gave the schema's owner the password that is kept beside the books, which was not theirs",
    ],
  ])("whose owner's password is %s gets one, at once, and has its books", async (_what, lose, words) => {
    startedBefore();
    const first = await start();
    await query(first, 'CREATE TABLE hay (tons int); INSERT INTO hay VALUES (24)');
    await first.stop();
    lose(path.join(folder, 'owner-password'));
    const server = await start();
    expect(server.notes).toContain(words);
    expect(await query(server, 'SELECT tons FROM hay')).toEqual([{ tons: 24 }]);
  });

  it('in a folder that somebody copied, open to others: is closed, belongs to its account, and starts', async () => {
    // As `cp -r` leaves it: everything is the copier's, and anybody may look in.
    execFileSync('cp', ['-r', `${started}/.`, folder]);
    chmodSync(cluster, 0o755);
    const server = await start();
    expect(server.notes).toContain('closed the data folder to other accounts');
    expect(statSync(cluster).mode & 0o077).toBe(0);
    expect(await query(server, 'SELECT 1 AS one')).toEqual([{ one: 1 }]);
  });

  it('marked by a process whose number another Node program has now starts', async () => {
    startedBefore();
    const other = spawn(process.execPath, ['-e', 'setInterval(() => undefined, 60_000)'], { stdio: 'ignore' });
    writeFileSync(path.join(folder, 'server-process'), `${other.pid}\nanother start`);
    expect(await query(await start(), 'SELECT 1 AS one')).toEqual([{ one: 1 }]);
    other.kill('SIGKILL');
  });

  it('that outlived who started it is taken over, and stopped by who took it over', async () => {
    startedBefore();
    const orphan = await start();
    await query(orphan, 'CREATE TABLE hay (tons int); INSERT INTO hay VALUES (24)');
    const pid = processOf();
    const taken = await start();
    expect(taken.url).toBe(orphan.url);
    expect(taken.notes.join()).toMatch(
      new RegExp(`took over the PostgreSQL that an earlier start left running \\(process ${pid}, port \\d+\\)`),
    );
    expect(await query(taken, 'SELECT tons FROM hay')).toEqual([{ tons: 24 }]);
    await taken.stop();
    expect(hasEnded(pid)).toBe(true);
  });

  it('whose first start was broken off begins again', async () => {
    mkdirSync(`${cluster}.new`);
    writeFileSync(path.join(`${cluster}.new`, 'half'), 'half a cluster');
    mkdirSync(cluster);
    writeFileSync(path.join(cluster, 'half'), 'half a cluster');
    const server = await start();
    expect(server.notes).toEqual(['created the data folder']);
    expect(existsSync(`${cluster}.new`)).toBe(false);
    expect(await query(server, 'SELECT 1 AS one')).toEqual([{ one: 1 }]);
  });

  it('whose first start was broken off before the database was made makes it', async () => {
    startedBefore();
    const first = await start();
    const admin = new URL(first.url);
    admin.pathname = '/postgres';
    const client = new pg.Client({ connectionString: admin.toString() });
    await client.connect();
    await client.query('DROP DATABASE rickyard');
    await client.end();
    await first.stop();
    expect(await query(await start(), 'SELECT current_database() AS name')).toEqual([{ name: 'rickyard' }]);
  });

  it('leaves its passwords to their owner only, and asks for one', async () => {
    startedBefore();
    const server = await start();
    const { mode } = await import('node:fs').then(({ statSync }) => statSync(path.join(folder, 'owner-password')));
    expect(mode & 0o077).toBe(0);
    expect(existsSync(path.join(folder, 'initdb-password'))).toBe(false);
    const stranger = new URL(server.url);
    stranger.password = 'guess';
    await expect(new pg.Client({ connectionString: stranger.toString() }).connect()).rejects.toMatchObject({
      code: '28P01',
    });
  });
});

describe('where a person has to decide', () => {
  const refusal = async (dataFolder: string): Promise<string> => {
    try {
      await start(dataFolder);
    } catch (error) {
      if (error instanceof EmbeddedServerProblem) return error.message;
      throw error;
    }
    throw new Error('It started');
  };

  it('data of another version is named, with what to do, and left as it is', async () => {
    mkdirSync(cluster);
    writeFileSync(path.join(cluster, 'PG_VERSION'), '9\n');
    const { majorVersion } = findPostgres();
    expect(await refusal(folder)).toBe(
      `The data folder ${cluster} was written by PostgreSQL 9; this release comes with PostgreSQL ${majorVersion}, ` +
        'which cannot open it. ' +
        'Start the release that wrote it, take a backup there and restore it here; or move the folder away to ' +
        'begin with the demo.',
    );
    expect(readFileSync(path.join(cluster, 'PG_VERSION'), 'utf8')).toBe('9\n');
  });

  it('a folder that cannot be written is named, with what to do', async () => {
    const file = path.join(folder, 'a-file');
    writeFileSync(file, '');
    const below = path.join(file, 'data');
    expect(await refusal(below)).toBe(
      `The data folder ${below} cannot be written (ENOTDIR). Make it writable, or set RICKYARD_DATA to a folder ` +
        'that is.',
    );
  });

  it('books in a folder that the account of PostgreSQL may not enter are not passed over for new ones', () => {
    startedBefore();
    const account = { uid: 12_345, gid: 12_345, name: 'rickyard' };
    const home = path.join(folder, 'home');
    mkdirSync(home, { mode: 0o700 });
    const books = path.join(home, 'books');
    // Nothing there yet: they are begun where they can be.
    expect(reachableDataFolder(books, account)).toMatch(/^\/var\/lib\/rickyard\//);
    mkdirSync(path.join(books, 'postgres'), { recursive: true });
    writeFileSync(path.join(books, 'postgres', 'PG_VERSION'), '18\n');
    expect(() => reachableDataFolder(books, account)).toThrow(
      `There are books in ${books}, and the account "rickyard", which PostgreSQL runs as, may not enter ${home}. ` +
        `Open that folder (chmod o+x ${home}), or move the books and set RICKYARD_DATA to where they are. ` +
        'Nothing was begun anew.',
    );
    chmodSync(home, 0o701);
    expect(reachableDataFolder(books, account)).toBe(books);
  });

  it('a data folder that is damaged says what the server said', async () => {
    startedBefore();
    rmSync(path.join(cluster, 'global'), { recursive: true });
    expect(await refusal(folder)).toMatch(
      /The embedded PostgreSQL stopped while starting \(exit code \d+\)\. Its output:\n[^]*global/,
    );
  });
});
