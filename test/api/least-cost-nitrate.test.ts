/*
 * Oat hay that gathered nitrate, in the cheapest ration of cows in calf. Shares by the default guide
 * (src/core/cautions/guides.data.ts): from 1,000 to 2,000 ppm NO3-N at most half of the dry matter, beyond 2,000 ppm
 * none for pregnant cattle. Cattle, hays and prices are invented.
 */
import { type Operation, operationWith } from '../support/people.js';
import { cows, labTestBody, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Caution {
  code: string;
  severity: string;
  subject: string | null;
  given: number;
}
interface Answer {
  status: 'solved' | 'infeasible';
  layers: { parts: { name: string; perHead: { value: string } }[] }[];
  excluded: { name: string; because: string; words: string }[];
  cautions: Caution[];
}

let world: World;
beforeAll(async () => {
  world = await openWorld();
});
afterAll(() => world.close());

const percent = (value: string): object => ({ value, unit: '%' });

/** The cheapest ration of cows in calf from good meadow hay and oat hay that costs a third of it. */
async function cheapest(nitrate: string, asked: object = {}): Promise<Answer & { oatShare: number }> {
  const operation: Operation = await operationWith(world);
  const ranchId = await ranch(operation);
  const herdId = await cows(operation, ranchId, { head: 80 });
  const hay = async (name: string, hayKind: string, amount: string, analysis: object): Promise<void> => {
    const price = { basis: 'per-mass', amount, per: 'ton' };
    const { lotId } = await lot(operation, ranchId, { name, hayKind, tons: '400', price });
    const body = labTestBody(lotId, {
      analysis: { acidDetergentFiber: percent('36'), neutralDetergentFiber: percent('57'), ...analysis },
    });
    await operation.as.manager.post(operation.at('/lab-tests'), body, { expect: 201 });
  };
  await hay('Meadow', 'brome', '180', { dryMatter: percent('90'), crudeProtein: percent('10') });
  await hay('Oat hay', 'oat-hay', '60', {
    dryMatter: percent('90'),
    crudeProtein: percent('10'),
    nitrate: { value: nitrate, unit: 'ppm NO3-N' },
  });
  const { body } = await operation.as.nutritionist.post<Answer>(
    operation.at(`/herds/${herdId}/least-cost-ration`),
    { on: '2027-01-14', days: 30, minDegradableProteinPercent: 0, ...asked },
    { key: null, expect: 200 },
  );
  const parts = body.layers.flatMap((layer) => layer.parts);
  const pounds = (of: readonly { perHead: { value: string } }[]): number =>
    of.reduce((sum, { perHead }) => sum + Number(perHead.value), 0);
  // Both hays are 90 % dry matter.
  return { ...body, oatShare: pounds(parts.filter(({ name }) => name === 'Oat hay')) / pounds(parts) };
}

it('at 5,000 ppm none of it is fed to cows in calf, and the answer says why', async () => {
  const answer = await cheapest('5000');
  expect(answer).toMatchObject({ status: 'solved', oatShare: 0 });
  expect(answer.excluded).toMatchObject([{ name: 'Oat hay', because: 'nitrate-above-guide' }]);
  expect(answer.excluded[0]?.words).toContain('5000');
});

it('at 5,000 ppm whoever lets it in all the same is told of the danger with its number', async () => {
  const answer = await cheapest('5000', { nitrate: 'told' });
  expect(answer.status).toBe('solved');
  expect(answer.oatShare).toBeGreaterThan(0);
  expect(answer.cautions).toContainEqual(
    expect.objectContaining({ code: 'nitrate-single-hay', severity: 'danger', given: 5000 }),
  );
});

it('at 1,800 ppm it is fed up to the half that the guide allows, with the caution', async () => {
  const answer = await cheapest('1800');
  expect(answer.status).toBe('solved');
  expect(answer.oatShare).toBeGreaterThan(0.3);
  expect(answer.oatShare).toBeLessThanOrEqual(0.5 + 1e-3);
  expect(answer.cautions).toContainEqual(expect.objectContaining({ code: 'nitrate-single-hay', given: 1800 }));
  expect(answer.cautions.filter(({ severity }) => severity === 'danger')).toEqual([]);
});
