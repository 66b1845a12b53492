import path from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import pg from 'pg';
import { StreamingReplica } from '../../support/streaming-replica.js';
import { around } from '../harness/around.js';
import { CutProxy } from '../harness/cut-proxy.js';
import { childrenOf, postmasterOf, send } from '../harness/server-process.js';
import { type FaultKind, type Outcome, serverWorld, type Trial } from '../harness/worlds.js';
import { openYardOfFaults } from '../harness/yard-of-faults.js';

/** From now on a commit is acknowledged only when the replica has it too. */
async function waitForReplica(ownerUrl: string): Promise<void> {
  const owner = new pg.Client({ connectionString: ownerUrl });
  await owner.connect();
  try {
    await owner.query("ALTER SYSTEM SET synchronous_standby_names = '*'");
    await owner.query('SELECT pg_reload_conf()');
    for (;;) {
      const { rows } = await owner.query("SELECT 1 FROM pg_stat_replication WHERE sync_state = 'sync'");
      if (rows.length > 0) return;
      await sleep(50);
    }
  } finally {
    await owner.end();
  }
}

/**
 * The primary is killed, its replica becomes the primary, and the one address of the database leads there from then on,
 * as that of a cluster does; or the server was given the addresses of both.
 */
async function failOver(trial: Trial, named: 'one address' | 'both'): Promise<Outcome> {
  const world = await serverWorld(trial);
  const folder = path.join(world.folder, 'database');
  const { hostname, port } = new URL(world.ownerUrl);
  const wire = await CutProxy.before({ host: hostname, port: Number(port) });
  let replica: StreamingReplica | undefined;
  try {
    const standby = (replica = await StreamingReplica.of({ url: world.ownerUrl, folder }));
    const both = world.ownerUrl.replace(`:${port}/`, `:${standby.port},${hostname}:${port}/`);
    const server = await world.start(named === 'both' ? both : wire.urlOf(world.ownerUrl));
    const yard = await openYardOfFaults(server.url, world.ownerUrl);
    await waitForReplica(world.ownerUrl);
    return await around(
      { ...trial, count: 1 },
      {
        name: 'failover',
        yard,
        servers: [server],
        ownerUrl: () => standby.urlOf(world.ownerUrl),
        strike: async () => {
          await sleep(trial.random.between(200, 1500));
          const primary = postmasterOf(folder);
          for (const pid of [primary, ...childrenOf(primary)]) send('SIGKILL', pid);
          await standby.promote();
          wire.leadTo({ host: '127.0.0.1', port: standby.port });
        },
      },
    );
  } finally {
    await world.close();
    await replica?.stop();
    await wire.close();
  }
}

async function failOvers(trial: Trial, named: 'one address' | 'both'): Promise<Outcome> {
  const all: Outcome[] = [];
  for (let n = 1; n <= trial.count; n += 1) {
    all.push(await failOver(trial, named));
    trial.tell(`${n} of ${trial.count}`);
  }
  const sum = (of: (one: Outcome) => number): number => all.reduce((total, one) => total + of(one), 0);
  return {
    faults: sum(({ faults }) => faults),
    acknowledged: sum(({ acknowledged }) => acknowledged),
    lost: all.flatMap(({ lost }) => lost),
    doubled: all.flatMap(({ doubled }) => doubled),
    half: all.flatMap(({ half }) => half),
    wrong: all.flatMap(({ wrong }) => wrong),
    absenceMs: Math.max(...all.map(({ absenceMs }) => absenceMs)),
  };
}

export const FAILOVER_OF_HOSTS: FaultKind = {
  name: 'failover to the other host of DATABASE_URL',
  usually: 5,
  run: (trial) => failOvers(trial, 'both'),
};

export const FAILOVERS: readonly FaultKind[] = [
  {
    name: 'failover to a synchronous replica',
    usually: 5,
    run: (trial) => failOvers(trial, 'one address'),
  },
  FAILOVER_OF_HOSTS,
];
