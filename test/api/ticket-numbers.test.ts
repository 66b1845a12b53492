/*
 * The number on a scale ticket: entered with hay bought or sold, shown in registers and in the memo of journal and
 * ledger; a second ticket of the same number from the same vendor is asked about, alone or in a file. Everything here
 * is invented.
 */
import { parse } from 'csv-parse/sync';
import { lump, quote, sale } from '../support/books.js';
import { type Operation, operationWith } from '../support/people.js';
import { lot, purchaseBody, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

type Ticket = WithId & { ticketNumber: string | null; confirmed: { code: string }[] };
interface Asked {
  type: string;
  errors: { code: string; pointer?: string; parameter?: string; message: string }[];
}

let world: World;
let operation: Operation;
let ranchId: string;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world, { roles: ['owner', 'manager', 'hand', 'accountant'] });
  ranchId = await ranch(operation);
});
afterAll(() => world.close());

const buy = (more: object, query: Record<string, string> = {}) =>
  operation.as.manager.post<Ticket & Asked>(
    operation.at('/hay-purchases'),
    purchaseBody(ranchId, { vendor: 'Creek bottom hay', ...more }),
    { query },
  );

describe('a ticket number', () => {
  it('is kept as it stands on the ticket, and is not needed', async () => {
    const bought = await buy({ ticketNumber: '00471-B' });
    expect([bought.status, bought.body.ticketNumber]).toEqual([201, '00471-B']);
    expect((await buy({})).body.ticketNumber).toBeNull();
    const { body } = await operation.as.hand.get<Ticket>(operation.at(`/hay-purchases/${bought.body.id}`), {
      expect: 200,
    });
    expect(body.ticketNumber).toBe('00471-B');
    const { lotId } = await lot(operation, ranchId);
    const sold = await sale(operation, lotId, { ticketNumber: 'S 12' });
    expect(sold['ticketNumber']).toBe('S 12');
    expect((await buy({ ticketNumber: 'x'.repeat(61) })).status).toBe(400);
    const offered = await quote(operation);
    const taken = await operation.as.manager.post<Ticket>(
      operation.at(`/hay-quotes/${offered.id}/purchase`),
      { purchasedOn: '2027-01-12', lot: { ranchId, storageMethod: 'tarp' }, ticketNumber: 'Q-9' },
      { expect: 201 },
    );
    expect(taken.body.ticketNumber).toBe('Q-9');
  });

  it('stands in the registers, and in the memo of journal and general ledger', async () => {
    const bought = await buy({ ticketNumber: 'M-1', note: 'Second truck', purchasedOn: '2026-11-03' });
    const { lotId } = await lot(operation, ranchId, { purchasedOn: '2026-11-03' });
    await sale(operation, lotId, { ticketNumber: 'M-2', soldOn: '2026-11-04' });
    const reversed = await buy({ ticketNumber: 'M-3', purchasedOn: '2026-11-03' });
    await operation.as.manager.post(
      operation.at(`/hay-purchases/${reversed.body.id}/reversal`),
      { reason: 'Another ranch', effectiveOn: '2026-11-05' },
      { expect: 201 },
    );
    for (const [register, number] of [
      ['hay-purchases', 'M-1'],
      ['hay-sales', 'M-2'],
    ]) {
      const { text } = await operation.as.accountant.get(operation.at(`/${register}`), {
        query: { format: 'csv', head: 'no' },
        expect: 200,
      });
      const rows = parse<Record<string, string>>(text, { bom: true, columns: true });
      expect(rows.map((row) => row['ticket_number'])).toContain(number);
    }
    const days = { from: '2026-11-03', until: '2026-11-05' };
    const memos = async (path: string, of: 'items' | 'lines'): Promise<Set<string | null>> => {
      const { body } = await operation.as.accountant.get<Record<string, { memo: string | null }[]>>(
        operation.at(path),
        { query: { ...days, ...(of === 'items' ? { limit: '200' } : {}) }, expect: 200 },
      );
      return new Set(body[of]?.map(({ memo }) => memo));
    };
    for (const found of [await memos('/journal', 'items'), await memos('/general-ledger', 'lines')])
      for (const memo of ['Ticket M-1: Second truck', 'Ticket M-2', 'Ticket M-3: Another ranch'])
        expect(found).toContain(memo);
    expect(bought.status).toBe(201);
  });

  it('of the same vendor a second time is asked about, and taken where that is right', async () => {
    const first = await buy({ ticketNumber: 'T 100', purchasedOn: '2026-11-06' });
    const again = await buy({ ticketNumber: 't 100', vendor: 'Creek Bottom Hay', purchasedOn: '2026-12-06' });
    expect([again.status, again.body.type]).toEqual([409, '/problems/confirm']);
    expect(again.body.errors).toEqual([
      expect.objectContaining({
        code: 'ticket-number-again',
        pointer: '#/ticketNumber',
        message: expect.stringContaining('2026-11-06') as string,
      }),
    ]);
    // Another vendor has numbers of its own; and what was taken back asks nothing.
    expect((await buy({ ticketNumber: 'T 100', vendor: 'Bench fields' })).status).toBe(201);
    const confirmed = await buy({ ticketNumber: 'T 100' }, { confirm: 'ticket-number-again' });
    expect(confirmed.body.confirmed).toMatchObject([{ code: 'ticket-number-again' }]);
    for (const { id } of [first.body, confirmed.body])
      await operation.as.manager.post(
        operation.at(`/hay-purchases/${id}/reversal`),
        { reason: 'Twice' },
        { expect: 201 },
      );
    expect((await buy({ ticketNumber: 'T 100' })).status).toBe(201);
  });

  it('is no second one where the ticket itself is corrected', async () => {
    const { body } = await buy({ ticketNumber: 'C 7' });
    const entry = purchaseBody(ranchId, { vendor: 'Creek bottom hay', ticketNumber: 'C 7', price: lump('3000') });
    const corrected = await operation.as.manager.post(operation.at(`/hay-purchases/${body.id}/correction`), {
      reason: 'Wrong price',
      entry,
    });
    expect([corrected.status, corrected.body]).toMatchObject([201, { entry: { ticketNumber: 'C 7' } }]);
  });

  it('of a sale is asked about by its buyer', async () => {
    const { lotId } = await lot(operation, ranchId);
    await sale(operation, lotId, { ticketNumber: 'B 1' });
    const again = await operation.as.manager.post<Asked>(operation.at('/hay-sales'), {
      ...{
        hayLotId: lotId,
        buyer: 'A neighbor',
        soldOn: '2026-12-06',
        quantity: { weight: { value: '1', unit: 'ton' } },
      },
      ...{ price: lump('200'), ticketNumber: 'B 1' },
    });
    expect([again.status, again.body.errors[0]?.code]).toEqual([409, 'ticket-number-again']);
  });
});

