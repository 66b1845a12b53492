/*
 * The hay budget over HTTP: extension worked examples, the yard day by day, waste of one's own, what-ifs, the plan
 * against what was fed, sheets.
 */
import { clientOf, join, type Operation, operationWith, person } from '../support/people.js';
import { feeding, herd, labTestBody, lot, ranch } from '../support/things.js';
import { type ReadWorkbook, workbookOf } from '../support/workbook.js';
import { openWorld, type World } from '../support/world.js';
import published from '../reference/published-values.json';

interface Mass {
  value: string;
  unit: string;
}
interface Money {
  amount: string;
}
interface Bound {
  needed: Mass;
  short: Mass;
  runsOutOn: string | null;
  costToBuy: Money | null;
}
interface Budget {
  herds: {
    herd: string;
    headDays: number;
    intakeBasis: string;
    intakeByMonth: {
      month: string;
      dryMatterPerHeadDay: Mass;
      correction: { dryMatterBefore: Mass; raisedByPercent: string } | null;
    }[];
    dryMatterPercent: string;
    restsOnBookValues: boolean;
    waste: { percent: string; lowPercent: string; highPercent: string; basis: string; bounds: string; source: string };
    kinds: { hayKind: string; percent: string }[];
    needed: Mass;
  }[];
  months: { month: string; herd: string; headDays: number; dryMatterEaten: Mass; needed: Mass; wasted: Mass }[];
  kinds: { hayKind: string; needed: Mass; short: Mass; surplus: Mass }[];
  lots: {
    hayLot: string;
    balance: Mass;
    likelyBalance: { low: Mass; high: Mass } | null;
    fed: Mass;
    lost: Mass;
    left: Mass;
    runsOutOn: string | null;
    storageLoss: { percent: string; lowPercent: string; highPercent: string; basis: string; source: string };
  }[];
  yard: {
    onHand: Mass;
    needed: Mass;
    fed: Mass;
    short: Mass;
    surplus: Mass;
    runsOutOn: string | null;
    daysShort: number;
  };
  toBuy: { hayKind: string; mass: Mass; price: { amount: string } | null; cost: Money | null }[];
  costToBuy: Money | null;
  range: {
    atLowLosses: Bound;
    atHighLosses: Bound;
    likely: {
      percent: number;
      runsOutOn: { earliest: string | null; latest: string | null };
      short: { low: Mass; high: Mass };
      needed: { low: Mass; high: Mass };
    };
    restsOn: string[];
  };
  notCounted: { herdId: string; herd: string; headDays: number; because: string; field: string }[];
  flags: { code: string; message: string }[];
}
interface WhatIfs {
  base: Budget;
  answers: {
    name: string;
    needed: Mass;
    neededChange: Mass;
    neededChangePercent: string;
    short: Mass;
    runsOutOn: string | null;
    costToBuy: Money | null;
    costChange: Money | null;
    daysLonger: number | null;
  }[];
}
interface Forecast {
  herds: {
    herd: string;
    plannedToDate: Mass;
    fedToDate: Mass;
    fedPerPlanned: string;
    plannedToCome: Mass;
    forecastToCome: Mass;
  }[];
  plannedTotal: Mass;
  forecastTotal: Mass;
  budget: Budget;
  flags: { code: string }[];
}
interface Case {
  id: string;
  topic: string;
  inputs: Record<string, number>;
  expected: number | Record<string, number>;
}

const cases = (published as unknown as Case[]).filter((one) => one.topic === 'hay_budget');
const XLSX = 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet';

let world: World;
let operation: Operation;
let ranchId: string;
beforeAll(async () => {
  world = await openWorld();
});
beforeEach(async () => {
  operation = await operationWith(world, { roles: ['owner', 'manager', 'hand'] });
  ranchId = await ranch(operation);
});
afterAll(async () => {
  await world.close();
});

const tried = async (plan: object, changes: object[] = [], client = operation.as.manager): Promise<WhatIfs> =>
  (await client.post<WhatIfs>(operation.at('/hay-budget-what-ifs'), { plan, changes }, { key: null, expect: 200 }))
    .body;
const budget = async (query: Record<string, string>, client = operation.as.manager): Promise<Budget> =>
  (await client.get<Budget>(operation.at('/reports/hay-budget'), { query, expect: 200 })).body;
const total = (rows: readonly Mass[]): number => rows.reduce((sum, one) => sum + Number(one.value), 0);

/** One herd with a stated head over so many days from the first of November, nothing wasted. */
async function example(given: {
  head: number;
  days: number;
  intake: object;
  dryMatterPercent: number;
  waste?: number;
}): Promise<Budget> {
  const herdId = await herd(operation, ranchId, {
    head: 0,
    cattleClass: 'dry-pregnant-cow',
    sex: 'cow',
    bodyWeight: { value: '1200', unit: 'lb' },
  });
  const until = new Date(Date.UTC(2026, 10, given.days)).toISOString().slice(0, 10);
  return (
    await tried({
      from: '2026-11-01',
      until,
      herds: [
        {
          herdId,
          head: [{ from: '2026-11-01', head: given.head }],
          intake: given.intake,
          dryMatterPercent: String(given.dryMatterPercent),
          waste: { basis: 'stated', percent: String(given.waste ?? 0) },
        },
      ],
    })
  ).base;
}
const share = (percent: number, pounds: number): object => ({
  basis: 'percent-of-body-weight',
  percent: String(percent),
  bodyWeight: { value: String(pounds), unit: 'lb' },
});

