/*
 * The dry matter of a feed conversion is that of the judge: of each lot on each day what the review of that day says.
 */
import { addDays, daysBetween } from '../../src/core/time/calendar-day.js';
import fc, { examples } from '../support/properties.js';
import { type Operation, operationWith } from '../support/people.js';
import { feeding, herd, labTestBody, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Mass {
  value: string;
  unit: string;
}
interface Converted {
  herds: {
    figures: { fed: Mass; dryMatterFed: Mass; shareOfDryMatterFromBookValues: number } | null;
    notes: { code: string }[];
  }[];
}
interface Review {
  lines: { nutrient: string; supply: number | null }[];
  layers: { perHead: Mass; testedOn: string | null }[];
}
interface Test {
  sampledOn: string;
  dryMatter: number;
  method: string;
  cores: number | null;
}

const HEAD = 10;
const FIRST_WEIGHED = '2026-12-01';
const LAST_WEIGHED = '2027-01-10';

let world: World;
let operation: Operation;
let ranchId: string;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  ranchId = await ranch(operation);
});
afterAll(async () => {
  await world.close();
});

const post = async (path: string, body: object): Promise<void> => {
  await operation.as.manager.post(operation.at(path), body, { expect: 201 });
};

/** Ten calves that gain between two weighings and are fed 100 lb of one lot on each of some days. */
async function fedCalves(hayLotId: string, days: readonly string[]): Promise<string> {
  const herdId = await weighedCalves(FIRST_WEIGHED, LAST_WEIGHED);
  for (const fedOn of days) await feeding(operation, herdId, [[hayLotId, '100']], { fedOn });
  return herdId;
}

async function weighedCalves(first: string, last: string, gained = 50): Promise<string> {
  const herdId = await herd(operation, ranchId, { head: HEAD });
  for (const [weighedOn, value] of [
    [first, '500'],
    [last, String(500 + gained)],
  ] as const)
    await post('/weigh-ins', {
      scope: 'group',
      herdId,
      weighedOn,
      fill: 'full',
      head: HEAD,
      measure: 'mean',
      weight: { value, unit: 'lb' },
    });
  return herdId;
}

/** Dry matter that the conversion counts in all of these days, lb. */
async function converted(herdId: string): Promise<{ pounds: number; ofBooks: number; notes: string[] }> {
  const { body } = await operation.as.accountant.get<Converted>(operation.at('/reports/feed-conversion'), {
    query: { from: FIRST_WEIGHED, until: LAST_WEIGHED, herdId },
    expect: 200,
  });
  const [one] = body.herds;
  return {
    pounds: Number(one?.figures?.dryMatterFed.value) * 2000,
    ofBooks: one?.figures?.shareOfDryMatterFromBookValues ?? NaN,
    notes: one?.notes.map(({ code }) => code) ?? [],
  };
}

/** Dry matter of 100 lb by the review of the day, which counts what was fed in the week up to it. */
async function reviewed(herdId: string, on: string): Promise<{ pounds: number; isTested: boolean }> {
  const { body } = await operation.as.manager.get<Review>(operation.at(`/herds/${herdId}/ration-review`), {
    query: { on },
    expect: 200,
  });
  const supply = body.lines.find((line) => line.nutrient === 'dryMatter')?.supply ?? NaN;
  const [layer] = body.layers;
  return { pounds: (100 * supply) / Number(layer?.perHead.value), isTested: (layer?.testedOn ?? null) !== null };
}

async function tested(hayLotId: string, { sampledOn, dryMatter, method, cores }: Test): Promise<void> {
  const body = labTestBody(hayLotId, { sampledOn, method, ...(cores === null ? {} : { cores }) });
  const analysis = { ...(body['analysis'] as object), dryMatter: { value: String(dryMatter), unit: '%' } };
  await post('/lab-tests', { ...body, analysis });
}

