import type { Ids, Writer } from './writer.js';

/** Ranches, places, yardage, weather and water. */
export async function yard(writer: Writer, { ranchId, cowsId }: Ids): Promise<void> {
  const { owner, manager } = writer.who;
  const made = await writer.round(manager, '/ranches', { name: 'Recorded ranch' }, { reverse: false });
  await writer.change(manager, `/ranches/${made.id}`, { name: 'Recorded ranch, renamed' });
  const place = await writer.round(
    manager,
    '/places',
    { ranchId: made.id, name: 'Recorded bunk', kind: 'bunk-line', bunkLength: { value: '80', unit: 'ft' } },
    { reverse: false },
  );
  await writer.change(manager, `/places/${place.id}`, { name: 'Recorded bunk, renamed' });
  await writer.change(owner, '', { name: 'Coldwater Bench Cattle (invented)' });
  await writer.round(owner, '/yardage-rates', { fromOn: '2026-04-01', perHeadDay: '0.40' });
  await writer.round(
    owner,
    '/yardage-rates',
    { fromOn: '2026-04-01', perHeadDay: '0.45', herdId: cowsId },
    { as: 'of a herd' },
  );
  await writer.round(manager, '/weather-days', {
    ranchId,
    onDay: '2026-04-02',
    meanTemperature: { value: '31', unit: 'F' },
    wind: { value: 12, unit: 'mph' },
    wet: true,
  });
  await writer.round(manager, '/water-checks', {
    placeId: place.id,
    source: 'Spring',
    checkedOn: '2026-04-02',
    state: 'frozen',
    flow: { value: '3', unit: 'gal/min' },
    tank: { value: '400', unit: 'gal' },
    sulfateMgPerL: '900',
  });
  await writer.post(
    manager,
    '/water-checks',
    { placeId: place.id, source: 'Spring', checkedOn: '2026-04-03', state: 'open' },
    { as: 'that stays', expect: 201 },
  );
  await writer.post(
    manager,
    '/weather-days',
    { ranchId, onDay: '2026-04-03', meanTemperature: { value: '-2', unit: 'C' } },
    { as: 'in metric', expect: 201 },
  );
}
