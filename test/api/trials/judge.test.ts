import { openWorld, type World } from '../../support/world.js';
import { join, type Operation, operationWith, person, clientOf } from '../../support/people.js';
import { feedingBody, type WithId } from '../../support/things.js';
import { aRunningTrial, dayOf, feed, IN_PENS, type RunningTrial, weigh, weighAll, weightsOn } from './support.js';

interface Report extends WithId {
  number: number;
  look: {
    number: number;
    final: boolean;
    planned: boolean;
    peeking: boolean;
    intervalConfidence: number;
    repeats: number | null;
  };
  words: string[];
  limits: string[];
  cautions: { code: string }[];
  arms: {
    role: string;
    headDrawn: number;
    headWithGain: number;
    headDied: number;
    headFinished: number | null;
    headDays: number;
    dailyGain: { value: string; unit: string };
    hay: { fed: { value: string; unit: string }; wastedShare: number; fedPerHeadDay: { value: string } };
    cost: {
      feed: { amount: string };
      perHeadDay: { amount: string };
      totalCostOfGain: { amount: string; per: string } | null;
    } | null;
    notes: string[];
  }[];
  comparisons: {
    verdict: string;
    favours: string | null;
    words: string[];
    answer: { method: string; difference: { value: string }; low: { value: string }; high: { value: string } };
    perProtocol: { units: { units: number }[] };
    missing: { head: number } | null;
    deaths: { difference: number; low: number; high: number } | null;
    ifItHeld: { head: number; days: number; addedGain: { estimate: { value: string } } };
    partialBudget: {
      verdict: string;
      addedReturnsPerHead: { estimate: { amount: string } };
      netPerHead: { low: { amount: string }; high: { amount: string } };
    } | null;
  }[];
  animals: {
    animal: string;
    departures: { code: string; asDrawn: string; perProtocol: string }[];
    followedProtocol: boolean;
  }[];
  gaps: { code: string; animal: string | null; day: number; treatment: string }[];
  inputs: { hash: string; moneyHash: string | null; feedings: number; weighIns: number; animals: number };
}

let world: World;
beforeAll(async () => {
  world = await openWorld();
});
afterAll(() => world.close());

const clear = { usual: 0.8, change: 1.4, sd: 0.05 };
const dim = { usual: 1.0, change: 1.05, sd: 0.5 };

async function judged(operation: Operation, running: RunningTrial, body: object = {}, expect = 201): Promise<Report> {
  return (await operation.as.nutritionist.post<Report>(running.at('/judgements'), body, { expect })).body;
}

