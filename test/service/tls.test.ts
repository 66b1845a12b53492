/* https by certificate files of one's own, renewed while the server runs. */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { request } from 'node:https';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { connect, type TLSSocket } from 'node:tls';
import { createApplication } from '../../src/application.js';
import { readConfig } from '../../src/platform/config.js';
import { createLogger } from '../../src/platform/logs.js';
import { readTls, renewedTls } from '../../src/platform/tls.js';
import { inThisThread, openYard, SECRETS, type Yard } from '../support/world.js';

const FIXTURES = path.resolve(__dirname, '..', 'support', 'tls');
/** Of `localhost`, made for these tests, and of use for nothing else. */
const filesOf = (name: string) => ({
  certificateFile: path.join(FIXTURES, `${name}.crt.pem`),
  keyFile: path.join(FIXTURES, `${name}.key.pem`),
});

describe('A server with a certificate of its own', () => {
  let yard: Yard;
  let application: Awaited<ReturnType<typeof createApplication>>;
  let port: number;
  const first = readTls(filesOf('first'));
  beforeAll(async () => {
    yard = await openYard();
    application = await createApplication({
      database: yard.database,
      clock: yard.clock,
      secrets: SECRETS,
      workers: inThisThread,
      logger: createLogger('silent'),
      tls: first,
    });
    await application.listen({ port: 0, host: '127.0.0.1' });
    port = Number(new URL(await application.getUrl()).port);
  });
  afterAll(async () => {
    await application.close();
    await yard.close();
  });

  const asked = (): Promise<{ status?: number; hsts?: string | string[]; subject: string }> =>
    new Promise((resolve, reject) => {
      const sent = request(
        {
          host: '127.0.0.1',
          port,
          path: '/health/live',
          servername: 'localhost',
          rejectUnauthorized: false,
          agent: false,
        },
        (answer) => {
          const shown = (answer.socket as TLSSocket).getPeerCertificate();
          answer.resume().once('end', () =>
            resolve({
              ...(answer.statusCode === undefined ? {} : { status: answer.statusCode }),
              ...(answer.headers['strict-transport-security'] === undefined
                ? {}
                : { hsts: answer.headers['strict-transport-security'] }),
              subject: String(shown.subject.O),
            }),
          );
        },
      );
      sent.once('error', reject);
      sent.end();
    });

  it('answers by https alone, and says that it wants to be asked that way for a year at least', async () => {
    const answer = await asked();
    expect([answer.status, answer.subject]).toEqual([200, 'First certificate']);
    // ASVS 5.0, 3.4.1: at least a year, with the subdomains.
    const [, seconds] = /^max-age=(\d+); includeSubDomains$/.exec(String(answer.hsts)) ?? [];
    expect(Number(seconds)).toBeGreaterThanOrEqual(365 * 86_400);
    expect((await application.getUrl()).startsWith('https://')).toBe(true);
    await expect(fetch(`http://127.0.0.1:${port}/health/live`)).rejects.toThrow();
  });

  it('speaks no older version of TLS than 1.2 (RFC 8996)', async () => {
    const end = await new Promise<string>((resolve) => {
      const socket = connect(
        { host: '127.0.0.1', port, rejectUnauthorized: false, minVersion: 'TLSv1', maxVersion: 'TLSv1.1' },
        () => resolve('connected'),
      );
      socket.once('error', () => resolve('refused'));
    });
    expect(end).toBe('refused');
  });

  it('takes the certificate that has come into the place of the old one, or keeps that where it cannot', async () => {
    const folder = mkdtempSync(path.join(tmpdir(), 'tls-'));
    const files = { certificateFile: path.join(folder, 'crt'), keyFile: path.join(folder, 'key') };
    const put = (name: string): void => {
      writeFileSync(files.certificateFile, readFileSync(filesOf(name).certificateFile));
      writeFileSync(files.keyFile, readFileSync(filesOf(name).keyFile));
    };
    try {
      const server = application.getHttpServer() as Parameters<typeof renewedTls>[0];
      put('first');
      expect(renewedTls(server, files, first)).toBe(first);
      // Half of it has come.
      writeFileSync(files.certificateFile, readFileSync(filesOf('second').certificateFile));
      expect(() => renewedTls(server, files, first)).toThrow(/cannot be used with the key/);
      expect((await asked()).subject).toBe('First certificate');
      put('second');
      expect(renewedTls(server, files, first).until.getTime()).toBeGreaterThan(first.until.getTime());
      expect((await asked()).subject).toBe('Second certificate');
    } finally {
      rmSync(folder, { recursive: true });
    }
  });
});

describe('What cannot be a certificate', () => {
  it('is told at the start: one file of two, a file that is not there, a key of another', () => {
    expect(() => readConfig({ TLS_KEY_FILE: 'key.pem' }, '/checkout')).toThrow(/TLS_CERTIFICATE_FILE: missing/);
    expect(() => readConfig({ TLS_CERTIFICATE_FILE: 'crt.pem' }, '/checkout')).toThrow(/TLS_KEY_FILE: missing/);
    const { certificateFile } = filesOf('first');
    expect(() => readTls({ certificateFile, keyFile: '/nowhere/key.pem' })).toThrow(/TLS_KEY_FILE: .* cannot be read/);
    expect(() => readTls({ certificateFile, keyFile: filesOf('second').keyFile })).toThrow(
      /cannot be used with the key/,
    );
  });

  it('beside one that can: the pages are then at https on this machine too', () => {
    const { tls, publicAddress } = readConfig({ TLS_CERTIFICATE_FILE: 'a.pem', TLS_KEY_FILE: 'b.pem' }, '/checkout');
    expect(tls).toEqual({ certificateFile: '/checkout/a.pem', keyFile: '/checkout/b.pem' });
    expect(publicAddress).toMatch(/^https:\/\/localhost:/);
  });

  it('keeps the program from starting, in words', () => {
    const checkout = path.resolve(__dirname, '..', '..');
    const { status, stderr, stdout } = spawnSync(
      process.execPath,
      ['--require', path.join(checkout, 'test/support/run-typescript.cjs'), path.join(checkout, 'src/main.ts')],
      {
        cwd: checkout,
        encoding: 'utf8',
        env: { PATH: process.env['PATH'], PORT: '0', LOG_LEVEL: 'silent', TLS_KEY_FILE: '/nowhere/key.pem' },
      },
    );
    expect([status, `${stdout}${stderr}`]).toEqual([1, expect.stringContaining('TLS_CERTIFICATE_FILE: missing')]);
  });
});
