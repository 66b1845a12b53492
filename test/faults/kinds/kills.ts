import { setTimeout as sleep } from 'node:timers/promises';
import { around } from '../harness/around.js';
import { childrenOf, postmasterOf, send } from '../harness/server-process.js';
import { embeddedWorld, type EmbeddedWorld, type FaultKind, type Trial } from '../harness/worlds.js';

type Strike = (world: EmbeddedWorld, trial: Trial) => Promise<void>;

const killServer: Strike = ({ server }) => server.kill();

const killPostmaster: Strike = ({ folder }) => {
  send('SIGKILL', postmasterOf(folder));
  return Promise.resolve();
};

/** One of the processes that serve connections or write; PostgreSQL ends the others and recovers. */
const killBackend: Strike = ({ folder }, { random }) => {
  const one = random.oneOf(childrenOf(postmasterOf(folder)));
  if (one !== undefined) send('SIGKILL', one);
  return Promise.resolve();
};

/** As a power cut does, but for what the disk's own cache would lose. */
const killAll: Strike = async ({ folder, server }) => {
  const postmaster = postmasterOf(folder);
  const all = [postmaster, ...childrenOf(postmaster)];
  const gone = server.kill();
  for (const pid of all) send('SIGKILL', pid);
  await gone;
};

const kind = (name: string, usually: number, ...strikes: readonly Strike[]): FaultKind => ({
  name,
  usually,
  run: async (trial) => {
    const world = await embeddedWorld(trial);
    try {
      return await around(trial, {
        ...world,
        name,
        servers: [world.server],
        strike: async ({ fault }) => {
          await sleep(trial.random.between(50, 1200));
          await strikes[fault % strikes.length]?.(world, trial);
        },
      });
    } finally {
      await world.close();
    }
  },
});

/** Two hundred in a whole run. */
export const KILLS: readonly FaultKind[] = [
  kind('kill -9 of the server', 50, killServer),
  kind('kill -9 of the postmaster', 50, killPostmaster),
  kind('kill -9 of a backend', 70, killBackend),
  kind('kill -9 of all at once', 30, killAll),
];

/** One after the other, on the same books. */
export const EVERY_KILL = kind('every kill', 4, killServer, killPostmaster, killBackend, killAll);
