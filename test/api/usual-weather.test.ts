/*
 * Usual weather asked for where too few days of the month are on record: every address says that cold is left out, and
 * counts what was recorded on the very day. Invented.
 */
import { type Operation, operationWith } from '../support/people.js';
import { herd, labTestBody, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Judged {
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

  it('says that cold is left out on a day without a record, at every address that judges', async () => {
    const on = '2027-01-20';
    const evaluation = await evaluated(on, 'usual');
    expect(evaluation.weather).toBeNull();
    expect(need(evaluation)).toBe(need(await evaluated(on, 'none')));
    const { requirements } = await get<{ requirements: Pick<Judged, 'notes'>[] }>(`/herds/${herdId}/requirements`, {
      on,
      weather: 'usual',
    });
    const { body: least } = await operation.as.owner.post<{ need: Pick<Judged, 'notes'> }>(
      operation.at(`/herds/${herdId}/least-cost-ration`),
      { on, days: 60 },
      { expect: 200 },
    );
    for (const one of [evaluation, ...requirements, least.need])
      expect(noted(one)).toEqual([expect.stringContaining('cold is left out')]);
    expect(noted(await evaluated(on, 'none'))).toEqual([]);
  });

  it('flags the plan of the season, and the hay budget beside it', async () => {
    const span = { from: '2027-01', until: '2027-02', weather: 'usual' };
    const plan = await get<{ herds: { months: Judged[] }[]; flags: { code: string }[] }>('/season-ration-plan', span);
    const [january, february] = plan.herds[0]?.months ?? [];
    expect(need(january ?? { lines: [] })).toBe(need(await evaluated('2027-01-15', 'known')));
    expect(noted(february ?? { notes: [] })).toHaveLength(1);
    const budget = await get<{ flags: { code: string }[] }>('/reports/hay-budget', {
      from: '2027-01-01',
      until: '2027-02-28',
    });
    for (const { flags } of [plan, budget]) expect(flags.map(({ code }) => code)).toContain('no-weather-normals');
    const { flags } = await get<typeof plan>('/season-ration-plan', { ...span, weather: 'none' });
    expect(flags.map(({ code }) => code)).not.toContain('no-weather-normals');
  });
});
