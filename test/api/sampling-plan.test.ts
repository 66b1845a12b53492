/*
 * Which bales of a lot to core. The counts are the National Forage Testing Association's: twenty cores to a sample, one
 * sample for 200 short tons. The ranch is invented.
 */
import { type Operation, operationWith } from '../support/people.js';
import { lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Plan {
  form: string;
  bales: number | null;
  balesFrom: string | null;
  sampleCount: number;
  coresPerSample: number;
  samples: { fromBale: number; untilBale: number; bales: { bale: number; cores: number }[] }[];
  probeDepth: { from: { value: number; unit: string } } | null;
  steps: { topic: string; source: string; sourceStatus: string }[];
  cautions: { code: string }[];
}

describe('the sampling plan of a lot', () => {
  let world: World;
  let operation: Operation;
  let meadow: string;

  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world, { roles: ['manager', 'hand'] });
    meadow = (await lot(operation, await ranch(operation), { name: 'Meadow', tons: '90', baleCount: 150 })).lotId;
  });
  afterAll(async () => {
    await world.close();
  });

  const plan = async (query: Record<string, string> = {}, expect = 200): Promise<Plan> =>
    (await operation.as.hand.get<Plan>(operation.at(`/hay-lots/${meadow}/sampling-plan`), { query, expect })).body;

  it('draws twenty bales of those that the books leave, the same ones each time', async () => {
    const one = await plan();
    expect(one.balesFrom).toBe('balance-over-bale-weight');
    expect(one.samples).toHaveLength(1);
    expect(one.samples[0]).toMatchObject({ fromBale: 1, untilBale: one.bales });
    expect(one.samples[0]?.bales).toHaveLength(20);
    expect(await plan()).toEqual(one);
    expect((await plan({ seed: '2' })).samples).not.toEqual(one.samples);
  });

  it('goes by the bales that were counted, and by the units asked for', async () => {
    expect(await plan({ bales: '12', units: 'metric' })).toMatchObject({
      bales: 12,
      balesFrom: 'asked',
      coresPerSample: 20,
      probeDepth: { from: { value: 30.5, unit: 'cm' } },
    });
    expect((await plan()).probeDepth?.from).toEqual({ value: 12, unit: 'in' });
    await plan({ bales: '0' }, 400);
    await plan({ seed: 'x' }, 400);
  });

  it('has a source on every step, and warns of hot hay', async () => {
    const { steps, cautions } = await plan();
    for (const step of steps)
      expect([step.source, step.sourceStatus].map((words) => words.length > 5)).toEqual([true, true]);
    expect(steps.map((step) => step.topic)).toContain('safety');
    expect(cautions).toEqual([]);
    await operation.as.hand.post(
      operation.at('/hay-observations'),
      { hayLotId: meadow, seenOn: '2027-01-12', probe: { temperature: { value: '162', unit: 'F' } } },
      { expect: 201 },
    );
    const hot = await plan();
    expect(hot.cautions.map((one) => one.code)).toEqual(['stack-temperature']);
    // A probe lets air into hay that heats: no bale is drawn, and the step that says so is still there.
    expect(hot).toMatchObject({ samples: [], sampleCount: 0, coresPerSample: 0, probeDepth: null });
    expect(hot.steps.map((step) => step.topic)).toContain('safety');
  });
});
