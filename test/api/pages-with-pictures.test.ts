/*
 * The pages with pictures: what they show is what the API answers to the same question, in words, table and drawing,
 * drawn for a desk and for a phone.
 */
import { addDays } from '../../src/core/time/calendar-day.js';
import { SignInStore } from '../../src/access/sign-in/sign-in.store.js';
import { barriersOf, slipsOf } from '../support/page-structure.js';
import { type Operation, operationWith } from '../support/people.js';
import { aWinterIn, type Winter } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';

interface Mass {
  value: string;
  unit: string;
}
interface Budget {
  yard: { onHand: Mass; surplus: Mass; runsOutOn: string | null };
  kinds: { hayKind: string; surplus: Mass }[];
  stock: {
    on: string;
    onHand: Mass;
    byKind: { hayKind: string; onHand: Mass }[];
    likely: { low: Mass; high: Mass };
  }[];
}
interface Trend {
  weights: { on: string; mean: Mass; plusMinus: Mass; takenOn: string; taken: string }[];
}
interface Drift {
  fed: Mass;
  days: { onDay: string; fed: Mass; planned: Mass | null; differencePercent: number | null }[];
}

const said = ({ value }: Mass, places: number): string =>
  Number(value).toLocaleString('en-US', { minimumFractionDigits: places, maximumFractionDigits: places });
const svgsOf = (page: string): string[] => page.match(/<svg [\s\S]*?<\/svg>/g) ?? [];
const widthOf = (svg: string): number => Number(/ width="(\d+)"/.exec(svg)?.[1]);

