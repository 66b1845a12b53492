/*
 * The hay ledger: a lot is never below zero, at any instant, by any number of clients; what was entered is reversed,
 * never edited. Expected balances are sums done by hand in short tons (1 ton = 2,000 lb, NIST Handbook 44, appendix C).
 */
import { newId } from '../../src/platform/identifiers.js';
import { asker, clientOf, join, type Operation, operationWith, person } from '../support/people.js';
import { balance, feeding, feedingBody, herd, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface ProblemBody {
  type: string;
  detail: string;
  errors?: { pointer?: string; code: string }[];
}

let world: World;
let operation: Operation;
let ranchId: string;
let herdId: string;

beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  ranchId = await ranch(operation);
  // So many that they can be meant to get in a day whatever these tests draw.
  herdId = await herd(operation, ranchId, { head: 5_000 });
});
afterAll(async () => {
  await world.close();
});

const draw = (lotId: string, pounds: string, more: Record<string, unknown> = {}) =>
  operation.as.manager.post<ProblemBody & WithId>(
    operation.at('/feedings'),
    feedingBody(herdId, [[lotId, pounds]], more),
  );
const takeBack = (what: string, body: object = { reason: 'Entered by mistake' }) =>
  operation.as.manager.post<ProblemBody>(operation.at(`/${what}/reversal`), body);
const ledgerSum = async (lotId: string): Promise<string | undefined> =>
  (
    await world.ownerPool.query<{ kg: string }>(
      'SELECT sum(kilograms)::text AS kg FROM stock_movement WHERE hay_lot_id = $1',
      [lotId],
    )
  ).rows[0]?.kg;

