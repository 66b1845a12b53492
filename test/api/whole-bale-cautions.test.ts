/*
 * A sheet in whole bales warns of what is laid on its day, as the feeding will that is entered from it: grain without
 * hay is told before it is fed, not after. Cattle, hays and bales are invented.
 */
import { type Operation, operationWith } from '../support/people.js';
import { herd, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Caution {
  code: string;
  severity: string;
  message: string;
}

interface Sheet {
  total: { value: string };
  layers: { lay: { value: string } }[];
  cautions: Caution[];
}

/** How the sheet leads in to an offer on a day without a bale; a feeding tells the offer alone. */
const NO_BALE_TODAY = /No bale is laid today;.* By the ration: /;

/** Told by the place or of the laying alone, or of what is left in the lot after it was fed. */
const NOT_OF_THE_FEED = /^(water|short-day|lab-test|legume-bloat|leafy|bunk|hay-exceeds|laid|blended)/;

const HEAD = 60;
const BALED = {
  weight: { basis: 'weighed-bales', meanBaleWeight: { value: '1200', unit: 'lb' }, balesWeighed: 5 },
  baleCount: 150,
};

describe('cautions of a sheet in whole bales', () => {
  let world: World;
  let operation: Operation;

  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world);
  });
  afterAll(async () => {
    await world.close();
  });

  it.each([3, 8])('are those of the feeding that is made from it, with %s lb of corn', async (ofCorn) => {
    const { owner, hand } = operation.as;
    const post = async (path: string, body: object, status = 201): Promise<string> =>
      (await owner.post<WithId>(operation.at(path), body, { expect: status })).body.id;
    const ranchId = await ranch(operation, { name: `Steer ranch ${ofCorn}` });
    const placeId = await post('/places', { ranchId, name: 'Bunk', kind: 'bunk-line' });
    const herdId = await herd(operation, ranchId, { name: `Steers ${ofCorn}`, head: HEAD, placeId });
    const lotOf = async (name: string, more: object = {}): Promise<string> =>
      (await lot(operation, ranchId, { name: `${name} ${ofCorn}`, tons: '90', ...more })).lotId;
    const [brome, alfalfa, corn] = [
      await lotOf('Brome', BALED),
      await lotOf('Alfalfa', { hayKind: 'alfalfa', ...BALED }),
      await lotOf('Corn', { hayKind: 'corn-grain' }),
    ];
    const pounds = (hayLotId: string, value: number) => ({ hayLotId, weight: { value: String(value), unit: 'lb' } });
    const rationId = await post('/rations', {
      herdId,
      name: 'Growing',
      basis: 'as-fed',
      baleRounding: 'nearest-whole',
      layers: [
        { role: 'coarse', parts: [pounds(brome, 9)] },
        { role: 'rich', parts: [pounds(alfalfa, 6)] },
        { role: 'mixed', parts: [pounds(corn, ofCorn)] },
      ],
    });
    await post(`/rations/${rationId}/proposal`, {}, 200);
    await post(`/rations/${rationId}/acceptance`, {}, 200);
    await post(`/rations/${rationId}/use`, { from: '2027-01-08' }, 200);
    let hayLeft = 0;
    for (let day = 8; day <= 15; day += 1) {
      const fedOn = `2027-01-${String(day).padStart(2, '0')}`;
      const sheet = await hand.get<{ id: string; herds: Sheet[] }>(operation.at(`/places/${placeId}/feed-sheet`), {
        query: { on: fedOn },
        expect: 200,
      });
      const [told] = sheet.body.herds;
      const [bromeLaid = 0, alfalfaLaid = 0, cornLaid = 0] = told?.layers.map(({ lay }) => Number(lay.value)) ?? [];
      // To 15 lb of hay in front of them, laid today or left of the days before, the ration has so much corn; never
      // more, and none to no hay. Laid in whole pounds.
      const hayThere = hayLeft + bromeLaid + alfalfaLaid;
      expect(cornLaid).toBeLessThanOrEqual(Math.ceil((Math.min(hayThere, 15 * HEAD) * ofCorn) / 15));
      hayLeft = Math.max(0, hayThere - 15 * HEAD);
      if (told === undefined || told.total.value === '0') continue;
      const confirmed = await hand.post<WithId & { cautions: Caution[] }>(
        operation.at('/feed-sheet-confirmations'),
        { herdId, fedOn },
        { expect: 201 },
      );
      const ofFeed = ({ cautions }: { cautions: Caution[] }): string[] =>
        cautions
          .filter(({ code }) => !NOT_OF_THE_FEED.test(code))
          .map(({ severity, code, message }) => `${severity} ${code}: ${message.replace(NO_BALE_TODAY, '')}`)
          .sort();
      expect([fedOn, ofFeed(told)]).toEqual([fedOn, ofFeed(confirmed.body)]);
    }
  });
});
