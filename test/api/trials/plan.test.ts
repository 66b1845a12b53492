import { openWorld, type World } from '../../support/world.js';
import { type Operation, operationWith } from '../../support/people.js';
import { herd, ranch } from '../../support/things.js';
import {
  aRunningTrial,
  BEGINS,
  dayOf,
  type Drawn,
  planBody,
  startWeights,
  type TrialAnswer,
  weigh,
} from './support.js';

let world: World;
let operation: Operation;
let herdId: string;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  herdId = await herd(operation, await ranch(operation), { head: 40 });
});
afterAll(() => world.close());

describe('planning a trial', () => {
  it('keeps what was typed and says what the plan can see', async () => {
    const { nutritionist, hand } = operation.as;
    const planned = await nutritionist.post<TrialAnswer>(operation.at('/trials'), planBody(herdId), { expect: 201 });
    expect(planned.body).toMatchObject({
      state: 'draft',
      draws: 0,
      plan: {
        worthwhileDifference: { value: '0.25', unit: 'lb', typed: { value: '0.25', unit: 'lb' } },
        unitsPerArm: 10,
        twoWeighingDays: true,
      },
    });
    expect(planned.headers['location']).toBe(operation.at(`/trials/${planned.body.id}`));
    const answer = (
      await hand.get<{
        words: string[];
        overThirtyDays: { headPerArm: number; words: string[] }[];
        spread: { isDefault: boolean; source: string };
        cautions: { code: string }[];
      }>(operation.at(`/trials/${planned.body.id}/plan`), { expect: 200 })
    ).body;
    expect(answer.spread).toMatchObject({ isDefault: true });
    expect(answer.spread.source).toContain('Oklahoma State University');
    expect(answer.overThirtyDays.map((one) => one.headPerArm)).toEqual([10, 20]);
    expect(answer.overThirtyDays[0]?.words[0]).toContain('With 10 head per arm over 30 days');
    expect(answer.overThirtyDays[1]?.words[0]).toContain('With 20 head per arm over 30 days');
    expect(answer.cautions.map((one) => one.code)).toEqual(
      expect.arrayContaining(['trial.short', 'trial.few-head', 'trial.default-spread', 'trial.gut-fill']),
    );
    const picture = await hand.get(operation.at(`/trials/${planned.body.id}/plan`), {
      query: { format: 'svg' },
      expect: 200,
    });
    expect(picture.headers['content-type']).toContain('image/svg+xml');
    expect(picture.text).toContain('<svg');
  });

  it('goes by own weights animal by animal where the books carry them', async () => {
    const yard = await operationWith(world);
    const own = await herd(yard, await ranch(yard), { head: 20 });
    const starts = startWeights(20);
    await weigh(yard, own, '2026-11-05', starts);
    await weigh(
      yard,
      own,
      '2027-01-04',
      new Map([...starts].map(([tag, pounds], index) => [tag, pounds + 60 * (1 + index / 20)])),
    );
    const planned = await yard.as.nutritionist.post<TrialAnswer>(
      yard.at('/trials'),
      planBody(own, { spread: { from: 'own-weights' } }),
      { expect: 201 },
    );
    const answer = (
      await yard.as.owner.get<{
        spread: { isDefault: boolean; why: string; ofAnimals: { value: string; unit: string } };
      }>(yard.at(`/trials/${planned.body.id}/plan`), { expect: 200 })
    ).body;
    expect(answer.spread).toMatchObject({
      isDefault: false,
      why: '20 animals in 1 group over 60 days, 19 degrees of freedom',
    });
    // Twenty gains 0.05 lb apart: variance 0.05² × (20² − 1) / 12 × 20 / 19; weights are read to a tenth of a
    // pound.
    expect(Number(answer.spread.ofAnimals.value)).toBeCloseTo(Math.sqrt(((0.0025 * 399) / 12) * (20 / 19)), 2);
  });

  it('takes the spread of weights from own weighings on two days in a row, and losses as told', async () => {
    const yard = await operationWith(world);
    const own = await herd(yard, await ranch(yard), { head: 20 });
    const starts = startWeights(20);
    await weigh(yard, own, '2026-12-05', starts);
    await weigh(yard, own, '2026-12-06', new Map([...starts].map(([tag, pounds], index) => [tag, pounds + index])));
    const expectedLosses = { cattlePercent: 4.5, source: 'Our own closeouts' };
    const { body } = await yard.as.nutritionist.post<TrialAnswer & { plan: object }>(
      yard.at('/trials'),
      planBody(own, { expectedLosses, equivalence: true }),
      { expect: 201 },
    );
    expect(body.plan).toMatchObject({
      equivalence: true,
      expectedLosses: { ...expectedLosses, pensPercent: 0 },
      weighingSpread: null,
    });
    const read = async (id: string, at: Operation) =>
      (
        await at.as.owner.get<{
          spread: { weighing: { ofOneWeight: { value: string }; isDefault: boolean; source: string; why: string } };
          losses: object;
          equivalence: { power: number };
          words: string[];
        }>(at.at(`/trials/${id}/plan`), { expect: 200 })
      ).body;
    const answer = await read(body.id, yard);
    // Twenty differences 1 lb apart: variance (20² − 1) / 12 × 20 / 19, half of it for one day.
    expect(Number(answer.spread.weighing.ofOneWeight.value)).toBeCloseTo(Math.sqrt((399 / 12) * (20 / 19) * 0.5), 2);
    expect(answer.spread.weighing).toMatchObject({ isDefault: false, why: null });
    expect(answer.spread.weighing.source).toContain('20 animals in 1 group, 19 degrees of freedom');
    expect(answer.equivalence.power).toBeGreaterThan(0);
    expect(answer.equivalence.power).toBeLessThan(1);
    expect(answer.losses).toEqual({ ...expectedLosses, pensPercent: 0, isDefault: false });
    expect(answer.words.join(' ')).toContain('4.5 % of cattle are expected to be lost');
    const without = await operation.as.nutritionist.post<TrialAnswer>(operation.at('/trials'), planBody(herdId), {
      expect: 201,
    });
    const fallen = (await read(without.body.id, operation)).spread.weighing;
    expect(fallen).toMatchObject({ isDefault: true });
    expect(fallen.why).toContain('two days in a row of 0 animals');
  });

  it('says why it falls back on the default, and takes a stated figure with its source', async () => {
    const { nutritionist } = operation.as;
    const plan = async (spread: object): Promise<{ spread: Record<string, unknown> }> => {
      const { id } = (
        await nutritionist.post<TrialAnswer>(operation.at('/trials'), planBody(herdId, { spread }), { expect: 201 })
      ).body;
      return (
        await nutritionist.get<{ spread: Record<string, unknown> }>(operation.at(`/trials/${id}/plan`), { expect: 200 })
      ).body;
    };
    const fallen = await plan({ from: 'own-weights' });
    expect(fallen.spread).toMatchObject({ isDefault: true });
    expect(fallen.spread['why']).toContain('9 degrees of freedom are needed');
    const stated = await plan({
      from: 'stated',
      perDay: { value: '0.4', unit: 'lb' },
      source: 'Our own trial of last winter',
    });
    expect(stated.spread).toMatchObject({
      isDefault: false,
      source: 'Our own trial of last winter',
      ofAnimals: { value: '0.4', unit: 'lb' },
    });
  });

  it('refuses what cannot be a trial, with a pointer to the field', async () => {
    const { nutritionist } = operation.as;
    const refused = async (
      more: Record<string, unknown>,
      status = 422,
    ): Promise<{ pointer?: string; code: string }[]> =>
      (
        await nutritionist.post<{ errors: { pointer?: string; code: string }[] }>(
          operation.at('/trials'),
          planBody(herdId, more),
          { expect: status },
        )
      ).body.errors;
    const arm = { name: 'a', role: 'change', feeding: 'b' };
    expect(await refused({ arms: [arm, arm] })).toMatchObject([{ code: 'trial.arms', pointer: '#/arms' }]);
    expect(await refused({ headPerPen: 4 })).toMatchObject([{ code: 'trial.units', pointer: '#/headPerPen' }]);
    expect(await refused({ looks: { atShares: [0.5], spending: 'pocock-type' } })).toMatchObject([
      { code: 'trial.looks', pointer: '#/looks/atShares' },
    ]);
    expect(await refused({ looks: { atShares: [0.33, 1], spending: 'pocock-type' } })).toMatchObject([
      { code: 'trial.look-not-weighed', pointer: '#/looks/atShares' },
    ]);
    expect(await refused({ interimWeighingDays: [30] })).toMatchObject([
      { code: 'after-the-end', pointer: '#/interimWeighingDays' },
    ]);
    expect(await refused({ hoursOffFeed: 12 })).toMatchObject([{ code: 'full-weights', pointer: '#/hoursOffFeed' }]);
    expect(await refused({ unit: 'pen', pens: ['one', 'two', 'three'] })).toMatchObject([
      { code: 'number-of-pens', pointer: '#/pens' },
    ]);
    expect(await refused({ pens: ['one'] })).toMatchObject([{ code: 'animals-are-the-unit', pointer: '#/pens' }]);
    expect(await refused({ worthwhileDifference: { value: '0', unit: 'lb' } }, 400)).toMatchObject([
      { pointer: '#/worthwhileDifference/value' },
    ]);
    await nutritionist.post(operation.at('/trials'), planBody('0190a8a0-0000-7000-8000-000000000000'), { expect: 404 });
  });

  it("is the desk's: manager, hand and accountant read", async () => {
    const { manager, hand, accountant, owner } = operation.as;
    for (const client of [manager, hand, accountant]) {
      await client.post(operation.at('/trials'), planBody(herdId), { expect: 403 });
      await client.get(operation.at('/trials'), { expect: 200 });
    }
    await owner.post(operation.at('/trials'), planBody(herdId), { expect: 201 });
    const elsewhere = await operationWith(world, { roles: ['owner'] });
    await elsewhere.as.owner.get(operation.at('/trials'), { expect: 404 });
  });

  it('is versioned while it is a draft', async () => {
    const { nutritionist } = operation.as;
    const planned = await nutritionist.post<TrialAnswer>(operation.at('/trials'), planBody(herdId), { expect: 201 });
    const at = operation.at(`/trials/${planned.body.id}`);
    await nutritionist.patch(at, { lengthDays: 60 }, { expect: 428 });
    const changed = await nutritionist.patch<TrialAnswer & { plan: Record<string, unknown> }>(
      at,
      { lengthDays: 60 },
      { ifMatch: planned.headers['etag'] ?? '', expect: 200 },
    );
    expect(changed.body.plan).toMatchObject({
      lengthDays: 60,
      unitsPerArm: 10,
      spread: { from: 'default' },
      herdHead: 200,
    });
    await nutritionist.patch(at, { lengthDays: 90 }, { ifMatch: planned.headers['etag'] ?? '', expect: 412 });
    const [usual] = planned.body.arms;
    const arms = [
      { id: usual?.id, name: 'as ever', role: 'usual', feeding: 'Meadow hay' },
      { name: 'new', role: 'change', feeding: 'Alfalfa' },
      { name: 'newer', role: 'change', feeding: 'Clover' },
    ];
    const third = await nutritionist.patch<TrialAnswer>(
      at,
      { arms },
      { ifMatch: changed.headers['etag'] ?? '', expect: 200 },
    );
    expect(third.body.arms.map((arm) => arm.name)).toEqual(['as ever', 'new', 'newer']);
    expect(third.body.arms[0]?.id).toBe(usual?.id);
  });
});