describe('a trial that found a difference', () => {
  let operation: Operation;
  let running: RunningTrial;
  let report: Report;
  beforeAll(async () => {
    operation = await operationWith(world);
    running = await aRunningTrial(world, operation, IN_PENS);
    for (const day of [0, 1, 30, 31]) await weighAll(operation, running, day, clear);
    await feed(
      operation,
      running,
      Array.from({ length: 30 }, (_, day) => day),
      { pounds: '120', wasted: '12' },
    );
    report = await judged(operation, running, {
      valueOfGain: { amount: '1.5', per: 'lb' },
      valueOfCattle: { amount: '2.25', per: 'lb' },
    });
  });

  it('reads prices back as they were typed', () => {
    expect(report.comparisons[0]?.partialBudget).toMatchObject({
      valueOfGain: { amount: '1.5000', per: 'lb' },
      valueOfGainTyped: { amount: '1.5', per: 'lb' },
      valueOfCattle: { amount: '2.2500', per: 'lb' },
      valueOfCattleTyped: { amount: '2.25', per: 'lb' },
    });
  });

  it('says so, with an interval, and what it cannot say', () => {
    const [comparison] = report.comparisons;
    expect(comparison).toMatchObject({
      verdict: 'favours',
      favours: 'change',
      answer: { method: 'welch' },
    });
    const { difference, low, high } = comparison?.answer ?? {
      difference: { value: '0' },
      low: { value: '0' },
      high: { value: '0' },
    };
    // The weights were made with 0.6 lb between the arms.
    expect(Number(low.value)).toBeLessThan(0.6);
    expect(Number(high.value)).toBeGreaterThan(0.6);
    expect(Math.abs(Number(difference.value) - 0.6)).toBeLessThan(0.2);
    expect(report.words[0]).toContain('The trial favors layered');
    expect(report.limits[0]).toContain('weaned heifers');
    expect(report.look).toMatchObject({
      number: 1,
      final: true,
      planned: false,
      peeking: false,
      intervalConfidence: 0.95,
      repeats: null,
    });
    expect(report.cautions.map((one) => one.code)).toEqual(expect.arrayContaining(['trial.short', 'trial.few-pens']));
  });

  it('reckons hay, cost and the sum over the herd from the books', () => {
    // Each arm: 30 days of twice 120 lb is 3.6 tons at 150 a ton; 24 of 240 lb wasted is 10 %; ten head are
    // 300 head-days.
    for (const arm of report.arms) {
      expect(arm).toMatchObject({
        headDrawn: 10,
        headWithGain: 10,
        headDays: 300,
        hay: { fed: { value: '3.6', unit: 'ton' }, wastedShare: 0.1, fedPerHeadDay: { value: '24' } },
        cost: { feed: { amount: '540.00' }, perHeadDay: { amount: '1.80' } },
        notes: [],
      });
      expect(Number(arm.cost?.totalCostOfGain?.amount)).toBeCloseTo(540 / (300 * Number(arm.dailyGain.value)), 2);
    }
    const [comparison] = report.comparisons;
    const difference = Number(comparison?.answer.difference.value);
    expect(comparison?.ifItHeld).toMatchObject({ head: 200, days: 30 });
    expect(Number(comparison?.ifItHeld.addedGain.estimate.value)).toBeCloseTo(difference * 200 * 30, -1);
    // The same hay went to both arms, so the net is the gain alone.
    expect(comparison?.partialBudget).toMatchObject({ verdict: 'pays' });
    expect(Number(comparison?.partialBudget?.netPerHead.low.amount)).toBeCloseTo(
      Number(comparison?.answer.low.value) * 30 * 1.5,
      1,
    );
    expect(report.inputs).toMatchObject({ feedings: 120, animals: 20, weighIns: 16 });
    expect(report.inputs.hash).toMatch(/^[0-9a-f]{64}$/);
    expect(report.inputs.moneyHash).toMatch(/^[0-9a-f]{64}$/);
    expect(report.gaps).toEqual([]);
  });

  it('shows money to those who see prices only', async () => {
    const at = running.at(`/judgements/${report.id}`);
    const forHand = (await operation.as.hand.get<Report>(at, { expect: 200 })).body;
    expect(forHand.arms.every((arm) => arm.cost === null)).toBe(true);
    expect(forHand.comparisons[0]?.partialBudget).toBeNull();
    expect(forHand.inputs.moneyHash).toBeNull();
    expect(forHand.comparisons[0]?.answer).toEqual(report.comparisons[0]?.answer);
    const page = await operation.as.hand.get(at, { query: { format: 'html' }, expect: 200 });
    expect(page.text).not.toContain('USD');
    const forOwner = (await operation.as.owner.get<Report>(at, { expect: 200 })).body;
    expect(forOwner).toEqual(report);
    const blind = await person(world, 'blind nutritionist');
    await join(world, blind, operation.id, 'nutritionist', { seesPrices: false });
    const client = await clientOf(world, blind);
    await client.post(running.at('/judgements'), { valueOfGain: { amount: '1.50', per: 'lb' } }, { expect: 403 });
    const again = (await client.post<Report>(running.at('/judgements'), {}, { expect: 201 })).body;
    expect(again.arms.every((arm) => arm.cost === null)).toBe(true);
    // The same weights of a trial that is over: no new look, no wider interval.
    expect(again).toMatchObject({
      number: 2,
      look: { number: 1, repeats: 1, peeking: false, intervalConfidence: 0.95 },
    });
  });

  it('is read as a page, on paper and as pictures', async () => {
    const at = running.at(`/judgements/${report.id}`);
    const page = await operation.as.owner.get(at, { headers: { Accept: 'text/html' }, expect: 200 });
    expect(page.headers['content-type']).toContain('text/html');
    expect(page.text).toContain('The trial favors layered');
    expect(page.text).toContain('540.00 USD');
    expect(page.text.match(/<svg/g)).toHaveLength(3);
    const pdf = await operation.as.accountant.get(at, { headers: { Accept: 'application/pdf' }, expect: 200 });
    expect(pdf.text.startsWith('%PDF-')).toBe(true);
    for (const picture of ['growth', 'difference', 'visible']) {
      const drawn = await operation.as.hand.get(`${at}/pictures/${picture}`, { query: { format: 'svg' }, expect: 200 });
      expect(drawn.text).toMatch(/^<svg xmlns=/);
    }
    await operation.as.hand.get(`${at}/pictures/other`, { expect: 404 });
    const metric = (await operation.as.hand.get<Report>(at, { query: { units: 'metric' }, expect: 200 })).body;
    expect(metric.words[0]).toContain('kg a day');
    expect(Number(metric.comparisons[0]?.answer.difference.value)).toBeCloseTo(
      Number(report.comparisons[0]?.answer.difference.value) * 0.45359237,
      3,
    );
  });

  it('is kept as it was when the books change afterward', async () => {
    const at = running.at(`/judgements/${report.id}`);
    const before = (await operation.as.owner.get<Report>(at, { expect: 200 })).body;
    const weighIns = await operation.as.manager.get<{ items: WithId[] }>(operation.at('/weigh-ins'), {
      query: { from: dayOf(31) },
      expect: 200,
    });
    await operation.as.manager.post(
      operation.at(`/weigh-ins/${weighIns.body.items[0]?.id ?? ''}/reversal`),
      { reason: 'Scale was off' },
      { expect: 201 },
    );
    expect((await operation.as.owner.get<Report>(at, { expect: 200 })).body).toEqual(before);
    const after = await judged(operation, running);
    expect(after.inputs.hash).not.toBe(before.inputs.hash);
    expect(after.look).toMatchObject({ number: 1, repeats: 1 });
    const list = await operation.as.manager.get<{ items: { number: number }[]; nextCursor: string | null }>(
      running.at('/judgements'),
      { query: { limit: '2' }, expect: 200 },
    );
    expect(list.body.items.map((one) => one.number)).toEqual([3, 2]);
    const rest = await operation.as.manager.get<{ items: { number: number }[] }>(running.at('/judgements'), {
      query: { limit: '2', cursor: list.body.nextCursor ?? '' },
      expect: 200,
    });
    expect(rest.body.items.map((one) => one.number)).toEqual([1]);
    await expect(
      world.ownerPool.query("UPDATE trial_judgement SET verdict = 'other' WHERE id = $1", [report.id]),
    ).rejects.toMatchObject({ code: 'RY002' });
    await expect(
      world.ownerPool.query('DELETE FROM trial_judgement_money WHERE trial_judgement_id = $1', [report.id]),
    ).rejects.toMatchObject({ code: 'RY002' });
  });
});

