import { lb } from './measures.js';
import type { Ids, Writer } from './writer.js';

/** A herd, head that come, die, move and are sold, and what happened to it. Answers the herd. */
export async function herds(writer: Writer, { ranchId, calvesId }: Ids): Promise<string> {
  const { manager } = writer.who;
  const herd = await writer.round(
    manager,
    '/herds',
    {
      name: 'Recorded heifers',
      ranchId,
      cattleClass: 'growing-calf',
      sex: 'heifer',
      bodyWeight: lb('550'),
      targetDailyGain: lb('1.5'),
    },
    { reverse: false },
  );
  await writer.change(manager, `/herds/${herd.id}`, { bodyWeight: lb('560'), note: 'Weighed at the gate' });
  await writer.post(
    manager,
    `/herds/${herd.id}/head-changes`,
    { kind: 'in', head: 40, happenedOn: '2026-04-01', meanWeight: lb('555') },
    { expect: 201 },
  );
  await writer.round(manager, `/herds/${herd.id}/head-changes`, {
    kind: 'death',
    head: 1,
    happenedOn: '2026-04-05',
    note: 'Found in the morning',
  });
  await writer.post(
    manager,
    `/herds/${herd.id}/head-changes`,
    { kind: 'move', head: 5, happenedOn: '2026-04-06', toHerdId: calvesId },
    { as: 'a move', expect: 201 },
  );
  await writer.post(
    manager,
    `/herds/${herd.id}/head-changes`,
    { kind: 'sale', head: 500, happenedOn: '2026-04-07' },
    { as: 'more than there are' },
  );
  await writer.round(manager, `/herds/${herd.id}/events`, {
    kind: 'condition',
    happenedOn: '2026-04-02',
    score: '5.5',
    note: 'Two of us scored',
  });
  await writer.post(
    manager,
    `/herds/${herd.id}/events`,
    { kind: 'bred', happenedOn: '2026-04-03', lastOn: '2026-04-01', service: 'bull' },
    { as: 'that ends before it begins' },
  );
  return herd.id;
}

/** Weights of a group and of animals. */
export async function weighIns(writer: Writer, { cowsId }: Ids, herdId: string): Promise<void> {
  const { hand } = writer.who;
  await writer.round(hand, '/weigh-ins', {
    scope: 'group',
    herdId: cowsId,
    weighedOn: '2026-04-01',
    fill: 'full',
    head: 30,
    measure: 'total',
    weight: lb('38640'),
  });
  await writer.post(
    hand,
    '/weigh-ins',
    {
      scope: 'group',
      herdId: cowsId,
      weighedOn: '2026-04-01',
      fill: 'shrunk',
      hoursOffFeed: '12',
      head: 30,
      measure: 'mean',
      weight: lb('1288'),
    },
    { as: 'that stays', expect: 201 },
  );
  await writer.post(
    hand,
    '/weigh-ins',
    {
      scope: 'animal',
      herdId,
      weighedOn: '2026-04-08',
      fill: 'full',
      animals: [
        { visualTag: 'R 1', weight: lb('561') },
        { visualTag: 'R 2', electronicId: '840003201234501', weight: { value: '255', unit: 'kg' } },
      ],
    },
    { as: 'by the animal', expect: 201 },
  );
  await writer.post(
    hand,
    '/weigh-ins',
    {
      scope: 'animal',
      herdId,
      weighedOn: '2026-04-08',
      fill: 'full',
      animals: [
        { visualTag: 'R 1', weight: lb('561') },
        { visualTag: 'R 1', weight: lb('20000') },
      ],
    },
    { as: 'the same animal twice' },
  );
  await writer.post(
    hand,
    '/weigh-ins',
    {
      scope: 'group',
      herdId: cowsId,
      weighedOn: '2026-04-01',
      fill: 'full',
      head: 900,
      measure: 'total',
      weight: lb('38'),
    },
    { as: 'more than there are' },
  );
}
