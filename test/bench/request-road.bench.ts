import { randomUUID } from 'node:crypto';
import { Agent, request } from 'node:http';
import type { AddressInfo } from 'node:net';
import Fastify, { type FastifyInstance } from 'fastify';
import pg from 'pg';
import { hashToken } from '../../src/access/sign-in/tokens.js';
import { newId } from '../../src/platform/identifiers.js';
import { type Operation, operationWith } from '../support/people.js';
import * as things from '../support/things.js';
import { openWorld, type World } from '../support/world.js';
import { processorTime } from './cpu.js';
import { inTurns, report } from './figure.js';
import { profiled } from './profile.js';

/**
 * What the road of a request costs: an address against fastify and pg by hand, which check the same token, enter by the
 * same functions, read the same rows under row-level security, and answer them as JSON.
 */

const BASELINE = 'fastify and pg by hand: same token check, row-level security and rows';
const FEEDINGS = 33_000;
const HERDS = 20;
const PROFILED = 200;
/** 0.7 of the baseline's throughput for a read, 0.6 for an entry. */
const [READ_GOAL, ENTRY_GOAL] = [1.43, 1.67];
jest.setTimeout(600_000);

const ENTER = `SELECT entered.name FROM rickyard.session_of_token($1, $2::timestamptz) AS session,
  LATERAL rickyard.enter_operation(session.person_id, NULL, $2::timestamptz, $3::uuid,
    'person:' || session.person_id, false) AS entered`;
const ENTER_TO_WRITE = `SELECT entered.name, session.person_id
  FROM rickyard.session_of_token($1, $2::timestamptz) AS session,
  LATERAL rickyard.enter_operation(session.person_id, NULL, $2::timestamptz, $3::uuid,
    'person:' || session.person_id, true) AS entered`;
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
  'list-50-weigh-ins': `SELECT w.*,
    (SELECT json_agg(a) FROM animal_weight a WHERE a.operation_id = w.operation_id AND a.weigh_in_id = w.id) AS animals,
    (SELECT row_to_json(r) FROM reversal r WHERE r.operation_id = w.operation_id AND r.subject_id = w.id) AS reversal
    FROM weigh_in w WHERE w.operation_id = $1 ORDER BY w.happened_on DESC, w.id DESC LIMIT 50`,
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
  app.post('/feedings/:operationId', ({ headers, params, body }, reply) =>
    fedByHand(pool, {
      token: (headers.authorization ?? '').slice(7),
      key: String(headers['idempotency-key']),
      operationId: (params as { operationId: string }).operationId,
      body: body as Fed,
    }).then((answer) => reply.status(201).send(answer)),
  );
  return app;
}

interface Fed {
  herdId: string;
  fedOn: string;
  layers: { role: string; parts: { hayLotId: string; weight: { value: string; unit: string } }[] }[];
}

