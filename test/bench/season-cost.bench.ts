import { Database } from '../../src/platform/database/database.js';
import { WrittenCostsService } from '../../src/records/hay/costing/written-costs.service.js';
import { type Operation, operationWith } from '../support/people.js';
import { herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';
import { asked, type ByHand, type HandServer, hangUp, serveByHand } from './by-hand.js';
import { processorTime } from './cpu.js';
import { inTurns, report } from './figure.js';
import { profiled } from './profile.js';

/**
 * The season cost of the last winter as it is written, after one winter and after ten; and a replay says the same.
 * Against the same figures by hand, and against the one statement of those that sums the winter, by itself.
 */

const NOW = '2027-04-15T18:00:00.000Z';
const WINTERS = [1, 10];
const FEEDINGS_A_WINTER = 1800;
const ROUNDS = 41;
const WINTER = ['2026-11-01', '2027-03-31'] as const;
jest.setTimeout(900_000);

/** Of each herd, what it was fed at its written cost, head-days, yardage and feedings; and what has to be looked at. */
const BY_HAND = `
  WITH method AS (
    SELECT COALESCE((SELECT c.costing_method FROM book_closing c
        LEFT JOIN book_reopening r ON r.operation_id = c.operation_id AND r.book_closing_id = c.id
        WHERE c.operation_id = $1 AND r.recorded_at IS NULL AND c.until_on >= $3::date
        ORDER BY c.until_on LIMIT 1), o.costing_method) AS method
      FROM operation o WHERE o.id = $1),
  fed AS (
    SELECT herd_id, -sum(kilograms) AS kilograms, -sum(amount + COALESCE(variance, 0)) AS cost FROM costed_entry
     WHERE operation_id = $1 AND costing_method = (SELECT method FROM method) AND herd_id IS NOT NULL
       AND effective_on BETWEEN $2::date AND $3::date GROUP BY 1),
  feedings AS (
    SELECT herd_id, count(*) AS feedings, sum(refused_kg) AS refused, sum(wasted_kg) AS wasted FROM feeding f
     WHERE operation_id = $1 AND happened_on BETWEEN $2::date AND $3::date
       AND NOT EXISTS (SELECT FROM reversal r WHERE r.operation_id = f.operation_id AND r.subject_id = f.id)
     GROUP BY 1),
  head AS (
    SELECT herd_id, json_agg(json_build_object('on', happened_on, 'head', head)) AS head FROM head_change
     WHERE operation_id = $1 AND happened_on <= $3::date GROUP BY 1)
  SELECT h.id, h.name, fed.kilograms, fed.cost, f.feedings, f.refused, f.wasted,
    head.head,
    (SELECT json_agg(json_build_object('herdId', herd_id, 'from', from_on, 'amount', amount) ORDER BY from_on)
      FROM yardage_rate WHERE operation_id = $1) AS rates,
    (SELECT method FROM method) AS method,
    EXISTS (SELECT FROM costing_due WHERE operation_id = $1 AND from_on <= $3::date) AS due,
    EXISTS (SELECT FROM book_closing WHERE operation_id = $1 AND from_on = $2::date AND until_on = $3::date) AS closed,
    EXISTS (SELECT FROM costed_entry WHERE operation_id = $1 AND costing_method = (SELECT method FROM method)
        AND variance IS NOT NULL AND effective_on BETWEEN $2::date AND $3::date) AS late
    FROM herd h LEFT JOIN fed ON fed.herd_id = h.id LEFT JOIN feedings f ON f.herd_id = h.id
    LEFT JOIN head ON head.herd_id = h.id
   WHERE h.operation_id = $1 ORDER BY h.name`;

const SUMMED = `SELECT herd_id, date_trunc('month', effective_on), sum(kilograms), sum(amount) FROM costed_entry
   WHERE operation_id = $1 AND costing_method = $4 AND effective_on BETWEEN $2::date AND $3::date GROUP BY 1, 2`;

interface Row {
  key: string;
  fed: { value: string };
  hayCost: { amount: string };
  yardageCost: { amount: string } | null;
  totalCost: { amount: string };
  headDays: number;
  perHeadDay: { amount: string } | null;
}

const KILOGRAMS_A_TON = 907.18474;
const money = (amount: number): { amount: string; currency: 'USD' } => ({ amount: amount.toFixed(2), currency: 'USD' });
const DAY_MS = 86_400_000;

/** Head-days, and what they cost at the rate of each day. */
function keptByHand(id: string, row: Record<string, unknown>): { headDays: number; yardage: number } {
  const head = row['head'] as { on: string; head: number }[];
  const rates = (row['rates'] as { herdId: string | null; from: string; amount: string }[]).filter(
    (one) => (one.herdId ?? id) === id,
  );
  const [first, last] = WINTER.map((day) => Date.parse(day)) as [number, number];
  let [headDays, yardage] = [0, 0];
  for (let at = first; at <= last; at += DAY_MS) {
    const day = new Date(at).toISOString().slice(0, 10);
    const there = head.reduce((sum, one) => sum + (one.on <= day ? one.head : 0), 0);
    const inForce = rates.filter((one) => one.from <= day);
    const rate = inForce.findLast((one) => one.herdId === id) ?? inForce.at(-1);
    headDays += there;
    yardage += there * Number(rate?.amount ?? 0);
  }
  return { headDays, yardage };
}

const seasonByHand = (operationId: string): ByHand => ({
  operationId,
  text: BY_HAND,
  values: [operationId, ...WINTER],
  answer: (rows) => ({
    rows: rows.map((row): Row & Record<string, unknown> => {
      const [key, cost] = [String(row['id']), Number(row['cost'])];
      const { headDays, yardage } = keptByHand(key, row);
      return {
        key,
        label: row['name'],
        fed: { value: (Number(row['kilograms']) / KILOGRAMS_A_TON).toFixed(3) },
        hayCost: money(cost),
        yardageCost: money(yardage),
        totalCost: money(cost + yardage),
        headDays,
        perHeadDay: money((cost + yardage) / headDays),
      };
    }),
  }),
});

/** The figures of a report that both tell, rounded to what a float by hand still tells. */
function figures(text: string): unknown {
  const { rows } = JSON.parse(text) as { rows: Row[] };
  return rows.map((row) => [
    row.key,
    Number(row.fed.value).toFixed(2),
    row.hayCost.amount,
    row.yardageCost?.amount,
    row.totalCost.amount,
    row.headDays,
    row.perHeadDay?.amount,
  ]);
}

describe('season cost', () => {
  let world: World;
  let hand: HandServer | undefined;
  let afterOneWinter: number;
  beforeAll(async () => {
    world = await openWorld({ now: NOW });
  });
  afterEach(() => hand?.close());
  afterAll(async () => {
    hangUp();
    await world.close();
  });

  async function fedFor(winters: number): Promise<Operation> {
    const operation = await operationWith(world, { roles: ['manager'] });
    const ranchId = await ranch(operation);
    const herdId = await herd(operation, ranchId);
    const { lotId } = await lot(operation, ranchId, { tons: '20000', purchasedOn: '2016-10-01' });
    await operation.as.owner.post(
      operation.at('/yardage-rates'),
      { fromOn: '2026-10-01', perHeadDay: '0.35' },
      { expect: 201 },
    );
    await world.ownerPool.query(
      `INSERT INTO stock_movement (operation_id, id, hay_lot_id, kind, kilograms, typed_value, typed_unit, effective_on,
         effective_at, ranch_id, herd_id, source_kind, source_id, recorded_by)
       SELECT $1, gen_random_uuid(), $2, 'feed', -100 - n % 7, '100', 'kg', d.day, d.day + interval '20 hours', $3, $4,
         'feeding', gen_random_uuid(), m.recorded_by
         FROM stock_movement m, generate_series(0, $5::int - 1) AS n,
           LATERAL (SELECT make_date(2027 - n / ${FEEDINGS_A_WINTER} - 1, 11, 1) + (n % ${FEEDINGS_A_WINTER}) / 12
             AS day) AS d
        WHERE m.operation_id = $1`,
      [operation.id, lotId, ranchId, herdId, winters * FEEDINGS_A_WINTER],
    );
    return operation;
  }

  it.each(WINTERS)('of one winter, after %i', async (winters) => {
    const operation = await fedFor(winters);
    const { token } = operation.as.owner;
    const [from, until] = WINTER;
    const url = `${world.address}${operation.at(`/reports/season-cost?from=${from}&until=${until}&by=herd`)}`;
    const ask = (): Promise<string> => asked(url, token);
    const replayed = JSON.parse(await ask()) as unknown;
    const costs = world.application.get(WrittenCostsService);
    while (
      (await world.application.get(Database).keepBooks(operation.id, (books) => costs.writePart(books))) === 'more'
    );
    // As a server that has been up for a minute: what was just loaded is not known to the planner before.
    const unknown = await inTurns(3, ask, ask);
    await world.ownerPool.query('ANALYZE');
    hand = await serveByHand(world.appUrl, NOW, { season: seasonByHand(operation.id) });
    const { url: handUrl } = hand;
    expect(figures(await asked(`${handUrl}/season`, token))).toEqual(figures(await ask()));
    const bench = `season-cost-written-${winters}-winters`;
    const times = await inTurns(ROUNDS, ask, () => asked(`${handUrl}/season`, token));
    await profiled(bench, async () => {
      for (let again = 0; again < 3 * ROUNDS; again += 1) await ask();
    });
    const spent = {
      ours: await processorTime(100, ask, world.ownerPool),
      byHand: await processorTime(100, () => asked(`${handUrl}/season`, token), world.ownerPool),
    };
    report({
      spent,
      bench,
      value: Number(times.measured.toFixed(2)),
      unit: 'ms',
      baseline: 'fastify and pg by hand: same token check, row-level security and figures, in one SQL statement',
      baselineValue: Number(times.baseline.toFixed(2)),
      ratio: times.ratio,
      goal: { ratioAtMost: 1.2 },
    });
    const alone = await inTurns(ROUNDS, ask, () =>
      world.ownerPool.query(SUMMED, [operation.id, ...WINTER, 'specific-lot']),
    );
    report({
      bench: `${bench}-against-a-sum`,
      value: Number(alone.measured.toFixed(2)),
      unit: 'ms',
      baseline: 'one SQL statement that only sums the winter, without HTTP, token or row-level security',
      baselineValue: Number(alone.baseline.toFixed(2)),
      ratio: alone.ratio,
    });
    report({
      bench: `${bench}-before-statistics`,
      value: Number(unknown.measured.toFixed(2)),
      unit: 'ms',
      baseline: 'the same once PostgreSQL has looked at the tables',
      baselineValue: Number(times.measured.toFixed(2)),
      goal: { ratioAtMost: 3 },
    });
    if (winters === 1) afterOneWinter = times.measured;
    else
      report({
        bench: `season-cost-of-one-winter-among-${winters}`,
        value: Number(times.measured.toFixed(2)),
        unit: 'ms',
        baseline: 'the same report where there is no other winter',
        baselineValue: Number(afterOneWinter.toFixed(2)),
        goal: { ratioAtMost: 1.2 },
      });
    expect(JSON.parse(await ask())).toEqual(replayed);
  });
});
