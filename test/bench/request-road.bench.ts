import { Agent, request } from 'node:http';
import type { AddressInfo } from 'node:net';
import Fastify, { type FastifyInstance } from 'fastify';
import pg from 'pg';
import { hashToken } from '../../src/access/sign-in/tokens.js';
import { type Operation, operationWith } from '../support/people.js';
import * as things from '../support/things.js';
import { openWorld, type World } from '../support/world.js';
import { inTurns, report } from './figure.js';

/**
 * What the road of a request costs: an address against fastify and pg by hand, which check the same token, enter by the
 * same functions, read the same rows under row-level security, and answer them as JSON.
 */

const BASELINE = 'fastify and pg by hand: same token check, row-level security and rows';
const FEEDINGS = 33_000;
jest.setTimeout(600_000);

const ENTER = `SELECT entered.name FROM rickyard.session_of_token($1, $2::timestamptz) AS session,
  LATERAL rickyard.enter_operation(session.person_id, NULL, $2::timestamptz, $3::uuid,
    'person:' || session.person_id, false) AS entered`;
const BY_HAND = {
  'list-50-feedings': `SELECT f.*, (SELECT json_agg(json_build_object('lot', l.hay_lot_id, 'name', h.name, 'kg',
      l.kilograms, 'typed', l.typed_value, 'unit', l.typed_unit, 'position', l.position, 'role', l.role))
      FROM feeding_layer l JOIN hay_lot h ON h.operation_id = l.operation_id AND h.id = l.hay_lot_id
      WHERE l.operation_id = f.operation_id AND l.feeding_id = f.id) AS layers,
    (SELECT row_to_json(r) FROM reversal r WHERE r.operation_id = f.operation_id AND r.subject_id = f.id) AS reversal
    FROM feeding f WHERE f.operation_id = $1 ORDER BY f.happened_on DESC, f.id DESC LIMIT 50`,
  'list-50-lots': `SELECT h.*, (SELECT sum(m.kilograms) FROM stock_movement m WHERE m.operation_id = h.operation_id AND
      m.hay_lot_id = h.id) AS kilograms, (SELECT sum(p.weight_kg) / sum(p.bale_count) FROM hay_purchase p
      WHERE p.operation_id = h.operation_id AND p.hay_lot_id = h.id) AS bale,
    (SELECT t.id FROM lab_test t WHERE t.operation_id = h.operation_id AND t.hay_lot_id = h.id
      ORDER BY t.sampled_on DESC LIMIT 1) AS test
    FROM hay_lot h WHERE h.operation_id = $1 ORDER BY h.name, h.id LIMIT 50`,
  'one-lot': `SELECT h.*, (SELECT sum(m.kilograms) FROM stock_movement m WHERE m.operation_id = h.operation_id AND
      m.hay_lot_id = h.id) AS kilograms, (SELECT sum(p.weight_kg) / sum(p.bale_count) FROM hay_purchase p
      WHERE p.operation_id = h.operation_id AND p.hay_lot_id = h.id) AS bale,
    (SELECT t.id FROM lab_test t WHERE t.operation_id = h.operation_id AND t.hay_lot_id = h.id
      ORDER BY t.sampled_on DESC LIMIT 1) AS test
    FROM hay_lot h WHERE h.operation_id = $1 AND h.id = $2`,
  'one-feeding': `SELECT f.*, (SELECT json_agg(json_build_object('lot', l.hay_lot_id, 'name', h.name, 'kg',
      l.kilograms, 'typed', l.typed_value, 'unit', l.typed_unit, 'position', l.position, 'role', l.role))
      FROM feeding_layer l JOIN hay_lot h ON h.operation_id = l.operation_id AND h.id = l.hay_lot_id
      WHERE l.operation_id = f.operation_id AND l.feeding_id = f.id) AS layers,
    (SELECT row_to_json(r) FROM reversal r WHERE r.operation_id = f.operation_id AND r.subject_id = f.id) AS reversal
    FROM feeding f WHERE f.operation_id = $1 AND f.id = $2`,
  'one-herd': `SELECT h.*, (SELECT sum(c.head) FROM head_change c WHERE c.operation_id = h.operation_id
      AND c.herd_id = h.id) AS head FROM herd h WHERE h.operation_id = $1 AND h.id = $2`,
};