describe('extension worked examples, as published', () => {
  const input = (id: string): Record<string, number> => cases.find((one) => one.id === id)?.inputs ?? {};
  const expected = (id: string): number => Number(cases.find((one) => one.id === id)?.expected);
  const seen = new Set<string>();
  const of = (id: string): Record<string, number> => {
    seen.add(id);
    return input(id);
  };

  // Source: Iowa Beef Center, winter hay needs, 2021.
  it('150 head at 30 lb of dry matter over 180 days: 405 tons, 476 as fed', async () => {
    const { head = 0, DM_lb_d = 0, days = 0 } = of('hay-ibc-dm');
    const { DM_pct = 0 } = of('hay-ibc-asfed');
    const made = await example({
      head,
      days,
      intake: { basis: 'stated', dryMatter: { value: String(DM_lb_d), unit: 'lb' } },
      dryMatterPercent: DM_pct,
    });
    expect(total(made.months.map((row) => row.dryMatterEaten))).toBeCloseTo(405, 4);
    expect(Math.abs(Number(made.yard.needed.value) - expected('hay-ibc-asfed'))).toBeLessThanOrEqual(1);
  });
  // Source: Meusch, E., University of Missouri Extension.
  it('50 cows of 1,300 lb at 3 % over 99 days: 114 tons; 50 of 1,000 lb for a day', async () => {
    const { cows = 0, lb_each = 0, intake_pct = 0, DM_pct = 0, days = 0 } = of('hay-mu-consumed');
    const made = await example({ head: cows, days, intake: share(intake_pct, lb_each), dryMatterPercent: DM_pct });
    expect(Math.abs(Number(made.yard.needed.value) - expected('hay-mu-consumed'))).toBeLessThanOrEqual(1);
    const day = of('hay-mu-1000lb');
    const one = await example({
      head: day['cows'] ?? 0,
      days: 1,
      intake: share(day['intake_pct'] ?? 0, day['cow_lb'] ?? 0),
      dryMatterPercent: day['DM_pct'] ?? 0,
    });
    // Printed as 50 times a rounded 35 lb: 1,750.
    expect(Math.abs(Number(one.yard.needed.value) * 2000 - 1750)).toBeLessThanOrEqual(15);
  });
  // Sources: Banta, J., Texas A&M AgriLife Extension; Radunz, A., University of Wisconsin, 2018.
  it('a cow a day: 30.6 lb as fed at 1,100 lb; 34 lb at 1,200 lb', async () => {
    const a = of('hay-tamu-1100');
    const tamu = await example({
      head: 1,
      days: 1,
      intake: share(a['intake_pct'] ?? 0, a['cow_lb'] ?? 0),
      dryMatterPercent: a['DM_pct'] ?? 0,
    });
    expect(Math.abs(Number(tamu.yard.needed.value) * 2000 - expected('hay-tamu-1100'))).toBeLessThanOrEqual(0.1);
    const b = of('hay-uw-asfed');
    const uw = await example({
      head: 1,
      days: 1,
      intake: share(b['intake_pct'] ?? 0, b['cow_lb'] ?? 0),
      dryMatterPercent: b['DM_pct'] ?? 0,
    });
    expect([
      Number(uw.months[0]?.dryMatterEaten.value) * 2000,
      Math.abs(Number(uw.yard.needed.value) * 2000 - 34) <= 0.5,
    ]).toEqual([24, true]);
  });
  // Sources: Schwab, D. and Lippolis, K., Iowa State University, 2019; Mayo, D. and Thomas, D., University of Florida
  // IFAS, 2024.
  it('dry matter of a season: 525,000 lb, 65,625 lb, 1.8 tons', async () => {
    for (const id of ['hay-isu-cows', 'hay-isu-replacement-heifers']) {
      const { head = 0, lb = 0, intake_pct = 0, days = 0 } = of(id);
      const made = await example({ head, days, intake: share(intake_pct, lb), dryMatterPercent: 100 });
      expect(total(made.months.map((row) => row.dryMatterEaten)) * 2000).toBeCloseTo(expected(id), 1);
    }
    const { cow_lb = 0, intake_pct = 0, days = 0 } = of('hay-uf-season');
    expect(
      total(
        (await example({ head: 1, days, intake: share(intake_pct, cow_lb), dryMatterPercent: 100 })).months.map(
          (row) => row.dryMatterEaten,
        ),
      ),
    ).toBeCloseTo(expected('hay-uf-season'), 6);
  });
  // Source: Pyles, University of Kentucky Extension.
  it('200 bales of 1,000 lb that lose 10 % leave 180,000 lb', async () => {
    const { bales = 0, lb = 0, loss_pct = 0 } = of('hay-uky-onhand');
    await lot(operation, ranchId, {
      tons: String((bales * lb) / 2000),
      lot: {
        name: 'Stored that day',
        ranchId,
        hayKind: 'meadow',
        baleForm: 'round',
        storageMethod: 'tarp',
        storedSince: '2026-11-02',
      },
    });
    const herdId = await herd(operation, ranchId, { head: 0 });
    const { base } = await tried({
      from: '2026-11-02',
      until: '2027-08-10',
      herds: [
        {
          herdId,
          intake: { basis: 'stated', dryMatter: { value: '20', unit: 'lb' } },
          waste: { basis: 'stated', percent: '0' },
        },
      ],
      storageLosses: [{ storageMethod: 'tarp', percent: String(loss_pct), how: 'as the example says' }],
    });
    expect(Number(base.lots[0]?.left.value) * 2000).toBeCloseTo(expected('hay-uky-onhand'), 4);
  });
  it('leaves no case of the list out', () => {
    expect([...seen].sort()).toEqual(cases.map((one) => one.id).sort());
  });
});

