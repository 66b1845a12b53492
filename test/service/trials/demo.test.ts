import path from 'node:path';
import { loadTrialDemo, type LoadedTrial, readTrialScenario } from '../../../seed/trials.js';
import type { ApiClient } from '../../support/client.js';
import { clientOf, join, operationWith, person } from '../../support/people.js';
import { openWorld, type World } from '../../support/world.js';

/** One trial that pays, one that cannot tell, one that deaths turn and one of two pens that change over. */
const scenario = readTrialScenario(path.resolve(__dirname, '..', '..', '..'));
const FROM = '2025-01-01T00:00:00Z';

interface Loaded {
  trials: LoadedTrial[];
  at(path: string): string;
  as: ApiClient;
}

async function load(world: World): Promise<Loaded> {
  const operation = await operationWith(world, { roles: ['owner', 'manager'] });
  const ranchId = (
    await operation.as.manager.post<{ id: string }>(operation.at('/ranches'), { name: 'Creek' }, { expect: 201 })
  ).body.id;
  await world.ownerPool.query('UPDATE operation SET invented = true WHERE id = $1', [operation.id]);
  const [planner, recorder, hand] = [
    await person(world, 'planner'),
    await person(world, 'recorder'),
    await person(world, 'feeder'),
  ];
  await join(world, planner, operation.id, 'nutritionist', { from: FROM });
  await join(world, recorder, operation.id, 'manager', { from: FROM });
  await join(world, hand, operation.id, 'hand', { from: FROM });
  const trials = await loadTrialDemo(
    world.application,
    scenario,
    { operationId: operation.id, ranchId, plannerId: planner.id, recorderId: recorder.id, handId: hand.id },
    () => undefined,
  );
  return { trials, at: (rest) => operation.at(rest), as: await clientOf(world, planner) };
}

interface Report {
  invented: boolean;
  words: string[];
  comparisons: {
    verdict: string;
    favours: string | null;
    answer: { difference: { value: string }; low: { value: string }; high: { value: string } };
    partialBudget: { verdict: string; netPerHead: { estimate: { amount: string } } } | null;
    designed: { pens: number; periods: number } | null;
  }[];
  animals: { animal: string; dailyGain: { value: string } | null; departures: { code: string }[] }[];
  gaps: { code: string }[];
  plan: { spread: { isDefault: boolean; source: string } };
  look: { final: boolean; peeking: boolean };
}

describe('the demo trials', () => {
  let world: World;
  let loaded: Loaded;
  const reports: Report[] = [];
  beforeAll(async () => {
    world = await openWorld();
    loaded = await load(world);
    for (const trial of loaded.trials)
      reports.push(
        (
          await loaded.as.get<Report>(loaded.at(`/trials/${trial.trialId}/judgements/${trial.judgementId}`), {
            expect: 200,
          })
        ).body,
      );
  });
  afterAll(() => world.close());

  it('find a difference in one, which holds what was put in', () => {
    const [comparison] = reports[0]?.comparisons ?? [];
    expect(comparison).toMatchObject({ verdict: 'favours', favours: 'change' });
    const [usual, change] = scenario.trials[0]?.arms ?? [];
    const truth = Number(change?.dailyGain) - Number(usual?.dailyGain);
    expect(Number(comparison?.answer.low.value)).toBeLessThan(truth);
    expect(Number(comparison?.answer.high.value)).toBeGreaterThan(truth);
    expect(reports[0]?.words[0]).toContain('The trial favors alfalfa under meadow');
  });

  it('cannot tell in the other, and say so', () => {
    expect(reports[1]?.comparisons[0]).toMatchObject({ verdict: 'too-small-to-tell', favours: null });
    // Ten head a side, but each side was one herd: no number of head tells the herd from its feeding.
    expect(reports[1]?.words[0]).toContain('With one pen or herd per arm');
    expect(reports[1]?.comparisons[0]).toMatchObject({ answer: null, partialBudget: null });
    // By then the operation has weights of its own to plan by.
    expect(reports[1]?.plan.spread).toMatchObject({ isDefault: false });
  });

  it('are turned by deaths in the third: more gain, and no money in it', () => {
    const [comparison] = reports[2]?.comparisons ?? [];
    expect(comparison).toMatchObject({ verdict: 'favours', favours: 'change' });
    expect(reports[2]?.animals.filter((one) => one.departures.some(({ code }) => code === 'died'))).toHaveLength(3);
    // Three of eighteen at some 525 lb and $2.40 are $210 a head started; 0.75 lb more over 42 days is $76.
    expect(Number(comparison?.partialBudget?.netPerHead.estimate.amount)).toBeLessThan(-100);
    expect(comparison?.partialBudget?.verdict).not.toBe('pays');
  });

  it('answer with two pens in the fourth, which change over', () => {
    const [comparison] = reports[3]?.comparisons ?? [];
    expect(comparison).toMatchObject({ verdict: 'favours', favours: 'change', designed: { pens: 2, periods: 4 } });
    const [usual, change] = scenario.trials[3]?.arms ?? [];
    const truth = Number(change?.dailyGain) - Number(usual?.dailyGain);
    expect(Number(comparison?.answer.low.value)).toBeLessThan(truth);
    expect(Number(comparison?.answer.high.value)).toBeGreaterThan(truth);
  });

  it('are marked as invented, judged once and at their end, with their gaps', () => {
    for (const report of reports)
      expect(report).toMatchObject({ invented: true, look: { final: true, peeking: false } });
    expect(reports[0]?.animals).toHaveLength(40);
    expect(reports[0]?.gaps.map((gap) => gap.code)).toEqual(expect.arrayContaining(['sick', 'no-waste-record']));
    expect(reports[1]?.gaps.map((gap) => gap.code)).toEqual(
      expect.arrayContaining(['sick', 'no-waste-record', 'no-feed-record']),
    );
  });

  it('come out the same every time', async () => {
    const again = await load(world);
    for (const [index, trial] of again.trials.entries()) {
      const { body } = await again.as.get<Report>(
        again.at(`/trials/${trial.trialId}/judgements/${trial.judgementId}`),
        { expect: 200 },
      );
      const gains = (report: Report | undefined): (string | undefined)[] | undefined =>
        report?.animals.map((animal) => `${animal.animal} ${animal.dailyGain?.value ?? ''}`);
      expect(gains(body)).toEqual(gains(reports[index]));
      expect(body.comparisons[0]?.answer).toEqual(reports[index]?.comparisons[0]?.answer);
    }
  });
});
