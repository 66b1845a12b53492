/*
 * Feed sheets over days: whole bales that starve nobody, what is carried where nobody confirmed, and feeding that
 * cannot happen twice unseen. Herds, hays and bales are invented; what must hold follows from the ration and the bales.
 */
import type { FeedSheetAnswer } from '../../src/desk/feed-sheets/feed-sheet.schema.js';
import { feedSheetPdf } from '../../src/pages/feed-sheets/feed-sheet.pdf.js';
import { type Operation, operationWith } from '../support/people.js';
import { printedWords } from '../support/printed-words.js';
import { feeding, feedingBody, herd, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

type Herd = FeedSheetAnswer['herds'][number];

describe('feed sheets over days', () => {
  let world: World;
  let operation: Operation;
  let ranchId: string;
  let lots: [coarse: string, rich: string, mixed: string];

  beforeAll(async () => {
    world = await openWorld({ now: '2027-01-31T15:00:00.000Z' });
    operation = await operationWith(world);
    ranchId = await ranch(operation);
    const hay = async (name: string, hayKind: string): Promise<string> =>
      (
        await lot(operation, ranchId, {
          name,
          hayKind,
          weight: { basis: 'weighed-bales', meanBaleWeight: { value: '1200', unit: 'lb' }, balesWeighed: 5 },
          baleCount: 400,
        })
      ).lotId;
    lots = [await hay('Slough', 'timothy'), await hay('Alfalfa', 'alfalfa'), await hay('Meadow', 'meadow')];
  });
  afterAll(async () => {
    await world.close();
  });

  /** 120 cows with a ration of 30 lb in use from the 11th: half coarse, a quarter rich, a quarter mixed. */
  async function cowsAt(
    baleRounding: 'nearest-whole' | 'open-enough',
    { head = 120, shares = ['50', '25', '25'] }: { head?: number; shares?: readonly string[] } = {},
  ): Promise<{ herdId: string; placeId: string }> {
    const placeId = (
      await operation.as.manager.post<WithId>(
        operation.at('/places'),
        { ranchId, name: `Bunk ${Math.random()}`, kind: 'bunk-line' },
        { expect: 201 },
      )
    ).body.id;
    const herdId = await herd(operation, ranchId, {
      head,
      placeId,
      cattleClass: 'dry-pregnant-cow',
      sex: 'cow',
      bodyWeight: { value: '1250', unit: 'lb' },
      targetDailyGain: undefined,
      bredOn: '2026-07-01',
    });
    const { id } = (
      await operation.as.nutritionist.post<WithId>(
        operation.at('/rations'),
        {
          herdId,
          name: 'Cow ration',
          basis: 'as-fed',
          baleRounding,
          amount: { weight: { value: '30', unit: 'lb' }, basis: 'as-fed' },
          layers: ['coarse', 'rich', 'mixed'].slice(0, shares.length).map((role, index) => ({
            role,
            parts: [{ hayLotId: lots[index], sharePercent: shares[index] }],
          })),
        },
        { expect: 201 },
      )
    ).body;
    await operation.as.nutritionist.post(operation.at(`/rations/${id}/proposal`), {}, { expect: 200 });
    await operation.as.manager.post(operation.at(`/rations/${id}/acceptance`), {}, { expect: 200 });
    await operation.as.manager.post(operation.at(`/rations/${id}/use`), { from: '2027-01-11' }, { expect: 200 });
    return { herdId, placeId };
  }
  const dayOf = (index: number): string => `2027-01-${String(11 + index).padStart(2, '0')}`;
  const place = async (placeId: string, on: string): Promise<FeedSheetAnswer> =>
    (
      await operation.as.hand.get<FeedSheetAnswer & Record<string, unknown>>(
        operation.at(`/places/${placeId}/feed-sheet`),
        { query: { on }, expect: 200 },
      )
    ).body;
  const sheet = async (placeId: string, on: string): Promise<Herd> => {
    const [one] = (await place(placeId, on)).herds;
    if (one === undefined) throw new Error('The herd has a sheet');
    return one;
  };
  const confirm = (herdId: string, fedOn: string, more: object = {}, expected = 201) =>
    operation.as.hand.post<WithId & { feedingId: string }>(
      operation.at('/feed-sheet-confirmations'),
      { herdId, fedOn, ...more },
      { expect: expected },
    );
  const laid = ({ layers }: Herd): number[] => layers.map((layer) => Number(layer.lay.value));
  const carriedIn = ({ layers }: Herd): number[] =>
    layers.flatMap((layer) => layer.lines.map((line) => Number(line.bales?.carriedIn.value)));
  const carriedOut = ({ layers }: Herd): number[] =>
    layers.flatMap((layer) => layer.lines.map((line) => Number(line.bales?.carriedOut.value)));

  it('lays whole bales so that no day starves: ten days, each confirmed', async () => {
    const { herdId, placeId } = await cowsAt('nearest-whole');
    const days: number[][] = [];
    const ahead: number[][] = [];
    for (let index = 0; index < 10; index += 1) {
      const one = await sheet(placeId, dayOf(index));
      days.push(laid(one));
      ahead.push(carriedOut(one));
      expect(one.plan).toMatchObject({
        need: { value: '3600', unit: 'lb' },
        band: { fromPercent: 85, toPercent: 115 },
        widerThanAsked: false,
        daysOfCoarseHayAlone: 0,
      });
      expect(one.plan?.days).toHaveLength(10);
      for (const told of [...one.leftovers.map((each) => each.carriedOut), ...one.behind.map((each) => each.behindBy)])
        expect(Number(told.value)).toBeGreaterThan(0);
      expect(one.carried).toMatchObject({ since: index === 0 ? null : dayOf(index - 1), countedAsPlanned: [] });
      const page = await operation.as.hand.get(operation.at(`/places/${placeId}/feed-sheet`), {
        query: { on: dayOf(index), format: 'html' },
        expect: 200,
      });
      expect(page.text).not.toMatch(/[-\u2212]\d[\d,]* lb/);
      expect(page.text).toContain('every day 85 to 115 % of the 3,600 lb needed');
      await confirm(herdId, dayOf(index));
    }
    for (const [coarse = 0, rich = 0, mixed = 0] of days) {
      // 3,600 lb are needed: three bales, neither two nor four, and never the coarse hay alone.
      expect(coarse + rich + mixed).toBe(3600);
      expect(rich + mixed).toBeGreaterThan(0);
    }
    for (const day of ahead) for (const pounds of day) expect(Math.abs(pounds)).toBeLessThan(1200);
    // Over ten days 15 bales of the coarse hay and 7.5 of the others are needed.
    expect(days.reduce((sum, [coarse = 0]) => sum + coarse, 0)).toBe(15 * 1200);
  });

  it('says what comes, and the sheets of these days say the same while nobody confirms', async () => {
    const { placeId } = await cowsAt('nearest-whole');
    const plan = (await sheet(placeId, dayOf(0))).plan;
    for (let index = 1; index < 10; index += 1) {
      const one = await sheet(placeId, dayOf(index));
      expect(one.layers.map((layer) => layer.lines[0]?.bales?.open)).toEqual(
        plan?.days[index]?.lots.map(({ bales }) => bales),
      );
      expect(one.carried).toMatchObject({
        since: null,
        countedAsPlanned: Array.from({ length: index }, (_one, day) => dayOf(day)),
      });
    }
    const words = printedWords(await feedSheetPdf(await place(placeId, dayOf(2))));
    expect(words).toContain('Not confirmed: 2027-01-11, 2027-01-12. What was planned is counted.');
  });

  it('finds the narrowest band for a few cattle, and says so', async () => {
    // Ten cows eat 300 lb: a bale of 1,200 lb lasts them four days.
    const { placeId } = await cowsAt('nearest-whole', { head: 10 });
    const days = await Promise.all(Array.from({ length: 9 }, (_one, index) => sheet(placeId, dayOf(index))));
    expect(days.map((one) => laid(one).reduce((sum, pounds) => sum + pounds, 0))).toEqual([
      1200, 0, 0, 0, 1200, 0, 0, 0, 1200,
    ]);
    expect(days[1]?.plan).toMatchObject({ widerThanAsked: true, band: { fromPercent: 0, toPercent: 400 } });
    const page = await operation.as.hand.get(operation.at(`/places/${placeId}/feed-sheet`), {
      query: { on: dayOf(1), format: 'html' },
      expect: 200,
    });
    expect(page.text).toContain('Lay nothing today: what was laid before lasts.');
    expect(page.text).toContain('Whole bales of these lots cannot keep closer to the need than that.');
  });

  it('carries what was planned where nobody confirmed', async () => {
    const { herdId, placeId } = await cowsAt('open-enough');
    const first = await sheet(placeId, dayOf(0));
    // 1,800 lb of 1,200-lb bales: two, and 600 lb over; 900 lb: one, and 300 lb over.
    expect(carriedOut(first)).toEqual([600, 300, 300]);
    expect(carriedIn(await sheet(placeId, dayOf(1)))).toEqual([600, 300, 300]);
    // The second day takes 600 over and opens one; 300 over and opens one, with 600 over.
    expect(carriedIn(await sheet(placeId, dayOf(2)))).toEqual([0, 600, 600]);
    await confirm(herdId, dayOf(1));
    const third = await sheet(placeId, dayOf(2));
    expect(carriedIn(third)).toEqual([0, 600, 600]);
    expect(third.carried).toMatchObject({ since: dayOf(1), countedAsPlanned: [] });
    const fourth = await sheet(placeId, dayOf(3));
    expect(fourth.carried).toMatchObject({ since: dayOf(1), countedAsPlanned: [dayOf(2)] });
    // A day to come has its sheet too, by what is planned until then.
    expect((await sheet(placeId, '2027-03-15')).layers).toHaveLength(3);
  });

  it('says that the herd was fed, by whom, and refuses to feed it again unseen', async () => {
    const { herdId, placeId } = await cowsAt('open-enough');
    await feeding(operation, herdId, [[lots[0], '2000']], { fedOn: dayOf(0), fedAt: '2027-01-11T13:40:00.000Z' });
    const fed = await sheet(placeId, dayOf(0));
    expect(fed).toMatchObject({
      confirmation: null,
      fedThatDay: [
        {
          fedAtRanch: '06:40',
          headFed: 120,
          total: { value: '2000', unit: 'lb' },
          fromTheSheet: false,
          enteredBy: expect.stringMatching(/manager/i) as string,
        },
      ],
    });
    const words = printedWords(await feedSheetPdf(await place(placeId, dayOf(0))));
    expect(words).toContain('ALREADY FED');
    expect(words).toMatch(/2,000 lb for 120 head at 06:40 without the sheet,\s+entered by manager/i);
    const refused = await confirm(herdId, dayOf(0), {}, 409);
    expect(refused.body).toMatchObject({
      type: '/problems/conflict',
      errors: [{ pointer: '#/additional', code: 'fed-already', given: false }],
    });
    expect(refused.body).toHaveProperty('detail', expect.stringMatching(/2000 lb at 06:40, entered by manager/i));
    const second = await confirm(herdId, dayOf(0), { additional: true });
    expect(second.body).toMatchObject({ additional: true });
    expect((await sheet(placeId, dayOf(0))).fedThatDay.map((one) => one.fromTheSheet)).toEqual([false, true]);
    await confirm(herdId, dayOf(0), {}, 409);
    // What was fed without a sheet opened two bales and left 400; the sheet's 1,800 lb opened two, and left 1,000.
    expect(carriedIn(await sheet(placeId, dayOf(1)))[0]).toBe(1000);
  });

  it('counts what was fed without a sheet, and does not say that the day was planned', async () => {
    const { herdId, placeId } = await cowsAt('nearest-whole');
    await feeding(
      operation,
      herdId,
      [
        [lots[0], '1200'],
        [lots[1], '1200'],
        [lots[2], '1200'],
      ],
      { fedOn: dayOf(0) },
    );
    const next = await sheet(placeId, dayOf(1));
    expect(carriedIn(next)).toEqual([-600, 300, 300]);
    expect(next.carried).toMatchObject({ since: null, countedAsPlanned: [], countedAsFed: [dayOf(0)] });
  });

  it('leaves no trace of a feeding that was reversed, also where later days were confirmed', async () => {
    const { herdId, placeId } = await cowsAt('nearest-whole');
    const untouched = await cowsAt('nearest-whole');
    const twice = [{ step: 1, hayLotId: lots[0], bales: '4' }];
    const wrong = await confirm(herdId, dayOf(0), { differences: twice });
    await confirm(herdId, dayOf(1));
    expect((await sheet(placeId, dayOf(2))).carried?.since).toBe(dayOf(1));
    const before = carriedIn(await sheet(placeId, dayOf(2)));
    await operation.as.hand.post(
      operation.at(`/feedings/${wrong.body.feedingId}/reversal`),
      { reason: 'Another herd was fed' },
      { expect: 201 },
    );
    // As if the first day had only been planned: three bales of the ration, none of the wrong four.
    const first = laid(await sheet(untouched.placeId, dayOf(0)));
    const fedOnTheSecond = (
      await operation.as.hand.get<{ items: { fedOn: string; lots: { fed: { value: string } }[] }[] }>(
        operation.at('/feed-sheet-confirmations'),
        { query: { herdId }, expect: 200 },
      )
    ).body.items.find((one) => one.fedOn === dayOf(1))?.lots;
    // Two days need 3,600 lb of the coarse hay and 1,800 lb of each of the others.
    const expected = first.map(
      (pounds, index) => pounds + Number(fedOnTheSecond?.[index]?.fed.value) - (index === 0 ? 3600 : 1800),
    );
    expect(carriedIn(await sheet(placeId, dayOf(2)))).toEqual(expected);
    expect(expected).not.toEqual(before);
    expect((await sheet(placeId, dayOf(2))).carried).toMatchObject({ since: null, countedAsPlanned: [dayOf(0)] });
  });

  it('does not starve the herd for what it was fed twice', async () => {
    const { herdId, placeId } = await cowsAt('nearest-whole');
    await confirm(herdId, dayOf(0), {
      differences: lots.map((hayLotId, index) => ({ step: index + 1, hayLotId, bales: '3' })),
    });
    const next = await sheet(placeId, dayOf(1));
    expect(laid(next).reduce((sum, pounds) => sum + pounds, 0)).toBe(3600);
    expect(Number(next.carried?.notTakenOff?.value)).toBeGreaterThan(0);
  });

  it('lets two hands feed at the same moment only where it is seen', async () => {
    const { herdId, placeId } = await cowsAt('open-enough');
    const both = await Promise.all(
      [operation.as.hand, operation.as.manager].map((who) =>
        who.post(operation.at('/feed-sheet-confirmations'), { herdId, fedOn: dayOf(0) }),
      ),
    );
    expect(both.map((one) => one.status).sort()).toEqual([201, 409]);
    for (let day = 1; day < 6; day += 1) {
      const [confirmed, entered] = await Promise.all([
        operation.as.hand.post(operation.at('/feed-sheet-confirmations'), { herdId, fedOn: dayOf(day) }),
        operation.as.manager.post(
          operation.at('/feedings'),
          feedingBody(herdId, [[lots[day % 3] ?? '', '700']], { fedOn: dayOf(day) }),
        ),
      ]);
      // The one who comes second is refused, or enters a feeding that the sheet shows beside the confirmed one.
      expect(entered.status).toBe(201);
      const told = (await sheet(placeId, dayOf(day))).fedThatDay;
      if (confirmed.status === 201) expect(told.map((one) => one.fromTheSheet).sort()).toEqual([false, true]);
      else {
        expect(confirmed.status).toBe(409);
        expect(told.map((one) => one.fromTheSheet)).toEqual([false]);
      }
    }
  });

  it('is refused by the database too, where another feeding came between', async () => {
    const { herdId } = await cowsAt('open-enough');
    const first = (await confirm(herdId, dayOf(0))).body;
    const again = (sql: string): Promise<unknown> => world.ownerPool.query(sql, [first.id]);
    const copy = (day: string, additional: string): string =>
      `INSERT INTO feed_sheet_confirmation (operation_id, id, herd_id, ration_id, feeding_id, place_id, happened_on,
         sheet, additional, recorded_by)
       SELECT operation_id, gen_random_uuid(), herd_id, ration_id, gen_random_uuid(), place_id, ${day}, sheet,
         ${additional}, recorded_by FROM feed_sheet_confirmation WHERE id = $1`;
    await expect(again(copy('happened_on', 'false'))).rejects.toThrow('This sheet was confirmed before.');
    await feeding(operation, herdId, [[lots[0], '2000']], { fedOn: dayOf(1) });
    await expect(again(copy('happened_on + 1', 'false'))).rejects.toThrow('The herd was fed on that day already');
  });

  it('warns of what lies before the cattle today, not of the mean of the days', async () => {
    // 45 % alfalfa of three bales is two bales on some days: more than half of that day's hay is legume.
    const { placeId } = await cowsAt('nearest-whole', { shares: ['55', '45'] });
    const days = await Promise.all(Array.from({ length: 6 }, (_one, index) => sheet(placeId, dayOf(index))));
    for (const one of days) {
      const alfalfa = one.layers[1]?.dryMatterSharePercent ?? 0;
      expect(one.cautions.some(({ code }) => code === 'legume-bloat')).toBe(alfalfa > 50);
    }
    expect(days.some((one) => (one.layers[1]?.dryMatterSharePercent ?? 0) > 50)).toBe(true);
  });
});
