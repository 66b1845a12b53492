import { execFileSync } from 'node:child_process';
import { closeSync, cpSync, mkdirSync, openSync, rmSync, symlinkSync, writeSync } from 'node:fs';
import path from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { startEmbeddedServer } from '../../../src/platform/embedded/embedded-server.js';
import { around } from '../harness/around.js';
import { embeddedWorld, type FaultKind, newFolder, type Outcome, type Skipped, type Trial } from '../harness/worlds.js';

const FULL_MS = 2500;

/** Fills what is left of a disk; returns how to give it back. */
function fill(folder: string): () => void {
  const file = path.join(folder, 'filled');
  const block = Buffer.alloc(1 << 20);
  const open = openSync(file, 'w');
  try {
    for (;;) writeSync(open, block);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'ENOSPC') throw error;
    // The last pages, one by one.
    try {
      for (;;) writeSync(open, block, 0, 4096);
    } catch {
      // Full to the last.
    }
  } finally {
    closeSync(open);
  }
  return () => rmSync(file);
}

/** A small disk in memory at this folder; undefined where this may not be made. */
function smallDisk(at: string, megabytes: number): (() => void) | undefined {
  if (process.platform !== 'linux' || process.getuid?.() !== 0) return undefined;
  mkdirSync(at, { recursive: true });
  try {
    execFileSync('mount', ['-t', 'tmpfs', '-o', `size=${megabytes}m,mode=0755`, 'tmpfs', at], { stdio: 'ignore' });
  } catch {
    return undefined;
  }
  return () => execFileSync('umount', ['--lazy', at]);
}

const NO_DISK = 'a small disk needs root and mount, on Linux';

/** Everything of the server is on one disk that is full again and again. */
async function fullDisk(trial: Trial): Promise<Outcome | Skipped> {
  const folder = newFolder();
  const unmount = smallDisk(folder, 400);
  if (unmount === undefined) return { skipped: NO_DISK };
  try {
    return await filled(trial, { folder, disk: folder, name: 'full disk' });
  } finally {
    unmount();
    rmSync(folder, { recursive: true, force: true });
  }
}

/** The write-ahead log has a disk of its own, which alone is full. */
async function fullLog(trial: Trial): Promise<Outcome | Skipped> {
  const folder = newFolder();
  const disk = path.join(folder, 'log-disk');
  const unmount = smallDisk(disk, 200);
  if (unmount === undefined) return { skipped: NO_DISK };
  try {
    // A cluster as a first start makes it, whose log is then moved: PostgreSQL follows the link.
    const books = path.join(folder, 'books');
    await (await startEmbeddedServer({ dataFolder: books })).stop();
    const inside = path.join(books, 'postgres', 'pg_wal');
    cpSync(inside, path.join(disk, 'pg_wal'), { recursive: true });
    execFileSync('chown', ['-R', '--reference', path.join(books, 'postgres'), path.join(disk, 'pg_wal')]);
    execFileSync('chmod', ['700', path.join(disk, 'pg_wal')]);
    rmSync(inside, { recursive: true });
    symlinkSync(path.join(disk, 'pg_wal'), inside);
    return await filled(trial, { folder, disk, name: 'full log' });
  } finally {
    unmount();
    rmSync(folder, { recursive: true, force: true });
  }
}

async function filled(
  trial: Trial,
  { folder, disk, name }: { folder: string; disk: string; name: string },
): Promise<Outcome> {
  const world = await embeddedWorld(trial, { folder });
  try {
    return await around(trial, {
      ...world,
      name,
      servers: [world.server],
      strike: async ({ absence }) => {
        await sleep(trial.random.between(50, 1200));
        await absence.during(async () => {
          const giveBack = fill(disk);
          await sleep(FULL_MS);
          giveBack();
        });
      },
    });
  } finally {
    await world.close();
  }
}

export const FULL: readonly FaultKind[] = [
  { name: 'full disk', usually: 8, run: fullDisk },
  { name: 'full disk of the log', usually: 8, run: fullLog },
];
