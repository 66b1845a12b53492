import { setTimeout as sleep } from 'node:timers/promises';
import { around } from '../harness/around.js';
import { CutProxy } from '../harness/cut-proxy.js';
import { type FaultKind, serverWorld, type Trial } from '../harness/worlds.js';
import { openYardOfFaults } from '../harness/yard-of-faults.js';

/** What happens to the wire between server and database. */
type Strike = (wire: CutProxy, trial: Trial) => Promise<void>;

const cut: Strike = async (wire, { random }) => {
  wire.cut({ refuse: true });
  await sleep(random.between(0, 2000));
  wire.mend();
};

/** The database does what it is told, and nobody hears of it. */
const answersLost: Strike = async (wire, { random }) => {
  wire.loseAnswers();
  await sleep(random.between(50, 500));
  wire.cut();
};

/** No connection ends, and none says anything any more: a firewall that forgot them, a machine that is gone. */
const silent: Strike = (wire) => {
  wire.silence();
  return Promise.resolve();
};

const kind = (name: string, usually: number, ...strikes: readonly Strike[]): FaultKind => ({
  name,
  usually,
  run: async (trial) => {
    const world = await serverWorld(trial);
    const { hostname, port } = new URL(world.ownerUrl);
    const wire = await CutProxy.before({ host: hostname, port: Number(port) });
    try {
      const server = await world.start(wire.urlOf(world.ownerUrl));
      const yard = await openYardOfFaults(server.url, world.ownerUrl);
      return await around(trial, {
        name,
        yard,
        servers: [server],
        ownerUrl: () => world.ownerUrl,
        strike: async ({ fault }) => {
          await sleep(trial.random.between(50, 1200));
          await strikes[fault % strikes.length]?.(wire, trial);
        },
      });
    } finally {
      await world.close();
      await wire.close();
    }
  },
});

export const NETWORK: readonly FaultKind[] = [
  kind('network cut', 20, cut),
  kind('network that loses answers', 20, answersLost),
  kind('network that falls silent', 4, silent),
];

/** One after the other, on the same books. */
export const EVERY_CUT = kind('every cut', 4, cut, answersLost);
