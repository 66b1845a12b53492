/*
 * A count is a fact of its day: what is entered later for a day before it changes what the books said, not what lay
 * there (26 CFR 1.471-2(d): the balances of book inventories are "adjusted to conform" to physical ones). Each entry
 * says which count it was told against.
 */
import { Database } from '../../src/platform/database/database.js';
import { WrittenCostsService } from '../../src/records/hay/costing/written-costs.service.js';
import { count, harvest, lump, net, pounds, sale, shrink, tons, transfer } from '../support/books.js';
import { type Operation, operationWith } from '../support/people.js';
import { balance, feeding, feedingBody, herd, lot, purchaseBody, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let operation: Operation;
let ranchId: string;
let herdId: string;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  ranchId = await ranch(operation);
  herdId = await herd(operation, ranchId);
});
afterAll(async () => {
  await world.close();
});

interface Count {
  difference: { value: string };
  inBooks: { value: string };
  inBooksWhenEntered: { value: string };
}
const countOf = async (id: string): Promise<Count> =>
  (await operation.as.manager.get<Count>(operation.at(`/stock-counts/${id}`), { expect: 200 })).body;
const reversed = (path: string, more: object = {}) =>
  operation.as.manager.post(operation.at(`${path}/reversal`), { reason: 'Mistaken', ...more }, { expect: 201 });

/** Twenty tons, of which 18 are counted on December 10. */
async function counted(name: string): Promise<{ lotId: string; purchaseId: string; countId: string }> {
  const bought = await lot(operation, ranchId, { name, tons: '20', price: lump('2000') });
  const { id: countId } = await count(operation, bought.lotId, tons('18'));
  return { ...bought, countId };
}

describe('what is entered later for a day before a count', () => {
  it('a ticket: the count stands, its difference is restated, and the answer names it', async () => {
    const { lotId, countId } = await counted('Ticket');
    const late = await operation.as.manager.post<{ id: string; heldCounts: object[] }>(
      operation.at('/hay-purchases'),
      {
        vendor: 'A neighbor',
        purchasedOn: '2026-12-01',
        lot: { id: lotId },
        weight: net('10'),
        price: lump('1000'),
      },
      { expect: 201 },
    );
    expect(await balance(operation, lotId)).toBe('18');
    expect(await countOf(countId)).toMatchObject({
      inBooks: { value: '30' },
      difference: { value: '-12' },
      inBooksWhenEntered: { value: '20' },
    });
    const told = [
      {
        stockCountId: countId,
        countedOn: '2026-12-10',
        counted: { value: '18', unit: 'ton' },
        difference: { value: '-12', unit: 'ton' },
        message: expect.stringContaining('18 ton') as string,
      },
    ];
    expect(late.body.heldCounts).toEqual(told);
    const read = await operation.as.manager.get(operation.at(`/hay-purchases/${late.body.id}`), { expect: 200 });
    expect(read.body).toMatchObject({ heldCounts: told });
    // Taken back, the count is what it was.
    await reversed(`/hay-purchases/${late.body.id}`);
    expect(await balance(operation, lotId)).toBe('18');
    expect(await countOf(countId)).toMatchObject({ inBooks: { value: '20' }, difference: { value: '-2' } });
  });

  it('the money of the ticket is spread over what was counted', async () => {
    const { lotId } = await counted('Money');
    await lot(operation, ranchId, {
      lot: { id: lotId },
      purchasedOn: '2026-12-01',
      weight: net('10'),
      price: lump('1000'),
    });
    // A difference that goes into the unit cost: 3,000 on 18 tons.
    const { body } = await operation.as.accountant.get<{ lots: { hayLotId: string; value: { amount: string } }[] }>(
      operation.at('/reports/hay-position'),
      { query: { on: '2026-12-31' }, expect: 200 },
    );
    expect(body.lots.find((one) => one.hayLotId === lotId)?.value.amount).toBe('3000.00');
  });

  it('a feeding, a sale, a loss, a move and a harvest, each once, and what comes after the count counts', async () => {
    const { lotId, countId } = await counted('All kinds');
    const from = await harvest(operation, ranchId, {
      lot: { name: 'Own', ranchId, hayKind: 'meadow', baleForm: 'round', storageMethod: 'tarp' },
    });
    await feeding(operation, herdId, [[lotId, '2000']], { fedOn: '2026-12-02' });
    expect(await balance(operation, lotId)).toBe('18');
    expect(await sale(operation, lotId, { soldOn: '2026-12-03' })).toMatchObject({
      heldCounts: [{ stockCountId: countId }],
    });
    expect(await shrink(operation, lotId, { lostOn: '2026-12-04' })).toMatchObject({
      heldCounts: [{ stockCountId: countId }],
    });
    expect(await transfer(operation, from.hayLotId, { id: lotId }, { movedOn: '2026-12-05' })).toMatchObject({
      heldCounts: [{ stockCountId: countId }],
    });
    expect(await balance(operation, lotId)).toBe('18');
    // 20 in, 1 fed, 1 sold, 0.5 lost, 1 moved in: 18.5.
    expect(await countOf(countId)).toMatchObject({ inBooks: { value: '18.5' }, difference: { value: '-0.5' } });
    expect(await sale(operation, lotId, { soldOn: '2026-12-20' })).toMatchObject({ heldCounts: [] });
    expect(await balance(operation, lotId)).toBe('17');
  });

  it('a feeding of hay that only the count leaves there is taken, in one statement', async () => {
    const { lotId } = await lot(operation, ranchId, { name: 'Emptied', tons: '2', price: lump('200') });
    const { id } = await count(operation, lotId, pounds('0'));
    await feeding(operation, herdId, [[lotId, '4000']], { fedOn: '2026-12-02' });
    expect(await balance(operation, lotId)).toBe('0');
    expect(await countOf(id)).toMatchObject({ inBooks: { value: '0' }, difference: { value: '0' } });
  });

  it('of two counts the first is restated, and one that is reversed leaves the next one standing', async () => {
    const { lotId, countId } = await counted('Two counts');
    const { id: second } = await count(operation, lotId, tons('17'), { countedOn: '2026-12-20' });
    await feeding(operation, herdId, [[lotId, '2000']], { fedOn: '2026-12-02' });
    expect([(await countOf(countId)).difference.value, (await countOf(second)).difference.value]).toEqual(['-1', '-1']);
    await reversed(`/stock-counts/${countId}`);
    expect(await balance(operation, lotId)).toBe('17');
    expect((await countOf(second)).difference.value).toBe('-2');
  });

  it('is written down as a replay of the whole ledger costs it', async () => {
    const { written, differ } = await world.application
      .get(Database)
      .keepBooks(operation.id, (books) => world.application.get(WrittenCostsService).differences(books));
    expect(differ).toEqual([]);
    expect(written).toBeGreaterThan(10);
  });

  it('a count confirmed with a draw was taken before that draw', async () => {
    const { lotId } = await lot(operation, ranchId, { name: 'With a draw', tons: '1', price: lump('100') });
    await sale(operation, lotId, {
      quantity: tons('2'),
      confirmedCount: { counted: tons('5'), reason: 'More lay there' },
    });
    expect(await balance(operation, lotId)).toBe('3');
  });
});

