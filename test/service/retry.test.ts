/*
 * A transaction that lost against another is done again; one that keeps losing, and one that fails for another reason,
 * is not.
 */
import { sql } from 'kysely';
import { asker, type Operation, operationWith } from '../support/people.js';
import { openWorld, type World } from '../support/world.js';

describe('a transaction that lost against another', () => {
  let world: World;
  let operation: Operation;
  beforeAll(async () => {
    world = await openWorld();
    // Only so that the deadlock below is noticed at once.
    await world.ownerPool.query(
      `DO $$ BEGIN EXECUTE format('ALTER DATABASE %I SET deadlock_timeout = ''20ms''', current_database()); END $$`,
    );
    operation = await operationWith(world, { roles: ['owner'] });
  });
  afterAll(async () => {
    await world.close();
  });

  const failing = (code: string, times: number) => {
    let attempts = 0;
    const done = world.database.writeIn(asker(world, operation.people.owner), operation.id, async ({ db }) => {
      attempts += 1;
      if (attempts <= times)
        await sql.raw(`DO $$ BEGIN RAISE EXCEPTION 'lost' USING ERRCODE = '${code}'; END $$`).execute(db);
      return { attempts };
    });
    return { done, attempts: () => attempts };
  };

  it.each(['40001', '40P01'])('is done again after %s', async (code) => {
    await expect(failing(code, 2).done).resolves.toEqual({ attempts: 3 });
  });

  it('is given up after four losses', async () => {
    const { done, attempts } = failing('40001', 99);
    await expect(done).rejects.toMatchObject({ code: '40001' });
    expect(attempts()).toBe(4);
  });

  it('is not done again for another failure', async () => {
    const { done, attempts } = failing('22012', 99);
    await expect(done).rejects.toMatchObject({ code: '22012' });
    expect(attempts()).toBe(1);
  });

  it('is done again, whole, after a real deadlock', async () => {
    let bothHold: () => void = () => undefined;
    const held = new Promise<void>((resolve) => {
      bothHold = resolve;
    });
    let holding = 0;
    let attempts = 0;
    const cross = (first: number, second: number, name: string) =>
      world.database.read(asker(world, operation.people.owner), async ({ db }) => {
        attempts += 1;
        await sql`SELECT pg_advisory_xact_lock(${first}::bigint)`.execute(db);
        holding += 1;
        if (holding === 2) bothHold();
        await held;
        await sql`SELECT pg_advisory_xact_lock(${second}::bigint)`.execute(db);
        return { name };
      });
    await expect(Promise.all([cross(11, 12, 'one'), cross(12, 11, 'other')])).resolves.toEqual([
      { name: 'one' },
      { name: 'other' },
    ]);
    expect(attempts).toBe(3);
  });
});
