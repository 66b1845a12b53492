/*
 * Usual weather where too few days of the month are on record: by one rule at every address the record of the day
 * counts, else the mean of the last recorded week, which a note names; where nothing is on record the need is that of
 * mild weather, with a caution of what a usual cold would add. Invented.
 */
import { addDays } from '../../src/core/time/calendar-day.js';
import { type Operation, operationWith } from '../support/people.js';
import { herd, labTestBody, lot, ranch, type WithId } from '../support/things.js';
import fc, { examples } from '../support/properties.js';
import { openWorld, type World } from '../support/world.js';

interface Judged {
  cautions: { code: string; severity: string; given: number; message: string }[];
  weather: { from: string; temperature: { value: number } } | null;
  lines: { nutrient: string; need: number | null }[];
  notes: { code: string; message: string }[];
}

describe('usual weather that is not known', () => {
  let world: World;
  let operation: Operation;
  let ranchId: string;
  let herdId: string;
  let rationId: string;

  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world);
    ranchId = await ranch(operation);
    const { lotId } = await lot(operation, ranchId, { tons: '90' });
    const post = async (path: string, body: object, expect = 201): Promise<string> =>
      (await operation.as.owner.post<WithId>(operation.at(path), body, { expect })).body.id;
    await post('/lab-tests', labTestBody(lotId));
    herdId = await herd(operation, ranchId, {
      cattleClass: 'dry-pregnant-cow',
      sex: 'cow',
      bodyWeight: { value: '1200', unit: 'lb' },
      targetDailyGain: undefined,
      bredOn: '2026-06-20',
    });
    rationId = await post('/rations', {
      herdId,
      name: 'Winter',
      basis: 'as-fed',
      amount: { weight: { value: '28', unit: 'lb' }, basis: 'as-fed' },
      layers: [{ role: 'mixed', parts: [{ hayLotId: lotId, sharePercent: '100' }] }],
    });
    await post(`/rations/${rationId}/proposal`, {}, 200);
    await post(`/rations/${rationId}/acceptance`, {}, 200);
    await post(`/rations/${rationId}/use`, { from: '2027-01-02' }, 200);
    await post('/weather-days', { ranchId, onDay: '2027-01-15', meanTemperature: { value: '-15', unit: 'F' } });
    await fed(herdId, lotId);
  });
  afterAll(async () => {
    await world.close();
  });

  const get = async <Answer>(path: string, query: Record<string, string>): Promise<Answer> =>
    (await operation.as.manager.get<Answer>(operation.at(path), { query, expect: 200 })).body;
  it('stated beyond what the equations carry is refused at once, in the unit it was stated in', async () => {
    const refused = async (path: string, query: Record<string, string>) => {
      const { errors } = (
        await operation.as.manager.get<{ errors: object[] }>(operation.at(path), {
          query: { on: '2027-01-15', weather: 'stated', temperature: '10 F', ...query },
          expect: 400,
        })
      ).body;
      expect(errors).toHaveLength(1);
      return errors[0];
    };
    const addresses = [
      `/rations/${rationId}/evaluation`,
      `/herds/${herdId}/ration-review`,
      `/herds/${herdId}/requirements`,
    ];
    // 55 °C is 131 °F and -60 °C is -76 °F; 200 km/h is 124.27 mph; 100 cm is 39.37 in.
    for (const [parameter, given, allowed] of [
      ['temperature', '-90 F', '-76 to 131 °F'],
      ['temperature', '60 C', '-60 to 55 °C'],
      ['wind', '187 mph', '0 to 124 mph'],
      ['wind', '-5 mph', '0 to 124 mph'],
      ['wind', '201 km/h', '0 to 200 km/h'],
      ['mudDepth', '100 in', '0 to 39 in'],
    ] as const)
      for (const path of parameter === 'temperature' ? addresses : addresses.slice(0, 1))
        expect(await refused(path, { [parameter]: given })).toMatchObject({
          parameter,
          code: 'out-of-range',
          given,
          allowed,
        });
    const judged = await get<Judged & { refusedBecause: unknown[] }>(`/rations/${rationId}/evaluation`, {
      on: '2027-01-15',
      weather: 'stated',
      temperature: '-76 F',
      wind: '124 mph',
      mudDepth: '39 in',
    });
    expect(judged.refusedBecause).toEqual([]);
    const inBody = async (path: string, body: object, expect: number) =>
      (await operation.as.owner.post<{ errors: object[] }>(path, body, { expect, key: null })).body.errors;
    const wind = { value: '187', unit: 'mph' };
    const meanTemperature = { value: '10', unit: 'F' };
    const told = [{ code: 'out-of-range', given: '187', allowed: '0 to 124 mph' }];
    const assumed = {
      herdIds: [herdId],
      assume: { weather: { meanTemperature, wind } },
      rations: [{ kind: 'in-use' }],
    };
    expect(await inBody(operation.at('/what-if'), assumed, 400)).toMatchObject(told);
    const day = { ranchId, onDay: '2027-01-15', meanTemperature, wind };
    expect(await inBody(operation.at('/weather-days'), day, 400)).toMatchObject(told);
  });

  const evaluated = (on: string, weather: string): Promise<Judged> =>
    get(`/rations/${rationId}/evaluation`, { on, weather });
  const need = ({ lines }: Pick<Judged, 'lines'>): number =>
    lines.find(({ nutrient }) => nutrient === 'netEnergyMaintenance')?.need ?? NaN;
  const noted = ({ notes }: Pick<Judged, 'notes'>): string[] =>
    notes.filter(({ code }) => code === 'no-weather-normals').map(({ message }) => message);

  it('counts what was recorded on the day, and says that it is not the usual', async () => {
    const [usual, known] = [await evaluated('2027-01-15', 'usual'), await evaluated('2027-01-15', 'known')];
    expect(usual.weather).toMatchObject({ from: 'recorded', temperature: { value: -15 } });
    expect(need(usual)).toBe(need(known));
    expect(noted(usual)).toEqual([expect.stringContaining('recorded on 2027-01-15')]);
    expect(noted(known)).toEqual([]);
  });

  /** In use and fed: 28 lb a head of one tested hay. @returns the ration */
  async function onHayAlone(herdFed: string, hayLotId: string, name: string, from = '2027-01-02'): Promise<string> {
    const post = async (path: string, body: object, expect: number): Promise<string> =>
      (await operation.as.owner.post<WithId>(operation.at(path), body, { expect })).body.id;
    await post('/lab-tests', labTestBody(hayLotId), 201);
    const ration = await post(
      '/rations',
      {
        herdId: herdFed,
        name,
        basis: 'as-fed',
        amount: { weight: { value: '28', unit: 'lb' }, basis: 'as-fed' },
        layers: [{ role: 'mixed', parts: [{ hayLotId, sharePercent: '100' }] }],
      },
      201,
    );
    await post(`/rations/${ration}/proposal`, {}, 200);
    await post(`/rations/${ration}/acceptance`, {}, 200);
    await post(`/rations/${ration}/use`, { from }, 200);
    await fed(herdFed, hayLotId);
    return ration;
  }

  /** Three days of what the ration says. */
  async function fed(herdFed: string, hayLotId: string): Promise<void> {
    for (const fedOn of ['2027-01-13', '2027-01-14', '2027-01-15']) {
      const layers = [{ role: 'mixed', parts: [{ hayLotId, weight: { value: '2800', unit: 'lb' } }] }];
      const body = { herdId: herdFed, fedOn, method: 'windrow-on-ground', layers };
      await operation.as.owner.post(operation.at('/feedings'), body, { expect: 201 });
    }
  }

  /** The same herd on the same day in the same weather, by every address that judges it. */
  async function everywhere(herdAsked: string, ration: string, query: Record<string, string>): Promise<Judged[]> {
    const evaluation = await get<Judged>(`/rations/${ration}/evaluation`, query);
    const review = await get<Judged>(`/herds/${herdAsked}/ration-review`, query);
    const listed = (
      await get<{ items: (Judged & { herdId: string })[] }>('/ration-reviews', { ...query, limit: '200' })
    ).items.filter((one) => one.herdId === herdAsked);
    const { body: tried } = await operation.as.nutritionist.post<{ herds: { rations: { evaluation: Judged }[] }[] }>(
      operation.at('/what-if'),
      { herdIds: [herdAsked], rations: [{ kind: 'in-use' }] },
      { query, expect: 200 },
    );
    const rations = tried.herds.flatMap((one) => one.rations.map((each) => each.evaluation));
    const judged = [evaluation, review, ...listed, ...rations];
    expect(judged).toHaveLength(4);
    return judged;
  }

  it('counts the last recorded week on a day without a record, at every address that judges', async () => {
    const on = '2027-01-20';
    for (const weather of ['usual', 'known']) {
      const [evaluation, ...others] = await everywhere(herdId, rationId, { on, weather });
      expect(evaluation?.weather).toMatchObject({ from: 'last-week', temperature: { value: -15 } });
      // Nothing else of January is on record, so that it is the weather of that day, stated.
      const { body: stated } = await operation.as.manager.get<Judged>(operation.at(`/rations/${rationId}/evaluation`), {
        query: { on, weather: 'stated', temperature: '-15 F' },
        expect: 200,
      });
      expect(evaluation?.lines).toEqual(stated.lines);
      expect(noted(evaluation ?? { notes: [] })).toEqual([expect.stringContaining('that of 2027-01-15')]);
      for (const other of others)
        for (const field of ['weather', 'lines', 'cautions', 'notes'] as const)
          if (field !== 'weather' || other.weather !== undefined) expect(other[field]).toEqual(evaluation?.[field]);
      const { requirements } = await get<{
        requirements: (Pick<Judged, 'notes'> & { perHead: { netEnergyMaintenanceTotal: { value: number } } })[];
      }>(`/herds/${herdId}/requirements`, { on, weather, edition: 'NRC2000' });
      expect(requirements[0]?.perHead.netEnergyMaintenanceTotal.value).toBe(need(evaluation ?? { lines: [] }));
      for (const one of requirements) expect(noted(one)).toEqual(noted(evaluation ?? { notes: [] }));
    }
    const { body: least } = await operation.as.owner.post<{ need: Pick<Judged, 'notes'> }>(
      operation.at(`/herds/${herdId}/least-cost-ration`),
      { on, days: 60 },
      { expect: 200 },
    );
    expect(noted(least.need)).toEqual([expect.stringContaining('that of 2027-01-15')]);
    expect(noted(await evaluated(on, 'none'))).toEqual([]);
  });

  it('holds what is left out against a ranch of which no weather is on record, where a month has cold', async () => {
    const bare = await ranch(operation, { name: 'Without weather' });
    const placeId = (
      await operation.as.owner.post<WithId>(
        operation.at('/places'),
        { ranchId: bare, name: 'Bunk', kind: 'bunk-line' },
        { expect: 201 },
      )
    ).body.id;
    const { lotId } = await lot(operation, bare, { name: 'Bare meadow', tons: '90' });
    const cows = await herd(operation, bare, {
      name: 'Unwatched cows',
      placeId,
      cattleClass: 'dry-open-cow',
      sex: 'cow',
      bodyWeight: { value: '1200', unit: 'lb' },
      targetDailyGain: undefined,
    });
    const ration = await onHayAlone(cows, lotId, 'Bare');
    const cold = (one: object | undefined) =>
      (one as Judged | undefined)?.cautions.filter(({ code }) => code === 'cold-left-out') ?? [];
    for (const weather of ['usual', 'known']) {
      const judged = await everywhere(cows, ration, { on: '2027-01-15', weather });
      for (const one of judged) {
        // By hand: 1,200 lb less 4 % are 522.5 kg, to the power of 0.75 109.3 kg; cattle that are used to 20 °F need
        // 0.0007 Mcal · 26.67 °C more of each (NRC 2000), 2.04 Mcal; dry and still it costs no more than that.
        expect(cold(one)).toMatchObject([{ severity: 'watch', given: expect.closeTo(2.04, 2) as number }]);
        expect(cold(one)[0]?.message).toContain('20 °F would add 2 Mcal');
        expect(one.cautions.slice(0, 3)).toContainEqual(cold(one)[0]);
      }
    }
    // The caution says to state the weather: stated, that cold adds what the caution says.
    const [inMild, inCold] = [
      need(await get<Judged>(`/rations/${ration}/evaluation`, { on: '2027-01-15', weather: 'none' })),
      await statedAnd(cows, ration, { on: '2027-01-15', temperature: '20 F' }),
    ];
    for (const one of [...inCold.stated, ...inCold.assumed]) expect(need(one) - inMild).toBeCloseTo(2.04, 2);
    const sheet = await get<{ herds: Judged[] }>(`/places/${placeId}/feed-sheet`, { on: '2027-01-15' });
    expect(cold(sheet.herds[0])).toHaveLength(1);
    const { requirements } = await get<{ requirements: Pick<Judged, 'notes'>[] }>(`/herds/${cows}/requirements`, {
      on: '2027-01-15',
      weather: 'usual',
    });
    for (const { notes } of requirements)
      expect(notes.map(({ code }) => code)).toEqual(expect.arrayContaining(['cold-left-out', 'no-weather-normals']));
    const { body: least } = await operation.as.owner.post<{ judgement: Judged | null }>(
      operation.at(`/herds/${cows}/least-cost-ration`),
      { on: '2027-01-15', days: 60, lots: [{ hayLotId: lotId }] },
      { expect: 200 },
    );
    expect(cold(least.judgement ?? undefined)).toHaveLength(1);
    // Mild was asked for, or the month has no cold.
    const evaluation = `/rations/${ration}/evaluation`;
    expect(cold(await get(evaluation, { on: '2027-01-15', weather: 'none' }))).toEqual([]);
    expect(cold(await get(evaluation, { on: '2027-07-15', weather: 'usual' }))).toEqual([]);
    const months = { from: '2027-02', until: '2027-03', herdId: cows };
    const plan = await get<{ flags: { code: string; message: string }[] }>('/season-ration-plan', {
      ...months,
      weather: 'usual',
    });
    const budget = await get<typeof plan>('/reports/hay-budget', { from: '2027-02-01', until: '2027-03-31' });
    for (const { flags } of [plan, budget])
      expect(flags.filter(({ code }) => code === 'cold-left-out')).toEqual([
        { code: 'cold-left-out', message: expect.stringMatching(/^Unwatched cows: .*20 °F would add/) as string },
      ]);
  });

  /** The herd's need under a weather that is stated in the query, and assumed in a what-if. */
  async function statedAnd(
    herdAsked: string,
    ration: string,
    query: { on: string; temperature: string },
  ): Promise<{ stated: Judged[]; assumed: Judged[] }> {
    const stated = await everywhere(herdAsked, ration, { ...query, weather: 'stated' });
    const [value, unit] = query.temperature.split(' ');
    const assumed: Judged[] = [];
    for (const weather of ['known', 'usual', 'none']) {
      const { body } = await operation.as.nutritionist.post<{ herds: { rations: { evaluation: Judged }[] }[] }>(
        operation.at('/what-if'),
        {
          herdIds: [herdAsked],
          assume: { weather: { meanTemperature: { value, unit } } },
          rations: [{ kind: 'in-use' }],
        },
        { query: { on: query.on, weather }, expect: 200 },
      );
      assumed.push(...body.herds.flatMap((one) => one.rations.map((each) => each.evaluation)));
    }
    return { stated, assumed };
  }

  it('that is stated finds cattle used to the same cold as the weather on record, at every address', async () => {
    const cold = await ranch(operation, { name: 'One January' });
    const weatherDay = async (onDay: string, value: string): Promise<void> => {
      const meanTemperature = { value, unit: 'F' };
      await operation.as.owner.post(operation.at('/weather-days'), { ranchId: cold, onDay, meanTemperature });
    };
    for (let day = 1; day <= 11; day += 1) await weatherDay(`2026-01-${String(day).padStart(2, '0')}`, '10');
    const { lotId } = await lot(operation, cold, { name: 'January meadow', tons: '90' });
    const cows = await herd(operation, cold, {
      name: 'January cows',
      cattleClass: 'dry-open-cow',
      sex: 'cow',
      bodyWeight: { value: '1200', unit: 'lb' },
      targetDailyGain: undefined,
    });
    const ration = await onHayAlone(cows, lotId, 'January');
    const asked = (on: string, weather: string): Promise<Judged> =>
      get(`/rations/${ration}/evaluation`, { on, weather });
    const inMild = need(await asked('2027-01-15', 'none'));
    const usual = await asked('2027-01-15', 'usual');
    // NRC 2000: 0.0007 (20 - Tp) SBW^0.75; by hand, 522.5 kg^0.75 are 109.3 kg, and 10 °F are -12.22 °C: 2.46 Mcal.
    expect(need(usual) - inMild).toBeGreaterThan(2.46 - 0.01);
    const same = await statedAnd(cows, ration, { on: '2027-01-15', temperature: '10 F' });
    for (const one of [...same.stated, ...same.assumed]) expect(one.lines).toEqual(usual.lines);
    const colder = await statedAnd(cows, ration, { on: '2027-01-15', temperature: '-10 F' });
    for (const one of [...colder.stated, ...colder.assumed]) {
      expect(one.lines).toEqual(colder.stated[0]?.lines);
      expect(need(one)).toBeGreaterThan(need(usual));
    }
    const plan = await get<{ herds: { herdId: string; months: Judged[] }[] }>('/season-ration-plan', {
      from: '2027-01',
      until: '2027-01',
      weather: 'stated',
      temperature: '-10 F',
    });
    const ofPlan = plan.herds.find((one) => one.herdId === cows)?.months[0];
    expect(need(ofPlan ?? { lines: [] })).toBe(need(colder.stated[0] ?? { lines: [] }));
    // Once the days before are on record they tell what the cattle are used to, whatever weather is asked for.
    for (let day = 3; day <= 15; day += 1) await weatherDay(`2027-01-${String(day).padStart(2, '0')}`, '-10');
    const known = await asked('2027-01-15', 'known');
    const again = await statedAnd(cows, ration, { on: '2027-01-15', temperature: '-10 F' });
    for (const one of [...again.stated, ...again.assumed]) expect(one.lines).toEqual(known.lines);
    expect(need(known)).toBeGreaterThan(need(colder.stated[0] ?? { lines: [] }));
  });

  it('takes the days of the last recorded week, and no older ones', async () => {
    const week = await ranch(operation, { name: 'A week' });
    const post = async (onDay: string, value: string): Promise<void> => {
      const meanTemperature = { value, unit: 'F' };
      await operation.as.owner.post(operation.at('/weather-days'), { ranchId: week, onDay, meanTemperature });
    };
    for (const [onDay, value] of [
      ['2026-12-01', '50'],
      ['2026-12-14', '-20'],
      ['2026-12-17', '4'],
      ['2026-12-20', '10'],
    ] as const)
      await post(onDay, value);
    const cows = await herd(operation, week, { name: 'Week cows' });
    const weatherOn = async (on: string) =>
      (await get<Judged>(`/herds/${cows}/requirements`, { on, weather: 'usual' })).weather;
    // By hand: (-20 + 4 + 10) / 3; on the 19th the newest is the 17th, (-20 + 4) / 2; after a season it is another one.
    expect(await weatherOn('2027-01-10')).toMatchObject({ from: 'last-week', temperature: { value: -2 } });
    expect(await weatherOn('2026-12-19')).toMatchObject({ from: 'last-week', temperature: { value: -8 } });
    expect(await weatherOn('2026-12-17')).toMatchObject({ from: 'recorded', temperature: { value: 4 } });
    expect(await weatherOn('2027-03-22')).toMatchObject({ from: 'last-week' });
    expect(await weatherOn('2027-03-23')).toBeNull();
  });

  it('judges a month of a hay budget on one of its days, as the evaluation of that day does', async () => {
    const part = await ranch(operation, { name: 'Late November' });
    for (const onDay of ['2026-11-25', '2026-11-26', '2026-11-27', '2026-11-28'])
      await operation.as.owner.post(
        operation.at('/weather-days'),
        { ranchId: part, onDay, meanTemperature: { value: String(-Number(onDay.slice(-2))), unit: 'F' } },
        { expect: 201 },
      );
    const { lotId } = await lot(operation, part, { name: 'November meadow', tons: '90' });
    const late = await herd(operation, part, {
      name: 'November cows',
      cattleClass: 'dry-pregnant-cow',
      sex: 'cow',
      bodyWeight: { value: '1200', unit: 'lb' },
      targetDailyGain: undefined,
      bredOn: '2026-06-20',
    });
    const ration = await onHayAlone(late, lotId, 'November', '2026-11-02');
    const months = async (from: string, until: string, intake: string) => {
      const { herds } = await get<{
        herds: {
          herdId: string;
          intakeByMonth: { onDay: string; need: { netEnergyMaintenance: { value: number } } | null }[];
        }[];
      }>('/reports/hay-budget', { from, until, intake });
      const found = herds.find((one) => one.herdId === late)?.intakeByMonth ?? [];
      expect(found).not.toEqual([]);
      return found;
    };
    const days = fc.integer({ min: 0, max: 60 }).map((after) => addDays('2026-11-15', after));
    await fc.assert(
      fc.asyncProperty(days, fc.integer({ min: 0, max: 40 }), async (from, after) => {
        const until = addDays(from, after);
        for (const { onDay, need: asked } of await months(from, until, 'ration-in-use')) {
          expect(onDay >= from && onDay <= until).toBe(true);
          expect(asked?.netEnergyMaintenance.value).toBe(
            need(await get(`/rations/${ration}/evaluation`, { on: onDay, weather: 'usual' })),
          );
        }
      }),
      { numRuns: examples(4), examples: [['2026-11-28', 10]] },
    );
    // On the 28th -28 °F were recorded; by the equations the budget stands on the same need.
    const recorded = need(await get(`/rations/${ration}/evaluation`, { on: '2026-11-28', weather: 'known' }));
    for (const intake of ['ration-in-use', 'equations'])
      expect((await months('2026-11-28', '2026-12-31', intake))[0]?.need?.netEnergyMaintenance.value).toBe(recorded);
  });

  it('flags the plan of the season, and the hay budget beside it', async () => {
    const span = { from: '2027-01', until: '2027-02', weather: 'usual' };
    const plan = await get<{ herds: { herdId: string; months: Judged[] }[]; flags: { code: string }[] }>(
      '/season-ration-plan',
      span,
    );
    const [january, february] = plan.herds.find((one) => one.herdId === herdId)?.months ?? [];
    expect(need(january ?? { lines: [] })).toBe(need(await evaluated('2027-01-15', 'known')));
    expect(noted(february ?? { notes: [] })).toEqual([expect.stringContaining('that of 2027-01-15')]);
    const budget = await get<{ flags: { code: string }[] }>('/reports/hay-budget', {
      from: '2027-01-01',
      until: '2027-02-28',
    });
    for (const { flags } of [plan, budget]) expect(flags.map(({ code }) => code)).toContain('no-weather-normals');
    const { flags } = await get<typeof plan>('/season-ration-plan', { ...span, weather: 'none' });
    expect(flags.map(({ code }) => code)).not.toContain('no-weather-normals');
  });
});
