/* What the database itself refuses about rations, whatever a service forgets. */
import { asker, operationWith, type Operation } from '../support/people.js';
import { aWinterIn, type Winter } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';

describe('the guards of a ration', () => {
  let world: World;
  let operation: Operation;
  let winter: Winter;
  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world);
    winter = await aWinterIn(operation);
  });
  afterAll(async () => {
    await world.close();
  });

  const draft = async (): Promise<string> => {
    const [coarse] = winter.lots;
    return (
      await operation.as.nutritionist.post<{ id: string }>(
        operation.at('/rations'),
        {
          herdId: winter.herdId,
          name: 'Guarded',
          basis: 'as-fed',
          amount: { weight: { value: '15', unit: 'lb' }, basis: 'as-fed' },
          layers: [{ role: 'coarse', parts: [{ hayLotId: coarse?.lotId, sharePercent: '100' }] }],
        },
        { expect: 201 },
      )
    ).body.id;
  };
  const set = (
    who: 'nutritionist' | 'manager' | 'owner' | 'hand',
    id: string,
    values: Record<string, string | null>,
  ): Promise<string> =>
    world.database
      .writeIn(asker(world, operation.people[who]), operation.id, async ({ db }) => {
        const { numUpdatedRows } = await db
          .updateTable('ration')
          .set(values as object)
          .where('operation_id', '=', operation.id)
          .where('id', '=', id)
          .executeTakeFirstOrThrow();
        return { rows: Number(numUpdatedRows) };
      })
      .then(
        ({ rows }) => (rows === 1 ? 'done' : 'not seen'),
        (error: unknown) => (error as { code: string }).code,
      );

  it('keep a draft from being accepted, and a proposal from anybody but the ranch', async () => {
    const id = await draft();
    expect(await set('owner', id, { state: 'accepted' })).toBe('conflict');
    expect(await set('nutritionist', id, { state: 'proposed' })).toBe('done');
    expect(await set('nutritionist', id, { state: 'accepted' })).toBe('conflict');
    expect(await set('hand', id, { state: 'accepted' })).toBe('not seen');
    expect(await set('nutritionist', id, { amount_value: '99' })).toBe('conflict');
    expect(await set('manager', id, { state: 'accepted' })).toBe('done');
    expect(await set('owner', id, { name: 'Another' })).toBe('conflict');
    expect(await set('owner', id, { state: 'draft' })).toBe('conflict');
  });

  it('keep a herd from two rations on one day, and the desk from taking one in use', async () => {
    const id = await draft();
    expect(await set('nutritionist', id, { state: 'proposed' })).toBe('done');
    expect(await set('manager', id, { state: 'accepted' })).toBe('done');
    // The winter's own ration is in use from 2027-01-09 on.
    expect(await set('manager', id, { in_use_from: '2027-01-20' })).toBe('conflict');
    expect(await set('nutritionist', id, { in_use_from: '2026-12-01', in_use_until: '2027-01-09' })).toBe('conflict');
    expect(await set('manager', id, { in_use_from: '2026-12-01', in_use_until: '2027-01-10' })).toBe('conflict');
    expect(await set('manager', id, { in_use_from: '2026-12-01', in_use_until: '2027-01-09' })).toBe('done');
  });

  it('keep layers out of what is no draft, and managers from changing one', async () => {
    const id = await draft();
    expect(await set('manager', id, { name: 'Theirs' })).toBe('conflict');
    const layer = (revision: number) =>
      world.database
        .writeIn(asker(world, operation.people.nutritionist), operation.id, async ({ db }) => {
          await db
            .insertInto('ration_layer')
            .values({
              operation_id: operation.id,
              ration_id: id,
              revision,
              position: 2,
              part: 1,
              role: 'rich',
              hay_lot_id: winter.lots[1]?.lotId ?? '',
              share_percent: '10',
              share_value: '10',
            })
            .execute();
          return {};
        })
        .then(
          () => 'done',
          (error: unknown) => (error as { code: string }).code,
        );
    expect(await layer(2)).toBe('conflict');
    expect(await layer(1)).toBe('done');
    expect(await set('nutritionist', id, { state: 'proposed' })).toBe('done');
    expect(await layer(1)).toBe('conflict');
  });
});