describe('what is posted into the open period, of a day before a count of a closed one', () => {
  interface Held {
    heldCounts: { stockCountId: string; difference: { value: string }; message: string }[];
  }
  interface Corrected {
    entry: Held & { id: string };
  }

  it('says by how much the books are off the count since then', async () => {
    const own = await operationWith(world);
    const home = await ranch(own);
    const cattle = await herd(own, home);
    const { lotId, purchaseId } = await lot(own, home, { tons: '20', purchasedOn: '2026-11-05', price: lump('2000') });
    const fedOn = '2026-11-20';
    const fed = await feeding(own, cattle, [[lotId, '4000']], { fedOn });
    const { id: countId } = await count(own, lotId, tons('17.75'), { countedOn: '2026-11-30' });
    await own.as.accountant.post(own.at('/closings'), { until: '2026-11-30' }, { expect: 201 });
    const correct = async (path: string, entry: object): Promise<Corrected> =>
      (
        await own.as.manager.post<Corrected>(
          own.at(`${path}/correction`),
          { reason: 'Read wrongly', entry: { ...entry, postTo: 'open-period' } },
          { expect: 201 },
        )
      ).body;
    const lighter = feedingBody(cattle, [[lotId, '3500']], { fedOn });
    const { entry } = await correct(`/feedings/${fed}`, lighter);
    // 4,000 lb back and 3,500 lb out: a quarter of a ton more than was counted.
    expect(await balance(own, lotId)).toBe('18');
    expect(entry.heldCounts).toMatchObject([{ stockCountId: countId, difference: { value: '-0.25' } }]);
    expect(entry.heldCounts[0]?.message).toContain('Count the lot again, on 2026-12-01 or later');
    // Of a ticket the right one comes in before the wrong one goes out: a price moves no hay, half a ton does.
    const correctTicket = (id: string, weight: string, price: string): Promise<Corrected> =>
      correct(
        `/hay-purchases/${id}`,
        purchaseBody(home, { lot: { id: lotId }, purchasedOn: '2026-11-05', weight: net(weight), price: lump(price) }),
      );
    const off = ({ entry: { heldCounts } }: Corrected): string[] =>
      heldCounts.map(({ difference }) => difference.value);
    const priced = await correctTicket(purchaseId, '20', '2100');
    expect(off(priced)).toEqual(['-0.25']);
    const weighed = await correctTicket(priced.entry.id, '19.5', '2100');
    expect([off(weighed), await balance(own, lotId)]).toEqual([['0.25'], '17.5']);
    // Counted again, it holds.
    await count(own, lotId, tons('17.75'), { countedOn: '2026-12-05' });
    expect(await balance(own, lotId)).toBe('17.75');
  });
});