describe('a trial that cannot tell', () => {
  it('says so, and how many it would have taken', async () => {
    const operation = await operationWith(world);
    const running = await aRunningTrial(world, operation, { ...IN_PENS, equivalence: true });
    for (const day of [0, 1, 30, 31]) await weighAll(operation, running, day, dim);
    const report = await judged(operation, running);
    expect(report.comparisons[0]).toMatchObject({
      equivalence: { shown: false, alpha: expect.closeTo(0.05, 9) as number },
    });
    expect(report.comparisons[0]).toMatchObject({ verdict: 'too-small-to-tell', favours: null });
    expect(report.words[0]).toContain('The trial is too small to tell');
    expect(report.words.join(' ')).toMatch(/\d+ pens per arm would have been needed/);
    expect(report.arms.every((arm) => arm.hay === null && arm.cost === null)).toBe(true);
    expect(report.arms[0]?.notes).toContain('No feed was recorded for this arm.');
  });
});

describe('pens that are fed apart', () => {
  it('tells feed pen by pen, with intervals from how the pens differ', async () => {
    const operation = await operationWith(world);
    const running = await aRunningTrial(world, operation, IN_PENS);
    for (const day of [0, 1, 30, 31]) await weighAll(operation, running, day, clear);
    for (const [index, one] of running.herds.entries()) {
      const sameArm = running.herds.slice(0, index).filter(({ armId }) => armId === one.armId).length;
      await feed(operation, { ...running, herds: [one] }, [3], { pounds: sameArm === 0 ? '240' : '300' });
    }
    const report = await judged(operation, running);
    for (const arm of report.arms) {
      const { byPen } = arm as unknown as {
        byPen: {
          pens: { pen: string; headDays: number; eaten: { value: string } }[];
          eatenPerHeadDay: Record<'low' | 'estimate' | 'high', { value: string; unit: string }>;
          wastedPerHeadDay: { low: { value: string } };
        };
      };
      expect(byPen.pens.map((pen) => pen.headDays)).toEqual([150, 150]);
      // 216 and 276 lb over 150 head-days: 1.44 and 1.84, mean 1.64, sd 0.2828; Student's 12.706 on one degree of
      // freedom over the root of two. Both pens wasted 24 lb.
      expect(Number(byPen.eatenPerHeadDay.estimate.value)).toBeCloseTo(1.64, 3);
      expect(Number(byPen.eatenPerHeadDay.high.value)).toBeCloseTo(1.64 + 12.706 * 0.2, 2);
      expect(Number(byPen.wastedPerHeadDay.low.value)).toBeCloseTo(24 / 150, 3);
    }
    const page = await operation.as.owner.get(running.at(`/judgements/${report.id}`), {
      query: { format: 'html' },
      expect: 200,
    });
    expect(page.text).toContain('Hay eaten per head per day, interval over pens');
  });
});

