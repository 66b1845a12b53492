import { feedingBody } from '../../support/things.js';
import { lb, ton } from './measures.js';
import { type Body, type Ids, NOTHING, type Writer } from './writer.js';

/** Hay fed: recorded, reversed, corrected. */
export async function feedings(writer: Writer, ids: Ids, lotId: string): Promise<void> {
  const { cowsId, strawId, alfalfaId, meadowId, placeId } = ids;
  const { hand, manager, nutritionist } = writer.who;
  const reversed = await writer.round(
    manager,
    '/feedings',
    feedingBody(
      cowsId,
      [
        [strawId, '600'],
        [alfalfaId, '700'],
        [meadowId, '900'],
      ],
      { fedOn: '2026-04-01', weather: 'frost' },
    ),
  );
  const tour = {
    herdId: cowsId,
    fedOn: '2026-04-01',
    method: 'windrow-on-ground',
    weather: 'frost',
    layers: [
      { role: 'coarse', parts: [{ hayLotId: strawId, weight: lb('600') }] },
      { role: 'rich', parts: [{ hayLotId: alfalfaId, weight: lb('700') }] },
      { role: 'mixed', parts: [{ hayLotId: lotId, bales: '2' }] },
    ],
  };
  await writer.post(manager, '/feedings', tour, { as: 'of the tour', expect: 201 });
  await writer.post(
    hand,
    '/feedings',
    { ...tour, fedOn: '2026-04-02', placeId, wasted: lb('90'), refused: lb('20'), headFed: 118 },
    { as: 'by the hand, with waste', expect: 201 },
  );
  await writer.post(
    manager,
    '/feedings',
    { ...tour, fedOn: '2026-04-03', correctsId: reversed.id },
    { as: 'that corrects' },
  );
  await writer.post(nutritionist, '/feedings', tour, { as: 'by the nutritionist', expect: 403 });
  await refusedFeedings(writer, ids, lotId);
  await writer.post(manager, '/feedings', '{"herdId": ', { as: 'of broken JSON', expect: 400 });
  await writer.post(manager, '/feedings', 'herd,head', {
    as: 'of another media type',
    headers: { 'Content-Type': 'text/plain' },
  });
  await writer.post(manager, '/feedings', tour, {
    as: 'with a key that is none',
    headers: { 'Idempotency-Key': 'x'.repeat(300) },
  });
}

/** Feedings that the books cannot take. */
async function refusedFeedings(writer: Writer, { cowsId }: Ids, lotId: string): Promise<void> {
  const one = (parts: Body[], more: Body = {}): Body => ({
    herdId: cowsId,
    fedOn: '2026-04-04',
    method: 'bunk',
    layers: [{ role: 'mixed', parts }],
    ...more,
  });
  const refusals: [string, Body][] = [
    ['of too much', one([{ hayLotId: lotId, weight: ton('900') }])],
    ['before the purchase', one([{ hayLotId: lotId, weight: lb('100') }], { fedOn: '2026-03-31' })],
    ['of a lot that is not there', one([{ hayLotId: NOTHING, weight: lb('100') }])],
    ['of a herd that is not there', one([{ hayLotId: lotId, weight: lb('100') }], { herdId: NOTHING })],
    ['tomorrow', one([{ hayLotId: lotId, weight: lb('100') }], { fedOn: '2026-11-27' })],
    ['of nothing', one([{ hayLotId: lotId, weight: lb('0') }])],
    ['without layers', one([], { layers: [] })],
    ['to nobody', one([{ hayLotId: lotId, weight: lb('100') }], { headFed: 0 })],
    ['wasted more than fed', one([{ hayLotId: lotId, weight: lb('100') }], { wasted: lb('200') })],
    ['too many bales', one([{ hayLotId: lotId, bales: '99' }])],
    ['in a unit that is none', one([{ hayLotId: lotId, weight: { value: '10', unit: 'stone' } }])],
    ['before the herd', one([{ hayLotId: lotId, weight: lb('100') }], { fedOn: '2024-01-01' })],
  ];
  for (const [as, body] of refusals) await writer.post(writer.who.manager, '/feedings', body, { as });
}

/** A feed sheet confirmed as it was planned, and with what was left. */
export async function sheetConfirmations(writer: Writer, { calvesId }: Ids): Promise<void> {
  const { hand, manager } = writer.who;
  await writer.round(
    manager,
    '/feed-sheet-confirmations',
    { herdId: calvesId, fedOn: '2026-04-02' },
    { reverse: false },
  );
  await writer.post(
    hand,
    '/feed-sheet-confirmations',
    { herdId: calvesId, fedOn: '2026-04-03', weather: 'rain', wasted: lb('12') },
    { as: 'by the hand' },
  );
}