describe('the yard of an operation', () => {
  it('by the ration in use lists the kinds of that ration, not those of the yard, and its tests', async () => {
    const herdId = await herd(operation, ranchId);
    const { lotId } = await lot(operation, ranchId, { name: 'Tested meadow', tons: '60' });
    await lot(operation, ranchId, { name: 'Untested oats', hayKind: 'oat-hay', tons: '60' });
    await operation.as.owner.post(operation.at('/lab-tests'), labTestBody(lotId), { expect: 201 });
    const ration = await operation.as.owner.post<{ id: string }>(
      operation.at('/rations'),
      {
        herdId,
        name: 'Meadow alone',
        basis: 'as-fed',
        amount: { weight: { value: '20', unit: 'lb' }, basis: 'as-fed' },
        layers: [{ role: 'mixed', parts: [{ hayLotId: lotId, sharePercent: '100' }] }],
      },
      { expect: 201 },
    );
    for (const [step, body] of [
      ['proposal', {}],
      ['acceptance', {}],
      ['use', { from: '2026-12-01' }],
    ] as const)
      await operation.as.owner.post(operation.at(`/rations/${ration.body.id}/${step}`), body, { expect: 200 });
    const made = await budget({ from: '2026-12-01', until: '2026-12-31', intake: 'ration-in-use' });
    expect(made.herds[0]).toMatchObject({ restsOnBookValues: false, kinds: [{ hayKind: 'meadow', percent: '100' }] });
    expect(made.herds[0]?.kinds).toHaveLength(1);
    expect(made.flags.map((one) => one.code)).not.toContain('book-values');
  });

  it('counts the tests that the judge counts: a sample of before the plan whose result came in late', async () => {
    await herd(operation, ranchId);
    const { lotId } = await lot(operation, ranchId, { name: 'Tested meadow', tons: '60' });
    // It is January 15; the sample is of November.
    await operation.as.owner.post(operation.at('/lab-tests'), labTestBody(lotId), { expect: 201 });
    const made = await budget({ from: '2026-12-01', until: '2026-12-31' });
    expect(made.herds[0]?.restsOnBookValues).toBe(false);
    expect(made.flags.map((one) => one.code)).not.toContain('book-values');
  });

  it('says the need by herd and month, when each lot and the yard run out, and what must be bought', async () => {
    // 100 head eat 20 lb of dry matter; the hay is stated at 80 % dry matter and 20 % is wasted: 20 / 0.8 / 0.8 = 31.25
    // lb a head, 3,125 lb a day.
    const herdId = await herd(operation, ranchId);
    await lot(operation, ranchId, { name: 'Old meadow', tons: '25' });
    await lot(operation, ranchId, { name: 'New meadow', tons: '50', purchasedOn: '2026-11-15' });
    const plan = {
      from: '2026-12-01',
      until: '2027-01-31',
      herds: [
        {
          herdId,
          intake: { basis: 'stated', dryMatter: { value: '20', unit: 'lb' } },
          dryMatterPercent: '80',
          waste: { basis: 'stated', percent: '20' },
        },
      ],
      storageLosses: [{ storageMethod: 'tarp', percent: '0', how: 'weighed in and out last winter' }],
      prices: [{ hayKind: 'meadow', amount: '160', per: 'ton' }],
    };
    const { base, answers } = await tried(plan, [
      { name: 'Less waste', wastePercent: '0' },
      { name: 'A tenth more head', headTimes: '1.1' },
      { name: 'Dearer', priceTimes: '1.25' },
      { name: 'They eat more', intakeTimes: '1.05', herdIds: [herdId] },
    ]);
    expect(
      base.months.map((row) => [row.month, row.headDays, row.needed.value, row.dryMatterEaten.value, row.wasted.value]),
    ).toEqual([
      ['2026-12', 3100, '48.4375', '31', '9.6875'],
      ['2027-01', 3100, '48.4375', '31', '9.6875'],
    ]);
    // 25 tons are 16 days at 3,125 lb: the old lot ends on the 16th of December; 75 tons are 48 days, so the 18th of
    // January is the first short day.
    expect(base.lots.map((one) => [one.hayLot, one.runsOutOn, one.left.value])).toEqual([
      ['Old meadow', '2026-12-16', '0'],
      ['New meadow', '2027-01-17', '0'],
    ]);
    expect(base.yard).toMatchObject({
      onHand: { value: '75' },
      needed: { value: '96.875' },
      fed: { value: '75' },
      short: { value: '21.875' },
      runsOutOn: '2027-01-18',
      daysShort: 14,
    });
    expect(base.toBuy).toMatchObject([
      {
        hayKind: 'meadow',
        mass: { value: '21.875', unit: 'ton' },
        price: { amount: '160.00' },
        cost: { amount: '3500.00' },
      },
    ]);
    expect(base.costToBuy?.amount).toBe('3500.00');
    // Without waste 77.5 tons are needed, 2.5 are short: 400 dollars, and 62 days at 2,500 lb leave the yard empty
    // after 60.
    expect(answers[0]).toMatchObject({
      needed: { value: '77.5' },
      neededChange: { value: '-19.375' },
      neededChangePercent: '-20',
      short: { value: '2.5' },
      costToBuy: { amount: '400.00' },
      costChange: { amount: '-3100.00' },
      runsOutOn: '2027-01-30',
      daysLonger: 12,
    });
    expect(answers[1]).toMatchObject({
      needed: { value: '106.5625' },
      short: { value: '31.5625' },
      costToBuy: { amount: '5050.00' },
    });
    expect(answers[2]).toMatchObject({ needed: { value: '96.875' }, costToBuy: { amount: '4375.00' } });
    expect(answers[3]).toMatchObject({ needed: { value: '101.71875' } });
    expect(
      (await operation.as.manager.get<{ items: unknown[] }>(operation.at('/hay-budget-plans'), { expect: 200 })).body
        .items,
    ).toEqual([]);
  });

  it('takes published losses with their bounds, and the low and the high case stand on either side', async () => {
    await herd(operation, ranchId);
    const { lotId } = await lot(operation, ranchId, { name: 'Meadow', tons: '60' });
    await feeding(operation, await herd(operation, ranchId, { name: 'Cows', head: 0 }), [[lotId, '100']], {
      fedOn: '2026-11-20',
      method: 'ring-feeder',
      headFed: 1,
    });
    const made = await budget({ from: '2026-12-01', until: '2027-03-31', intakePercent: '2.5', wastePercent: '10' });
    // Source of the storage figures: University of Kentucky Extension, 2012: covered on stone 10 to 17 %, covered on
    // the ground 15 to 35 %.
    expect(made.lots[0]?.storageLoss).toMatchObject({
      percent: '13.5',
      lowPercent: '10',
      highPercent: '35',
      basis: 'published',
      source: expect.stringContaining('University of Kentucky') as unknown,
    });
    const [low, high] = [made.range.atLowLosses, made.range.atHighLosses];
    expect(Number(low.short.value)).toBeLessThan(Number(made.yard.short.value));
    expect(Number(high.short.value)).toBeGreaterThan(Number(made.yard.short.value));
    expect([low.runsOutOn ?? '9999', made.yard.runsOutOn ?? '9999', high.runsOutOn ?? '9999']).toEqual(
      [high.runsOutOn, made.yard.runsOutOn, low.runsOutOn].map((one) => one ?? '9999').reverse(),
    );
    expect(made.range.restsOn.join(' ')).toContain('University of Kentucky');
    // Intake alone is in doubt by more than a twentieth either way: the range can't be narrower than that.
    const { needed, short, runsOutOn } = made.range.likely;
    expect(Number(needed.low.value)).toBeLessThan(0.95 * Number(made.yard.needed.value));
    expect(Number(needed.high.value)).toBeGreaterThan(1.05 * Number(made.yard.needed.value));
    expect(Number(short.low.value)).toBeLessThan(Number(short.high.value));
    expect((runsOutOn.earliest ?? '9999') < (made.yard.runsOutOn ?? '9999')).toBe(true);
    expect(made.range.restsOn.join(' ')).toMatch(/common practice, no source/);
    expect(made.flags.map((one) => one.code)).toContain('book-values');
  });

  it('widens the range by how sure weighed bales are, and by nothing where that is not known', async () => {
    const herdId = await herd(operation, ranchId);
    const rounds = (weight: object) => ({
      baleCount: 100,
      weight: { basis: 'weighed-bales', meanBaleWeight: { value: '1000', unit: 'lb' }, ...weight },
    });
    const plan = {
      from: '2026-12-01',
      until: '2027-01-31',
      herds: [
        {
          herdId,
          intake: { basis: 'stated', dryMatter: { value: '20', unit: 'lb' } },
          dryMatterPercent: '80',
          waste: { basis: 'stated', percent: '20' },
        },
      ],
      storageLosses: [{ storageMethod: 'tarp', percent: '0', how: 'weighed in and out last winter' }],
      prices: [{ hayKind: 'meadow', amount: '160', per: 'ton' }],
    };
    // By hand, t(0.975; 9) = 2.262 (NIST/SEMATECH e-Handbook, 1.3.6.7.2): 2.262 × 50/√10 × √(1 − 10/100) =
    // 33.93 lb a bale, 1.6965 tons of 100 bales (50 tons). Of 96.875 tons needed 46.875 are short, 1.6965 less or more
    // at the bounds.
    const { lotId } = await lot(operation, ranchId, {
      name: 'Weighed',
      ...rounds({ balesWeighed: 10, standardDeviation: { value: '50', unit: 'lb' } }),
    });
    const near = (one: Mass | undefined, tons: number): boolean => Math.abs(Number(one?.value) - tons) < 0.0005;
    const first = (await tried(plan)).base;
    const [range, [weighed]] = [first.range, first.lots];
    expect([
      first.yard.short.value,
      near(range.atLowLosses.short, 45.1785),
      near(range.atHighLosses.short, 48.5715),
      near(weighed?.likelyBalance?.low, 48.3035),
      near(weighed?.likelyBalance?.high, 51.6965),
    ]).toEqual(['46.875', true, true, true, true]);
    expect(range.restsOn).toContain(
      'Weights of bales: 1 lot rests on 10 of 100 bales weighed; 50 ton on the first day, plus or minus 1.7 ton ' +
        '(95 % of each lot, all of them low or high together).',
    );

    // A scale ticket, and bales weighed without a spread: nothing is added to the 1.6965 tons.
    await lot(operation, ranchId, { name: 'Over the scale', tons: '5' });
    await lot(operation, ranchId, { name: 'Guessed', ...rounds({ balesWeighed: 1 }) });
    for (const fedOn of ['2026-11-16', '2026-11-17', '2026-11-18', '2026-11-19', '2026-11-20'])
      await feeding(operation, herdId, [[lotId, '10000']], { fedOn });
    const made = (await tried({ ...plan, until: '2027-02-28' })).base;
    // Half of the weighed lot is fed: 25 tons, off by half of 1.6965.
    const left = made.lots.find((one) => one.hayLot === 'Weighed');
    expect([
      left?.balance.value,
      near(left?.likelyBalance?.low, 24.15175),
      near(left?.likelyBalance?.high, 25.84825),
    ]).toEqual(['25', true, true]);
    expect(made.lots.filter((one) => one.hayLot !== 'Weighed').map((one) => one.likelyBalance)).toEqual([null, null]);
    expect(
      [Number(made.range.atHighLosses.short.value) - Number(made.range.atLowLosses.short.value)].map(
        (apart) => Math.abs(apart - 1.6965) < 0.001,
      ),
    ).toEqual([true]);
    expect(made.range.restsOn.filter((one) => one.startsWith('Weights'))).toEqual([
      'Weights of bales: 1 lot rests on 10 of 100 bales weighed; 25 ton on the first day, plus or minus 0.85 ' +
        'ton (95 % of each lot, all of them low or high together).',
      'Weights of bales: not known how sure for Guessed, where one bale alone was weighed or no spread was ' +
        'given; it widens nothing.',
      'Weights of 1 lot from scale tickets, net weights or transfers are taken as they are.',
    ]);
  });

  it("replaces the published waste by the ranch's own feedings, with an interval", async () => {
    const herdId = await herd(operation, ranchId);
    const { lotId } = await lot(operation, ranchId, { tons: '60' });
    await feeding(operation, herdId, [[lotId, '2000']], { fedOn: '2026-11-10', method: 'ring-feeder' });
    const before = await budget({ from: '2026-12-01', until: '2026-12-31' });
    // Source: Buskirk et al. 2003 (Michigan State University), ring 6.1 %; Lalman et al. (Oklahoma State University),
    // open ring 20.5 %.
    expect(before.herds[0]?.waste).toMatchObject({
      percent: '6.1',
      lowPercent: '6.1',
      highPercent: '20.5',
      basis: 'published',
      bounds: 'published-figures',
    });
    await feeding(operation, herdId, [[lotId, '2000']], {
      fedOn: '2026-11-11',
      wasted: { value: '200', unit: 'lb' },
    });
    await feeding(operation, herdId, [[lotId, '1000']], { fedOn: '2026-11-12', wasted: { value: '130', unit: 'lb' } });
    await feeding(operation, herdId, [[lotId, '1000']], { fedOn: '2026-11-13', wasted: { value: '70', unit: 'lb' } });
    const after = await budget({ from: '2026-12-01', until: '2026-12-31' });
    // 400 lb of 4,000 are 10 %; by hand: residuals 0, 30, -30 lb, mean 1,333.33 lb, standard error 0.0129904, t(0.975,
    // 2) = 4.302653: 10 % ± 5.589 %.
    expect(after.herds[0]?.waste).toMatchObject({
      percent: '10',
      lowPercent: '4.41',
      highPercent: '15.59',
      basis: 'own-measurement',
      bounds: 'interval-95',
    });
    expect(after.flags.map((one) => one.code)).not.toContain('waste-published');
  });

  it('predicts intake month by month by the equations', async () => {
    const herdId = await herd(operation, ranchId);
    await lot(operation, ranchId, { tons: '60' });
    const made = await budget({ from: '2026-12-01', until: '2027-02-28', wastePercent: '12' });
    const intake = made.herds[0]?.intakeByMonth.map((one) => Number(one.dryMatterPerHeadDay.value)) ?? [];
    expect(made.herds[0]?.intakeBasis).toContain('NRC2000');
    // Calves of 550 lb that gain eat more each month. Source of the bounds: Nebraska Extension (Rasby), forage intake
    // 1.5 to 2.7 % of body weight by quality (from memory).
    expect(intake).toEqual([...intake].sort((a, b) => a - b));
    for (const pounds of intake) expect([pounds > 0.015 * 550, pounds < 0.027 * 750]).toEqual([true, true]);
    expect(total(made.months.map((row) => row.needed))).toBeCloseTo(Number(made.yard.needed.value), 4);
    await operation.as.manager.post(
      operation.at(`/herds/${herdId}/head-changes`),
      { kind: 'sale', head: 40, happenedOn: '2027-01-01' },
      { expect: 201 },
    );
    expect(
      (await budget({ from: '2026-12-01', until: '2027-02-28', wastePercent: '12' })).months.map((row) => row.headDays),
    ).toEqual([3100, 1860, 1680]);
  });

  it('hides money from those without prices, and is closed to other operations', async () => {
    await herd(operation, ranchId);
    await lot(operation, ranchId, { tons: '5' });
    const query = { from: '2026-12-01', until: '2027-01-31', wastePercent: '12' };
    expect((await budget(query)).costToBuy).not.toBeNull();
    const seen = await budget(query, operation.as.hand);
    expect([seen.costToBuy, seen.toBuy[0]?.price, seen.toBuy[0]?.cost, seen.range.atHighLosses.costToBuy]).toEqual([
      null,
      null,
      null,
      null,
    ]);
    const nutritionist = await person(world, 'nutritionist without prices');
    await join(world, nutritionist, operation.id, 'nutritionist', { seesPrices: false });
    expect((await budget(query, await clientOf(world, nutritionist))).costToBuy).toBeNull();
    const stranger = await clientOf(world, await person(world, 'stranger'));
    await stranger.get(operation.at('/reports/hay-budget'), { query, expect: 404 });
  });
});

