/*
 * Meal, salt and grain by weight beside hay in whole bales: a bale lasts days, and what is laid by weight is a day's
 * need on each of them. What is expected follows from the ration (amount a head x head x days). Herds, hays and feeds
 * are invented.
 */
import { addDays } from '../../src/core/time/calendar-day.js';
import type { FeedSheetAnswer } from '../../src/desk/feed-sheets/feed-sheet.schema.js';
import { type Operation, operationWith } from '../support/people.js';
import { cows, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

type Herd = FeedSheetAnswer['herds'][number];
interface Confirmed {
  feedingId: string;
  cautions: { code: string; severity: string; message: string }[];
}

const FIRST = '2027-01-11';
let world: World;
let operation: Operation;
let ranchId: string;

beforeAll(async () => {
  world = await openWorld({ now: '2027-01-31T15:00:00.000Z' });
  operation = await operationWith(world);
  ranchId = await ranch(operation);
});
afterAll(() => world.close());

let made = 0;
/** Cows on a hay by share, in bales, and feeds by weight. */
async function herdOn(
  { hayKind, baleKg, hayKg, head }: { hayKind: string; baleKg: string; hayKg: string; head: number },
  feeds: readonly { kind: string; value: string; unit: string }[],
): Promise<{ herdId: string; placeId: string }> {
  made += 1;
  const post = async (path: string, body: object, status = 201): Promise<string> =>
    (await operation.as.owner.post<WithId>(operation.at(path), body, { expect: status })).body.id;
  const placeId = await post('/places', { ranchId, name: `Bunk ${made}`, kind: 'bunk-line' });
  const herdId = await cows(operation, ranchId, { name: `Cows ${made}`, head, placeId });
  const hay = await lot(operation, ranchId, {
    name: `Hay ${made}`,
    hayKind,
    weight: { basis: 'weighed-bales', meanBaleWeight: { value: baleKg, unit: 'kg' }, balesWeighed: 5 },
    baleCount: 200,
  });
  const bought: { hayLotId: string; weight: { value: string; unit: string } }[] = [];
  for (const [index, { kind, value, unit }] of feeds.entries()) {
    const { lotId } = await lot(operation, ranchId, {
      tons: '10',
      lot: { name: `${kind} ${made} ${index}`, ranchId, hayKind: kind, baleForm: 'loose', storageMethod: 'under-roof' },
    });
    bought.push({ hayLotId: lotId, weight: { value, unit } });
  }
  const rationId = await post('/rations', {
    herdId,
    name: 'Winter',
    basis: 'as-fed',
    baleRounding: 'nearest-whole',
    amount: { weight: { value: hayKg, unit: 'kg' }, basis: 'as-fed' },
    layers: [
      { role: 'coarse', parts: [{ hayLotId: hay.lotId, sharePercent: '100' }] },
      ...bought.map((part) => ({ role: 'mixed', parts: [part] })),
    ],
  });
  await post(`/rations/${rationId}/proposal`, {}, 200);
  await post(`/rations/${rationId}/acceptance`, {}, 200);
  await post(`/rations/${rationId}/use`, { from: FIRST }, 200);
  return { herdId, placeId };
}

const read = async (placeId: string, on: string): Promise<Herd> => {
  const { body } = await operation.as.hand.get<FeedSheetAnswer>(operation.at(`/places/${placeId}/feed-sheet`), {
    query: { on, units: 'metric' },
    expect: 200,
  });
  const [only] = body.herds;
  if (only === undefined) throw new Error('One herd stands at the bunk');
  return only;
};
const KILOGRAMS: Readonly<Record<string, number>> = { kg: 1, g: 0.001 };
const kilograms = ({ value, unit }: { value: string; unit: string }): number =>
  Number(value) * (KILOGRAMS[unit] ?? NaN);
const laid = ({ layers }: Herd): number[] =>
  layers.map((layer) => layer.lines.reduce((sum, { lay }) => sum + kilograms(lay), 0));
const bales = ({ layers }: Herd): number => layers[0]?.lines[0]?.bales?.open ?? 0;
const dangers = (cautions: readonly { code: string; severity: string; message: string }[]): string[] =>
  cautions.filter(({ severity }) => severity === 'danger').map(({ code, message }) => `${code}: ${message}`);

describe('12 cows on 10 kg of oat straw in bales of 500 kg and 1.2 kg of meal', () => {
  let herd: { herdId: string; placeId: string };
  const sheets: Herd[] = [];
  const confirmed: Confirmed[] = [];
  beforeAll(async () => {
    herd = await herdOn({ hayKind: 'oat-straw', baleKg: '500', hayKg: '10', head: 12 }, [
      { kind: 'cottonseed-meal', value: '1.2', unit: 'kg' },
    ]);
    for (let day = 0; day < 14; day += 1) {
      const on = addDays(FIRST, day);
      sheets.push(await read(herd.placeId, on));
      const { body } = await operation.as.hand.post<WithId & Confirmed>(
        operation.at('/feed-sheet-confirmations'),
        { herdId: herd.herdId, fedOn: on },
        { expect: 201 },
      );
      confirmed.push(body);
    }
  });

  it('lays the meal of the ration over 14 days, a day of it on every day', () => {
    // 14.4 kg a day, laid in whole kilograms; 201.6 kg over 14 days.
    expect(sheets.map((one) => laid(one)[1])).toEqual(sheets.map(() => 14));
    expect(sheets.filter((one) => bales(one) === 0).length).toBeGreaterThan(8);
  });

  it('raises no danger of straw without its meal, on the sheet, in its days ahead or as confirmed', () => {
    // 1.2 kg of meal with 45 % protein to 10 kg of straw is more protein than 7 % of the whole.
    expect(sheets.flatMap(({ cautions }) => dangers(cautions))).toEqual([]);
    expect(sheets.flatMap(({ plan }) => (plan?.days ?? []).flatMap((day) => day.dangers))).toEqual([]);
    expect(confirmed.flatMap(({ cautions }) => dangers(cautions))).toEqual([]);
  });

  it('says so on its page on a day without a bale', async () => {
    const day = sheets.findIndex((one) => bales(one) === 0);
    const page = await operation.as.hand.get(operation.at(`/places/${herd.placeId}/feed-sheet`), {
      query: { on: addDays(FIRST, day), format: 'html', units: 'metric' },
      expect: 200,
    });
    expect(page.text).toContain('No bale today: hay of the days before lasts; lay 14 kg of cottonseed-meal');
    expect(page.text).not.toContain('Lay nothing today');
  });
});

it('lays cubes, magnesium oxide and salt by the ounce on every day, confirmed or not', async () => {
  const { placeId } = await herdOn({ hayKind: 'meadow', baleKg: '540', hayKg: '11', head: 14 }, [
    { kind: 'protein-cubes', value: '3', unit: 'lb' },
    { kind: 'magnesium-oxide', value: '2', unit: 'oz' },
    { kind: 'salt', value: '1', unit: 'oz' },
  ]);
  const each: number[][] = [];
  for (let day = 0; day < 10; day += 1) each.push(laid(await read(placeId, addDays(FIRST, day))));
  const sum = (index: number): number => each.reduce((all, one) => all + (one[index] ?? 0), 0);
  // 3 lb, 2 oz and 1 oz for 14 head on 10 days; a sheet weighs out whole and tenths of kilograms, and two figures.
  const asked = [0, 3, 2 / 16, 1 / 16].map((pounds) => pounds * 0.45359237 * 140);
  for (const index of [1, 2, 3]) expect(Math.abs(sum(index) / (asked[index] ?? 0) - 1)).toBeLessThan(0.05);
});

it('lays grain on a day without a bale only to the hay that still lies there', async () => {
  const { placeId } = await herdOn({ hayKind: 'meadow', baleKg: '540', hayKg: '10', head: 20 }, [
    { kind: 'barley-grain', value: '1', unit: 'kg' },
  ]);
  let left = 0;
  let without = 0;
  for (let day = 0; day < 12; day += 1) {
    const one = await read(placeId, addDays(FIRST, day));
    const [hay = 0, grain = 0] = laid(one);
    left += hay;
    without += hay === 0 ? 1 : 0;
    // 20 kg of grain to 200 kg of hay, in whole kilograms.
    expect([day, grain]).toEqual([day, Math.round(20 * Math.min(1, left / 200))]);
    expect([day, dangers(one.cautions)]).toEqual([day, []]);
    left -= 200;
  }
  expect(without).toBeGreaterThan(4);
});
