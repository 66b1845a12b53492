/*
 * Amounts read back digit for digit; kilograms at rest are exact; days stay days in every zone.
 * Exact products are computed here with whole numbers (BigInt), independent of the program's own decimals.
 */
import { type Operation, operationWith } from '../support/people.js';
import { balance, feedingBody, herd, lot, purchaseBody, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Purchase extends WithId {
  hayLotId: string;
  weight: { value: string; unit: string; typed: { value: string; unit: string } };
  landedCost: { amount: string };
}

let world: World;
let operation: Operation;
let ranchId: string;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  ranchId = await ranch(operation);
});
afterAll(async () => {
  await world.close();
});

describe('decimals', () => {
  it.each([
    { value: '1150.1234', unit: 'lb' },
    { value: '24', unit: 'ton' },
    { value: '24.000', unit: 'ton' },
    { value: '0.1', unit: 'kg' },
    { value: '12345678.123456789012', unit: 'kg' },
    { value: '98765.4321', unit: 'lb' },
    { value: '0.000001', unit: 't' },
  ])('$value $unit is read back as it was typed', async (net) => {
    const bought = await operation.as.manager.post<Purchase>(
      operation.at('/hay-purchases'),
      purchaseBody(ranchId, { weight: { basis: 'net', net }, price: { basis: 'lump-sum', amount: '0' } }),
      { expect: 201 },
    );
    for (const units of ['us', 'metric']) {
      const read = await operation.as.accountant.get<Purchase>(operation.at(`/hay-purchases/${bought.body.id}`), {
        query: { units },
        expect: 200,
      });
      expect(read.body.weight.typed).toEqual(net);
    }
  });

  it('takes a JSON number for its shortest digits', async () => {
    const bought = await operation.as.manager.post<Purchase>(
      operation.at('/hay-purchases'),
      purchaseBody(ranchId, { weight: { basis: 'net', net: { value: 24.1, unit: 'ton' } } }),
      { expect: 201 },
    );
    expect(bought.body.weight.typed).toEqual({ value: '24.1', unit: 'ton' });
  });

  it('keeps a typed pound of four decimals exact in kilograms', async () => {
    const { lotId } = await lot(operation, ranchId, {
      name: 'Exact',
      weight: { basis: 'net', net: { value: '1150.1234', unit: 'lb' } },
    });
    const { rows } = await world.ownerPool.query<{ kg: string }>(
      'SELECT kilograms::text AS kg FROM stock_movement WHERE hay_lot_id = $1',
      [lotId],
    );
    // NIST Handbook 44, appendix C: 1 lb = 0.45359237 kg exactly.
    const exact = (11_501_234n * 45_359_237n).toString().padStart(13, '0');
    expect(rows[0]?.kg).toBe(`${exact.slice(0, -12)}.${exact.slice(-12)}`);
  });

  it('adds a thousand small draws without drift', async () => {
    const { lotId } = await lot(operation, ranchId, {
      name: 'Tenths',
      weight: { basis: 'net', net: { value: '1000', unit: 'kg' } },
    });
    const herdId = await herd(operation, ranchId);
    const layers = Array.from({ length: 10 }, () => ({
      role: 'mixed',
      parts: Array.from({ length: 10 }, () => ({ hayLotId: lotId, weight: { value: '0.1', unit: 'kg' } })),
    }));
    for (let round = 0; round < 10; round += 1)
      await operation.as.manager.post(
        operation.at('/feedings'),
        { ...feedingBody(herdId, []), layers },
        { expect: 201 },
      );
    // 1,000 draws of 0.1 kg are 100 kg; as binary floats they would not be.
    expect(await balance(operation, lotId, 'metric')).toBe('0.9');
  });

  it('lands a cost to the cent', async () => {
    const bought = await operation.as.manager.post<Purchase>(
      operation.at('/hay-purchases'),
      purchaseBody(ranchId, {
        freight: '240.05',
        charges: '0.1',
        price: { basis: 'per-mass', amount: '150.10', per: 'ton' },
      }),
      { expect: 201 },
    );
    // 24 x 150.10 + 240.05 + 0.10
    expect(bought.body.landedCost.amount).toBe('3842.55');
  });

  it.each([
    ['too large to be a mass of hay', { value: '999999999999999999', unit: 'ton' }],
    ['too small to be weighed', { value: '0.000000000001', unit: 'oz' }],
  ])('refuses as input what is %s', async (_name, net) => {
    const answer = await operation.as.manager.post(
      operation.at('/hay-purchases'),
      purchaseBody(ranchId, { weight: { basis: 'net', net }, price: { basis: 'lump-sum', amount: '100' } }),
    );
    expect([400, 422]).toContain(answer.status);
  });

  it('refuses as input a cost too large to be kept', async () => {
    const answer = await operation.as.manager.post(
      operation.at('/hay-purchases'),
      purchaseBody(ranchId, {
        weight: { basis: 'net', net: { value: '100000', unit: 'ton' } },
        price: { basis: 'per-mass', amount: '999999999999999.99', per: 'g' },
      }),
    );
    expect([400, 422]).toContain(answer.status);
  });

  it.each(['1e3', '0x10', '1,000', '', ' 5', '5.', '.', '007', 'NaN', '1.0000000000001', '1234567890123456789'])(
    'does not take %j for a number',
    async (value) => {
      const answer = await operation.as.manager.post(
        operation.at('/hay-purchases'),
        purchaseBody(ranchId, { weight: { basis: 'net', net: { value, unit: 'kg' } } }),
      );
      expect(answer.body).toMatchObject({
        status: 400,
        errors: expect.arrayContaining([expect.objectContaining({ pointer: '#/weight/net/value' })]) as unknown,
      });
    },
  );
});

