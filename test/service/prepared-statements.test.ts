/*
 * Statements that come again are prepared on their connection, within bounds; a table that changes under one, as in an
 * upgrade beside a running server, is noticed by nobody.
 */
import { sql } from 'kysely';
import { PLANNED_ONCE, PreparedStatements } from '../../src/platform/database/prepared-statements.js';
import type { OperationTenant } from '../../src/platform/database/types.js';
import { asker, type Operation, operationWith } from '../support/people.js';
import * as things from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

describe('names of statements', () => {
  it('are given from the second time on, one for each text, and anew when forgotten', () => {
    const statements = new PreparedStatements();
    expect(statements.nameOf('SELECT $1')).toBeUndefined();
    expect(statements.nameOf('SELECT $2')).toBeUndefined();
    const name = statements.nameOf('SELECT $1');
    expect(name).toEqual(expect.any(String));
    expect(statements.nameOf('SELECT $1')).toBe(name);
    statements.forget('SELECT $1');
    expect(statements.nameOf('SELECT $1')).toBeUndefined();
    expect([name, undefined]).not.toContain(statements.nameOf('SELECT $1'));
  });

  it('are given to 200 statements at most, whatever is asked', () => {
    const statements = new PreparedStatements();
    const names = Array.from({ length: 3000 }, (_, index) => {
      statements.nameOf(`SELECT $${index}`);
      return statements.nameOf(`SELECT $${index}`);
    });
    expect(new Set(names.filter((name) => name !== undefined)).size).toBe(200);
  });
});

describe('a statement that comes again', () => {
  let world: World;
  let operation: Operation;
  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world, { roles: ['owner', 'manager'] });
    const ranchId = await things.ranch(operation);
    for (const name of ['north', 'south', 'east', 'west']) await things.herd(operation, ranchId, { name });
    await world.ownerPool.query('CREATE TABLE gate (name text NOT NULL)');
    await world.ownerPool.query(`INSERT INTO gate VALUES ('north'), ('south')`);
    await world.ownerPool.query('GRANT SELECT ON gate TO PUBLIC');
  });
  afterAll(async () => {
    await world.close();
  });

  let attempts = 0;
  const gate = (name: string) =>
    world.database.readIn(asker(world, operation.people.owner), operation.id, async ({ db }) => {
      attempts += 1;
      return (await sql`SELECT * FROM gate WHERE name = ${name}`.execute(db)).rows;
    });

  it('is prepared on its connection, once', async () => {
    for (let turn = 0; turn < 4; turn += 1) expect(await gate('north')).toEqual([{ name: 'north' }]);
    const prepared = await world.database.readIn(asker(world, operation.people.owner), operation.id, ({ db }) =>
      sql<{ statement: string }>`SELECT statement FROM pg_prepared_statements WHERE statement LIKE '%FROM gate%'`
        .execute(db)
        .then(({ rows }) => rows),
    );
    expect(prepared).toEqual([{ statement: 'SELECT * FROM gate WHERE name = $1' }]);
  });

  it('answers as before when its table has changed: the old plan is refused, the work done again', async () => {
    await world.ownerPool.query(`ALTER TABLE gate ADD COLUMN width_ft integer NOT NULL DEFAULT 16`);
    attempts = 0;
    expect(await gate('south')).toEqual([{ name: 'south', width_ft: 16 }]);
    expect(attempts).toBe(2);
  });

  it('is one for all lists of two values or more, and finds what it names', async () => {
    const { result, texts } = await statementsOf((db, record) =>
      ['east', 'south', 'west', 'north'].reduce(
        async (found, _, count, names) => {
          const select = db
            .selectFrom('herd')
            .select('name')
            .where('name', 'in', names.slice(0, count + 1));
          const others = db
            .selectFrom('herd')
            .select('name')
            .where('name', 'not in', names.slice(0, count + 1));
          record(select.compile().sql, others.compile().sql);
          return [...(await found), (await select.execute()).length, (await others.execute()).length];
        },
        Promise.resolve([] as number[]),
      ),
    );
    // A herd of each name is on file.
    expect(result).toEqual([1, 3, 2, 2, 3, 1, 4, 0]);
    expect([...texts].map((text) => text.replace(/^.* where /, ''))).toEqual([
      '"name" = $1',
      '"name" <> $1',
      '"name" = any ($1)',
      '"name" <> all ($1)',
    ]);
  });

  it('is planned for any values where that is marked, and the next one for its own as before', async () => {
    const modes = await world.database.readIn(asker(world, operation.people.owner), operation.id, async ({ db }) => {
      const mode = sql<string>`current_setting('plan_cache_mode')`.as('mode');
      const asked = (marked: boolean) => {
        const select = db.selectFrom('operation').select(mode).where('id', '=', operation.id);
        return (marked ? select.modifyFront(PLANNED_ONCE) : select).executeTakeFirstOrThrow();
      };
      return [await asked(false), await asked(true), await asked(false)].map((row) => row.mode);
    });
    expect(modes).toEqual(['auto', 'force_generic_plan', 'auto']);
  });

  async function statementsOf<T>(
    work: (db: OperationTenant['db'], record: (...texts: string[]) => void) => Promise<T>,
  ): Promise<{ result: T; texts: ReadonlySet<string> }> {
    const texts = new Set<string>();
    const result = await world.database.readIn(asker(world, operation.people.owner), operation.id, ({ db }) =>
      work(db, (...told) => {
        for (const text of told) texts.add(text);
      }),
    );
    return { result, texts };
  }
});
