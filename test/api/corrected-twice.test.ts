/*
 * What a refused reversal or correction says: what leans on the hay, in one unit, and the next step, which then works;
 * and of an entry that was corrected before, which one stands in its place. Everything here is invented.
 */
import { harvest } from '../support/books.js';
import { type Operation, operationWith } from '../support/people.js';
import { cows, feeding, lot, purchaseBody, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Refused {
  type: string;
  detail: string;
  errors: { pointer?: string; parameter?: string; code: string; given: unknown; allowed: string; message: string }[];
}
type Answer = { entry: WithId & { herdId?: string } } & Refused & WithId;

const REASON = 'Typed wrong';

let world: World;
let operation: Operation;
let ranchId: string;
let cowsId: string;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world, { roles: ['manager', 'accountant'] });
  ranchId = await ranch(operation);
  cowsId = await cows(operation, ranchId, { head: 60 });
});
afterAll(async () => {
  await world.close();
});

const post = (path: string, body: object) => operation.as.manager.post<Answer>(operation.at(path), body);
const made = async (path: string, body: object): Promise<string> =>
  (await operation.as.manager.post<WithId>(operation.at(path), body, { expect: 201 })).body.id;

describe('hay of a transfer to the wrong lot that was fed since', () => {
  let other: string;
  let wrong: string;
  let right: string;
  let transferId: string;
  let fed: string[];
  const tons = (value: string) => ({ weight: { value, unit: 'ton' } });
  const moved = (to: string, value = '10') => ({
    fromLotId: other,
    to: { id: to },
    movedOn: '2026-11-20',
    quantity: tons(value),
  });
  beforeAll(async () => {
    other = (await lot(operation, ranchId, { name: 'Other', tons: '30' })).lotId;
    wrong = (await lot(operation, ranchId, { name: 'Wrong', tons: '2' })).lotId;
    right = (await lot(operation, ranchId, { name: 'Right', tons: '2' })).lotId;
    transferId = await made('/hay-transfers', moved(wrong));
    fed = [];
    for (const fedOn of ['2026-12-01', '2026-12-02', '2026-12-03', '2026-12-04', '2026-12-05', '2026-12-06'])
      fed.push(await feeding(operation, cowsId, [[wrong, '2500']], { fedOn }));
  });

  it.each([
    ['reversal', { reason: REASON }],
    ['correction', undefined],
  ])('names the feedings that lean on it, in tons as typed, and what to do: %s', async (how, body) => {
    const { status, body: refused } = await post(
      `/hay-transfers/${transferId}/${how}`,
      body ?? { reason: REASON, entry: moved(right) },
    );
    expect([status, refused.type]).toEqual([409, '/problems/lot-short']);
    // 2 tons were there before, and 15,000 lb were fed.
    expect(refused.detail).toContain('Wrong would be 5.5 ton short on 2026-12-06.');
    expect(refused.detail).toContain('6 entries draw on this hay since; the newest 5 are named.');
    expect(refused.errors.slice(1)).toEqual(
      fed
        .toReversed()
        .slice(0, 5)
        .map((id, at) => ({
          code: 'leans-on-it',
          given: id,
          allowed: `reversed first, or of its true lot: POST /feedings/${id}/correction`,
          message: `The feeding of 2026-12-0${6 - at} drew 1.25 ton.`,
        })),
    );
    expect(JSON.stringify(refused)).not.toMatch(/\d lb|could be drawn/);
    if (how === 'reversal') expect(refused.detail).toContain(`POST /hay-transfers/${transferId}/correction`);
    else expect(refused.detail).toContain('enter the right hay transfer as one of its own first');
  });

  it('says of a correction that draws too much how much there is', async () => {
    const { status, body } = await post(`/hay-transfers/${transferId}/correction`, {
      reason: REASON,
      entry: moved(wrong, '31'),
    });
    expect([status, body.detail]).toEqual([409, 'Other would be 1 ton short on 2026-11-20.']);
    expect(body.errors).toEqual([
      expect.objectContaining({ pointer: '#/entry/quantity', given: '31 ton', allowed: 'at most 30 ton' }),
    ]);
  });

  it('is mended by the steps that it names', async () => {
    await made('/hay-transfers', moved(right));
    for (const [at, id] of fed.entries()) {
      const entry = {
        herdId: cowsId,
        fedOn: `2026-12-0${at + 1}`,
        method: 'windrow-on-ground',
        layers: [{ role: 'coarse', parts: [{ hayLotId: right, weight: { value: '2500', unit: 'lb' } }] }],
      };
      await operation.as.manager.post(
        operation.at(`/feedings/${id}/correction`),
        { reason: REASON, entry },
        { expect: 201 },
      );
    }
    await operation.as.manager.post(
      operation.at(`/hay-transfers/${transferId}/reversal`),
      { reason: REASON },
      { expect: 201 },
    );
  });
});

