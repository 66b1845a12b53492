/*
 * Low hay: a webhook is told when the hay no longer lasts the days that it asks for, by the hay budget and nothing
 * else, when a day begins and soon after hay went out; once, until it lasts again. What it is told is held against the
 * budget's own address.
 */
import { WebhookWork } from '../../src/office/webhooks/webhook-work.js';
import { sale, tons } from '../support/books.js';
import { clientOf, type Operation, operationWith } from '../support/people.js';
import { openReceiver, type Receiver } from '../support/receiver.js';
import { feeding, herd, lot, ranch } from '../support/things.js';
import { delivered, passed, verified, webhook } from '../support/webhooks.js';
import { openWorld, type World } from '../support/world.js';

interface LowHay {
  type: string;
  since: string | null;
  data: { withinDays: number; runsOutOn: string; address: string };
}

let receiver: Receiver;
let world: World;
let operation: Operation;
let yard: string;
beforeAll(async () => {
  receiver = await openReceiver();
  world = await openWorld({ outgoing: receiver.outgoing });
  operation = await operationWith(world, { roles: ['manager', 'accountant'] });
  yard = await ranch(operation);
});
beforeEach(() => {
  receiver.taken.length = 0;
});
afterAll(async () => {
  await world.close();
  await receiver.close();
});

/** A day begins, and whatever is due is done. */
async function nextDay(): Promise<void> {
  await passed(world, { days: 1 });
  await world.application.get(WebhookWork).chores();
  await delivered(world);
  for (const role of ['owner', 'manager', 'accountant'] as const)
    operation.as[role] = await clientOf(world, operation.people[role]);
}
async function minutesLater(minutes: number): Promise<void> {
  await passed(world, { minutes });
  await delivered(world);
}
const toldAt = (path: string, secret: string): LowHay[] =>
  receiver.taken.filter((one) => one.path === path).map((one) => verified(secret, one, world) as LowHay);
const plannedJudgements = async (): Promise<number> => {
  const { rows } = await world.ownerPool.query<{ n: string }>(
    "SELECT count(*) AS n FROM rickyard_jobs.job WHERE name = 'low-hay' AND state = 'created'",
  );
  return Number(rows[0]?.n);
};

it('is told once when hay goes out or a day begins, and again only after it has lasted', async () => {
  const { lotId } = await lot(operation, yard, { tons: '300' });
  const calves = await herd(operation, yard);
  const month = await webhook(operation, receiver.url('/month'), ['hay.low']);
  const week = await webhook(operation, receiver.url('/week'), ['hay.low'], { lowHayDays: 7 });
  await nextDay();
  expect(receiver.taken).toEqual([]);

  const day = (): string => world.clock.now().toISOString().slice(0, 10);
  // However many entries draw hay, it is judged once soon after.
  for (const pounds of ['900', '800', '700']) await feeding(operation, calves, [[lotId, pounds]], { fedOn: day() });
  await sale(operation, lotId, { soldOn: day(), quantity: tons('285') });
  expect([await plannedJudgements(), receiver.taken]).toEqual([1, []]);
  await minutesLater(11);
  const [told, ...more] = toldAt('/month', month.secret);
  expect([more, toldAt('/week', week.secret)]).toEqual([[], []]);
  expect(told).toMatchObject({ type: 'hay.low', since: null, data: { withinDays: 30 } });
  const budget = await operation.as.accountant.get<{ from: string; yard: { runsOutOn: string | null } }>(
    told?.data.address ?? '',
    { expect: 200 },
  );
  expect([budget.body.from, budget.body.yard.runsOutOn]).toEqual([day(), told?.data.runsOutOn]);

  // It stays low, and runs lower: each webhook is told when its own days are no longer left.
  receiver.taken.length = 0;
  await nextDay();
  expect(receiver.taken).toEqual([]);
  await sale(operation, lotId, { soldOn: day(), quantity: tons('9') });
  await minutesLater(11);
  const [lower] = toldAt('/week', week.secret);
  const daysLeft = (Date.parse(lower?.data.runsOutOn ?? '') - Date.parse(day())) / 86_400_000;
  expect([lower?.data.withinDays, daysLeft < 7]).toEqual([7, true]);
  await nextDay();
  expect([receiver.idsAt('/month').length, receiver.idsAt('/week').length]).toEqual([0, 1]);

  // Hay comes in, and lasts; it goes out again, and that is news.
  receiver.taken.length = 0;
  const bought = await lot(operation, yard, { tons: '500', purchasedOn: day() });
  await nextDay();
  expect(receiver.taken).toEqual([]);
  await sale(operation, bought.lotId, { soldOn: day(), quantity: tons('498') });
  await minutesLater(11);
  // The seven days of the other webhook are still there.
  expect([receiver.idsAt('/month').length, receiver.idsAt('/week').length]).toEqual([1, 0]);
});

it('is judged for nobody who did not ask, and not where nothing can be judged', async () => {
  const other = await operationWith(world, { roles: ['manager', 'accountant'] });
  const place = await ranch(other);
  const { lotId } = await lot(other, place, { tons: '2' });
  await webhook(other, receiver.url('/other'), ['books.closed']);
  await sale(other, lotId, { quantity: tons('1') });
  expect(await plannedJudgements()).toBe(0);
  // No cattle: no hay is needed, so none is low.
  const empty = await operationWith(world, { roles: ['manager'] });
  await webhook(empty, receiver.url('/empty'), ['hay.low']);
  await nextDay();
  expect(receiver.taken.filter((one) => ['/other', '/empty'].includes(one.path))).toEqual([]);
  const { rows } = await world.ownerPool.query(
    'SELECT hay_judged_on IS NOT NULL AS judged FROM webhook WHERE operation_id = $1',
    [empty.id],
  );
  expect(rows).toEqual([{ judged: true }]);
});
