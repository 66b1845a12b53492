/*
 * Nitrate figures given to the calculators in a unit that they cannot be in: nothing calls them safe. 0.26 % NO3-N is
 * 2,600 ppm; that a figure below 10 ppm is one of percent is common practice, no source. Invented figures.
 */
import type { ApiClient } from '../support/client.js';
import { clientOf, person } from '../support/people.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let client: ApiClient;
beforeAll(async () => {
  world = await openWorld();
  client = await clientOf(world, await person(world, 'nutritionist'));
});
afterAll(() => world.close());

const nitrate = (value: number, unit: string, form = 'NO3-N') => ({ value, unit, form });
const ofHay = (given: object) =>
  client.post<{ band: { maxPercentOfRationPregnant: number }; errors?: { pointer: string; code: string }[] }>(
    '/v1/calculations/nitrate',
    { nitrate: given, pregnant: true, shareOfRationPercent: 100 },
    { key: null },
  );

it.each([[nitrate(0.26, 'ppm')], [nitrate(1.2, 'ppm', 'NO3')], [nitrate(1.9, 'ppm', 'KNO3')]])(
  'of a hay: %j is asked about, not called safe',
  async (given) => {
    const { status, body } = await ofHay(given);
    expect({ status, errors: body.errors }).toMatchObject({
      status: 422,
      errors: [{ pointer: '#/nitrate/value', code: 'nitrate-unit-unlikely' }],
    });
  },
);

it('of a hay: the same as percent, none at all, and a low figure that a lab prints are answered', async () => {
  expect((await ofHay(nitrate(0.26, '%'))).body.band.maxPercentOfRationPregnant).toBeLessThan(100);
  expect((await ofHay(nitrate(0, 'ppm'))).status).toBe(200);
  expect((await ofHay(nitrate(120, 'ppm'))).status).toBe(200);
});

it('of a hay: more than the lab test may say is refused', async () => {
  expect(await ofHay(nitrate(2600, '%'))).toMatchObject({
    status: 422,
    body: { errors: [{ pointer: '#/nitrate/value', code: 'nitrate-not-possible' }] },
  });
});

it('of a ration: counts as untested, and of a hay that can gather nitrate a caution says why', async () => {
  const { body } = await client.post<{ band: unknown; untested: { name: string }[]; cautions: { message: string }[] }>(
    '/v1/calculations/ration-nitrate',
    {
      parts: [
        {
          name: 'Sudan',
          dryMatter: { value: 24, unit: 'lb' },
          nitrate: nitrate(0.26, 'ppm'),
          canGatherNitrate: true,
        },
      ],
      pregnant: true,
    },
    { key: null, expect: 200 },
  );
  expect(body).toMatchObject({ band: null, untested: [{ name: 'Sudan' }] });
  expect(body.cautions.map(({ message }) => message).join()).toContain('check the unit');
  const meadow = await client.post(
    '/v1/calculations/ration-nitrate',
    { parts: [{ name: 'Meadow', dryMatter: { value: 24, unit: 'lb' }, nitrate: nitrate(0.26, 'ppm') }] },
    { key: null, expect: 200 },
  );
  expect(meadow.body).toMatchObject({ band: null, untested: [{ name: 'Meadow' }] });
});
