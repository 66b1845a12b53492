/*
 * The desk's part of the demo, loaded into an operation of the test: every role reads the feed sheet that comes of it.
 * Invented.
 */
import { loadDeskDemo } from '../../seed/desk.js';
import { clientOf, type Operation, operationWith, ROLES } from '../support/people.js';
import { herd, lot, ranch, type WithId } from '../support/things.js';
import { MORNING, openWorld, type World } from '../support/world.js';

interface Sheet {
  herds: {
    herd: string;
    ration: { name: string } | null;
    layers: { role: string; lay: { value: string } }[];
    water: { value: number } | null;
  }[];
  water: { need: { value: number }; sources: { source: string }[] };
  madeAt: string;
}

describe('the desk of the demo', () => {
  let world: World;
  let operation: Operation;
  let placeId: string;

  beforeAll(async () => {
    // Its people act at moments of their own: they are members from the autumn on, and sign in again on the winter
    // morning.
    world = await openWorld({ now: '2026-10-01T15:00:00.000Z' });
    operation = await operationWith(world);
    world.clock.set(MORNING);
    for (const role of ROLES) operation.as[role] = await clientOf(world, operation.people[role]);
    const ranchId = await ranch(operation);
    placeId = (
      await operation.as.manager.post<WithId>(
        operation.at('/places'),
        { ranchId, name: 'Calf bunk', kind: 'bunk-line' },
        { expect: 201 },
      )
    ).body.id;
    const herdId = await herd(operation, ranchId, { head: 90, placeId });
    const [oat, alfalfa] = [
      await lot(operation, ranchId, { name: 'Oat hay', hayKind: 'oat-hay' }),
      await lot(operation, ranchId, { name: 'Alfalfa', hayKind: 'alfalfa' }),
    ];
    await loadDeskDemo(world.application, {
      operationId: operation.id,
      nutritionistId: operation.people.nutritionist.id,
      managerId: operation.people.manager.id,
      handId: operation.people.hand.id,
      from: '2026-11-15',
      until: '2027-01-15',
      ranchIds: [ranchId],
      placeIds: [placeId],
      herds: [
        {
          herdId,
          herd: 'Weaned steer calves',
          perHead: '17.5',
          unit: 'lb',
          wastePercent: 6,
          layers: [
            { role: 'coarse', lotId: oat.lotId, share: 0.4 },
            { role: 'rich', lotId: alfalfa.lotId, share: 0.6 },
          ],
        },
      ],
    });
  });
  afterAll(async () => {
    await world.close();
  });

  it.each(ROLES)('gives a %s the feed sheet: JSON, page and PDF', async (role) => {
    const path = operation.at(`/places/${placeId}/feed-sheet`);
    const { body } = await operation.as[role].get<Sheet & Record<string, unknown>>(path, { expect: 200 });
    // 90 head at 17.5 lb: 630 lb of oat hay and 945 of alfalfa.
    expect(
      body.herds.map((one) => [one.ration?.name, one.layers.map((layer) => `${layer.role} ${layer.lay.value}`)]),
    ).toEqual([['Weaned steer calves, winter', ['coarse 630', 'rich 945']]]);
    expect(body.water.need.value).toBeGreaterThan(200);
    expect(body.water.sources.map((one) => one.source)).toEqual(['Trough']);
    expect((await operation.as[role].get(path, { headers: { Accept: 'text/html' }, expect: 200 })).text).toContain(
      '945 lb',
    );
    expect(
      (await operation.as[role].get(path, { headers: { Accept: 'application/pdf' }, expect: 200 })).text.startsWith(
        '%PDF-',
      ),
    ).toBe(true);
  });

  it('keeps the words of the review, and a draft that nobody proposed', async () => {
    const rations = await operation.as.manager.get<{ items: { id: string; name: string; state: string }[] }>(
      operation.at('/rations'),
      { expect: 200 },
    );
    expect(rations.body.items.map((one) => [one.name, one.state])).toEqual([
      ['Weaned steer calves, spring draft', 'draft'],
      ['Weaned steer calves, winter', 'in-use'],
    ]);
    const notes = await operation.as.manager.get<{ items: { kind: string }[] }>(
      operation.at(`/rations/${rations.body.items[1]?.id ?? ''}/notes`),
      { expect: 200 },
    );
    expect(notes.body.items.map((one) => one.kind)).toEqual([
      'proposed',
      'returned',
      'proposed',
      'accepted',
      'in-use',
      'note',
    ]);
  });
});
