/*
 * The hay books under random histories and under many clients. What must hold needs no outside number: opening + in -
 * out = closing, in kilograms and to the cent, whichever way cost flows; and a lot never gives more than it has.
 */
import { examples } from '../support/properties.js';
import { Database } from '../../src/platform/database/database.js';
import { WrittenCostsService } from '../../src/records/hay/costing/written-costs.service.js';
import { net, tons } from '../support/books.js';
import { type Operation, operationWith } from '../support/people.js';
import { balance, feedingBody, herd, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
beforeAll(async () => {
  world = await openWorld();
});
afterAll(async () => {
  await world.close();
});

const HISTORIES = examples(6);
const STEPS = 26;
const METHODS = ['specific-lot', 'moving-average', 'fifo'] as const;
const SEED = 20270115;

/** Uniform numbers from 0 to below 1 of a stated seed (mulberry32, public domain). */
function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}

interface Written {
  path: string;
  id: string;
  day: string;
}

/**
 * Writes a random history; whatever the books refuse for want of hay is refused as one expects, and the rest stands.
 */
async function aHistory(
  operation: Operation,
  ranchId: string,
  herdId: string,
  random: () => number,
): Promise<{ written: number; refused: number }> {
  const pick = <T>(some: readonly T[]): T | undefined => some[Math.floor(random() * some.length)];
  const amount = (most: number): string => (random() * most + 0.01).toFixed(2);
  const day = (): string => `2026-11-${String(1 + Math.floor(random() * 28)).padStart(2, '0')}`;
  const mass = (most: number): { weight: { value: string; unit: string } } => ({
    weight: { value: (random() * most + 1).toFixed(3), unit: 'lb' },
  });
  const lots: string[] = [];
  const receipts: { kind: string; id: string; day: string }[] = [];
  const standing: Written[] = [];
  const counts = { written: 0, refused: 0 };
  const send = async (
    path: string,
    body: object,
    on: string,
  ): Promise<(WithId & Record<string, string>) | undefined> => {
    const answer = await operation.as.manager.post<WithId & Record<string, string>>(operation.at(path), body);
    if (answer.status === 201) {
      counts.written += 1;
      if (!path.includes('reversal')) standing.push({ path, id: answer.body.id, day: on });
      return answer.body;
    }
    // Short lots, bills that stand, receipts that are gone, loads over what is there: refused in order, never a fault.
    expect([path, [409, 422].includes(answer.status)]).toEqual([path, true]);
    counts.refused += 1;
    return undefined;
  };
  for (let step = 0; step < STEPS; step += 1) {
    const on = day();
    const lotId = pick(lots);
    const what = step < 3 ? 0 : Math.floor(random() * 11);
    if (what <= 1 || lotId === undefined) {
      const own = random() < 0.3;
      const hayKind = random() < 0.6 ? 'meadow' : 'alfalfa';
      const where = { name: `Lot ${lots.length}`, ranchId, hayKind, baleForm: 'round', storageMethod: 'tarp' };
      const made = own
        ? await send(
            '/harvests',
            {
              harvestedOn: on,
              lot: where,
              weight: net(amount(20000), 'lb'),
              cost: { basis: 'lump-sum', amount: amount(2000) },
            },
            on,
          )
        : await send(
            '/hay-purchases',
            {
              vendor: 'X',
              purchasedOn: on,
              lot: where,
              weight: net(amount(20000), 'lb'),
              price: { basis: 'lump-sum', amount: amount(3000) },
              freight: amount(300),
            },
            on,
          );
      if (made?.['hayLotId'] !== undefined) {
        lots.push(made['hayLotId']);
        receipts.push({ kind: own ? 'harvest' : 'hay-purchase', id: made.id, day: on });
      }
    } else if (what <= 4)
      await send(
        '/feedings',
        {
          ...feedingBody(herdId, [], { fedOn: on }),
          layers: [{ role: 'coarse', parts: [{ hayLotId: lotId, ...mass(3000) }] }],
        },
        on,
      );
    else if (what === 5)
      await send(
        '/hay-sales',
        {
          hayLotId: lotId,
          buyer: 'X',
          soldOn: on,
          quantity: mass(4000),
          price: { basis: 'lump-sum', amount: amount(900) },
        },
        on,
      );
    else if (what === 6) {
      const to = pick(lots);
      const moved = await send(
        '/hay-transfers',
        {
          fromLotId: lotId,
          to:
            to === undefined || to === lotId || random() < 0.5 ? { name: `Moved ${lots.length}`, ranchId } : { id: to },
          movedOn: on,
          quantity: mass(4000),
        },
        on,
      );
      if (moved?.['toLotId'] !== undefined && !lots.includes(moved['toLotId'])) lots.push(moved['toLotId']);
    } else if (what === 7)
      await send(
        '/storage-shrinks',
        {
          hayLotId: lotId,
          lostOn: on,
          how: { basis: 'weighed', quantity: mass(500) },
          abnormal: random() < 0.4,
          reason: 'Wet',
        },
        on,
      );
    else if (what === 8)
      await send(
        '/stock-counts',
        {
          hayLotId: lotId,
          countedOn: on,
          counted: mass(9000),
          treatment: random() < 0.5 ? 'expense' : 'into-unit-cost',
          reason: 'Counted',
        },
        on,
      );
    else if (what === 9) {
      const receipt = pick(receipts);
      if (receipt !== undefined)
        await send(
          '/late-costs',
          {
            receipt: { kind: receipt.kind, id: receipt.id },
            billedOn: day(),
            owed: random() < 0.5 ? 'freight' : 'charges',
            biller: 'X',
            amount: random() < 0.2 ? `-${amount(20)}` : amount(400),
          },
          on,
        );
    } else {
      const one = pick(standing);
      if (one !== undefined)
        await send(
          `${one.path}/${one.id}/reversal`,
          { reason: 'Wrong', ...(random() < 0.5 ? {} : { effectiveOn: '2026-11-29' }) },
          on,
        );
    }
  }
  return counts;
}

