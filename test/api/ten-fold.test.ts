/*
 * A slip of the decimal point is no ration and no feeding: what no cattle can be meant to get is refused wherever it is
 * entered, with what they can be offered; what is only unlikely is cautioned. Bounds: entry-bounds.data.ts. Invented.
 */
import { type Operation, operationWith } from '../support/people.js';
import { cows, feedingBody, labTestBody, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Refused extends WithId {
  errors: { pointer: string; code: string; given: string; allowed: string; message: string }[];
}
interface Cautioned extends WithId {
  cautions: { code: string; severity: string; message: string }[];
}
const CODE = 'more-than-cattle-hold';

describe('amounts that cattle cannot be meant to get', () => {
  let world: World;
  let operation: Operation;
  let herdId: string;
  let meadow: string;
  let alfalfa: string;

  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world);
    const ranchId = await ranch(operation);
    herdId = await cows(operation, ranchId, { head: 60 });
    ({ lotId: meadow } = await lot(operation, ranchId, { tons: '400' }));
    ({ lotId: alfalfa } = await lot(operation, ranchId, { name: 'Alfalfa', hayKind: 'alfalfa', tons: '100' }));
    await operation.as.manager.post(operation.at('/lab-tests'), labTestBody(meadow), { expect: 201 });
  });
  afterAll(async () => {
    await world.close();
  });

  const ration = (more: object): Record<string, unknown> => ({
    herdId,
    name: 'Winter',
    basis: 'as-fed',
    layers: [{ role: 'mixed', parts: [{ hayLotId: meadow, sharePercent: '100' }] }],
    ...more,
  });
  const amount = (value: string, basis = 'as-fed', unit = 'lb'): object => ({
    amount: { weight: { value, unit }, basis },
  });
  const byWeight = (...pounds: string[]): object => ({
    layers: pounds.map((value, index) => ({
      role: 'mixed',
      parts: [{ hayLotId: index === 0 ? meadow : alfalfa, weight: { value, unit: 'lb' } }],
    })),
  });
  const refused = async (path: string, body: object): Promise<Refused['errors']> =>
    (await operation.as.owner.post<Refused>(operation.at(path), body, { expect: 422 })).body.errors;

  it.each([
    ['ten times the hay', () => amount('300'), '#/amount/weight/value', '300 lb'],
    ['a hundred times the hay', () => amount('3000'), '#/amount/weight/value', '3000 lb'],
    ['as dry matter', () => amount('260', 'dry-matter'), '#/amount/weight/value', '260 lb'],
    ['in kilograms', () => amount('130', 'as-fed', 'kg'), '#/amount/weight/value', '130 kg'],
    ['one feed by its weight', () => byWeight('12', '140'), '#/layers/1/parts/0/weight/value', '140 lb'],
    ['the other feed by its weight', () => byWeight('260', '4'), '#/layers/0/parts/0/weight/value', '260 lb'],
    ['two feeds by weight', () => byWeight('260', '240'), '#/layers', undefined],
  ])('refuses a ration of %s, and takes what it says is allowed', async (_what, toMore, pointer, given) => {
    const more = toMore();
    for (const [path, body] of [
      ['/rations', ration(more)],
      [`/herds/${herdId}/ration-evaluation`, { ...ration(more), herdId: undefined, name: undefined }],
    ] as const) {
      const [error] = await refused(path, body);
      expect(error).toMatchObject({ pointer, code: CODE, ...(given === undefined ? {} : { given }) });
      expect(error?.message).toMatch(/Cows weighs 1,\d\d\d lb a head, and such cattle can be offered 1\d\d lb at most/);
    }
    const [whatIf] = await refused('/what-if', {
      herdIds: [herdId],
      rations: [{ kind: 'in-use' }, { ...ration(more), kind: 'unsaved', herdId: undefined }],
    });
    expect(whatIf).toMatchObject({ pointer: pointer.replace('#', '#/rations/1'), code: CODE });
    const [error] = await refused('/rations', ration(more));
    const [, allowed] = /^([\d.]+) (?:lb|kg) or less$/.exec(error?.allowed ?? '') ?? [];
    if (allowed === undefined) return;
    const taken = JSON.parse(
      JSON.stringify(ration(more)).replace(`"value":"${given?.split(' ')[0]}"`, `"value":"${allowed}"`),
    ) as object;
    const { cautions } = (await operation.as.owner.post<Cautioned>(operation.at('/rations'), taken, { expect: 201 }))
      .body;
    // All that is possible is still unlikely.
    const eaten = cautions.find(({ code }) => code === 'more-than-eaten');
    expect(eaten?.severity).toBe('watch');
    expect(eaten?.message).toMatch(/% of their weight, is unlikely/);
  });

  it('refuses to change a draft to it, by the amount alone or with its layers', async () => {
    const created = await operation.as.owner.post<WithId>(operation.at('/rations'), ration(amount('26')), {
      expect: 201,
    });
    const path = operation.at(`/rations/${created.body.id}`);
    for (const body of [
      amount('260'),
      { ...byWeight('26', '260') },
      { layers: ration({})['layers'], ...amount('2600') },
    ]) {
      const { body: answer } = await operation.as.owner.patch<Refused>(path, body, {
        expect: 422,
        ifMatch: created.headers['etag'] ?? '',
      });
      expect(answer.errors).toMatchObject([{ code: CODE }]);
    }
  });

  it('tells a ration that is only large for its size by a caution of its own', async () => {
    const { cautions } = (
      await operation.as.owner.post<Cautioned>(operation.at('/rations'), ration(amount('32')), { expect: 201 })
    ).body;
    expect(cautions.find(({ code }) => code === 'more-than-eaten')).toMatchObject({ severity: 'notice' });
  });

  it('cautions of a tenth of a ration or feeding, and not of a whole one', async () => {
    const herdId = await cows(operation, await ranch(operation, { name: 'Tenth' }), { name: 'Tenth cows', head: 60 });
    const post = async (path: string, body: object): Promise<Cautioned['cautions']> =>
      (await operation.as.owner.post<Cautioned>(operation.at(path), body, { expect: 201 })).body.cautions;
    const little = (cautions: Cautioned['cautions']) =>
      cautions.filter(({ code }) => code === 'less-than-keeps-weight').map(({ severity }) => severity);
    expect(little(await post('/rations', ration({ ...amount('2.8'), herdId })))).toEqual(['danger']);
    expect(little(await post('/rations', ration({ ...amount('15'), herdId })))).toEqual(['watch']);
    expect(little(await post('/rations', ration({ ...amount('28'), herdId })))).toEqual([]);
    expect(little(await post('/feedings', feedingBody(herdId, [[meadow, '168']])))).toEqual(['danger']);
    expect(little(await post('/feedings', feedingBody(herdId, [[meadow, '1680']], { fedOn: '2027-01-11' })))).toEqual(
      [],
    );
    // Bales for a week lie there when a little is given the day after.
    const bales = { fedOn: '2027-01-12', method: 'ring-feeder' };
    await post('/feedings', feedingBody(herdId, [[meadow, '11760']], bales));
    const more = { fedOn: '2027-01-13', method: 'bunk' };
    expect(little(await post('/feedings', feedingBody(herdId, [[meadow, '168']], more)))).toEqual([]);
  });

  it('refuses a feeding of 704 lb of dry matter a head, in one layer or three, by weight or by the bale', async () => {
    const pounds = String(Math.round((704 / 0.884) * 60));
    expect(await refused('/feedings', feedingBody(herdId, [[meadow, pounds]]))).toMatchObject([
      { pointer: '#/layers/0/parts/0/weight/value', code: CODE, given: `${pounds} lb` },
    ]);
    const three = feedingBody(herdId, [
      [meadow, '400'],
      [alfalfa, '48000'],
      [meadow, '600'],
    ]);
    const [error] = await refused('/feedings', three);
    expect(error).toMatchObject({ pointer: '#/layers/1/parts/0/weight/value', code: CODE, given: '48000 lb' });
    expect(error?.message).toMatch(
      /lb of dry matter a head in one feeding of 60 head\. The herd Cows weighs 1,\d\d\d lb a head/,
    );
    const allowed = error?.allowed.split(' ')[0] ?? '';
    expect(Number(allowed)).toBeLessThan(48_000);
    const taken = feedingBody(herdId, [
      [meadow, '400'],
      [alfalfa, allowed],
      [meadow, '600'],
    ]);
    const { cautions } = (await operation.as.manager.post<Cautioned>(operation.at('/feedings'), taken, { expect: 201 }))
      .body;
    expect(cautions.find(({ code }) => code === 'more-than-eaten')?.severity).toBe('watch');
  });

  it('takes bales for a week, and one bale for few head, but no week of hay in a bunk', async () => {
    const post = (body: object, expected: number) =>
      operation.as.manager.post<Refused>(operation.at('/feedings'), body, { expect: expected });
    const week = String(7 * 40 * 60);
    await post(feedingBody(herdId, [[meadow, week]], { fedOn: '2027-01-04', method: 'ring-feeder' }), 201);
    await post(
      feedingBody(herdId, [[meadow, '1200']], { fedOn: '2027-01-05', method: 'ring-feeder', headFed: 1 }),
      201,
    );
    const { body } = await post(feedingBody(herdId, [[meadow, week]], { fedOn: '2027-01-05', method: 'bunk' }), 422);
    expect(body.errors).toMatchObject([{ pointer: '#/layers/0/parts/0/weight/value', code: CODE }]);
  });

  describe('in all the feedings of a herd on a day', () => {
    const RING = { method: 'ring-feeder' };
    let places = 0;
    const ofTheDay = async (head = 100) => {
      places += 1;
      const name = `Many times ${places}`;
      return { name, id: await cows(operation, await ranch(operation, { name }), { name, head }) };
    };
    const taken = async (body: object): Promise<string> =>
      (await operation.as.manager.post<WithId>(operation.at('/feedings'), body, { expect: 201 })).body.id;
    const undone = (id: string) =>
      operation.as.manager.post(operation.at(`/feedings/${id}/reversal`), { reason: 'Ten-fold' }, { expect: 201 });

    it('refuses what is too much beside what is laid already, and says how much that is', async () => {
      const { id, name } = await ofTheDay();
      await taken(feedingBody(id, [[meadow, '28000']], RING));
      // By hand: 28,000 lb and 23 bales of 1,200 lb for 100 cows are 492 lb of dry matter a head (88.4 %); of 1,200 lb
      // a head 34 % is 408 lb, and one bale of at most 3,307 lb more is 29 lb a head.
      const second = feedingBody(id, [[meadow, '27600']], RING);
      const [error] = await refused('/feedings', second);
      expect(error).toMatchObject({ pointer: '#/layers/0/parts/0/weight/value', code: CODE, given: '27600 lb' });
      expect(error?.message).toContain(
        `That comes to 492 lb of dry matter a head in all feedings of ${name} on 2027-01-10, with the 28,000 lb ` +
          'that 1 feeding laid already. The herd',
      );
      const [, allowed] = /^([\d.]+) lb or less$/.exec(error?.allowed ?? '') ?? [];
      const first = await taken(feedingBody(id, [[meadow, allowed ?? '']], RING));
      await refused('/feedings', feedingBody(id, [[meadow, '1200']], RING));
      // The next day is another one; what is reversed does not count.
      await taken({ ...second, fedOn: '2027-01-11' });
      await undone(first);
      await taken(feedingBody(id, [[meadow, '14400']], RING));
    });

    it('refuses nothing beside bales for a week that goes with them, and no bale for a bull with cubes', async () => {
      const { id } = await ofTheDay();
      const week = await taken(feedingBody(id, [[meadow, '28000']], RING));
      await taken(feedingBody(id, [[alfalfa, '800']], { method: 'bunk' }));
      // It stands in for the one that it corrects, which was reversed before.
      await undone(week);
      await taken(feedingBody(id, [[meadow, '28000']], { ...RING, correctsId: week }));
      const { id: alone } = await ofTheDay(1);
      await taken(feedingBody(alone, [[meadow, '1200']], RING));
      await taken(feedingBody(alone, [[alfalfa, '15']], { method: 'bunk' }));
      const kept = feedingBody(alone, [], RING);
      const part = { hayLotId: alfalfa, weight: { value: '4000', unit: 'lb' }, freeChoice: true };
      await taken({ ...kept, layers: [{ role: 'mixed', parts: [part] }] });
    });

    it('refuses it within one file, at the row that is too much, and beside what is on file', async () => {
      const { id, name } = await ofTheDay();
      const row = (day: string, pounds: string) =>
        `${name},${day},ring-feeder,mixed,"Meadow, first cutting",${pounds}\n`;
      const text =
        'herd,fed_on,method,role,lot,weight_lb\n' +
        [row('2027-01-06', '28000'), row('2027-01-07', '28000'), row('2027-01-06', '27600')].join('');
      const check = async (query: Record<string, string> = {}) =>
        (
          await operation.as.manager.post<Record<string, unknown>>(operation.at('/imports/feedings/check'), text, {
            headers: { 'content-type': 'text/csv' },
            query,
            key: null,
            expect: 200,
          })
        ).body;
      expect(await check()).toMatchObject({
        problemCount: 1,
        problems: [{ row: 4, column: 'weight_lb', code: CODE, given: '27600' }],
      });
      await taken(feedingBody(id, [[meadow, '28000']], { ...RING, fedOn: '2027-01-07' }));
      // Row 3 looks like the feeding that is there now, so it is tried only where that is asked for.
      expect(await check({ duplicates: 'enter' })).toMatchObject({ problems: [{ row: 3 }, { row: 4 }] });
    });
  });

  it('refuses it in a file, by row and column', async () => {
    const text =
      'herd,fed_on,method,role,lot,weight_lb\n' +
      'Cows,2027-01-06,unrolled-on-ground,mixed,"Meadow, first cutting",1700\n' +
      'Cows,2027-01-07,unrolled-on-ground,mixed,"Meadow, first cutting",170000\n';
    const checked = await operation.as.manager.post<Record<string, unknown>>(
      operation.at('/imports/feedings/check'),
      text,
      { headers: { 'content-type': 'text/csv' }, key: null, expect: 200 },
    );
    expect(checked.body).toMatchObject({ problems: [{ row: 3, column: 'weight_lb', code: CODE, given: '170000' }] });
  });

  it('refuses it where a feed sheet is confirmed with a difference', async () => {
    const { id } = (
      await operation.as.owner.post<WithId>(operation.at('/rations'), ration(amount('26')), { expect: 201 })
    ).body;
    for (const [step, body] of [
      ['proposal', {}],
      ['acceptance', {}],
      ['use', { from: '2027-01-10' }],
    ] as const)
      await operation.as.owner.post(operation.at(`/rations/${id}/${step}`), body, { expect: 200 });
    const errors = await refused('/feed-sheet-confirmations', {
      herdId,
      fedOn: '2027-01-14',
      method: 'bunk',
      differences: [{ step: 1, hayLotId: meadow, weight: { value: '156000', unit: 'lb' } }],
    });
    expect(errors).toMatchObject([{ pointer: '#/differences', code: CODE, given: '156000 lb' }]);
  });

  it('refuses to use a ration that the herd has become too light for', async () => {
    const { id } = (
      await operation.as.owner.post<WithId>(operation.at('/rations'), ration(amount('130')), { expect: 201 })
    ).body;
    for (const step of ['proposal', 'acceptance'])
      await operation.as.owner.post(operation.at(`/rations/${id}/${step}`), {}, { expect: 200 });
    await operation.as.owner.post(
      operation.at(`/herds/${herdId}/events`),
      { kind: 'weight', happenedOn: '2027-01-14', weight: { value: '850', unit: 'lb' } },
      { expect: 201 },
    );
    const { body } = await operation.as.owner.post<{ detail: string } & Record<string, unknown>>(
      operation.at(`/rations/${id}/use`),
      { from: '2027-01-15' },
      { expect: 409 },
    );
    expect(body.detail).toMatch(/Draft the ration anew/);
  });

  it('counts no free-choice feed as wasted: more than was laid cannot be', async () => {
    const errors = await refused('/feedings', {
      ...feedingBody(herdId, [[meadow, '1000']], { fedOn: '2027-01-03' }),
      layers: [
        { role: 'mixed', parts: [{ hayLotId: meadow, weight: { value: '1000', unit: 'lb' } }] },
        { role: 'mixed', parts: [{ hayLotId: alfalfa, weight: { value: '500', unit: 'lb' }, freeChoice: true }] },
      ],
      wasted: { value: '1200', unit: 'lb' },
    });
    expect(errors).toMatchObject([{ pointer: '#/wasted', code: 'more-than-was-fed', allowed: '1000 lb or less' }]);
  });
});
