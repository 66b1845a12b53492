import { spawn } from 'node:child_process';
import { chmodSync, mkdtempSync, rmSync } from 'node:fs';
import type { Socket } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { startEmbeddedServer } from '../../src/platform/embedded/embedded-server.js';

/** An embedded server in a folder of its own, which ends when this process ends, in whatever way. */
export async function startServerOfRun(): Promise<{ url: string; folder: string; stop: () => Promise<void> }> {
  const folder = mkdtempSync(path.join(tmpdir(), 'rickyard-test-'));
  // As root, the server's programs run as another account, which must be able to enter this folder.
  chmodSync(folder, 0o755);
  const dismiss = watchOver(folder);
  const server = await startEmbeddedServer({ dataFolder: folder, durable: false });
  return {
    url: server.url,
    folder,
    stop: async () => {
      await server.stop();
      rmSync(folder, { recursive: true, force: true });
      dismiss();
    },
  };
}

/**
 * Ctrl-C ends jest without its teardown, and PostgreSQL does not end with whoever started it. So a separate process
 * waits for the pipe from here to close. Ctrl-C, which goes to the terminal's foreground group, does not reach it.
 */
export function watchOver(folder: string): () => void {
  const watchman = spawn(process.execPath, [path.join(__dirname, 'stop-abandoned-server.cjs'), folder], {
    stdio: ['pipe', 'ignore', 'ignore'],
    detached: true,
  });
  // Neither keeps this process running.
  watchman.unref();
  (watchman.stdin as Socket).unref();
  return () => watchman.stdin.end();
}
