/*
 * Whole bales lay on one day what the ration spreads over several. Corn in bales is laid by whole bales as hay is, so
 * the days on which that is a danger are told in advance: each as its own sheet will tell it. Everything here is
 * invented.
 */
import { addDays } from '../../src/core/time/calendar-day.js';
import type { FeedSheetAnswer } from '../../src/desk/feed-sheets/feed-sheet.schema.js';
import { type Operation, operationWith } from '../support/people.js';
import { herd, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

const FIRST = '2027-01-10';
let world: World;
let operation: Operation;
let placeId: string;

async function yard({ head = 60, ...corn }: { head?: number; baleForm?: string; bale?: string }): Promise<void> {
  operation = await operationWith(world);
  const post = async (path: string, body: object, status = 201): Promise<string> =>
    (await operation.as.owner.post<WithId>(operation.at(path), body, { expect: status })).body.id;
  const ranchId = await ranch(operation);
  placeId = await post('/places', { ranchId, name: 'Bunk', kind: 'bunk-line' });
  const herdId = await herd(operation, ranchId, { name: 'Steers', head, placeId });
  const baled = (mean: string, baleCount: number) => ({
    weight: { basis: 'weighed-bales', meanBaleWeight: { value: mean, unit: 'lb' }, balesWeighed: 5 },
    baleCount,
  });
  const brome = (await lot(operation, ranchId, { name: 'Brome', hayKind: 'brome', ...baled('900', 150) })).lotId;
  const grain = (
    await lot(operation, ranchId, {
      name: 'Corn',
      hayKind: 'corn-grain',
      ...(corn.bale === undefined ? { tons: '60' } : baled(corn.bale, 100)),
      ...(corn.baleForm === undefined
        ? {}
        : {
            lot: { name: 'Corn', ranchId, hayKind: 'corn-grain', baleForm: corn.baleForm, storageMethod: 'tarp' },
          }),
    })
  ).lotId;
  const pounds = (hayLotId: string, value: string) => ({ hayLotId, weight: { value, unit: 'lb' } });
  const rationId = await post('/rations', {
    herdId,
    name: 'Growing',
    basis: 'as-fed',
    baleRounding: 'nearest-whole',
    layers: [
      { role: 'coarse', parts: [pounds(brome, '13')] },
      { role: 'mixed', parts: [pounds(grain, '2')] },
    ],
  });
  await post(`/rations/${rationId}/proposal`, {}, 200);
  await post(`/rations/${rationId}/acceptance`, {}, 200);
  await post(`/rations/${rationId}/use`, { from: '2026-12-20' }, 200);
}

beforeAll(async () => {
  world = await openWorld({ now: '2027-01-31T15:00:00.000Z' });
});
afterAll(() => world.close());

const sheetOf = async (on: string): Promise<FeedSheetAnswer['herds'][number]> => {
  const { body } = await operation.as.hand.get<FeedSheetAnswer>(operation.at(`/places/${placeId}/feed-sheet`), {
    query: { on },
    expect: 200,
  });
  const [only] = body.herds;
  if (only === undefined) throw new Error('One herd stands at the bunk');
  return only;
};
const dangersOf = ({ cautions }: FeedSheetAnswer['herds'][number]): string[] =>
  cautions.filter((one) => one.severity === 'danger').map((one) => one.code);

describe('a ration with corn in bales of 600 lb, for steers that get 2 lb a day', () => {
  beforeAll(() => yard({ bale: '600' }));

  it('lays whole bales of it with hay, and names the days on which that is a danger', async () => {
    const { plan } = await sheetOf(FIRST);
    const days = plan?.days ?? [];
    expect(days).toHaveLength(10);
    const balesOf = (day: (typeof days)[number], hayLot: string): number =>
      day.lots.find((one) => one.hayLot === hayLot)?.bales ?? 0;
    const withCorn = days.filter((day) => balesOf(day, 'Corn') > 0);
    // 120 lb a day from bales of 600 lb: one bale in five days, 10 lb a head on its day.
    expect(withCorn.length).toBeGreaterThanOrEqual(1);
    for (const day of days) {
      const codes = day.dangers.map((one) => one.code);
      if (balesOf(day, 'Corn') > 0) {
        expect([day.onDay, codes]).toEqual([day.onDay, expect.arrayContaining(['acidosis'])]);
        expect([day.onDay, balesOf(day, 'Brome') > 0]).toEqual([day.onDay, true]);
      } else expect([day.onDay, codes]).toEqual([day.onDay, []]);
    }
  });

  it('says of each day what the sheet of that day will say', async () => {
    const { plan } = await sheetOf(FIRST);
    for (const [ahead, day] of (plan?.days ?? []).entries()) {
      const then = await sheetOf(addDays(FIRST, ahead));
      expect([day.onDay, dangersOf(then).sort()]).toEqual([day.onDay, day.dangers.map((one) => one.code).sort()]);
    }
  });

  it('has the days on its page', async () => {
    const { plan } = await sheetOf(FIRST);
    const bad = plan?.days.slice(1).find((one) => one.dangers.length > 0);
    const page = await operation.as.hand.get(operation.at(`/places/${placeId}/feed-sheet`), {
      query: { on: FIRST },
      headers: { Accept: 'text/html' },
      expect: 200,
    });
    expect(page.text).toContain(`DANGER on ${bad?.onDay ?? ''}: Starch with little long forage`);
  });
});

it('a bale of corn for a few head goes out on a day with hay, not on one without', async () => {
  // 260 lb of hay a day from bales of 900 lb: most days have none. 40 lb of corn a day from bales of 600 lb.
  await yard({ bale: '600', head: 20 });
  for (const on of [FIRST, addDays(FIRST, 10), addDays(FIRST, 20)]) {
    const { plan } = await sheetOf(on);
    const days = (plan?.days ?? []).map(({ onDay, lots }) => ({
      onDay,
      ...Object.fromEntries(lots.map(({ hayLot, bales }) => [hayLot, bales])),
    })) as { onDay: string; Brome: number; Corn: number }[];
    expect(days.some((day) => day.Brome === 0)).toBe(true);
    expect(days.filter((day) => day.Corn > 0 && day.Brome === 0)).toEqual([]);
  }
});

it('corn in bulk or bags is weighed out along with hay: no bale of it, and no day of danger', async () => {
  await yard({ baleForm: 'loose' });
  const { layers, plan } = await sheetOf(FIRST);
  expect(layers[1]?.lines[0]).toMatchObject({ hayLot: 'Corn', bales: null });
  expect(plan?.days.flatMap((day) => day.lots.map((one) => one.hayLot))).not.toContain('Corn');
  expect(plan?.days.flatMap((day) => day.dangers)).toEqual([]);
});
