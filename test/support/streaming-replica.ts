import { execFileSync, spawn } from 'node:child_process';
import {
  chmodSync,
  cpSync,
  mkdirSync,
  mkdtempSync,
  openSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import pg from 'pg';
import { findPostgres, handOver, type PostgresFiles } from '../../src/platform/embedded/postgres-files.js';
import { isAlive } from '../../src/platform/embedded/processes.js';
import { watchOver } from './server-of-run.js';

/** What a copy must not have of the server it was made of. */
const NOT_COPIED = new Set(['pg_wal', 'postmaster.pid', 'postmaster.opts', 'pg_replslot', 'pg_stat_tmp']);

/** A streaming replica of an embedded server, made and run by its own programs. */
export class StreamingReplica {
  readonly #admin: pg.Pool;
  #pid = 0;

  private constructor(
    private readonly files: PostgresFiles,
    private readonly folder: string,
    private readonly primaryUrl: string,
    readonly port: number,
    private readonly dismiss: () => void,
  ) {
    this.#admin = new pg.Pool({ connectionString: this.urlOf(primaryUrl), max: 1 });
    this.#admin.on('error', () => undefined);
  }

  /** A copy of the server at `url` in `primaryFolder`, which follows it from now on. */
  static async of({ url, folder: primaryFolder }: { url: string; folder: string }): Promise<StreamingReplica> {
    const folder = mkdtempSync(path.join(tmpdir(), 'rickyard-replica-'));
    // As root, the server's programs run as another account, which must be able to enter this folder.
    chmodSync(folder, 0o755);
    const replica = new StreamingReplica(findPostgres(), folder, url, await freePort(), watchOver(folder));
    await replica.#copy(path.join(primaryFolder, 'postgres'));
    await replica.start();
    return replica;
  }

  /** The same database and login, here. */
  urlOf(primaryUrl: string): string {
    const url = new URL(primaryUrl);
    url.port = String(this.port);
    return url.toString();
  }

  async #copy(from: string): Promise<void> {
    const cluster = path.join(this.folder, 'postgres');
    const primary = new pg.Client({ connectionString: this.primaryUrl });
    await primary.connect();
    try {
      await primary.query("SELECT pg_create_physical_replication_slot('replica', true)");
      await primary.query("SELECT pg_backup_start('replica', true)");
      mkdirSync(cluster, { mode: 0o700 });
      for (const entry of readdirSync(from).filter((name) => !NOT_COPIED.has(name)))
        cpSync(path.join(from, entry), path.join(cluster, entry), { recursive: true, verbatimSymlinks: true });
      for (const empty of ['pg_wal', 'pg_replslot', 'pg_stat_tmp']) mkdirSync(path.join(cluster, empty));
      const { rows } = await primary.query<{ labelfile: string }>('SELECT labelfile FROM pg_backup_stop(false)');
      writeFileSync(path.join(cluster, 'backup_label'), rows[0]?.labelfile ?? '');
    } finally {
      await primary.end();
    }
    writeFileSync(path.join(cluster, 'standby.signal'), '');
    const { hostname, port, username, password } = new URL(this.primaryUrl);
    writeFileSync(
      path.join(cluster, 'postgresql.auto.conf'),
      `primary_conninfo = 'host=${hostname} port=${port} user=${username} password=${password}'\n` +
        "primary_slot_name = 'replica'\n",
    );
    handOverAll(cluster, this.files.runAs);
  }

  /** Starts it, and waits until it answers. Conflicts with replay end a read at once. */
  async start(): Promise<void> {
    const settings = {
      unix_socket_directories: '',
      timezone: 'UTC',
      max_connections: '200',
      max_standby_streaming_delay: '0',
      hot_standby_feedback: 'off',
      wal_retrieve_retry_interval: '100ms',
      fsync: 'off',
    };
    const log = openSync(path.join(this.folder, 'postgres.log'), 'a');
    const server = spawn(
      path.join(this.files.binFolder, 'postgres'),
      [
        ...['-D', path.join(this.folder, 'postgres'), '-p', String(this.port), '-h', '127.0.0.1'],
        ...Object.entries(settings).flatMap(([name, value]) => ['-c', `${name}=${value}`]),
      ],
      {
        stdio: ['ignore', 'ignore', log],
        detached: true,
        env: { PATH: process.env['PATH'], LC_ALL: 'C', TZ: 'UTC' },
        ...(this.files.runAs === undefined ? {} : { uid: this.files.runAs.uid, gid: this.files.runAs.gid }),
      },
    );
    server.unref();
    this.#pid = server.pid ?? 0;
    while (!(await this.#answers())) {
      if (!isAlive(this.#pid) || server.exitCode !== null) throw new Error(`The replica ended:\n${this.#said()}`);
      await sleep(50);
    }
  }

  /** Asks it as the superuser. */
  async ask<Row extends pg.QueryResultRow>(sql: string): Promise<Row[]> {
    return (await this.#admin.query<Row>(sql)).rows;
  }

  async pause(): Promise<void> {
    await this.ask('SELECT pg_wal_replay_pause()');
    while (
      (await this.ask<{ state: string }>('SELECT pg_get_wal_replay_pause_state() AS state'))[0]?.state !== 'paused'
    )
      await sleep(10);
  }

  async resume(): Promise<void> {
    await this.ask('SELECT pg_wal_replay_resume() WHERE pg_is_in_recovery()');
  }

  /** Waits until it has replayed what the primary has at present. */
  async caughtUp(): Promise<void> {
    const primary = new pg.Client({ connectionString: this.primaryUrl });
    await primary.connect();
    const { rows } = await primary.query<{ at: string }>('SELECT pg_current_wal_flush_lsn()::text AS at');
    await primary.end();
    const done = `SELECT pg_last_wal_replay_lsn() >= '${rows[0]?.at ?? ''}'::pg_lsn AS done`;
    while ((await this.ask<{ done: boolean }>(done))[0]?.done !== true) await sleep(10);
  }

  /** Ends it as a power cut does. */
  async kill(): Promise<void> {
    for (const pid of this.#processes()) killed(pid, 'SIGKILL');
    while (isAlive(this.#pid)) await sleep(10);
    rmSync(path.join(this.folder, 'postgres', 'postmaster.pid'), { force: true });
  }

  /** It keeps its connections and says nothing any more. */
  freeze(): void {
    for (const pid of this.#processes()) killed(pid, 'SIGSTOP');
  }

  thaw(): void {
    for (const pid of this.#processes()) killed(pid, 'SIGCONT');
  }

  /** Becomes a server of its own. */
  async promote(): Promise<void> {
    await this.ask('SELECT pg_promote(true, 3600)');
  }

  async stop(): Promise<void> {
    await this.#admin.end();
    this.thaw();
    await this.kill();
    rmSync(this.folder, { recursive: true, force: true });
    this.dismiss();
  }

  #processes(): number[] {
    const all = execFileSync('ps', ['-A', '-o', 'pid=,ppid='], { encoding: 'utf8' }).split('\n');
    const pairs = all.map((line) => line.trim().split(/\s+/).map(Number));
    return [this.#pid, ...pairs.filter(([, parent]) => parent === this.#pid).map(([pid]) => pid ?? 0)];
  }

  async #answers(): Promise<boolean> {
    return this.ask('SELECT 1').then(
      () => true,
      () => false,
    );
  }

  #said(): string {
    return readFileSync(path.join(this.folder, 'postgres.log'), 'utf8');
  }
}

function killed(pid: number, signal: NodeJS.Signals): void {
  try {
    process.kill(pid, signal);
  } catch {
    // It has ended by itself.
  }
}

function handOverAll(at: string, runAs: PostgresFiles['runAs']): void {
  handOver(at, runAs);
  for (const entry of readdirSync(at, { recursive: true, encoding: 'utf8' })) handOver(path.join(at, entry), runAs);
}

async function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const probe = createServer();
    probe.once('error', reject);
    probe.listen(0, '127.0.0.1', () => {
      const address = probe.address();
      probe.close(() => resolve(typeof address === 'object' && address !== null ? address.port : 0));
    });
  });
}
