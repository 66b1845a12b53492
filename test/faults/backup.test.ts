/*
 * Backups of the embedded server, taken while it is written to. The writer counts what was acknowledged: all that was
 * so before a backup began is in it, and nothing is there by half.
 */
import {
  appendFileSync,
  chmodSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import pg from 'pg';
import { backedUpBefore } from '../../src/platform/backup/before-migrating.js';
import { backupIfDue } from '../../src/platform/backup/backup-schedule.js';
import { checkedBackup } from '../../src/platform/backup/checked-backup.js';
import { compareBooks } from '../../src/platform/backup/compare-books.js';
import { restoreBackup } from '../../src/platform/backup/restore-backup.js';
import { backupsIn, takeBackup } from '../../src/platform/backup/take-backup.js';
import { archiveWarning } from '../../src/platform/embedded/disk-warnings.js';
import { type EmbeddedServer, startEmbeddedServer } from '../../src/platform/embedded/embedded-server.js';
import { runCommand } from '../support/program.js';

let folder: string;
let server: EmbeddedServer;
const at = (...names: string[]): string => path.join(folder, ...names);
const source = () => ({ url: server.url, dataFolder: server.dataFolder });

beforeAll(async () => {
  folder = mkdtempSync(path.join(tmpdir(), 'rickyard-backup-'));
  chmodSync(folder, 0o755);
  server = await startEmbeddedServer({ dataFolder: at('data'), durable: false, logArchive: at('log') });
  writeFileSync(at('data', 'secret.key'), 'a key that is kept apart');
  await query(server.url, 'CREATE TABLE written (pair int, half int, PRIMARY KEY (pair, half))');
});
afterAll(async () => {
  await server.stop();
  rmSync(folder, { recursive: true, force: true });
});

async function query<Row extends object>(url: string, sql: string): Promise<Row[]> {
  const client = new pg.Client({ connectionString: url });
  client.on('error', () => undefined);
  await client.connect();
  try {
    return (await client.query<Row>(sql)).rows;
  } finally {
    await client.end();
  }
}

/** Writes pairs, two rows in one transaction each, until it is stopped; knows how many were acknowledged. */
function writer(url: string): { acknowledged: () => number; stop: () => Promise<void> } {
  const client = new pg.Client({ connectionString: url });
  let going = true;
  let acknowledged = 0;
  const done = (async () => {
    await client.connect();
    const [last] = (await client.query<{ last: number | null }>('SELECT max(pair) AS last FROM written')).rows;
    for (let pair = (last?.last ?? 0) + 1; going; pair += 1) {
      await client.query(
        `BEGIN; INSERT INTO written VALUES (${pair}, 1); INSERT INTO written VALUES (${pair}, 2); COMMIT`,
      );
      acknowledged = pair;
    }
    await client.end();
  })();
  return {
    acknowledged: () => acknowledged,
    stop: async () => {
      going = false;
      await done;
    },
  };
}

interface Pairs {
  pairs: number;
  last: number;
  halves: number;
}
/** What a data folder holds once a server is started on it. */
async function pairsOn(dataFolder: string, logArchive?: string): Promise<Pairs & { notes: string[] }> {
  const restored = await startEmbeddedServer({ dataFolder, durable: false, logArchive });
  try {
    const [found] = await query<Pairs>(
      restored.url,
      `SELECT count(*)::int AS pairs, max(pair) AS last, count(*) FILTER (WHERE rows <> 2)::int AS halves
         FROM (SELECT pair, count(*) AS rows FROM written GROUP BY pair) AS p`,
    );
    return { ...(found ?? { pairs: 0, last: 0, halves: 0 }), notes: restored.notes };
  } finally {
    await restored.stop();
  }
}

it('taken under writes holds all that was acknowledged before it, and nothing by half', async () => {
  const writes = writer(server.url);
  while (writes.acknowledged() < 200) await sleep(5);
  const before = writes.acknowledged();
  const { folder: backup, manifest } = await takeBackup(source(), at('backups'), { moment: new Date() });
  const after = writes.acknowledged();
  await writes.stop();
  expect(after).toBeGreaterThan(before);
  await restoreBackup({ backup, dataFolder: at('one'), durable: false });
  const { pairs, last, halves } = await pairsOn(at('one'));
  expect(last).toBeGreaterThanOrEqual(before);
  expect([pairs, halves]).toEqual([last, 0]);
  // The key of the secrets is kept apart, the password of the cluster is not.
  expect(existsSync(path.join(backup, 'secret.key'))).toBe(false);
  expect(readFileSync(at('one', 'owner-password'), 'utf8')).toBe(readFileSync(at('data', 'owner-password'), 'utf8'));
  expect(manifest.firstLog <= manifest.lastLog).toBe(true);
});

it('goes on from a backup to a moment between two, and to the end of what was archived', async () => {
  const write = (pair: number) => query(server.url, `INSERT INTO written VALUES (${pair}, 1), (${pair}, 2)`);
  await write(1_000_001);
  const [then] = await query<{ at: string }>(
    server.url,
    `SELECT to_char(clock_timestamp() AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US"Z"') AS at`,
  );
  await write(1_000_002);
  await query(server.url, 'SELECT pg_switch_wal()');
  const archived = async (): Promise<boolean> => {
    const [row] = await query<{ done: boolean }>(
      server.url,
      'SELECT last_archived_wal >= pg_walfile_name(pg_current_wal_lsn() - 16777216) AS done FROM pg_stat_archiver',
    );
    return row?.done === true;
  };
  while (!(await archived())) await sleep(50);
  // By the command that a person types: it alone decides in which form a moment reaches PostgreSQL.
  const restored = (to: string, ...asked: string[]) =>
    runCommand('restore.ts', { RICKYARD_DATA: at(to), RICKYARD_LOG_ARCHIVE: at('log') }, at('backups'), ...asked);
  const asked = then?.at ?? '';
  expect(await restored('then', '--until', asked)).toEqual({
    code: 0,
    said: expect.stringContaining(`as of ${asked}; the last entry of the log is of `) as string,
  });
  expect((await pairsOn(at('then'))).last).toBe(1_000_001);
  const toTheEnd = await restored('end', '--until', 'end');
  expect((await pairsOn(at('end'))).last).toBe(1_000_002);
  const [, last = ''] = /to the end of the log; the last entry of the log is of (\S+Z)\./.exec(toTheEnd.said) ?? [];
  expect(Date.parse(last)).toBeGreaterThanOrEqual(Math.floor(Date.parse(asked)));
  expect((await restored('early', '--until', '2026-01-01T00:00:00Z')).said).toMatch(
    /No backup in .* was whole by 2026/,
  );
});

it('that fails leaves everything as it was, and says so', async () => {
  const [backup = ''] = await backupsIn(at('backups'));
  const until = '2999-01-15T07:30:00-07:00';
  const failing = (to: string) =>
    restoreBackup({
      backup,
      dataFolder: at(to),
      durable: false,
      replace: true,
      replay: { logArchive: at('log'), until },
    });
  const before = readdirSync(at('then')).sort();
  await expect(failing('then')).rejects.toThrow(
    /log does not go as far as 2999.*--until end\nNothing was changed: the books in \S+ are as they were\.$/s,
  );
  expect(readdirSync(at('then')).sort()).toEqual(before);
  // Nobody can make a folder below a file: these books are served, and it is said that their log is not archived.
  const { last, notes } = await pairsOn(at('then'), at('data', 'secret.key', 'log'));
  expect([last, notes]).toEqual([
    1_000_001,
    expect.arrayContaining([expect.stringMatching(/WARNING: the log cannot be archived.*the account "\w+"/)]),
  ]);
  await expect(failing('nowhere')).rejects.toThrow(/Nothing was changed: there is nothing of it in/);
  expect(existsSync(at('nowhere'))).toBe(false);
});

it('is restored and compared row by row; what was written to meanwhile is told apart', async () => {
  const { compared } = await checkedBackup(source(), at('checked'), { moment: new Date() });
  expect(compared).toMatchObject({ movedOn: 0, differ: [] });
  expect(compared.rows).toBeGreaterThan(400);
  expect(readdirSync(at('checked')).filter((name) => name.startsWith('.'))).toEqual([]);
  const figures = (...rows: [string, string][]) => new Map(rows);
  const told = compareBooks(
    figures(['a ', '2 7'], ['b ', '1 1'], ['c ', '1 1'], ['d ', '4 4']),
    figures(['a ', '2 7'], ['b ', '2 5'], ['c ', '1 1'], ['d ', '4 4']),
    figures(['a ', '2 7'], ['b ', '1 1'], ['c ', '1 2']),
  );
  expect(told).toEqual({ same: 1, rows: 2, movedOn: 1, differ: ['c', 'd'] });
});

it('refuses what is damaged, what is not whole, and books that are there, unless they are moved aside', async () => {
  const [backup = ''] = await backupsIn(at('checked'));
  const put = (more: object = {}) => restoreBackup({ backup, dataFolder: at('one'), durable: false, ...more });
  await expect(put()).rejects.toThrow(/has books already.*--replace/);
  const { movedTo } = await put({ replace: true });
  expect(existsSync(path.join(movedTo ?? '', 'PG_VERSION'))).toBe(true);
  expect((await pairsOn(at('one'))).last).toBe(1_000_002);
  await expect(put({ dataFolder: at('data'), replace: true })).rejects.toThrow(/A server is running/);
  appendFileSync(path.join(backup, 'postgres', 'PG_VERSION'), ' ');
  await expect(put({ dataFolder: at('other') })).rejects.toThrow(/PG_VERSION was changed/);
  expect(existsSync(at('other', 'postgres'))).toBe(false);
  rmSync(path.join(backup, 'backup.json'));
  await expect(put({ dataFolder: at('other') })).rejects.toThrow(/no whole backup/);
});

it('is taken when it is due, as many as are asked for, with the log that they need', async () => {
  const settings = { folder: at('scheduled'), everyHours: 24, kept: 2 };
  const on = (day: number) =>
    backupIfDue(source(), settings, { now: new Date(Date.UTC(2027, 0, day, 6)), logArchive: at('log') });
  expect(await on(1)).toMatch(/are the same/);
  expect(await on(1)).toBeUndefined();
  expect(await on(2)).toMatch(/are the same/);
  expect(await on(3)).toMatch(/1 older ones were deleted/);
  const kept = await backupsIn(settings.folder);
  expect(kept.map((one) => path.basename(one))).toEqual([
    'rickyard-2027-01-02T06-00-00Z',
    'rickyard-2027-01-03T06-00-00Z',
  ]);
  const { firstLog } = JSON.parse(readFileSync(path.join(kept[0] ?? '', 'backup.json'), 'utf8')) as {
    firstLog: string;
  };
  expect(readdirSync(at('log')).filter((name) => /^[0-9A-F]{24}$/.test(name) && name < firstLog)).toEqual([]);
});

it('is told while the log cannot be archived, and no longer', async () => {
  const warning = () => archiveWarning(server.url, at('log'));
  expect(await warning()).toBeUndefined();
  renameSync(at('log'), at('log-away'));
  await query(server.url, 'INSERT INTO written VALUES (2000000, 1); SELECT pg_switch_wal()');
  while ((await warning()) === undefined) await sleep(50);
  expect(await warning()).toMatch(/^The log cannot be archived to .*\(it was last 20.*postgres\.log says why/);
  renameSync(at('log-away'), at('log'));
  await query(server.url, 'INSERT INTO written VALUES (2000000, 2); SELECT pg_switch_wal()');
  while ((await warning()) !== undefined) await sleep(50);
  expect(await warning()).toBeUndefined();
});

it('comes before the tables of books are changed for a new release, and before nothing else', async () => {
  const prisma = path.resolve(__dirname, '..', '..', 'prisma');
  expect(await backedUpBefore(source(), prisma)).toEqual([]);
  await query(
    server.url,
    `CREATE TABLE _prisma_migrations (migration_name text, finished_at timestamptz, rolled_back_at timestamptz);
     INSERT INTO _prisma_migrations VALUES ('an_earlier_one', now(), NULL)`,
  );
  expect(await backedUpBefore(source(), prisma)).toEqual([
    expect.stringMatching(/^backed up to .+ before \d+ migrations$/),
  ]);
  const all = readdirSync(path.join(prisma, 'migrations'), { withFileTypes: true }).filter((one) => one.isDirectory());
  const names = all.map(({ name }) => `('${name}', now(), NULL)`).join(', ');
  await query(server.url, `INSERT INTO _prisma_migrations VALUES ${names}`);
  expect(await backedUpBefore(source(), prisma)).toEqual([]);
});
