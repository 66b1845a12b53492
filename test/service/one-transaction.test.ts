import { randomUUID } from 'node:crypto';
import { once } from 'node:events';
import { Readable } from 'node:stream';
import pg from 'pg';
import { listHayMovements as hayMovements } from '../../src/office/balances/balances.schema.js';
import { pulledWithin } from '../../src/platform/database/pull.js';
import type { Asker } from '../../src/platform/http/asker.js';
import { type AnyEndpoint, ENDPOINTS, PAGES, transactionOf } from '../../src/platform/http/endpoint.js';
import { type Operation, operationWith } from '../support/people.js';
import * as things from '../support/things.js';
import { pullRegister } from '../support/registers.js';
import { openWorld, type World } from '../support/world.js';

/**
 * How often a request waits for the database. Answers to what was sent together are held until all are there, so that
 * whatever they lead to is sent together too, on a slow machine as on a fast one.
 */
class Waits {
  #sent: { deliver?: () => void }[] = [];
  roundTrips = 0;

  hold<T>(text: string, answer: Promise<T>): Promise<T> {
    // Nobody waits for the COMMIT of a transaction that only read.
    if (/^commit/i.test(text) && !statements.includes('begin')) return answer;
    if (this.#sent.length === 0) this.roundTrips += 1;
    const one: { deliver?: () => void } = {};
    this.#sent.push(one);
    return new Promise((resolve, reject) => {
      const arrived = (deliver: () => void): void => {
        one.deliver = deliver;
        if (!this.#sent.every((other) => other.deliver !== undefined)) return;
        const all = this.#sent;
        this.#sent = [];
        for (const { deliver: go } of all) go?.();
      };
      answer.then(
        (value) => arrived(() => resolve(value)),
        (error: Error) => arrived(() => reject(error)),
      );
    });
  }
}

const listHayMovements = hayMovements as unknown as AnyEndpoint;
let world: World;
let operation: Operation;
let herdId: string;
let lotId: string;
let placeId: string;
let statements: string[];
let waits: Waits;
let counting = false;
let query: jest.SpyInstance;

beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  const ranchId = await things.ranch(operation);
  const { manager, nutritionist } = operation.as;
  ({ id: placeId } = (
    await manager.post<things.WithId>(
      operation.at('/places'),
      { ranchId, name: 'East bunk', kind: 'bunk-line', bunkLength: { value: '60', unit: 'ft' } },
      { expect: 201 },
    )
  ).body);
  herdId = await things.herd(operation, ranchId, { placeId });
  ({ lotId } = await things.lot(operation, ranchId));
  await things.feeding(operation, herdId, [[lotId, '800']], { fedOn: '2027-01-08' });
  await manager.post(operation.at('/lab-tests'), things.labTestBody(lotId), { expect: 201 });
  const { id: rationId } = (
    await nutritionist.post<things.WithId>(
      operation.at('/rations'),
      {
        herdId,
        name: 'Winter ration',
        basis: 'as-fed',
        amount: { weight: { value: '15', unit: 'lb' }, basis: 'as-fed' },
        layers: [{ role: 'mixed', parts: [{ hayLotId: lotId, sharePercent: '100' }] }],
      },
      { expect: 201 },
    )
  ).body;
  await nutritionist.post(operation.at(`/rations/${rationId}/proposal`), {}, { expect: 200 });
  await manager.post(operation.at(`/rations/${rationId}/acceptance`), {}, { expect: 200 });
  await manager.post(operation.at(`/rations/${rationId}/use`), { from: '2027-01-10' }, { expect: 200 });
  const { query: send } = pg.Client.prototype as unknown as { query: (...given: unknown[]) => unknown };
  query = jest.spyOn(pg.Client.prototype, 'query').mockImplementation(function (this: pg.Client, ...given: unknown[]) {
    const [first] = given as [string | { text: string }];
    const text = typeof first === 'string' ? first : first.text;
    statements.push(text);
    const answer = send.apply(this, given);
    return answer instanceof Promise && counting ? waits.hold(text, answer) : answer;
  });
});
afterAll(async () => {
  query.mockRestore();
  await world.close();
});
beforeEach(() => {
  statements = [];
  waits = new Waits();
});

