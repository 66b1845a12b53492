/*
 * A PostgreSQL that somebody else runs: the owner of the books is no superuser and may make roles. A server apart,
 * since roles belong to a whole server.
 */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import pg from 'pg';
import { restoreOperation } from '../../src/commands/restore-operation.js';
import type { RestoreTerms } from '../../src/access/data-rights/restore-terms.js';
import { forgedArchive } from '../support/forged-archive.js';
import { type Operation, operationWith } from '../support/people.js';
import { restoreTerms } from '../support/restore.js';
import { runProgram } from '../support/program.js';
import { startServerOfRun } from '../support/server-of-run.js';
import { aWinterIn } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';

const CHECKOUT = path.resolve(__dirname, '..', '..');

describe('on a managed cluster', () => {
  let server: { url: string; stop: () => Promise<void> };
  let folder: string;
  beforeAll(async () => {
    server = await startServerOfRun();
    folder = mkdtempSync(path.join(tmpdir(), 'rickyard-managed-'));
    const keeper = new pg.Client({ connectionString: server.url });
    await keeper.connect();
    await keeper.query("CREATE ROLE ranch_owner LOGIN NOSUPERUSER CREATEROLE PASSWORD 'hay in the rick'");
    await keeper.query('CREATE DATABASE books OWNER ranch_owner');
    await keeper.end();
  });
  afterAll(async () => {
    rmSync(folder, { recursive: true, force: true });
    await server.stop();
  });

  const ownersUrl = (): string => {
    const url = new URL(server.url);
    url.username = 'ranch_owner';
    url.password = 'hay in the rick';
    url.pathname = '/books';
    return url.toString();
  };

  it('an owner that is no superuser brings up the books, and finds them current the next time', async () => {
    const start = (): ReturnType<typeof runProgram> =>
      runProgram({ DATABASE_URL: ownersUrl(), RICKYARD_DATA: folder }, /Interactive reference/, (_said, stop) =>
        Promise.resolve(stop()),
      );
    const first = await start();
    expect({ code: first.code, said: first.said }).toEqual({
      code: 0,
      said: expect.stringMatching(/applied \d+ migrations/) as string,
    });
    const second = await start();
    expect({ code: second.code, said: second.said }).toEqual({
      code: 0,
      said: expect.stringContaining('the schema was current') as string,
    });
  });

  describe('where policies hold the owner too', () => {
    let world: World;
    let ranch: Operation;
    let archive: Buffer;
    beforeAll(async () => {
      world = await openWorld();
      ranch = await operationWith(world);
      await aWinterIn(ranch);
      const { content } = (await ranch.as.owner.get<{ content: string }>(ranch.at('/archive'), { expect: 200 })).body;
      archive = Buffer.from(content, 'base64');
    });
    afterAll(() => world.close());

    const restored = async (content: Buffer, terms: Partial<RestoreTerms> = {}): Promise<string> => {
      const client = new pg.Client({ connectionString: ownersUrl() });
      await client.connect();
      try {
        return `${(await restoreOperation(client, content, restoreTerms(terms))).records} records`;
      } catch (error) {
        return (error as Error).message;
      } finally {
        await client.end();
      }
    };
    const isOf = (table: string) => (line: string) => line.startsWith(`["${table}",`);
    /** With one more row of a table: the first of its kind in the archive, otherwise. */
    const andOne = (table: string, made: (row: Record<string, unknown>) => object) =>
      forgedArchive(archive, (lines) => {
        const [, row] = JSON.parse(lines.find(isOf(table)) ?? '[]') as [string, Record<string, unknown>];
        const at = lines.findLastIndex(isOf(table));
        return lines.toSpliced(at + 1, 0, JSON.stringify([table, { ...row, ...made(row) }]));
      });

    it('a restore refuses a broken archive all the same, by each of its checks', async () => {
      const id = '01900000-0000-7000-8000-000000000001';
      // As its keeper may say; without that, none of them would come so far.
      const unsealed = { unsealed: true };
      const told = [
        // More than all that ever came into the lot.
        await restored(
          forgedArchive(archive, (lines) => {
            const at = lines.findIndex((line) => isOf('stock_movement')(line) && /"kilograms": -/.test(line));
            return lines.with(at, (lines[at] ?? '').replace(/"kilograms": -[0-9.]+/, '"kilograms": -99999999'));
          }),
          unsealed,
        ),
        await restored(
          andOne('head_change', ({ head }) => ({ id, kind: 'out', head: -1 - Number(head) })),
          unsealed,
        ),
        await restored(
          forgedArchive(archive, (lines) =>
            lines.filter((line) => !isOf('audit_entry')(line) || !line.includes('"sequence": 2,')),
          ),
          unsealed,
        ),
      ];
      expect(told).toEqual([
        'The archive holds a lot that is drawn below zero.',
        'The archive holds a herd with fewer than no animals.',
        'The audit chain of the archive does not hold.',
      ]);
    });

    /** A named command, as the keeper types it. */
    const said = (command: string, ...asked: string[]): { code: number | null; words: string } => {
      const { status, stdout, stderr } = spawnSync(
        process.execPath,
        [
          '--require',
          path.join(CHECKOUT, 'test', 'support', 'run-typescript.cjs'),
          path.join(CHECKOUT, 'src', 'commands', command),
          ...asked,
        ],
        {
          cwd: CHECKOUT,
          encoding: 'utf8',
          env: { PATH: process.env['PATH'], RICKYARD_DATA: folder, DATABASE_URL: ownersUrl() },
        },
      );
      return { code: status, words: `${stdout}${stderr}` };
    };
    const asOwner = async (...statements: string[]): Promise<pg.QueryResult[]> => {
      const client = new pg.Client({ connectionString: ownersUrl() });
      await client.connect();
      const results: pg.QueryResult[] = [];
      try {
        await client.query('BEGIN');
        for (const statement of statements)
          results.push(await client.query(statement.replaceAll('$OPERATION', `'${ranch.id}'`)));
        await client.query('COMMIT');
        return results;
      } finally {
        await client.end();
      }
    };
    const aside = (table: string): string => `ALTER TABLE ${table} NO FORCE ROW LEVEL SECURITY, DISABLE TRIGGER USER`;
    const back = (table: string): string => `ALTER TABLE ${table} FORCE ROW LEVEL SECURITY, ENABLE TRIGGER USER`;

    it('and takes a whole one, once', async () => {
      expect(await restored(archive)).toMatch(/^\d+ records$/);
      expect(await restored(archive)).toBe(`The operation ${ranch.id} is on this server already.`);
    });

    it('its audit is checked: it holds, and a line that was changed is told', async () => {
      expect(said('check-audit.ts')).toEqual({
        code: 0,
        words: expect.stringMatching(/^Audits of 1 operations checked, and \d+ kept heads: 0 faults\.\n$/) as string,
      });
      const edit = (to: string): string[] => [
        aside('audit_entry'),
        `UPDATE audit_entry SET address = ${to} WHERE operation_id = $OPERATION AND sequence = 2`,
        back('audit_entry'),
      ];
      await asOwner(...edit("address || '9'"));
      expect(said('check-audit.ts')).toEqual({
        code: 1,
        words: expect.stringContaining(`Operation ${ranch.id}: line 2 of the audit was changed.`) as string,
      });
      await asOwner(...edit('left(address, -1)'));
      expect(said('check-audit.ts').code).toBe(0);
    });

    it('its costs are held against the ledger: they fit, and one that was changed is told', async () => {
      expect(said('recost.ts').code).toBe(0);
      expect(said('recost.ts', '--check')).toEqual({
        code: 0,
        words: expect.stringMatching(/^Operation 1 of 1: [1-9]\d* costs written, 0 differ from the ledger/) as string,
      });
      const { rowCount } = (
        await asOwner(
          aside('costed_entry'),
          'UPDATE costed_entry SET amount = amount + 1 WHERE (operation_id, entry_id) IN (SELECT operation_id, ' +
            'entry_id FROM costed_entry WHERE amount <> 0 ORDER BY entry_id LIMIT 1)',
          back('costed_entry'),
        )
      )[1] ?? { rowCount: 0 };
      expect(rowCount).toBe(1);
      expect(said('recost.ts', '--check')).toEqual({
        code: 1,
        words: expect.stringMatching(/, 1 differ from the ledger/) as string,
      });
    });

    it('a membership that waits gets another version when its person goes by another name', async () => {
      const waiting = `operation_id = $OPERATION AND person_id = '${ranch.people.hand.id}'`;
      const version = `SELECT version FROM membership WHERE ${waiting}`;
      const read = ['ALTER TABLE membership NO FORCE ROW LEVEL SECURITY', version, back('membership')];
      await asOwner(
        aside('membership'),
        `UPDATE membership SET confirmed_at = NULL, confirmed_by = NULL WHERE ${waiting}`,
        back('membership'),
      );
      const versionNow = async (): Promise<number> =>
        Number(((await asOwner(...read))[1]?.rows[0] as { version: number } | undefined)?.version);
      const before = await versionNow();
      await asOwner(
        `SELECT set_config('rickyard.person_id', '${ranch.people.hand.id}', true)`,
        `UPDATE person SET name = 'Somebody Else' WHERE id = '${ranch.people.hand.id}'`,
      );
      expect(await versionNow()).toBe(before + 1);
    });
  });
});
