/*
 * The archive of an operation, brought back by the command that a person types, into an empty server: every report
 * reads as before, byte for byte.
 */
import { spawnSync } from 'node:child_process';
import { randomBytes } from 'node:crypto';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { gzipSync } from 'node:zlib';
import { createApplication } from '../../src/application.js';
import { ENDPOINTS } from '../../src/platform/http/endpoint.js';
import { createLogger } from '../../src/platform/logs.js';
import { SecretBox } from '../../src/platform/secrets/secret-box.js';
import { forgedArchive } from '../support/forged-archive.js';
import { type Operation, operationWith, signIn } from '../support/people.js';
import { aWinterIn } from '../support/winter.js';
import { inThisThread, openWorld, openYard, type World, type Yard } from '../support/world.js';

const CHECKOUT = path.resolve(__dirname, '..', '..');
const KEY = randomBytes(32);
const NEW = 'a barn full of second cutting';

let world: World;
let ranch: Operation;
let empty: Yard;
let folder: string;
let archive: Buffer;
beforeAll(async () => {
  world = await openWorld({ secrets: new SecretBox(KEY) });
  ranch = await operationWith(world);
  await aWinterIn(ranch);
  empty = await openYard();
  folder = mkdtempSync(path.join(tmpdir(), 'rickyard-restore-'));
  archive = Buffer.from(
    (await ranch.as.owner.get<{ content: string }>(ranch.at('/archive'), { expect: 200 })).body.content,
    'base64',
  );
});
afterAll(async () => {
  await world.close();
  await empty.close();
  rmSync(folder, { recursive: true, force: true });
});

function restore(content: Buffer | undefined, ...asked: string[]): { said: string; code: number | null } {
  const file = path.join(folder, 'operation.ndjson.gz');
  if (content !== undefined) writeFileSync(file, content);
  const { status, stdout, stderr } = spawnSync(
    process.execPath,
    [
      '--require',
      path.join(CHECKOUT, 'test', 'support', 'run-typescript.cjs'),
      path.join(CHECKOUT, 'src', 'commands', 'restore-operation.ts'),
      ...asked,
      ...(content === undefined ? [] : [file]),
    ],
    {
      cwd: CHECKOUT,
      encoding: 'utf8',
      env: {
        PATH: process.env['PATH'],
        RICKYARD_DATA: folder,
        DATABASE_URL: empty.ownerUrl,
        RICKYARD_SECRET_KEY: KEY.toString('base64'),
      },
    },
  );
  return { said: `${stdout}${stderr}`, code: status };
}

/** The archive with other lines between head and end. */
const forged = (change: (lines: string[]) => string[]): Buffer => forgedArchive(archive, change);

