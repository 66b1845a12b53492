import { setTimeout as sleep } from 'node:timers/promises';
import { around } from '../harness/around.js';
import { Absence, Phones } from '../harness/phones.js';
import { Balancer } from '../harness/balancer.js';
import { keptBooks } from '../harness/kept-books.js';
import type { ServerProcess } from '../harness/server-process.js';
import { type FaultKind, type Outcome, serverWorld, type ServerWorld, type Trial } from '../harness/worlds.js';
import { openYardOfFaults, type YardOfFaults } from '../harness/yard-of-faults.js';

/** The balancer asks four times a second, so a server goes on for eight of its looks. */
const DRAIN = { DRAIN_SECONDS: '2' };
const A_SECOND = 100;
/** On a machine that is busy with other things it waits for answers, rather than be refused as one of too many. */
const UNANSWERED_MOST = 20;
/** Of so many requests each server is started again twice. */
const REQUESTS = 10_000;

interface Pair {
  readonly world: ServerWorld;
  readonly servers: readonly ServerProcess[];
  readonly balancer: Balancer;
  readonly yard: YardOfFaults;
}

async function withPair<T>(trial: Trial, work: (pair: Pair) => Promise<T>): Promise<T> {
  const world = await serverWorld(trial);
  const servers = [await world.start(undefined, DRAIN), await world.start(undefined, DRAIN)];
  const balancer = new Balancer(servers.map(({ url }) => url));
  await balancer.start();
  try {
    return await work({
      world,
      servers,
      balancer,
      yard: await openYardOfFaults(servers[0]?.url ?? '', world.ownerUrl),
    });
  } finally {
    await balancer.stop();
    await world.close();
  }
}

/** One or the other is killed; phones come to both through a balancer. */
const killed = (trial: Trial): Promise<Outcome> =>
  withPair(trial, ({ world, servers, balancer, yard }) =>
    around(trial, {
      name: 'two servers',
      yard,
      servers,
      url: () => balancer.url,
      ownerUrl: () => world.ownerUrl,
      strike: async ({ fault }) => {
        // The other has come back.
        await Promise.all(servers.map((server) => server.ready()));
        await sleep(trial.random.between(50, 1200));
        await servers[fault % 2]?.kill();
      },
    }),
  );

/** Asks a hundred times a second, as long as answers come at all. */
async function askSteadily(
  { balancer, yard }: Pair,
  requests: number,
): Promise<{ failed: string[]; slowestMs: number; aSecond: number }> {
  const failed: string[] = [];
  let slowestMs = 0;
  const began = Date.now();
  const running = new Set<Promise<void>>();
  const ask = async (n: number): Promise<void> => {
    const at = Date.now();
    try {
      const answer = await fetch(`${balancer.url}/v1/operations/${yard.operationId}/ranches`, {
        headers: { Authorization: `Bearer ${yard.keys[n % 4]}`, 'X-Forwarded-For': `10.4.${n % 50}.1` },
      });
      await answer.arrayBuffer();
      if (answer.status !== 200)
        failed.push(`request ${n}: ${answer.status} ${answer.headers.get('x-balancer') ?? ''}`);
    } catch (error) {
      failed.push(`request ${n}: ${String(error)}`);
    }
    slowestMs = Math.max(slowestMs, Date.now() - at);
  };
  for (let n = 0; n < requests; n += 1) {
    const early = began + (n * 1000) / A_SECOND - Date.now();
    if (early > 0) await sleep(early);
    while (running.size >= UNANSWERED_MOST) await Promise.race(running);
    const asked = ask(n).finally(() => running.delete(asked));
    running.add(asked);
  }
  await Promise.all(running);
  return { failed, slowestMs, aSecond: (1000 * requests) / (Date.now() - began) };
}

const rolling = (trial: Trial): Promise<Outcome> =>
  withPair(trial, async (pair) => {
    const { world, servers, balancer, yard } = pair;
    const absence = new Absence(yard, () => balancer.url);
    const phones = new Phones(yard, () => balancer.url, 'rolling', 200);
    phones.start(2);
    const requests = Math.min(REQUESTS, trial.count * (REQUESTS / 20));
    const asking = { on: true };
    const asked = askSteadily(pair, requests).finally(() => {
      asking.on = false;
    });
    const wrong: string[] = [];
    let restarts = 0;
    while (asking.on) {
      await sleep(trial.random.between(500, 2000));
      const { code, ms } = (await servers[restarts % 2]?.restart()) ?? { code: 1, ms: 0 };
      restarts += 1;
      if (code !== 0) wrong.push(`a server ended with ${code}, after ${ms} ms`);
      trial.tell(`${restarts} restarts, the last stop took ${ms} ms`);
    }
    const { failed, slowestMs, aSecond } = await asked;
    await phones.finish();
    trial.tell(
      `${failed.length} of ${requests} requests failed, the slowest took ${slowestMs} ms; ` +
        `${aSecond.toFixed(0)} a second`,
    );
    const absenceMs = await absence.end();
    const url = servers[0]?.url ?? '';
    return {
      faults: restarts,
      acknowledged: phones.acknowledged,
      ...(await keptBooks({ url, ownerUrl: world.ownerUrl, yard }, phones.sent)),
      wrong: [...failed, ...wrong, ...phones.wrong],
      absenceMs,
    };
  });

/** Five hundred requests for each of the count. */
export const ROLLING: FaultKind = { name: 'rolling restart at 100 requests a second', usually: 20, run: rolling };

export const TWO_SERVERS: readonly FaultKind[] = [
  { name: 'two servers, one is killed', usually: 10, run: killed },
  ROLLING,
];
