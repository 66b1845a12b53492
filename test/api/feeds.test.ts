/*
 * Feeds that are given by the ounce: a bagged mineral by its label, salt, and a ration that names them by weight.
 * Everything here is invented but the mineral, which is the one that Clemson University Extension guides to (BC-3001).
 */
import { type Operation, operationWith } from '../support/people.js';
import { herd, labTestBody, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Line {
  nutrient: string;
  supply: number | null;
  verdict: string;
  supplyIsAtLeast: boolean;
  missingIn: string[];
}
interface Evaluation {
  lines: Line[];
  perHead?: unknown;
}
interface RationSeen extends WithId {
  amount: { weight: { value: string; unit: string } };
  layers: {
    parts: {
      sharePercent: string | null;
      weight: { value: string; unit: string } | null;
      perHead: { value: string };
    }[];
  }[];
}

let world: World;
let operation: Operation;
let herdId: string;
let hay: string;
let mineral: string;
let salt: string;
let unknownMineral: string;

beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  const ranchId = await ranch(operation);
  herdId = await herd(operation, ranchId, { head: 40 });
  hay = (await lot(operation, ranchId, { name: 'Brome', hayKind: 'brome' })).lotId;
  mineral = (await lot(operation, ranchId, { name: 'Winter mineral', hayKind: 'mineral' })).lotId;
  unknownMineral = (await lot(operation, ranchId, { name: 'Unlabeled mineral', hayKind: 'mineral' })).lotId;
  salt = (await lot(operation, ranchId, { name: 'White salt', hayKind: 'salt' })).lotId;
});
afterAll(() => world.close());

const percent = (value: string, more: Record<string, string> = {}) => ({ value, unit: '%', ...more });
const clemsonLabel = (more: Record<string, unknown> = {}) =>
  labTestBody(mineral, {
    lab: 'Tag of the bag',
    method: 'label',
    basis: 'as-received',
    analysis: {
      dryMatter: percent('98'),
      calcium: percent('13', { maximum: '15.6' }),
      phosphorus: percent('8', { guarantee: 'minimum' }),
      magnesium: percent('8'),
      sodium: { value: '21', unit: '% salt', maximum: '21.6' },
    },
    ...more,
  });
const rationBody = (extra: readonly Record<string, unknown>[]) => ({
  basis: 'as-fed',
  amount: { weight: { value: '28', unit: 'lb' }, basis: 'as-fed' },
  layers: [
    { role: 'mixed', parts: [{ hayLotId: hay, sharePercent: '100' }] },
    ...(extra.length === 0 ? [] : [{ role: 'mixed', parts: extra }]),
  ],
});
const evaluated = async (extra: readonly Record<string, unknown>[]): Promise<Map<string, Line>> => {
  const { body } = await operation.as.nutritionist.post<Evaluation>(
    operation.at(`/herds/${herdId}/ration-evaluation`),
    // Less than she can hold: of more, what comes beside the hay would take the place of some of it.
    { ...rationBody(extra), amount: { weight: { value: '16', unit: 'lb' }, basis: 'as-fed' } },
    { query: { units: 'metric' }, expect: 200 },
  );
  return new Map(body.lines.map((line) => [line.nutrient, line]));
};
const supplyOf = (lines: Map<string, Line>, nutrient: string): number => lines.get(nutrient)?.supply ?? Number.NaN;

