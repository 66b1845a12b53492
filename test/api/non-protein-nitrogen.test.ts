/*
 * Urea in cubes, by their tag: it reaches everything that judges a ration. Cattle, hay and cubes are invented; that
 * more than a third of the protein from it is told follows the model rules of the Association of American Feed Control
 * Officials, and that calves under 450 lb get none is Ohio State University Extension.
 */
import type { ApiClient } from '../support/client.js';
import { clientOf, join, type Operation, operationWith, person } from '../support/people.js';
import { cows, herd, labTestBody, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Caution {
  code: string;
  severity: string;
  given: number;
  threshold: number;
  message: string;
}
interface Entered extends WithId {
  analysis: Record<string, object>;
  onDryMatter: Record<string, number>;
  warnings: { code: string; message: string }[];
  errors: { pointer: string; code: string }[];
}

let world: World;
let operation: Operation;
let consulting: ApiClient;
let ranchId: string;
let placeId: string;
let meadow: string;
let cubes: string;
const percent = (value: string, more: object = {}) => ({ value, unit: '%', ...more });
const post = async (path: string, body: object, status = 201): Promise<string> =>
  (await operation.as.owner.post<WithId>(operation.at(path), body, { expect: status })).body.id;
const tag = (hayLotId: string, analysis: object) =>
  operation.as.manager.post<Entered>(
    operation.at('/lab-tests'),
    labTestBody(hayLotId, { method: 'label', basis: 'as-received', analysis }),
  );

beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  const consultant = await person(world, 'consultant');
  await join(world, consultant, operation.id, 'nutritionist', { seesPrices: true });
  consulting = await clientOf(world, consultant);
  ranchId = await ranch(operation);
  placeId = await post('/places', { ranchId, name: 'Bunk', kind: 'bunk-line' });
  const price = (amount: string) => ({ basis: 'per-mass', amount, per: 'ton' });
  meadow = (await lot(operation, ranchId, { name: 'Poor meadow', hayKind: 'meadow', tons: '200', price: price('60') }))
    .lotId;
  cubes = (await lot(operation, ranchId, { name: 'Cubes', hayKind: 'range-cubes-20', tons: '20', price: price('50') }))
    .lotId;
  await post(
    '/lab-tests',
    labTestBody(meadow, {
      analysis: {
        dryMatter: percent('90'),
        crudeProtein: percent('5.5'),
        acidDetergentFiber: percent('38'),
        neutralDetergentFiber: percent('62'),
      },
    }),
  );
});
afterAll(() => world.close());

it('a tag says how much at most, whether or not it is asked which it is', async () => {
  const { lotId } = await lot(operation, ranchId, { name: 'Other cubes', hayKind: 'protein-cubes', tons: '1' });
  const { body, status } = await tag(lotId, {
    dryMatter: percent('90'),
    crudeProtein: percent('20'),
    nonProteinNitrogen: percent('5'),
  });
  expect(status).toBe(201);
  expect(body.analysis['nonProteinNitrogen']).toEqual({ value: '5', unit: '%', guarantee: 'maximum' });
  expect(body.warnings).toEqual([]);
  const least = await tag(lotId, {
    dryMatter: percent('90'),
    crudeProtein: percent('20'),
    nonProteinNitrogen: percent('5', { guarantee: 'minimum' }),
  });
  expect(least).toMatchObject({ status: 422, body: { errors: [{ code: 'label-states-the-most' }] } });
  const more = await tag(lotId, {
    dryMatter: percent('90'),
    crudeProtein: percent('20'),
    nonProteinNitrogen: { value: '9', unit: '% urea' },
  });
  // 9 % urea is 25 % protein equivalent.
  expect(more).toMatchObject({
    status: 422,
    body: {
      errors: [{ pointer: '#/analysis/nonProteinNitrogen/value', code: 'non-protein-nitrogen-above-protein' }],
    },
  });
});

