import path from 'node:path';
import { loadDemo } from '../../seed/load-demo.js';
import { readScenario } from '../../seed/scenario.schema.js';
import { openWorld, type World } from '../support/world.js';
import { inTurns, report } from './figure.js';

/**
 * What the manners cost: an address against the bare SQL of the same rows, by the owner's connection, without policies
 * or checks.
 */

const scenario = readScenario(path.resolve(__dirname, '..', '..'));
jest.setTimeout(600_000);

async function signIn(world: World, email: string): Promise<{ token: string; operationId: string }> {
  const passphrase = scenario.people.find((person) => person.email === email)?.passphrase;
  const session = (await (
    await fetch(`${world.address}/v1/sign-in`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ email, passphrase }),
    })
  ).json()) as { accessToken: string };
  const operations = (await (
    await fetch(`${world.address}/v1/operations`, { headers: { authorization: `Bearer ${session.accessToken}` } })
  ).json()) as { items: { id: string }[] };
  return { token: session.accessToken, operationId: operations.items[0]?.id ?? '' };
}

describe('reads', () => {
  let world: World;
  beforeAll(async () => {
    world = await openWorld({ now: '2026-11-25T18:00:00.000Z' });
    const began = performance.now();
    await loadDemo(world.application, scenario, () => undefined);
    const { rows } = await world.ownerPool.query<{ movements: number }>(
      'SELECT count(*)::int AS movements FROM stock_movement',
    );
    const copied = performance.now();
    await world.ownerPool.query('CREATE TABLE bench_copy AS SELECT * FROM stock_movement');
    report({
      bench: 'demo-load',
      value: Math.round(copied - began),
      unit: 'ms',
      baseline: `CREATE TABLE AS of its ${rows[0]?.movements ?? 0} movements`,
      baselineValue: Math.max(1, Math.round(performance.now() - copied)),
    });
  });
  afterAll(() => world.close());

  it('a page of feedings, a season report and all ration reviews', async () => {
    const { token, operationId } = await signIn(world, 'ada@coldwater.example');
    const get = async (address: string): Promise<void> => {
      const answer = await fetch(`${world.address}/v1/operations/${operationId}${address}`, {
        headers: { authorization: `Bearer ${token}` },
      });
      expect(answer.status).toBe(200);
      await answer.text();
    };
    const bare = {
      feedings: () =>
        world.ownerPool.query(
          'SELECT f.*, l.* FROM (SELECT * FROM feeding WHERE operation_id = $1 ORDER BY happened_on DESC, id ' +
            'DESC LIMIT 50) f JOIN feeding_layer l ON l.operation_id = f.operation_id AND l.feeding_id = f.id',
          [operationId],
        ),
      season: () =>
        world.ownerPool.query(
          "SELECT herd_id, date_trunc('month', effective_on), sum(kilograms) FROM stock_movement WHERE " +
            "operation_id = $1 AND kind = 'feed' GROUP BY 1, 2",
          [operationId],
        ),
    };
    const cases: [string, string, string, () => Promise<unknown>][] = [
      ['list-50-feedings', '/feedings?limit=50', 'the same rows by bare SQL', bare.feedings],
      [
        'season-cost',
        '/reports/season-cost?from=2025-11-01&until=2026-03-31',
        'sums of the same movements by bare SQL',
        bare.season,
      ],
      ['ration-reviews', '/ration-reviews?on=2026-02-15', 'sums of the same movements by bare SQL', bare.season],
    ];
    for (const [bench, address, baseline, sql] of cases) {
      const times = await inTurns(25, () => get(address), sql);
      report({
        bench,
        value: Number(times.measured.toFixed(2)),
        unit: 'ms',
        baseline,
        baselineValue: Number(times.baseline.toFixed(2)),
      });
    }
  });
});
