/*
 * Every entry is held against what there can be: the impossible is refused, the unlikely is asked about and taken when
 * the same request says yes to each reason. What was confirmed stays with the record and on one list. Bounds, each with
 * its source: src/core/plausibility/entry-bounds.data.ts. Everything here is invented.
 */
import { randomUUID } from 'node:crypto';
import type { ApiClient } from '../support/client.js';
import { type Operation, operationWith } from '../support/people.js';
import { cows, feedingBody, herd, lot, purchaseBody, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Reason {
  code: string;
  pointer?: string;
  parameter?: string;
  given: string;
  usual: string;
  source: string;
  allowed: string;
  message: string;
}
interface Asked {
  type: string;
  detail: string;
  errors: Reason[];
}
interface Confirmed {
  code: string;
  pointer: string;
  given: string;
  usual: string;
  source: string;
  message: string;
}
interface Entered extends WithId {
  confirmed: Confirmed[];
}
interface Listed {
  items: (Confirmed & { record: { kind: string; id: string }; on: string; recordedBy: string; reversed: boolean })[];
}

const usd = (amount: string, per = 'ton') => ({ basis: 'per-mass', amount, per });
const net = (value: string, unit: string) => ({ basis: 'net', net: { value, unit } });
const pounds = (value: string) => ({ value, unit: 'lb' });

describe('entries that are unlikely, or cannot be', () => {
  let world: World;
  let operation: Operation;
  let manager: ApiClient;
  let ranchId: string;
  let cowsId: string;
  let calvesId: string;
  let meadow: string;
  let meadowTicket: string;
  let barley: string;

  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world, { roles: ['manager', 'hand', 'nutritionist', 'accountant'] });
    ({ manager } = operation.as);
    ranchId = await ranch(operation);
    cowsId = await cows(operation, ranchId, { head: 60 });
    calvesId = await herd(operation, ranchId, { name: 'Calves', head: 100 });
    const on = { herdId: calvesId, weighedOn: '2026-11-01', scope: 'group', fill: 'full', head: 100, measure: 'mean' };
    await manager.post(operation.at('/weigh-ins'), { ...on, weight: pounds('575') }, { expect: 201 });
    ({ lotId: meadow, purchaseId: meadowTicket } = await lot(operation, ranchId, { tons: '900' }));
    ({ lotId: barley } = await lot(operation, ranchId, { name: 'Barley', hayKind: 'barley-grain', tons: '300' }));
  });
  afterAll(async () => {
    await world.close();
  });

  const post = <Body>(path: string, body: unknown, more: { confirm?: string; key?: string } = {}) =>
    manager.post<Body>(operation.at(path), body, {
      ...(more.confirm === undefined ? {} : { query: { confirm: more.confirm } }),
      ...(more.key === undefined ? {} : { key: more.key }),
    });
  const ticket = (more: object) => purchaseBody(ranchId, { lot: { id: meadow }, ...more });
  const soldCalves = {
    kind: 'sale',
    head: 1,
    happenedOn: '2027-01-12',
    meanWeight: { value: '560', unit: 'lb' },
  };
  const priceOf = (amount: string, per: string) => ({ basis: 'per-mass', amount, per, party: 'A feedyard' });
  const herdBill = (amount: string) => ({
    herdId: cowsId,
    kind: 'veterinary',
    happenedOn: '2026-12-20',
    payee: 'A veterinarian',
    amount,
  });
  const freightOf = (id: string, amount: string) => ({
    receipt: { kind: 'hay-purchase', id },
    billedOn: '2026-12-20',
    owed: 'freight',
    biller: 'A hauler',
    amount,
  });
  const feed = (draws: [string, string][], more: object = {}) => feedingBody(cowsId, draws, { ...more });

  const unlikely: [string, string, () => [path: string, body: object], { code: string; pointer: string }][] = [
    [
      'a price ten times too high',
      'hay-purchase',
      () => ['/hay-purchases', ticket({ price: usd('1450') })],
      { code: 'price-unusual', pointer: '#/price/amount' },
    ],
    [
      'a price a bale that comes to too little a ton',
      'hay-purchase',
      () => [
        '/hay-purchases',
        ticket({ baleCount: 40, weight: net('47600', 'lb'), price: { basis: 'per-bale', amount: '1.18' } }),
      ],
      { code: 'price-unusual', pointer: '#/price/amount' },
    ],
    [
      'freight ten times too high',
      'hay-purchase',
      () => ['/hay-purchases', ticket({ freight: '12000' })],
      { code: 'charges-unusual', pointer: '#/freight' },
    ],
    [
      'round bales of 370 lb',
      'hay-purchase',
      () => ['/hay-purchases', ticket({ baleCount: 40, weight: net('14800', 'lb') })],
      { code: 'bale-weight-unusual', pointer: '#/weight' },
    ],
    [
      'one ticket of 4,760 tons',
      'hay-purchase',
      () => ['/hay-purchases', ticket({ weight: net('4760', 'ton') })],
      { code: 'load-unusual', pointer: '#/weight' },
    ],
    [
      'a ticket of three years ago',
      'hay-purchase',
      () => ['/hay-purchases', ticket({ purchasedOn: '2024-01-10' })],
      { code: 'day-far-behind', pointer: '#/purchasedOn' },
    ],
    [
      'hay raised at a cost ten times too high',
      'harvest',
      () => [
        '/harvests',
        {
          harvestedOn: '2026-07-10',
          lot: { name: 'Own', ranchId, hayKind: 'meadow', baleForm: 'round', storageMethod: 'tarp' },
          weight: net('12', 'ton'),
          cost: usd('800'),
        },
      ],
      { code: 'price-unusual', pointer: '#/cost/amount' },
    ],
    [
      'hay sold for too little',
      'hay-sale',
      () => [
        '/hay-sales',
        {
          hayLotId: meadow,
          buyer: 'A neighbor',
          soldOn: '2026-12-05',
          quantity: { weight: { value: '1', unit: 'ton' } },
          price: usd('2'),
        },
      ],
      { code: 'price-unusual', pointer: '#/price/amount' },
    ],
    [
      'an offer at too much',
      'hay-quote',
      () => [
        '/hay-quotes',
        {
          vendor: 'A dealer',
          offeredOn: '2027-01-10',
          name: 'Offer',
          hayKind: 'alfalfa',
          baleForm: 'large-square',
          weight: net('24', 'ton'),
          price: usd('1900'),
        },
      ],
      { code: 'price-unusual', pointer: '#/price/amount' },
    ],
    [
      '120 lb of hay a head on a day',
      'feeding',
      () => ['/feedings', feed([[meadow, '7200']], { fedOn: '2027-01-04' })],
      { code: 'offer-unusual', pointer: '#/layers' },
    ],
    [
      'more than half of a feeding wasted',
      'feeding',
      () => ['/feedings', feed([[meadow, '1800']], { fedOn: '2027-01-05', wasted: pounds('1500') })],
      { code: 'left-unusual', pointer: '#/wasted' },
    ],
    [
      'a herd that gained 80 lb in ten days',
      'weigh-in',
      () => [
        '/weigh-ins',
        {
          herdId: calvesId,
          weighedOn: '2026-11-11',
          scope: 'group',
          fill: 'full',
          head: 100,
          measure: 'mean',
          weight: pounds('655'),
        },
      ],
      { code: 'weight-change', pointer: '#/weight' },
    ],
    [
      'cows of 2,000 lb by eye',
      'herd-event',
      () => [`/herds/${cowsId}/events`, { kind: 'weight', happenedOn: '2026-12-20', weight: pounds('2000') }],
      { code: 'weight-of-class', pointer: '#/weight' },
    ],
    [
      'calves that came at 1,000 lb',
      'head-change',
      () => [
        `/herds/${calvesId}/head-changes`,
        { kind: 'in', head: 2, happenedOn: '2026-12-20', meanWeight: pounds('1000') },
      ],
      { code: 'weight-of-class', pointer: '#/meanWeight' },
    ],
    [
      'a fifth of a herd dead at once',
      'head-change',
      () => [`/herds/${calvesId}/head-changes`, { kind: 'death', head: 20, happenedOn: '2027-01-02' }],
      { code: 'deaths-unusual', pointer: '#/head' },
    ],
    [
      'twelve thousand head at once',
      'head-change',
      () => [`/herds/${calvesId}/head-changes`, { kind: 'in', head: 12_000, happenedOn: '2027-01-14' }],
      { code: 'head-unusual', pointer: '#/head' },
    ],
    [
      'a bill of the veterinarian of 480 dollars without its point',
      'herd-cost',
      () => ['/herd-costs', herdBill('48000')],
      { code: 'cost-unusual', pointer: '#/amount' },
    ],
    [
      'a credit of as much',
      'herd-cost',
      () => ['/herd-costs', herdBill('-48000')],
      { code: 'cost-unusual', pointer: '#/amount' },
    ],
    [
      'calves at the price of a pound for a hundredweight',
      'head-change',
      () => [`/herds/${calvesId}/head-changes`, { ...soldCalves, price: priceOf('2.65', 'cwt') }],
      { code: 'cattle-price-unusual', pointer: '#/price/amount' },
    ],
    [
      'a calf at fifteen thousand dollars',
      'head-change',
      () => [
        `/herds/${calvesId}/head-changes`,
        { ...soldCalves, price: { basis: 'per-head', amount: '15000', party: 'A feedyard' } },
      ],
      { code: 'cattle-price-unusual', pointer: '#/price/amount' },
    ],
    [
      'freight of 300 dollars a ton that came later',
      'late-cost',
      () => ['/late-costs', freightOf(meadowTicket, '270000')],
      { code: 'bill-unusual', pointer: '#/amount' },
    ],
  ];

  it.each(unlikely)('asks about %s, and takes it when told yes', async (_what, kind, make, { code, pointer }) => {
    const [path, body] = make();
    const key = randomUUID();
    const asked = await post<Asked>(path, body, { key });
    expect([asked.status, asked.body.type]).toEqual([409, '/problems/confirm']);
    const reason = asked.body.errors.find((one) => one.code === code);
    expect(reason).toMatchObject({ code, pointer });
    expect(reason?.given).toMatch(/\d/);
    expect(reason?.usual).toMatch(/\d/);
    expect(reason?.source).toMatch(/\w{4}/);
    expect(reason?.allowed).toContain(`confirm=${code}`);
    // One reason is not another: what was not asked about says nothing.
    expect((await post<Asked>(path, body, { confirm: 'something-else' })).status).toBe(409);
    const codes = [...new Set(asked.body.errors.map((one) => one.code))].join(',');
    const taken = await post<Entered>(path, body, { confirm: codes, key });
    expect([taken.status, taken.text.slice(0, taken.status === 201 ? 0 : 900)]).toEqual([201, '']);
    const kept = taken.body.confirmed.find((one) => one.code === code);
    expect(kept).toEqual({
      code,
      pointer,
      given: reason?.given,
      usual: reason?.usual,
      source: reason?.source,
      message: reason?.message,
    });
    const again = await post<Entered>(path, body, { confirm: codes, key });
    expect([again.status, again.body.id]).toEqual([201, taken.body.id]);
    const read = await manager.get<Entered>(String(taken.headers['location']), { expect: 200 });
    expect(read.body.confirmed).toEqual(taken.body.confirmed);
    const listed = await operation.as.accountant.get<Listed>(operation.at('/confirmed-entries'), {
      query: { kind, limit: '200' },
      expect: 200,
    });
    const ofRecord = listed.body.items.filter((one) => one.record.id === taken.body.id);
    expect(ofRecord.map((one) => one.code).sort()).toEqual(taken.body.confirmed.map((one) => one.code).sort());
  });

  const impossible: [string, () => [path: string, body: object], { code: string; pointer: string }][] = [
    [
      'cattle at the price of a hundredweight for each pound',
      () => [`/herds/${calvesId}/head-changes`, { ...soldCalves, price: priceOf('265', 'lb') }],
      { code: 'no-such-price', pointer: '#/price/amount' },
    ],
    [
      '145 dollars a pound',
      () => ['/hay-purchases', ticket({ price: usd('145', 'lb') })],
      { code: 'no-price-of-this-feed', pointer: '#/price/amount' },
    ],
    [
      '40 bales of 47,600 tons',
      () => ['/hay-purchases', ticket({ baleCount: 40, weight: net('47600', 'ton') })],
      { code: 'no-bale-weighs-that', pointer: '#/weight' },
    ],
    [
      'cows of 5 lb',
      () => [`/herds/${cowsId}/events`, { kind: 'weight', happenedOn: '2026-12-21', weight: pounds('5') }],
      { code: 'no-weight-of-this-class', pointer: '#/weight' },
    ],
    [
      'an animal of 56,000 lb',
      () => [
        '/weigh-ins',
        {
          herdId: cowsId,
          weighedOn: '2026-12-21',
          scope: 'animal',
          fill: 'full',
          animals: [{ visualTag: '17', weight: pounds('56000') }],
        },
      ],
      { code: 'no-weight-of-this-class', pointer: '#/animals' },
    ],
    [
      '200 lb of barley a head',
      () => ['/feedings', feed([[barley, '12000']], { fedOn: '2027-01-06' })],
      { code: 'more-than-cattle-hold', pointer: '#/layers/0/parts/0/weight/value' },
    ],
    [
      'more wasted than fed',
      () => ['/feedings', feed([[meadow, '1800']], { fedOn: '2027-01-06', wasted: pounds('1801') })],
      { code: 'more-than-was-fed', pointer: '#/wasted' },
    ],
    [
      'a ticket of 1996',
      () => ['/hay-purchases', ticket({ purchasedOn: '1996-11-01' })],
      { code: 'day-too-far-behind', pointer: '#/purchasedOn' },
    ],
    [
      'an offer of 2062',
      () => [
        '/hay-quotes',
        {
          vendor: 'A dealer',
          offeredOn: '2062-01-10',
          name: 'Offer',
          hayKind: 'alfalfa',
          baleForm: 'large-square',
          weight: net('24', 'ton'),
          price: usd('190'),
        },
      ],
      { code: 'not-yet', pointer: '#/offeredOn' },
    ],
    [
      'hay baled in 2062',
      () => [
        '/hay-purchases',
        purchaseBody(ranchId, {
          lot: {
            name: 'Ahead',
            ranchId,
            hayKind: 'meadow',
            baleForm: 'round',
            storageMethod: 'tarp',
            harvestedOn: '2062-07-01',
          },
        }),
      ],
      { code: 'not-yet', pointer: '#/lot/harvestedOn' },
    ],
    [
      'a bill of a herd of millions',
      () => ['/herd-costs', herdBill('4800000')],
      { code: 'no-such-cost', pointer: '#/amount' },
    ],
    [
      'freight of 3,000 dollars a ton that came later',
      () => ['/late-costs', freightOf(meadowTicket, '2700000')],
      { code: 'no-such-bill', pointer: '#/amount' },
    ],
  ];

  it.each(impossible)('refuses %s, whatever is confirmed', async (_what, make, { code, pointer }) => {
    const [path, body] = make();
    const refused = await post<Asked>(path, body, { confirm: code });
    expect(refused.status).toBe(422);
    const [error] = refused.body.errors;
    expect(error).toMatchObject({ code, pointer });
    expect([error?.given, error?.allowed].map((one) => String(one))).toEqual([
      expect.stringMatching(/\d/),
      expect.stringMatching(/\d/),
    ]);
  });

  it('asks about a danger before the feeding is entered', async () => {
    const body = feedingBody(calvesId, [[barley, '900']], { fedOn: '2027-01-08' });
    const asked = await post<Asked>('/feedings', body);
    expect([asked.status, asked.body.type]).toEqual([409, '/problems/confirm']);
    expect(asked.body.errors).toContainEqual(expect.objectContaining({ code: 'acidosis', pointer: '#/layers' }));
    const codes = asked.body.errors.map((one) => one.code).join(',');
    const taken = await post<Entered>('/feedings', body, { confirm: codes });
    expect([taken.status, taken.body.confirmed.map((one) => one.code)]).toEqual([
      201,
      expect.arrayContaining(['acidosis']),
    ]);
  });

  it('does not ask a ranch that feeds for a week at a time about a week of hay', async () => {
    const weekly = await cows(operation, ranchId, { name: 'Weekly', head: 60 });
    const body = (fedOn: string) => feedingBody(weekly, [[meadow, '12600']], { fedOn, method: 'ring-feeder' });
    expect((await post('/feedings', body('2026-12-14'), { confirm: 'offer-unusual' })).status).toBe(201);
    expect((await post('/feedings', body('2026-12-21'))).status).toBe(201);
    // The day after is no week later.
    expect((await post<Asked>('/feedings', body('2026-12-22'))).body.errors.map((one) => one.code)).toEqual([
      'offer-unusual',
    ]);
  });

  it('does not ask again about a bill that goes along with its ticket, and keeps what was confirmed', async () => {
    const { purchaseId } = await lot(operation, ranchId, { tons: '10' });
    const bill = await post<Entered>('/late-costs', freightOf(purchaseId, '3000'), { confirm: 'bill-unusual' });
    expect(bill.body.confirmed.map((one) => one.code)).toEqual(['bill-unusual']);
    const made = await post<{ billsMoved: { correctedId: string; entry: Entered }[] }>(
      `/hay-purchases/${purchaseId}/correction`,
      { reason: 'Typed wrong', entry: ticket({ weight: net('9', 'ton') }) },
    );
    expect(made.body.billsMoved.map((one) => [one.correctedId, one.entry.confirmed])).toEqual([
      [bill.body.id, bill.body.confirmed],
    ]);
    const read = await manager.get<Entered>(operation.at(`/late-costs/${made.body.billsMoved[0]?.entry.id ?? ''}`), {
      expect: 200,
    });
    expect(read.body.confirmed).toEqual(bill.body.confirmed);
  });

  it('keeps what was confirmed about money from whoever sees no prices', async () => {
    const entered = await post<Entered>('/hay-purchases', ticket({ price: usd('1400') }), { confirm: 'price-unusual' });
    expect(entered.body.confirmed.map((one) => one.code)).toEqual(['price-unusual']);
    const read = await operation.as.hand.get<Entered>(operation.at(`/hay-purchases/${entered.body.id}`), {
      expect: 200,
    });
    expect(read.body.confirmed).toEqual([]);
    const listed = await operation.as.hand.get<Listed>(operation.at('/confirmed-entries'), {
      query: { limit: '200' },
      expect: 200,
    });
    expect(listed.body.items.map((one) => one.code)).not.toContain('price-unusual');
    expect(listed.text).not.toContain('1,400');
  });

  it('lists by kind and span', async () => {
    const of = async (query: Record<string, string>) =>
      (await operation.as.nutritionist.get<Listed>(operation.at('/confirmed-entries'), { query, expect: 200 })).body
        .items;
    const feedings = await of({ kind: 'feeding', from: '2027-01-01', until: '2027-01-31' });
    expect(feedings.length).toBeGreaterThan(0);
    expect(feedings.every((one) => one.record.kind === 'feeding' && one.on.startsWith('2027-01'))).toBe(true);
    expect(await of({ kind: 'feeding', from: '2020-01-01', until: '2020-12-31' })).toEqual([]);
  });

  it('asks once for all rows of a file', async () => {
    const csv = { headers: { 'content-type': 'text/csv' } };
    const text =
      'vendor,purchased_on,lot,ranch,hay_kind,bale_form,storage_method,net_weight_lb,price_usd_per_ton\n' +
      'North,2026-10-02,First load,Home ranch,meadow,round,tarp,47600,145\n' +
      'North,2026-10-03,Second load,Home ranch,meadow,round,tarp,47600,1450\n' +
      'North,2023-10-04,Third load,Home ranch,meadow,round,tarp,47600,1.45\n';
    const at = operation.at('/imports/hay-tickets');
    const checked = await manager.post<{ problemCount: number; asked: (Reason & { row: number; column: string })[] }>(
      `${at}/check`,
      text,
      { ...csv, key: null, expect: 200 },
    );
    expect(checked.body.problemCount).toBe(0);
    expect(checked.body.asked.map(({ row, column, code, given }) => [row, column, code, given])).toEqual([
      [3, 'price_usd_per_ton', 'price-unusual', '1450'],
      [4, 'purchased_on', 'day-far-behind', '2023-10-04'],
      [4, 'price_usd_per_ton', 'price-unusual', '1.45'],
    ]);
    const key = randomUUID();
    const asked = await manager.post<Asked>(at, text, { ...csv, key });
    expect([asked.status, asked.body.type]).toEqual([409, '/problems/confirm']);
    expect(asked.body.errors.map(({ parameter, code }) => [parameter, code])).toContainEqual([
      'row 3, column price_usd_per_ton',
      'price-unusual',
    ]);
    const taken = await manager.post<WithId & { recordCount: number }>(at, text, {
      ...csv,
      key,
      query: { confirm: 'price-unusual,day-far-behind' },
    });
    expect([taken.status, taken.body.recordCount]).toEqual([201, 3]);
    const listed = await operation.as.accountant.get<Listed>(operation.at('/confirmed-entries'), {
      query: { kind: 'hay-purchase', from: '2023-10-04', until: '2023-10-04' },
      expect: 200,
    });
    expect(listed.body.items.map((one) => one.code).sort()).toEqual(['day-far-behind', 'price-unusual']);
  });
});