const count = (pattern: RegExp): number => statements.filter((one) => pattern.test(one)).length;
/** Whoever asks is found, enters once and works in one transaction, in which a read can write nothing. */
function expectOneTransaction(begin: 'begin' | 'start transaction read only'): void {
  expect({
    begun: statements.filter((one) => /^(begin|start transaction)/i.test(one)),
    ended: count(/^commit/i),
    entered: count(/rickyard\.enter(_operation)?\(/),
  }).toEqual({
    begun: [begin],
    ended: 1,
    entered: 1,
  });
  expect(statements.findIndex((one) => one.includes('rickyard.session_of_token('))).toBe(1);
}

describe('one request', () => {
  it.each([
    ['one lot', () => operation.at(`/hay-lots/${lotId}`)],
    ['lots', () => operation.at('/hay-lots')],
    ['feedings', () => operation.at('/feedings')],
    ['weigh-ins', () => operation.at('/weigh-ins')],
    ['season cost', () => operation.at('/reports/season-cost?from=2026-11-01&until=2027-01-14')],
    ['a ration review', () => operation.at(`/herds/${herdId}/ration-review`)],
    ['hay budget plans', () => operation.at('/hay-budget-plans')],
    ['the person asking', () => '/v1/me'],
    ['operations', () => '/v1/operations'],
  ] satisfies [string, () => string][])('that reads %s is one transaction, entered once', async (_what, address) => {
    await operation.as.owner.get(address(), { expect: 200 });
    expectOneTransaction('start transaction read only');
  });

  it('that reads a page made of several answers is one transaction, entered once', async () => {
    const page = await operation.as.owner.get(`/yard/operations/${operation.id}`);
    expect(page.status).toBe(200);
    expectOneTransaction('start transaction read only');
  });

  it('that writes a feeding is one transaction, entered once', async () => {
    await things.feeding(operation, herdId, [[lotId, '400']], { fedOn: '2027-01-09' });
    expectOneTransaction('begin');
  });

  it.each([1, 40])('that takes in a file of %i feedings writes them in three statements', async (rows) => {
    const line = (index: number): string =>
      `Weaned calves,2027-01-${String(9 - (index % 9)).padStart(2, '0')},bunk,mixed`;
    const lines = Array.from({ length: rows }, (_, index) => `${line(index)},${lotId},10`);
    const answer = await operation.as.hand.post<{ recordCount: number }>(
      operation.at('/imports/feedings'),
      ['herd,fed_on,method,role,lot,weight_lb', ...lines].join('\n'),
      // Every day comes several times, on purpose.
      { headers: { 'Content-Type': 'text/csv' }, query: { duplicates: 'enter' }, expect: 201 },
    );
    expect(answer.body.recordCount).toBe(rows);
    expect(count(/^insert into "(feeding|feeding_layer|stock_movement)"/i)).toBe(3);
  });

  it('that is refused leaves its transaction undone', async () => {
    await operation.as.hand.get(operation.at('/audit'), { expect: 403 });
    // The denial is noted in a transaction of its own, which may have begun by now.
    expect({ entered: count(/rickyard\.enter(_operation)?\(/), undone: count(/^rollback/i) }).toEqual({
      entered: 1,
      undone: 1,
    });
  });
});

describe('a pull of the ledger', () => {
  const asker = (): Asker => ({
    personId: operation.people.owner.id,
    apiKeyId: undefined,
    moment: world.clock.now(),
    requestId: 'pull',
    address: '127.0.0.1',
    idempotency: undefined,
  });
  const pull = (): Promise<AsyncIterable<string>> =>
    pullRegister(world, asker(), listHayMovements, { params: { operationId: operation.id } });
  const draw = (client: pg.PoolClient | pg.Pool, source: string, times: number): Promise<unknown> =>
    client.query(
      `INSERT INTO stock_movement (operation_id, id, hay_lot_id, kind, kilograms, typed_value, typed_unit,
         effective_on, effective_at, ranch_id, herd_id, source_kind, source_id, recorded_at, recorded_by)
       SELECT operation_id, gen_random_uuid(), hay_lot_id, 'feed', -1, '-1', 'kg', effective_on, effective_at,
         ranch_id, herd_id, 'feeding', $2, recorded_at, recorded_by
       FROM stock_movement, generate_series(1, $3::int) WHERE operation_id = $1 AND sequence =
         (SELECT min(sequence) FROM stock_movement WHERE operation_id = $1 AND kind = 'feed')`,
      [operation.id, source, times],
    );
  const connections = () => world.database.connections();

  beforeAll(async () => {
    await world.ownerPool.query('ALTER TABLE stock_movement DISABLE TRIGGER USER');
    await draw(world.ownerPool, randomUUID(), 1_500);
  });
  afterAll(() => world.ownerPool.query('ALTER TABLE stock_movement ENABLE TRIGGER USER'));

  it('is of one snapshot: an entry that commits meanwhile is in it as a whole or not at all', async () => {
    const late = randomUUID();
    const entering = await world.ownerPool.connect();
    await entering.query('BEGIN');
    await draw(entering, late, 1);
    // Numbered after the first half of the late entry, and known before the pull begins.
    const early = randomUUID();
    await draw(world.ownerPool, early, 1);
    const lines = (await pull())[Symbol.asyncIterator]();
    const taken = [await lines.next(), await lines.next()];
    await draw(entering, late, 1);
    await entering.query('COMMIT');
    entering.release();
    for (let next = await lines.next(); next.done !== true; next = await lines.next()) taken.push(next);
    const text = taken.map(({ value }) => String(value)).join('');
    expect([text.split(early).length - 1, text.split(late).length - 1]).toEqual([1, 0]);
    const after = (
      await operation.as.owner.get(operation.at('/hay-movements'), { query: { format: 'csv' }, expect: 200 })
    ).text;
    expect(after.split(late).length - 1).toBe(2);
    expect(statements.filter((one) => /^start transaction isolation level repeatable read/i.test(one))).toHaveLength(2);
  });

  it('gives its connection back when somebody stops taking', async () => {
    const before = connections().inUse;
    const lines = (await pull())[Symbol.asyncIterator]();
    await lines.next();
    expect(connections().inUse).toBe(before + 1);
    await lines.return?.(undefined);
    expect(connections().inUse).toBe(before);
    // The caller hung up while the first line was made.
    const stream = Readable.from(await pull());
    stream.destroy();
    await once(stream, 'close');
    expect(connections().inUse).toBe(before);
  });

  it('ends as an error, never as if whole, once its time is over', async () => {
    let open = true;
    async function* pieces(): AsyncGenerator<string> {
      try {
        for (;;) yield await Promise.resolve('line');
      } finally {
        open = false;
      }
    }
    const taken = (await pulledWithin(pieces(), 1))[Symbol.asyncIterator]();
    while (open) await new Promise((resolve) => setTimeout(resolve, 5));
    await expect(taken.next().then(() => taken.next())).rejects.toMatchObject({ code: 'took-too-long' });
  });

  it('that fails before its first line is refused like any other request', async () => {
    const stranger = { ...asker(), personId: randomUUID() };
    const asked = pullRegister(world, stranger, listHayMovements, { params: { operationId: operation.id } });
    await expect(asked).rejects.toMatchObject({ code: 'not-found' });
  });
});

describe('the busiest addresses', () => {
  const MOST_ROUND_TRIPS = 8;
  const day = '2027-01-14';
  const get = (address: string) => operation.as.owner.get(address, { expect: 200 });
  const weighing = (herd: string) => ({
    herdId: herd,
    weighedOn: '2027-01-12',
    fill: 'full',
    scope: 'group',
    head: 100,
    measure: 'mean',
    weight: { value: '600', unit: 'lb' },
  });
  it.each([
    ['operations', () => get('/v1/operations')],
    ['herds', () => get(operation.at('/herds'))],
    ['lots', () => get(operation.at('/hay-lots'))],
    ['feedings', () => get(operation.at('/feedings'))],
    ['weigh-ins', () => get(operation.at('/weigh-ins'))],
    ['a feed sheet', () => get(operation.at(`/places/${placeId}/feed-sheet?on=${day}`))],
    ['what a herd needs', () => get(operation.at(`/herds/${herdId}/requirements`))],
    ['the hay position', () => get(operation.at(`/reports/hay-position?on=${day}`))],
    ['the page of the yard', () => get(`/yard/operations/${operation.id}`)],
    ['a feeding entered', () => things.feeding(operation, herdId, [[lotId, '400']], { fedOn: day })],
    ['a weigh-in entered', () => operation.as.hand.post(operation.at('/weigh-ins'), weighing(herdId), { expect: 201 })],
  ])('wait for the database eight times at most: %s', async (_what, ask) => {
    counting = true;
    await ask().finally(() => {
      counting = false;
    });
    expect(waits.roundTrips).toBeGreaterThan(0);
    expect(waits.roundTrips).toBeLessThanOrEqual(MOST_ROUND_TRIPS);
  });
});

it('judges the seven days of a week without waiting longer for the database than for one day', async () => {
  const ranchId = await things.ranch(operation);
  const nitrate = { value: '6000', unit: 'ppm NO3-N' };
  const { lotId: oatHay } = await things.lot(operation, ranchId, { name: 'Oat hay of the creek', hayKind: 'oat-hay' });
  const tested = things.labTestBody(oatHay);
  await operation.as.manager.post(
    operation.at('/lab-tests'),
    { ...tested, analysis: { ...(tested['analysis'] as object), nitrate } },
    { expect: 201 },
  );
  const waitsFor = async (days: readonly string[]): Promise<{ days: number; roundTrips: number; ofHerd: number }> => {
    const herd = await things.herd(operation, ranchId);
    for (const fedOn of days) await things.feeding(operation, herd, [[oatHay, '400']], { fedOn });
    statements = [];
    waits = new Waits();
    counting = true;
    const review = await operation.as.owner
      .get<{ days?: unknown[]; cautions: { code: string; onDays?: string[] }[] }>(
        operation.at(`/herds/${herd}/ration-review?on=2027-01-14`),
        { expect: 200 },
      )
      .finally(() => {
        counting = false;
      });
    expect(review.body.cautions.some(({ code }) => code.startsWith('nitrate'))).toBe(true);
    return {
      days: days.length,
      roundTrips: waits.roundTrips,
      ofHerd: count(/"(herd_event|weather_day|ration|head_change)"/),
    };
  };
  const week = ['08', '09', '10', '11', '12', '13', '14'].map((day) => `2027-01-${day}`);
  const oneDay = await waitsFor(['2027-01-14']);
  const sevenDays = await waitsFor(week);
  expect(sevenDays).toEqual({ ...oneDay, days: 7 });
});

it('has transactions of its own only where several are needed, or none while it works long', () => {
  const own = [...ENDPOINTS, ...PAGES]
    .filter((one) => one.access !== 'public' && transactionOf(one) === 'own' && one.tag !== 'Calculations')
    .map((one) => one.operationId)
    .sort();
  expect(own).toEqual(
    [
      // Passphrases and codes are proved outside a transaction, and attempts are counted whatever comes of them.
      'changePassphrase',
      'makeRecoveryCodes',
      'beginSecondFactor',
      'confirmSecondFactor',
      'removeSecondFactor',
      'takeSecondLook',
      'joinByInvitation',
      'changeEmail',
      'proveEmail',
      'proveEmailByForm',
      'secondLookByForm',
      // Mail goes out after the commit; asking is counted whatever comes of it.
      'askEmailLink',
      'askEmailLinkByForm',
      // A session ends under a proof of its own.
      'signOut',
      'signOutByForm',
      // The operation is found in the engagement first; what has lapsed is settled first.
      'endOwnEngagement',
      'getEngagementCopy',
      // Each operation is entered by itself, as for its own reports.
      'getRollUp',
      // A worker works long on facts that were read before; no connection waits for it.
      'solveLeastCostRation',
      // Made by a thread, whose reading transaction it is; its line in the audit is written here.
      'exportOperation',
      // What is refused comes back in its form, read in a transaction of its own.
      'countByForm',
      'fedByForm',
      'hayTicketByForm',
      'hayTicketOfNewLotByForm',
      'headByForm',
      'waterByForm',
      'weatherByForm',
      'weighInByForm',
      // Progress is told while a file is taken in.
      ...own.filter((id) => /^(checkImportOf|import)[A-Z]/.test(id)),
    ].sort(),
  );
});
