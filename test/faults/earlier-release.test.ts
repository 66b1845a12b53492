/*
 * A data folder as the last release before prisma/guards left it, with a ranch's books in it: the whole program starts
 * on it, serves every figure, holds the rules over what was there before, and a second start has nothing to do.
 */
import { chmodSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import pg from 'pg';
import { hashPassphrase } from '../../src/access/sign-in/passphrase.js';
import { startEmbeddedServer } from '../../src/platform/embedded/embedded-server.js';
import { newId } from '../../src/platform/identifiers.js';
import { BEFORE_GUARDS, migrateAsBeforeGuards } from '../support/earlier-release.js';
import { runProgram } from '../support/program.js';

const OWNER = newId();
const OPERATION = newId();
const RANCH = newId();
const LOT = newId();
const FED_LOT = newId();
const HERD = newId();
const PASSPHRASE = 'a winter of ninety bales';
const EMAIL = 'owner@example.com';

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(path.join(tmpdir(), 'rickyard-earlier-folder-'));
  // As root the server's programs run as another account, which must be able to walk in here.
  chmodSync(folder, 0o755);
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

/**
 * 1,000 kg of meadow hay, put up in July, of which 250 kg were sold, 500 kg of alfalfa for 90.00, of which the cows ate
 * 250 kg in November, and the cows' stage in columns; the owner can sign in.
 */
async function leaveBooksBehind(url: string): Promise<void> {
  const client = new pg.Client({ connectionString: url });
  await client.connect();
  const put = (table: string, row: Record<string, unknown>): Promise<unknown> =>
    client.query(
      `INSERT INTO ${table} (${Object.keys(row).join(', ')})
         VALUES (${Object.keys(row)
           .map((_name, index) => `$${index + 1}`)
           .join(', ')})`,
      Object.values(row),
    );
  const move = (kind: string, source: string, kilograms: string, day: string, more = {}): Promise<unknown> =>
    put('stock_movement', {
      operation_id: OPERATION,
      id: newId(),
      hay_lot_id: LOT,
      kind,
      kilograms,
      typed_value: kilograms,
      typed_unit: 'kg',
      effective_on: day,
      effective_at: `${day}T12:00:00Z`,
      ranch_id: RANCH,
      source_kind: source,
      source_id: newId(),
      recorded_by: OWNER,
      ...more,
    });
  try {
    await put('person', { id: OWNER, email: EMAIL, name: 'Owner', passphrase_hash: await hashPassphrase(PASSPHRASE) });
    await put('operation', {
      id: OPERATION,
      name: 'Winter',
      unit_preference: 'metric',
      currency: 'USD',
      time_zone: 'UTC',
      costing_method: 'fifo',
    });
    await put('membership', {
      operation_id: OPERATION,
      id: newId(),
      person_id: OWNER,
      role: 'owner',
      sees_prices: true,
      from_at: '2026-01-01',
    });
    await put('ranch', { operation_id: OPERATION, id: RANCH, name: 'Home', time_zone: 'UTC' });
    for (const [id, name, hayKind] of [
      [LOT, 'Stack', 'meadow'],
      [FED_LOT, 'Alfalfa', 'alfalfa'],
    ])
      await put('hay_lot', {
        operation_id: OPERATION,
        id,
        ranch_id: RANCH,
        name,
        category: 'hay',
        hay_kind: hayKind,
        origin: 'raised',
        bale_form: 'round',
        storage_method: 'tarp',
      });
    await put('herd', {
      operation_id: OPERATION,
      id: HERD,
      ranch_id: RANCH,
      name: 'Cows',
      cattle_class: 'dry-pregnant-cow',
      sex: 'cow',
      breed_type: 'bos-taurus-beef',
      body_weight_kg: '590',
      body_weight_value: '590',
      body_weight_unit: 'kg',
      body_condition: '5.5',
      bred_on: '2025-07-05',
      target_gain_kg: '0.1',
      target_gain_value: '0.1',
      target_gain_unit: 'kg',
      created_at: '2025-11-01T12:00:00Z',
    });
    await move('harvest', 'harvest', '1000', '2026-07-10');
    await move('sale', 'hay-sale', '-250', '2026-09-01');
    const harvested = newId();
    await move('harvest', 'harvest', '500', '2026-07-12', { id: harvested, hay_lot_id: FED_LOT });
    await put('stock_cost', {
      operation_id: OPERATION,
      id: newId(),
      hay_lot_id: FED_LOT,
      stock_movement_id: harvested,
      kind: 'production',
      amount: '90',
      currency: 'USD',
      effective_on: '2026-07-12',
      source_kind: 'harvest',
      source_id: newId(),
      recorded_by: OWNER,
    });
    await move('feed', 'feeding', '-250', '2026-11-05', { hay_lot_id: FED_LOT, herd_id: HERD });
  } finally {
    await client.end();
  }
}

interface Answered {
  status: number;
  body: Record<string, unknown>;
}

/** The program on the folder; `ask` calls it as the owner. */
async function start(use: (ask: (path: string, body?: object) => Promise<Answered>) => Promise<void>): Promise<string> {
  const { said, code } = await runProgram(
    { RICKYARD_DATA: folder },
    /Interactive reference: \S+\/reference/,
    async (soFar, stop) => {
      const address = /serves at (\S+)/.exec(soFar)?.[1] ?? '';
      let token = '';
      const ask = async (at: string, body?: object): Promise<Answered> => {
        const answer = await fetch(`${address}${at}`, {
          method: body === undefined ? 'GET' : 'POST',
          headers: {
            ...(token === '' ? {} : { authorization: `Bearer ${token}` }),
            ...(body === undefined ? {} : { 'content-type': 'application/json', 'idempotency-key': `"${newId()}"` }),
          },
          ...(body === undefined ? {} : { body: JSON.stringify(body) }),
        });
        return { status: answer.status, body: (await answer.json()) as Record<string, unknown> };
      };
      token = String((await ask('/v1/sign-in', { email: EMAIL, passphrase: PASSPHRASE })).body['accessToken']);
      await use(ask);
      stop();
    },
  );
  if (code !== 0) throw new Error(`The program ended with ${code}: ${said}`);
  return said;
}

/** How many costs are written, the sale of the first start among them, and of how many kinds some are due. */
async function costsIn(dataFolder: string): Promise<unknown> {
  const server = await startEmbeddedServer({ dataFolder, durable: false });
  const client = new pg.Client({ connectionString: server.url });
  await client.connect();
  try {
    const { rows } = await client.query(
      'SELECT (SELECT count(*)::int FROM costing_due) AS due, (SELECT count(*)::int FROM costed_entry) AS written',
    );
    return rows[0];
  } finally {
    await client.end();
    await server.stop();
  }
}

it('upgrades: every figure is served, the rules hold over what was there, a second start does nothing', async () => {
  const old = await startEmbeddedServer({ dataFolder: folder, durable: false });
  expect(await migrateAsBeforeGuards(old.url)).toEqual(BEFORE_GUARDS);
  await leaveBooksBehind(old.url);
  await old.stop();

  const lot = `/v1/operations/${OPERATION}/hay-lots/${LOT}`;
  const sale = (kilograms: string): object => ({
    hayLotId: LOT,
    buyer: 'A neighbor',
    soldOn: '2026-10-01',
    quantity: { weight: { value: kilograms, unit: 'kg' } },
    price: { basis: 'lump-sum', amount: '60' },
  });
  // Half of 90.00, replayed or written.
  const seasonCost = `/v1/operations/${OPERATION}/reports/season-cost?from=2026-11-01&until=2026-11-30&by=kind`;
  let cost: Answered | undefined;
  const first = await start(async (ask) => {
    expect(JSON.stringify((await ask(seasonCost)).body)).toContain('"45.00"');
    expect((await ask(lot)).body).toMatchObject({
      name: 'Stack',
      hayKind: 'meadow',
      storageMethod: 'tarp',
      balance: { value: '0.75', unit: 't' },
    });
    // 5 July 2025 and 220 days.
    expect((await ask(`/v1/operations/${OPERATION}/herds/${HERD}`)).body).toMatchObject({
      bodyCondition: '5.5',
      bredOn: '2025-07-05',
      targetDailyGain: { typed: { value: '0.1', unit: 'kg' } },
    });
    expect((await ask(`/v1/operations/${OPERATION}/herds/${HERD}/state?on=2026-02-10`)).body).toMatchObject({
      parts: [{ sharePercent: 100, cattleClass: 'dry-pregnant-cow', daysPregnant: 220 }],
      condition: { score: 5.5, scoredOn: '2025-11-01', from: 'entry' },
    });
    const refused = await ask(`/v1/operations/${OPERATION}/hay-sales`, sale('751'));
    expect(refused).toMatchObject({ status: 409, body: { type: '/problems/lot-short' } });
    expect((await ask(`/v1/operations/${OPERATION}/hay-sales`, sale('750'))).status).toBe(201);
    expect((await ask(lot)).body).toMatchObject({ balance: { value: '0', unit: 't' } });
    cost = await ask(seasonCost);
  });
  expect(first).toMatch(/Database: applied \d+ migrations?\./);
  expect(first).toMatch(/Database: applied the guards/);

  const second = await start(async (ask) => {
    expect(await ask(seasonCost)).toEqual(cost);
    expect((await ask(lot)).body).toMatchObject({ balance: { value: '0', unit: 't' } });
  });
  expect(second).toContain('Database: the schema was current.');
  expect(second).not.toContain('applied the guards');
  expect(await costsIn(folder)).toEqual({ due: 0, written: 5 });
});