describe('an entry of every kind that was corrected before', () => {
  type Case = [kind: string, make: () => Promise<[path: string, entry: object]>];
  const usd = (amount: string) => ({ basis: 'per-mass', amount, per: 'ton' });
  const quantity = { weight: { value: '1', unit: 'ton' } };
  const inLot = async (): Promise<string> => (await lot(operation, ranchId, { tons: '20' })).lotId;
  const cases: Case[] = [
    ['hay purchase', async () => ['/hay-purchases', purchaseBody(ranchId, { lot: { id: await inLot() } })]],
    [
      'harvest',
      async () => [
        '/harvests',
        {
          harvestedOn: '2026-07-10',
          lot: { id: (await harvest(operation, ranchId)).hayLotId },
          weight: { basis: 'net', net: { value: '12', unit: 'ton' } },
          cost: usd('80'),
        },
      ],
    ],
    [
      'hay sale',
      async () => [
        '/hay-sales',
        { hayLotId: await inLot(), buyer: 'A neighbor', soldOn: '2026-12-05', quantity, price: usd('200') },
      ],
    ],
    [
      'hay transfer',
      async () => [
        '/hay-transfers',
        { fromLotId: await inLot(), to: { id: await inLot() }, movedOn: '2026-12-05', quantity },
      ],
    ],
    [
      'stock count',
      async () => [
        '/stock-counts',
        {
          hayLotId: await inLot(),
          countedOn: '2026-12-05',
          counted: { weight: { value: '19', unit: 'ton' } },
          reason: 'Counted',
        },
      ],
    ],
    [
      'storage shrink',
      async () => [
        '/storage-shrinks',
        { hayLotId: await inLot(), lostOn: '2026-12-05', how: { basis: 'weighed', quantity } },
      ],
    ],
    [
      'late cost',
      async () => [
        '/late-costs',
        {
          receipt: { kind: 'hay-purchase', id: (await lot(operation, ranchId, {})).purchaseId },
          billedOn: '2026-12-05',
          owed: 'freight',
          biller: 'A hauler',
          amount: '100',
        },
      ],
    ],
    [
      'feeding',
      async () => [
        '/feedings',
        {
          herdId: cowsId,
          fedOn: '2026-12-10',
          method: 'windrow-on-ground',
          layers: [{ role: 'coarse', parts: [{ hayLotId: await inLot(), weight: { value: '1500', unit: 'lb' } }] }],
        },
      ],
    ],
    [
      'herd cost',
      () =>
        Promise.resolve([
          '/herd-costs',
          { herdId: cowsId, kind: 'veterinary', happenedOn: '2026-12-05', payee: 'A veterinarian', amount: '54' },
        ]),
    ],
    [
      'weigh in',
      () =>
        Promise.resolve([
          '/weigh-ins',
          {
            herdId: cowsId,
            weighedOn: '2026-12-05',
            scope: 'group',
            head: 60,
            measure: 'mean',
            weight: { value: '1200', unit: 'lb' },
            fill: 'full',
          },
        ]),
    ],
    [
      'head change',
      () => Promise.resolve([`/herds/${cowsId}/head-changes`, { kind: 'in', head: 2, happenedOn: '2026-12-05' }]),
    ],
    [
      'herd event',
      () => Promise.resolve([`/herds/${cowsId}/events`, { kind: 'condition', happenedOn: '2026-12-01', score: '5' }]),
    ],
  ];

  it.each(cases)('%s: is corrected in the one that stands in its place', async (kind, make) => {
    const [path, entry] = await make();
    const id = await made(path, entry);
    const correct = (which: string) => post(`${path}/${which}/correction`, { reason: REASON, entry });
    const first = await correct(id);
    expect([kind, first.status, first.body.detail]).toEqual([kind, 201, undefined]);
    const inItsPlace = first.body.entry.id;
    const next = `POST ${path}/${inItsPlace}/correction`;
    for (const how of ['correction', 'reversal']) {
      const refused =
        how === 'correction' ? await correct(id) : await post(`${path}/${id}/reversal`, { reason: REASON });
      expect([how, refused.status, refused.body.type]).toEqual([how, 409, '/problems/conflict']);
      expect(refused.body.detail).toMatch(/^This was already reversed on \d{4}-\d\d-\d\d by the reversal \S+\. The /);
      expect(refused.body.detail).toContain(`${kind} ${inItsPlace} stands in its place`);
      expect(refused.body.errors).toMatchObject([{ code: 'already-reversed', given: id, allowed: next }]);
    }
    const second = await correct(inItsPlace);
    expect([second.status, second.body.detail]).toEqual([201, undefined]);
    // The first one is answered with what stands now.
    expect((await correct(id)).body.errors[0]?.allowed).toBe(`POST ${path}/${second.body.entry.id}/correction`);
    const gone = await post(`${path}/${second.body.entry.id}/reversal`, { reason: REASON });
    expect([gone.status, gone.body.detail]).toEqual([201, undefined]);
    const twice = await post(`${path}/${second.body.entry.id}/reversal`, { reason: REASON });
    expect([twice.status, twice.body.detail]).toEqual([
      409,
      expect.stringMatching(/^This was already reversed on \S+ by the reversal \S+\. Enter what is right/),
    ]);
    // Which entry it corrects is said by the address.
    const named = await post(`${path}/${second.body.entry.id}/correction`, {
      reason: REASON,
      entry: { ...entry, correctsId: id },
    });
    expect([named.status, named.body.errors.map(({ pointer }) => pointer)]).toEqual([400, ['#/entry/correctsId']]);
  });

  it('at once, is corrected once', async () => {
    const [path, entry] = (await cases[0]?.[1]()) ?? ['', {}];
    const id = await made(path, entry);
    const both = await Promise.all([1, 2].map(() => post(`${path}/${id}/correction`, { reason: REASON, entry })));
    expect(both.map(({ status }) => status).toSorted()).toEqual([201, 409]);
  });
});

