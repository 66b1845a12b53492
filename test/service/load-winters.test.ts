import { loadWinters } from '../../seed/load/load-winters.js';
import { OperationToLoad, WINTER_DAYS } from '../../seed/load/winters-of-operation.js';
import { CostingRead } from '../../src/records/hay/costing/costing.read.js';
import { WrittenCostsService } from '../../src/records/hay/costing/written-costs.service.js';
import { WrittenCostsStore } from '../../src/records/hay/costing/written-costs.store.js';
import { openYard, type Yard } from '../support/world.js';

const SIZE = { operations: 2, winters: 2, herds: 1 };

describe('Winters for measuring', () => {
  let yard: Yard;
  beforeAll(async () => {
    yard = await openYard();
  });
  afterAll(() => yard.close());

  it('are the same every time', () => {
    const made = (number: number): string => JSON.stringify(new OperationToLoad(number, SIZE).winter(1));
    expect(made(1)).toBe(made(1));
    expect(made(1)).not.toBe(made(0));
  });

  it('keep the rules whose triggers they pass by: no lot below zero, no reference into nothing', async () => {
    const { ownerUrl, ownerPool } = yard;
    // Three layers a day, and eight lots bought, in each winter of each operation.
    const movements = 2 * 2 * (3 * WINTER_DAYS + 8);
    expect(await loadWinters(ownerUrl, SIZE)).toBe(movements);
    const { rows } = await ownerPool.query<{ lots: number; least: string; movements: number }>(`
      SELECT count(DISTINCT hay_lot_id)::int AS lots, min(balance) AS least, count(*)::int AS movements FROM (
        SELECT hay_lot_id, sum(kilograms) OVER (PARTITION BY operation_id, hay_lot_id ORDER BY effective_at) AS balance
          FROM stock_movement) AS running`);
    expect(rows).toMatchObject([{ lots: 2 * 2 * 8, movements }]);
    expect(Number(rows[0]?.least)).toBeGreaterThan(0);
    // Made again, a foreign key is checked against every row.
    await ownerPool.query(`DO $$ DECLARE key record; BEGIN
      FOR key IN SELECT conrelid::regclass AS "table", conname, pg_get_constraintdef(oid) AS definition
        FROM pg_constraint WHERE contype = 'f' AND conparentid = 0 AND connamespace = 'public'::regnamespace
      LOOP
        EXECUTE format('ALTER TABLE %s DROP CONSTRAINT %I, ADD CONSTRAINT %I %s',
          key."table", key.conname, key.conname, key.definition);
      END LOOP; END $$`);
  });

  it('have costs that are due, and written they are those of a replay', async () => {
    const { database } = yard;
    const costs = new WrittenCostsService(new CostingRead(), new WrittenCostsStore());
    const operations = await database.operationsWithCosts('due');
    expect(operations).toHaveLength(2);
    for (const operationId of operations) {
      while ((await database.keepBooks(operationId, (books) => costs.writePart(books))) === 'more');
      const { written, differ } = await database.keepBooks(operationId, (books) => costs.differences(books));
      expect([written, differ]).toEqual([2 * (3 * WINTER_DAYS + 8), []]);
    }
    expect(await database.operationsWithCosts('due')).toEqual([]);
    // What was paid is in what was fed and what is left.
    const { rows } = await yard.ownerPool.query<{ paid: string; fed: string }>(`
      SELECT (SELECT sum(amount::numeric) FROM stock_cost)::text AS paid,
        (SELECT sum(abs(amount)) FROM costed_entry JOIN stock_movement m ON m.id = entry_id WHERE m.kind = 'feed')
          ::text AS fed`);
    expect(Number(rows[0]?.fed) / Number(rows[0]?.paid)).toBeGreaterThan(0.9);
  });

  it('do not go where there are records already', async () => {
    await expect(loadWinters(yard.ownerUrl, SIZE)).rejects.toThrow('already holds the operation "Load 0001"');
  });
});
