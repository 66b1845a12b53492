import { chmodSync, statSync } from 'node:fs';
import path from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import pg from 'pg';
import { around } from '../harness/around.js';
import { embeddedWorld, type EmbeddedWorld, type FaultKind, type Outcome, type Trial } from '../harness/worlds.js';

const LASTS_MS = 1500;

/** Makes the world such that nothing can be written; returns how to undo it. */
type Close = (world: EmbeddedWorld) => Promise<() => Promise<void>>;

/** As a server does that has become a standby, or was set so by whoever keeps it. */
const database: Close = async (world) => {
  const set = async (value: string): Promise<void> => {
    const owner = new pg.Client({ connectionString: world.ownerUrl() });
    await owner.connect();
    await owner.query('SET default_transaction_read_only = off');
    await owner.query(`ALTER SYSTEM SET default_transaction_read_only = ${value}`);
    await owner.query('SELECT pg_reload_conf()');
    await owner.end();
  };
  await set('on');
  return () => set('off');
};

/** Every folder of the tables and of the log: what is open can be written to, nothing new can be made. */
const folders: Close = ({ folder }) => {
  const closed = ['base', 'global', 'pg_wal', 'pg_xact', 'pg_stat', 'base/pgsql_tmp']
    .map((name) => path.join(folder, 'postgres', name))
    .filter((at) => statSync(at, { throwIfNoEntry: false })?.isDirectory());
  for (const at of closed) chmodSync(at, 0o500);
  return Promise.resolve(() => {
    for (const at of closed) chmodSync(at, 0o700);
    return Promise.resolve();
  });
};

async function closed(trial: Trial, name: string, close: Close): Promise<Outcome> {
  const world = await embeddedWorld(trial);
  try {
    return await around(trial, {
      ...world,
      name,
      servers: [world.server],
      strike: async ({ absence }) => {
        await sleep(trial.random.between(50, 1200));
        await absence.during(async () => {
          const open = await close(world);
          await sleep(LASTS_MS);
          await open();
        });
      },
    });
  } finally {
    await world.close();
  }
}

export const READ_ONLY: readonly FaultKind[] = [
  { name: 'read-only database', usually: 10, run: (trial) => closed(trial, 'read-only database', database) },
  { name: 'read-only folders', usually: 10, run: (trial) => closed(trial, 'read-only folders', folders) },
];
