/* Feed sheets: from the ration in use and today's head to a page, a PDF and a feeding. Everything here is invented. */
import { feedSheetPdf } from '../../src/pages/feed-sheets/feed-sheet.pdf.js';
import type { FeedSheetAnswer } from '../../src/desk/feed-sheets/feed-sheet.schema.js';
import { clientOf, type Operation, operationWith, ROLES } from '../support/people.js';
import { balance, herd, lot, ranch, type WithId } from '../support/things.js';
import { printedWords } from '../support/printed-words.js';
import { openWorld, type World } from '../support/world.js';

describe('feed sheets', () => {
  let world: World;
  let operation: Operation;
  let placeId: string;
  let herdId: string;
  let meadow: string;
  let alfalfa: string;
  const today = '2027-01-15';

  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world);
    const { manager } = operation.as;
    const ranchId = await ranch(operation);
    placeId = (
      await manager.post<WithId>(
        operation.at('/places'),
        { ranchId, name: 'Calf bunk', kind: 'bunk-line', bunkLength: { value: '60', unit: 'ft' } },
        { expect: 201 },
      )
    ).body.id;
    herdId = await herd(operation, ranchId, { head: 50, placeId });
    // 48 bales of 1,000 lb and 30 of 800 lb.
    meadow = (
      await lot(operation, ranchId, {
        name: 'Meadow <rounds>',
        weight: { basis: 'weighed-bales', meanBaleWeight: { value: '1000', unit: 'lb' }, balesWeighed: 5 },
        baleCount: 48,
      })
    ).lotId;
    alfalfa = (
      await lot(operation, ranchId, {
        name: 'Alfalfa squares',
        hayKind: 'alfalfa',
        weight: { basis: 'weighed-bales', meanBaleWeight: { value: '800', unit: 'lb' }, balesWeighed: 5 },
        baleCount: 30,
      })
    ).lotId;
  });
  afterAll(async () => {
    await world.close();
  });

  const inUse = async (more: Record<string, unknown> = {}, from = '2027-01-14'): Promise<string> => {
    const { id } = (
      await operation.as.nutritionist.post<WithId>(
        operation.at('/rations'),
        {
          herdId,
          name: 'Calf ration',
          basis: 'as-fed',
          amount: { weight: { value: '15', unit: 'lb' }, basis: 'as-fed' },
          layers: [
            { role: 'coarse', parts: [{ hayLotId: meadow, sharePercent: '60' }] },
            { role: 'rich', parts: [{ hayLotId: alfalfa, sharePercent: '40' }] },
          ],
          ...more,
        },
        { expect: 201 },
      )
    ).body;
    await operation.as.nutritionist.post(operation.at(`/rations/${id}/proposal`), {}, { expect: 200 });
    await operation.as.manager.post(operation.at(`/rations/${id}/acceptance`), {}, { expect: 200 });
    await operation.as.manager.post(operation.at(`/rations/${id}/use`), { from }, { expect: 200 });
    return id;
  };
  const sheet = async (
    on = today,
    who: keyof Operation['as'] = 'hand',
    query: Record<string, string> = {},
  ): Promise<FeedSheetAnswer> =>
    (
      await operation.as[who].get<FeedSheetAnswer & Record<string, unknown>>(
        operation.at(`/places/${placeId}/feed-sheet`),
        { query: { on, ...query }, expect: 200 },
      )
    ).body;

  it('says what to do where no ration is in use', async () => {
    const [one] = (await sheet()).herds;
    expect(one).toMatchObject({
      head: 50,
      ration: null,
      layers: [],
      nothingBecause: 'No ration is in use for this herd on 2027-01-15. Ask the manager.',
    });
  });

  it(
    "lays the ration in use for today's head: build order, pounds, bales, leftovers, water, cautions; the same " +
      'for every role, and no money',
    async () => {
      await inUse();
      const [one] = (await sheet()).herds;
      // 50 head at 15 lb: 450 lb of meadow and 300 lb of alfalfa. On the day before, which nobody confirmed, one bale
      // of 1,000 lb and one of 800 lb were to be opened: 550 and 500 lb are over from it, and 100 and 200 are left.
      expect(
        one?.layers.map((layer) => ({
          step: layer.step,
          role: layer.role,
          lines: layer.lines.map(({ hayLot, lay, bales }) => [
            hayLot,
            `${lay.value} ${lay.unit}`,
            bales?.open,
            bales?.carriedOut.value,
          ]),
        })),
      ).toEqual([
        { step: 1, role: 'coarse', lines: [['Meadow <rounds>', '450 lb', 0, '100']] },
        { step: 2, role: 'rich', lines: [['Alfalfa squares', '300 lb', 0, '200']] },
      ]);
      expect(one).toMatchObject({
        total: { value: '750', unit: 'lb' },
        likelyEatenFirst: [2, 1],
        shortLots: [],
        confirmation: null,
      });
      expect(one?.water?.value ?? 0).toBeGreaterThan(100);
      // 60 ft for 50 head is 14.4 in a head; Missouri asks 22 where all eat at once.
      expect(one?.cautions.find((caution) => caution.code === 'bunk-length-short')).toMatchObject({
        given: expect.closeTo(14.4, 3) as number,
        threshold: 22,
      });
      const seen = await Promise.all(ROLES.map((role) => sheet(today, role)));
      for (const other of seen) expect({ ...other, madeAt: '' }).toEqual({ ...seen[0], madeAt: '' });
      expect(JSON.stringify(seen[0])).not.toMatch(/USD|amount|price/i);
      const metric = await sheet(today, 'hand', { units: 'metric' });
      expect(metric.herds[0]?.layers[0]?.lay).toEqual({ value: '204', unit: 'kg' });
      await operation.as.manager.post(
        operation.at(`/herds/${herdId}/head-changes`),
        { kind: 'death', head: 2, happenedOn: today },
        { expect: 201 },
      );
      expect((await sheet()).herds[0]?.layers[0]?.lay.value).toBe('432');
      expect((await sheet('2027-01-14')).herds[0]?.layers[0]?.lay.value).toBe('450');
    },
  );

  it('is a page to print and a PDF, chosen by Accept or ?format', async () => {
    const path = operation.at(`/places/${placeId}/feed-sheet`);
    const page = await operation.as.hand.get(path, {
      headers: { Accept: 'text/html,application/xhtml+xml,*/*;q=0.8' },
      expect: 200,
    });
    expect(page.headers['content-type']).toBe('text/html; charset=utf-8');
    expect(page.headers['vary']).toMatch(/Accept/);
    expect(page.text).toContain('Meadow &lt;rounds&gt;');
    expect(page.text).not.toContain('<rounds>');
    expect(page.text).toContain('432 lb');
    expect(page.text).toMatch(/@media print/);
    expect(page.text).toContain('from the open bale (550');
    const before = await operation.as.hand.get(path, { query: { on: '2027-01-14', format: 'html' }, expect: 200 });
    expect(before.text).toContain('open 1 bale');
    const pdf = await operation.as.hand.get(path, { query: { format: 'pdf' }, expect: 200 });
    expect(pdf.headers['content-type']).toBe('application/pdf');
    expect(pdf.text.startsWith('%PDF-')).toBe(true);
    await operation.as.hand.get(path, { query: { format: 'csv' }, expect: 400 });
    await operation.as.hand.get(path, { headers: { Accept: 'image/png' }, expect: 406 });
    const lettered = { place: 'Kälberstand Žďár 牛', ranch: 'Ферма Łąka, Κτήμα' };
    const words = printedWords(await feedSheetPdf({ ...(await sheet()), ...lettered }));
    // The embedded fonts have the letters of Europe; what they lack is seen to be missing.
    expect(words).toContain('Kälberstand Žďár ?');
    expect(words).toContain('Ферма Łąka, Κτήμα');
    expect(words).toContain('432 lb');
    expect(words).toMatch(/from the open bale\s+\(550/);
    expect(words).toContain('Page 1 of');
  });

  it('compares the water with the need, and warns of ice', async () => {
    await operation.as.hand.post(
      operation.at('/water-checks'),
      {
        placeId,
        source: 'Bunk trough',
        checkedOn: '2027-01-14',
        state: 'open',
        flow: { value: '0.05', unit: 'gal/min' },
      },
      { expect: 201 },
    );
    const short = await sheet();
    // 0.05 gallons a minute are 72 a day.
    expect(short.water.sources).toEqual([
      { source: 'Bunk trough', state: 'open', checkedOn: '2027-01-14', givesADay: { value: 72, unit: 'gal' } },
    ]);
    expect(short.water.cautions.map((one) => one.code)).toEqual(['water-short']);
    await operation.as.hand.post(
      operation.at('/water-checks'),
      { placeId, source: 'Bunk trough', checkedOn: today, state: 'frozen' },
      { expect: 201 },
    );
    expect((await sheet()).water.cautions.map((one) => [one.code, one.severity])).toEqual([['water-frozen', 'danger']]);
    await operation.as.accountant.post(
      operation.at('/water-checks'),
      { placeId, source: 'Bunk trough', checkedOn: today, state: 'open' },
      { expect: 403 },
    );
  });

  it(
    'is confirmed as fed in one call, with differences; the ' + 'bale opened today goes on tomorrow; once only',
    async () => {
      const before = {
        meadow: Number(await balance(operation, meadow)),
        alfalfa: Number(await balance(operation, alfalfa)),
      };
      const confirmed = await operation.as.hand.post<
        WithId & {
          feedingId: string;
          asOnTheSheet: boolean;
          lots: { hayLot: string; fed: { value: string }; balesOpened: number; carriedOut: { value: string } }[];
        }
      >(
        operation.at('/feed-sheet-confirmations'),
        {
          herdId,
          fedOn: today,
          weather: 'frost',
          differences: [{ step: 2, hayLotId: alfalfa, weight: { value: '250', unit: 'lb' } }],
        },
        { expect: 201 },
      );
      expect(confirmed.body.asOnTheSheet).toBe(false);
      expect(
        Object.fromEntries(
          confirmed.body.lots.map((one) => [
            one.hayLot,
            [Number(one.fed.value), one.balesOpened, Math.round(Number(one.carriedOut.value))],
          ]),
        ),
      ).toEqual({ 'Meadow <rounds>': [432, 0, 118], 'Alfalfa squares': [250, 0, 250] });
      expect(Number(await balance(operation, meadow))).toBeCloseTo(before.meadow - 0.216, 6);
      expect(Number(await balance(operation, alfalfa))).toBeCloseTo(before.alfalfa - 0.125, 6);
      const feeding = await operation.as.hand.get<{
        layers: { role: string; weight: { value: string } }[];
        headFed: number;
        weather: string;
        cautions: { code: string }[];
      }>(operation.at(`/feedings/${confirmed.body.feedingId}`), { expect: 200 });
      expect(feeding.body).toMatchObject({
        headFed: 48,
        weather: 'frost',
        layers: [
          { role: 'coarse', weight: { value: '432' } },
          { role: 'rich', weight: { value: '250' } },
        ],
      });
      expect(feeding.body.cautions.map((one) => one.code)).toContain('laid-while-wet');
      const twice = await operation.as.hand.post(
        operation.at('/feed-sheet-confirmations'),
        { herdId, fedOn: today },
        { expect: 409 },
      );
      expect(twice.body['detail']).toMatch(/confirmed before/);
      expect((await sheet()).herds[0]?.confirmation).toEqual({
        id: confirmed.body.id,
        feedingId: confirmed.body.feedingId,
      });
      const tomorrow = (await sheet('2027-01-16')).herds[0];
      expect(tomorrow?.layers.map((layer) => layer.lines[0]?.bales?.open)).toEqual([1, 1]);
      // 118 + 1,000 - 432 and 250 + 800 - 288.
      expect(tomorrow?.leftovers.map((one) => one.carriedOut.value)).toEqual(['686', '762']);
      await operation.as.nutritionist.post(
        operation.at('/feed-sheet-confirmations'),
        { herdId, fedOn: '2027-01-16' },
        { expect: 403 },
      );

      const drift = await operation.as.nutritionist.get<{
        daysFed: number;
        daysNotFed: number;
        byRole: { role: string; differencePoints: number }[];
        differencePercent: number;
        order: { feedingsOutOfOrder: number };
      }>(operation.at(`/herds/${herdId}/ration-drift`), { query: { from: '2027-01-14', until: today }, expect: 200 });
      expect(drift.body).toMatchObject({ daysFed: 1, daysNotFed: 1, order: { feedingsOutOfOrder: 0 } });
      expect(drift.body.byRole.find((one) => one.role === 'rich')?.differencePoints ?? 0).toBeLessThan(0);
      expect(drift.body.differencePercent).toBeLessThan(0);

      await operation.as.hand.post(
        operation.at(`/feedings/${confirmed.body.feedingId}/reversal`),
        { reason: 'Wrong herd' },
        { expect: 201 },
      );
      expect((await sheet()).herds[0]?.confirmation).toBeNull();
      expect((await sheet('2027-01-16')).herds[0]?.layers[0]?.lines[0]?.bales?.open).toBe(1);
      const again = await operation.as.hand.post<WithId & { asOnTheSheet: boolean }>(
        operation.at('/feed-sheet-confirmations'),
        { herdId, fedOn: today },
        { expect: 201 },
      );
      expect(again.body.asOnTheSheet).toBe(true);
      const kept = await operation.as.manager.get<{ items: { id: string; reversal: object | null }[] }>(
        operation.at('/feed-sheet-confirmations'),
        { query: { herdId }, expect: 200 },
      );
      expect(kept.body.items.map((one) => one.reversal === null)).toEqual([true, false]);
      await operation.as.hand.get(operation.at(`/feed-sheet-confirmations/${again.body.id}`), { expect: 200 });
    },
  );

  /** Some days on, at the ranch: nothing is fed before its day. They sign in anew. */
  async function laterOn(day: string, work: () => Promise<void>): Promise<void> {
    const before = { moment: world.clock.now().toISOString(), as: { ...operation.as } };
    world.clock.set(`${day}T15:00:00.000Z`);
    try {
      for (const who of ['hand', 'manager', 'owner'] as const)
        operation.as[who] = await clientOf(world, operation.people[who]);
      await work();
    } finally {
      world.clock.set(before.moment);
      Object.assign(operation.as, before.as);
    }
  }

  it('refuses what cannot be: a step that is not there, nothing at all, more than the lot holds', async () => {
    await laterOn('2027-01-17', refusals);
  });
  const refusals = async (): Promise<void> => {
    const at = operation.at('/feed-sheet-confirmations');
    const step = await operation.as.hand.post(
      at,
      { herdId, fedOn: '2027-01-17', differences: [{ step: 3, hayLotId: meadow, bales: '1' }] },
      { expect: 422 },
    );
    expect(step.body).toMatchObject({ errors: [{ pointer: '#/differences/0/step' }] });
    const nothing = [meadow, alfalfa].map((hayLotId, index) => ({
      step: index + 1,
      hayLotId,
      weight: { value: 0, unit: 'lb' },
    }));
    await operation.as.hand.post(at, { herdId, fedOn: '2027-01-17', differences: nothing }, { expect: 422 });
    const much = await operation.as.hand.post(
      at,
      { herdId, fedOn: '2027-01-17', differences: [{ step: 1, hayLotId: meadow, bales: '90' }] },
      { expect: 409 },
    );
    expect(much.body).toMatchObject({ type: '/problems/lot-short', errors: [{ pointer: '#/differences' }] });
    await operation.as.hand.post(at, { herdId, fedOn: '2026-12-01' }, { expect: 422 });
  };

  it('lets two hands confirm one sheet only once, however close together', async () => {
    await laterOn('2027-01-18', async () => {
      const answers = await Promise.all(
        ['hand', 'manager', 'owner'].map((who) =>
          operation.as[who as 'hand'].post(operation.at('/feed-sheet-confirmations'), { herdId, fedOn: '2027-01-18' }),
        ),
      );
      expect(answers.map((one) => one.status).sort()).toEqual([201, 409, 409]);
    });
  });

  it('counts whole bales where the ration says so, and carries what was too much or too little', async () => {
    await inUse(
      {
        name: 'By whole bales',
        baleRounding: 'nearest-whole',
        amount: { weight: { value: '28', unit: 'lb' }, basis: 'as-fed' },
      },
      '2027-02-01',
    );
    const line = async (on: string) => (await sheet(on)).herds[0]?.layers[0]?.lines[0];
    // The hay in the bale that was opened under the ration before is no bale ahead of the need.
    // 48 head at 16.8 lb of meadow are 806 lb: one bale, 194 lb ahead; the day after, 806 - 194 = 612 lb: one bale.
    expect(await line('2027-02-01')).toMatchObject({
      lay: { value: '1000', unit: 'lb' },
      bales: { open: 1, carriedOut: { value: '194' } },
    });
    await laterOn('2027-02-01', async () => {
      await operation.as.hand.post(
        operation.at('/feed-sheet-confirmations'),
        { herdId, fedOn: '2027-02-01' },
        { expect: 201 },
      );
    });
    expect(await line('2027-02-02')).toMatchObject({
      bales: { open: 1, carriedIn: { value: '194' }, carriedOut: { value: '387' } },
    });
  });

  describe('of a place where two herds stand', () => {
    let yard: Operation;
    let place: string;
    let herds: [string, string];
    let shared: string;
    const read = async (query: Record<string, string> = {}): Promise<FeedSheetAnswer> =>
      (
        await yard.as.hand.get<FeedSheetAnswer & Record<string, unknown>>(yard.at(`/places/${place}/feed-sheet`), {
          query: { on: today, ...query },
          expect: 200,
        })
      ).body;
    const confirm = (herdOf: string, on = today) =>
      yard.as.hand.post<WithId & { lots: { balesOpened: number; carriedOut: { value: string } }[] }>(
        yard.at('/feed-sheet-confirmations'),
        { herdId: herdOf, fedOn: on },
        { expect: 201 },
      );

    beforeAll(async () => {
      yard = await operationWith(world);
      const ranchId = await ranch(yard);
      place = (
        await yard.as.manager.post<WithId>(
          yard.at('/places'),
          { ranchId, name: 'Long bunk', kind: 'bunk-line', bunkLength: { value: '75', unit: 'ft' } },
          { expect: 201 },
        )
      ).body.id;
      // The cows were bred three years ago: nobody knows their stage today.
      herds = [
        await herd(yard, ranchId, { name: 'A calves', head: 30, placeId: place }),
        await herd(yard, ranchId, {
          name: 'B cows',
          head: 20,
          placeId: place,
          cattleClass: 'dry-pregnant-cow',
          sex: 'cow',
          bodyWeight: { value: '1250', unit: 'lb' },
          targetDailyGain: undefined,
          bredOn: '2024-06-01',
        }),
      ];
      // Three bales of 500 lb, in letters of more than one alphabet.
      shared = (
        await lot(yard, ranchId, {
          name: 'Łąka Луг Ñandú',
          weight: { basis: 'weighed-bales', meanBaleWeight: { value: '500', unit: 'lb' }, balesWeighed: 3 },
          baleCount: 3,
        })
      ).lotId;
      for (const [index, herdOf] of herds.entries()) {
        const { id } = (
          await yard.as.nutritionist.post<WithId>(
            yard.at('/rations'),
            {
              herdId: herdOf,
              name: `Ration ${index}`,
              basis: 'as-fed',
              amount: { weight: { value: index === 0 ? '10' : '30', unit: 'lb' }, basis: 'as-fed' },
              layers: [{ role: 'mixed', parts: [{ hayLotId: shared, sharePercent: '100' }] }],
            },
            { expect: 201 },
          )
        ).body;
        await yard.as.nutritionist.post(yard.at(`/rations/${id}/proposal`), {}, { expect: 200 });
        await yard.as.manager.post(yard.at(`/rations/${id}/acceptance`), {}, { expect: 200 });
        await yard.as.manager.post(yard.at(`/rations/${id}/use`), { from: today }, { expect: 200 });
      }
    });

    it('says what to bring for both, and that an open bale may be shared', async () => {
      const { herds: told, toBring } = await read();
      // 30 x 10 = 300 lb: one bale, 200 over. 20 x 30 = 600 lb: two bales, 400 over. Together 900 lb: two bales of 500
      // would do.
      expect(
        told.map((one) => [
          one.herd,
          one.layers[0]?.lines[0]?.lay.value,
          one.layers[0]?.lines[0]?.bales?.open,
          one.leftovers[0]?.carriedOut.value,
        ]),
      ).toEqual([
        ['A calves', '300', 1, '200'],
        ['B cows', '600', 2, '400'],
      ]);
      expect(toBring).toMatchObject([
        { hayLot: 'Łąka Луг Ñandú', lay: { value: '900', unit: 'lb' }, open: 3, openIfShared: 2 },
      ]);
      const page = await yard.as.hand.get(yard.at(`/places/${place}/feed-sheet`), {
        query: { on: today, format: 'html' },
        expect: 200,
      });
      expect(page.text).toContain('<b>900 lb</b>, open 3 bales; 2 will do if the herds share an open bale');
      // What is loaded first is told first.
      expect(page.text.indexOf('To bring for all herds here')).toBeLessThan(page.text.indexOf('A calves'));
      const words = printedWords(await feedSheetPdf(await read()));
      expect(words).toContain('Łąka Луг Ñandú');
      expect(words).toContain('900 lb, open 3 bales; 2 will do');
    });

    it('shares the bunk among all that stand at it', async () => {
      // 75 ft for 30 calves and 20 cows are 18 in a head; Missouri asks 22 for calves where all eat at once. The calves
      // alone would have 30.
      expect((await read()).herds[0]?.cautions.find((one) => one.code === 'bunk-length-short')).toMatchObject({
        given: expect.closeTo(18, 3) as number,
        threshold: 22,
      });
    });

    it('does not promise one lot twice: what the first herd takes, the second does not find', async () => {
      // 1,500 lb in the lot; two days' sheets of 900 lb would take 1,800. Today both find enough.
      expect((await read()).herds.map((one) => one.shortLots)).toEqual([[], []]);
      const first = await confirm(herds[1]);
      expect(first.body.lots[0]).toMatchObject({ balesOpened: 2 });
      // 900 lb are left. The calves' sheet of today and the cows' of tomorrow together fit exactly; 30 calves more a
      // head do not.
      await yard.as.manager.post(
        yard.at(`/herds/${herds[0]}/head-changes`),
        { kind: 'in', head: 10, happenedOn: '2027-01-16' },
        { expect: 201 },
      );
      const tomorrow = await read({ on: '2027-01-16' });
      // 40 x 10 = 400 for the calves, 600 for the cows, of 900.
      expect(tomorrow.herds.map((one) => one.shortLots.map((lotOf) => lotOf.shortBy.value))).toEqual([[], ['100']]);
      // 500 lb are left for the cows: half a bale, which is open. There is no whole one to open any more.
      expect(tomorrow.herds[1]?.layers[0]?.lines[0]?.bales).toMatchObject({ carriedIn: { value: '500' }, open: 0 });
      // What is over stays with the herd it was opened for.
      // Of the calves' own bale, planned for today and not confirmed, 200 lb are over.
      expect(tomorrow.herds[0]?.layers[0]?.lines[0]?.bales).toMatchObject({ carriedIn: { value: '200' } });
    });

    it('counts only what is not fed yet among what to bring', async () => {
      expect((await read()).toBring).toEqual([]);
      expect((await read({ on: '2027-01-16' })).toBring).toMatchObject([
        // 500 and 200 lb are over from today: of 1,000 lb 300 are lacking, and the lot has one bale that is not open.
        { lay: { value: '1000' }, open: 1, openIfShared: 1 },
      ]);
    });

    it('says whose need is not known instead of naught, and why', async () => {
      const told = await read();
      expect(told.water.needUnknownFor).toEqual(['B cows']);
      expect(told.water.need?.value ?? 0).toBeGreaterThan(50);
      expect(told.herds[1]?.notJudgedBecause.join()).toMatch(/breeding date within the last 300 days/);
      expect(told.herds[0]?.notJudgedBecause).toEqual([]);
      expect(told.madeAtRanch).toBe('2027-01-15 08:00');
      const page = await yard.as.hand.get(yard.at(`/places/${place}/feed-sheet`), {
        query: { on: today, format: 'html' },
        expect: 200,
      });
      expect(page.text).toContain('The other herds here drink about');
      expect(page.text).toContain('Not known for B cows.');
      expect(page.text).toContain('NOT JUDGED');
    });

    it('tells water in the units of the reader', async () => {
      await yard.as.hand.post(
        yard.at('/water-checks'),
        {
          placeId: place,
          source: 'Creek tank',
          checkedOn: today,
          state: 'open',
          flow: { value: '0.01', unit: 'gal/min' },
        },
        { expect: 201 },
      );
      const message = async (units: string): Promise<string> =>
        (await read({ units })).water.cautions.find((one) => one.code === 'water-short')?.message ?? '';
      expect(await message('us')).toMatch(/^Creek tank gives 14 gal of \d+ gal needed a day\.$/);
      // 14.4 US gallons are 54.5 liters.
      expect(await message('metric')).toMatch(/^Creek tank gives 5[45] L of \d+ L needed a day\.$/);
    });
  });

  it('lists the herds by where they stand on the day of the sheet, not where they were last told to', async () => {
    const yard = await operationWith(world, { name: 'Two bunks' });
    const { manager, hand } = yard.as;
    const ranchId = await ranch(yard);
    const bunk = async (name: string): Promise<string> =>
      (await manager.post<WithId>(yard.at('/places'), { ranchId, name, kind: 'bunk-line' }, { expect: 201 })).body.id;
    const [north, south] = [await bunk('North bunk'), await bunk('South bunk')];
    const moved = await herd(yard, ranchId, { name: 'Heifers', head: 30, placeId: north });
    // Entered at the north bunk on the 15th; on the 12th it came to the south bunk.
    await manager.post(
      yard.at(`/herds/${moved}/events`),
      { kind: 'place', happenedOn: '2027-01-12', placeId: south },
      { expect: 201 },
    );
    const standing = async (placeId: string, on: string): Promise<string[]> =>
      (
        await hand.get<FeedSheetAnswer>(yard.at(`/places/${placeId}/feed-sheet`), { query: { on }, expect: 200 })
      ).body.herds.map((one) => one.herd);
    expect([await standing(north, '2027-01-14'), await standing(south, '2027-01-14')]).toEqual([[], ['Heifers']]);
    expect([await standing(north, '2027-01-15'), await standing(south, '2027-01-15')]).toEqual([['Heifers'], []]);
  });
});
