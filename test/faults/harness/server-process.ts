import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { once } from 'node:events';
import { appendFileSync, existsSync, readFileSync } from 'node:fs';
import { createServer } from 'node:net';
import path from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';

const CHECKOUT = path.resolve(__dirname, '..', '..', '..');
/** As the unit for systemd in DEVELOPERS.md has it (RestartSec). */
const RESTART_AFTER_MS = 2000;
const NOT_READY_MOST_MS = 300_000;

export interface Program {
  /** Whether `dist` is served, or the sources. */
  readonly built: boolean;
  readonly env: Readonly<Record<string, string>>;
  /** Where what it says goes. */
  readonly log: string;
}

/** The whole program as a process of its own, at one address, which somebody starts again whenever it ends. */
export class ServerProcess {
  #child: ChildProcess | undefined;
  #kept = true;
  #restarting: Promise<void> | undefined;
  /** How it ended each time that nobody had killed it. */
  readonly ended: string[] = [];
  #killing = false;

  private constructor(
    private readonly program: Program,
    readonly port: number,
  ) {}

  static async start(program: Program): Promise<ServerProcess> {
    const server = new ServerProcess(program, await freePort());
    server.#spawn();
    try {
      await server.ready();
    } catch (error) {
      await server.stop();
      throw error;
    }
    return server;
  }

  get url(): string {
    return `http://127.0.0.1:${this.port}`;
  }

  get pid(): number {
    return this.#child?.pid ?? 0;
  }

  /** Waits until it says that it is ready. */
  async ready(): Promise<void> {
    const deadline = Date.now() + NOT_READY_MOST_MS;
    while (!(await isReady(this.url))) {
      if (Date.now() > deadline) throw new Error(`The server is not ready. It said:\n${this.said()}`);
      await sleep(50);
    }
  }

  /** Ends it as a power cut does; it is started again as by systemd. */
  async kill(): Promise<void> {
    const child = this.#child;
    if (child === undefined || child.exitCode !== null || child.signalCode !== null) return;
    this.#killing = true;
    const gone = once(child, 'exit');
    child.kill('SIGKILL');
    await gone;
  }

  /** Asks it to stop and waits until it has. @returns how it ended and how long that took. */
  async stop(): Promise<{ code: number | null; ms: number }> {
    this.#kept = false;
    await this.#restarting;
    const child = this.#child;
    if (child === undefined || child.exitCode !== null || child.signalCode !== null) return { code: 0, ms: 0 };
    const began = Date.now();
    const gone = once(child, 'exit') as Promise<[number | null]>;
    child.kill('SIGTERM');
    const [code] = await gone;
    return { code, ms: Date.now() - began };
  }

  /** Stops it and starts it again, as a new release is brought. */
  async restart(): Promise<{ code: number | null; ms: number }> {
    const stopped = await this.stop();
    this.#kept = true;
    this.#spawn();
    await this.ready();
    return stopped;
  }

  said(): string {
    return existsSync(this.program.log) ? readFileSync(this.program.log, 'utf8').slice(-4000) : '';
  }

  #spawn(): void {
    const { built, env, log } = this.program;
    const main = built
      ? [path.join(CHECKOUT, 'dist', 'src', 'main.js')]
      : [
          '--require',
          path.join(CHECKOUT, 'test', 'support', 'run-typescript.cjs'),
          path.join(CHECKOUT, 'src', 'main.ts'),
        ];
    const child = spawn(process.execPath, main, {
      cwd: CHECKOUT,
      stdio: ['ignore', 'pipe', 'pipe'],
      env: {
        PATH: process.env['PATH'],
        LOG_LEVEL: 'error',
        RICKYARD_DEMO: 'none',
        PORT: String(this.port),
        TRUSTED_PROXIES: '127.0.0.1',
        ...env,
      },
    });
    this.#child = child;
    this.#killing = false;
    for (const stream of [child.stdout, child.stderr]) stream.on('data', (words: Buffer) => appendFileSync(log, words));
    child.once('exit', (code, signal) => {
      if (!this.#kept) return;
      if (!this.#killing) this.ended.push(signal ?? `exit code ${code}`);
      this.#restarting = sleep(RESTART_AFTER_MS).then(() => {
        if (this.#kept) this.#spawn();
      });
    });
  }
}

export async function isReady(url: string): Promise<boolean> {
  return fetch(`${url}/health/ready`, { signal: AbortSignal.timeout(5000) }).then(
    async (answer) => {
      await answer.arrayBuffer();
      return answer.status === 200;
    },
    () => false,
  );
}

/** The number of the PostgreSQL process that runs on a data folder; 0 while none does. */
export function postmasterOf(dataFolder: string): number {
  try {
    return Number(readFileSync(path.join(dataFolder, 'postgres', 'postmaster.pid'), 'utf8').split('\n')[0]);
  } catch {
    return 0;
  }
}

/** What a process has started and is still there. */
export function childrenOf(parent: number): number[] {
  const all = execFileSync('ps', ['-A', '-o', 'pid=,ppid='], { encoding: 'utf8' }).split('\n');
  return all
    .map((line) => line.trim().split(/\s+/).map(Number))
    .flatMap(([pid = 0, of]) => (of === parent && pid > 0 ? [pid] : []));
}

/** A process that is gone already needs no signal. */
export function send(signal: NodeJS.Signals, pid: number): boolean {
  try {
    return pid > 1 && process.kill(pid, signal);
  } catch {
    return false;
  }
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