/** The reports that sum written costs. */
async function reportsOf(operation: Operation): Promise<unknown[]> {
  const reports: unknown[] = [];
  for (const by of ['kind', 'month'])
    reports.push(
      (
        await operation.as.accountant.get(operation.at('/reports/season-cost'), {
          query: { from: '2026-11-05', until: '2026-11-30', by },
          expect: 200,
        })
      ).body,
    );
  return reports;
}

/** The same of a replay of the ledger, which they fall back on while something is due. */
async function replayedReports(operation: Operation): Promise<unknown[]> {
  await world.ownerPool.query(
    'INSERT INTO costing_due (operation_id, costing_method, hay_kind, from_on, transaction_number) SELECT id, ' +
      "costing_method, 'meadow', DATE '2026-11-01', 0 FROM operation WHERE id = $1",
    [operation.id],
  );
  const reports = await reportsOf(operation);
  // Written anew from the first day, as after an upgrade.
  const { application } = world;
  await application
    .get(Database)
    .keepBooks(operation.id, (books) => application.get(WrittenCostsService).writePart(books));
  return reports;
}

const cents = (text: string): bigint => BigInt(text.replace('.', ''));

describe('random histories', () => {
  interface Position {
    lots: { hayLotId: string; quantity: { value: string }; value: { amount: string } }[];
    total: { quantity: { value: string }; value: { amount: string } };
    reconciliation: {
      received: { value: string };
      drawn: { value: string };
      onHand: { value: string };
      valueReceived: { amount: string };
      valueDrawn: { amount: string };
      valueOnHand: { amount: string };
    };
  }
  interface Journal {
    items: { lines: { account: string; debit: { amount: string }; credit: { amount: string } }[] }[];
    nextCursor: string | null;
  }

  it.each(Array.from({ length: HISTORIES }, (_, index) => index))(
    'history %i reconciles in quantity and to the cent under each method',
    async (index) => {
      const operation = await operationWith(world, { roles: ['manager', 'accountant'] });
      const before = await operation.as.owner.get(operation.at(''), { expect: 200 });
      await operation.as.owner.patch(
        operation.at(''),
        { costingMethod: METHODS[index % METHODS.length] },
        { ifMatch: before.headers['etag'] ?? '', expect: 200 },
      );
      const ranchId = await ranch(operation);
      const herdId = await herd(operation, ranchId);
      const { written } = await aHistory(operation, ranchId, herdId, seeded(SEED + index));
      expect(written).toBeGreaterThan(5);
      const { rows } = await world.ownerPool.query<{ hay_lot_id: string; kg: string }>(
        'SELECT hay_lot_id, sum(kilograms)::text AS kg FROM stock_movement WHERE operation_id = $1 GROUP BY 1 ' +
          'HAVING sum(kilograms) <> 0',
        [operation.id],
      );
      const costs = world.application.get(WrittenCostsService);
      const held = (): ReturnType<WrittenCostsService['differences']> =>
        world.application.get(Database).keepBooks(operation.id, (books) => costs.differences(books));
      const due = async (): Promise<unknown> =>
        (
          await world.ownerPool.query(
            'SELECT 1 FROM costing_due d JOIN operation o ON o.id = d.operation_id AND o.costing_method = ' +
              'd.costing_method WHERE o.id = $1',
            [operation.id],
          )
        ).rowCount;
      // Written entry by entry, back-dated ones among them, under the method that the operation had meanwhile.
      expect([await due(), (await held()).differ]).toEqual([0, []]);
      for (const costingMethod of METHODS) {
        const settings = await operation.as.owner.get(operation.at(''), { expect: 200 });
        await operation.as.owner.patch(
          operation.at(''),
          { costingMethod },
          { ifMatch: settings.headers['etag'] ?? '', expect: 200 },
        );
        const { written: kept, differ } = await held();
        expect([await due(), differ]).toEqual([0, []]);
        expect(kept).toBeGreaterThan(4);
        if (costingMethod === METHODS[index % METHODS.length])
          expect(await replayedReports(operation)).toEqual(await reportsOf(operation));
        const found = (
          await operation.as.accountant.get<Position>(operation.at('/reports/hay-position'), {
            query: { on: '2026-11-30', units: 'metric' },
            expect: 200,
          })
        ).body;
        // Quantity: the replayed lots are the ledger's sums, lot by lot (metric tons to six places, so a gram).
        const inReport = new Map(
          found.lots
            .filter((one) => Number(one.quantity.value) !== 0)
            .map((one) => [one.hayLotId, Number(one.quantity.value)]),
        );
        for (const row of rows) expect(inReport.get(row.hay_lot_id) ?? 0).toBeCloseTo(Number(row.kg) / 1000, 6);
        expect(Number(found.reconciliation.received.value) - Number(found.reconciliation.drawn.value)).toBeCloseTo(
          Number(found.total.quantity.value),
          5,
        );
        // Money, to the cent.
        expect(cents(found.reconciliation.valueReceived.amount) - cents(found.reconciliation.valueDrawn.amount)).toBe(
          cents(found.total.value.amount),
        );
        expect(found.lots.reduce((sum, one) => sum + cents(one.value.amount), 0n)).toBe(
          cents(found.total.value.amount),
        );
        const journal = (
          await operation.as.accountant.get<Journal>(operation.at('/journal'), {
            query: { from: '2026-11-01', until: '2026-11-30', limit: '200' },
            expect: 200,
          })
        ).body;
        expect(journal.nextCursor).toBeNull();
        for (const entry of journal.items)
          expect(
            entry.lines.reduce((sum, line) => sum + cents(line.debit.amount) - cents(line.credit.amount), 0n),
          ).toBe(0n);
        const inventory = journal.items
          .flatMap((entry) => entry.lines)
          .filter((line) => line.account === 'hay-inventory')
          .reduce((sum, line) => sum + cents(line.debit.amount) - cents(line.credit.amount), 0n);
        expect(inventory).toBe(cents(found.total.value.amount));
        // Each lot's card ends where the ledger ends.
        for (const row of rows.slice(0, 2)) {
          const card = (
            await operation.as.accountant.get<{ balance: { value: string }; value: { amount: string } }>(
              operation.at(`/hay-lots/${row.hay_lot_id}/card`),
              { query: { until: '2026-11-30', units: 'metric' }, expect: 200 },
            )
          ).body;
          expect(Number(card.balance.value)).toBeCloseTo(Number(row.kg) / 1000, 6);
          expect(card.value.amount).toBe(found.lots.find((one) => one.hayLotId === row.hay_lot_id)?.value.amount);
        }
      }
    },
  );
});

