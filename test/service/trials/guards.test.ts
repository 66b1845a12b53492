import { asker, type Operation, operationWith } from '../../support/people.js';
import { openWorld, type World } from '../../support/world.js';
import { sha256 } from '../../../src/desk/trials/canonical.js';
import { aRunningTrial, feed, type RunningTrial, weighAll } from '../../api/trials/support.js';

/** What the database itself holds of a trial, whoever writes past the API. */
let world: World;
let operation: Operation;
let running: RunningTrial;
let judgementId: string;
const TABLES = [
  'trial',
  'trial_arm',
  'trial_draw',
  'trial_animal',
  'trial_herd',
  'trial_judgement',
  'trial_judgement_money',
] as const;

beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  running = await aRunningTrial(world, operation);
  for (const day of [0, 1, 30, 31]) await weighAll(operation, running, day, { usual: 0.9, change: 1.2, sd: 0.2 });
  await feed(operation, running, [0, 1]);
  judgementId = (
    await operation.as.nutritionist.post<{ id: string }>(
      running.at('/judgements'),
      { valueOfGain: { amount: '2', per: 'lb' } },
      { expect: 201 },
    )
  ).body.id;
});
afterAll(() => world.close());

describe('row-level security of trials', () => {
  it('shows no row of another operation, whatever is asked', async () => {
    const other = await operationWith(world, { roles: ['owner'] });
    for (const table of TABLES) {
      const seen = await world.database.read(asker(world, other.people.owner), ({ db }) =>
        db.selectFrom(table).selectAll().execute(),
      );
      expect(seen).toEqual([]);
    }
  });

  it('hides money from those who see no prices, and shows them the rest', async () => {
    const counts = await world.database.readIn(asker(world, operation.people.hand), operation.id, async ({ db }) => ({
      judgements: (await db.selectFrom('trial_judgement').select('id').execute()).length,
      money: (await db.selectFrom('trial_judgement_money').select('trial_judgement_id').execute()).length,
    }));
    expect(counts).toEqual({ judgements: 1, money: 0 });
    const seen = await world.database.readIn(asker(world, operation.people.accountant), operation.id, ({ db }) =>
      db.selectFrom('trial_judgement_money').select('trial_judgement_id').execute(),
    );
    expect(seen.map((row) => row.trial_judgement_id)).toEqual([judgementId]);
  });

  it('lets nobody but the desk add a draw, an arm or a judgement', async () => {
    const {
      rows: [draw],
    } = await world.ownerPool.query<{ id: string }>('SELECT id FROM trial_draw WHERE trial_id = $1', [running.trialId]);
    for (const who of ['manager', 'hand', 'accountant'] as const) {
      await expect(
        world.database.writeIn(asker(world, operation.people[who]), operation.id, async ({ db }) => {
          await db
            .insertInto('trial_amendment')
            .values({
              operation_id: operation.id,
              id: draw?.id ?? '',
              trial_id: running.trialId,
              number: 9,
              amended_on: '2026-12-01',
              reason: 'none',
              changes: '{}',
              recorded_by: operation.people[who].id,
            })
            .execute();
          return {};
        }),
      ).rejects.toMatchObject({ code: '42501' });
    }
  });
});

describe('what was kept', () => {
  it('hashes again to the same, and holds all that went in', async () => {
    const {
      rows: [row],
    } = await world.ownerPool.query<{
      inputs: { animals: object[]; hay: { fedKg: string }[] };
      inputs_hash: string;
      data_hash: string;
    }>('SELECT inputs, inputs_hash, data_hash FROM trial_judgement WHERE id = $1', [judgementId]);
    expect(sha256(row?.inputs)).toBe(row?.inputs_hash);
    expect(row?.inputs.animals).toHaveLength(20);
    const {
      rows: [money],
    } = await world.ownerPool.query<{ inputs: object; inputs_hash: string }>(
      'SELECT inputs, inputs_hash FROM trial_judgement_money WHERE trial_judgement_id = $1',
      [judgementId],
    );
    expect(sha256(money?.inputs)).toBe(money?.inputs_hash);
    expect(JSON.stringify(row?.inputs)).not.toContain('perKg');
  });

  it.each(['trial_draw', 'trial_animal', 'trial_herd', 'trial_judgement', 'trial_judgement_money'])(
    '%s takes no change, not even from the owner of the schema',
    async (table) => {
      await expect(world.ownerPool.query(`UPDATE ${table} SET operation_id = operation_id`)).rejects.toMatchObject({
        code: 'RY002',
      });
      await expect(world.ownerPool.query(`DELETE FROM ${table}`)).rejects.toMatchObject({ code: 'RY002' });
    },
  );

  it('a trial that began stays as it was planned', async () => {
    await expect(
      world.ownerPool.query("UPDATE trial SET name = 'another' WHERE id = $1", [running.trialId]),
    ).rejects.toMatchObject({ code: 'RY002' });
    await expect(
      world.ownerPool.query("UPDATE trial SET state = 'draft' WHERE id = $1", [running.trialId]),
    ).rejects.toMatchObject({ code: 'RY002' });
    await expect(
      world.ownerPool.query('DELETE FROM trial_arm WHERE trial_id = $1', [running.trialId]),
    ).rejects.toMatchObject({ code: 'RY002' });
  });

  it('two who judge at one time get two numbers and one look', async () => {
    const both = await Promise.all(
      [1, 2].map(() =>
        operation.as.nutritionist.post<{ number: number; look: { number: number } }>(
          running.at('/judgements'),
          {},
          { expect: 201 },
        ),
      ),
    );
    expect(both.map((answer) => answer.body.number).sort()).toEqual([2, 3]);
    expect(both.map((answer) => answer.body.look.number)).toEqual([1, 1]);
  });
});
