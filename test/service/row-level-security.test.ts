/*
 * What a person may see and write is decided by the database. Each test forgets something on purpose (a where, a
 * person, a check in the program) and expects the rows of others to stay unseen all the same.
 */
import { sql } from 'kysely';
import pg from 'pg';
import { DatabaseRoleProblem, refuseUnguardedRole } from '../../src/platform/database/app-login.js';
import { actsOf } from '../../src/platform/roles/roles.data.js';
import { createPool } from '../../src/platform/database/pool.js';
import { ACTS, type Act } from '../../src/platform/http/act.js';
import { newId } from '../../src/platform/identifiers.js';
import { asker, join, type Operation, operationWith, person, ROLES, type Role } from '../support/people.js';
import { aWinterIn, operationTables, type Winter } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';

const PRICE_TABLES = [
  'hay_purchase_price',
  'stock_cost',
  'yardage_rate',
  'head_change_price',
  'herd_cost_money',
  'budget_entry',
];

describe('row-level security', () => {
  let world: World;
  let ours: Operation;
  let theirs: Operation;
  let winter: Winter;
  let theirWinter: Winter;
  let tables: string[];

  beforeAll(async () => {
    world = await openWorld();
    ours = await operationWith(world);
    theirs = await operationWith(world);
    winter = await aWinterIn(ours);
    theirWinter = await aWinterIn(theirs);
    tables = [];
    for (const table of await operationTables(world)) {
      const { rows } = await world.ownerPool.query<{ operations: string }>(
        `SELECT count(DISTINCT operation_id) AS operations FROM ${table}`,
      );
      if (rows[0]?.operations === '2') tables.push(table);
    }
  });
  afterAll(async () => {
    await world.close();
  });

  const operationsSeen = async (who: { id: string }, table: string): Promise<string[]> =>
    world.database.read(asker(world, who), async ({ db }) => {
      const { rows } = await sql<{
        operation_id: string;
      }>`SELECT DISTINCT operation_id FROM ${sql.table(table)}`.execute(db);
      return rows.map((row) => row.operation_id);
    });

  it('is tried on tables that hold rows of both operations', () => {
    // What the winter does not fill is held by the rule about every policy in test/catalogue/database.test.ts.
    expect(tables).toEqual(
      expect.arrayContaining([
        ...PRICE_TABLES,
        'hay_lot',
        'stock_movement',
        'feeding',
        'feeding_layer',
        'lab_test',
        'hay_observation',
        'weigh_in',
        'animal_weight',
        'herd',
        'head_change',
        'ranch',
        'place',
        'reversal',
        'membership',
        'api_key',
        'audit_entry',
      ]),
    );
  });

  it('shows nothing of another operation where the query forgot to say which', async () => {
    for (const table of tables)
      expect({ table, seen: await operationsSeen(ours.people.owner, table) }).toEqual({ table, seen: [ours.id] });
  });

  it('shows nothing at all where nobody is asking', async () => {
    const { rows } = await world.ownerPool.query<{ table_name: string }>(
      "SELECT relname AS table_name FROM pg_class WHERE relnamespace = 'public'::regnamespace AND relkind = 'r' " +
        "AND relname NOT LIKE '\\_prisma%'",
    );
    expect(rows.length).toBeGreaterThan(20);
    for (const { table_name: table } of rows) {
      const answer = await world.appPool.query(`SELECT * FROM ${table}`);
      expect({ table, rows: answer.rowCount }).toEqual({ table, rows: 0 });
    }
  });

  it('shows nothing to a person who belongs nowhere', async () => {
    const stranger = await person(world, 'stranger');
    for (const table of tables)
      expect({ table, seen: await operationsSeen(stranger, table) }).toEqual({ table, seen: [] });
  });

  it('leaves nothing of a transaction behind on its connection', async () => {
    const pool = createPool(world.appUrl, 1);
    try {
      const client = await pool.connect();
      await client.query('BEGIN');
      await client.query('SELECT * FROM rickyard.enter($1, NULL, $2, NULL)', [
        ours.people.owner.id,
        world.clock.now().toISOString(),
      ]);
      const own = await world.ownerPool.query('SELECT 1 FROM hay_lot WHERE operation_id = $1', [ours.id]);
      expect(own.rowCount).toBeGreaterThan(2);
      expect((await client.query('SELECT 1 FROM hay_lot')).rowCount).toBe(own.rowCount);
      await client.query('COMMIT');
      client.release();
      expect((await pool.query('SELECT 1 FROM hay_lot')).rowCount).toBe(0);
    } finally {
      await pool.end();
    }
  });

  it('refuses to write into another operation, or to move a row there', async () => {
    const row = { id: newId(), name: 'Smuggled', time_zone: 'America/Denver' };
    const insert = world.database.writeIn(asker(world, ours.people.owner), ours.id, async ({ db }) => {
      await db
        .insertInto('ranch')
        .values({ ...row, operation_id: theirs.id })
        .execute();
      return {};
    });
    await expect(insert).rejects.toMatchObject({ code: '42501' });
    const move = world.database.writeIn(asker(world, ours.people.owner), ours.id, async ({ db }) => {
      await db.updateTable('ranch').set({ operation_id: theirs.id }).where('id', '=', winter.ranchId).execute();
      return {};
    });
    await expect(move).rejects.toMatchObject({ code: '42501' });
  });

  it('changes no row of another operation where the update forgot its where', async () => {
    const own = await world.ownerPool.query('SELECT 1 FROM hay_lot WHERE operation_id = $1', [ours.id]);
    await world.database.writeIn(asker(world, ours.people.manager), ours.id, async ({ db }) => {
      const { numUpdatedRows } = await db.updateTable('hay_lot').set({ name: 'Renamed' }).executeTakeFirstOrThrow();
      expect(numUpdatedRows).toBe(BigInt(own.rowCount ?? 0));
      return {};
    });
    const { rows } = await world.ownerPool.query<{ n: string }>(
      "SELECT count(*) AS n FROM hay_lot WHERE name = 'Renamed' AND operation_id = $1",
      [theirs.id],
    );
    expect(rows[0]?.n).toBe('0');
  });

  it('cannot write a reference across operations', async () => {
    const herd = world.database.writeIn(asker(world, ours.people.manager), ours.id, async ({ db }) => {
      await db
        .insertInto('herd')
        .values({
          operation_id: ours.id,
          id: newId(),
          ranch_id: theirWinter.ranchId,
          name: 'Astray',
          sex: 'bull',
          breed_type: 'dairy',
          body_weight_kg: '900',
          body_weight_value: '900',
          body_weight_unit: 'kg',
        })
        .execute();
      return {};
    });
    await expect(herd).rejects.toMatchObject({ code: 'not-found' });
  });

  it("answers not-found inside an operation that is not one's own", async () => {
    await expect(
      world.database.readIn(asker(world, ours.people.owner), theirs.id, () => Promise.resolve('seen')),
    ).rejects.toMatchObject({ code: 'not-found' });
    await expect(
      world.database.readIn(asker(world, ours.people.owner), newId(), () => Promise.resolve('seen')),
    ).rejects.toMatchObject({ code: 'not-found' });
  });

  it.each([
    { name: 'a hand', role: 'hand', seesPrices: false, sees: false },
    { name: 'a manager without prices', role: 'manager', seesPrices: false, sees: false },
    { name: 'a nutritionist without prices', role: 'nutritionist', seesPrices: false, sees: false },
    { name: 'a nutritionist with prices', role: 'nutritionist', seesPrices: true, sees: true },
    { name: 'an accountant', role: 'accountant', seesPrices: true, sees: true },
  ] as const)('money shows to $name: $sees', async ({ role, seesPrices, sees }) => {
    const who = await person(world, role);
    await join(world, who, ours.id, role, { seesPrices });
    for (const table of PRICE_TABLES)
      expect({ table, seen: await operationsSeen(who, table) }).toEqual({ table, seen: sees ? [ours.id] : [] });
    expect(await operationsSeen(who, 'hay_purchase')).toEqual([ours.id]);
  });

  it('cannot write down a hand who sees prices', async () => {
    const who = await person(world, 'hand');
    await expect(join(world, who, ours.id, 'hand', { seesPrices: true })).rejects.toMatchObject({
      code: '23514',
      constraint: 'membership_hand_sees_no_prices',
    });
  });

  it.each(
    ROLES.flatMap((role) => [
      { role, seesPrices: true },
      { role, seesPrices: false },
    ]).filter(({ role, seesPrices }) => !(role === 'hand' && seesPrices)),
  )(
    "grants a $role (sees prices: $seesPrices) the acts of the program's own table",
    async ({ role, seesPrices }: { role: Role; seesPrices: boolean }) => {
      const who = await person(world, role);
      await join(world, who, ours.id, role, { seesPrices });
      const granted = await world.database.readIn(asker(world, who), ours.id, async (tenant) => {
        const inDatabase: Act[] = [];
        for (const act of ACTS) {
          const { rows } = await sql<{
            allowed: string[];
          }>`SELECT rickyard.operations(${act})::text[] AS allowed`.execute(tenant.db);
          if (rows[0]?.allowed.includes(ours.id) === true) inDatabase.push(act);
        }
        return { inDatabase, inProgram: ACTS.filter((act) => tenant.may(act)) };
      });
      const expected = ACTS.filter((act) => actsOf(role).includes(act) && (act !== 'prices' || seesPrices));
      expect(granted).toEqual({ inDatabase: expected, inProgram: expected });
    },
  );

  it('lets a membership begin and end at its instants', async () => {
    const { moment } = asker(world, ours.people.owner);
    const at = (minutes: number): Date => new Date(moment.getTime() + minutes * 60_000);
    const who = await person(world, 'guest');
    await join(world, who, ours.id, 'nutritionist', { from: at(0).toISOString(), until: at(10).toISOString() });
    const seen = async (when: Date): Promise<boolean> =>
      (
        await world.database.read(asker(world, who, { moment: when }), ({ db }) =>
          db.selectFrom('hay_lot').select('id').execute(),
        )
      ).length > 0;
    expect([await seen(at(-0.001)), await seen(at(0)), await seen(at(9.999)), await seen(at(10))]).toEqual([
      false,
      true,
      true,
      false,
    ]);
  });

  it('shows people only to those who share an operation with them', async () => {
    const names = await world.database.read(asker(world, ours.people.owner), ({ db }) =>
      db.selectFrom('person').select('id').execute(),
    );
    const seen = new Set(names.map((row) => row.id));
    expect(seen.has(ours.people.accountant.id)).toBe(true);
    expect(seen.has(theirs.people.owner.id)).toBe(false);
  });
});