it('a hand who sees no prices writes the costs of what he feeds', async () => {
  const operation = await operationWith(world, { roles: ['manager', 'hand'] });
  const ranchId = await ranch(operation);
  const herdId = await herd(operation, ranchId);
  // 1 ton at the helper's price; half of it fed costs half of that.
  const { lotId } = await lot(operation, ranchId, { name: 'Fed by a hand', tons: '1' });
  await operation.as.hand.post(operation.at('/feedings'), feedingBody(herdId, [[lotId, '1000']]), { expect: 201 });
  const { rows } = await world.ownerPool.query(
    'SELECT c.amount * 2 = -sum(r.amount) AS half FROM costed_entry c JOIN costed_entry r ON r.operation_id = ' +
      'c.operation_id AND r.herd_id IS NULL WHERE c.operation_id = $1 AND c.herd_id = $2 GROUP BY c.amount',
    [operation.id, herdId],
  );
  expect(rows).toEqual([{ half: true }]);
});

describe('fifty clients at one lot', () => {
  it('sell and haul no more than there is, and no draw is lost', async () => {
    const operation = await operationWith(world, { roles: ['manager'] });
    const ranchId = await ranch(operation);
    const from = await lot(operation, ranchId, { name: 'Drawn by all', tons: '24' });
    const to = await lot(operation, ranchId, { name: 'Hauled to', tons: '1' });
    const sell = () =>
      operation.as.manager.post(operation.at('/hay-sales'), {
        hayLotId: from.lotId,
        buyer: 'X',
        soldOn: '2027-01-10',
        quantity: tons('1'),
        price: { basis: 'lump-sum', amount: '150' },
      });
    const haul = () =>
      operation.as.manager.post(operation.at('/hay-transfers'), {
        fromLotId: from.lotId,
        to: { id: to.lotId },
        movedOn: '2027-01-10',
        quantity: tons('1'),
      });
    const answers = await Promise.all(Array.from({ length: 50 }, (_, index) => (index % 2 === 0 ? sell() : haul())));
    const done = answers.filter((answer) => answer.status === 201).length;
    expect([done, answers.filter((answer) => answer.status === 409).length]).toEqual([24, 26]);
    const hauled = answers.filter((answer, index) => index % 2 === 1 && answer.status === 201).length;
    expect([await balance(operation, from.lotId), await balance(operation, to.lotId)]).toEqual([
      '0',
      String(1 + hauled),
    ]);
    const { rows } = await world.ownerPool.query<{ n: string }>(
      "SELECT count(*) AS n FROM stock_movement WHERE operation_id = $1 AND kind IN ('sale', 'transfer-out')",
      [operation.id],
    );
    expect(rows[0]?.n).toBe('24');
  });

  it('haul back and forth between two lots without a deadlock', async () => {
    const operation = await operationWith(world, { roles: ['manager'] });
    const ranchId = await ranch(operation);
    const a = await lot(operation, ranchId, { name: 'A', tons: '20' });
    const b = await lot(operation, ranchId, { name: 'B', tons: '20' });
    const haul = (from: string, to: string) =>
      operation.as.manager.post(operation.at('/hay-transfers'), {
        fromLotId: from,
        to: { id: to },
        movedOn: '2027-01-10',
        quantity: tons('1'),
      });
    const answers = await Promise.all(
      Array.from({ length: 20 }, (_, index) => (index % 2 === 0 ? haul(a.lotId, b.lotId) : haul(b.lotId, a.lotId))),
    );
    expect(answers.map((answer) => answer.status)).toEqual(answers.map(() => 201));
    expect([await balance(operation, a.lotId), await balance(operation, b.lotId)]).toEqual(['20', '20']);
    const { rows } = await world.ownerPool.query<{ deadlocks: string }>(
      'SELECT deadlocks FROM pg_stat_database WHERE datname = current_database()',
    );
    expect(rows[0]?.deadlocks).toBe('0');
  });

  it('write while the books are closed: each entry is in the stored report or refused', async () => {
    const operation = await operationWith(world, { roles: ['manager', 'accountant'] });
    const ranchId = await ranch(operation);
    const { lotId } = await lot(operation, ranchId, { tons: '50' });
    const sell = () =>
      operation.as.manager.post(operation.at('/hay-sales'), {
        hayLotId: lotId,
        buyer: 'X',
        soldOn: '2026-12-10',
        quantity: tons('1'),
        price: { basis: 'lump-sum', amount: '150' },
      });
    const close = operation.as.accountant.post<WithId>(operation.at('/closings'), { until: '2026-12-31' });
    const answers = await Promise.all(Array.from({ length: 30 }, sell));
    const closed = await close;
    expect(closed.status).toBe(201);
    const sold = answers.filter((answer) => answer.status === 201).length;
    expect(answers.filter((answer) => answer.status === 409)).toHaveLength(30 - sold);
    const stored = (
      await operation.as.accountant.get<{ body: string }>(
        operation.at(`/closings/${closed.body.id}/reports/hay-position`),
        { query: { units: 'us' }, expect: 200 },
      )
    ).body;
    expect((JSON.parse(stored.body) as { total: { quantity: { value: string } } }).total.quantity.value).toBe(
      String(50 - sold),
    );
    expect(await balance(operation, lotId)).toBe(String(50 - sold));
  });
});