describe('drawing the arms', () => {
  it('is random within blocks, repeats with its seed, and keeps every draw', async () => {
    const yard = await operationWith(world);
    const { nutritionist } = yard.as;
    const own = await herd(yard, await ranch(yard), { head: 20 });
    const planned = (await nutritionist.post<TrialAnswer>(yard.at('/trials'), planBody(own), { expect: 201 })).body;
    const at = (path: string): string => yard.at(`/trials/${planned.id}${path}`);
    const weighInId = await weigh(yard, own, dayOf(-3), startWeights(20));
    const first = (
      await nutritionist.post<Drawn>(at('/draws'), { weighInIds: [weighInId], seed: '4711' }, { expect: 201 })
    ).body;
    expect(first.balance.map((row) => row.head)).toEqual([10, 10]);
    expect(new Set(first.assignments.map((one) => one.visualTag)).size).toBe(20);
    await nutritionist.post(at('/draws'), { weighInIds: [weighInId], seed: '4711' }, { expect: 422 });
    const again = (
      await nutritionist.post<Drawn & { number: number }>(
        at('/draws'),
        { weighInIds: [weighInId], seed: '4711', reason: 'To show that the seed draws the same' },
        { expect: 201 },
      )
    ).body;
    expect(again.assignments.map((one) => [one.visualTag, one.armId])).toEqual(
      first.assignments.map((one) => [one.visualTag, one.armId]),
    );
    expect(again.number).toBe(2);
    const without = (
      await nutritionist.post<Drawn>(
        at('/draws'),
        { weighInIds: [weighInId], leaveOut: ['T07'], reason: 'T07 is lame' },
        { expect: 201 },
      )
    ).body;
    expect(without.assignments).toHaveLength(19);
    expect(without.seed).toMatch(/^\d{1,19}$/);
    const list = await yard.as.hand.get<{ items: { number: number }[] }>(at('/draws'), { expect: 200 });
    expect(list.body.items.map((one) => one.number)).toEqual([3, 2, 1]);
    const group = await yard.as.hand.post<{ id: string }>(
      yard.at('/weigh-ins'),
      {
        scope: 'group',
        herdId: own,
        weighedOn: dayOf(-3),
        fill: 'full',
        head: 20,
        measure: 'mean',
        weight: { value: '500', unit: 'lb' },
      },
      { expect: 201 },
    );
    await nutritionist.post(at('/draws'), { weighInIds: [group.body.id], reason: 'again' }, { expect: 422 });
    await yard.as.manager.post(at('/draws'), { weighInIds: [weighInId], reason: 'again' }, { expect: 403 });
    await nutritionist.post(at('/beginning'), { beginsOn: BEGINS }, { expect: 428 });
  });

  it('draws pens too: animals into pens, pens into arms', async () => {
    const yard = await operationWith(world);
    const own = await herd(yard, await ranch(yard), { head: 20 });
    const pens = ['north', 'east', 'south', 'west'];
    const planned = (
      await yard.as.nutritionist.post<TrialAnswer>(
        yard.at('/trials'),
        planBody(own, { unit: 'pen', unitsPerArm: 2, headPerPen: 5, pens }),
        { expect: 201 },
      )
    ).body;
    const weighInId = await weigh(yard, own, dayOf(-3), startWeights(20));
    const drawn = (
      await yard.as.nutritionist.post<Drawn & { penArms: { pen: string; armId: string }[] }>(
        yard.at(`/trials/${planned.id}/draws`),
        { weighInIds: [weighInId], seed: '1' },
        { expect: 201 },
      )
    ).body;
    expect(drawn.penArms.map((one) => one.pen).sort()).toEqual([...pens].sort());
    for (const { pen, armId } of drawn.penArms) {
      const inside = drawn.assignments.filter((one) => one.pen === pen);
      expect(inside).toHaveLength(5);
      expect(inside.every((one) => one.armId === armId)).toBe(true);
    }
  });
});