describe('a herd that cannot be judged', () => {
  const query = { from: '2026-12-01', until: '2027-01-31' };
  /** Cows that nobody said were bred, beside calves that can be judged and were never fed. */
  const yard = async (): Promise<{ cows: string; calves: string }> => {
    const cows = await herd(operation, ranchId, {
      name: 'Hill cows',
      cattleClass: 'dry-pregnant-cow',
      sex: 'cow',
      bodyWeight: { value: '1250', unit: 'lb' },
      targetDailyGain: null,
      head: 60,
    });
    const calves = await herd(operation, ranchId);
    await lot(operation, ranchId, { tons: '60' });
    return { cows, calves };
  };

  it('is left out of the sums and named with what to enter; the others are counted', async () => {
    const { cows } = await yard();
    const made = await budget(query);
    expect(made.herds.map((one) => one.herd)).toEqual(['Weaned calves']);
    expect(Number(made.yard.needed.value)).toBeCloseTo(total(made.herds.map((one) => one.needed)), 3);
    // 60 head over December and January.
    expect(made.notCounted).toMatchObject([{ herdId: cows, herd: 'Hill cows', headDays: 3720, field: 'daysPregnant' }]);
    expect(made.notCounted[0]?.because).toMatch(/Enter a breeding date/);
    expect(made.flags.find((one) => one.code === 'herds-not-counted')?.message).toContain('Hill cows');
  });

  it('is in the table too', async () => {
    await yard();
    const csv = await operation.as.manager.get(
      operation.at(`/reports/hay-budget?from=${query.from}&until=${query.until}&format=csv`),
      { expect: 200 },
    );
    expect(csv.text).toMatch(/Hill cows.*Enter a breeding date/);
  });

  it('is refused at its field where a plan names it', async () => {
    const { cows } = await yard();
    const refused = await operation.as.manager.post<{ errors: { pointer: string; code: string }[] }>(
      operation.at('/hay-budget-plans'),
      { name: 'Named', ...query, herds: [{ herdId: cows, waste: { basis: 'stated', percent: '10' } }] },
      { expect: 422 },
    );
    expect(refused.body.errors).toMatchObject([{ pointer: '#/herds/0/intake', code: 'intake-not-predicted' }]);
  });

  it('a herd that was never fed takes the usual way of feeding, and says so', async () => {
    const { calves } = await yard();
    const made = await budget(query);
    // A ring feeder wastes 6.1 %: Buskirk et al. 2003; published figures for all ways of feeding with a feeder or on
    // the ground run from 3.5 (cone feeder, the same) to 23 % (unrolled, Kansas State University).
    expect(made.herds).toMatchObject([
      { herdId: calves, waste: { percent: '6.1', lowPercent: '3.5', highPercent: '23', basis: 'assumed' } },
    ]);
    expect(made.flags.map((one) => one.code)).toContain('waste-assumed');
  });
});

