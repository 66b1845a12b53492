import type { FaultKind } from '../harness/worlds.js';
import { CLOCK } from './clock.js';
import { FAILOVERS } from './failover.js';
import { FULL } from './full-disk.js';
import { KILLS } from './kills.js';
import { NETWORK } from './network.js';
import { READ_ONLY } from './read-only.js';
import { SLOW_CLIENTS } from './slow-clients.js';
import { TWO_SERVERS } from './two-servers.js';

export const ALL_KINDS: readonly FaultKind[] = [
  ...KILLS,
  ...FULL,
  ...READ_ONLY,
  CLOCK,
  ...NETWORK,
  ...TWO_SERVERS,
  ...FAILOVERS,
  SLOW_CLIENTS,
];
