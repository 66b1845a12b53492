/*
 * How PostgreSQL would answer the busiest addresses among a thousand operations with a million rows in every table:
 * each statement as the application sends it, under the policies that it runs under. None may go through a table.
 */
import { type Operation, operationWith } from '../support/people.js';
import { asIfGrown, type Planned, plansOf, SCALE } from '../support/at-scale.js';
import * as things from '../support/things.js';
import { aWinterIn, type Winter } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let operation: Operation;
let winter: Winter;
let placeId: string;
let herdId: string;
/** Nothing is said of these. */
let empty: ReadonlySet<string>;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  winter = await aWinterIn(operation);
  ({ id: placeId } = (
    await operation.as.manager.post<things.WithId>(
      operation.at('/places'),
      { ranchId: winter.ranchId, name: 'East bunk', kind: 'bunk-line', bunkLength: { value: '60', unit: 'ft' } },
      { expect: 201 },
    )
  ).body);
  herdId = await things.herd(operation, winter.ranchId, { placeId });
  empty = await asIfGrown(world.ownerPool);
});
afterAll(() => world.close());

const DAY = '2027-01-14';
const get = (address: string) => operation.as.owner.get(address, { expect: 200 });
const lotId = (): string => winter.lots[0]?.lotId ?? '';
const weighing = () => ({
  herdId,
  weighedOn: '2027-01-12',
  fill: 'full',
  scope: 'group',
  head: 100,
  measure: 'mean',
  weight: { value: '600', unit: 'lb' },
});

it.each([
  ['operations', () => get('/v1/operations')],
  ['herds', () => get(operation.at('/herds'))],
  ['lots', () => get(operation.at('/hay-lots'))],
  ['one lot', () => get(operation.at(`/hay-lots/${lotId()}`))],
  ['feedings', () => get(operation.at('/feedings'))],
  ['weigh-ins', () => get(operation.at('/weigh-ins'))],
  ['a feed sheet', () => get(operation.at(`/places/${placeId}/feed-sheet?on=${DAY}`))],
  ['what a herd needs', () => get(operation.at(`/herds/${winter.herdId}/requirements`))],
  ['the hay position', () => get(operation.at(`/reports/hay-position?on=${DAY}`))],
  ['season cost', () => get(operation.at(`/reports/season-cost?from=2026-11-01&until=${DAY}`))],
  ['the journal', () => get(operation.at(`/journal?from=2027-01-01&until=${DAY}`))],
  ["a lot's card", () => get(operation.at(`/hay-lots/${lotId()}/card?until=${DAY}`))],
  ['the page of the yard', () => get(`/yard/operations/${operation.id}`)],
  ['the page of the portfolio', () => get('/yard/portfolio')],
  ['a feeding entered', () => things.feeding(operation, herdId, [[lotId(), '400']], { fedOn: DAY })],
  ['a weigh-in entered', () => operation.as.hand.post(operation.at('/weigh-ins'), weighing(), { expect: 201 })],
])(`among ${SCALE.operations} operations: %s`, async (_what, ask) => {
  const { plans, inside } = await plansOf(ask);
  expect(plans.length).toBeGreaterThan(0);
  const grown = (table: string): boolean => !empty.has(table);
  const scans = ({ statement, how, scans: tables }: Planned) =>
    tables.filter(grown).map((table) => `${table} ${how}: ${statement}`);
  expect({ scans: plans.flatMap(scans), inside: inside.filter(grown) }).toEqual({ scans: [], inside: [] });
});

it('tells of a statement that goes through a table', async () => {
  const text = 'SELECT count(*) FROM session_token WHERE created_at > $1';
  const { plans } = await plansOf(() => world.appPool.query({ text, values: [DAY] }));
  expect(plans.map(({ how, scans }) => [how, scans])).toEqual([
    ['for its values', ['session_token']],
    ['for any values', ['session_token']],
  ]);
});

it('speaks of every table that grows with feeding, weighing, buying and signing in', () => {
  const growing = ['stock_movement', 'stock_cost', 'feeding', 'feeding_layer', 'hay_lot', 'hay_purchase', 'weigh_in'];
  const kept = ['costed_entry', 'costing_state', 'audit_entry', 'idempotency_record'];
  const people = ['operation', 'membership', 'person', 'person_session', 'session_token', 'account_event'];
  expect([...growing, ...kept, ...people].filter((table) => empty.has(table))).toEqual([]);
});
