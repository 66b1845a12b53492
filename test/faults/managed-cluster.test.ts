/*
 * A PostgreSQL that somebody else runs: the owner of the books is no superuser and may make roles. A server apart,
 * since roles belong to a whole server.
 */
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

    it('and takes a whole one, once', async () => {
      expect(await restored(archive)).toMatch(/^\d+ records$/);
      expect(await restored(archive)).toBe(`The operation ${ranch.id} is on this server already.`);
    });
  });
});