it('a bill that is entered while its ticket is corrected is of the right one, or is refused with it', async () => {
  for (let round = 0; round < 4; round += 1) {
    const { lotId, purchaseId } = await lot(operation, ranchId, { tons: '10' });
    const bill = {
      receipt: { kind: 'hay-purchase', id: purchaseId },
      billedOn: '2026-12-05',
      owed: 'freight',
      biller: 'A hauler',
      amount: '100',
    };
    const entry = purchaseBody(ranchId, { lot: { id: lotId }, price: { basis: 'lump-sum', amount: '900' } });
    const [entered, corrected] = await Promise.all([
      post('/late-costs', bill),
      post(`/hay-purchases/${purchaseId}/correction`, { reason: REASON, entry }),
    ]);
    expect(corrected.status).toBe(201);
    const right = corrected.body.entry.id;
    if (entered.status !== 201)
      expect([entered.status, entered.body.errors[0]?.allowed]).toEqual([422, `hay-purchase ${right}`]);
    const { body } = await operation.as.manager.get<{ items: { receipt: { id: string }; reversal: object | null }[] }>(
      operation.at('/late-costs'),
      { query: { limit: '200' }, expect: 200 },
    );
    const standing = body.items.filter((one) => one.reversal === null).map((one) => one.receipt.id);
    expect(standing).not.toContain(purchaseId);
    expect(standing.filter((id) => id === right)).toHaveLength(entered.status === 201 ? 1 : 0);
  }
});

it('a price of a head change is given once; the problem names its correction', async () => {
  const path = `/herds/${cowsId}/head-changes`;
  const id = await made(path, { kind: 'sale', head: 2, happenedOn: '2026-12-20' });
  const price = { price: { basis: 'per-head', amount: '1600' } };
  await operation.as.manager.post(operation.at(`${path}/${id}/price`), price, { expect: 201 });
  const again = await post(`${path}/${id}/price`, price);
  expect([again.status, again.body.errors]).toMatchObject([
    409,
    [{ pointer: '#/price', code: 'priced-already', allowed: `POST ${path}/${id}/correction` }],
  ]);
  const entry = { kind: 'sale', head: 2, happenedOn: '2026-12-20', price: { basis: 'per-head', amount: '1650' } };
  const corrected = await post(`${path}/${id}/correction`, { reason: REASON, entry });
  expect(corrected.status).toBe(201);
  const of = await post(`${path}/${id}/price`, price);
  expect([of.status, of.body.errors[0]?.allowed]).toEqual([409, `POST ${path}/${corrected.body.entry.id}/correction`]);
});