describe('drawing a lot', () => {
  it('gives fifty simultaneous draws no more than there is, and the losers are told', async () => {
    const { lotId } = await lot(operation, ranchId, { tons: '24' });
    const answers = await Promise.all(Array.from({ length: 50 }, () => draw(lotId, '2000')));
    const statuses = answers.map((answer) => answer.status);
    expect(statuses.filter((status) => status === 201)).toHaveLength(24);
    expect(statuses.filter((status) => status === 409)).toHaveLength(26);
    for (const { status, body } of answers)
      if (status === 409)
        expect(body).toMatchObject({
          type: '/problems/lot-short',
          errors: [{ pointer: '#/layers/0/parts/0', code: 'lot-short' }],
        });
    expect(Number(await ledgerSum(lotId))).toBe(0);
    const { rows } = await world.ownerPool.query<{ n: string }>(
      'SELECT count(*) AS n FROM feeding_layer WHERE hay_lot_id = $1',
      [lotId],
    );
    expect(rows[0]?.n).toBe('24');
  });

  it('draws two lots crosswise by many clients without losing a pound', async () => {
    const a = await lot(operation, ranchId, { tons: '10', name: 'Cross A' });
    const b = await lot(operation, ranchId, { tons: '10', name: 'Cross B' });
    const both = (first: string, second: string) =>
      operation.as.manager.post(
        operation.at('/feedings'),
        feedingBody(herdId, [
          [first, '500'],
          [second, '500'],
        ]),
      );
    const answers = await Promise.all(
      Array.from({ length: 20 }, (_, index) => (index % 2 === 0 ? both(a.lotId, b.lotId) : both(b.lotId, a.lotId))),
    );
    expect(answers.map((answer) => answer.status)).toEqual(Array.from({ length: 20 }, () => 201));
    expect([await balance(operation, a.lotId), await balance(operation, b.lotId)]).toEqual(['5', '5']);
  });

  it('lets feedings and their reversals cross without deadlock', async () => {
    const { lotId } = await lot(operation, ranchId, { tons: '20', name: 'Crossing' });
    const fed = await Promise.all(Array.from({ length: 8 }, () => feeding(operation, herdId, [[lotId, '1000']])));
    const answers = await Promise.all(fed.flatMap((id) => [takeBack(`feedings/${id}`), draw(lotId, '1000')]));
    expect(answers.map((answer) => answer.status)).toEqual(answers.map(() => 201));
    expect(await balance(operation, lotId)).toBe('16');
    const { rows } = await world.ownerPool.query<{ deadlocks: string }>(
      'SELECT deadlocks FROM pg_stat_database WHERE datname = current_database()',
    );
    expect(rows[0]?.deadlocks).toBe('0');
  });

  it('measures a back-dated draw against every later balance', async () => {
    const { lotId } = await lot(operation, ranchId, { tons: '10', name: 'Back-dated' });
    await feeding(operation, herdId, [[lotId, '16000']], { fedOn: '2027-01-10' });
    const tooMuch = await draw(lotId, '6000', { fedOn: '2026-12-01' });
    expect(tooMuch.status).toBe(409);
    // 3 tons drawn early leave 7; the 8 tons of 10 January are then 1 ton (2,000 lb) short.
    expect(tooMuch.body.detail).toBe('Back-dated would be 2000 lb short on 2027-01-10.');
    // Told in the yard's pounds, by the lot's name: 2,000 of the 6,000 are missing, so 4,000 could be drawn.
    expect(tooMuch.body.errors).toEqual([
      expect.objectContaining({ message: 'Back-dated: 2000 lb are missing on 2027-01-10; 4000 lb could be drawn.' }),
    ]);
    expect((await draw(lotId, '4000', { fedOn: '2026-12-01' })).status).toBe(201);
    expect(await balance(operation, lotId)).toBe('0');
  });

  it('cannot draw hay before it came', async () => {
    const { lotId } = await lot(operation, ranchId, { name: 'Not yet here' });
    const early = await draw(lotId, '100', { fedOn: '2026-10-31', headFed: 100 });
    expect([early.status, early.body.type]).toEqual([409, '/problems/lot-short']);
    expect((await draw(lotId, '100', { fedOn: '2026-11-01' })).status).toBe(201);
  });

  it('may be at the instant at which the hay came, in whichever order both were entered; reports stand', async () => {
    const other = await operationWith(world);
    const there = await ranch(other);
    const cows = await herd(other, there);
    const own = await lot(other, there, { tons: '5', name: 'Own' });
    const source = await lot(other, there, { tons: '10', name: 'Source' });
    const at = '2027-01-05T12:00:00-07:00';
    await feeding(other, cows, [[own.lotId, '10000']], { fedOn: '2027-01-05', fedAt: at });
    const hauled = {
      fromLotId: source.lotId,
      to: { id: own.lotId },
      movedOn: '2027-01-05',
      movedAt: at,
      quantity: { weight: { value: '5', unit: 'ton' } },
    };
    await other.as.manager.post(other.at('/hay-transfers'), hauled, { expect: 201 });
    const mistaken = other.at(`/hay-purchases/${own.purchaseId}/reversal`);
    await other.as.manager.post(mistaken, { reason: 'Was hauled, not bought' }, { expect: 201 });
    const report = { query: { from: '2027-01-01', until: '2027-01-15' }, expect: 200 };
    await other.as.accountant.get(other.at('/reports/season-cost'), report);
  });

  it('writes all of a feeding or nothing of it', async () => {
    const plenty = await lot(operation, ranchId, { name: 'Plenty' });
    const scarce = await lot(operation, ranchId, { name: 'Scarce', tons: '0.1' });
    const answer = await operation.as.manager.post<ProblemBody>(
      operation.at('/feedings'),
      feedingBody(herdId, [
        [plenty.lotId, '1000'],
        [scarce.lotId, '201'],
      ]),
    );
    expect(answer.body).toMatchObject({ status: 409, errors: [{ pointer: '#/layers/1/parts/0' }] });
    expect(await balance(operation, plenty.lotId)).toBe('24');
  });

  it('finds a lot that is named twice in one feeding', async () => {
    const { lotId } = await lot(operation, ranchId, { name: 'Twice', tons: '1' });
    const answer = await operation.as.manager.post<ProblemBody>(
      operation.at('/feedings'),
      feedingBody(herdId, [
        [lotId, '1500'],
        [lotId, '501'],
      ]),
    );
    expect(answer.status).toBe(409);
    expect(answer.body.errors?.map((one) => one.pointer)).toEqual(['#/layers/0/parts/0', '#/layers/1/parts/0']);
  });
});

