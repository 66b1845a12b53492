/*
 * The dry matter of a feed conversion is that of the judge: of each lot on each day what the review of that day says.
 */
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
  const herdId = await herd(operation, ranchId, { head: HEAD });
  for (const [weighedOn, value] of [
    [FIRST_WEIGHED, '500'],
    [LAST_WEIGHED, '550'],
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
  for (const fedOn of days) await feeding(operation, herdId, [[hayLotId, '100']], { fedOn });
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
