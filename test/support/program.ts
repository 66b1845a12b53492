import { spawn } from 'node:child_process';
import path from 'node:path';

const CHECKOUT = path.resolve(__dirname, '..', '..');

export interface Run {
  said: string;
  code: number | null;
}

/** Runs src/main.ts as a process of its own until it ends. Once it prints these words, `andThen` runs. */
export async function runProgram(
  env: Record<string, string>,
  until?: RegExp,
  andThen: (said: string, stop: () => void) => Promise<void> = () => Promise.resolve(),
): Promise<Run> {
  return runFile('main.ts', env, until, andThen);
}

/** Runs a command of src/commands until it ends. */
export async function runCommand(file: string, env: Record<string, string>, ...given: string[]): Promise<Run> {
  return runFile(path.join('commands', file), env, undefined, () => Promise.resolve(), given);
}

async function runFile(
  file: string,
  env: Record<string, string>,
  until: RegExp | undefined,
  andThen: (said: string, stop: () => void) => Promise<void>,
  given: readonly string[] = [],
): Promise<Run> {
  const child = spawn(
    process.execPath,
    [
      '--require',
      path.join(CHECKOUT, 'test', 'support', 'run-typescript.cjs'),
      path.join(CHECKOUT, 'src', file),
      ...given,
    ],
    {
      cwd: CHECKOUT,
      stdio: ['ignore', 'pipe', 'pipe'],
      env: { PATH: process.env['PATH'], LOG_LEVEL: 'silent', RICKYARD_DEMO: 'none', PORT: '0', ...env },
    },
  );
  let said = '';
  return new Promise((resolve, reject) => {
    let acted = false;
    const hear = (chunk: Buffer): void => {
      said += chunk.toString('utf8');
      if (acted || until?.test(said) !== true) return;
      acted = true;
      andThen(said, () => child.kill('SIGTERM')).catch((error: unknown) => {
        child.kill('SIGKILL');
        reject(error instanceof Error ? error : new Error(String(error)));
      });
    };
    child.stdout.on('data', hear);
    child.stderr.on('data', hear);
    child.once('close', (code) => resolve({ said, code }));
  });
}
