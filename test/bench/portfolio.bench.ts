import { loadWinters } from '../../seed/load/load-winters.js';
import { newId } from '../../src/platform/identifiers.js';
import type { ApiClient } from '../support/client.js';
import { clientOf, person } from '../support/people.js';
import { openWorld, type World } from '../support/world.js';
import { asked, type HandServer, hangUp, serveByHand } from './by-hand.js';
import { processorTime } from './cpu.js';
import { inTurns, report } from './figure.js';
import { profiled } from './profile.js';

/**
 * A consultant's portfolio of 1, 10 and 100 clients, against one SQL statement that gathers for the same herds what
 * they were fed in their last week, of which hay, and how much of it is left: both over the wire, with the same token
 * check and under row-level security. Nobody by hand judges a herd. Time should grow as the clients do.
 */

const NOW = '2026-04-13T18:00:00.000Z';
const CLIENTS = [1, 10, 100];
const ROUNDS = 7;
jest.setTimeout(900_000);

const GATHERED = `
  SELECT h.id, h.name, head.head, f.happened_on, l.role, l.kilograms, lot.name AS lot, lot.hay_kind,
      left_of.kilograms AS left_kg
    FROM herd h
    JOIN LATERAL (SELECT sum(head) AS head FROM head_change c
      WHERE c.operation_id = h.operation_id AND c.herd_id = h.id) AS head ON true
    LEFT JOIN feeding f ON f.operation_id = h.operation_id AND f.herd_id = h.id AND f.happened_on > $2::date - 7 AND
      f.happened_on <= $2
      AND NOT EXISTS (SELECT FROM reversal r WHERE r.operation_id = f.operation_id AND r.subject_id = f.id)
    LEFT JOIN feeding_layer l ON l.operation_id = f.operation_id AND l.feeding_id = f.id
    LEFT JOIN hay_lot lot ON lot.operation_id = l.operation_id AND lot.id = l.hay_lot_id
    LEFT JOIN (SELECT operation_id, hay_lot_id, sum(kilograms) AS kilograms FROM stock_movement
      WHERE operation_id = ANY ($1::uuid[]) GROUP BY 1, 2) AS left_of
      ON left_of.operation_id = l.operation_id AND left_of.hay_lot_id = l.hay_lot_id
   WHERE h.operation_id = ANY ($1::uuid[])`;

describe('the portfolio', () => {
  let world: World;
  let operations: string[];
  let hand: HandServer | undefined;
  const took = new Map<number, number>();
  beforeAll(async () => {
    world = await openWorld({ now: NOW });
    await loadWinters(world.ownerUrl, { operations: Math.max(...CLIENTS), winters: 1, herds: 1 });
    await world.ownerPool.query('ANALYZE');
    const { rows } = await world.ownerPool.query<{ id: string }>('SELECT id FROM operation ORDER BY name');
    operations = rows.map(({ id }) => id);
  });
  afterEach(() => hand?.close());
  afterAll(async () => {
    hangUp();
    await world.close();
  });

  async function consultantOf(clients: number): Promise<ApiClient> {
    const who = await person(world, `consultant of ${clients}`);
    for (const operationId of operations.slice(0, clients))
      await world.ownerPool.query(
        `INSERT INTO membership (operation_id, id, person_id, role, sees_prices, from_at, confirmed_at)
          VALUES ($1, $2, $3, 'nutritionist', true, '2026-01-01', '2026-01-01')`,
        [operationId, newId(), who.id],
      );
    return clientOf(world, who);
  }

  it.each(CLIENTS)('of %i clients', async (clients) => {
    const consultant = await consultantOf(clients);
    hand = await serveByHand(world.appUrl, NOW, {
      portfolio: {
        text: GATHERED,
        values: [operations.slice(0, clients), '2026-04-13'],
        answer: (rows) => ({ items: rows }),
      },
    });
    const url = `${hand.url}/portfolio`;
    const ask = (): Promise<string> =>
      asked(`${world.address}/v1/portfolio/herds?show=all&limit=200`, consultant.token);
    const byHand = (): Promise<string> => asked(url, consultant.token);
    expect((JSON.parse(await ask()) as { items: unknown[] }).items).toHaveLength(clients);
    const laid = JSON.parse(await byHand()) as { items: { id: string }[] };
    expect(new Set(laid.items.map(({ id }) => id)).size).toBe(clients);
    const times = await inTurns(ROUNDS, ask, byHand);
    await profiled(`portfolio-${clients}-clients`, async () => {
      for (let again = 0; again < ROUNDS; again += 1) await ask();
    });
    const spent = {
      ours: await processorTime(ROUNDS, ask, world.ownerPool),
      byHand: await processorTime(ROUNDS, byHand, world.ownerPool),
    };
    took.set(clients, times.measured);
    report({
      bench: `portfolio-${clients}-clients`,
      spent,
      value: Number(times.measured.toFixed(1)),
      unit: 'ms',
      baseline: 'fastify and pg by hand: what was fed in the last week and what is left of it, in one SQL statement',
      baselineValue: Number(times.baseline.toFixed(1)),
      ratio: times.ratio,
      goal: { ratioAtMost: 1.5 },
    });
    const fewer = CLIENTS[CLIENTS.indexOf(clients) - 1];
    if (fewer === undefined) return;
    report({
      bench: `portfolio-${clients}-clients-for-each-client`,
      value: Number((times.measured / clients).toFixed(2)),
      unit: 'ms',
      baseline: `the same with ${fewer}`,
      baselineValue: Number(((took.get(fewer) ?? Number.NaN) / fewer).toFixed(2)),
      goal: { ratioAtMost: 1.1 },
    });
  });
});