describe('days', () => {
  // Fourteen hours ahead of UTC and ten behind; the days on which clocks change in the mountains; a leap day.
  it.each([
    ['Pacific/Kiritimati', '2027-01-01'],
    ['Pacific/Kiritimati', '2026-12-31'],
    ['Pacific/Honolulu', '2027-01-01'],
    ['Pacific/Honolulu', '2026-12-31'],
    ['America/Denver', '2026-03-08'],
    ['America/Denver', '2026-11-01'],
    ['America/Denver', '2024-02-29'],
    ['America/St_Johns', '2027-01-10'],
    ['Asia/Kathmandu', '2027-01-10'],
  ])('do not move in %s: %s', async (timeZone, day) => {
    const here = await ranch(operation, { name: timeZone, timeZone });
    const { lotId, purchaseId } = await lot(operation, here, { name: `Hay of ${timeZone}`, purchasedOn: day });
    const herdId = await herd(operation, here, { since: day });
    const fed = await operation.as.manager.post<WithId & { fedOn: string }>(
      operation.at('/feedings'),
      feedingBody(herdId, [[lotId, '100']], { fedOn: day }),
      { expect: 201 },
    );
    expect(fed.body.fedOn).toBe(day);
    expect((await operation.as.hand.get(operation.at(`/feedings/${fed.body.id}`), { expect: 200 })).body['fedOn']).toBe(
      day,
    );
    expect(
      (await operation.as.hand.get(operation.at(`/hay-purchases/${purchaseId}`), { expect: 200 })).body['purchasedOn'],
    ).toBe(day);
    const listed = await operation.as.hand.get<{ items: WithId[] }>(operation.at('/feedings'), {
      query: { from: day, until: day, herdId },
      expect: 200,
    });
    expect(listed.body.items.map((item) => item.id)).toEqual([fed.body.id]);
    const { rows } = await world.ownerPool.query<{ day: string }>(
      "SELECT DISTINCT to_char(effective_at AT TIME ZONE $2, 'YYYY-MM-DD') AS day FROM stock_movement WHERE " +
        'hay_lot_id = $1',
      [lotId, timeZone],
    );
    expect(rows).toEqual([{ day }]);
  });

  it('of a feeding and its time must agree at the ranch', async () => {
    const here = await ranch(operation, { name: 'Morning', timeZone: 'America/Denver' });
    const { lotId } = await lot(operation, here, { name: 'Morning hay' });
    const herdId = await herd(operation, here);
    const feed = (fedAt: string) =>
      operation.as.manager.post(
        operation.at('/feedings'),
        feedingBody(herdId, [[lotId, '100']], { fedOn: '2027-01-10', fedAt }),
      );
    // 23:30 on the 10th in the mountains is the 11th in UTC.
    expect((await feed('2027-01-10T23:30:00-07:00')).status).toBe(201);
    expect((await feed('2027-01-11T06:59:59Z')).status).toBe(201);
    expect((await feed('2027-01-11T07:00:00Z')).body).toMatchObject({
      type: '/problems/rule-broken',
      errors: [{ pointer: '#/fedAt', code: 'not-on-that-day' }],
    });
  });

  it('of a weigh-in and its time must agree at the ranch too', async () => {
    const herdId = await herd(operation, ranchId);
    const weigh = (weighedAt: string) =>
      operation.as.manager.post(operation.at('/weigh-ins'), {
        scope: 'group',
        herdId,
        weighedOn: '2027-01-10',
        weighedAt,
        fill: 'full',
        head: 10,
        measure: 'mean',
        weight: { value: '560', unit: 'lb' },
      });
    expect((await weigh('2027-01-10T09:00:00-07:00')).status).toBe(201);
    expect((await weigh('2027-01-12T09:00:00-07:00')).body).toMatchObject({
      type: '/problems/rule-broken',
      errors: [{ pointer: '#/weighedAt' }],
    });
    expect([400, 422]).toContain((await weigh('0000-01-01T00:00:00Z')).status);
  });

  it.each(['2027-02-29', '2027-13-01', '2027-1-1', '27-01-01', '2027-01-01T00:00:00Z', '1989-12-31', '2101-01-01'])(
    '%s is no day of these books',
    async (fedOn) => {
      const answer = await operation.as.manager.post(
        operation.at('/feedings'),
        feedingBody(ranchId, [[ranchId, '1']], { fedOn }),
      );
      expect(answer.body).toMatchObject({
        status: 400,
        errors: expect.arrayContaining([expect.objectContaining({ pointer: '#/fedOn' })]) as unknown,
      });
    },
  );

  it("today's head is counted by the ranch's day, not the operation's", async () => {
    const here = await ranch(operation, { name: 'Ahead', timeZone: 'Pacific/Kiritimati' });
    // 15 January 08:00 in the mountains is already the 16th on the line islands.
    const herdId = await herd(operation, here, { head: 40, since: '2027-01-16' });
    expect((await operation.as.manager.get(operation.at(`/herds/${herdId}`), { expect: 200 })).body['head']).toBe(40);
  });
});
