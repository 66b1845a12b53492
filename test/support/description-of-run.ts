import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';

const FILE = 'RICKYARD_TEST_DESCRIPTION';
const checkout = path.resolve(__dirname, '..', '..');

/** The API description as this run's sources make it: made once, since each test file would take a second for it. */
export function descriptionFile(): string | undefined {
  return process.env[FILE];
}

/** Writes it as the build does, and tells the workers where; the file is gone after `end`. */
export async function writeDescription(): Promise<{ end: () => void }> {
  const folder = mkdtempSync(path.join(tmpdir(), 'rickyard-description-'));
  const end = (): void => rmSync(folder, { recursive: true, force: true });
  const file = path.join(folder, 'openapi.json');
  const child = spawn(
    process.execPath,
    [
      ...['--require', path.join(__dirname, 'run-typescript.cjs')],
      path.join(checkout, 'src', 'commands', 'write-openapi.ts'),
      file,
    ],
    { stdio: ['ignore', 'ignore', 'inherit'] },
  );
  const [code] = (await once(child, 'exit')) as [number | null];
  if (code !== 0) {
    end();
    throw new Error('The API description could not be made.');
  }
  process.env[FILE] = file;
  return { end };
}