describe('a trial that was fed as one herd an arm', () => {
  it('has no verdict by its animals, whatever they gained, and says what two herds do', async () => {
    const operation = await operationWith(world);
    const running = await aRunningTrial(world, operation);
    for (const day of [0, 1, 30, 31]) await weighAll(operation, running, day, clear);
    const report = await judged(operation, running, { valueOfGain: { amount: '1.5', per: 'lb' } });
    expect(report.comparisons[0]).toMatchObject({
      verdict: 'too-small-to-tell',
      favours: null,
      answer: null,
      ifItHeld: null,
      partialBudget: null,
      twoHerds: { source: expect.stringContaining('PMC7322570') as string },
    });
    expect(report.words.join(' ')).toContain('Any two herds fed alike differ by up to');
    expect(report.cautions.map((one) => one.code)).toEqual(
      expect.arrayContaining(['trial.pens-hold-one-arm', 'trial.one-pen']),
    );
  });
});

describe('looking while the trial runs', () => {
  it('is counted, and marked as peeking where the plan does not name it', async () => {
    const operation = await operationWith(world);
    const running = await aRunningTrial(world, operation, IN_PENS);
    for (const day of [0, 1, 16]) await weighAll(operation, running, day, clear);
    const first = await judged(operation, running, { asOf: dayOf(16) });
    expect(first.look).toMatchObject({
      number: 1,
      final: false,
      planned: false,
      peeking: true,
      intervalConfidence: 0.975,
    });
    expect(first.words.join(' ')).toContain('a look at the trial that was not planned');
    expect(first.cautions.map((one) => one.code)).toContain('trial.peeking');
    expect(first.arms[0]?.headDays).toBe(160);
    const same = await judged(operation, running, { asOf: dayOf(17) });
    expect(same.look).toMatchObject({ number: 1, repeats: 1 });
    for (const day of [30, 31]) await weighAll(operation, running, day, clear);
    const last = await judged(operation, running);
    expect(last.look).toMatchObject({ number: 2, final: true, peeking: true, intervalConfidence: 0.975 });
    const page = await operation.as.hand.get(running.at(`/judgements/${last.id}`), {
      query: { format: 'html' },
      expect: 200,
    });
    expect(page.text).toContain('The trial was looked at before its end without a plan for it.');
  });

  it('is corrected for where the plan names it', async () => {
    const operation = await operationWith(world);
    const running = await aRunningTrial(world, operation, {
      ...IN_PENS,
      looks: { atShares: [0.33, 1], spending: 'obrien-fleming-type' },
      interimWeighingDays: [10],
    });
    for (const day of [0, 1, 10]) await weighAll(operation, running, day, clear);
    const first = await judged(operation, running, { asOf: dayOf(10) });
    expect(first.comparisons[0]?.answer).not.toBeNull();
    // Lan and DeMets 1983, O'Brien-Fleming type at 0.33, 5 % two-sided: each side spends
    // 2 − 2 Φ(2.2414 / √0.33), by the normal table 2 · (1 − Φ(3.902)) = 0.0001, so both 0.0002.
    expect(first.look).toMatchObject({ number: 1, planned: true, peeking: false });
    expect(1 - first.look.intervalConfidence).toBeCloseTo(0.0002, 4);
    for (const day of [30, 31]) await weighAll(operation, running, day, clear);
    const last = await judged(operation, running);
    // What is left at the end is all but that.
    expect(last.look).toMatchObject({ planned: true, peeking: false, final: true });
    expect(1 - last.look.intervalConfidence).toBeCloseTo(0.05, 3);
  });
});