describe('the dry matter of a feed conversion', () => {
  it('of a lot on a day is that of the review of the day, whichever tests it has', async () => {
    const day = fc.constantFrom('2026-12-01', '2026-12-08', '2026-12-20', '2027-01-05');
    const scenario = fc.record({
      tests: fc.array(
        fc.record<Test>({
          sampledOn: fc.constantFrom('2026-11-05', '2026-12-05', '2026-12-20', '2027-01-12'),
          dryMatter: fc.integer({ min: 78, max: 94 }),
          method: fc.constantFrom('near-infrared', 'wet-chemistry'),
          cores: fc.option(fc.constantFrom(5, 20)),
        }),
        { maxLength: 3 },
      ),
      days: fc.uniqueArray(day, { minLength: 1, maxLength: 3 }),
    });
    await fc.assert(
      fc.asyncProperty(scenario, async ({ tests, days }) => {
        const { lotId } = await lot(operation, ranchId, { tons: '5' });
        for (const one of tests) await tested(lotId, one);
        const herdId = await fedCalves(lotId, days);
        const byReview = await Promise.all(days.map((on) => reviewed(herdId, on)));
        const total = byReview.reduce((sum, { pounds }) => sum + pounds, 0);
        const { pounds, ofBooks } = await converted(herdId);
        // The review tells thousandths of a pound of ten.
        expect(Math.abs(pounds / total - 1)).toBeLessThan(0.0002);
        const untested = byReview.reduce((sum, one) => sum + (one.isTested ? 0 : one.pounds), 0);
        expect(ofBooks).toBeCloseTo(untested / total, 3);
      }),
      { numRuns: examples(12) },
    );
  });

  it('stands over the gain that the cost of gain has, digit for digit', async () => {
    const { lotId } = await lot(operation, ranchId, { tons: '5' });
    // 520 lb are 235.8680324 kg: one digit more than a mass is told with.
    const herdId = await weighedCalves(FIRST_WEIGHED, LAST_WEIGHED, 52);
    await feeding(operation, herdId, [[lotId, '100']], { fedOn: '2026-12-08' });
    const query = { from: FIRST_WEIGHED, until: LAST_WEIGHED, herdId, units: 'us' };
    const gained = async (report: string): Promise<Mass | undefined> =>
      (
        await operation.as.accountant.get<{ herds: { figures: { totalGain: Mass } | null }[] }>(
          operation.at(`/reports/${report}`),
          { query, expect: 200 },
        )
      ).body.herds[0]?.figures?.totalGain;
    expect(await gained('feed-conversion')).toEqual({ value: '520', unit: 'lb' });
    expect(await gained('feed-conversion')).toEqual(await gained('cost-of-gain'));
  });

  it('of a feed that has no test is the book value that the review takes', async () => {
    const { lotId } = await lot(operation, ranchId, { name: 'Cubes', hayKind: 'corn-grain', tons: '5' });
    const herdId = await fedCalves(lotId, ['2026-12-08']);
    const { pounds } = await reviewed(herdId, '2026-12-08');
    const told = await converted(herdId);
    expect(Math.abs(told.pounds / pounds - 1)).toBeLessThan(0.0002);
    expect(told.ofBooks).toBe(1);
    expect(told.notes).toContain('dry-matter-from-book-values');
  });
});

