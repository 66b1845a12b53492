/*
 * Bales set out for several days are what the cattle have until the next ones: they are judged by the day. Everything
 * here is invented; the expected figures are pounds laid over head and days.
 */
import { type Operation, operationWith } from '../support/people.js';
import { cows, feeding, labTestBody, lot, purchaseBody, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Judged {
  layers: { perHead: { value: string } }[];
  lines: { nutrient: string; verdict: string }[];
  notes: { code: string; message: string }[];
}

describe('several days laid at once', () => {
  let world: World;
  let operation: Operation;
  let ranchId: string;
  let hay: string;

  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world);
    ranchId = await ranch(operation);
    ({ lotId: hay } = await lot(operation, ranchId, { tons: '400' }));
    await operation.as.manager.post(operation.at('/lab-tests'), labTestBody(hay), { expect: 201 });
  });
  afterAll(async () => {
    await world.close();
  });

  const fed = async (herdId: string, pounds: string, method: string, ...days: string[]): Promise<void> => {
    for (const fedOn of days) await feeding(operation, herdId, [[hay, pounds]], { fedOn, method });
  };
  const review = async (herdId: string, on: string): Promise<Judged> =>
    (
      await operation.as.manager.get<Judged>(operation.at(`/herds/${herdId}/ration-review`), {
        query: { on },
        expect: 200,
      })
    ).body;
  const perHead = ({ layers }: Judged): number => layers.reduce((sum, one) => sum + Number(one.perHead.value), 0);
  const energy = ({ lines }: Judged) => lines.find(({ nutrient }) => nutrient === 'netEnergyMaintenance')?.verdict;

  it('six bales of 1,200 lb for 50 cows every ten days are 14.4 lb a day, and starve them', async () => {
    const herdId = await cows(operation, ranchId, { name: 'Ring feeder cows', head: 50 });
    await fed(herdId, '7200', 'ring-feeder', '2026-11-26', '2026-12-06', '2026-12-16');
    // The last bales have lain there for one day, for six, for ten, and for fourteen, in which nothing else came.
    for (const [on, days] of [
      ['2026-12-16', 10],
      ['2026-12-21', 10],
      ['2026-12-25', 10],
      ['2026-12-29', 14],
    ] as const) {
      const judged = await review(herdId, on);
      expect(perHead(judged)).toBeCloseTo(7200 / 50 / days, 1);
      expect(energy(judged)).toBe('short');
      expect(judged.notes.find(({ code }) => code === 'laid-for-several-days')?.message).toContain(`over ${days} days`);
    }
    const whatIf = await operation.as.nutritionist.post<{ items: object[] }>(
      operation.at('/what-if'),
      { herdIds: [herdId], rations: [{ kind: 'present' }, { kind: 'in-use' }] },
      { query: { on: '2026-12-25' }, expect: 200 },
    );
    expect(JSON.stringify(whatIf.body)).toMatch(/"nutrient":"netEnergyMaintenance"[^}]*\}?[^}]*"verdict":"short"/);
    const portfolio = await operation.as.nutritionist.get<{ items: { herd: string; concerns: { code: string }[] }[] }>(
      '/v1/portfolio/herds',
      { query: { on: '2026-12-25' }, expect: 200 },
    );
    const concerns = portfolio.body.items.find(({ herd }) => herd === 'Ring feeder cows')?.concerns ?? [];
    expect(concerns.map(({ code }) => code)).toEqual(expect.arrayContaining(['dry-matter-short']));
    expect(concerns.map(({ code }) => code)).not.toContain('nutrient-excess');
  });

  it('feed given daily in a bunk stays what it was', async () => {
    const herdId = await cows(operation, ranchId, { name: 'Bunk cows', head: 50 });
    await fed(herdId, '1400', 'bunk', '2026-12-14', '2026-12-15', '2026-12-16');
    const judged = await review(herdId, '2026-12-20');
    expect(perHead(judged)).toBeCloseTo(28, 1);
    expect(judged.notes.map(({ code }) => code)).not.toContain('laid-for-several-days');
  });

  it('one bale of 1,200 lb a week for 10 cows is 17 lb a day and starves them, wherever it lies', async () => {
    for (const method of ['bunk', 'windrow-on-ground', 'ring-feeder']) {
      const herdId = await cows(operation, ranchId, { name: `Weekly ${method}`, head: 10 });
      await fed(herdId, '1200', method, '2026-11-25', '2026-12-02', '2026-12-09');
      const judged = await review(herdId, '2026-12-14');
      expect(perHead(judged)).toBeCloseTo(1200 / 10 / 7, 1);
      expect(energy(judged)).toBe('short');
    }
  });

  it('a sheet confirmed without a method is fed as the herd was last, or else as is usual at its place', async () => {
    const post = async (path: string, body: object, status = 201): Promise<string> =>
      (await operation.as.owner.post<WithId>(operation.at(path), body, { expect: status })).body.id;
    const confirmed = async (herdId: string, fedOn: string): Promise<string> => {
      const { body } = await operation.as.manager.post<{ feedingId: string }>(
        operation.at('/feed-sheet-confirmations'),
        { herdId, fedOn },
        { expect: 201 },
      );
      const told = await operation.as.manager.get<{ method: string }>(operation.at(`/feedings/${body.feedingId}`), {
        expect: 200,
      });
      return told.body.method;
    };
    const onHay = async (kind: string | null): Promise<string> => {
      const name = `Confirmed at ${kind ?? 'no place'}`;
      const placeId = kind === null ? undefined : await post('/places', { ranchId, name, kind });
      const herdId = await cows(operation, ranchId, { name, head: 50, placeId });
      const rationId = await post('/rations', {
        herdId,
        name,
        basis: 'as-fed',
        amount: { weight: { value: '28', unit: 'lb' }, basis: 'as-fed' },
        layers: [{ role: 'coarse', parts: [{ hayLotId: hay, sharePercent: '100' }] }],
      });
      for (const step of ['proposal', 'acceptance']) await post(`/rations/${rationId}/${step}`, {}, 200);
      await post(`/rations/${rationId}/use`, { from: '2026-12-01' }, 200);
      return herdId;
    };
    const pasture = await onHay('pasture');
    expect(await confirmed(pasture, '2026-12-02')).toBe('windrow-on-ground');
    expect(await confirmed(await onHay('bunk-line'), '2026-12-02')).toBe('bunk');
    expect(await confirmed(await onHay(null), '2026-12-02')).toBe('bunk');
    await fed(pasture, '1400', 'ring-feeder', '2026-12-04');
    const { lotId: cubes } = await lot(operation, ranchId, { name: 'Cubes', hayKind: 'range-cubes-20', tons: '2' });
    await feeding(operation, pasture, [[cubes, '100']], { fedOn: '2026-12-05', method: 'bunk' });
    // Cubes in a bunk do not tell how the hay goes out, nor does what came later.
    expect(await confirmed(pasture, '2026-12-06')).toBe('ring-feeder');
    expect(await confirmed(pasture, '2026-12-03')).toBe('windrow-on-ground');
  });

  it('the first bale of a ration in whole bales lasts as the ration has it, before a second shows it', async () => {
    const bought = await operation.as.manager.post<{ hayLotId: string }>(
      operation.at('/hay-purchases'),
      purchaseBody(ranchId, {
        lot: { name: 'Rounds of 1,200 lb', ranchId, hayKind: 'meadow', baleForm: 'round', storageMethod: 'tarp' },
        weight: { basis: 'weighed-bales', meanBaleWeight: { value: '1200', unit: 'lb' }, balesWeighed: 5 },
        baleCount: 40,
      }),
      { expect: 201 },
    );
    const herdId = await cows(operation, ranchId, { name: 'First bale', head: 10 });
    const { body: ration } = await operation.as.owner.post<WithId>(
      operation.at('/rations'),
      {
        herdId,
        name: 'Twenty pounds',
        basis: 'as-fed',
        baleRounding: 'nearest-whole',
        amount: { weight: { value: '20', unit: 'lb' }, basis: 'as-fed' },
        layers: [{ role: 'coarse', parts: [{ hayLotId: bought.body.hayLotId, sharePercent: '100' }] }],
      },
      { expect: 201 },
    );
    for (const [step, body] of [
      ['proposal', {}],
      ['acceptance', {}],
      ['use', { from: '2026-12-14' }],
    ] as const)
      await operation.as.owner.post(operation.at(`/rations/${ration.id}/${step}`), body, { expect: 200 });
    await operation.as.manager.post(
      operation.at('/feed-sheet-confirmations'),
      { herdId, fedOn: '2026-12-14' },
      { expect: 201 },
    );
    // 1,200 lb for 10 cows at 20 lb are six days.
    expect(perHead(await review(herdId, '2026-12-14'))).toBeCloseTo(20, 1);
    const drift = await operation.as.manager.get<{ differencePercent: number }>(
      operation.at(`/herds/${herdId}/ration-drift`),
      { query: { from: '2026-12-14', until: '2026-12-14' }, expect: 200 },
    );
    expect(drift.body.differencePercent).toBeCloseTo(0, 0);
  });

  it('cubes given daily beside the bales end nothing', async () => {
    const herdId = await cows(operation, ranchId, { name: 'Cubes and bales', head: 50 });
    await fed(herdId, '7200', 'ring-feeder', '2026-12-01', '2026-12-11');
    await fed(herdId, '100', 'bunk', '2026-12-11', '2026-12-12', '2026-12-13', '2026-12-14', '2026-12-15');
    await fed(herdId, '100', 'bunk', '2026-12-16', '2026-12-17', '2026-12-18');
    expect(perHead(await review(herdId, '2026-12-18'))).toBeCloseTo(14.4 + 2, 1);
  });
});