describe('taking back', () => {
  it('gives the hay back, once', async () => {
    const { lotId } = await lot(operation, ranchId, { name: 'Given back' });
    const fed = await feeding(operation, herdId, [[lotId, '2000']]);
    expect((await takeBack(`feedings/${fed}`)).status).toBe(201);
    expect(await balance(operation, lotId)).toBe('24');
    expect((await takeBack(`feedings/${fed}`)).body.type).toBe('/problems/conflict');
    expect(await balance(operation, lotId)).toBe('24');
  });

  it('happens once where two ask at the same time', async () => {
    const { lotId } = await lot(operation, ranchId, { name: 'Asked twice' });
    const fed = await feeding(operation, herdId, [[lotId, '2000']]);
    const answers = await Promise.all(Array.from({ length: 6 }, () => takeBack(`feedings/${fed}`)));
    expect(answers.map((answer) => answer.status).sort()).toEqual([201, 409, 409, 409, 409, 409]);
    expect(await balance(operation, lotId)).toBe('24');
  });

  it('never stands before what it reverses, and may stand later', async () => {
    const { lotId } = await lot(operation, ranchId, { name: 'Later' });
    const fed = await feeding(operation, herdId, [[lotId, '2000']], { fedOn: '2027-01-10' });
    const before = await takeBack(`feedings/${fed}`, { reason: 'Wrong day', effectiveOn: '2027-01-09' });
    expect(before.body).toMatchObject({
      type: '/problems/rule-broken',
      errors: [{ pointer: '#/effectiveOn', code: 'before-what-it-reverses' }],
    });
    expect((await takeBack(`feedings/${fed}`, { reason: 'Never happened', effectiveOn: '2027-01-14' })).status).toBe(
      201,
    );
    const { rows } = await world.ownerPool.query(
      "SELECT effective_on, reason FROM stock_movement WHERE hay_lot_id = $1 AND kind = 'reversal'",
      [lotId],
    );
    expect(rows).toEqual([{ effective_on: '2027-01-14', reason: 'Never happened' }]);
  });

  it("on the next day, at a ranch west of the operation's own zone", async () => {
    const west = await ranch(operation, { name: 'Far west', timeZone: 'Pacific/Honolulu' });
    const { lotId } = await lot(operation, west, { name: 'Western' });
    const westHerd = await herd(operation, west);
    const fed = await feeding(operation, westHerd, [[lotId, '2000']], { fedOn: '2027-01-10' });
    expect((await takeBack(`feedings/${fed}`, { reason: 'Never happened', effectiveOn: '2027-01-11' })).status).toBe(
      201,
    );
    const { rows } = await world.ownerPool.query<{ day: string }>(
      "SELECT to_char(effective_at AT TIME ZONE 'Pacific/Honolulu', 'YYYY-MM-DD') AS day FROM stock_movement " +
        "WHERE hay_lot_id = $1 AND kind = 'reversal'",
      [lotId],
    );
    expect(rows).toEqual([{ day: '2027-01-11' }]);
  });

  it('of a ticket is refused while its hay is fed, and goes once the feeding is reversed', async () => {
    const { lotId, purchaseId } = await lot(operation, ranchId, { name: 'Fed and unfed' });
    const fed = await feeding(operation, herdId, [[lotId, '2000']]);
    expect((await takeBack(`hay-purchases/${purchaseId}`)).body.type).toBe('/problems/lot-short');
    expect((await takeBack(`feedings/${fed}`)).status).toBe(201);
    expect((await takeBack(`hay-purchases/${purchaseId}`)).status).toBe(201);
    expect(await balance(operation, lotId)).toBe('0');
  });

  it('of a ticket takes its money back too, also by a manager who does not see prices', async () => {
    const blind = await person(world, 'manager');
    await join(world, blind, operation.id, 'manager', { seesPrices: false });
    const client = await clientOf(world, blind);
    const { purchaseId } = await lot(operation, ranchId, { name: 'Priced', freight: '240', charges: '12.5' });
    await client.post(
      operation.at(`/hay-purchases/${purchaseId}/reversal`),
      { reason: 'Entered twice' },
      { expect: 201 },
    );
    const { rows } = await world.ownerPool.query<{ n: string; sum: string }>(
      'SELECT count(*) AS n, sum(c.amount)::text AS sum FROM stock_cost c WHERE c.hay_lot_id = (SELECT ' +
        'hay_lot_id FROM hay_purchase WHERE id = $1)',
      [purchaseId],
    );
    expect(rows).toEqual([{ n: '6', sum: '0.00' }]);
  });

  it.each([
    ['another amount', '-(m.kilograms) + 1', 'm.effective_at', "'why'"],
    ['an earlier instant', '-(m.kilograms)', "m.effective_at - interval '1 second'", "'why'"],
    ['no reason', '-(m.kilograms)', 'm.effective_at', 'NULL'],
  ])('is held by the database too: %s', async (what, kilograms, at, reason) => {
    const { lotId } = await lot(operation, ranchId, { name: `Guarded against ${what}` });
    await feeding(operation, herdId, [[lotId, '2000']]);
    const insert = world.ownerPool.query(
      `
      INSERT INTO stock_movement (operation_id, id, hay_lot_id, kind, kilograms, typed_value, typed_unit, effective_on,
        effective_at, ranch_id, source_kind, source_id, reverses_id, reason, recorded_by)
      SELECT operation_id, $2, hay_lot_id, 'reversal', ${kilograms}, typed_value, typed_unit, effective_on, ${at},
        ranch_id, 'reversal', $2, id, ${reason}, recorded_by
        FROM stock_movement m WHERE hay_lot_id = $1 AND kind = 'feed'`,
      [lotId, newId()],
    );
    await expect(insert).rejects.toMatchObject({ code: 'RY003' });
  });

  it('cannot be reversed itself', async () => {
    const { lotId } = await lot(operation, ranchId, { name: 'Twice over' });
    const fed = await feeding(operation, herdId, [[lotId, '2000']]);
    await takeBack(`feedings/${fed}`);
    const insert = world.ownerPool.query(
      `
      INSERT INTO stock_movement (operation_id, id, hay_lot_id, kind, kilograms, typed_value, typed_unit, effective_on,
        effective_at, ranch_id, source_kind, source_id, reverses_id, reason, recorded_by)
      SELECT operation_id, $2, hay_lot_id, 'reversal', -kilograms, typed_value, typed_unit, effective_on, effective_at,
        ranch_id, 'reversal', $2, id, 'why', recorded_by
        FROM stock_movement m WHERE hay_lot_id = $1 AND kind = 'reversal'`,
      [lotId, newId()],
    );
    await expect(insert).rejects.toMatchObject({ code: 'RY003' });
  });
});

describe("the database's own words", () => {
  it('reach a service as a problem that names lot, day and what is missing', async () => {
    const { lotId } = await lot(operation, ranchId, { name: 'By hand', tons: '1' });
    const work = world.database.writeIn(
      asker(world, operation.people.hand),
      operation.id,
      async ({ db, moment, personId }) => {
        await db
          .insertInto('stock_movement')
          .values({
            operation_id: operation.id,
            id: newId(),
            hay_lot_id: lotId,
            kind: 'shrink',
            kilograms: '-1000',
            typed_value: '-1000',
            typed_unit: 'kg',
            effective_on: '2027-01-02',
            effective_at: '2027-01-02T12:00:00Z',
            ranch_id: ranchId,
            source_kind: 'stock-count',
            source_id: newId(),
            reason: 'Counted',
            recorded_at: moment.toISOString(),
            recorded_by: personId,
          })
          .execute();
        return {};
      },
    );
    await expect(work).rejects.toMatchObject({
      code: 'lot-short',
      // 1,000 kg, as typed, less one ton of 907.18474 kg: 92.81526 kg, rounded up.
      detail: 'By hand would be 92.9 kg short on 2027-01-02.',
    });
  });
});
