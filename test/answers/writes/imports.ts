import { readFileSync } from 'node:fs';
import path from 'node:path';
import type { Body, Ids, Writer } from './writer.js';

const CSV = { 'Content-Type': 'text/csv' };
const SAMPLES = path.resolve(__dirname, '..', '..', '..', 'seed', 'samples');

/** A small file of each kind that the demo's books take. */
const OWN: Readonly<Record<string, string>> = {
  'hay-tickets': file(
    'vendor,purchased_on,lot,ranch,hay_kind,bale_form,storage_method,bale_count,net_weight_lb,price_usd_per_ton',
    'A neighbor,2026-05-02,Imported meadow,Bench Ranch,meadow,round,tarp,20,24000,110.00',
  ),
  'lab-tests': file(
    'lot,lab,sampled_on,method,basis,cores,dry_matter_percent,crude_protein_percent',
    'Imported meadow,Forage laboratory,2026-05-03,near-infrared,dry-matter,20,88.1,9.4',
  ),
  feedings: file(
    'feeding,herd,fed_on,method,layer,role,lot,weight_lb',
    'F1,Spring-calving cows,2026-05-04,windrow-on-ground,1,coarse,Imported meadow,800',
    'F1,Spring-calving cows,2026-05-04,windrow-on-ground,2,rich,"Alfalfa, second cutting",400',
  ),
  'group-weights': file('herd,weighed_on,fill,head,total_weight_lb', 'Spring-calving cows,2026-05-05,full,20,26000'),
  'animal-weights': file(
    'weigh_in,herd,weighed_on,fill,visual_tag,weight_lb',
    '1,Weaned steer calves,2026-05-05,full,Q 1,700',
    '1,Weaned steer calves,2026-05-05,full,Q 2,712',
  ),
  'head-changes': file('herd,kind,head,happened_on', 'Weaned steer calves,death,1,2026-05-06'),
  'herd-events': file('herd,kind,happened_on,score', 'Spring-calving cows,condition,2026-05-07,5'),
  'hay-observations': file('lot,seen_on,mold,smell', 'Imported meadow,2026-05-08,light,musty'),
};

function file(...lines: string[]): string {
  return `${lines.join('\n')}\n`;
}

/** Files of every kind: the sample, a broken one, an empty one, one that is taken, and that one again. */
export async function files(writer: Writer): Promise<void> {
  const { manager } = writer.who;
  for (const kind of Object.keys(OWN)) {
    const broken = `${(OWN[kind] ?? '').trimEnd().replaceAll('2026-05', '2026-15')}\nno,such,row\n`;
    for (const [as, text] of [
      ['of the sample', readFileSync(path.join(SAMPLES, `${kind}.csv`), 'utf8')],
      ['broken', broken],
      ['empty', ''],
      ['of its own', OWN[kind] ?? ''],
    ] as const) {
      await writer.post(manager, `/imports/${kind}/check`, text, { as, headers: CSV, key: null });
      if (as !== 'of the sample')
        await writer.post(manager, `/imports/${kind}`, text, {
          as,
          headers: CSV,
          ...(as === 'of its own' ? { expect: 201 } : {}),
        });
    }
    await writer.post(manager, `/imports/${kind}/check?format=csv`, broken, {
      as: 'as CSV',
      headers: CSV,
      key: null,
    });
    await writer.post(manager, `/imports/${kind}`, OWN[kind], { as: 'of its own again', headers: CSV });
  }
}

/** Weights as a scale sends them (ICAR ADE). */
export async function scaleWeights(writer: Writer, { cowsId, calvesId }: Ids): Promise<void> {
  const { hand } = writer.who;
  const event = (id: string, measurement: number, more: Body = {}): Body => ({
    resourceType: 'icarWeightEventResource',
    animal: { id, scheme: 'org.iso.11784' },
    eventDateTime: '2026-05-12T07:00:00Z',
    weight: { measurement },
    ...more,
  });
  await writer.post(
    hand,
    `/imports/icar-weights?herdId=${calvesId}`,
    { member: [event('840003201234501', 251.5, { timeOffFeed: 12 }), event('A 7', 301)] },
    { expect: 201 },
  );
  await writer.post(
    hand,
    `/imports/icar-weights?herdId=${calvesId}`,
    { member: [event('A_3', 250)] },
    { as: 'of a tag that is none', expect: 422 },
  );
  await writer.post(hand, `/imports/icar-weights?herdId=${cowsId}`, { member: [] }, { as: 'of nothing' });
}
