/*
 * The nutritionist's pages: a ration is laid in a form, judged as the API judges it, kept, proposed, accepted and put
 * in use by buttons under the right roles; what is wrong stands at its field and what was typed stays.
 */
import { SignInStore } from '../../src/access/sign-in/sign-in.store.js';
import { barriersOf, slipsOf } from '../support/page-structure.js';
import { type Operation, operationWith, type Role } from '../support/people.js';
import { aWinterIn, type Winter } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';

interface Line {
  nutrient: string;
  supply: number | null;
  need: number | null;
}
interface Evaluation {
  lines: Line[];
  costPerHeadDay: { amount: string } | null;
}
interface Ration {
  id: string;
  name: string;
  state: string;
  inUseFrom: string | null;
}

const ROLES: Role[] = ['owner', 'manager', 'nutritionist', 'hand'];

describe('the pages of the desk', () => {
  let world: World;
  let operation: Operation;
  let winter: Winter;
  const cookies = new Map<Role, string>();
  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world, { roles: ROLES });
    winter = await aWinterIn(operation);
    const sessions = world.application.get(SignInStore);
    for (const role of ROLES) {
      const { id } = operation.people[role];
      const token = await sessions.openPageSession(id, 'test', world.clock.now(), '10.0.0.9', 12);
      cookies.set(role, `rickyard_pages=${token}`);
    }
  });
  afterAll(async () => {
    await world.close();
  });

  const at = (path: string): string => `/yard/operations/${operation.id}${path}`;
  const send = (
    role: Role,
    method: 'GET' | 'POST',
    url: string,
    fields?: Record<string, string>,
    site = 'same-origin',
  ) =>
    world.application.inject({
      method,
      url,
      headers: {
        accept: 'text/html',
        host: 'yard.test:4180',
        cookie: cookies.get(role) ?? '',
        ...(fields === undefined
          ? {}
          : { 'content-type': 'application/x-www-form-urlencoded', 'sec-fetch-site': site }),
      },
      ...(fields === undefined ? {} : { payload: new URLSearchParams(fields).toString() }),
    });
  const laid = (more: Record<string, string> = {}): Record<string, string> => ({
    name: 'Two layers',
    on: '2027-01-15',
    units: 'us',
    basis: 'as-fed',
    amount: '18',
    amountBasis: 'as-fed',
    unit: 'lb',
    role1: 'coarse',
    lot1: winter.lots[0]?.lotId ?? '',
    share1: '60',
    role2: 'rich',
    lot2: winter.lots[1]?.lotId ?? '',
    share2: '40',
    ...more,
  });
  const deskAt = (fields: Record<string, string>): string =>
    `${at(`/herds/${winter.herdId}/ration-desk`)}?${new URLSearchParams(fields).toString()}`;
  const rations = async (): Promise<Ration[]> =>
    (await operation.as.owner.get<{ items: Ration[] }>(operation.at('/rations'), { expect: 200 })).body.items;

  it('judges what is laid as the API does, with bars, numbers and cost, and keeps what was typed', async () => {
    const before = await rations();
    const page = await send('nutritionist', 'GET', deskAt(laid()));
    expect([page.statusCode, barriersOf(page.payload), slipsOf(page.payload)]).toEqual([200, [], []]);
    const { body } = await operation.as.nutritionist.post<Evaluation>(
      operation.at(`/herds/${winter.herdId}/ration-evaluation?on=2027-01-15&units=us`),
      {
        basis: 'as-fed',
        amount: { weight: { value: '18', unit: 'lb' }, basis: 'as-fed' },
        layers: [
          { role: 'coarse', parts: [{ hayLotId: winter.lots[0]?.lotId, sharePercent: '60' }] },
          { role: 'rich', parts: [{ hayLotId: winter.lots[1]?.lotId, sharePercent: '40' }] },
        ],
      },
      { expect: 200 },
    );
    const known = body.lines.filter((one) => one.supply !== null && one.need !== null && one.need > 0);
    expect(known.length).toBeGreaterThan(5);
    for (const { supply, need } of known)
      expect(page.payload).toContain(` ${Math.round((100 * (supply ?? 0)) / (need ?? 1)).toLocaleString('en-US')} % (`);
    if (body.costPerHeadDay !== null)
      expect(page.payload).toContain(`Hay costs ${Number(body.costPerHeadDay.amount).toFixed(2)} USD per head per day`);
    for (const typed of ['value="Two layers"', 'value="18"', 'value="60"', 'value="40"'])
      expect(page.payload).toContain(typed);
    expect(await rations()).toEqual(before);
  });

  it('says at its field what is wrong, in words, and keeps what was typed; nothing is kept of it', async () => {
    const before = await rations();
    for (const [field, wrong, typed] of [
      ['share2', laid({ share2: '50' }), 'value="50"'],
      ['amount', laid({ amount: 'much' }), 'value="much"'],
      ['name', laid({ name: '' }), 'name="name" value=""'],
    ] as const) {
      const page = await send('nutritionist', 'GET', deskAt(wrong));
      expect([field, page.statusCode, barriersOf(page.payload)]).toEqual([field, 200, []]);
      expect(page.payload).toContain('role="alert"');
      expect(page.payload).toMatch(/<p class="wrong"[^>]*>[^<]{10,}<\/p>/);
      expect(page.payload).toContain(typed);
      if (field !== 'share2') expect(page.payload).toContain(`id="${field}-wrong"`);
      // Kept, it comes back to the same page.
      const kept = await send('nutritionist', 'POST', at(`/herds/${winter.herdId}/ration-desk`), wrong);
      expect([kept.statusCode, String(kept.headers['location'])]).toEqual([
        303,
        expect.stringContaining('/ration-desk?'),
      ]);
    }
    expect(await rations()).toEqual(before);
  });

  it('keeps what was judged: the button is sent to where no query stands in the way', async () => {
    const judged = deskAt(laid({ name: 'Judged and kept' }));
    const page = await send('nutritionist', 'GET', judged);
    // HTML: a form without an action is sent to the address of its page, query and all.
    const [, action = judged] = /<form class="lay"[^>]*action="([^"]*)"/.exec(page.payload) ?? [];
    const kept = await send('nutritionist', 'POST', action, laid({ name: 'Judged and kept' }));
    expect([kept.statusCode, String(kept.headers['location'])]).toEqual([303, expect.stringContaining('/rations/')]);
  });

  it('goes from draft to use by buttons, each under its role, and takes no form from elsewhere', async () => {
    const foreign = await send('nutritionist', 'POST', at(`/herds/${winter.herdId}/ration-desk`), laid(), 'cross-site');
    expect(foreign.statusCode).toBe(403);
    expect((await send('hand', 'GET', deskAt(laid()))).statusCode).toBe(403);
    expect((await send('hand', 'POST', at(`/herds/${winter.herdId}/ration-desk`), laid())).statusCode).toBe(403);
    const kept = await send('nutritionist', 'POST', at(`/herds/${winter.herdId}/ration-desk`), laid());
    expect(kept.statusCode).toBe(303);
    const ration = String(kept.headers['location']);
    const state = async (): Promise<Ration> =>
      (
        await operation.as.owner.get<Ration>(operation.at(`/rations/${ration.split('/').at(-1) ?? ''}`), {
          expect: 200,
        })
      ).body;
    expect(await state()).toMatchObject({ state: 'draft', name: 'Two layers' });
    const shows = async (role: Role): Promise<string> => {
      const page = await send(role, 'GET', ration);
      expect([role, page.statusCode, barriersOf(page.payload), slipsOf(page.payload)]).toEqual([role, 200, [], []]);
      return page.payload;
    };
    expect(await shows('nutritionist')).toContain('Propose it to the ranch');
    expect(await shows('hand')).not.toContain('<button');
    expect((await send('hand', 'POST', `${ration}/proposal`, {})).statusCode).toBe(403);
    expect((await send('nutritionist', 'POST', `${ration}/proposal`, { words: 'Try this' })).statusCode).toBe(303);
    expect((await send('nutritionist', 'POST', `${ration}/acceptance`, {})).statusCode).toBe(403);
    expect(await shows('manager')).toContain('Accept it');
    // No return without a word of what should change.
    expect((await send('manager', 'POST', `${ration}/return`, { words: '' })).statusCode).toBe(400);
    expect((await send('manager', 'POST', `${ration}/acceptance`, {})).statusCode).toBe(303);
    expect((await send('manager', 'POST', `${ration}/use`, { from: '2027-01-16' })).statusCode).toBe(303);
    expect(await state()).toMatchObject({ inUseFrom: '2027-01-16' });
    expect(await shows('manager')).toContain('Try this');
  });
});
