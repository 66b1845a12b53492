import type { Operation } from './people.js';
import type { WithId } from './things.js';

export interface Desk {
  placeId: string;
  rationId: string;
  layerTemplateId: string;
  weatherDayId: string;
  waterCheckId: string;
  confirmationId: string;
}

/**
 * One of everything that the nutritionist's desk stores, written by the owner, who may do both the desk's work and the
 * ranch's. Invented.
 */
export async function aDeskIn(
  operation: Operation,
  { ranchId, herdId, lotIds: [coarse, rich] }: { ranchId: string; herdId: string; lotIds: [string, string] },
): Promise<Desk> {
  const { owner, manager } = operation.as;
  const at = (path: string): string => operation.at(path);
  const placeId = (
    await manager.post<WithId>(at('/places'), { ranchId, name: 'Desk bunk', kind: 'bunk-line' }, { expect: 201 })
  ).body.id;
  const weather = await manager.post<WithId>(
    at('/weather-days'),
    { ranchId, onDay: '2027-01-11', meanTemperature: { value: '12', unit: 'F' } },
    { expect: 201 },
  );
  const water = await manager.post<WithId>(
    at('/water-checks'),
    { placeId, source: 'Trough', checkedOn: '2027-01-11', state: 'open' },
    { expect: 201 },
  );
  const template = await owner.post<WithId>(
    at('/layer-templates'),
    {
      name: 'Ours',
      basis: 'volume',
      layers: [
        { role: 'coarse', sharePercent: '70' },
        { role: 'rich', sharePercent: '30' },
      ],
    },
    { expect: 201 },
  );
  const ration = await owner.post<WithId>(
    at('/rations'),
    {
      herdId,
      name: 'Winter',
      templateKey: template.body.id,
      amount: { weight: { value: '15', unit: 'lb' }, basis: 'as-fed' },
      layers: [
        { role: 'coarse', parts: [{ hayLotId: coarse }] },
        { role: 'rich', parts: [{ hayLotId: rich }] },
      ],
    },
    { expect: 201 },
  );
  for (const [step, body] of [
    ['proposal', {}],
    ['acceptance', { words: 'Good.' }],
    ['use', { from: '2027-01-09' }],
  ] as const)
    await owner.post(at(`/rations/${ration.body.id}/${step}`), body, { expect: 200 });
  const confirmed = await manager.post<WithId>(
    at('/feed-sheet-confirmations'),
    { herdId, fedOn: '2027-01-11' },
    { expect: 201 },
  );
  return {
    placeId,
    rationId: ration.body.id,
    layerTemplateId: template.body.id,
    weatherDayId: weather.body.id,
    waterCheckId: water.body.id,
    confirmationId: confirmed.body.id,
  };
}