describe('what goes wrong on the way', () => {
  it('shows as it arises, with its treatment, and no animal is dropped', async () => {
    const operation = await operationWith(world);
    const running = await aRunningTrial(world, operation);
    const { hand, manager, nutritionist, accountant } = operation.as;
    await weighAll(operation, running, 0, clear);
    const tag = running.drawn.assignments[0]?.visualTag ?? '';
    const other = running.drawn.assignments[5]?.visualTag ?? '';
    const sick = await hand.post<WithId & { dayOfTrial: number }>(
      running.at('/events'),
      { animal: tag, kind: 'treated', happenedOn: dayOf(4), note: 'Foot rot' },
      { expect: 201 },
    );
    expect(sick.body.dayOfTrial).toBe(4);
    await manager.post(running.at('/events'), { animal: other, kind: 'died', happenedOn: dayOf(9) }, { expect: 201 });
    await hand.post(running.at('/events'), { animal: other, kind: 'sick', happenedOn: dayOf(12) }, { expect: 409 });
    await nutritionist.post(
      running.at('/events'),
      { animal: tag, kind: 'sick', happenedOn: dayOf(5) },
      { expect: 403 },
    );
    await accountant.post(running.at('/events'), { animal: tag, kind: 'sick', happenedOn: dayOf(5) }, { expect: 403 });
    await hand.post(running.at('/events'), { animal: 'nobody', kind: 'sick', happenedOn: dayOf(5) }, { expect: 422 });
    await hand.post(running.at('/events'), { animal: tag, kind: 'sick', happenedOn: dayOf(-1) }, { expect: 422 });
    await feed(operation, running, [0, 1, 2]);
    const [firstHerd = ''] = running.herdOfArm.values();
    // Five more came to the arm's own herd, of which the trial knows nothing.
    await manager.post(
      operation.at(`/herds/${firstHerd}/head-changes`),
      { kind: 'in', head: 5, happenedOn: dayOf(3) },
      { expect: 201 },
    );
    await hand.post(
      operation.at('/feedings'),
      feedingBody(firstHerd, [[running.lotId, '300']], { fedOn: dayOf(3), headFed: 15 }),
      { expect: 201 },
    );

    interface Run {
      gaps: { code: string; day: number; animal: string | null; treatment: string }[];
      arms: { daysFed: number; daysToFeed: number; left: number; fed: { value: string } }[];
      weighingDays: { day: number; weighed: number; of: number; passed: boolean }[];
    }
    const run = (await hand.get<Run>(running.at('/run'), { query: { on: dayOf(10) }, expect: 200 })).body;
    const codes = run.gaps.map((gap) => gap.code);
    expect(codes).toEqual(
      expect.arrayContaining([
        'sick',
        'died',
        'one-of-two-weighings',
        'no-feed-record',
        'no-refusal-record',
        'no-waste-record',
        'head-differ',
      ]),
    );
    expect(run.gaps.filter((gap) => gap.code === 'one-of-two-weighings')).toHaveLength(20);
    expect(run.gaps.find((gap) => gap.code === 'sick')).toMatchObject({ animal: tag, day: 4 });
    expect(run.gaps.find((gap) => gap.code === 'head-differ')?.treatment).toBe(
      'The hay counts by head: 10 of 15 shares.',
    );
    // Three days of 240 lb, and ten of fifteen shares of 300 lb.
    expect(run.arms.map((arm) => Number(arm.fed.value)).sort()).toEqual([0.36, 0.46]);
    expect(run.arms.every((arm) => arm.daysToFeed === 10)).toBe(true);
    expect(run.weighingDays[0]).toMatchObject({ day: 0, weighed: 20, of: 20, passed: true });
    expect(run.weighingDays.at(-1)).toMatchObject({ day: 31, weighed: 0, of: 19, passed: false });
    expect(JSON.stringify(run)).not.toContain('dailyGain');

    await hand.post(
      running.at(`/events/${sick.body.id}/reversal`),
      { reason: 'It was another heifer' },
      { expect: 201 },
    );
    const after = (await hand.get<Run>(running.at('/run'), { query: { on: dayOf(10) }, expect: 200 })).body;
    expect(after.gaps.map((gap) => gap.code)).not.toContain('sick');
    const events = await manager.get<{ items: { reversal: object | null }[] }>(running.at('/events'), { expect: 200 });
    expect(events.body.items.map((event) => event.reversal !== null)).toEqual([false, true]);

    // The dead animal has no end weight: it is listed, and counted among the deaths.
    for (const [armId, weights] of weightsOn(running, 30, clear))
      await weigh(
        operation,
        running.herdOfArm.get(armId) ?? '',
        dayOf(30),
        new Map([...weights].filter(([name]) => name !== other)),
      );
    const report = await judged(operation, running);
    expect(report.arms.reduce((sum, arm) => sum + arm.headDrawn, 0)).toBe(20);
    expect(report.arms.reduce((sum, arm) => sum + arm.headWithGain, 0)).toBe(19);
    expect(report.arms.reduce((sum, arm) => sum + arm.headDied, 0)).toBe(1);
    const { deaths } = report.comparisons[0] ?? {};
    expect(Math.abs(deaths?.difference ?? 0)).toBeCloseTo(0.1, 9);
    expect(deaths?.low).toBeLessThan(0);
    expect(deaths?.high).toBeGreaterThan(0);
    expect(report.arms.reduce((sum, arm) => sum + (arm.headFinished ?? 0), 0)).toBe(19);
    // Each arm was one herd here, so there is no answer that the missing could move.
    expect(report.comparisons[0]?.missing).toBeNull();
    expect(report.animals.find((animal) => animal.animal === other)).toMatchObject({
      followedProtocol: false,
      departures: expect.arrayContaining([
        expect.objectContaining({ code: 'died', asDrawn: 'listed, no gain known' }),
      ]) as unknown,
    });
    expect(report.cautions.map((one) => one.code)).toEqual(expect.arrayContaining(['trial.deaths', 'trial.one-pen']));
  });

  it('counts bales laid for several days for the days of the trial alone, as they were known then', async () => {
    const operation = await operationWith(world);
    const running = await aRunningTrial(world, operation);
    // 240 lb a day for each arm, laid for six days at once, the first two days before the trial begins.
    for (const day of [-2, 4, 10]) await feed(operation, running, [day], { pounds: '1440', method: 'ring-feeder' });
    const fedUpTo = async (day: number): Promise<number[]> =>
      (
        await operation.as.hand.get<{ arms: { fed: { value: string } }[] }>(running.at('/run'), {
          query: { on: dayOf(day), units: 'us' },
          expect: 200,
        })
      ).body.arms.map(({ fed }) => Number(fed.value) * 2000);
    // Up to the evening of days 8, 9 and 11: 9, 10 and 12 days of 240 lb.
    for (const [day, pounds] of [
      [8, 2160],
      [9, 2400],
      [11, 2880],
    ] as const)
      for (const fed of await fedUpTo(day)) expect(fed).toBeCloseTo(pounds, 0);
  });

  it('shows uneven fill, and weights of animals that are not in the trial', async () => {
    const operation = await operationWith(world);
    const running = await aRunningTrial(world, operation);
    for (const day of [0, 1]) await weighAll(operation, running, day, clear);
    const [one, two] = [...weightsOn(running, 30, clear)];
    await weigh(
      operation,
      running.herdOfArm.get(one?.[0] ?? '') ?? '',
      dayOf(30),
      new Map([...(one?.[1] ?? []), ['STRAY', 480]]),
    );
    await weigh(operation, running.herdOfArm.get(two?.[0] ?? '') ?? '', dayOf(30), two?.[1] ?? new Map(), {
      fill: 'shrunk',
      hoursOffFeed: '12',
    });
    const run = (
      await operation.as.hand.get<{ gaps: { code: string }[]; weighIns: { others: string[] }[] }>(running.at('/run'), {
        query: { on: dayOf(32) },
        expect: 200,
      })
    ).body;
    expect(run.gaps.filter((gap) => gap.code === 'uneven-fill')).toHaveLength(10);
    expect(run.weighIns.flatMap((weighIn) => weighIn.others)).toEqual(['STRAY']);
  });

  it('is not judged before it began, in the future, or by whoever is not at the desk', async () => {
    const operation = await operationWith(world);
    const running = await aRunningTrial(world, operation);
    await judged(operation, running, { asOf: dayOf(-1) }, 422);
    await judged(operation, running, { asOf: '2027-02-01' }, 422);
    await judged(operation, running, { valueOfGain: { amount: '1', currency: 'EUR', per: 'lb' } }, 422);
    for (const client of [operation.as.manager, operation.as.hand, operation.as.accountant])
      await client.post(running.at('/judgements'), {}, { expect: 403 });
    const nothing = await judged(operation, running);
    expect(nothing.comparisons[0]).toMatchObject({ verdict: 'too-small-to-tell', answer: null });
    expect(nothing.words[0]).toContain('With one pen or herd per arm');
  });
});