/** An entry by hand: the rows that a feeding is, with the guards as they stand, one statement after another. */
async function fedByHand(
  pool: pg.Pool,
  { token, key, operationId, body }: { token: string; key: string; operationId: string; body: Fed },
): Promise<object> {
  const client = await pool.connect();
  const ask = (name: string, text: string, values: unknown[]): Promise<pg.QueryResult> =>
    client.query({ name, text, values });
  try {
    await client.query('BEGIN');
    const now = '2027-01-15T15:00:00.000Z';
    const entered = await ask('enter-to-write', ENTER_TO_WRITE, [hashToken(token), now, operationId]);
    const { person_id: personId } = entered.rows[0] as { person_id: string };
    await ask(
      'once',
      `INSERT INTO idempotency_record (actor, route, key, payload_hash, acts, expires_at)
        VALUES ($1, 'by hand', $2, md5($3), '{}', $4::timestamptz + interval '2 days')`,
      [`person:${personId}`, key, JSON.stringify(body), now],
    );
    const herd = await ask(
      'herd',
      `SELECT h.ranch_id, (SELECT sum(head) FROM head_change c WHERE c.operation_id = $1 AND c.herd_id = h.id) AS head
        FROM herd h WHERE h.operation_id = $1 AND h.id = $2`,
      [operationId, body.herdId],
    );
    const { ranch_id: ranchId, head } = herd.rows[0] as { ranch_id: string; head: string };
    const parts = body.layers.flatMap(({ role, parts: of }) => of.map((part) => ({ role, ...part })));
    const lots = parts.map(({ hayLotId }) => hayLotId);
    const named = await ask('lots', 'SELECT id, name FROM hay_lot WHERE operation_id = $1 AND id = ANY ($2)', [
      operationId,
      lots,
    ]);
    const feedingId = newId();
    await ask(
      'feeding',
      `INSERT INTO feeding (operation_id, id, herd_id, ranch_id, happened_on, head_fed, method, weather, recorded_by)
        VALUES ($1, $2, $3, $4, $5, $6, 'windrow-on-ground', 'dry', $7)`,
      [operationId, feedingId, body.herdId, ranchId, body.fedOn, head, personId],
    );
    const pounds = parts.map(({ weight }) => weight.value);
    await ask(
      'layers',
      `INSERT INTO feeding_layer (operation_id, feeding_id, position, part, role, hay_lot_id, kilograms, typed_value,
          typed_unit)
        SELECT $1, $2, n, 1, role, lot, pounds::numeric * 0.45359237, pounds, 'lb'
          FROM unnest($3::text[], $4::uuid[], $5::text[]) WITH ORDINALITY AS l (role, lot, pounds, n)`,
      [operationId, feedingId, parts.map(({ role }) => role), lots, pounds],
    );
    await ask(
      'movements',
      `INSERT INTO stock_movement (operation_id, id, hay_lot_id, kind, kilograms, typed_value, typed_unit, effective_on,
          effective_at, ranch_id, herd_id, source_kind, source_id, recorded_by)
        SELECT $1, id, lot, 'feed', pounds::numeric * -0.45359237, '-' || pounds, 'lb', $5::date,
          $5::date + interval '31 hours', $6, $7, 'feeding', $2, $9
          FROM unnest($3::uuid[], $4::text[], $8::uuid[]) AS l (lot, pounds, id)`,
      [operationId, feedingId, lots, pounds, body.fedOn, ranchId, body.herdId, lots.map(() => newId()), personId],
    );
    await ask(
      'audit',
      `INSERT INTO audit_entry (operation_id, sequence, person_id, request_id, address, action, subject_kind,
          subject_id, after, chain_hash) VALUES ($1, 0, $2, $3, '127.0.0.1', 'feeding.create', 'feeding', $4, $5, '')`,
      [operationId, personId, key, feedingId, JSON.stringify(body)],
    );
    const answer = { id: feedingId, ...body, lots: named.rows as object[] };
    await ask('answered', 'UPDATE idempotency_record SET status = 201, answer = $3 WHERE actor = $1 AND key = $2', [
      `person:${personId}`,
      key,
      JSON.stringify(answer),
    ]);
    await client.query('COMMIT');
    return answer;
  } catch (error) {
    await client.query('ROLLBACK');
    throw error;
  } finally {
    client.release();
  }
}

const agent = new Agent({ keepAlive: true });
function sent(url: string, token: string, body: string): Promise<void> {
  return new Promise((resolve, reject) => {
    const headers = {
      authorization: `Bearer ${token}`,
      'content-type': 'application/json',
      'idempotency-key': randomUUID(),
    };
    request(url, { agent, headers, method: 'POST' }, (answer) => {
      answer
        .on('data', () => undefined)
        .on('end', () => {
          if (answer.statusCode === 201) resolve();
          else reject(new Error(`${url}: ${answer.statusCode}`));
        });
    })
      .on('error', reject)
      .end(body);
  });
}

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

/** An operation with stacks and herds. */
interface Yard {
  operation: Operation;
  lots: string[];
  herds: string[];
}

async function yardIn(world: World): Promise<Yard> {
  const operation = await operationWith(world);
  const ranchId = await things.ranch(operation);
  const [lots, herds]: [string[], string[]] = [[], []];
  while (herds.length < HERDS) herds.push(await things.herd(operation, ranchId, { name: `Herd ${herds.length}` }));
  while (lots.length < 50) lots.push((await things.lot(operation, ranchId, { name: `Stack ${lots.length}` })).lotId);
  return { operation, lots, herds };
}

