/*
 * The audit is a chain: each line's hash covers its content and the line before it, so that a line that is changed,
 * taken out or put in shows. Lines are changed here with the guards switched off, as somebody with the keys to the
 * database could.
 */
import { createHash } from 'node:crypto';
import { type Operation, operationWith } from '../support/people.js';
import { aWinterIn } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';

interface Link {
  sequence: string;
  chain_hash: string;
  content: string;
}

describe('the audit chain', () => {
  let world: World;
  let operation: Operation;
  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world);
    await aWinterIn(operation);
  });
  afterAll(async () => {
    await world.close();
  });

  /** The content of each line as one JSON array, so that no value can pass for its neighbor. */
  const links = async (): Promise<Link[]> =>
    (
      await world.ownerPool.query<Link>(
        `
    SELECT a.sequence, a.chain_hash, jsonb_build_array(
             COALESCE(lag(a.chain_hash) OVER (ORDER BY a.sequence), ''), a.operation_id, a.sequence,
               to_char(a.recorded_at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US'),
             a.person_id, a.api_key_id, a.request_id, a.address, a.action, a.subject_kind, a.subject_id, a.before,
               a.after)::text AS content
      FROM audit_entry a WHERE a.operation_id = $1 ORDER BY a.sequence`,
        [operation.id],
      )
    ).rows;

  /** The first line at which the chain does not hold: its place in the sequence, or undefined. */
  const firstBreak = async (): Promise<number | undefined> => {
    const all = await links();
    const at = all.findIndex(
      (link, index) =>
        Number(link.sequence) !== index + 1 ||
        createHash('sha256').update(link.content).digest('hex') !== link.chain_hash,
    );
    return at === -1 ? undefined : at + 1;
  };

  /** Changes the table behind the guards' back, asks where the chain breaks, and puts everything back. */
  const breakAfter = async (statement: string): Promise<number | undefined> => {
    await world.ownerPool.query('CREATE TABLE kept AS SELECT * FROM audit_entry');
    await world.ownerPool.query('ALTER TABLE audit_entry DISABLE TRIGGER USER');
    try {
      const { rowCount } = await world.ownerPool.query(statement);
      expect(rowCount).toBe(1);
      return await firstBreak();
    } finally {
      await world.ownerPool.query('DELETE FROM audit_entry');
      await world.ownerPool.query('INSERT INTO audit_entry SELECT * FROM kept');
      await world.ownerPool.query('DROP TABLE kept');
      await world.ownerPool.query('ALTER TABLE audit_entry ENABLE TRIGGER USER');
    }
  };

  it('holds as written, from the first line on, without a gap', async () => {
    expect((await links()).length).toBeGreaterThan(10);
    expect(await firstBreak()).toBeUndefined();
  });

  it.each([
    ['when', "recorded_at = recorded_at + interval '1 microsecond'"],
    ['who', 'person_id = gen_random_uuid()'],
    ['by which key', 'api_key_id = gen_random_uuid()'],
    ['in which request', "request_id = request_id || 'x'"],
    ['from where', "address = '10.9.9.9'"],
    ['what was done', "action = 'ranch.change'"],
    ['to what sort of thing', "subject_kind = 'elsewhere'"],
    ['to which thing', 'subject_id = gen_random_uuid()'],
    ['what it was after', 'after = \'{"name": "Another"}\''],
    ['what it was before', 'before = \'{"name": "Another"}\''],
    ['after, written as before', 'before = after, after = NULL'],
    ['the person, written as the key', 'api_key_id = person_id, person_id = NULL'],
    [
      'text that moves over a boundary',
      "request_id = request_id || '|' || address, address = action, action = subject_kind, subject_kind = " +
        'subject_id::text, subject_id = NULL',
    ],
  ])('shows a change of %s', async (_what, change) => {
    expect(
      await breakAfter(`UPDATE audit_entry SET ${change} WHERE operation_id = '${operation.id}' AND sequence = 3`),
    ).toBe(3);
  });

  it('shows a line taken out', async () => {
    expect(await breakAfter(`DELETE FROM audit_entry WHERE operation_id = '${operation.id}' AND sequence = 3`)).toBe(3);
  });

  it('shows a line put in', async () => {
    const last = (await links()).length;
    expect(
      await breakAfter(
        `INSERT INTO audit_entry SELECT operation_id, ${last + 1}, recorded_at, person_id, api_key_id, ` +
          'request_id, address, action, subject_kind, subject_id, before, after, chain_hash FROM audit_entry ' +
          `WHERE operation_id = '${operation.id}' AND sequence = 3`,
      ),
    ).toBe(last + 1);
  });

  it('numbers the lines of simultaneous writers one after the other', async () => {
    const before = (await links()).length;
    await Promise.all(
      Array.from({ length: 15 }, (_, index) =>
        operation.as.manager.post(operation.at('/ranches'), { name: `Ranch ${index}` }, { expect: 201 }),
      ),
    );
    expect(await links()).toHaveLength(before + 15);
    expect(await firstBreak()).toBeUndefined();
  });

  it('takes neither number, time nor hash from the writer', async () => {
    const { rows } = await world.ownerPool.query<Link & { recent: boolean }>(
      `
      INSERT INTO audit_entry (operation_id, sequence, recorded_at, request_id, address, action, subject_kind,
        chain_hash)
      VALUES ($1, 9999, '2001-01-01', 'r', 'a', 'x', 'y', 'forged')
        RETURNING sequence, chain_hash, recorded_at > now() - interval '1 minute' AS recent`,
      [operation.id],
    );
    expect(rows[0]).toMatchObject({ sequence: String((await links()).length), recent: true });
    expect(rows[0]?.chain_hash).toMatch(/^[0-9a-f]{64}$/);
    expect(await firstBreak()).toBeUndefined();
  });

  it('shows to an owner of the operation and to nobody else of it', async () => {
    const seen = async (role: 'owner' | 'manager' | 'accountant'): Promise<number> => {
      const moment = world.clock.now();
      return world.database.read(
        {
          personId: operation.people[role].id,
          apiKeyId: undefined,
          moment,
          requestId: 'r',
          address: 'a',
          idempotency: undefined,
        },
        async ({ db }) => (await db.selectFrom('audit_entry').select('sequence').execute()).length,
      );
    };
    expect(await seen('owner')).toBe((await links()).length);
    expect([await seen('manager'), await seen('accountant')]).toEqual([0, 0]);
  });

  it('names who did what, in which request', async () => {
    await operation.as.manager.post(
      operation.at('/ranches'),
      { name: 'Audited' },
      { expect: 201, headers: { 'X-Request-Id': 'from-the-phone-17' } },
    );
    const { rows } = await world.ownerPool.query(
      "SELECT person_id, request_id, action, subject_kind, after->>'name' AS name FROM audit_entry WHERE " +
        'operation_id = $1 ORDER BY sequence DESC LIMIT 1',
      [operation.id],
    );
    expect(rows).toEqual([
      {
        person_id: operation.people.manager.id,
        request_id: 'from-the-phone-17',
        action: 'ranch.create',
        subject_kind: 'ranch',
        name: 'Audited',
      },
    ]);
  });

  it('leaves no line behind a write that failed', async () => {
    const before = (await links()).length;
    const refused = await operation.as.manager.post(operation.at('/herds'), {
      name: 'Astray',
      ranchId: operation.id,
      cattleClass: 'bull',
      sex: 'bull',
      bodyWeight: { value: '900', unit: 'kg' },
    });
    expect(refused.status).toBe(404);
    expect(await links()).toHaveLength(before);
  });
});