describe('the role that requests are served with', () => {
  let world: World;
  beforeAll(async () => {
    world = await openWorld();
  });
  afterAll(async () => {
    await world.close();
  });

  const refusal = async (url: string): Promise<string> => {
    const pool = new pg.Pool({ connectionString: url, max: 1 });
    try {
      await refuseUnguardedRole(pool);
      return 'accepted';
    } catch (error) {
      if (error instanceof DatabaseRoleProblem) return error.message;
      throw error;
    } finally {
      await pool.end();
    }
  };

  /** A login made for one test and taken away after it. */
  const asLogin = async (attributes: string, more: (name: string) => string[] = () => []): Promise<string> => {
    const name = `probe_${newId().replaceAll('-', '')}`;
    await world.ownerPool.query(`CREATE ROLE ${name} LOGIN PASSWORD 'probe' ${attributes}`);
    for (const statement of more(name)) await world.ownerPool.query(statement);
    const url = new URL(world.appUrl);
    url.username = name;
    url.password = 'probe';
    try {
      return await refusal(url.toString());
    } finally {
      await world.ownerPool.query(`DROP OWNED BY ${name}; DROP ROLE ${name}`);
    }
  };

  it('is accepted as the app makes it', async () => {
    expect(await refusal(world.appUrl)).toBe('accepted');
  });

  it('is refused as superuser', async () => {
    expect(await asLogin('SUPERUSER IN ROLE rickyard_app')).toContain('is a superuser');
  });

  it('is refused where it bypasses row-level security', async () => {
    expect(await asLogin('BYPASSRLS IN ROLE rickyard_app')).toContain('bypasses row-level security');
  });

  it('is refused where it owns a table', async () => {
    expect(
      await asLogin('IN ROLE rickyard_app', (name) => [
        `CREATE TABLE public.owned_${name} (id int)`,
        `ALTER TABLE public.owned_${name} OWNER TO ${name}`,
      ]),
    ).toMatch(/owns tables \(owned_probe_/);
  });

  it("is refused where it is not the app's", async () => {
    expect(await asLogin('')).toContain('is no member of rickyard_app');
  });
});