describe('a trial that began', () => {
  it('is frozen, and amended with a reason only', async () => {
    const yard = await operationWith(world);
    const running = await aRunningTrial(world, yard);
    const { nutritionist } = yard.as;
    const trial = await nutritionist.get<TrialAnswer & { herds: { herdId: string }[]; endsOn: string }>(
      running.at(''),
      { expect: 200 },
    );
    expect(trial.body).toMatchObject({
      state: 'running',
      beginsOn: BEGINS,
      endsOn: dayOf(31),
      inForce: { lengthDays: 30 },
    });
    expect(trial.body.herds).toHaveLength(2);
    const etag = trial.headers['etag'] ?? '';
    await nutritionist.patch(running.at(''), { lengthDays: 20 }, { ifMatch: etag, expect: 409 });
    await nutritionist.post(running.at('/draws'), { weighInIds: [trial.body.id], reason: 'again' }, { expect: 409 });
    await nutritionist.post(
      running.at('/amendments'),
      { reason: 'Snow: the scale cannot be reached' },
      { ifMatch: etag, expect: 400 },
    );
    await nutritionist.post(
      running.at('/amendments'),
      { reason: 'No confidence left', confidence: 0.8 },
      { ifMatch: etag, expect: 400 },
    );
    const amended = await nutritionist.post<
      TrialAnswer & { plan: { lengthDays: number }; inForce: { lengthDays: number }; amendments: object[] }
    >(
      running.at('/amendments'),
      { reason: 'Snow: the scale cannot be reached before', lengthDays: 34 },
      { ifMatch: etag, expect: 200 },
    );
    expect(amended.body).toMatchObject({
      plan: { lengthDays: 30 },
      inForce: { lengthDays: 34 },
      endsOn: dayOf(35),
      amendments: [{ number: 1, reason: 'Snow: the scale cannot be reached before', changes: { lengthDays: 34 } }],
    });
    const promised = (
      await nutritionist.get<{ frozen: boolean; lengthDays: number }>(running.at('/plan'), { expect: 200 })
    ).body;
    expect(promised).toMatchObject({ frozen: true, lengthDays: 30 });
    await yard.as.manager.post(
      running.at('/amendments'),
      { reason: 'Longer', lengthDays: 40 },
      { ifMatch: amended.headers['etag'] ?? '', expect: 403 },
    );
    await expect(
      world.ownerPool.query("UPDATE trial SET plan = '{}' WHERE id = $1", [running.trialId]),
    ).rejects.toMatchObject({ code: 'RY002' });
    await expect(
      world.ownerPool.query("UPDATE trial_arm SET name = 'other' WHERE trial_id = $1", [running.trialId]),
    ).rejects.toMatchObject({ code: 'RY002' });
    await expect(
      world.ownerPool.query('DELETE FROM trial_amendment WHERE trial_id = $1', [running.trialId]),
    ).rejects.toMatchObject({ code: 'RY002' });
  });

  it('cannot begin without a draw, away from its weights, or with one herd in two arms', async () => {
    const yard = await operationWith(world);
    const { nutritionist } = yard.as;
    const own = await herd(yard, await ranch(yard), { head: 20 });
    const planned = await nutritionist.post<TrialAnswer>(yard.at('/trials'), planBody(own), { expect: 201 });
    const at = (path: string): string => yard.at(`/trials/${planned.body.id}${path}`);
    const ifMatch = planned.headers['etag'] ?? '';
    await nutritionist.post(at('/beginning'), { beginsOn: BEGINS }, { ifMatch, expect: 409 });
    const weighInId = await weigh(yard, own, dayOf(-3), startWeights(20));
    await nutritionist.post(at('/draws'), { weighInIds: [weighInId] }, { expect: 201 });
    const etag = (await nutritionist.get(at(''), { expect: 200 })).headers['etag'] ?? '';
    await nutritionist.post(at('/beginning'), { beginsOn: dayOf(70) }, { ifMatch: etag, expect: 422 });
    await nutritionist.post(
      at('/beginning'),
      { beginsOn: BEGINS, herds: planned.body.arms.map((arm) => ({ armId: arm.id, herdId: own })) },
      { ifMatch: etag, expect: 422 },
    );
    await nutritionist.post(
      at('/beginning'),
      { beginsOn: BEGINS, herds: [{ pen: 'north', herdId: own }] },
      { ifMatch: etag, expect: 422 },
    );
    await nutritionist.post(at('/closing'), { reason: 'Given up' }, { ifMatch: etag, expect: 200 });
    const given = await nutritionist.get<TrialAnswer>(at(''), { expect: 200 });
    expect(given.body).toMatchObject({ state: 'closed', closeReason: 'Given up' });
    await nutritionist.post(at('/closing'), { reason: 'Again' }, { ifMatch: given.headers['etag'] ?? '', expect: 409 });
  });

  it('has a sheet for the yard, as a page and on paper', async () => {
    const yard = await operationWith(world);
    const running = await aRunningTrial(world, yard);
    const sheet = (
      await yard.as.hand.get<{ steps: { day: number | null; on: string | null; code: string }[]; animals: object[] }>(
        running.at('/protocol'),
        { expect: 200 },
      )
    ).body;
    expect(sheet.steps.filter((step) => step.code === 'weigh').map((step) => step.on)).toEqual(
      [0, 1, 30, 31].map((day) => dayOf(day)),
    );
    expect(sheet.animals).toHaveLength(20);
    const html = await yard.as.hand.get(running.at('/protocol'), { headers: { Accept: 'text/html' }, expect: 200 });
    expect(html.text).toContain('<!doctype html>');
    const pdf = await yard.as.hand.get(running.at('/protocol'), { query: { format: 'pdf' }, expect: 200 });
    expect(pdf.text.startsWith('%PDF-')).toBe(true);
  });
});
