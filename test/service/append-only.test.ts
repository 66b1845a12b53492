/* What was written stays: the app's role has no right to change it, and the trigger refuses even the owner. */
import { operationWith } from '../support/people.js';
import { lot } from '../support/things.js';
import { aWinterIn } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';

/** Tables of entries. Each is answered by a reversal or a later entry, never by an edit. */
const ENTRIES = [
  'head_change',
  'head_change_price',
  'herd_cost',
  'herd_cost_money',
  'budget_entry',
  'hay_purchase',
  'hay_purchase_price',
  'stock_movement',
  'stock_cost',
  'lab_test',
  'hay_observation',
  'feeding',
  'feeding_layer',
  'weigh_in',
  'animal_weight',
  'yardage_rate',
  'reversal',
  'confirmed_entry',
  'audit_entry',
];
const NO_RIGHT = '42501';
const APPEND_ONLY = 'RY002';

describe('entries are only ever added', () => {
  let world: World;
  beforeAll(async () => {
    world = await openWorld();
    const operation = await operationWith(world);
    const { ranchId } = await aWinterIn(operation);
    // Unlikely, and confirmed.
    await lot(operation, ranchId, { name: 'Dear', price: { basis: 'per-mass', amount: '1450', per: 'ton' } });
  });
  afterAll(async () => {
    await world.close();
  });

  const attempts = (table: string): string[] => [
    `UPDATE ${table} SET operation_id = operation_id`,
    `DELETE FROM ${table}`,
    `TRUNCATE ${table} CASCADE`,
  ];
  const codeOf = async (pool: World['appPool'], statement: string): Promise<string> => {
    try {
      await pool.query(statement);
      return 'done';
    } catch (error) {
      return (error as { code: string }).code;
    }
  };

  it.each(ENTRIES)('%s: by privilege', async (table) => {
    for (const statement of attempts(table))
      expect({ statement, code: await codeOf(world.appPool, statement) }).toEqual({ statement, code: NO_RIGHT });
  });

  it.each(ENTRIES)('%s: by trigger', async (table) => {
    const { rows } = await world.ownerPool.query<{ n: string }>(`SELECT count(*) AS n FROM ${table}`);
    expect(Number(rows[0]?.n)).toBeGreaterThan(0);
    for (const statement of attempts(table))
      expect({ statement, code: await codeOf(world.ownerPool, statement) }).toEqual({ statement, code: APPEND_ONLY });
  });

  it('holds for every table that keeps who recorded a thing and when', async () => {
    const { rows } = await world.ownerPool.query<{ table_name: string }>(`
      SELECT DISTINCT c.table_name FROM information_schema.columns c WHERE c.table_schema = 'public'
        AND c.column_name = 'recorded_at'
        AND NOT EXISTS (SELECT 1 FROM pg_trigger t WHERE t.tgrelid = ('public.' || quote_ident(c.table_name))::regclass
          AND t.tgname = c.table_name || '_append_only' AND t.tgenabled = 'O')`);
    expect(rows).toEqual([]);
  });

  it('leaves the app no right to delete anywhere but where it must', async () => {
    const { rows } = await world.ownerPool.query<{ table_name: string }>(
      "SELECT table_name FROM information_schema.role_table_grants WHERE grantee = 'rickyard_app' AND " +
        "table_schema = 'public' AND privilege_type IN ('DELETE', 'TRUNCATE') ORDER BY 1",
    );
    const reasons = {
      account_event: 'failed attempts go after a while; what happened stays, by the policy of the table',
      costed_entry: 'is computed from the ledger, and again when an earlier entry changes what it cost',
      costing_due: 'is gone when the costs are written',
      costing_state: 'is computed from the ledger',
      engagement_archive: 'kept for a consultant only as long as the owner lets them read',
      idempotency_record: 'expires',
      mail_outbox: 'is gone some time after it was sent or given up',
      recovery_code: 'a new set replaces the old',
      second_factor: 'is switched off',
      request_count: 'is counted for a minute',
      sign_in_attempt: 'is counted for a quarter of an hour',
      spent_challenge: 'is cleared away once it would have expired',
      webhook_attempt: 'is gone with its message',
      webhook_delivery: 'is gone some time after it arrived or was given up',
      trial_arm: 'may still be dropped while the trial is planned',
    };
    expect(rows.map((row) => row.table_name)).toEqual(Object.keys(reasons).sort());
  });
});
