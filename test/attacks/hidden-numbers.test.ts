/* A person without prices learns none from what is refused, and whatever they may enter is taken without a fault. */
import { createHash } from 'node:crypto';
import { unpackArchive } from '../../src/access/data-rights/archive-format.js';
import { PRICED_KINDS } from '../../src/records/import/import.read.js';
import { harvest, lateCost, quote, sale } from '../support/books.js';
import { clientOf, engage, join, type Operation, operationWith, person } from '../support/people.js';
import { herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

describe('Hidden numbers', () => {
  let world: World;
  let operation: Operation;
  /** The same operation, its manager being one who sees no prices. */
  let blind: Operation;
  let receipts: string[];
  let ranchId: string;
  let lotId: string;
  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world, { roles: ['manager'] });
    const who = await person(world, 'blind manager');
    await join(world, who, operation.id, 'manager', { seesPrices: false });
    blind = { ...operation, as: { ...operation.as, manager: await clientOf(world, who) } };
    ranchId = await ranch(operation);
    await herd(operation, ranchId);
    const bought = [];
    for (const amount of ['55.37', '155.37', '980.01'])
      bought.push(
        await lot(operation, ranchId, { name: `Lot ${amount}`, tons: '10', price: { basis: 'lump-sum', amount } }),
      );
    receipts = bought.map(({ purchaseId }) => purchaseId);
    lotId = bought[0]?.lotId ?? '';
  });
  afterAll(async () => {
    await world.close();
  });

  it('a credit is refused alike whatever the hay cost: bisecting finds nothing', async () => {
    const answers = new Set<string>();
    for (const id of receipts)
      for (const amount of ['-0.01', '-55.37', '-55.38', '-155.37', '-155.38', '-980.01', '-980.02', '-999999']) {
        const answer = await blind.as.manager.post<Record<string, unknown>>(blind.at('/late-costs'), {
          receipt: { kind: 'hay-purchase', id },
          billedOn: '2026-12-20',
          owed: 'charges',
          biller: 'A hauler',
          amount,
        });
        answers.add(JSON.stringify([answer.status, { ...answer.body, requestId: '' }]));
      }
    expect([...answers].map((one) => (JSON.parse(one) as [number])[0])).toEqual([403]);
  });

  it('who sees prices enters a credit up to what the hay cost', async () => {
    const credit = (amount: string) =>
      operation.as.manager.post(operation.at('/late-costs'), {
        receipt: { kind: 'hay-purchase', id: receipts[0] },
        billedOn: '2026-12-20',
        owed: 'charges',
        biller: 'A hauler',
        amount,
      });
    expect((await credit('-55.38')).status).toBe(422);
    expect((await credit('-55.37')).status).toBe(201);
  });

  it('a ticket is corrected with its bills unseen; with a credit it is refused alike whatever it cost', async () => {
    const { purchaseId } = await lot(operation, ranchId, { name: 'With bills', tons: '10' });
    const receipt = { kind: 'hay-purchase', id: purchaseId };
    const bill = await lateCost(operation, receipt, { amount: '123.40' });
    const correct = (id: string, amount: string) =>
      blind.as.manager.post<
        Record<string, unknown> & { entry: { id: string }; billsMoved: { entry: { id: string } }[] }
      >(blind.at(`/hay-purchases/${id}/correction`), {
        reason: 'Typed wrong',
        entry: {
          vendor: 'A neighbor',
          purchasedOn: '2026-11-01',
          lot: { id: lotId },
          weight: { basis: 'net', net: { value: '9', unit: 'ton' } },
          price: { basis: 'lump-sum', amount },
        },
      });
    const { status, body } = await correct(purchaseId, '900');
    expect([status, body.billsMoved]).toMatchObject([
      201,
      [{ correctedId: bill.id, entry: { amount: null, amountTyped: null } }],
    ]);
    const moved = await operation.as.manager.get<Record<string, unknown>>(
      operation.at(`/late-costs/${body.billsMoved[0]?.entry.id ?? ''}`),
      { expect: 200 },
    );
    expect(moved.body).toMatchObject({ amountTyped: '123.40', receipt: { id: body.entry.id } });
    await lateCost(operation, { kind: 'hay-purchase', id: body.entry.id }, { amount: '-300.00' });
    const answers = new Set<string>();
    for (const amount of ['299.99', '300', '300.01', '2000']) {
      const refused = await correct(body.entry.id, amount);
      answers.add(JSON.stringify([refused.status, { ...refused.body, requestId: '' }]));
    }
    expect([...answers].map((one) => (JSON.parse(one) as [number])[0])).toEqual([403]);
  });

  it('a credit of a herd needs prices, as one of hay does; a bill needs none', async () => {
    const herdId = await herd(operation, ranchId);
    const cost = { herdId, kind: 'veterinary', happenedOn: '2026-12-20', payee: 'A veterinarian' };
    const enter = (who: Operation, amount: string) => who.as.manager.post(who.at('/herd-costs'), { ...cost, amount });
    expect((await enter(blind, '-48.00')).status).toBe(403);
    expect((await enter(operation, '-48.00')).status).toBe(201);
    expect((await enter(blind, '48.00')).status).toBe(201);
  });

  it('a yardage rate of one who sees no prices is taken, and stands as entered', async () => {
    const made = await blind.as.manager.post<{ id: string; perHeadDay: { amount: string } }>(
      blind.at('/yardage-rates'),
      { fromOn: '2026-11-01', perHeadDay: '0.4500' },
      { expect: 201 },
    );
    const read = await operation.as.manager.get<Record<string, unknown>>(
      operation.at(`/yardage-rates/${made.body.id}`),
      { expect: 200 },
    );
    expect(made.body).toEqual(read.body);
    expect((await blind.as.manager.get(blind.at(`/yardage-rates/${made.body.id}`))).status).toBe(403);
  });

  it('every other amount that they may enter is taken too', async () => {
    await lateCost(blind, { kind: 'hay-purchase', id: receipts[1] ?? '' });
    await harvest(blind, ranchId);
    await sale(blind, lotId);
    await quote(blind);
    await lot(blind, ranchId, { name: 'Blind buy', tons: '5', price: { basis: 'lump-sum', amount: '400' } });
    await blind.as.manager.post(
      blind.at('/hay-budget-plans'),
      {
        name: 'Winter',
        from: '2027-01-01',
        until: '2027-03-01',
        prices: [{ hayKind: 'brome', amount: '110', per: 'ton' }],
      },
      { expect: 201 },
    );
  });

  describe('of a file with prices', () => {
    const CSV = { headers: { 'Content-Type': 'text/csv' } };
    const file = (price: string): string =>
      'vendor,purchased_on,lot,ranch,hay_kind,bale_form,storage_method,bale_count,net_weight_lb,price_usd_per_ton\n' +
      `Creek hay,2026-10-02,Creek,Home ranch,meadow,round,tarp,40,47600,${price}\n`;
    const hashOf = (text: string): string => createHash('sha256').update(text, 'utf8').digest('hex');
    const check = async (of: Operation, price: string) =>
      (
        await of.as.manager.post<{ alreadyImported: string | null }>(of.at('/imports/hay-tickets/check'), file(price), {
          ...CSV,
          key: null,
          expect: 200,
        })
      ).body.alreadyImported;
    const take = async (of: Operation, price: string) =>
      (
        await of.as.manager.post<{ id: string; fileSha256: string | null }>(
          of.at('/imports/hay-tickets'),
          file(price),
          // The same load at another price is entered on purpose.
          { ...CSV, query: { duplicates: 'enter' }, expect: 201 },
        )
      ).body;

    it('the hash is for those who see prices: with the rest of the row it tells the price', async () => {
      const { id, fileSha256 } = await take(operation, '143.70');
      expect(fileSha256).toBe(hashOf(file('143.70')));
      for (const path of [`/imports/${id}`, '/imports']) {
        const answer = await blind.as.manager.get<Record<string, unknown>>(blind.at(path), { expect: 200 });
        expect(JSON.stringify(answer.body)).toContain(id);
        expect(JSON.stringify(answer.body)).not.toContain(fileSha256);
      }
      expect(
        (await operation.as.manager.get<{ fileSha256: string }>(operation.at(`/imports/${id}`))).body.fileSha256,
      ).toBe(fileSha256);
    });

    it('nobody tries prices until one is told to be the same file; their own file they send once', async () => {
      const { id } = await take(operation, '151.25');
      expect([await check(operation, '151.25'), await check(blind, '151.25')]).toEqual([id, null]);
      const mine = await take(blind, '151.25');
      expect([mine.id === id, mine.fileSha256]).toEqual([false, null]);
      expect(await check(blind, '151.25')).toBe(mine.id);
      expect((await take(blind, '151.25')).id).toBe(mine.id);
    });

    it('the copy of a consultant who has left holds no hash', async () => {
      await take(operation, '162.05');
      const who = await person(world, 'leaving');
      const as = await clientOf(world, who);
      const { body: offered } = await operation.as.owner.post<{ id: string; code: string }>(
        operation.at('/engagements'),
        { consultantEmail: who.email, seesPrices: false },
        { expect: 201 },
      );
      await engage(operation, as, offered);
      const path = `/v1/me/engagements/${offered.id}`;
      const ifMatch = (await as.get(path)).headers['etag'] ?? '';
      await as.post(`${path}/end`, { reason: 'Season over' }, { ifMatch, key: null, expect: 200 });
      const { content } = (await as.get<{ content: string }>(`${path}/copy`, { expect: 200 })).body;
      const imports = unpackArchive(Buffer.from(content, 'base64')).records.filter(
        ({ table }) => table === 'data_import',
      );
      expect(imports.length).toBeGreaterThan(0);
      expect(imports.filter(({ row }) => row.includes('sha256'))).toEqual([]);
    });

    it('these are all kinds of files that have a column in money', async () => {
      const { kinds } = (
        await operation.as.manager.get<{ kinds: { kind: string; columns: { name: string }[] }[] }>(
          operation.at('/import-columns'),
          { expect: 200 },
        )
      ).body;
      expect(
        kinds.filter(({ columns }) => columns.some(({ name }) => name.includes('usd'))).map(({ kind }) => kind),
      ).toEqual([...PRICED_KINDS]);
    });
  });
});
