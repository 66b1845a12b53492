/*
 * Weight events of the ICAR Animal Data Exchange standard, in and out. Facts of the standard:
 * test/reference/published-values.json, topic exchange.
 */
import { ICAR_DEFAULT_UNIT, ICAR_WEIGHT_METHODS } from '../../src/records/import/icar/icar-weight.data.js';
import { type Operation, operationWith } from '../support/people.js';
import { herd, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';
import published from '../reference/published-values.json';

interface Event {
  resourceType: string;
  id: string;
  animal: { id: string; scheme: string };
  eventDateTime: string;
  weight: { measurement: number; units: string; method?: string };
  device?: { model: string };
  timeOffFeed?: number;
}
interface Refusal {
  type: string;
  errors: { pointer: string; parameter: string; code: string; given?: string }[];
}
interface WeighIn {
  weighedOn: string;
  weighedAt: string | null;
  fill: string;
  hoursOffFeed: string | null;
  scale: string | null;
  head: number;
  animals: {
    visualTag: string | null;
    electronicId: string | null;
    weight: { typed: { value: string; unit: string } };
  }[];
}

let world: World;
let operation: Operation;
let herdId: string;
beforeAll(async () => {
  world = await openWorld();
});
beforeEach(async () => {
  operation = await operationWith(world, { roles: ['owner', 'manager', 'nutritionist', 'hand'] });
  herdId = await herd(operation, await ranch(operation));
});
afterAll(async () => {
  await world.close();
});

const expected = (id: string): unknown =>
  (published as unknown as { id: string; expected: unknown }[]).find((one) => one.id === id)?.expected;
const event = (
  animal: string,
  measurement: number,
  more: { weight?: object } & Record<string, unknown> = {},
): object => {
  const { weight, ...rest } = more;
  return {
    resourceType: 'icarWeightEventResource',
    animal: { id: animal, scheme: 'org.iso.11784' },
    eventDateTime: '2027-01-12T07:00:00Z',
    weight: { measurement, ...weight },
    ...rest,
  };
};
const address = (query = ''): string => operation.at(`/imports/icar-weights?herdId=${herdId}${query}`);
const take = async (member: object[], query = ''): Promise<{ id: string; recordCount: number; rowCount: number }> =>
  (
    await operation.as.hand.post<{ id: string; recordCount: number; rowCount: number }>(
      address(query),
      { member },
      { expect: 201 },
    )
  ).body;
const weighIns = async (): Promise<WeighIn[]> =>
  (await operation.as.manager.get<{ items: WeighIn[] }>(operation.at('/weigh-ins'), { expect: 200 })).body.items;
const exported = async (from: Operation = operation): Promise<Event[]> =>
  (await from.as.nutritionist.get<{ member: Event[] }>(from.at('/icar-weight-events'), { expect: 200 })).body.member;

it('knows the methods and the default unit of the standard', () => {
  expect(ICAR_WEIGHT_METHODS).toEqual(expected('ade-method-enum'));
  expect(ICAR_DEFAULT_UNIT).toBe(expected('ade-default-units'));
  expect(expected('ade-timeofffeed')).toBe('number, hours withheld from feed before weighing');
});

it('takes kilograms where no unit is given, hours off feed, tags and numbers; one weigh-in a day', async () => {
  const made = await take([
    event('840003201234501', 251.5, { timeOffFeed: 12 }),
    event('A 7', 561, { weight: { units: 'LBR' }, timeOffFeed: 12 }),
    event('840003201234501', 260, {
      weight: { units: null, method: 'WalkOver' },
      eventDateTime: '2027-01-14T15:30:00Z',
      device: { manufacturerName: 'Scale maker', model: 'Crate 2', id: 'ignored' },
    }),
  ]);
  expect(made).toMatchObject({ rowCount: 3, recordCount: 2 });
  expect(await weighIns()).toMatchObject([
    {
      weighedOn: '2027-01-14',
      weighedAt: '2027-01-14T15:30:00.000Z',
      fill: 'full',
      hoursOffFeed: null,
      scale: 'WalkOver; Scale maker Crate 2',
      head: 1,
      animals: [{ electronicId: '840003201234501', weight: { typed: { value: '260', unit: 'kg' } } }],
    },
    // Seven hours UTC is midnight at the ranch: the day is known, the time is not.
    {
      weighedOn: '2027-01-12',
      weighedAt: null,
      fill: 'shrunk',
      hoursOffFeed: '12',
      scale: null,
      head: 2,
      animals: [
        { electronicId: '840003201234501', weight: { typed: { value: '251.5', unit: 'kg' } } },
        { visualTag: 'A 7', weight: { typed: { value: '561', unit: 'lb' } } },
      ],
    },
  ]);
});

it('gives back what it took, and another operation takes that in as the same', async () => {
  const events = [
    event('840003201234501', 251.53, { timeOffFeed: 12 }),
    event('A 7', 561.5, { weight: { units: 'LBR' }, timeOffFeed: 12 }),
    event('A 7', 570, {
      weight: { units: 'LBR', method: 'WalkOver' },
      eventDateTime: '2027-01-14T15:30:00Z',
      device: { model: 'Crate 2' },
    }),
    event('B 1', 0.26, { weight: { units: 'TNE' } }),
  ];
  await take(events);
  const core = (list: Event[]): unknown =>
    list
      .map(({ animal, eventDateTime, weight, device, timeOffFeed }) =>
        JSON.stringify({ animal, at: new Date(eventDateTime).toISOString(), weight, device, timeOffFeed }),
      )
      .sort();
  const out = await exported();
  expect(out).toHaveLength(4);
  expect(out.find((one) => one.animal.id === '840003201234501')).toMatchObject({
    resourceType: 'icarWeightEventResource',
    animal: { scheme: 'org.iso.11784' },
    eventDateTime: '2027-01-12T07:00:00.000Z',
    weight: { measurement: 251.53, units: 'KGM' },
    timeOffFeed: 12,
  });
  expect(out.find((one) => one.weight.method !== undefined)).toMatchObject({
    weight: { measurement: 570, units: 'LBR', method: 'WalkOver' },
    device: { model: 'Crate 2' },
    eventDateTime: '2027-01-14T15:30:00.000Z',
  });
  const other = await operationWith(world);
  const otherHerd = await herd(other, await ranch(other));
  await other.as.manager.post(other.at(`/imports/icar-weights?herdId=${otherHerd}`), { member: out }, { expect: 201 });
  expect(core(await exported(other))).toEqual(core(out));
});

it('is taken in once, and a second weight of an animal on a day stands in a weigh-in of its own', async () => {
  const member = [event('A 7', 250), event('A 8', 251), event('A 7', 252)];
  const first = await take(member);
  expect(first.recordCount).toBe(2);
  expect((await take(member)).id).toBe(first.id);
  expect((await weighIns()).map((one) => one.head).sort()).toEqual([1, 2]);
});

it('refuses what no scale read, unless asked, and names every event', async () => {
  const member = [
    event('A 1', 250, { weight: { method: 'Girth' } }),
    event('A 2', 250, { weight: { method: 'GroupAverage' } }),
    event('A_3', 250),
    event('A 4', 250),
  ];
  const refused = (await operation.as.hand.post<Refusal>(address(), { member }, { expect: 422 })).body;
  expect(refused.type).toBe('/problems/import-refused');
  expect(refused.errors.map((one) => [one.pointer, one.code, one.given])).toEqual([
    ['#/member/0/weight/method', 'not-weighed', 'Girth'],
    ['#/member/1/weight/method', 'not-an-animal', 'GroupAverage'],
    ['#/member/2/animal/id', 'invalid-format', 'A_3'],
  ]);
  const tags = (
    await operation.as.hand.post<Refusal>(
      address(),
      { member: [event('A_3', 250), event('A 4', 250)] },
      { expect: 422 },
    )
  ).body;
  expect(tags.errors.map((one) => [one.pointer, one.given])).toEqual([['#/member/0/animal/id', 'A_3']]);
  const units = (
    await operation.as.hand.post<Refusal>(
      address(),
      { member: [event('A 1', 250, { weight: { units: 'MGM' } })] },
      { expect: 400 },
    )
  ).body;
  expect(units.errors[0]?.pointer).toBe('#/member/0/weight/units');
  expect(await weighIns()).toEqual([]);
  expect(await take([event('A 1', 250, { weight: { method: 'Girth' } })], '&estimates=take')).toMatchObject({
    recordCount: 1,
  });
});

it('leaves out groups and what was reversed, and is closed to strangers', async () => {
  await operation.as.manager.post(
    operation.at('/weigh-ins'),
    {
      scope: 'group',
      herdId,
      weighedOn: '2027-01-10',
      fill: 'full',
      head: 10,
      measure: 'mean',
      weight: { value: '550', unit: 'lb' },
    },
    { expect: 201 },
  );
  const made = await operation.as.manager.post<{ id: string }>(
    operation.at('/weigh-ins'),
    {
      scope: 'animal',
      herdId,
      weighedOn: '2027-01-11',
      fill: 'full',
      animals: [{ visualTag: 'A 1', weight: { value: '0.275', unit: 'ton' } }],
    },
    { expect: 201 },
  );
  // A short ton has no code in the standard: 550 lb are 249.475804 kg.
  expect((await exported())[0]?.weight).toEqual({ measurement: 249.475804, units: 'KGM' });
  await operation.as.manager.post(
    operation.at(`/weigh-ins/${made.body.id}/reversal`),
    { reason: 'Wrong herd' },
    { expect: 201 },
  );
  expect(await exported()).toEqual([]);
  const other = await operationWith(world);
  await other.as.manager.get(operation.at('/icar-weight-events'), { expect: 404 });
  await other.as.manager.post(
    other.at(`/imports/icar-weights?herdId=${herdId}`),
    { member: [event('A 1', 250)] },
    { expect: 404 },
  );
});
