/*
 * The season of a herd in months: what it needs through calving into milk, what its ration gives, what hay that takes.
 * Invented.
 */
import { type Operation, operationWith } from '../support/people.js';
import { feeding, feedingBody, herd, labTestBody, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Plan {
  from: string;
  until: string;
  herds: {
    herd: string;
    months: {
      month: string;
      headDays: number;
      sharePregnant: number;
      shareInMilk: number;
      ration: { name: string; carriedForward: boolean } | null;
      needed: { hayLot: string; asFed: { value: string; unit: string } }[];
      lines: { nutrient: string; need: number | null; supply: number | null; verdict: string }[];
      cautions: { code: string }[];
      notes: { code: string; message: string }[];
      refusedBecause: { code: string }[];
    }[];
  }[];
  lots: {
    hayLot: string;
    onHand: { value: string };
    needed: { value: string };
    short: { value: string };
    runsOutIn: string | null;
  }[];
  kinds: { hayKind: string; needed: { value: string } }[];
  flags: { code: string; message: string }[];
}

describe('the ration plan of a season', () => {
  let world: World;
  let operation: Operation;
  let ranchId: string;
  let meadow: string;

  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world, { name: 'Season ranch', roles: ['manager', 'nutritionist', 'hand'] });
    ranchId = await ranch(operation);
    // 50 head at 26 lb eat 0.65 ton a day: 90 tons last 138 days, from November to the middle of March.
    meadow = (await lot(operation, ranchId, { name: 'Meadow', tons: '90', purchasedOn: '2026-10-20' })).lotId;
    await operation.as.owner.post(operation.at('/lab-tests'), labTestBody(meadow), { expect: 201 });
  });
  afterAll(async () => {
    await world.close();
  });

  async function cows(name: string, more: Record<string, unknown>): Promise<string> {
    const herdId = await herd(operation, ranchId, {
      name,
      head: 50,
      cattleClass: 'dry-pregnant-cow',
      sex: 'cow',
      bodyWeight: { value: '1200', unit: 'lb' },
      targetDailyGain: undefined,
      ...more,
    });
    const rationId = (
      await operation.as.owner.post<WithId>(
        operation.at('/rations'),
        {
          herdId,
          name: `Ration of ${name}`,
          basis: 'as-fed',
          amount: { weight: { value: '26', unit: 'lb' }, basis: 'as-fed' },
          layers: [{ role: 'mixed', parts: [{ hayLotId: meadow, sharePercent: '100' }] }],
        },
        { expect: 201 },
      )
    ).body.id;
    for (const [step, body] of [
      ['proposal', {}],
      ['acceptance', {}],
      ['use', { from: '2026-11-10' }],
    ] as const)
      await operation.as.owner.post(operation.at(`/rations/${rationId}/${step}`), body, { expect: 200 });
    return herdId;
  }
  const plan = async (query: Record<string, string>, expect = 200): Promise<Plan> =>
    (await operation.as.hand.get<Plan>(operation.at('/season-ration-plan'), { query, expect })).body;
  const need = (month: Plan['herds'][number]['months'][number] | undefined, nutrient: string): number =>
    month?.lines.find((line) => line.nutrient === nutrient)?.need ?? NaN;

  it('runs through calving into milk, month by month, with the hay that it takes', async () => {
    const herdId = await cows('Spring calvers', { bredOn: '2026-06-05' });
    const { herds, lots, from, until } = await plan({ from: '2026-11', until: '2027-05', herdId });
    expect([from, until]).toEqual(['2026-11', '2027-05']);
    const months = herds[0]?.months ?? [];
    expect(months.map((one) => one.month)).toEqual([
      '2026-11',
      '2026-12',
      '2027-01',
      '2027-02',
      '2027-03',
      '2027-04',
      '2027-05',
    ]);
    // Conceived on June 5th, 283 days on is the 15th of March: before it nobody is in milk, by May all are.
    expect(months[0]?.shareInMilk).toBe(0);
    expect(months[6]?.shareInMilk).toBe(1);
    // Milk asks for more than late pregnancy, that for more than the middle of it.
    expect(need(months[3], 'netEnergyMaintenance')).toBeGreaterThan(need(months[0], 'netEnergyMaintenance'));
    expect(need(months[6], 'netEnergyMaintenance')).toBeGreaterThan(need(months[3], 'netEnergyMaintenance'));
    // 50 head over 28 days of February at 26 lb: 18.2 tons.
    expect(months[3]).toMatchObject({ headDays: 1400, needed: [{ hayLot: 'Meadow', asFed: { unit: 'ton' } }] });
    expect(Number(months[3]?.needed[0]?.asFed.value)).toBeCloseTo(18.2, 2);
    // 212 days at 0.65 ton.
    expect(Number(lots[0]?.needed.value)).toBeCloseTo(137.8, 1);
    expect(Number(lots[0]?.short.value)).toBeCloseTo(47.8, 1);
    expect(lots[0]?.runsOutIn).toBe('2027-03');
  });

  it('agrees with the evaluation of the ration on the day that stands for the month', async () => {
    const { herds } = await plan({ from: '2026-11', until: '2027-05' });
    const rationId = (await operation.as.hand.get<{ items: WithId[] }>(operation.at('/rations'), { expect: 200 })).body
      .items[0]?.id;
    for (const month of herds[0]?.months.filter((one) => !(one.ration?.carriedForward ?? true)) ?? []) {
      const { body } = await operation.as.hand.get<{ lines: object[]; cautions: object[] }>(
        operation.at(`/rations/${rationId ?? ''}/evaluation`),
        { query: { on: `${month.month}-15`, weather: 'usual' }, expect: 200 },
      );
      expect(month.lines).toEqual(body.lines);
      expect(month.cautions).toEqual(body.cautions);
    }
  });

  it('keeps the hay and the cautions of a herd that cannot be judged, and refuses no plan for it', async () => {
    await cows('Nobody said when', {});
    await herd(operation, ranchId, { name: 'Without a ration', head: 10 });
    const { herds, flags } = await plan({ from: '2026-11', until: '2027-02' });
    const unknown = herds.find((one) => one.herd === 'Nobody said when')?.months[2];
    expect(unknown?.refusedBecause).not.toEqual([]);
    expect(unknown?.needed).toHaveLength(1);
    expect(herds.find((one) => one.herd === 'Without a ration')?.months[0]?.refusedBecause).toMatchObject([
      { code: 'no-ration' },
    ]);
    expect(flags.map((one) => one.code)).toEqual(expect.arrayContaining(['no-ration', 'not-judged']));
  });

  /** The season plan of this month and the hay budget of its days from today on, by the rations in use. */
  async function restOfMonth(herdId: string, hayLot: string) {
    const { herds, lots, kinds } = await plan({ herdId, from: '2027-01', until: '2027-01' });
    const { body } = await operation.as.hand.get<{
      herds: { herdId: string; headDays: number; needed: { value: string } }[];
      lots: { hayLot: string; balance: { value: string } }[];
    }>(operation.at('/reports/hay-budget'), {
      query: { from: '2027-01-15', until: '2027-01-31', intake: 'ration-in-use' },
      expect: 200,
    });
    const budget = body.herds.find((one) => one.herdId === herdId);
    return {
      season: {
        needed: Number(herds[0]?.months[0]?.needed[0]?.asFed.value),
        onHand: Number(lots.find((one) => one.hayLot === hayLot)?.onHand.value),
      },
      budget: {
        needed: Number(budget?.needed.value),
        onHand: Number(body.lots.find((one) => one.hayLot === hayLot)?.balance.value),
      },
      headDays: budget?.headDays,
      kinds,
      notes: (herds[0]?.months[0]?.notes ?? []).map(({ message }) => message),
    };
  }

  it('begins the present month with the hay of today and the days still to come', async () => {
    // Bought after the month began; today is the 15th of January and not fed yet, so 17 of its days are left.
    meadow = (await lot(operation, ranchId, { name: 'Brome', tons: '40', purchasedOn: '2027-01-08' })).lotId;
    const herdId = await cows('Fed brome', { bredOn: '2026-06-05' });
    const { herds, lots } = await plan({ herdId, until: '2027-02' });
    expect(Number(lots[0]?.onHand.value)).toBeCloseTo(40, 3);
    // 50 head at 26 lb take 0.65 ton a day, over 17 days of January and 28 of February.
    expect(Number(herds[0]?.months[0]?.needed[0]?.asFed.value)).toBeCloseTo(11.05, 2);
    expect(Number(lots[0]?.needed.value)).toBeCloseTo(29.25, 2);
    expect(lots[0]).toMatchObject({ short: { value: '0' }, runsOutIn: null });
    // A month to come is whole, and begins with what there is the day before.
    const later = await plan({ herdId, from: '2027-02', until: '2027-02' });
    expect(Number(later.lots[0]?.onHand.value)).toBeCloseTo(40, 3);
    expect(Number(later.lots[0]?.needed.value)).toBeCloseTo(18.2, 2);
  });

  it('counts today until the herd has been fed, and so does the hay budget', async () => {
    meadow = (await lot(operation, ranchId, { name: 'Timothy', tons: '40', purchasedOn: '2027-01-15' })).lotId;
    const herdId = await cows('Fed timothy', { bredOn: '2026-06-05' });
    const { lotId: salt } = await lot(operation, ranchId, { name: 'Salt', hayKind: 'salt', tons: '1' });
    const saltAlone = {
      ...feedingBody(herdId, [], { fedOn: '2027-01-15' }),
      layers: [{ role: 'mixed', parts: [{ hayLotId: salt, weight: { value: '50', unit: 'lb' }, freeChoice: true }] }],
    };
    const unfed = async (): Promise<void> => {
      const { season, budget, headDays, notes } = await restOfMonth(herdId, 'Timothy');
      // 50 head at 26 lb over 17 days; the lot was bought today.
      for (const one of [season, budget]) {
        expect(one.needed).toBeCloseTo(11.05, 2);
        expect(one.onHand).toBeCloseTo(40, 3);
      }
      expect(headDays).toBe(850);
      expect(notes.join(' ')).toContain('It counts the days from 2027-01-15 on, 17 days');
    };
    await unfed();
    await operation.as.manager.post(operation.at('/feedings'), saltAlone, { expect: 201 });
    await unfed();
    const fed = await feeding(operation, herdId, [[meadow, '1400']], { fedOn: '2027-01-15' });
    const { season, budget, headDays, notes } = await restOfMonth(herdId, 'Timothy');
    for (const one of [season, budget]) {
      expect(one.needed).toBeCloseTo(10.4, 2);
      expect(one.onHand).toBeCloseTo(39.3, 3);
    }
    expect(headDays).toBe(800);
    expect(notes.join(' ')).toContain('It counts the days from 2027-01-16 on, 16 days');
    await operation.as.manager.post(operation.at(`/feedings/${fed}/reversal`), { reason: 'Not yet' }, { expect: 201 });
    await unfed();
  });

  it('refuses a span that is none or too long, at its parameter', async () => {
    for (const until of ['2026-10', '2028-01'])
      expect(await plan({ from: '2026-11', until }, 400)).toMatchObject({ errors: [{ parameter: 'until' }] });
  });
});
