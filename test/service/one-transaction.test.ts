import pg from 'pg';
import { ENDPOINTS, PAGES, transactionOf } from '../../src/platform/http/endpoint.js';
import { type Operation, operationWith } from '../support/people.js';
import * as things from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let operation: Operation;
let herdId: string;
let lotId: string;
let statements: string[];
let query: jest.SpyInstance;

beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  const ranchId = await things.ranch(operation);
  herdId = await things.herd(operation, ranchId);
  ({ lotId } = await things.lot(operation, ranchId));
  await things.feeding(operation, herdId, [[lotId, '800']], { fedOn: '2027-01-08' });
  const { query: send } = pg.Client.prototype as unknown as { query: (...given: unknown[]) => unknown };
  query = jest.spyOn(pg.Client.prototype, 'query').mockImplementation(function (this: pg.Client, ...given: unknown[]) {
    const [first] = given as [string | { text: string }];
    statements.push(typeof first === 'string' ? first : first.text);
    return send.apply(this, given);
  });
});
afterAll(async () => {
  query.mockRestore();
  await world.close();
});
beforeEach(() => {
  statements = [];
});

const count = (pattern: RegExp): number => statements.filter((one) => pattern.test(one)).length;
/** Whoever asks is found, enters once and works in one transaction, in which a read can write nothing. */
function expectOneTransaction(begin: 'begin' | 'start transaction read only'): void {
  expect({
    begun: statements.filter((one) => /^(begin|start transaction)/i.test(one)),
    ended: count(/^commit/i),
    entered: count(/rickyard\.enter(_operation)?\(/),
  }).toEqual({
    begun: [begin],
    ended: 1,
    entered: 1,
  });
  expect(statements.findIndex((one) => one.includes('rickyard.session_of_token('))).toBe(1);
}

describe('one request', () => {
  it.each([
    ['one lot', () => operation.at(`/hay-lots/${lotId}`)],
    ['lots', () => operation.at('/hay-lots')],
    ['feedings', () => operation.at('/feedings')],
    ['weigh-ins', () => operation.at('/weigh-ins')],
    ['season cost', () => operation.at('/reports/season-cost?from=2026-11-01&until=2027-01-14')],
    ['a ration review', () => operation.at(`/herds/${herdId}/ration-review`)],
    ['hay budget plans', () => operation.at('/hay-budget-plans')],
    ['the person asking', () => '/v1/me'],
    ['operations', () => '/v1/operations'],
  ] satisfies [string, () => string][])('that reads %s is one transaction, entered once', async (_what, address) => {
    await operation.as.owner.get(address(), { expect: 200 });
    expectOneTransaction('start transaction read only');
  });

  it('that reads a page made of several answers is one transaction, entered once', async () => {
    const page = await operation.as.owner.get(`/yard/operations/${operation.id}`);
    expect(page.status).toBe(200);
    expectOneTransaction('start transaction read only');
  });

  it('that writes a feeding is one transaction, entered once', async () => {
    await things.feeding(operation, herdId, [[lotId, '400']], { fedOn: '2027-01-09' });
    expectOneTransaction('begin');
  });

  it('that is refused leaves its transaction undone', async () => {
    await operation.as.hand.get(operation.at('/audit'), { expect: 403 });
    // The denial is noted in a transaction of its own, which may have begun by now.
    expect({ entered: count(/rickyard\.enter(_operation)?\(/), undone: count(/^rollback/i) }).toEqual({
      entered: 1,
      undone: 1,
    });
  });
});

it('has transactions of its own only where several are needed, or none while it works long', () => {
  const own = [...ENDPOINTS, ...PAGES]
    .filter((one) => one.access !== 'public' && transactionOf(one) === 'own' && one.tag !== 'Calculations')
    .map((one) => one.operationId)
    .sort();
  expect(own).toEqual(
    [
      // Passphrases and codes are proved outside a transaction, and attempts are counted whatever comes of them.
      'changePassphrase',
      'makeRecoveryCodes',
      'beginSecondFactor',
      'confirmSecondFactor',
      'removeSecondFactor',
      'takeSecondLook',
      'joinByInvitation',
      // A session ends under a proof of its own.
      'signOut',
      'signOutByForm',
      // The operation is found in the engagement first; what has lapsed is settled first.
      'endOwnEngagement',
      'getEngagementCopy',
      // A worker works long on facts that were read before; no connection waits for it.
      'solveLeastCostRation',
      // Progress is told while a file is taken in.
      ...own.filter((id) => /^(checkImportOf|import)[A-Z]/.test(id)),
    ].sort(),
  );
});