describe('what cows eat, month by month', () => {
  const query = { from: '2026-11-10', until: '2027-05-31', wastePercent: '10' };
  const cows = (): Promise<string> =>
    herd(operation, ranchId, {
      name: 'Cows',
      cattleClass: 'dry-pregnant-cow',
      sex: 'cow',
      bodyWeight: { value: '1307', unit: 'lb' },
      targetDailyGain: null,
      bredOn: '2026-06-10',
      head: 40,
    });
  const intakeOf = (made: Budget): Map<string, number> =>
    new Map(made.herds[0]?.intakeByMonth.map((one) => [one.month, Number(one.dryMatterPerHeadDay.value)]));

  it('is what the source of the equation says it reads low on top, and rises through calving into milk', async () => {
    await cows();
    await lot(operation, ranchId, { tons: '200' });
    const made = await budget(query);
    const intake = intakeOf(made);
    // Cows of 593 kg ate 12.7 kg (28.0 lb) of dry matter on forage, cows in milk more (Gross, Oklahoma State
    // University); book meadow hay is near it in energy: within a tenth.
    expect(Math.abs((intake.get('2026-12') ?? 0) / 28 - 1)).toBeLessThan(0.1);
    // Calving is due about the 20th of March, 283 days after breeding.
    expect(intake.get('2027-05')).toBeGreaterThan(intake.get('2027-02') ?? 0);
    expect(intake.get('2027-03')).toBeLessThan(intake.get('2027-04') ?? 0);
    // The figure that was raised is shown: eaten = predicted / (1 - 0.139) dry, / (1 - 0.166) in milk.
    for (const [month, readsLow] of [
      ['2026-12', 0.139],
      ['2027-04', 0.166],
    ] as const) {
      const told = made.herds[0]?.intakeByMonth.find((one) => one.month === month)?.correction;
      expect(Number(told?.dryMatterBefore.value) / (1 - readsLow) / (intake.get(month) ?? 0)).toBeCloseTo(1, 3);
      expect(Number(told?.raisedByPercent)).toBeCloseTo((1 / (1 - readsLow) - 1) * 100, 1);
    }
    const flags = made.flags.map((one) => one.code);
    expect(flags).toEqual(expect.arrayContaining(['intake-corrected', 'no-weather-normals']));
    expect(made.flags.find((one) => one.code === 'intake-corrected')?.message).toMatch(/13\.9 %.*16\.6 %.*Gross/);
  });

  it('rises with the cold of the month: as recorded in earlier years, or as the plan states it', async () => {
    const herdId = await cows();
    await lot(operation, ranchId, { tons: '200' });
    const warm = intakeOf(await budget(query));
    for (let day = 1; day <= 10; day += 1)
      await operation.as.manager.post(
        operation.at('/weather-days'),
        {
          ranchId,
          onDay: `2026-01-${String(day).padStart(2, '0')}`,
          meanTemperature: { value: '-20', unit: 'C' },
        },
        { expect: 201 },
      );
    // Below −15 °C intake is 16 % higher (NRC 2000, from memory).
    const cold = intakeOf(await budget(query));
    expect((cold.get('2027-01') ?? 0) / (warm.get('2027-01') ?? 1)).toBeCloseTo(1.16, 4);
    expect(cold.get('2027-02')).toBe(warm.get('2027-02'));
    const { base } = await tried({
      from: query.from,
      until: query.until,
      herds: [{ herdId, waste: { basis: 'stated', percent: '10' } }],
      monthlyTemperatures: [
        { month: 1, temperature: { value: '41', unit: 'F' } },
        { month: 2, temperature: { value: '14', unit: 'F' } },
      ],
    });
    // 5 °C: 3 %, −10 °C: 7 %.
    expect((intakeOf(base).get('2027-01') ?? 0) / (warm.get('2027-01') ?? 1)).toBeCloseTo(1.03, 4);
    expect((intakeOf(base).get('2027-02') ?? 0) / (warm.get('2027-02') ?? 1)).toBeCloseTo(1.07, 4);
  });
});

