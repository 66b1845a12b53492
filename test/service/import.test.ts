/* Imports against the ledger's guards: with other writers at the same time, cut off in the middle, and in the audit. */
import { randomUUID } from 'node:crypto';
import { ImportRead } from '../../src/records/import/import.read.js';
import { ImportStore } from '../../src/records/import/import.store.js';
import { sha256Of } from '../../src/records/import/import.service.js';
import { type Operation, operationWith } from '../support/people.js';
import { balance, feeding, herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let operation: Operation;
let herdId: string;
let lots: string[];
beforeAll(async () => {
  world = await openWorld();
});
beforeEach(async () => {
  operation = await operationWith(world, { roles: ['owner', 'manager', 'hand'] });
  const ranchId = await ranch(operation);
  herdId = await herd(operation, ranchId);
  lots = [
    (await lot(operation, ranchId, { name: 'First', tons: '10' })).lotId,
    (await lot(operation, ranchId, { name: 'Second', tons: '10' })).lotId,
  ];
});
afterAll(async () => {
  await world.close();
});

const HEADER = 'feeding,herd,fed_on,method,role,lot,weight_lb';
const day = (index: number): string => new Date(Date.UTC(2026, 10, 2 + index)).toISOString().slice(0, 10);
/** So many feedings that take 10 lb of one lot and then 10 lb of the other. */
const file = (count: number, first: string, second: string, offset = 0): string =>
  [
    HEADER,
    ...Array.from({ length: count }, (_, index) => [
      `${index},Weaned calves,${day((index + offset) % 60)},bunk,coarse,${first},10`,
      `${index},Weaned calves,${day((index + offset) % 60)},bunk,coarse,${second},10`,
    ]).flat(),
  ].join('\n');
const take = (text: string): Promise<{ status: number; body: { id: string; state: string; recordCount: number } }> =>
  operation.as.hand.post<{ id: string; state: string; recordCount: number }>(operation.at('/imports/feedings'), text, {
    headers: { 'Content-Type': 'text/csv' },
    // These files hold the same feedings on purpose, and one row takes all that is left of a lot, which is more than
    // such cattle are usually offered.
    query: { duplicates: 'enter', confirm: 'offer-unusual' },
  });

it(
  'imports and single feedings of the same lots, in either ' + 'order, all come through and draw what they say',
  async () => {
    const [first = '', second = ''] = lots;
    const answers = await Promise.all([
      take(file(40, 'First', 'Second')),
      take(file(40, 'Second', 'First', 1)),
      ...Array.from({ length: 10 }, (_, index) =>
        feeding(
          operation,
          herdId,
          index % 2 === 0
            ? [
                [first, '10'],
                [second, '10'],
              ]
            : [
                [second, '10'],
                [first, '10'],
              ],
          { fedOn: day(index) },
        ),
      ),
    ]);
    expect(answers.slice(0, 2).map((one) => (one as { status: number }).status)).toEqual([201, 201]);
    // 90 feedings of 10 lb from each of two lots of 20,000 lb.
    expect([await balance(operation, first), await balance(operation, second)]).toEqual(['9.55', '9.55']);
  },
);

it('two imports that together want more than there is: one is taken in whole, the other not at all', async () => {
  const heavy = (offset: number): string => file(30, 'First', 'Second', offset).replaceAll(/,10(?=\n|$)/g, ',400');
  const answers = await Promise.all([take(heavy(0)), take(heavy(1))]);
  expect(answers.map((one) => one.status).sort()).toEqual([201, 422]);
  const [first = '', second = ''] = lots;
  expect([await balance(operation, first), await balance(operation, second)]).toEqual(['4', '4']);
  const states = (
    await operation.as.manager.get<{ items: { state: string }[] }>(operation.at('/imports'), { expect: 200 })
  ).body.items.map((one) => one.state);
  expect(states.sort()).toEqual(['done', 'refused']);
});

it('names each record that is refused, and no other, though many are written at once', async () => {
  const [first = ''] = lots;
  const lines = Array.from(
    { length: 60 },
    (_, index) => `Weaned calves,${day(index)},windrow-on-ground,coarse,First,10,`,
  );
  // The lot holds 20,000 lb; the herd has 100 head at most.
  lines[9] = lines[9]?.replace(',10,', ',20000,') ?? '';
  lines[30] = `${lines[30] ?? ''}101`;
  lines[31] = lines[31]?.replace('First', 'Third') ?? '';
  lines[59] = lines[59]?.replace(',10,', ',19441,') ?? '';
  const text = ['herd,fed_on,method,role,lot,weight_lb,head_fed', ...lines].join('\n');
  const { body } = await operation.as.hand.post<{ problems: { row: number; column: string; code: string }[] }>(
    operation.at('/imports/feedings/check'),
    text,
    { headers: { 'Content-Type': 'text/csv' }, key: null, expect: 200 },
  );
  expect(body.problems.map(({ row, column, code }) => [row, column, code])).toEqual([
    [11, 'lot', 'lot-short'],
    [32, 'head_fed', 'more-than-the-herd'],
    [33, 'lot', 'no-such-name'],
    [61, 'lot', 'lot-short'],
  ]);
  // Of the others, 56 take 560 lb: 19,440 lb are left, one less than the last wants.
  const fits = text
    .replace(',20000,', ',10,')
    .replace(',101', ',100')
    .replace('Third', 'First')
    .replace('19441', '19410');
  expect((await take(fits)).body).toMatchObject({ state: 'done', recordCount: 60 });
  expect(await balance(operation, first)).toBe('0');
});

it('has one entry of its own, however often the request was sent at once', async () => {
  const key = randomUUID();
  const text = file(20, 'First', 'Second');
  const answers = await Promise.all(
    Array.from({ length: 12 }, () =>
      operation.as.hand.post<{ id: string }>(operation.at('/imports/feedings'), text, {
        key,
        headers: { 'Content-Type': 'text/csv' },
      }),
    ),
  );
  expect(answers.map((one) => one.status)).toEqual(answers.map(() => 201));
  expect(new Set(answers.map((one) => one.body.id)).size).toBe(1);
  const again = await Promise.all(Array.from({ length: 3 }, () => take(text)));
  expect(new Set(again.map((one) => one.body.id))).toEqual(new Set([answers[0]?.body.id]));
  const { body } = await operation.as.manager.get<{ items: { id: string; state: string }[] }>(
    operation.at('/imports'),
    { expect: 200 },
  );
  expect(body.items).toEqual([expect.objectContaining({ id: answers[0]?.body.id, state: 'done' })]);
});

type Taken = { status: number; body: { id: string } };
const takeWith = (key: string, text: string): Promise<Taken> =>
  operation.as.hand.post<{ id: string }>(operation.at('/imports/feedings'), text, {
    key,
    headers: { 'Content-Type': 'text/csv' },
  });
const entries = async (): Promise<{ id: string; state: string }[]> =>
  (
    await operation.as.manager.get<{ items: { id: string; state: string }[] }>(operation.at('/imports'), {
      expect: 200,
    })
  ).body.items.map(({ id, state }) => ({ id, state }));

/** Begins to take the file, and stops before its first record; `goOn` lets it finish. */
const halted = async (key: string, text: string): Promise<{ answer: Promise<Taken>; goOn: () => Promise<unknown> }> => {
  const client = await world.ownerPool.connect();
  await client.query('BEGIN');
  await client.query('SELECT pg_advisory_xact_lock(hashtextextended($1, 730))', [
    `${operation.id} feedings ${sha256Of(text)}`,
  ]);
  const answer = takeWith(key, text);
  while ((await entries()).length === 0) await new Promise((resolve) => setTimeout(resolve, 20));
  return { answer, goOn: () => client.query('COMMIT').finally(() => client.release()) };
};

it.each(['the same key', 'another key'])(
  'a request that comes while the first one finishes joins it: %s',
  async (how) => {
    const key = randomUUID();
    const text = file(3, 'First', 'Second');
    const first = await halted(key, text);
    // The first request finishes between two questions of the second one, just as that one looks for it.
    let looking = false;
    const hold = jest.spyOn(ImportStore.prototype, 'holdBeginning').mockImplementation(async () => {
      looking = true;
      return Promise.resolve();
    });
    const reads = (['earlier', 'running'] as const).map((name) => {
      const original = ImportRead.prototype[name] as (...all: unknown[]) => Promise<unknown>;
      return jest.spyOn(ImportRead.prototype, name).mockImplementation(async function (
        this: unknown,
        ...all: unknown[]
      ) {
        const found = await original.apply(this, all);
        if (looking) {
          looking = false;
          await first.goOn();
          await first.answer;
        }
        return found as never;
      });
    });
    const second = await takeWith(how === 'the same key' ? key : randomUUID(), text);
    [hold, ...reads].forEach((spy) => spy.mockRestore());
    const { status, body } = await first.answer;
    expect([status, second.status, second.body.id]).toEqual([201, 201, body.id]);
    expect(await entries()).toEqual([{ id: body.id, state: 'done' }]);
  },
);

it('a request sent again with its key after its records were reversed does nothing, and leaves no entry', async () => {
  const key = randomUUID();
  const text = file(1, 'First', 'Second');
  const { body } = await takeWith(key, text);
  const made = await operation.as.manager.get<{ items: { recordId: string }[] }>(
    operation.at(`/imports/${body.id}/records`),
    { expect: 200 },
  );
  for (const { recordId } of made.body.items)
    await operation.as.manager.post(
      operation.at(`/feedings/${recordId}/reversal`),
      { reason: 'Wrong file' },
      { expect: 201 },
    );
  expect((await takeWith(key, text)).body.id).toBe(body.id);
  expect(await entries()).toEqual([{ id: body.id, state: 'done' }]);
});

it('an entry begun beside one that had gone silent does not run for ever', async () => {
  const key = randomUUID();
  const text = file(1, 'First', 'Second');
  const first = await halted(key, text);
  await world.ownerPool.query(`UPDATE data_import SET moved_at = $2 WHERE operation_id = $1 AND state = 'running'`, [
    operation.id,
    new Date(world.clock.now().getTime() - 600_000).toISOString(),
  ]);
  const second = takeWith(key, text);
  while ((await entries()).length < 2) await new Promise((resolve) => setTimeout(resolve, 20));
  await first.goOn();
  const { body } = await first.answer;
  expect((await second).body.id).toBe(body.id);
  expect((await entries()).map((one) => one.state).sort()).toEqual(['broken-off', 'done']);
});

it('writes one line of audit a record and one for the import, in an unbroken chain', async () => {
  const {
    rows: [before],
  } = await world.ownerPool.query<{ last: string }>(
    'SELECT max(sequence) AS last FROM audit_entry WHERE operation_id = $1',
    [operation.id],
  );
  const { body } = await take(file(25, 'First', 'Second'));
  const { rows } = await world.ownerPool.query<{
    sequence: string;
    action: string;
    subject_id: string;
    intact: boolean;
  }>(
    `SELECT a.sequence, a.action, a.subject_id,
      a.chain_hash = encode(sha256(convert_to(jsonb_build_array(COALESCE(lag(a.chain_hash) OVER (ORDER BY a.sequence),
      ''), a.operation_id, a.sequence,
       to_char(a.recorded_at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US'), a.person_id, a.api_key_id,
         a.request_id, a.address, a.action, a.subject_kind, a.subject_id, a.before, a.after)::text, 'UTF8')),
         'hex') AS intact
       FROM audit_entry a WHERE a.operation_id = $1 ORDER BY a.sequence`,
    [operation.id],
  );
  expect(rows.map((row) => Number(row.sequence))).toEqual(rows.map((_, index) => index + 1));
  expect(rows.every((row) => row.intact)).toBe(true);
  const own = rows.filter((row) => BigInt(row.sequence) > BigInt(before?.last ?? '0'));
  expect(own.map((row) => row.action)).toEqual([...Array.from({ length: 25 }, () => 'feeding.create'), 'import.done']);
  expect(own.at(-1)?.subject_id).toBe(body.id);
});

it('an import that was cut off reads as broken off, and the same file can be taken in again', async () => {
  const text = file(3, 'First', 'Second');
  const { body } = await take(text.replace('Weaned', 'Missing'));
  expect(body).toMatchObject({ type: '/problems/import-refused' });
  await world.ownerPool.query(
    `INSERT INTO data_import (operation_id, id, kind, file_sha256, state, row_count, rows_done, record_count,
      started_at, moved_at, recorded_by)
     VALUES ($1, gen_random_uuid(), 'feedings', encode(sha256(convert_to($2, 'UTF8')), 'hex'), 'running', 6, 2, 0, $3,
       $3, $4)`,
    [operation.id, text, new Date(world.clock.now().getTime() - 600_000).toISOString(), operation.people.hand.id],
  );
  const stateOf = async (state: string): Promise<number> =>
    (await operation.as.manager.get<{ items: unknown[] }>(operation.at('/imports'), { query: { state }, expect: 200 }))
      .body.items.length;
  expect([await stateOf('running'), await stateOf('broken-off'), await stateOf('refused')]).toEqual([0, 1, 1]);
  expect((await take(text)).body).toMatchObject({ state: 'done', recordCount: 3 });
});

it('what has ended stays as it ended, also for the owner of the schema', async () => {
  const { body } = await take(file(1, 'First', 'Second'));
  await expect(
    world.ownerPool.query('UPDATE data_import SET record_count = 9 WHERE id = $1', [body.id]),
  ).rejects.toMatchObject({ code: 'RY002' });
  await expect(
    world.ownerPool.query('DELETE FROM data_import_record WHERE data_import_id = $1', [body.id]),
  ).rejects.toMatchObject({ code: 'RY002' });
  await expect(world.ownerPool.query('DELETE FROM data_import WHERE id = $1', [body.id])).rejects.toMatchObject({
    code: 'RY002',
  });
});

it("a row of another operation's file cannot be written, nor its import be seen", async () => {
  const { body } = await take(file(1, 'First', 'Second'));
  const other = await operationWith(world);
  await other.as.owner.get(other.at(`/imports/${body.id}`), { expect: 404 });
  const foreign = await other.as.owner.post<{ problems: { code: string }[] }>(
    other.at('/imports/feedings/check'),
    file(1, 'First', 'Second').replaceAll('Weaned calves', herdId),
    { headers: { 'Content-Type': 'text/csv' }, key: null, expect: 200 },
  );
  expect(foreign.body.problems.length).toBeGreaterThan(0);
});