describe('the road of a request', () => {
  let world: World;
  let operation: Operation;
  let yard: Yard;
  let besides: Yard;
  let hand: FastifyInstance;
  let pool: pg.Pool;
  let one: Record<'one-lot' | 'one-feeding' | 'one-herd', string>;
  beforeAll(async () => {
    world = await openWorld();
    [yard, besides] = [await yardIn(world), await yardIn(world)];
    const { lots, herds } = yard;
    operation = yard.operation;
    const [herdId = ''] = herds;
    const feedingId = await things.feeding(
      operation,
      herdId,
      lots.slice(0, 3).map((lotId) => [lotId, '400']),
      { fedOn: '2027-01-12' },
    );
    one = { 'one-lot': lots[0] ?? '', 'one-feeding': feedingId, 'one-herd': herdId };
    // More winters than anybody enters by hand, one feeding a herd and day, two layers each, as copies of that one.
    await world.ownerPool.query(
      `WITH more AS (INSERT INTO feeding SELECT (jsonb_populate_record(NULL::feeding, to_jsonb(f) ||
          jsonb_build_object('id', gen_random_uuid(), 'happened_on', f.happened_on - n / ${HERDS}, 'herd_id',
            ($1::uuid[])[1 + n % ${HERDS}]))).*
          FROM feeding f, generate_series(${HERDS}, ${FEEDINGS}) n RETURNING operation_id, id)
       INSERT INTO feeding_layer SELECT (jsonb_populate_record(NULL::feeding_layer, to_jsonb(l) ||
          jsonb_build_object('feeding_id', more.id))).* FROM more, feeding_layer l WHERE l.position < 3`,
      [herds],
    );
    const weighIn = await operation.as.manager.post<things.WithId>(
      operation.at('/weigh-ins'),
      {
        scope: 'animal',
        herdId,
        weighedOn: '2027-01-12',
        fill: 'full',
        animals: ['561', '573.5', '548'].map((value, at) => ({ visualTag: `A ${at}`, weight: { value, unit: 'lb' } })),
      },
      { expect: 201 },
    );
    await world.ownerPool.query(
      `WITH more AS (INSERT INTO weigh_in SELECT (jsonb_populate_record(NULL::weigh_in, to_jsonb(w) ||
          jsonb_build_object('id', gen_random_uuid(), 'happened_on', w.happened_on - n))).*
          FROM weigh_in w, generate_series(1, 200) n WHERE w.id = $1 RETURNING operation_id, id)
       INSERT INTO animal_weight SELECT (jsonb_populate_record(NULL::animal_weight, to_jsonb(a) ||
          jsonb_build_object('weigh_in_id', more.id))).* FROM more, animal_weight a WHERE a.weigh_in_id = $1`,
      [weighIn.body.id],
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
    ['list-50-weigh-ins', '/weigh-ins?limit=50'],
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
    await profiled(`road-${bench}`, async () => {
      for (let again = 0; again < PROFILED; again += 1) await got(ours, token);
    });
    report({
      bench: `road-${bench}`,
      value: Number(times.measured.toFixed(2)),
      unit: 'ms',
      baseline: BASELINE,
      baselineValue: Number(times.baseline.toFixed(2)),
      ratio: times.ratio,
      goal: { ratioAtMost: READ_GOAL },
    });
  });

  it.each([
    [1, 40],
    [8, 10],
  ])('a feeding of three layers, %i at a time', async (atOnce, rounds) => {
    // As on a ranch, a herd is fed a few times a day, and of its own stack. By hand costs are left due, so that is done
    // in another operation.
    let entered = 0;
    const next = ({ herds, lots }: Yard): string => {
      entered += 1;
      const layers = [0, 1, 2].map((at): readonly [string, string] => [
        lots[(3 * entered + at) % lots.length] ?? '',
        '1',
      ]);
      return JSON.stringify(things.feedingBody(herds[entered % HERDS] ?? '', layers, { fedOn: '2027-01-15' }));
    };
    const port = (hand.server.address() as AddressInfo).port;
    const entries = (url: string, yard: Yard) => (): Promise<unknown> => {
      const token = yard.operation.as.manager.token ?? '';
      return Promise.all(Array.from({ length: atOnce }, () => sent(url, token, next(yard))));
    };
    const ours = entries(`${world.address}${yard.operation.at('/feedings')}`, yard);
    const byHandUrl = `http://127.0.0.1:${port}/feedings/${besides.operation.id}`;
    const byHandOnce = entries(byHandUrl, besides);
    const times = await inTurns(rounds, ours, byHandOnce);
    await profiled(`road-three-layer-feeding-${atOnce}-at-once`, async () => {
      for (let again = 0; again < rounds; again += 1) await ours();
    });
    const spent = {
      ours: await processorTime(20, ours, world.ownerPool),
      byHand: await processorTime(20, byHandOnce, world.ownerPool),
    };
    report({
      bench: `road-three-layer-feeding-${atOnce}-at-once`,
      value: Number(times.measured.toFixed(2)),
      unit: 'ms',
      baseline: 'the same entries by hand: token check, row-level security, ledger and audit guards, idempotency',
      baselineValue: Number(times.baseline.toFixed(2)),
      ratio: times.ratio,
      spent,
      goal: { ratioAtMost: ENTRY_GOAL },
    });
  });
});
