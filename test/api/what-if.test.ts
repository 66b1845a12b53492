/*
 * What if it were cold, if they were lighter, if the hay tested otherwise, if another ration were fed: judged by the
 * judge of the records, side by side, and nothing of it kept. Invented.
 */
import { type Operation, operationWith } from '../support/people.js';
import { herd, labTestBody, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Evaluation {
  lines: { nutrient: string; need: number | null; supply: number | null; verdict: string }[];
  bodyWeight: { value: string };
  weather: { weatherDayId: string | null; temperature: { value: number; unit: string } } | null;
  perHead: { asFed: { value: string } };
  notes: { code: string }[];
  [field: string]: unknown;
}
interface WhatIf {
  herds: {
    herd: string;
    rations: { ration: string; evaluation: Evaluation | null; notThereBecause: string | null }[];
  }[];
}

const ON = '2027-01-14';

describe('what if', () => {
  let world: World;
  let operation: Operation;
  let ranchId: string;
  let cows: string;
  let calves: string;
  let meadow: string;
  let rationId: string;
  let testId: string;

  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world, { name: 'What if ranch', roles: ['manager', 'nutritionist', 'hand'] });
    const { owner } = operation.as;
    ranchId = await ranch(operation);
    cows = await herd(operation, ranchId, {
      name: 'Cows',
      head: 50,
      cattleClass: 'dry-pregnant-cow',
      sex: 'cow',
      bodyWeight: { value: '1200', unit: 'lb' },
      targetDailyGain: undefined,
      bredOn: '2026-06-20',
    });
    calves = await herd(operation, ranchId, { name: 'Calves', head: 40 });
    meadow = (await lot(operation, ranchId, { name: 'Meadow', tons: '90' })).lotId;
    testId = (await owner.post<WithId>(operation.at('/lab-tests'), labTestBody(meadow), { expect: 201 })).body.id;
    rationId = (
      await owner.post<WithId>(
        operation.at('/rations'),
        {
          herdId: cows,
          name: 'Winter',
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
      ['use', { from: '2027-01-02' }],
    ] as const)
      await owner.post(operation.at(`/rations/${rationId}/${step}`), body, { expect: 200 });
  });
  afterAll(async () => {
    await world.close();
  });

  const ask = async (body: object, expect = 200): Promise<WhatIf> =>
    (await operation.as.nutritionist.post<WhatIf>(operation.at('/what-if'), body, { query: { on: ON }, expect })).body;
  const kept = async (): Promise<Evaluation> =>
    (
      await operation.as.nutritionist.get<Evaluation>(operation.at(`/rations/${rationId}/evaluation`), {
        query: { on: ON },
        expect: 200,
      })
    ).body;

  it('without assumptions it is the evaluation of the ration', async () => {
    const { herds } = await ask({ herdIds: [cows], rations: [{ kind: 'in-use' }, { kind: 'kept', rationId }] });
    expect(herds[0]?.rations.map((one) => one.ration)).toEqual(['Winter', 'Winter']);
    for (const one of herds[0]?.rations ?? []) expect(one.evaluation).toEqual(await kept());
  });

  it('assumed weather is judged as the same weather recorded; nothing is kept of it', async () => {
    const weather = { meanTemperature: { value: '-15', unit: 'F' }, wind: { value: '15', unit: 'mph' } };
    const before = await kept();
    const assumed = (await ask({ herdIds: [cows], assume: { weather }, rations: [{ kind: 'in-use' }] })).herds[0]
      ?.rations[0]?.evaluation;
    expect(assumed?.weather).toMatchObject({ weatherDayId: null });
    expect(assumed?.lines).not.toEqual(before.lines);
    expect(await kept()).toEqual(before);
    const { id } = (
      await operation.as.hand.post<WithId>(
        operation.at('/weather-days'),
        { ranchId, onDay: ON, ...weather },
        { expect: 201 },
      )
    ).body;
    const recorded = await kept();
    expect({ ...assumed, weather: null }).toEqual({ ...recorded, weather: null });
    // Taken back, no trace.
    await operation.as.hand.post(
      operation.at(`/weather-days/${id}/reversal`),
      { reason: 'Only a trial' },
      { expect: 201 },
    );
    expect(await kept()).toEqual(before);
  });

  it('weight, condition and test values may be assumed, each as if it were on record', async () => {
    const heavier = (
      await ask({
        herdIds: [cows],
        assume: { bodyWeight: { value: '1400', unit: 'lb' }, bodyCondition: '4' },
        rations: [{ kind: 'in-use' }],
      })
    ).herds[0]?.rations[0]?.evaluation;
    expect(heavier?.bodyWeight.value).toBe('1400');
    const need = (one: Evaluation | null | undefined): number =>
      one?.lines.find((line) => line.nutrient === 'netEnergyMaintenance')?.need ?? NaN;
    expect(need(heavier)).toBeGreaterThan(need(await kept()));
    const analysis = { ...(labTestBody(meadow)['analysis'] as object), crudeProtein: { value: '4.1', unit: '%' } };
    const test = { hayLotId: meadow, basis: 'dry-matter', analysis };
    const assumed = (await ask({ herdIds: [cows], assume: { tests: [test] }, rations: [{ kind: 'in-use' }] })).herds[0]
      ?.rations[0]?.evaluation;
    // An assumed test stands in place of all tests of its lot; tests on record are averaged.
    await operation.as.owner.post(
      operation.at(`/lab-tests/${testId}/reversal`),
      { reason: 'Another sample' },
      { expect: 201 },
    );
    await operation.as.owner.post(
      operation.at('/lab-tests'),
      labTestBody(meadow, { sampledOn: '2027-01-10', analysis, method: 'near-infrared' }),
      { expect: 201 },
    );
    expect(assumed?.lines).toEqual((await kept()).lines);
    expect(assumed?.notes.filter((one) => one.code === 'test-assumed')).toHaveLength(1);
    expect((await kept()).notes.map((one) => one.code)).not.toContain('test-assumed');
  });

  it('an assumed protein does not hide a recorded nitrate', async () => {
    const hot = (await lot(operation, ranchId, { name: 'Hot meadow' })).lotId;
    const body = labTestBody(hot);
    const nitrate = { value: '9000', unit: 'ppm NO3-N' };
    await operation.as.owner.post(
      operation.at('/lab-tests'),
      { ...body, analysis: { ...(body['analysis'] as object), nitrate } },
      { expect: 201 },
    );
    const rations = [
      {
        kind: 'unsaved',
        name: 'Hot',
        basis: 'as-fed',
        amount: { weight: { value: '26', unit: 'lb' }, basis: 'as-fed' },
        layers: [{ role: 'mixed', parts: [{ hayLotId: hot, sharePercent: '100' }] }],
      },
    ];
    const analysis = { dryMatter: { value: '88', unit: '%' }, crudeProtein: { value: '12', unit: '%' } };
    const test = { hayLotId: hot, basis: 'dry-matter', analysis };
    const cautionsOf = async (assume: object): Promise<unknown> =>
      (await ask({ herdIds: [cows], assume, rations })).herds[0]?.rations[0]?.evaluation?.['cautions'];
    const nitrateDanger: unknown = expect.objectContaining({
      code: 'nitrate-single-hay',
      severity: 'danger',
      given: 9000,
    });
    expect(await cautionsOf({})).toContainEqual(nitrateDanger);
    expect(await cautionsOf({ tests: [test] })).toContainEqual(nitrateDanger);
    // What is not there is told, and a lot named twice.
    const nowhere = await ask({ herdIds: [cows], assume: { tests: [{ ...test, hayLotId: cows }] }, rations }, 404);
    expect(nowhere).toMatchObject({ errors: [{ pointer: '#/assume/tests/0/hayLotId', code: 'no-such-lot' }] });
    const twice = await ask({ herdIds: [cows], assume: { tests: [test, test] }, rations }, 422);
    expect(twice).toMatchObject({ errors: [{ pointer: '#/assume/tests/1/hayLotId', code: 'said-twice' }] });
  });

  it('compares rations over several herds, and says where one has none', async () => {
    const light = {
      kind: 'unsaved',
      name: 'Lighter',
      basis: 'as-fed',
      amount: { weight: { value: '12', unit: 'lb' }, basis: 'as-fed' },
      layers: [{ role: 'mixed', parts: [{ hayLotId: meadow, sharePercent: '100' }] }],
    };
    const { herds } = await ask({
      herdIds: [calves, cows],
      rations: [{ kind: 'in-use' }, { kind: 'present' }, light],
    });
    expect(herds.map((one) => one.herd)).toEqual(['Calves', 'Cows']);
    expect(herds[0]?.rations.map((one) => one.evaluation === null)).toEqual([true, true, false]);
    expect(herds[0]?.rations[0]?.notThereBecause).toBe('No ration of this herd was in use on 2027-01-14.');
    expect(Number(herds[0]?.rations[2]?.evaluation?.perHead.asFed.value)).toBeCloseTo(12, 3);
    expect(herds[1]?.rations.map((one) => one.ration)).toEqual(['Winter', 'Fed at present', 'Lighter']);
  });

  it('refuses what cannot be, at its place', async () => {
    const twice = await ask({ herdIds: [cows, cows], rations: [{ kind: 'in-use' }] }, 422);
    expect(twice).toMatchObject({ errors: [{ pointer: '#/herdIds/1' }] });
    const analysis = { dryMatter: { value: '88', unit: '%' }, crudeProtein: { value: '140', unit: '%' } };
    const impossible = await ask(
      {
        herdIds: [cows],
        assume: { tests: [{ hayLotId: meadow, basis: 'dry-matter', analysis }] },
        rations: [{ kind: 'in-use' }],
      },
      422,
    );
    expect(impossible).toMatchObject({ errors: [{ pointer: '#/assume/tests/0/analysis/crudeProtein/value' }] });
    await operation.as.hand.post(
      operation.at('/what-if'),
      { herdIds: [cows], rations: [{ kind: 'in-use' }] },
      { expect: 403 },
    );
  });
});