describe('in a file', () => {
  const CSV = { headers: { 'Content-Type': 'text/csv' } };
  const file = (rows: readonly string[], header = 'Ticket #'): string =>
    [
      `vendor,purchased_on,lot,${header},net_weight_lb,price_usd_per_ton`,
      ...rows.map((row) => `Grain and hay,2026-12-01,Filed,${row},40000,150`),
    ].join('\n');
  beforeAll(async () => {
    await lot(operation, ranchId, { name: 'Filed' });
  });
  const take = (text: string, query: Record<string, string> = {}) =>
    operation.as.manager.post<Asked & { recordCount: number }>(operation.at('/imports/hay-tickets'), text, {
      ...CSV,
      query,
    });

  it.each(['ticket_number', 'Ticket #', 'Ticket No', 'Scale ticket', 'Weigh ticket'])(
    'is read from a column called %s',
    async (header) => {
      const { body } = await operation.as.manager.post<{ rows: { cells: { column: string; booked: string }[] }[] }>(
        operation.at('/imports/hay-tickets/check'),
        file(['88'], header),
        { ...CSV, key: null, expect: 200 },
      );
      expect(JSON.stringify(body.rows)).toContain('"ticket_number"');
    },
  );

  it('tells two loads of one day and weight apart, and a number that is there is asked about', async () => {
    const taken = await take(file(['301', '302']));
    expect([taken.status, taken.body.recordCount]).toEqual([201, 2]);
    // Of the same day and weight, but two other tickets.
    expect((await take(file(['303', '304']))).status).toBe(201);
    const again = await take(file(['305', '302']));
    expect([again.status, again.body.type]).toEqual([409, '/problems/likely-duplicates']);
    expect(again.body.errors.map(({ parameter }) => parameter)).toEqual(['row 3']);
    const entered = await take(file(['305', '302']), { duplicates: 'enter' });
    expect([entered.status, entered.body.errors.map(({ code }) => code)]).toEqual([409, ['ticket-number-again']]);
    // Without numbers they look alike, as before.
    expect((await take(file(['', '']))).body.type).toBe('/problems/likely-duplicates');
  });
});
