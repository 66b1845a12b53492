import { rmSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { pathToFileURL } from 'node:url';
import { around } from '../harness/around.js';
import { embeddedWorld, type FaultKind, newFolder } from '../harness/worlds.js';

const PRELOAD = pathToFileURL(path.resolve(__dirname, '..', 'harness', 'other-clock.mjs')).href;
const AN_HOUR_MS = 3_600_000;
/** Each is set, then set back: less than keys of requests are kept, and more; and into the past. */
const SHIFTS = [2 * AN_HOUR_MS, 72 * AN_HOUR_MS, -AN_HOUR_MS, -100 * AN_HOUR_MS];

/** The clock of the server's machine is set and set back; that of PostgreSQL stays. */
export const CLOCK: FaultKind = {
  name: "the server's clock set and set back",
  usually: 12,
  run: async (trial) => {
    const folder = newFolder();
    const file = path.join(folder, 'clock');
    const set = (ms: number): void => writeFileSync(file, String(ms));
    set(0);
    const world = await embeddedWorld(trial, {
      folder,
      env: { NODE_OPTIONS: `--import ${PRELOAD}`, RICKYARD_TEST_CLOCK: file },
    });
    try {
      return await around(trial, {
        ...world,
        name: 'clock',
        servers: [world.server],
        strike: async ({ fault, phones }) => {
          set(SHIFTS[fault % SHIFTS.length] ?? 0);
          await sleep(trial.random.between(300, 1200));
          await phones.untilMore(1);
          set(0);
        },
      });
    } finally {
      await world.close();
      rmSync(folder, { recursive: true, force: true });
    }
  },
};