describe('cubes of 20 % protein, three quarters of it from urea', () => {
  let herdId: string;
  let calves: string;
  let rationId: string;
  const parts = (of: number, ofCubes: number) => [
    { role: 'coarse', parts: [{ hayLotId: meadow, weight: { value: String(of), unit: 'lb' } }] },
    { role: 'rich', parts: [{ hayLotId: cubes, weight: { value: String(ofCubes), unit: 'lb' } }] },
  ];

  beforeAll(async () => {
    const entered = await tag(cubes, {
      dryMatter: percent('90'),
      crudeProtein: percent('20'),
      nonProteinNitrogen: percent('15'),
    });
    expect(entered.status).toBe(201);
    expect(entered.body.warnings.map((one) => one.code)).toEqual(['non-protein-nitrogen-high']);
    herdId = await cows(operation, ranchId, { head: 50, placeId });
    calves = await herd(operation, ranchId, {
      head: 50,
      bodyWeight: { value: '350', unit: 'lb' },
      targetDailyGain: { value: '0.5', unit: 'lb' },
    });
    rationId = await post('/rations', {
      herdId,
      name: 'Hay and cubes',
      basis: 'as-fed',
      wastedPercent: '0',
      layers: parts(14, 6),
    });
    await post(`/rations/${rationId}/proposal`, {}, 200);
    await post(`/rations/${rationId}/acceptance`, {}, 200);
    await post(`/rations/${rationId}/use`, { from: '2027-01-02' }, 200);
    for (const fedOn of ['2027-01-12', '2027-01-13', '2027-01-14'])
      await post('/feedings', {
        herdId,
        fedOn,
        method: 'bunk',
        layers: [
          { role: 'coarse', parts: [{ hayLotId: meadow, weight: { value: '700', unit: 'lb' } }] },
          { role: 'rich', parts: [{ hayLotId: cubes, weight: { value: '300', unit: 'lb' } }] },
        ],
      });
  });

  // 6 lb of cubes at 15 % are 0.9 lb; the protein is 1.2 lb, and 14 lb x 0.90 x 0.055 = 0.693 lb of the hay.
  const SHARE = 0.9 / 1.893;
  const told = (cautions: readonly Caution[]): Caution | undefined =>
    cautions.find((one) => one.code === 'urea-share' && one.threshold < 1);

  it.each([
    ['the review of the herd', () => `/herds/${herdId}/ration-review`],
    ['the evaluation of the ration', () => `/rations/${rationId}/evaluation`],
  ])('are a danger in %s', async (_what, path) => {
    const { body } = await operation.as.nutritionist.get<{ cautions: Caution[] }>(operation.at(path()), {
      query: { on: '2027-01-14' },
      expect: 200,
    });
    expect(told(body.cautions)?.severity).toBe('danger');
    expect(told(body.cautions)?.threshold).toBeCloseTo(1 / 3, 6);
    expect(told(body.cautions)?.given).toBeCloseTo(SHARE, 2);
  });

  it('are a danger on the sheet and in the portfolio', async () => {
    const sheet = await operation.as.hand.get<{ herds: { cautions: Caution[] }[] }>(
      operation.at(`/places/${placeId}/feed-sheet`),
      { query: { on: '2027-01-14' }, expect: 200 },
    );
    expect(told(sheet.body.herds[0]?.cautions ?? [])?.given).toBeCloseTo(SHARE, 2);
    const portfolio = await consulting.get<{
      items: { herdId: string; concerns: { code: string; words: string }[] }[];
    }>('/v1/portfolio/herds', { query: { on: '2027-01-14', limit: '200' }, expect: 200 });
    const concerns = portfolio.body.items.find((one) => one.herdId === herdId)?.concerns ?? [];
    expect(concerns.filter(({ code, words }) => code === 'danger' && /non-protein nitrogen/.test(words))).toHaveLength(
      1,
    );
  });

  it('are kept to a third by the cheapest ration, and from light calves', async () => {
    const ask = async (of: string) =>
      (
        await operation.as.nutritionist.post<{
          status: string;
          layers: { parts: { name: string; perHead: { value: string } }[] }[];
          excluded: { name: string; because: string }[];
        }>(
          operation.at(`/herds/${of}/least-cost-ration`),
          { on: '2027-01-14', days: 30, minDegradableProteinPercent: 0 },
          { key: null, expect: 200 },
        )
      ).body;
    const answer = await ask(herdId);
    const pounds = (name: string): number =>
      answer.layers
        .flatMap((layer) => layer.parts)
        .filter((part) => part.name === name)
        .reduce((sum, part) => sum + Number(part.perHead.value), 0);
    const protein = 0.2 * pounds('Cubes') + 0.9 * 0.055 * pounds('Poor meadow');
    // Cubes that cost less than the hay are taken as far as they may be.
    expect(pounds('Cubes')).toBeGreaterThan(1);
    expect(0.15 * pounds('Cubes')).toBeLessThanOrEqual(protein / 3 + 0.005);
    expect((await ask(calves)).excluded).toContainEqual(
      expect.objectContaining({ name: 'Cubes', because: 'urea-for-calves' }),
    );
  });
});
