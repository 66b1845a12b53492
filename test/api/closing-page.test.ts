/*
 * Closing a period on a page: first what it would hold, then the button; a day that cannot be is told at its field and
 * closes nothing; one closing for one press, by the office alone.
 */
import { SignInStore } from '../../src/access/sign-in/sign-in.store.js';
import { barriersOf, slipsOf } from '../support/page-structure.js';
import { type Operation, operationWith, type Role } from '../support/people.js';
import { aWinterIn } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';

const ROLES: Role[] = ['owner', 'manager', 'accountant', 'hand'];

describe('closing a period on a page', () => {
  let world: World;
  let operation: Operation;
  const cookies = new Map<Role, string>();
  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world, { roles: ROLES });
    await aWinterIn(operation);
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

  const send = (role: Role, query = '', fields?: Record<string, string>, site = 'same-origin') =>
    world.application.inject({
      method: fields === undefined ? 'GET' : 'POST',
      url: `/yard/operations/${operation.id}/closings${query}`,
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
  const closed = async (): Promise<{ from: string; until: string; note: string | null }[]> =>
    (
      await operation.as.owner.get<{ items: { from: string; until: string; note: string | null }[] }>(
        operation.at('/closings'),
        { expect: 200 },
      )
    ).body.items;

  it('shows what would be closed before the button that closes, and closes by that alone', async () => {
    const before = await closed();
    const shown = await send('accountant', '?until=2027-01-14&note=Year');
    expect([shown.statusCode, barriersOf(shown.payload), slipsOf(shown.payload)]).toEqual([200, [], []]);
    expect(shown.payload).toContain('Close the books through 2027-01-14?');
    expect(shown.payload).toContain('/hay-position?on=2027-01-14');
    expect(await closed()).toEqual(before);
    const made = await send('accountant', '', { until: '2027-01-14', note: 'Year', sure: 'yes' });
    expect(made.statusCode).toBe(200);
    const [newest] = await closed();
    expect(newest).toMatchObject({ until: '2027-01-14', note: 'Year' });
    expect(made.payload).toContain(`Closed: ${newest?.from ?? ''} to 2027-01-14.`);
    expect(await closed()).toHaveLength(before.length + 1);
    // Pressed twice, it is done once: the second is told why not.
    const again = await send('accountant', '', { until: '2027-01-14', note: 'Year', sure: 'yes' });
    expect(again.payload).toContain('The books are closed through 2027-01-14.');
    expect(await closed()).toHaveLength(before.length + 1);
  });

  it('tells at its field that a day cannot be, keeps what was typed and closes nothing', async () => {
    const before = await closed();
    const page = await send('accountant', '', { until: '2027-01-15', note: 'Too early', sure: 'yes' });
    expect([page.statusCode, barriersOf(page.payload)]).toEqual([200, []]);
    expect(page.payload).toContain('A period can only be closed when its last day is over.');
    expect(page.payload).toContain('value="2027-01-15"');
    expect(page.payload).toContain('value="Too early"');
    expect(await closed()).toEqual(before);
  });

  it('is for the office, takes no form from elsewhere, and none that did not say yes', async () => {
    const before = await closed();
    expect((await send('hand')).statusCode).toBe(403);
    expect((await send('hand', '', { until: '2027-01-14', sure: 'yes' })).statusCode).toBe(403);
    expect((await send('accountant', '', { until: '2027-01-14', sure: 'yes' }, 'cross-site')).statusCode).toBe(403);
    expect((await send('accountant', '', { until: '2027-01-14' })).statusCode).toBe(400);
    expect(await closed()).toEqual(before);
  });
});