describe('bales that are laid for several days', () => {
  interface Fed {
    fed: number;
    notes: string[];
    cost?: number;
  }
  const told = async (path: string, herdId: string, span: { from: string; until: string }): Promise<Fed> => {
    const { body } = await operation.as.accountant.get<{
      herds: {
        figures: { fed?: Mass; hayFed?: Mass; feedCost?: { amount: string } } | null;
        notes: { code: string }[];
      }[];
    }>(operation.at(path), { query: { ...span, windowDays: '0', herdId, units: 'us' }, expect: 200 });
    const [one] = body.herds;
    const fed = one?.figures?.fed ?? one?.figures?.hayFed;
    return {
      fed: Number(fed?.value) * 2000,
      notes: one?.notes.map(({ code }) => code) ?? [],
      ...(one?.figures?.feedCost === undefined ? {} : { cost: Number(one.figures.feedCost.amount) }),
    };
  };
  const baleDays = (first: string, last: string, every: number): string[] =>
    Array.from({ length: Math.ceil((daysBetween(first, last) + 1) / every) }, (_, index) =>
      addDays(first, index * every),
    );

  it('count for the days between the weighings alone', async () => {
    const { lotId } = await lot(operation, ranchId, { tons: '10' });
    const [from, until] = ['2026-12-04', '2027-01-10'];
    const herdId = await weighedCalves(from, until);
    for (const fedOn of baleDays('2026-12-01', '2027-01-12', 7))
      await feeding(operation, herdId, [[lotId, '700']], { fedOn, method: 'ring-feeder' });
    // 700 lb a week are 100 lb a day, over 37 days.
    expect(await told('/reports/feed-conversion', herdId, { from, until })).toEqual({
      fed: expect.closeTo(3700, 0) as number,
      notes: expect.arrayContaining(['laid-across-a-weighing']) as string[],
    });
    // At $150 a ton, 1.85 tons.
    expect(await told('/reports/cost-of-gain', herdId, { from, until })).toEqual({
      fed: expect.closeTo(3700, 0) as number,
      notes: ['laid-across-a-weighing'],
      cost: expect.closeTo(277.5, 2) as number,
    });
  });

  it('come to the same a day however many days they are laid for, and wherever the weighings fall', async () => {
    const { lotId } = await lot(operation, ranchId, { tons: '200' });
    const scenario = fc.record({
      every: fc.integer({ min: 1, max: 12 }),
      opening: fc.integer({ min: 0, max: 10 }),
      days: fc.integer({ min: 5, max: 20 }),
    });
    await fc.assert(
      fc.asyncProperty(scenario, async ({ every, opening, days }) => {
        const from = addDays('2026-12-05', opening);
        const until = addDays(from, days);
        const herdId = await weighedCalves(from, until);
        for (const fedOn of baleDays('2026-12-05', addDays(until, every), every))
          await feeding(operation, herdId, [[lotId, String(100 * every)]], { fedOn, method: 'ring-feeder' });
        const { fed, notes } = await told('/reports/feed-conversion', herdId, { from, until });
        expect(Math.abs(fed / (100 * days) - 1)).toBeLessThan(0.001);
        const costed = await told('/reports/cost-of-gain', herdId, { from, until });
        expect(costed.fed).toBeCloseTo(fed, 0);
        expect(costed.cost).toBeCloseTo(days * 7.5, 1);
        expect(costed.notes.includes('laid-across-a-weighing')).toBe(notes.includes('laid-across-a-weighing'));
        expect(notes.includes('laid-across-a-weighing')).toBe(opening % every !== 0 || (opening + days) % every !== 0);
      }),
      { numRuns: examples(6) },
    );
  });

  it('count whole where only few of the herd got them, and not where they were reversed', async () => {
    const { lotId } = await lot(operation, ranchId, { tons: '20' });
    const [from, until] = ['2026-12-04', '2026-12-14'];
    const herdId = await weighedCalves(from, until);
    for (const fedOn of baleDays('2026-12-04', '2026-12-20', 5))
      await feeding(operation, herdId, [[lotId, '500']], { fedOn, method: 'ring-feeder' });
    await feeding(operation, herdId, [[lotId, '7']], { fedOn: '2026-12-13', method: 'bunk', headFed: 1 });
    const wrong = await feeding(operation, herdId, [[lotId, '300']], { fedOn: '2026-12-11', method: 'ring-feeder' });
    await operation.as.manager.post(operation.at(`/feedings/${wrong}/reversal`), { reason: 'Not so' }, { expect: 201 });
    for (const path of ['/reports/feed-conversion', '/reports/cost-of-gain'])
      expect((await told(path, herdId, { from, until })).fed).toBeCloseTo(1007, 0);
  });
});