describe('a bagged mineral', () => {
  it('is taken by its label, as typed, within the limits of a mineral', async () => {
    const { body } = await operation.as.manager.post<
      WithId & { analysis: Record<string, unknown>; warnings: unknown[] }
    >(operation.at('/lab-tests'), clemsonLabel(), { expect: 201 });
    expect(body.analysis).toMatchObject({
      calcium: { value: '13', maximum: '15.6', unit: '%' },
      phosphorus: { value: '8', guarantee: 'minimum' },
      sodium: { value: '21', unit: '% salt', maximum: '21.6' },
    });
    expect(body.warnings).toEqual([]);
  });

  it.each([
    ['more calcium than any compound holds', { analysis: { dryMatter: percent('98'), calcium: percent('45') } }],
    [
      'a maximum below its minimum',
      {
        analysis: { dryMatter: percent('98'), calcium: percent('13', { maximum: '12' }) },
      },
    ],
    ['a guarantee of a laboratory', { method: 'wet-chemistry' }],
  ])('refuses %s', async (_what, more) => {
    await operation.as.manager.post(operation.at('/lab-tests'), clemsonLabel(more), { expect: 422 });
  });

  it('by the ounce adds what its label guarantees, and leaves nothing unknown', async () => {
    const plain = await evaluated([]);
    const withMineral = await evaluated([{ hayLotId: mineral, weight: { value: '4', unit: 'oz' } }]);
    // 113.398 g of 13 % calcium, 8 % phosphorus, 8 % magnesium.
    expect(supplyOf(withMineral, 'calcium') - supplyOf(plain, 'calcium')).toBeCloseTo(14.742, 2);
    expect(supplyOf(withMineral, 'phosphorus') - supplyOf(plain, 'phosphorus')).toBeCloseTo(9.072, 2);
    for (const [nutrient, { verdict }] of plain)
      if (verdict !== 'unknown')
        expect([nutrient, withMineral.get(nutrient)?.verdict]).not.toEqual([nutrient, 'unknown']);
    // A mineral whose tag names no protein has none.
    expect(withMineral.get('crudeProtein')).toMatchObject({ supplyIsAtLeast: false, missingIn: [] });
  });

  it('of which nothing is known bounds what the hay gives', async () => {
    const plain = await evaluated([]);
    const more = await evaluated([{ hayLotId: unknownMineral, weight: { value: '2', unit: 'oz' } }]);
    expect(more.get('calcium')).toMatchObject({
      supplyIsAtLeast: true,
      missingIn: ['Unlabeled mineral'],
      supply: plain.get('calcium')?.supply,
      verdict: plain.get('calcium')?.verdict,
    });
  });
});

describe('a ration that names weights', () => {
  it('keeps them as typed, beside the shares of the amount', async () => {
    const { body } = await operation.as.nutritionist.post<RationSeen>(
      operation.at('/rations'),
      {
        herdId,
        name: 'Brome with mineral and salt',
        ...rationBody([
          { hayLotId: mineral, weight: { value: '4', unit: 'oz' } },
          { hayLotId: salt, weight: { value: '0.12', unit: 'lb' } },
        ]),
      },
      { expect: 201 },
    );
    expect(body.layers[0]?.parts[0]).toMatchObject({ sharePercent: '100', weight: null });
    expect(Number(body.layers[0]?.parts[0]?.perHead.value)).toBeCloseTo(28, 3);
    expect(body.layers[1]?.parts).toMatchObject([
      { sharePercent: null, weight: { value: '4', unit: 'oz' } },
      { sharePercent: null, weight: { value: '0.12', unit: 'lb' } },
    ]);
    expect(body.layers[1]?.parts.map(({ perHead }) => Number(perHead.value))).toEqual([
      expect.closeTo(0.25, 3),
      expect.closeTo(0.12, 3),
    ]);
  });

  it('may be all weights, and comes to their sum', async () => {
    const { body } = await operation.as.nutritionist.post<RationSeen>(
      operation.at('/rations'),
      {
        herdId,
        name: 'By the pound',
        basis: 'as-fed',
        layers: [
          { role: 'mixed', parts: [{ hayLotId: hay, weight: { value: '27.5', unit: 'lb' } }] },
          { role: 'mixed', parts: [{ hayLotId: salt, weight: { value: '0.12', unit: 'lb' } }] },
        ],
      },
      { expect: 201 },
    );
    expect(body.amount.weight).toMatchObject({ value: '27.62', unit: 'lb' });
  });

  it.each([
    ['a part with a share and a weight', { parts: [{ sharePercent: '100', weight: { value: '4', unit: 'oz' } }] }],
    ['shares of no amount', { amount: undefined }],
  ])('refuses %s', async (_what, { parts, ...more }: { parts?: Record<string, unknown>[]; amount?: undefined }) => {
    const body = {
      herdId,
      name: 'Wrong',
      ...rationBody([]),
      ...(parts === undefined
        ? {}
        : { layers: [{ role: 'mixed', parts: parts.map((one) => ({ hayLotId: hay, ...one })) }] }),
      ...more,
    };
    await operation.as.nutritionist.post(operation.at('/rations'), body, { expect: 422 });
  });
});
