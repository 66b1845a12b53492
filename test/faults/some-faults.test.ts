/*
 * A few of the faults that `npm run faults` makes by the hundred: servers and databases that are killed, a wire that is
 * cut or loses answers, a primary whose replica takes over, a rolling restart behind a balancer. What was acknowledged
 * is there, once and whole.
 */
import { tried } from './harness/table.js';
import type { FaultKind } from './harness/worlds.js';
import { FAILOVER_OF_HOSTS } from './kinds/failover.js';
import { EVERY_KILL } from './kinds/kills.js';
import { EVERY_CUT } from './kinds/network.js';
import { ROLLING } from './kinds/two-servers.js';

const SEED = 20270115;

test.each<[string, FaultKind, number]>([
  ['every kill', EVERY_KILL, 4],
  ['every cut', EVERY_CUT, 2],
  ['a failover to the other host', FAILOVER_OF_HOSTS, 1],
  ['a rolling restart of two servers', ROLLING, 1],
])('%s loses, doubles and halves nothing', async (_name, kind, count) => {
  const told: string[] = [];
  const outcome = await tried(kind, { seed: SEED, count, phones: 3, built: false, tell: (words) => told.push(words) });
  expect({ ...outcome, told }).toMatchObject({ words: [], faultless: true });
});