describe('a saved plan', () => {
  const planned = async (more: object = {}): Promise<{ id: string; herdId: string; lotId: string }> => {
    const herdId = await herd(operation, ranchId);
    const { lotId } = await lot(operation, ranchId, { tons: '100' });
    const { id } = (
      await operation.as.manager.post<{ id: string }>(
        operation.at('/hay-budget-plans'),
        {
          name: 'This winter',
          from: '2027-01-01',
          until: '2027-03-31',
          herds: [
            {
              herdId,
              intake: { basis: 'stated', dryMatter: { value: '20', unit: 'lb' } },
              dryMatterPercent: '80',
              waste: { basis: 'stated', percent: '20' },
            },
          ],
          storageLosses: [{ storageMethod: 'tarp', percent: '0', how: 'weighed' }],
          prices: [{ hayKind: 'meadow', amount: '160', per: 'ton' }],
          ...more,
        },
        { expect: 201 },
      )
    ).body;
    return { id, herdId, lotId };
  };

  it('is kept as it was made, its prices for those who may see them', async () => {
    const { id } = await planned();
    const mine = (
      await operation.as.manager.get<{ prices: unknown[]; plan: { from: string } }>(
        operation.at(`/hay-budget-plans/${id}`),
        { expect: 200 },
      )
    ).body;
    expect([mine.prices, mine.plan.from]).toEqual([[{ hayKind: 'meadow', amount: '160', per: 'ton' }], '2027-01-01']);
    expect(
      (await operation.as.hand.get<{ prices: unknown }>(operation.at(`/hay-budget-plans/${id}`), { expect: 200 })).body
        .prices,
    ).toBeNull();
    await operation.as.hand.post(
      operation.at('/hay-budget-plans'),
      { name: 'Mine', from: '2027-01-01', until: '2027-02-01' },
      { expect: 403 },
    );
    await expect(
      world.ownerPool.query('UPDATE hay_budget_plan SET name = $1 WHERE id = $2', ['Another', id]),
    ).rejects.toMatchObject({ code: 'RY002' });
    await expect(
      world.ownerPool.query('DELETE FROM hay_budget_plan_price WHERE hay_budget_plan_id = $1', [id]),
    ).rejects.toMatchObject({ code: 'RY002' });
  });

  it('is held against what was really fed, and the rest is forecast at that rate', async () => {
    const { id, herdId, lotId } = await planned();
    // Planned 3,125 lb a day; ten days were fed 3,750 lb each: 1.2 times. 80 days to come at 3,750 lb are 150 tons;
    // 81.25 tons are left: 68.75 short.
    for (let day = 1; day <= 10; day += 1)
      await feeding(operation, herdId, [[lotId, '3750']], { fedOn: `2027-01-${String(day).padStart(2, '0')}` });
    const forecast = (
      await operation.as.manager.get<Forecast>(operation.at(`/hay-budget-plans/${id}/forecast`), {
        query: { on: '2027-01-11' },
        expect: 200,
      })
    ).body;
    expect(forecast.herds).toMatchObject([
      {
        plannedToDate: { value: '15.625' },
        fedToDate: { value: '18.75' },
        fedPerPlanned: '1.2',
        plannedToCome: { value: '125' },
        forecastToCome: { value: '150' },
      },
    ]);
    expect([forecast.plannedTotal.value, forecast.forecastTotal.value]).toEqual(['140.625', '168.75']);
    expect(forecast.budget.yard).toMatchObject({
      onHand: { value: '81.25' },
      needed: { value: '150' },
      short: { value: '68.75' },
    });
    // 81.25 tons at 3,750 lb are 43 days and a third: the 44th, the 23rd of February, is the first that is short.
    expect(forecast.budget.yard.runsOutOn).toBe('2027-02-23');
    expect(forecast.budget.costToBuy).toEqual({ amount: '11000.00', currency: 'USD' });
    const whole = (
      await operation.as.manager.get<Budget>(operation.at(`/hay-budget-plans/${id}/budget`), { expect: 200 })
    ).body;
    expect(whole.yard).toMatchObject({
      onHand: { value: '100' },
      needed: { value: '140.625' },
      short: { value: '40.625' },
    });
    await operation.as.manager.get(operation.at(`/hay-budget-plans/${id}/forecast`), {
      query: { on: '2027-01-01' },
      expect: 400,
    });
  });

  it('counts today to what is behind it once the herd has been fed', async () => {
    const { id, herdId, lotId } = await planned();
    const feed = (day: number) =>
      feeding(operation, herdId, [[lotId, '3750']], { fedOn: `2027-01-${String(day).padStart(2, '0')}` });
    const seen = async () => {
      const { herds, budget, forecastTotal } = (
        await operation.as.manager.get<Forecast>(operation.at(`/hay-budget-plans/${id}/forecast`), { expect: 200 })
      ).body;
      const { plannedToDate, fedToDate, fedPerPlanned, forecastToCome } = herds[0] ?? {};
      const { onHand, needed } = budget.yard;
      return [plannedToDate, fedToDate, forecastToCome, onHand, needed, forecastTotal]
        .map((one) => Number(one?.value))
        .concat(Number(fedPerPlanned));
    };
    for (let day = 1; day <= 14; day += 1) await feed(day);
    // Planned 1.5625 tons a day and fed 1.875; of 90 days 14 are behind and 76 to come, 142.5 tons.
    expect(await seen()).toEqual([21.875, 26.25, 142.5, 73.75, 142.5, 168.75, 1.2]);
    await feed(15);
    // 15 are behind, 75 to come.
    expect(await seen()).toEqual([23.4375, 28.125, 140.625, 71.875, 140.625, 168.75, 1.2]);
  });

  it('refuses what cannot be, by field', async () => {
    const herdId = await herd(operation, ranchId);
    const refused = async (plan: object): Promise<unknown> =>
      (
        await operation.as.manager.post<{ errors: { pointer: string; code: string }[] }>(
          operation.at('/hay-budget-plans'),
          { name: 'No', from: '2027-01-01', until: '2027-03-31', ...plan },
        )
      ).body.errors.map((one) => [one.pointer, one.code]);
    const stated = {
      herdId,
      intake: { basis: 'stated', dryMatter: { value: '20', unit: 'lb' } },
      waste: { basis: 'stated', percent: '10' },
    };
    expect(await refused({ until: '2026-12-01' })).toEqual([['#/until', 'span-reversed']]);
    expect(await refused({ herds: [{ ...stated, kinds: [{ hayKind: 'meadow', percent: '60' }] }] })).toEqual([
      ['#/herds/0/kinds', 'shares-do-not-add-up'],
    ]);
    expect(await refused({ herds: [stated, stated] })).toEqual([['#/herds/1/herdId', 'herd-twice']]);
    expect(await refused({ herds: [{ ...stated, herdId: ranchId }] })).toEqual([['#/herds/0/herdId', 'no-such-herd']]);
    expect(await refused({ herds: [{ ...stated, waste: { basis: 'own-feedings' } }] })).toEqual([
      ['#/herds/0/waste', 'waste-unknown'],
    ]);
    expect(await refused({ herds: [{ ...stated, waste: { basis: 'stated', percent: '96' } }] })).toEqual([
      ['#/herds/0/waste/percent', 'custom'],
    ]);
  });
});

