import { loadWinters } from '../../seed/load/load-winters.js';
import { asIfGrown, plansOf, SCALE } from '../support/at-scale.js';
import { operationWith } from '../support/people.js';
import { aWinterIn } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';
import { report } from './figure.js';

/** What the planner expects the busiest lists to cost among winters of other operations, against one of their rows. */
jest.setTimeout(900_000);

describe('plans at scale', () => {
  let world: World;
  beforeAll(async () => {
    world = await openWorld();
    await loadWinters(world.ownerUrl, { operations: 5, winters: 2, herds: 2 });
  });
  afterAll(() => world.close());

  it('of lists and reports', async () => {
    const operation = await operationWith(world);
    await aWinterIn(operation);
    // Of a table without a row the planner can be told nothing.
    const empty = await asIfGrown(world.ownerPool);
    const addresses = ['/herds', '/hay-lots', '/feedings', '/weigh-ins', '/reports/hay-position?on=2027-01-14'];
    for (const address of addresses) {
      const { plans, inside } = await plansOf(() => operation.as.owner.get(operation.at(address), { expect: 200 }));
      const costs = plans.map((one) => one.cost);
      expect(inside.filter((table) => !empty.has(table))).toEqual([]);
      report({
        bench: `explain-${address.slice(1).split('?')[0] ?? ''}`,
        value: Math.max(...costs),
        unit: 'planner cost of the dearest statement',
        baseline: `going through ${SCALE.rows} rows`,
        baselineValue: SCALE.rows / 100,
      });
    }
  });
});
