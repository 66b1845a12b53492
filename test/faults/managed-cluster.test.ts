/*
 * A PostgreSQL that somebody else runs: the owner of the books is no superuser and may make roles. A server apart,
 * since roles belong to a whole server.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import pg from 'pg';
import { runProgram } from '../support/program.js';
import { startServerOfRun } from '../support/server-of-run.js';

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

  it('an owner that is no superuser brings up the books, and finds them current the next time', async () => {
    const url = new URL(server.url);
    url.username = 'ranch_owner';
    url.password = 'hay in the rick';
    url.pathname = '/books';
    const start = (): ReturnType<typeof runProgram> =>
      runProgram({ DATABASE_URL: url.toString(), RICKYARD_DATA: folder }, /Interactive reference/, (_said, stop) =>
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
});