describe('the same as a sheet', () => {
  const workbook = async (path: string, accept?: string): Promise<ReadWorkbook & { type: string | null }> => {
    const response = await fetch(`${world.address}${operation.at(path)}`, {
      headers: {
        Authorization: `Bearer ${operation.as.manager.token ?? ''}`,
        ...(accept === undefined ? {} : { Accept: accept }),
      },
    });
    expect(response.status).toBe(200);
    return {
      type: response.headers.get('content-type'),
      ...(await workbookOf(new Uint8Array(await response.arrayBuffer()))),
    };
  };

  it(
    'CSV and workbook carry the same table; numbers are ' + 'numbers, days are days, and no text is a formula',
    async () => {
      await herd(operation, ranchId, { name: '=HYPERLINK("http://example.test")' });
      await lot(operation, ranchId, { name: '@SUM(A1:A9)', tons: '40' });
      const path = '/reports/hay-budget?from=2026-12-01&until=2027-01-31&wastePercent=12&view=';
      const csv = await operation.as.manager.get(operation.at(`${path}lots&format=csv&head=no`), { expect: 200 });
      const [header = '', row = ''] = csv.text.split('\r\n');
      const { type, rows, formulas } = await workbook(`${path}lots&format=xlsx`);
      expect([type, formulas]).toEqual([XLSX, 0]);
      expect(rows[0]).toEqual(header.split(','));
      const seen = rows[1] ?? [];
      expect(seen[0]).toBe('@SUM(A1:A9)');
      expect(row.startsWith("'@SUM(A1:A9)")).toBe(true);
      const numbers = row.split(',').slice(4, 9);
      expect(seen.slice(4, 9)).toEqual(numbers.map(Number));
      expect(seen[9]).toBeInstanceOf(Date);
      expect((seen[9] as Date).toISOString().slice(0, 10)).toBe(row.split(',')[9]);
      const months = await workbook(`${path}months`, `${XLSX}, application/json;q=0.5`);
      expect(months.rows[1]?.[1]).toBe('=HYPERLINK("http://example.test")');
      expect(months.formulas).toBe(0);
    },
  );

  it('is offered wherever there is a table: season cost and hay on hand too', async () => {
    await herd(operation, ranchId);
    await lot(operation, ranchId, { tons: '40' });
    const { rows } = await workbook('/reports/hay-position?on=2026-12-01&format=xlsx');
    expect(rows.length).toBeGreaterThan(1);
    const cost = await workbook('/reports/season-cost?from=2026-11-01&until=2026-12-31&format=xlsx');
    expect(cost.rows[0]?.[0]).toBe('herd');
    const wrong = await operation.as.manager.get<{ errors: { allowed: string }[] }>(
      operation.at('/ranches?format=xlsx'),
      { expect: 400 },
    );
    expect(wrong.body.errors[0]?.allowed).toContain('json');
  });
});

