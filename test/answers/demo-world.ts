import path from 'node:path';
import { loadDemo } from '../../seed/load-demo.js';
import { readScenario } from '../../seed/scenario.schema.js';
import { readTrialScenario } from '../../seed/trials.js';
import { startTestServer, stopTestServer } from '../support/test-server.js';
import { openWorld, type World } from '../support/world.js';

/** The moment at which everything is asked: as in the README's tour, after the demo's winter. */
const ASKED_AT = '2026-11-25T18:00:00.000Z';

export interface DemoPerson {
  key: string;
  email: string;
  passphrase: string;
}

export interface DemoWorld {
  world: World;
  people: readonly DemoPerson[];
  close(): Promise<void>;
}

/** The whole server with the whole demo in it, in a database of its own, at a moment that stands still. */
export async function openDemo(): Promise<DemoWorld> {
  const checkout = path.resolve(__dirname, '..', '..');
  await startTestServer();
  const world = await openWorld({ now: ASKED_AT });
  const scenario = readScenario(checkout);
  await loadDemo(world.application, scenario, () => undefined, readTrialScenario(checkout));
  return {
    world,
    people: scenario.people,
    close: async () => {
      await world.close();
      await stopTestServer();
    },
  };
}
