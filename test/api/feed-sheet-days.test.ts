/*
 * Feed sheets over days: whole bales that starve nobody, what is carried where nobody confirmed, and feeding that cannot
 * happen twice unseen. Herds, hays and bales are invented; what must hold follows from the ration and from the bales.
 */
import type { FeedSheetAnswer } from '../../src/desk/feed-sheets/feed-sheet.schema.js';
import { type Operation, operationWith } from '../support/people.js';
import { feeding, herd, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

type Herd = FeedSheetAnswer['herds'][number];

describe('feed sheets over days', () => {
  let world: World;
  let operation: Operation;
  let ranchId: string;
  let lots: [coarse: string, rich: string, mixed: string];

  beforeAll(async () => {
    world = await openWorld({ now: '2027-01-31T15:00:00.000Z' });
    operation = await operationWith(world);
    ranchId = await ranch(operation);
    const hay = async (name: string, hayKind: string): Promise<string> =>
      (
        await lot(operation, ranchId, {
          name,
          hayKind,
          weight: { basis: 'weighed-bales', meanBaleWeight: { value: '1200', unit: 'lb' }, balesWeighed: 5 },
          baleCount: 400,
        })
      ).lotId;
    lots = [await hay('Slough', 'meadow'), await hay('Alfalfa', 'alfalfa'), await hay('Meadow', 'meadow')];
  });
  afterAll(async () => {
    await world.close();
  });

  /** 120 cows with a ration of 30 lb in use from the 11th: half coarse, a quarter rich, a quarter mixed. */
  async function cowsAt(
    baleRounding: 'nearest-whole' | 'open-enough',
    { head = 120 }: { head?: number } = {},
  ): Promise<{ herdId: string; placeId: string }> {
    const placeId = (
      await operation.as.manager.post<WithId>(
        operation.at('/places'),
        { ranchId, name: `Bunk ${Math.random()}`, kind: 'bunk-line' },
        { expect: 201 },
      )
    ).body.id;
    const herdId = await herd(operation, ranchId, {
      head,
      placeId,
      cattleClass: 'dry-pregnant-cow',
      sex: 'cow',
      bodyWeight: { value: '1250', unit: 'lb' },
      targetDailyGain: undefined,
      bredOn: '2026-07-01',
    });
    const { id } = (
      await operation.as.nutritionist.post<WithId>(
        operation.at('/rations'),
        {
          herdId,
          name: 'Cow ration',
          basis: 'as-fed',
          baleRounding,
          amount: { weight: { value: '30', unit: 'lb' }, basis: 'as-fed' },
          layers: [
            { role: 'coarse', parts: [{ hayLotId: lots[0], sharePercent: '50' }] },
            { role: 'rich', parts: [{ hayLotId: lots[1], sharePercent: '25' }] },
            { role: 'mixed', parts: [{ hayLotId: lots[2], sharePercent: '25' }] },
          ],
        },
        { expect: 201 },
      )
    ).body;
    await operation.as.nutritionist.post(operation.at(`/rations/${id}/proposal`), {}, { expect: 200 });
    await operation.as.manager.post(operation.at(`/rations/${id}/acceptance`), {}, { expect: 200 });
    await operation.as.manager.post(operation.at(`/rations/${id}/use`), { from: '2027-01-11' }, { expect: 200 });
    return { herdId, placeId };
  }
  const dayOf = (index: number): string => `2027-01-${String(11 + index).padStart(2, '0')}`;
  const place = async (placeId: string, on: string): Promise<FeedSheetAnswer> =>
    (
      await operation.as.hand.get<FeedSheetAnswer & Record<string, unknown>>(
        operation.at(`/places/${placeId}/feed-sheet`),
        { query: { on }, expect: 200 },
      )
    ).body;
  const sheet = async (placeId: string, on: string): Promise<Herd> => {
    const [one] = (await place(placeId, on)).herds;
    if (one === undefined) throw new Error('The herd has a sheet');
    return one;
  };
  const confirm = (herdId: string, fedOn: string, more: object = {}, expected = 201) =>
    operation.as.hand.post<WithId & { feedingId: string }>(
      operation.at('/feed-sheet-confirmations'),
      { herdId, fedOn, ...more },
      { expect: expected },
    );
  const laid = ({ layers }: Herd): number[] => layers.map((layer) => Number(layer.lay.value));
  const carriedIn = ({ layers }: Herd): number[] =>
    layers.flatMap((layer) => layer.lines.map((line) => Number(line.bales?.carriedIn.value)));
  const carriedOut = ({ layers }: Herd): number[] =>
    layers.flatMap((layer) => layer.lines.map((line) => Number(line.bales?.carriedOut.value)));

  it('lays whole bales so that no day starves: ten days, each confirmed', async () => {
    const { herdId, placeId } = await cowsAt('nearest-whole');
    const days: number[][] = [];
    for (let index = 0; index < 10; index += 1) {
      days.push(laid(await sheet(placeId, dayOf(index))));
      await confirm(herdId, dayOf(index));
    }
    for (const [coarse = 0, rich = 0, mixed = 0] of days) {
      // 3,600 lb are needed: three bales, neither two nor four, and never the coarse hay alone.
      expect(coarse + rich + mixed).toBe(3600);
      expect(rich + mixed).toBeGreaterThan(0);
    }
  });

  it('carries what was planned where nobody confirmed', async () => {
    const { placeId } = await cowsAt('open-enough');
    const first = await sheet(placeId, dayOf(0));
    // 1,800 lb of 1,200-lb bales: two, and 600 lb over; 900 lb: one, and 300 lb over.
    expect(carriedOut(first)).toEqual([600, 300, 300]);
    expect(carriedIn(await sheet(placeId, dayOf(1)))).toEqual([600, 300, 300]);
  });

  it('says that the herd was fed, and refuses to feed it again unseen', async () => {
    const { herdId, placeId } = await cowsAt('open-enough');
    await feeding(operation, herdId, [[lots[0], '2000']], { fedOn: dayOf(0), fedAt: '2027-01-11T13:40:00.000Z' });
    const refused = await confirm(herdId, dayOf(0), {}, 409);
    expect(refused.body).toMatchObject({ type: '/problems/conflict' });
    expect((await sheet(placeId, dayOf(0))).layers).not.toEqual([]);
  });
});
