import { type Operation, operationWith } from '../../support/people.js';
import { openWorld, type World } from '../../support/world.js';
import { aRunningTrial, weighAll } from './support.js';

let world: World;
let operation: Operation;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
});
afterAll(() => world.close());

interface Answered {
  difference: { value: string };
  standardError: { value: string };
}

it('takes the trials of an operation together, and none of another', async () => {
  const others = await operationWith(world);
  const pens = { unit: 'pen', unitsPerArm: 2, headPerPen: 5, pens: ['north', 'east', 'south', 'west'] };
  const inPens = async (of: Operation, name: string, more: number) => {
    const running = await aRunningTrial(world, of, { ...pens, name, twoWeighingDays: false, method: 'welch' });
    for (const day of [0, 30]) await weighAll(of, running, day, { usual: 1, change: 1 + more, sd: 0.3 });
    const judged = await of.as.nutritionist.post<{ comparisons: { answer: Answered }[] }>(
      running.at('/judgements'),
      {},
      { expect: 201 },
    );
    return { id: running.trialId, answer: judged.body.comparisons[0]?.answer };
  };
  const [one, two, theirs] = [
    await inPens(operation, 'First winter', 0.3),
    await inPens(operation, 'Second winter', 0.7),
    await inPens(others, 'Somebody else', 0.5),
  ];
  const pool = (ids: (string | undefined)[]) =>
    operation.as.nutritionist.get<{
      trials: { trial: string; partOfAnswer: number }[];
      difference: { value: string; unit: string };
      degreesOfFreedom: number;
      words: string[];
    }>(operation.at('/pooled-trials'), { query: { trials: ids.join(',') } });
  const found = await pool([one.id, two.id]);
  expect(found.status).toBe(200);
  expect(found.body.trials.map((each) => each.trial)).toEqual(['First winter', 'Second winter']);
  // The same animals gain alike but for the change, so the errors are the same and the pooled mean is that of the two.
  const mean = (Number(one.answer?.difference.value) + Number(two.answer?.difference.value)) / 2;
  expect(Number(found.body.difference.value)).toBeCloseTo(mean, 2);
  expect(found.body.degreesOfFreedom).toBe(1);
  expect(found.body.words.join(' ')).toContain('In one more herd');
  expect((await pool([one.id, theirs.id])).status).toBe(404);
  expect((await pool([one.id])).status).toBe(400);
});

it('says which trial has nothing to pool', async () => {
  const running = await aRunningTrial(world, operation, { name: 'Not yet judged' });
  const other = await aRunningTrial(world, operation, { name: 'Neither' });
  const refused = await operation.as.nutritionist.get<{ errors: { parameter: string; message: string }[] }>(
    operation.at('/pooled-trials'),
    { query: { trials: `${running.trialId},${other.trialId}` } },
  );
  expect(refused.status).toBe(400);
  expect(refused.body.errors[0]).toMatchObject({
    parameter: 'trials',
    message: 'Not yet judged was not judged after its end.',
  });
});
