/*
 * One call corrects an entry that later ones lean on: the right one comes in and the mistake goes out together, and the
 * books are those of a history that never had the mistake. Where only a reversal is asked for and refused, the problem
 * names the next step. Everything here is invented.
 */
import { harvest, sale } from '../support/books.js';
import { type Operation, operationWith } from '../support/people.js';
import { examples } from '../support/properties.js';
import { reportsOf } from '../support/reports.js';
import { cows, feeding, feedingBody, lot, purchaseBody, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Books {
  operation: Operation;
  ranchId: string;
  cowsId: string;
  heifersId: string;
  meadow: string;
  other: string;
  /** The ticket that brought the meadow's hay. */
  ticketId: string;
}
interface Corrected {
  correctedId: string;
  reversal: { id: string; reason: string };
  entry: WithId & { confirmed: { code: string }[]; heldCounts: { stockCountId: string }[] };
}
interface Bill extends WithId {
  receipt: { kind: string; id: string };
  hayLotId: string;
  billedOn: string;
  owed: string;
  biller: string;
  amountTyped: string | null;
  note: string | null;
  postedLate: { toldOn: string } | null;
  reversal: { id: string; reason: string; effectiveOn: string } | null;
}
interface WithBills extends Corrected {
  billsMoved: { correctedId: string; reversal: { id: string; effectiveOn: string }; entry: Bill }[];
}
interface Refused {
  type: string;
  detail: string;
  errors: { pointer?: string; code: string; given: unknown; allowed: string; message: string }[];
}

const usd = (amount: string) => ({ basis: 'per-mass', amount, per: 'ton' });
const net = (value: string) => ({ basis: 'net', net: { value, unit: 'ton' } });
const REASON = 'Typed wrong';

describe('corrections in one call', () => {
  let world: World;
  beforeAll(async () => {
    world = await openWorld();
  });
  afterAll(async () => {
    await world.close();
  });

  async function books(costingMethod: 'fifo' | 'moving-average' | 'specific-lot'): Promise<Books> {
    const operation = await operationWith(world, { costingMethod, roles: ['manager', 'accountant'] });
    const ranchId = await ranch(operation);
    const cowsId = await cows(operation, ranchId, { head: 60 });
    const heifersId = await cows(operation, ranchId, { name: 'Heifers', head: 40 });
    const { lotId: meadow, purchaseId: ticketId } = await lot(operation, ranchId, { tons: '10', price: usd('100') });
    const { lotId: other } = await lot(operation, ranchId, { name: 'Other', tons: '30', price: usd('180') });
    return { operation, ranchId, cowsId, heifersId, meadow, other, ticketId };
  }

  const post = async (operation: Operation, path: string, body: object): Promise<string> =>
    (await operation.as.manager.post<WithId>(operation.at(path), body, { expect: 201 })).body.id;

  /** What the books come to at the end, without ids and without what tells of the correction itself. */
  async function told({ operation, meadow, other, cowsId, heifersId }: Books): Promise<unknown> {
    const get = async <Body>(path: string, query: Record<string, string>): Promise<Body> =>
      (await operation.as.accountant.get<Body>(operation.at(path), { query, expect: 200 })).body;
    const names = new Map([
      [meadow, 'meadow'],
      [other, 'other'],
      [cowsId, 'cows'],
      [heifersId, 'heifers'],
    ]);
    const position = await get<{ lots: { hayLotId: string; quantity: unknown; value: unknown }[]; total: unknown }>(
      '/reports/hay-position',
      { on: '2027-01-15' },
    );
    const season = await get<{
      rows: { key: string; fed: unknown; totalCost: unknown }[];
      total: { totalCost: unknown };
    }>('/reports/season-cost', { from: '2026-11-01', until: '2027-01-15', by: 'herd' });
    return {
      lots: position.lots
        .filter((one) => names.has(one.hayLotId))
        .map((one) => [names.get(one.hayLotId), one.quantity, one.value])
        .sort(),
      total: position.total,
      herds: season.rows.map((row) => [names.get(row.key) ?? row.key, row.fed, row.totalCost]).sort(),
      cost: season.total.totalCost,
    };
  }

  const ticket = (more: object) => (of: Books) => purchaseBody(of.ranchId, { lot: { id: of.meadow }, ...more });
  const fed = (who: 'cowsId' | 'heifersId', which: 'meadow' | 'other', pounds: string) => (of: Books) =>
    feedingBody(of[who], [[of[which], pounds]], { fedOn: '2026-12-10' });
  const sold = (amount: string, tons: string) => (of: Books) => ({
    hayLotId: of.other,
    buyer: 'A neighbor',
    soldOn: '2026-12-05',
    quantity: { weight: { value: tons, unit: 'ton' } },
    price: usd(amount),
  });
  const moved = (tons: string) => (of: Books) => ({
    fromLotId: of.other,
    to: { id: of.meadow },
    movedOn: '2026-11-20',
    quantity: { weight: { value: tons, unit: 'ton' } },
  });
  const counted = (tons: string, countedOn: string) => (of: Books) => ({
    hayLotId: of.other,
    countedOn,
    counted: { weight: { value: tons, unit: 'ton' } },
    reason: 'Counted',
  });
  const lost = (tons: string, abnormal: boolean) => (of: Books) => ({
    hayLotId: of.other,
    lostOn: '2026-12-02',
    how: { basis: 'weighed', quantity: { weight: { value: tons, unit: 'ton' } } },
    abnormal,
    reason: 'A roof blew off',
  });
  const billed = (amount: string) => (of: Books) => ({
    receipt: { kind: 'hay-purchase', id: of.ticketId },
    billedOn: '2026-12-05',
    owed: 'freight',
    biller: 'A hauler',
    amount,
  });
  /** Part of the hay is fed and more is bought after the mistake. */
  const goOn = async ({ operation, cowsId, meadow, ranchId }: Books, pounds: string): Promise<void> => {
    for (const fedOn of ['2026-12-01', '2026-12-02', '2026-12-03'])
      await feeding(operation, cowsId, [[meadow, pounds]], { fedOn });
    await post(
      operation,
      '/hay-purchases',
      purchaseBody(ranchId, { lot: { id: meadow }, purchasedOn: '2026-12-04', price: usd('160') }),
    );
    await feeding(operation, cowsId, [[meadow, '1500']], { fedOn: '2026-12-06' });
  };

  const cases: [string, string, (of: Books) => object, (of: Books) => object][] = [
    ['a wrong price', '/hay-purchases', ticket({ price: usd('1450') }), ticket({ price: usd('145') })],
    ['a wrong weight', '/hay-purchases', ticket({ weight: net('20') }), ticket({ weight: net('24') })],
    ['a wrong day', '/hay-purchases', ticket({ purchasedOn: '2026-11-03' }), ticket({ purchasedOn: '2026-11-05' })],
    ['a wrong herd', '/feedings', fed('heifersId', 'other', '1500'), fed('cowsId', 'other', '1500')],
    ['a wrong lot', '/feedings', fed('cowsId', 'other', '1500'), fed('cowsId', 'meadow', '1500')],
    ['a wrong weight fed', '/feedings', fed('cowsId', 'other', '1500'), fed('cowsId', 'other', '1200')],
    ['a wrong price of a sale', '/hay-sales', sold('20', '2'), sold('200', '2')],
    ['a wrong weight of a sale', '/hay-sales', sold('200', '29'), sold('200', '2.9')],
    ['a wrong weight of a transfer', '/hay-transfers', moved('20'), moved('17.5')],
    ['a wrong count', '/stock-counts', counted('9.2', '2026-11-25'), counted('29.2', '2026-11-25')],
    ['a wrong day of a count', '/stock-counts', counted('29.2', '2026-12-08'), counted('29.2', '2026-11-28')],
    ['a wrong loss', '/storage-shrinks', lost('12', false), lost('1.2', true)],
    ['a wrong bill', '/late-costs', billed('1080.00'), billed('108.00')],
  ];

  it.each(
    // Each mistake under one method in turn; a search asks all three of each.
    cases.flatMap(([what, path, wrong, right], index) =>
      (['fifo', 'moving-average', 'specific-lot'] as const)
        .filter((_, place) => examples(1) > 1 || place === index % 3)
        .map((method) => [what, method, path, wrong, right] as const),
    ),
  )('of %s, under %s: as if it had never been typed', async (_what, method, path, wrong, right) => {
    const [mistaken, true_] = [await books(method), await books(method)];
    // More than lay in the lot before the ticket, where it is of a ticket.
    const pounds = ['/hay-purchases', '/hay-transfers'].includes(path) ? '15000' : '3000';
    const id = await post(mistaken.operation, path, wrong(mistaken));
    await goOn(mistaken, pounds);
    const { operation } = mistaken;
    const answer = await operation.as.manager.post<Corrected>(
      operation.at(`${path}/${id}/correction`),
      { reason: REASON, entry: right(mistaken) },
      { expect: 201 },
    );
    expect(answer.body).toMatchObject({ correctedId: id, reversal: { reason: REASON } });
    expect(answer.headers['location']).toBe(operation.at(`${path}/${answer.body.entry.id}`));
    await post(true_.operation, path, right(true_));
    await goOn(true_, pounds);
    expect(await told(mistaken)).toEqual(await told(true_));
    const before = await operation.as.manager.get<{ reversal: { reason: string } }>(operation.at(`${path}/${id}`), {
      expect: 200,
    });
    expect(before.body.reversal.reason).toBe(REASON);
  });

  /** Freight and a charge for the ticket, and in the mistaken history the charge typed wrong first. */
  async function bill(of: Books, ticketId: string, mistyped: boolean): Promise<string[]> {
    const { operation } = of;
    const receipt = { kind: 'hay-purchase', id: ticketId };
    const freight = {
      receipt,
      billedOn: '2026-12-05',
      owed: 'freight',
      biller: 'A hauler',
      amount: '216.0',
      note: 'Two',
    };
    const charge = { receipt, billedOn: '2026-12-08', owed: 'charges', biller: 'A scale', amount: '37.50' };
    const first = await post(operation, '/late-costs', freight);
    const second = await post(operation, '/late-costs', mistyped ? { ...charge, amount: '375.0' } : charge);
    if (!mistyped) return [first, second];
    const made = await operation.as.manager.post<Corrected>(
      operation.at(`/late-costs/${second}/correction`),
      { reason: REASON, entry: charge },
      { expect: 201 },
    );
    return [first, made.body.entry.id];
  }
  const namesOf = ({ meadow, other, cowsId, heifersId }: Books): ReadonlyMap<string, string> =>
    new Map([
      [meadow, 'the meadow lot'],
      [other, 'the other lot'],
      [cowsId, 'the cows'],
      [heifersId, 'the heifers'],
    ]);

  it.each(
    (
      [
        ['a wrong price', ticket({ price: usd('1450') }), ticket({ price: usd('145') })],
        ['a wrong weight', ticket({ weight: net('20') }), ticket({ weight: net('24') })],
        ['a wrong day', ticket({ purchasedOn: '2026-11-03' }), ticket({ purchasedOn: '2026-11-05' })],
        ['a wrong lot', ticket({}), (of: Books) => purchaseBody(of.ranchId, { lot: { id: of.other } })],
        ['the day of its bill', ticket({ purchasedOn: '2026-11-03' }), ticket({ purchasedOn: '2026-12-05' })],
      ] as const
    ).flatMap(([what, wrong, right], index) =>
      (['fifo', 'moving-average', 'specific-lot'] as const)
        .filter((_, place) => examples(1) > 1 || place === index % 3 || index === 0)
        .map((method) => [what, method, wrong, right] as const),
    ),
  )('of a ticket with later bills, %s, under %s: as if it had never been typed', async (what, method, wrong, right) => {
    const [mistaken, true_] = [await books(method), await books(method)];
    // Of its own hay, the lot holds twenty thousand pounds.
    const pounds = ['a wrong lot', 'the day of its bill'].includes(what) ? '3000' : '15000';
    const id = await post(mistaken.operation, '/hay-purchases', wrong(mistaken));
    await goOn(mistaken, pounds);
    const bills = await bill(mistaken, id, true);
    const { operation } = mistaken;
    const key = `correct-${id}`;
    const correct = () =>
      operation.as.manager.post<WithBills>(
        operation.at(`/hay-purchases/${id}/correction`),
        { reason: REASON, entry: right(mistaken) },
        { expect: 201, key },
      );
    const { body } = await correct();
    expect(body.billsMoved.map((one) => one.correctedId)).toEqual(bills);
    expect(
      body.billsMoved.map(({ entry }) => [entry.billedOn, entry.owed, entry.biller, entry.amountTyped, entry.note]),
    ).toEqual([
      ['2026-12-05', 'freight', 'A hauler', '216.0', 'Two'],
      ['2026-12-08', 'charges', 'A scale', '37.50', null],
    ]);
    for (const { entry, reversal } of body.billsMoved) {
      expect(entry.receipt).toEqual({ kind: 'hay-purchase', id: body.entry.id });
      expect(reversal.effectiveOn).toBe(entry.billedOn);
    }
    const ticketId = await post(true_.operation, '/hay-purchases', right(true_));
    await goOn(true_, pounds);
    await bill(true_, ticketId, false);
    // Sent again, it is the same correction.
    expect((await correct()).body).toEqual(body);
    expect(await reportsOf(operation, namesOf(mistaken))).toEqual(await reportsOf(true_.operation, namesOf(true_)));
  });

  const correctTicket = (of: Books, id: string, entry: object, who = of.operation.as.manager) =>
    who.post<WithBills & Refused>(of.operation.at(`/hay-purchases/${id}/correction`), { reason: REASON, entry });
  const billOf = async (of: Books, id: string): Promise<Bill> =>
    (await of.operation.as.manager.get<Bill>(of.operation.at(`/late-costs/${id}`), { expect: 200 })).body;

  it('of a ticket to a day after its bill is refused with that day and what to do; nothing is saved', async () => {
    const of = await books('fifo');
    const id = await post(of.operation, '/hay-purchases', ticket({})(of));
    const [freight = ''] = await bill(of, id, false);
    const late = ticket({ purchasedOn: '2026-12-07' })(of);
    const refused = await correctTicket(of, id, late);
    expect([refused.status, refused.body.errors]).toEqual([
      422,
      [
        {
          pointer: '#/entry/purchasedOn',
          code: 'after-its-bill',
          given: '2026-12-07',
          allowed: '2026-12-05 or earlier',
          message: expect.stringContaining(`POST /late-costs/${freight}/correction`) as string,
        },
      ],
    ]);
    expect((await billOf(of, freight)).reversal).toBeNull();
    // As the problem says: the bill first.
    const entry = {
      receipt: { kind: 'hay-purchase', id },
      billedOn: '2026-12-07',
      owed: 'freight',
      biller: 'A hauler',
    };
    await of.operation.as.manager.post(
      of.operation.at(`/late-costs/${freight}/correction`),
      { reason: REASON, entry: { ...entry, amount: '216.0' } },
      { expect: 201 },
    );
    const taken = await correctTicket(of, id, late);
    expect([taken.status, taken.body.billsMoved.map(({ entry: { billedOn } }) => billedOn)]).toEqual([
      201,
      ['2026-12-08', '2026-12-07'],
    ]);
  });

  it('of a ticket with later bills, in a closed period: refused, or all goes to the open one', async () => {
    const [mistaken, true_] = [await books('moving-average'), await books('moving-average')];
    const entered: string[] = [];
    for (const each of [mistaken, true_]) {
      entered.push(await post(each.operation, '/hay-purchases', ticket({})(each)));
      await bill(each, entered.at(-1) ?? '', false);
      await post(each.operation, '/late-costs', {
        receipt: { kind: 'hay-purchase', id: entered.at(-1) },
        billedOn: '2027-01-05',
        owed: 'freight',
        biller: 'A hauler',
        amount: '-20',
      });
      await goOn(each, '3000');
      await each.operation.as.accountant.post(each.operation.at('/closings'), { until: '2026-12-31' }, { expect: 201 });
    }
    const [id = '', same = ''] = entered;
    const open = ticket({ purchasedOn: '2027-01-04' })(mistaken);
    const refused = await correctTicket(mistaken, id, open);
    expect([refused.body.type, refused.body.errors[0]?.pointer, refused.body.errors[0]?.allowed]).toEqual([
      '/problems/period-closed',
      '#/entry/postTo',
      'after 2026-12-31, or postTo "open-period"',
    ]);
    const right = ticket({ price: usd('145'), postTo: 'open-period' });
    const taken = await correctTicket(mistaken, id, right(mistaken));
    expect(taken.status).toBe(201);
    expect(
      taken.body.billsMoved.map(({ reversal, entry }) => [
        entry.billedOn,
        entry.postedLate?.toldOn ?? null,
        reversal.effectiveOn,
      ]),
    ).toEqual([
      ['2027-01-01', '2026-12-05', '2027-01-01'],
      ['2027-01-01', '2026-12-08', '2027-01-01'],
      ['2027-01-05', null, '2027-01-05'],
    ]);
    // A bill is dated by the day of its hay as it was told, wherever both are posted.
    const late = (id: string, billedOn: string) =>
      mistaken.operation.as.manager.post<Refused & Bill>(mistaken.operation.at('/late-costs'), {
        receipt: { kind: 'hay-purchase', id },
        billedOn,
        owed: 'charges',
        biller: 'A scale',
        amount: '5',
        postTo: 'open-period',
      });
    const before = await late(taken.body.entry.id, '2026-10-31');
    expect([before.body.errors[0]?.code, before.body.errors[0]?.allowed]).toEqual([
      'before-the-hay',
      '2026-11-01 or later',
    ]);
    const scaled = await late(taken.body.entry.id, '2026-12-20');
    expect([scaled.status, scaled.body.billedOn]).toEqual([201, '2027-01-01']);
    await mistaken.operation.as.manager.post(
      mistaken.operation.at(`/late-costs/${scaled.body.id}/reversal`),
      { reason: REASON },
      { expect: 201 },
    );
    const ofMistake = await late(id, '2026-12-20');
    expect([ofMistake.status, ofMistake.body.errors[0]?.allowed]).toEqual([422, `hay-purchase ${taken.body.entry.id}`]);
    // Corrected once more, the bills keep their days.
    const again = await correctTicket(mistaken, taken.body.entry.id, right(mistaken));
    expect(again.body.billsMoved.map(({ entry }) => [entry.billedOn, entry.postedLate?.toldOn ?? null])).toEqual([
      ['2027-01-01', '2026-12-05'],
      ['2027-01-01', '2026-12-08'],
      ['2027-01-05', null],
    ]);
    // The same price at once: what closed days were charged stays, and hay is worth the same from then on.
    const other = await correctTicket(true_, same, right(true_));
    expect(other.status).toBe(201);
    expect(await told(mistaken)).toEqual(await told(true_));
  });

  it('is where a reversal of a ticket with later bills points; once they are reversed, it is taken', async () => {
    const of = await books('fifo');
    const id = await post(of.operation, '/hay-purchases', ticket({})(of));
    const bills = await bill(of, id, true);
    const reverse = (path: string, body: object = {}) =>
      of.operation.as.manager.post<Refused>(of.operation.at(`${path}/reversal`), { reason: REASON, ...body });
    const refused = await reverse(`/hay-purchases/${id}`);
    expect([refused.status, refused.body.errors.map(({ code, given }) => [code, given])]).toEqual([
      409,
      bills.map((one) => ['late-costs-stand', one]),
    ]);
    expect(refused.body.detail).toContain(`POST /hay-purchases/${id}/correction`);
    expect(refused.body.detail).toContain('POST /late-costs/{lateCostId}/reversal');
    for (const one of bills) expect((await reverse(`/late-costs/${one}`)).status).toBe(201);
    expect((await reverse(`/hay-purchases/${id}`)).status).toBe(201);
    expect(await reportsOf(of.operation, namesOf(of))).toEqual(
      await books('fifo').then((never) => reportsOf(never.operation, namesOf(never))),
    );
    // One that stood for some days stands in the way of a reversal before the last of them.
    const other = await post(of.operation, '/hay-purchases', ticket({})(of));
    const [stood = ''] = await bill(of, other, false);
    expect((await reverse(`/late-costs/${stood}`, { effectiveOn: '2026-12-20' })).status).toBe(201);
    await correctTicket(of, other, ticket({ price: usd('145') })(of)).then(({ status, body }) => {
      expect([status, body.errors.map(({ given }) => given)]).toEqual([409, [stood]]);
      expect(body.detail).toContain(`2026-12-20, when none stands any more: POST /hay-purchases/${other}/reversal`);
    });
    const { items } = (
      await of.operation.as.manager.get<{ items: Bill[] }>(of.operation.at('/late-costs'), {
        query: { receiptId: other },
        expect: 200,
      })
    ).body;
    for (const one of items.filter(({ reversal }) => reversal === null))
      expect((await reverse(`/late-costs/${one.id}`)).status).toBe(201);
    expect((await reverse(`/hay-purchases/${other}`, { effectiveOn: '2026-12-20' })).status).toBe(201);
  });

  it('of a harvest takes its bills along', async () => {
    const of = await books('specific-lot');
    const { operation, ranchId } = of;
    const raised = await harvest(operation, ranchId, { cost: usd('800') });
    const late = { billedOn: '2026-12-05', owed: 'charges', biller: 'A baler', amount: '90.00' };
    const billId = await post(operation, '/late-costs', { receipt: { kind: 'harvest', id: raised.id }, ...late });
    const entry = { harvestedOn: '2026-07-10', lot: { id: raised.hayLotId }, baleCount: 20, weight: net('12') };
    const answer = await operation.as.manager.post<WithBills>(
      operation.at(`/harvests/${raised.id}/correction`),
      { reason: REASON, entry: { ...entry, cost: usd('80') } },
      { expect: 201 },
    );
    expect(answer.body.billsMoved.map((one) => [one.correctedId, one.entry.receipt, one.entry.amountTyped])).toEqual([
      [billId, { kind: 'harvest', id: answer.body.entry.id }, '90.00'],
    ]);
    const position = await operation.as.accountant.get<{ lots: { hayLotId: string; value: { amount: string } }[] }>(
      operation.at('/reports/hay-position'),
      { query: { on: '2027-01-15' }, expect: 200 },
    );
    expect(position.body.lots.find((one) => one.hayLotId === raised.hayLotId)?.value.amount).toBe('1050.00');
  });

  it('of a transfer, whose hay was fed on both sides: neither lot is asked in between', async () => {
    const of = await books('fifo');
    const { operation, meadow, other, cowsId } = of;
    const id = await post(operation, '/hay-transfers', moved('20')(of));
    for (const fedOn of ['2026-12-01', '2026-12-02', '2026-12-03', '2026-12-04'])
      await feeding(
        operation,
        cowsId,
        [
          [meadow, '12000'],
          [other, '4000'],
        ],
        { fedOn },
      );
    const told0 = await told(of);
    const at = operation.at(`/hay-transfers/${id}`);
    const refused = await operation.as.manager.post<{ type: string; detail: string }>(`${at}/reversal`, {
      reason: REASON,
    });
    expect([refused.status, refused.body.type]).toEqual([409, '/problems/lot-short']);
    expect(refused.body.detail).toContain(`POST /hay-transfers/${id}/correction`);
    const correct = (tons: string) =>
      operation.as.manager.post<Corrected & { type: string }>(`${at}/correction`, {
        reason: REASON,
        entry: moved(tons)(of),
      });
    for (const tons of ['13.9', '22.1']) {
      const short = await correct(tons);
      expect([short.status, short.body.type]).toEqual([409, '/problems/lot-short']);
      expect(await told(of)).toEqual(told0);
    }
    const taken = await correct('14');
    expect([taken.status, taken.body.correctedId]).toEqual([201, id]);
  });

  it('of a transfer into a lot that it began, which keeps its name', async () => {
    const of = await books('fifo');
    const { operation, other, ranchId } = of;
    const begun = (tons: string) => ({ ...moved(tons)(of), to: { name: 'By the creek', ranchId } });
    const id = await post(operation, '/hay-transfers', begun('5'));
    const answer = await operation.as.manager.post<{ entry: { toLotId: string } }>(
      operation.at(`/hay-transfers/${id}/correction`),
      { reason: REASON, entry: begun('6') },
      { expect: 201 },
    );
    const { body } = await operation.as.accountant.get<{ lots: { hayLotId: string; quantity: { value: string } }[] }>(
      operation.at('/reports/hay-position'),
      { query: { on: '2027-01-15' }, expect: 200 },
    );
    const tons = (lotId: string) => body.lots.find((one) => one.hayLotId === lotId)?.quantity.value;
    expect([tons(answer.body.entry.toLotId), tons(other)]).toEqual(['6', '24']);
  });

  it('of a head change, of the wrong herd and the wrong number, that later ones lean on', async () => {
    const history = async (wrong: boolean): Promise<unknown> => {
      const of = await books('fifo');
      const { operation, cowsId, heifersId } = of;
      const change = (herdId: string, head: number, kind: string, happenedOn: string) =>
        operation.as.manager.post<WithId>(
          operation.at(`/herds/${herdId}/head-changes`),
          { kind, head, happenedOn },
          { expect: 201 },
        );
      const first = await change(wrong ? heifersId : cowsId, wrong ? 30 : 20, 'in', '2026-11-10');
      if (!wrong) await change(heifersId, 10, 'in', '2026-11-11');
      await change(heifersId, 45, 'sale', '2026-12-01');
      if (wrong) {
        const at = operation.at(`/herds/${heifersId}/head-changes/${first.body.id}`);
        const entry = { kind: 'in', head: 20, happenedOn: '2026-11-10' };
        // Without them the sale would be of more heifers than there are.
        for (const path of ['reversal', 'correction']) {
          const body = path === 'reversal' ? { reason: REASON } : { reason: REASON, herdId: cowsId, entry };
          const refused = await operation.as.manager.post<{ type: string; detail: string }>(`${at}/${path}`, body);
          expect([refused.status, refused.body.type]).toEqual([409, '/problems/herd-short']);
          if (path === 'reversal')
            expect(refused.body.detail).toMatch(/POST \/herds\/\S+\/head-changes\/\S+\/correction/);
        }
        await change(heifersId, 10, 'in', '2026-11-11');
        const made = await operation.as.manager.post<{ correctedId: string; entry: { herdId: string } }>(
          `${at}/correction`,
          { reason: REASON, herdId: cowsId, entry },
          { expect: 201 },
        );
        expect(made.body).toMatchObject({ correctedId: first.body.id, entry: { herdId: cowsId } });
      }
      const days = async (herdId: string): Promise<unknown> =>
        (
          await operation.as.accountant.get<{ headDays: number }>(operation.at(`/herds/${herdId}/head-days`), {
            query: { from: '2026-11-01', until: '2027-01-15' },
            expect: 200,
          })
        ).body.headDays;
      return [await days(cowsId), await days(heifersId)];
    };
    expect(await history(true)).toEqual(await history(false));
  });

  it('of the only class that a herd was given, which a reversal cannot take out', async () => {
    const { operation, cowsId } = await books('fifo');
    const events = operation.at(`/herds/${cowsId}/events`);
    const { body } = await operation.as.manager.get<{ items: { id: string; kind: string; happenedOn: string }[] }>(
      events,
      { query: { kind: 'class' }, expect: 200 },
    );
    const [only] = body.items;
    const at = `${events}/${only?.id ?? ''}`;
    expect((await operation.as.manager.post(`${at}/reversal`, { reason: REASON })).status).toBe(409);
    const entry = { kind: 'class', happenedOn: only?.happenedOn, cattleClass: 'first-calf-heifer' };
    await operation.as.manager.post(`${at}/correction`, { reason: REASON, entry }, { expect: 201 });
    const weighed = { kind: 'condition', happenedOn: '2026-12-01', score: '5' };
    const again = await operation.as.manager.get<{ items: { id: string; cattleClass: string; reversal: unknown }[] }>(
      events,
      { query: { kind: 'class' }, expect: 200 },
    );
    const standing = again.body.items.filter((one) => one.reversal === null);
    expect(standing.map((one) => one.cattleClass)).toEqual(['first-calf-heifer']);
    // What is right may not be another kind of event, if that leaves the herd without a class.
    const left = await operation.as.manager.post(`${events}/${standing[0]?.id ?? ''}/correction`, {
      reason: REASON,
      entry: weighed,
    });
    expect(left.status).toBe(409);
  });

  it('of a cost of a herd', async () => {
    const { operation, cowsId, heifersId } = await books('fifo');
    const bill = (herdId: string, amount: string) => ({
      herdId,
      kind: 'veterinary',
      happenedOn: '2026-12-05',
      payee: 'A veterinarian',
      amount,
    });
    const id = await post(operation, '/herd-costs', bill(heifersId, '5400'));
    const made = await operation.as.manager.post<{ entry: { herdId: string; amountTyped: string | null } }>(
      operation.at(`/herd-costs/${id}/correction`),
      { reason: REASON, entry: bill(cowsId, '540') },
      { expect: 201 },
    );
    expect(made.body.entry.herdId).toBe(cowsId);
    const closeout = await operation.as.accountant.get<{ reversal: { reason: string } }>(
      operation.at(`/herd-costs/${id}`),
      { expect: 200 },
    );
    expect(closeout.body.reversal.reason).toBe(REASON);
  });

  it('of a harvest, whose hay was fed', async () => {
    const of = await books('fifo');
    const { operation, cowsId, ranchId } = of;
    const raised = await harvest(operation, ranchId, { cost: usd('800') });
    await feeding(operation, cowsId, [[raised.hayLotId, '1500']], { fedOn: '2026-12-01' });
    const entry = {
      harvestedOn: '2026-07-10',
      lot: { id: raised.hayLotId },
      baleCount: 20,
      weight: net('12'),
      cost: usd('80'),
    };
    const answer = await operation.as.manager.post<Corrected>(
      operation.at(`/harvests/${raised.id}/correction`),
      { reason: REASON, entry },
      { expect: 201 },
    );
    const read = await operation.as.accountant.get<{ costOfProduction: { amount: string } }>(
      operation.at(`/harvests/${answer.body.entry.id}`),
      { expect: 200 },
    );
    expect(read.body.costOfProduction.amount).toBe('960.00');
  });

  it('of a correction that was posted late is not dated before that, though its days are open again', async () => {
    const { operation, ranchId } = await books('fifo');
    const { lotId, purchaseId } = await lot(operation, ranchId, { name: 'Closed once', tons: '10' });
    const { accountant, manager } = operation.as;
    const closing = await accountant.post<WithId>(operation.at('/closings'), { until: '2026-12-31' }, { expect: 201 });
    const entry = purchaseBody(ranchId, { lot: { id: lotId }, price: usd('110') });
    const correct = (id: string, body: object) =>
      manager.post<Corrected & { type: string; errors: { code: string; allowed: string }[] }>(
        operation.at(`/hay-purchases/${id}/correction`),
        { reason: REASON, entry: body },
      );
    const late = await correct(purchaseId, { ...entry, postTo: 'open-period' });
    expect(late.status).toBe(201);
    await accountant.post(
      operation.at(`/closings/${closing.body.id}/reopening`),
      { reason: 'Looked at again' },
      { expect: 200 },
    );
    const again = await correct(late.body.entry.id, entry);
    expect([again.status, again.body.errors[0]?.code, again.body.errors[0]?.allowed]).toEqual([
      409,
      'before-late-reversal',
      '2027-01-01 or later',
    ]);
    expect((await correct(late.body.entry.id, { ...entry, purchasedOn: '2027-01-01' })).status).toBe(201);
  });

  it('names the next step where later entries lean on what is reversed', async () => {
    const { operation, cowsId, ranchId } = await books('fifo');
    const { lotId, purchaseId } = await lot(operation, ranchId, { name: 'Leaned on', tons: '2' });
    await feeding(operation, cowsId, [[lotId, '1500']], { fedOn: '2026-12-01' });
    const refused = await operation.as.manager.post<{ type: string; detail: string; errors: { allowed: string }[] }>(
      operation.at(`/hay-purchases/${purchaseId}/reversal`),
      { reason: REASON },
    );
    expect([refused.status, refused.body.type]).toEqual([409, '/problems/lot-short']);
    expect(refused.body.detail).toContain(`POST /hay-purchases/${purchaseId}/correction`);
    expect(refused.body.detail).toMatch(/reverse what was drawn from the lot/i);
  });

  it('saves nothing where the right entry is refused, and asks about the unlikely', async () => {
    const { operation, meadow, ranchId, ...rest } = await books('fifo');
    const id = await post(operation, '/hay-purchases', purchaseBody(ranchId, { lot: { id: meadow } }));
    const before = await told({ operation, meadow, ranchId, ...rest });
    const correct = (price: object, confirm?: string) =>
      operation.as.manager.post<Corrected & { type: string; errors: { pointer: string }[] }>(
        operation.at(`/hay-purchases/${id}/correction`),
        { reason: REASON, entry: purchaseBody(ranchId, { lot: { id: meadow }, price }) },
        confirm === undefined ? {} : { query: { confirm } },
      );
    const impossible = await correct(usd('290000'));
    expect([impossible.status, impossible.body.errors[0]?.pointer]).toEqual([422, '#/entry/price/amount']);
    const unlikely = await correct(usd('1500'));
    expect([unlikely.body.type, unlikely.body.errors[0]?.pointer]).toEqual([
      '/problems/confirm',
      '#/entry/price/amount',
    ]);
    expect(await told({ operation, meadow, ranchId, ...rest })).toEqual(before);
    const taken = await correct(usd('1500'), 'price-unusual');
    expect([taken.status, taken.body.entry.confirmed.map((one) => one.code)]).toEqual([201, ['price-unusual']]);
  });

  it('of feedings and reversals before a count tells which count is restated', async () => {
    const { operation, cowsId, other } = await books('fifo');
    const countId = await post(operation, '/stock-counts', {
      hayLotId: other,
      countedOn: '2026-12-20',
      counted: { weight: { value: '29', unit: 'ton' } },
      reason: 'Counted',
    });
    const late = await operation.as.manager.post<WithId & { heldCounts: { stockCountId: string }[] }>(
      operation.at('/feedings'),
      feedingBody(cowsId, [[other, '1500']], { fedOn: '2026-12-10' }),
      { expect: 201 },
    );
    expect(late.body.heldCounts.map((one) => one.stockCountId)).toEqual([countId]);
    const reversed = await operation.as.manager.post<{ heldCounts: { stockCountId: string }[] }>(
      operation.at(`/feedings/${late.body.id}/reversal`),
      { reason: REASON },
      { expect: 201 },
    );
    expect(reversed.body.heldCounts.map((one) => one.stockCountId)).toEqual([countId]);
    const soldThen = await sale(operation, other, { soldOn: '2026-12-05' });
    const back = await operation.as.manager.post<{ heldCounts: { stockCountId: string }[] }>(
      operation.at(`/hay-sales/${soldThen.id}/reversal`),
      { reason: REASON },
      { expect: 201 },
    );
    expect(back.body.heldCounts.map((one) => one.stockCountId)).toEqual([countId]);
  });
});