/** The same by hand. Statements are prepared by name. */
function byHand(pool: pg.Pool): FastifyInstance {
  const app = Fastify();
  app.get('/health/ready', async () => {
    await pool.query('SELECT 1');
    return { status: 'ok' };
  });
  for (const [name, text] of Object.entries(BY_HAND))
    app.get(`/${name}/:operationId/:id?`, async ({ headers, params }, reply) => {
      const { operationId, id } = params as { operationId: string; id: string | undefined };
      const client = await pool.connect();
      try {
        await client.query('START TRANSACTION READ ONLY');
        const proof = [hashToken((headers.authorization ?? '').slice(7)), '2027-01-15T15:00:00.000Z', operationId];
        const entered = await client.query({ name: 'enter', text: ENTER, values: proof });
        if (entered.rows.length === 0) return reply.status(404).send();
        const { rows } = await client.query({
          name,
          text,
          values: id === undefined || id === '' ? [operationId] : [operationId, id],
        });
        await client.query('COMMIT');
        return { items: rows };
      } finally {
        client.release();
      }
    });
  return app;
}

const agent = new Agent({ keepAlive: true });
async function got(url: string, token: string): Promise<void> {
  await new Promise<void>((resolve, reject) => {
    request(url, { agent, headers: { authorization: `Bearer ${token}` } }, (answer) => {
      answer
        .on('data', () => undefined)
        .on('end', () => {
          if (answer.statusCode === 200) resolve();
          else reject(new Error(`${url}: ${answer.statusCode}`));
        });
    })
      .on('error', reject)
      .end();
  });
}

describe('the road of a request', () => {
  let world: World;
  let operation: Operation;
  let hand: FastifyInstance;
  let pool: pg.Pool;
  let one: Record<'one-lot' | 'one-feeding' | 'one-herd', string>;
  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world);
    const ranchId = await things.ranch(operation);
    const herdId = await things.herd(operation, ranchId);
    const lots: string[] = [];
    for (let index = 0; index < 50; index += 1)
      lots.push((await things.lot(operation, ranchId, { name: `Stack ${index}` })).lotId);
    const feedingId = await things.feeding(
      operation,
      herdId,
      lots.slice(0, 3).map((lotId) => [lotId, '400']),
      { fedOn: '2027-01-12' },
    );
    one = { 'one-lot': lots[0] ?? '', 'one-feeding': feedingId, 'one-herd': herdId };
    // More winters than anybody enters by hand, two layers each, as copies of that one.
    await world.ownerPool.query(
      `WITH more AS (INSERT INTO feeding SELECT (jsonb_populate_record(NULL::feeding, to_jsonb(f) ||
          jsonb_build_object('id', gen_random_uuid(), 'happened_on', f.happened_on - n / 10))).*
          FROM feeding f, generate_series(10, ${FEEDINGS}) n RETURNING operation_id, id)
       INSERT INTO feeding_layer SELECT (jsonb_populate_record(NULL::feeding_layer, to_jsonb(l) ||
          jsonb_build_object('feeding_id', more.id))).* FROM more, feeding_layer l WHERE l.position < 3`,
    );
    await world.ownerPool.query('ANALYZE');
    pool = new pg.Pool({ connectionString: world.appUrl, max: 20 });
    hand = byHand(pool);
    await hand.listen({ port: 0, host: '127.0.0.1' });
  });
  afterAll(async () => {
    agent.destroy();
    await hand.close();
    await pool.end();
    await world.close();
  });

  it.each([
    ['list-50-feedings', '/feedings?limit=50'],
    ['list-50-lots', '/hay-lots?limit=50'],
    ['one-lot', '/hay-lots/'],
    ['one-feeding', '/feedings/'],
    ['one-herd', '/herds/'],
    ['health-ready', undefined],
  ])('%s', async (bench, address) => {
    const token = operation.as.manager.token ?? '';
    const id = bench.startsWith('one-') ? one[bench as keyof typeof one] : '';
    const ours = `${world.address}${address === undefined ? '/health/ready' : operation.at(`${address}${id}`)}`;
    const theirs = `http://127.0.0.1:${(hand.server.address() as AddressInfo).port}/${
      address === undefined ? 'health/ready' : `${bench}/${operation.id}/${id}`
    }`;
    for (let warm = 0; warm < 10; warm += 1) {
      await got(ours, token);
      await got(theirs, token);
    }
    const times = await inTurns(
      100,
      () => got(ours, token),
      () => got(theirs, token),
    );
    report({
      bench: `road-${bench}`,
      value: Number(times.measured.toFixed(2)),
      unit: 'ms',
      baseline: BASELINE,
      baselineValue: Number(times.baseline.toFixed(2)),
    });
  });
});