describe('pages with pictures', () => {
  let world: World;
  let operation: Operation;
  let winter: Winter;
  let cookie: string;
  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world, { roles: ['owner', 'manager', 'hand'] });
    winter = await aWinterIn(operation);
    await operation.as.manager.post(
      operation.at('/weigh-ins'),
      {
        scope: 'group',
        herdId: winter.herdId,
        weighedOn: '2026-12-10',
        fill: 'full',
        head: 40,
        measure: 'mean',
        weight: { value: '520', unit: 'lb' },
      },
      { expect: 201 },
    );
    const sessions = world.application.get(SignInStore);
    const token = await sessions.openPageSession(operation.people.owner.id, 'test', world.clock.now(), '10.0.0.9', 12);
    cookie = `rickyard_pages=${token}`;
  });
  afterAll(async () => {
    await world.close();
  });

  const opened = async (path: string): Promise<string> => {
    const answer = await world.application.inject({
      url: `/yard/operations/${operation.id}${path}`,
      headers: { accept: 'text/html', host: 'yard.test:4180', cookie },
    });
    expect([path, answer.statusCode]).toEqual([path, 200]);
    expect([path, barriersOf(answer.payload), slipsOf(answer.payload)]).toEqual([path, [], []]);
    return answer.payload;
  };
  const asked = async <T>(path: string): Promise<T> =>
    (await operation.as.owner.get<T>(operation.at(path), { expect: 200 })).body;
  /** Each picture twice, as wide as its place; a phone of 360 px has 330 left. */
  const drawnForBoth = (page: string, pictures: number): string[] => {
    const svgs = svgsOf(page);
    expect(svgs.map((svg) => widthOf(svg) <= 330)).toEqual(
      Array.from({ length: pictures }, () => [false, true]).flat(),
    );
    for (const svg of svgs) expect(svg).toMatch(/<title>[^<]+<\/title><desc>[^<]+<\/desc>/);
    return svgs;
  };

  it('the hay budget shows how the stock goes down, ending with what is left over', async () => {
    const question = 'from=2027-01-15&until=2027-03-31&units=us';
    const budget = await asked<Budget>(`/reports/hay-budget?${question}`);
    const page = await opened(`/hay-budget?${question}`);
    const last = budget.stock.at(-1);
    expect(last?.on).toBe('2027-03-31');
    expect(last?.onHand).toEqual(budget.yard.surplus);
    expect(last?.byKind).toEqual(
      expect.arrayContaining(budget.kinds.map(({ hayKind, surplus }) => ({ hayKind, onHand: surplus }))),
    );
    if (budget.yard.runsOutOn !== null) expect(budget.stock.map(({ on }) => on)).toContain(budget.yard.runsOutOn);
    for (const { on, onHand, likely } of budget.stock) {
      expect(Number(likely.low.value)).toBeLessThanOrEqual(Number(likely.high.value));
      expect(page).toContain(
        `<td class="day">${on}</td><td class="number">${said(onHand, 1)}</td>` +
          `<td class="number">${said(likely.low, 1)} to ${said(likely.high, 1)}</td>`,
      );
    }
    const [all] = drawnForBoth(page, 2);
    expect(all).toContain(`From ${said(budget.yard.onHand, 0)} ton on 2027-01-15`);
  });

  it('a herd shows its weight as its state tells it day by day, and what it was fed against the plan', async () => {
    const span = 'from=2026-12-01&until=2027-01-14';
    const herdAt = `/herds/${winter.herdId}`;
    const page = await opened(`${herdAt}?${span}&units=us`);
    const until = addDays('2027-01-14', 60);
    const { weights } = await asked<Trend>(`${herdAt}/weight-trend?from=2026-12-01&until=${until}&units=us`);
    expect(weights.filter((one) => one.taken === 'weigh-in' && one.takenOn === one.on).map((one) => one.on)).toEqual([
      '2026-12-10',
      '2027-01-12',
    ]);
    for (const { on, mean, plusMinus } of weights) {
      const state = await asked<{ weight: { mean: Mass; plusMinus: Mass } }>(`${herdAt}/state?on=${on}&units=us`);
      expect({ on, mean, plusMinus }).toEqual({ on, mean: state.weight.mean, plusMinus: state.weight.plusMinus });
      expect(page).toContain(`<td class="day">${on}</td><td class="number">${said(mean, 0)} lb</td>`);
    }
    const drift = await asked<Drift>(`${herdAt}/ration-drift?${span}&units=us`);
    expect(drift.days.length).toBeGreaterThan(0);
    for (const { onDay, fed } of drift.days)
      expect(page).toMatch(
        RegExp(`<td class="day">${onDay}</td><td>[^<]*</td><td class="number">${said(fed, 1)} lb</td>`),
      );
    drawnForBoth(page, 2);
    await operation.as.owner.get(operation.at(`${herdAt}/weight-trend?from=2027-01-14&until=2027-01-13`), {
      expect: 400,
    });
  });

  it('the cost of gain shows each stretch from a weighing to the next as a report of these days has it', async () => {
    const page = await opened('/cost-of-gain?from=2026-12-01&until=2027-01-14&units=us');
    const { herds } = await asked<{
      herds: { figures: { totalCostOfGain: { amount: string }; totalGain: Mass } | null }[];
    }>(`/reports/cost-of-gain?from=2026-12-10&until=2027-01-12&windowDays=0&units=us&herdId=${winter.herdId}`);
    const cost = herds[0]?.figures?.totalCostOfGain.amount;
    expect(cost).toBeDefined();
    const [strip] = drawnForBoth(page, 1);
    expect(strip).toContain(` from 2026-12-10 to 2027-01-12: ${said({ value: cost ?? '', unit: '' }, 2)}`);
  });

  it('go on paper', async () => {
    for (const path of [`/herds/${winter.herdId}?from=2026-12-01&until=2027-01-14`, '/hay-budget?from=2027-01-15']) {
      const answer = await world.application.inject({
        url: `/yard/operations/${operation.id}${path}&format=pdf`,
        headers: { host: 'yard.test:4180', cookie },
      });
      expect([path, answer.statusCode, answer.headers['content-type']]).toEqual([path, 200, 'application/pdf']);
    }
  });
});