describe('npm run restore-operation', () => {
  const nothingCame = async (): Promise<void> => {
    expect((await empty.ownerPool.query('SELECT 1 FROM operation')).rows).toEqual([]);
    expect((await empty.ownerPool.query('SELECT 1 FROM person')).rows).toEqual([]);
  };

  it('refuses what no archive of this operation holds, and leaves nothing of it', async () => {
    const other = '01900000-0000-7000-8000-000000000001';
    const attempts: [Buffer | undefined, RegExp][] = [
      [undefined, /Which file\?/],
      [Buffer.from('no archive'), /not a whole gzip file/],
      [archive.subarray(0, -200), /not a whole gzip file/],
      [
        forged((lines) =>
          lines.map((line) => (line.startsWith('["ranch",') ? line.replaceAll(ranch.id, other) : line)),
        ),
        /holds a record of "ranch" that is not of the operation/,
      ],
      [
        forged((lines) => [...lines, `["operation",${JSON.stringify({ id: other, name: 'Another' })}]`]),
        /holds a record of "operation" that is not of the operation/,
      ],
      [
        forged((lines) => [...lines, `["api_key",${JSON.stringify({ operation_id: ranch.id })}]`]),
        /holds records of "api_key", which no archive holds/,
      ],
      [
        forged((lines) => [...lines, `["pg_authid",${JSON.stringify({ operation_id: ranch.id })}]`]),
        /holds records of "pg_authid", which this release does not know/,
      ],
      [
        forged((lines) =>
          lines.filter((line) => !line.startsWith('["audit_entry",') || !line.includes('"sequence": 2,')),
        ),
        /audit chain of the archive does not hold/,
      ],
      [
        forged((lines) => lines.filter((line) => !line.startsWith('["audit_entry",'))),
        /audit of the archive does not begin with the opening of the operation/,
      ],
      // Half a gigabyte of nothing in half a megabyte.
      [gzipSync(Buffer.alloc(501 * 2 ** 20)), /unpacks to more than 500 MiB/],
    ];
    for (const [content, words] of attempts) {
      // What is forged has no seal, and would come no further without its keeper's word.
      const { said, code } = restore(content, '--unsealed');
      expect({ said, code }).toEqual({ said: expect.stringMatching(words) as string, code: 1 });
      await nothingCame();
    }
  });

  it("refuses what this server did not seal, but for its keeper's word, and says so", async () => {
    const forgery = forged((lines) => lines);
    const { said, code } = restore(forgery);
    expect({ said, code }).toEqual({ said: expect.stringMatching(/^The archive has no seal\./) as string, code: 1 });
    await nothingCame();
  });

  it(
    'brings everything back: each owner gets codes, and every list and report of the operation reads as before, ' +
      'byte for byte',
    async () => {
      const { said, code } = restore(archive);
      expect({ said, code }).toEqual({
        said: expect.stringMatching(
          new RegExp(
            `^Restored .* \\(${ranch.id}\\): \\d+ records\\.\\n\\n${ranch.people.owner.email} is an owner and has ` +
              `no passphrase here\\.`,
          ),
        ) as string,
        code: 0,
      });
      const codes = said.match(/^ {2}[0-9a-f-]{33}$/gm) ?? [];
      expect(codes).toHaveLength(5);
      const application = await createApplication({
        database: empty.database,
        clock: world.clock,
        secrets: new SecretBox(Buffer.alloc(32, 7)),
        workers: inThisThread,
        logger: createLogger('silent'),
      });
      const there = (method: 'GET' | 'POST', url: string, token?: string, payload?: object) =>
        application.inject({
          method,
          url,
          ...(payload === undefined ? {} : { payload }),
          headers: token === undefined ? {} : { authorization: `Bearer ${token}` },
        });
      expect(
        (
          await there('POST', '/v1/recovery-by-code', undefined, {
            email: ranch.people.owner.email,
            recoveryCode: codes[0]?.trim(),
            newPassphrase: NEW,
          })
        ).statusCode,
      ).toBe(204);
      const { accessToken } = (
        await there('POST', '/v1/sign-in', undefined, { email: ranch.people.owner.email, passphrase: NEW })
      ).json<{ accessToken: string }>();
      const here = (await signIn(world, ranch.people.owner)).accessToken;
      // Keys, tokens and denials belong to a server; the audit here has the line of the export itself, there that of
      // the restore, and so have the changes.
      const own = /api-keys|invitations|archive|audit|changes|denied|deletion/;
      const lists = ENDPOINTS.filter(
        (one) =>
          one.method === 'GET' &&
          one.path.startsWith('/v1/operations/:operationId') &&
          !/:/.test(one.path.slice('/v1/operations/:operationId'.length)) &&
          !own.test(one.path),
      );
      let compared = 0;
      for (const one of lists) {
        for (const query of ['', '?from=2026-11-01&until=2027-01-14', '?on=2027-01-14']) {
          const url = `${one.path.replace(':operationId', ranch.id)}${query}`;
          const before = await world.application.inject({
            method: 'GET',
            url,
            headers: { authorization: `Bearer ${here}` },
          });
          const after = await there('GET', url, accessToken);
          expect([url, after.statusCode, after.statusCode === 200 ? after.payload : '']).toEqual([
            url,
            before.statusCode,
            before.statusCode === 200 ? before.payload : '',
          ]);
          if (after.statusCode === 200) compared += 1;
        }
      }
      expect(compared).toBeGreaterThan(40);
      const changes = `/v1/operations/${ranch.id}/changes?limit=200`;
      const changedIn = (answer: { json: () => unknown }): unknown[] =>
        (answer.json() as { items: { kind: string }[] }).items.filter(({ kind }) => kind !== 'operation');
      const changedHere = await world.application.inject({
        method: 'GET',
        url: changes,
        headers: { authorization: `Bearer ${here}` },
      });
      expect(changedIn(changedHere).length).toBeGreaterThan(10);
      expect(changedIn(await there('GET', changes, accessToken))).toEqual(changedIn(changedHere));
      expect((await there('GET', `/v1/operations/${ranch.id}/audit/verification`, accessToken)).json()).toMatchObject({
        holds: true,
        restored: [{ seal: 'this-server', gaveUp: false }],
      });
      expect(restore(archive)).toEqual({ said: `The operation ${ranch.id} is on this server already.\n`, code: 1 });
      await application.close();
    },
  );
});