describe('hay under a danger caution', () => {
  it('is named with its tons, though it counts as supply', async () => {
    const days = { from: '2027-01-16', until: '2027-02-15', units: 'us' };
    const flagged = async (): Promise<string[]> =>
      (await budget(days)).flags.filter(({ code }) => code === 'hay-under-danger-caution').map((one) => one.message);
    await lot(operation, ranchId, { name: 'Sound', tons: '50' });
    const moldy = (await lot(operation, ranchId, { name: 'Rained on', tons: '36' })).lotId;
    const oats = (await lot(operation, ranchId, { name: 'Oats', hayKind: 'oat-hay', tons: '48' })).lotId;
    expect(await flagged()).toEqual([]);
    const seen = { hayLotId: moldy, seenOn: '2027-01-12', mold: 'heavy' };
    await operation.as.manager.post(operation.at('/hay-observations'), seen, { expect: 201 });
    const { analysis } = labTestBody(oats) as { analysis: object };
    const nitrate = { value: '9000', unit: 'ppm NO3-N' };
    await operation.as.manager.post(
      operation.at('/lab-tests'),
      labTestBody(oats, { analysis: { ...analysis, nitrate } }),
      { expect: 201 },
    );
    const [message] = await flagged();
    expect(message).toMatch(/^84 ton of the hay counted is under a danger caution: /);
    expect(message).toContain('Rained on, 36 ton');
    expect(message).toContain('Oats, 48 ton');
    expect(message).not.toContain('Sound');
  });
});
