import type { Asker } from '../asking.js';
import { lb } from './measures.js';
import type { Body, Ids, Made, Writer } from './writer.js';

/** Templates, rations and what becomes of them. */
export async function rations(writer: Writer, ids: Ids): Promise<void> {
  const { cowsId, strawId, alfalfaId } = ids;
  const { nutritionist } = writer.who;
  const template = await writer.round(
    nutritionist,
    '/layer-templates',
    {
      name: 'Recorded',
      basis: 'volume',
      layers: [
        { role: 'coarse', sharePercent: '70' },
        { role: 'rich', sharePercent: '30' },
      ],
    },
    { reverse: false },
  );
  await writer.change(nutritionist, `/layer-templates/${template.id}`, { name: 'Recorded, renamed' });
  const layers = [
    { role: 'coarse', parts: [{ hayLotId: strawId, sharePercent: '40' }] },
    { role: 'rich', parts: [{ hayLotId: alfalfaId, sharePercent: '60' }] },
  ];
  const amount = { weight: lb('27'), basis: 'as-fed' };
  const ration = await writer.round(
    nutritionist,
    '/rations',
    { herdId: cowsId, name: 'Recorded ration', basis: 'as-fed', amount, wastedPercent: '8', layers },
    { reverse: false },
  );
  await writer.change(nutritionist, `/rations/${ration.id}`, { name: 'Recorded ration, renamed' });
  await writer.post(
    nutritionist,
    '/rations',
    {
      herdId: cowsId,
      name: 'By template',
      templateKey: template.id,
      amount,
      layers: layers.map(({ role, parts: [part] }) => ({ role, parts: [{ hayLotId: part?.hayLotId }] })),
    },
    { as: 'by a template', expect: 201 },
  );
  await writer.post(
    nutritionist,
    '/rations',
    { herdId: cowsId, name: 'Off', basis: 'as-fed', amount, layers: [layers[0]] },
    { as: 'of shares that do not add up', expect: 422 },
  );
  await rationSteps(writer, ids, ration.id);
  await evaluations(writer, ids, { basis: 'as-fed', amount, layers });
}

/** A ration's way: proposed, sent back, withdrawn, accepted, used, ended. */
async function rationSteps(writer: Writer, { placeId }: Ids, rationId: string): Promise<void> {
  const { hand, manager, nutritionist } = writer.who;
  const step = (who: Asker, name: string, body: Body, expect: number, as = ''): Promise<Made> =>
    writer.post(who, `/rations/${rationId}/${name}`, body, { as, expect });
  await step(manager, 'acceptance', {}, 409, 'of a draft');
  await step(nutritionist, 'proposal', { words: 'See the judgement.' }, 200);
  await step(nutritionist, 'proposal', {}, 409, 'twice');
  await step(manager, 'return', { words: 'More straw?' }, 200);
  await step(nutritionist, 'proposal', {}, 200, 'again');
  await step(nutritionist, 'withdrawal', {}, 200);
  await step(nutritionist, 'proposal', {}, 200, 'a third time');
  await step(hand, 'acceptance', {}, 403, 'by the hand');
  await step(manager, 'acceptance', { words: 'Good.' }, 200);
  await step(manager, 'use', { from: '2026-04-05' }, 200);
  await step(nutritionist, 'notes', { words: 'Watch the bunk on Monday.' }, 201);
  await step(hand, 'notes', { words: 'Seen.' }, 403, 'by the hand');
  for (const on of ['2026-04-06', '2026-11-25']) await writer.look(`/places/${placeId}/feed-sheet?on=${on}`);
  await step(manager, 'end', { on: '2026-04-20', words: 'Out on grass' }, 200);
}

/** Rations judged that are not kept, and the cheapest ones. */
async function evaluations(writer: Writer, { cowsId, strawId, alfalfaId, meadowId }: Ids, ration: Body): Promise<void> {
  const { hand, nutritionist } = writer.who;
  await writer.post(nutritionist, `/herds/${cowsId}/ration-evaluation`, ration, { key: null, expect: 200 });
  await writer.post(
    nutritionist,
    `/herds/${cowsId}/ration-evaluation`,
    { ...ration, layers: [] },
    { as: 'of nothing', key: null, expect: 400 },
  );
  for (const [as, more] of [
    ['plain', {}],
    [
      'of some lots',
      {
        lots: [{ hayLotId: strawId }, { hayLotId: alfalfaId }, { hayLotId: meadowId, role: 'mixed' }],
        proteinSystem: 'crude',
      },
    ],
    ['with offers', { offers: 'all-open', edition: 'NASEM2016' }],
    ['stuck', { lots: [{ hayLotId: strawId }], proteinSystem: 'crude' }],
    ['of whole bales', { wholeBales: { everyDays: 2 } }],
    ['of minerals', { minerals: ['calcium', 'phosphorus'], maxLegumePercent: 30 }],
  ] as const) {
    await writer.post(
      nutritionist,
      `/herds/${cowsId}/least-cost-ration`,
      { days: 30, on: '2026-02-15', ...more },
      { as, key: null, expect: 200 },
    );
  }
  await writer.post(hand, `/herds/${cowsId}/least-cost-ration`, { days: 30 }, { as: 'by the hand', key: null });
}
