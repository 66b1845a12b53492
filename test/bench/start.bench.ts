import { execFileSync, spawn, type ChildProcess } from 'node:child_process';
import { rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { testServer } from '../support/test-database.js';
import { report } from './figure.js';

/**
 * The second start of the built server, with the demo in it, and its memory a while later, when nobody asks anything;
 * against a bare fastify and pg that answer one query. Goals: 3 s and 180 MiB. Run `npm run build` before.
 */

const CHECKOUT = path.resolve(__dirname, '..', '..');
const ROUNDS = 3;
const AT_REST_MS = 6_000;
jest.setTimeout(1_800_000);

const BARE = `
const pg = require('pg');
const pool = new pg.Pool({ connectionString: process.env.BARE_URL });
const server = require('fastify')();
server.get('/', async () => (await pool.query('SELECT 1 AS one')).rows);
pool.query('SELECT 1').then(() => server.listen({ port: 0 })).then(() => console.log('serves at'));
process.on('SIGTERM', () => process.exit(0));
`;

interface Started {
  seconds: number;
  /** Resident memory at rest. */
  mebibytes: number;
}

async function startOf(args: readonly string[], env: Record<string, string>): Promise<Started> {
  const began = performance.now();
  const child = spawn(process.execPath, args, {
    cwd: CHECKOUT,
    env: { PATH: process.env['PATH'], ...env },
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  await said(child, 'serves at');
  const seconds = (performance.now() - began) / 1000;
  await new Promise((resolve) => setTimeout(resolve, AT_REST_MS));
  const kibibytes = Number(execFileSync('ps', ['-o', 'rss=', '-p', String(child.pid)], { encoding: 'utf8' }));
  const ended = new Promise((resolve) => child.once('close', resolve));
  child.kill('SIGTERM');
  await ended;
  return { seconds, mebibytes: kibibytes / 1024 };
}

function said(child: ChildProcess, words: string): Promise<void> {
  let text = '';
  return new Promise((resolve, reject) => {
    child.once('close', () => reject(new Error(`It ended:\n${text}`)));
    child.stdout?.on('data', (chunk: Buffer) => {
      text += chunk.toString('utf8');
      if (text.includes(words)) resolve();
    });
  });
}

const median = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[values.length >> 1] ?? Number.NaN;

it('a second start, and memory at rest', async () => {
  // Made by the server, which gives it to the account that PostgreSQL runs as.
  const data = path.join(tmpdir(), `rickyard-start-${process.pid}`);
  const ours = (): Promise<Started> =>
    startOf([path.join(CHECKOUT, 'dist', 'src', 'main.js')], {
      RICKYARD_DATA: data,
      RICKYARD_DEMO: process.env['RICKYARD_DEMO'] ?? 'load',
      PORT: '0',
      LOG_LEVEL: 'warn',
    });
  const bare = (): Promise<Started> => startOf(['-e', BARE], { BARE_URL: testServer().ownerUrl });
  try {
    await ours();
    const started: Started[] = [];
    const baseline: Started[] = [];
    for (let round = 0; round < ROUNDS; round += 1) {
      started.push(await ours());
      baseline.push(await bare());
    }
    for (const [bench, unit, valueAtMost, of] of [
      ['second-start', 's', 3, (one: Started) => one.seconds],
      ['memory-at-rest', 'MiB', 180, (one: Started) => one.mebibytes],
    ] as const)
      report({
        bench,
        value: Number(median(started.map(of)).toFixed(2)),
        unit,
        baseline: 'a bare fastify and pg with one query',
        baselineValue: Number(median(baseline.map(of)).toFixed(2)),
        goal: { valueAtMost },
      });
  } finally {
    rmSync(data, { recursive: true, force: true });
  }
});
