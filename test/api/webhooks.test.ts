/*
 * Webhooks: what is closed, opened again or corrected is told to an address outside, signed by Standard Webhooks 1.0.0,
 * at least once and never where the transaction was rolled back. The signatures are checked by the standard's own
 * library (npm standardwebhooks 1.1.1); the receiver is a real HTTP server in this process; time is the world's clock.
 */
import { CHANGED_KINDS } from '../../src/office/changes/changed-kinds.data.js';
import { RETRY_PAUSES, TRIES_MOST } from '../../src/office/webhooks/retry-plan.data.js';
import { WebhookWork } from '../../src/office/webhooks/webhook-work.js';
import { RECORD_KIND_CODES } from '../../src/platform/wire/record-kinds.data.js';
import { lateCost } from '../support/books.js';
import { asker, clientOf, join, type Operation, operationWith, person } from '../support/people.js';
import { openReceiver, type Received, type Receiver } from '../support/receiver.js';
import { feeding, feedingBody, herd, lot, purchaseBody, ranch, type WithId } from '../support/things.js';
import { type DeliveryShown, delivered, passed, verified, webhook, type WebhookShown } from '../support/webhooks.js';
import { openWorld, type World } from '../support/world.js';

let receiver: Receiver;
let world: World;
let operation: Operation;
/** Its place at the receiver. */
let path: string;
beforeAll(async () => {
  receiver = await openReceiver();
  world = await openWorld({ outgoing: receiver.outgoing });
});
let opened = 0;
beforeEach(async () => {
  receiver.answers = () => ({ status: 204 });
  receiver.taken.length = 0;
  operation = await operationWith(world, { roles: ['manager', 'accountant'] });
  opened += 1;
  path = `/hook-${opened}`;
});
afterAll(async () => {
  await world.close();
  await receiver.close();
});

/** So much time goes by, and what is due then goes out; everybody signs in anew. */
async function later(step: Parameters<typeof passed>[1]): Promise<void> {
  await passed(world, step);
  await delivered(world);
  await signedIn();
}
async function signedIn(): Promise<void> {
  for (const role of ['owner', 'manager', 'accountant'] as const)
    operation.as[role] = await clientOf(world, operation.people[role]);
}

interface Refused {
  type: string;
  detail: string;
  errors: unknown[];
}
interface Told {
  id: string;
  type: string;
  since: string | null;
  data: { records: number; subjects: { kind: string; id: string; address: string | null }[]; changes: string };
}
const hook = (happenings?: readonly string[], more?: object): Promise<WebhookShown> =>
  webhook(operation, receiver.url(path), happenings, more);
const close = async (until = '2026-12-31'): Promise<string> =>
  (await operation.as.accountant.post<WithId>(operation.at('/closings'), { until }, { expect: 201 })).body.id;
const reverse = (address: string): Promise<unknown> =>
  operation.as.manager.post(operation.at(`${address}/reversal`), { reason: 'Typed twice' }, { expect: 201 });
const messages = (): Received[] => receiver.taken.filter((one) => one.path === path);
const toldTo = (secret: string): Told[] => messages().map((one) => verified(secret, one, world) as Told);
const shown = async (id: string): Promise<WebhookShown> =>
  (await operation.as.accountant.get<WebhookShown>(operation.at(`/webhooks/${id}`), { expect: 200 })).body;
const deliveries = async (id: string, query: Record<string, string> = {}): Promise<DeliveryShown[]> =>
  (
    await operation.as.accountant.get<{ items: DeliveryShown[] }>(operation.at(`/webhooks/${id}/deliveries`), {
      query,
      expect: 200,
    })
  ).body.items;
const one = async (id: string, deliveryId: string): Promise<DeliveryShown> =>
  (
    await operation.as.accountant.get<DeliveryShown>(operation.at(`/webhooks/${id}/deliveries/${deliveryId}`), {
      expect: 200,
    })
  ).body;
const test = (id: string, expected = 201) =>
  operation.as.accountant.post<DeliveryShown>(operation.at(`/webhooks/${id}/tests`), undefined, { expect: expected });
const change = async (id: string, body: object): Promise<void> => {
  const address = operation.at(`/webhooks/${id}`);
  const { headers } = await operation.as.owner.get(address, { expect: 200 });
  await operation.as.owner.patch(address, body, { ifMatch: headers['etag'] ?? '', expect: 200 });
};
const lines = async (action: string, of = operation): Promise<{ person: string | null; after: unknown }[]> => {
  const { rows } = await world.ownerPool.query<{ person: string | null; after: unknown }>(
    'SELECT person_id AS person, after FROM audit_entry WHERE operation_id = $1 AND action = $2 ORDER BY sequence',
    [of.id, action],
  );
  return rows;
};

const TICKET_COLUMNS =
  'vendor,purchased_on,lot,ranch,hay_kind,bale_form,storage_method,bale_count,net_weight_lb,price_usd_per_ton';
const TICKET = 'Home ranch,meadow,round,tarp,40,47600,145';

describe('what is told', () => {
  it('is a closing and its reopening: signed, once, with where to pull from', async () => {
    const { secret, id } = await hook();
    await lot(operation, await ranch(operation));
    const closing = await close();
    await delivered(world);
    await delivered(world);
    const [told, ...more] = toldTo(secret);
    expect(more).toEqual([]);
    const [message] = messages();
    expect(message?.headers).toMatchObject({
      'content-type': 'application/json',
      'webhook-id': told?.id,
      'webhook-timestamp': String(world.clock.now().getTime() / 1000),
    });
    expect(told).toMatchObject({
      type: 'books.closed',
      operationId: operation.id,
      data: {
        records: 1,
        subjects: [{ kind: 'book-closing', id: closing, address: operation.at(`/closings/${closing}`) }],
      },
    });
    const pulled = await operation.as.accountant.get<{ items: { sequence: string; recordIds: string[] }[] }>(
      told?.data.changes ?? '',
      { expect: 200 },
    );
    expect(pulled.body.items[0]).toMatchObject({ sequence: String(Number(told?.since) + 1), recordIds: [closing] });
    expect(await deliveries(id)).toMatchObject([{ state: 'delivered', attempts: 1, lastStatus: 204, nextTryAt: null }]);

    await operation.as.accountant.post(
      operation.at(`/closings/${closing}/reopening`),
      { reason: 'A late ticket' },
      { expect: 200 },
    );
    await delivered(world);
    expect(toldTo(secret).map(({ type }) => type)).toEqual(['books.closed', 'books.reopened']);
  });

  it('is every correction, from whichever room, one message for what is corrected in one go', async () => {
    const { secret } = await hook(['entries.corrected']);
    const yard = await ranch(operation);
    const first = await lot(operation, yard);
    const calves = await herd(operation, yard, { head: 0 });
    const corrected = async (what: string, work: () => Promise<unknown>): Promise<Told> => {
      const before = toldTo(secret).length;
      await work();
      await delivered(world);
      const [told, ...more] = toldTo(secret).slice(before);
      expect([what, told?.type, more]).toEqual([what, 'entries.corrected', []]);
      return told as Told;
    };
    const post = async (address: string, body: object): Promise<string> =>
      (await operation.as.manager.post<WithId>(operation.at(address), body, { expect: 201 })).body.id;

    const head = await post(`/herds/${calves}/head-changes`, { kind: 'in', head: 100, happenedOn: '2026-11-01' });
    const fed = await feeding(operation, calves, [[first.lotId, '900']]);
    const cost = await post('/herd-costs', {
      herdId: calves,
      kind: 'veterinary',
      happenedOn: '2026-11-12',
      payee: 'A vet',
      amount: '80',
    });
    const bill = await lateCost(operation, { kind: 'hay-purchase', id: first.purchaseId });
    const weight = await post('/weigh-ins', {
      scope: 'group',
      herdId: calves,
      weighedOn: '2027-01-05',
      fill: 'full',
      head: 100,
      measure: 'mean',
      weight: { value: '600', unit: 'lb' },
    });
    for (const [kind, id] of [
      ['herd-costs', cost],
      ['late-costs', bill.id],
      ['weigh-ins', weight],
    ] as const) {
      const told = await corrected(kind, () => reverse(`/${kind}/${id}`));
      expect(told.data.subjects).toMatchObject([{ id, address: operation.at(`/${kind}/${id}`) }]);
    }
    const right = feedingBody(calves, [[first.lotId, '800']]);
    const both = await corrected('a correction', () =>
      operation.as.manager.post(
        operation.at(`/feedings/${fed}/correction`),
        { reason: 'It was less', entry: right },
        { expect: 201 },
      ),
    );
    // The reversed one, and what was entered in its place.
    expect([both.data.records, both.data.subjects.map(({ kind }) => kind)]).toEqual([2, ['feeding', 'feeding']]);
    expect(both.data.subjects[0]?.id).toBe(fed);
    // What was reversed by itself may be entered again later, as what it corrects.
    const closed = await feeding(operation, calves, [[first.lotId, '700']], { fedOn: '2026-12-20' });
    await corrected('a reversal', () => reverse(`/feedings/${closed}`));
    await close();
    const linked = await corrected('an entry that corrects one of a closed period', () =>
      feeding(operation, calves, [[first.lotId, '50']], {
        fedOn: '2026-12-20',
        postTo: 'open-period',
        correctsId: closed,
      }),
    );
    expect(linked.data.records).toBe(1);
    await corrected('head', () =>
      operation.as.manager.post(
        operation.at(`/herds/${calves}/head-changes/${head}/reversal`),
        { reason: 'Another herd', postTo: 'open-period' },
        { expect: 201 },
      ),
    );
    const rows = Array.from({ length: 25 }, (_, row) => `A neighbor,2027-01-02,Lot ${row},${TICKET}`);
    const csv = `${TICKET_COLUMNS}\n${rows.join('\n')}\n`;
    const taken = await operation.as.manager.post<WithId>(operation.at('/imports/hay-tickets'), csv, {
      headers: { 'Content-Type': 'text/csv' },
      expect: 201,
    });
    const undone = await corrected('a whole file', () => reverse(`/imports/${taken.body.id}`));
    expect([undone.data.records, undone.data.subjects.length]).toEqual([25, 20]);
  });

  it('is of every kind of record that /changes tells of, and of no other', async () => {
    const kinds = [...RECORD_KIND_CODES, 'head-change', 'import'];
    const { rows } = await world.ownerPool.query<{ kind: string }>(
      "SELECT kind FROM unnest($1::text[]) AS kind WHERE rickyard.happening_of(kind || '.reverse') IS NOT NULL",
      [kinds],
    );
    const told = rows.map(({ kind }) => kind);
    expect(told).toEqual(kinds.filter((kind) => kind in CHANGED_KINDS));
    // A trial is the desk's, and what a file brought is told record by record.
    expect(kinds.filter((kind) => !told.includes(kind))).toEqual(['trial-event', 'import']);
  });

  it('is a late bill, and only what was asked for', async () => {
    const { secret } = await hook(['late_cost.entered']);
    const { purchaseId } = await lot(operation, await ranch(operation));
    const bill = await lateCost(operation, { kind: 'hay-purchase', id: purchaseId });
    await reverse(`/late-costs/${bill.id}`);
    await close();
    await delivered(world);
    expect(toldTo(secret)).toMatchObject([{ type: 'late_cost.entered', data: { subjects: [{ id: bill.id }] } }]);
  });

  it('is no amount and no name, for an owner without prices and for one with them', async () => {
    const poor = await person(world, 'poor owner');
    await join(world, poor, operation.id, 'owner', { seesPrices: false });
    const of = { ...operation, as: { ...operation.as, owner: await clientOf(world, poor) } };
    const { secret } = await webhook(of, receiver.url(path));
    const ticket = await operation.as.manager.post<WithId>(
      operation.at('/hay-purchases'),
      purchaseBody(await ranch(operation), {
        vendor: 'Two Forks Meadows (invented)',
        price: { basis: 'per-mass', amount: '145.25', per: 'ton' },
      }),
      { expect: 201 },
    );
    await reverse(`/hay-purchases/${ticket.body.id}`);
    await close();
    await delivered(world);
    expect(messages()).toHaveLength(2);
    for (const { body } of messages()) {
      expect(body).not.toMatch(/145|Two Forks|USD|amount|price|vendor|Typed twice/);
      const keys = new Set<string>();
      JSON.parse(body, (key, value: unknown) => {
        if (!/^\d*$/.test(key)) keys.add(key);
        return value;
      });
      expect([...keys].sort()).toEqual([
        'address',
        'changes',
        'data',
        'id',
        'kind',
        'operationId',
        'records',
        'since',
        'subjects',
        'timestamp',
        'type',
      ]);
    }
    expect(toldTo(secret)).toHaveLength(2);
  });

  it('is nothing that was rolled back, and nothing of another operation', async () => {
    const { id } = await hook();
    const { purchaseId } = await lot(operation, await ranch(operation));
    const undone = world.database.writeIn(asker(world, operation.people.manager), operation.id, async (tenant) => {
      await tenant.audit({ action: 'hay-purchase.reverse', subjectKind: 'hay-purchase', subjectId: purchaseId });
      throw new Error('and then something goes wrong');
    });
    await expect(undone).rejects.toThrow('and then something goes wrong');
    const other = await operationWith(world, { roles: ['accountant', 'manager'] });
    await lot(other, await ranch(other));
    await other.as.accountant.post(other.at('/closings'), { until: '2026-12-31' }, { expect: 201 });
    await delivered(world);
    expect([messages(), await deliveries(id)]).toEqual([[], []]);
    const { rows } = await world.ownerPool.query(
      "SELECT 1 FROM rickyard_jobs.job WHERE data->>'operationId' = ANY ($1)",
      [[operation.id, other.id]],
    );
    expect(rows).toEqual([]);
    for (const address of ['', '/deliveries', '/tests'])
      expect((await other.as.owner.get(other.at(`/webhooks/${id}${address}`))).status).toBe(
        address === '/tests' ? 405 : 404,
      );
    expect((await other.as.owner.get(operation.at(`/webhooks/${id}`))).status).toBe(404);
  });
});

describe('what does not arrive', () => {
  it('is sent again later, under the same name, and no sooner than the receiver asks', async () => {
    const { id, secret } = await hook();
    await test(id);
    receiver.answers = () => ({ status: 500, body: 'no\u0007 <script>alert(1)</script>\r\nday' });
    await delivered(world);
    const [waiting] = await deliveries(id);
    const due = Date.parse(waiting?.nextTryAt ?? '') - world.clock.now().getTime();
    expect(waiting).toMatchObject({ state: 'waiting', attempts: 1, lastStatus: 500 });
    expect(due).toBeGreaterThanOrEqual((RETRY_PAUSES[0] ?? 0) * 1000);
    receiver.answers = () => ({ status: 503, headers: { 'Retry-After': '7200' } });
    await later({ minutes: 1 });
    const asked = await shown(id);
    expect([messages().length, asked.restsUntil]).toEqual([
      2,
      new Date(world.clock.now().getTime() + 7_200_000).toISOString(),
    ]);
    receiver.answers = () => ({ status: 200, body: 'thanks' });
    // What happens meanwhile waits with it.
    await lot(operation, await ranch(operation));
    await close();
    await later({ hours: 1 });
    expect(messages()).toHaveLength(2);
    await later({ hours: 1.1 });
    expect(messages()).toHaveLength(4);
    const tests = messages().filter(({ body }) => body.includes('webhook.tested'));
    const different = (header: string): number => new Set(tests.map(({ headers }) => headers[header])).size;
    expect([tests.length, different('webhook-id'), different('webhook-timestamp')]).toEqual([3, 1, 3]);
    expect(different('webhook-signature')).toBe(3);
    expect(verified(secret, tests[2]!, world)).toMatchObject({ type: 'webhook.tested', data: {} });
    expect(await one(id, waiting?.id ?? '')).toMatchObject({
      state: 'delivered',
      attempts: 3,
      message: messages()[0]?.body,
      tries: [
        { number: 1, status: 500, answer: 'no <script>alert(1)</script> day', problem: null },
        { number: 2, status: 503, answer: '' },
        { number: 3, status: 200, answer: 'thanks' },
      ],
    });
    expect(await shown(id)).toMatchObject({ failingSince: null, restsUntil: null, waiting: 0 });
  });

  it('is given up after about a day, listed, and sent again on request', async () => {
    const { id } = await hook();
    await test(id);
    const began = world.clock.now().getTime();
    receiver.answers = () => ({ status: 404 });
    for (let tried = 0; tried < TRIES_MOST; tried += 1) {
      if (tried === 0) await delivered(world);
      else await later({ minutes: ((RETRY_PAUSES[tried - 1] ?? 0) * 1.2) / 60 + 31 });
      expect(messages()).toHaveLength(tried + 1);
    }
    const hours = (world.clock.now().getTime() - began) / 3_600_000;
    expect(hours).toBeGreaterThan(20);
    expect(hours).toBeLessThan(36);
    const [dead] = await deliveries(id, { state: 'dead' });
    expect(dead).toMatchObject({ state: 'dead', attempts: TRIES_MOST, lastStatus: 404, nextTryAt: null });
    expect(dead?.lastProblem).toMatch(/404.*Given up after 12 attempts/);
    expect(await shown(id)).toMatchObject({ dead: 1, waiting: 0, failingSince: expect.any(String) as string });
    await later({ hours: 30 });
    expect(messages()).toHaveLength(TRIES_MOST);

    receiver.answers = () => ({ status: 202 });
    const again = operation.at(`/webhooks/${id}/deliveries/${dead?.id ?? ''}/resending`);
    await operation.as.accountant.post(again, undefined, { expect: 200 });
    expect((await operation.as.accountant.post(again, undefined)).status).toBe(409);
    await delivered(world);
    const names = new Set(messages().map(({ headers }) => headers['webhook-id']));
    expect([messages().length, [...names]]).toEqual([TRIES_MOST + 1, [dead?.messageId]]);
    expect(await one(id, dead?.id ?? '')).toMatchObject({ state: 'delivered', attempts: TRIES_MOST + 1 });
    expect(await lines('webhook.send-again')).toHaveLength(1);
  });

  it('ends the webhook where the receiver wants no more', async () => {
    const { id } = await hook();
    await lot(operation, await ranch(operation));
    await test(id);
    await close();
    receiver.answers = () => ({ status: 410 });
    await delivered(world);
    expect(messages()).toHaveLength(1);
    expect(await shown(id)).toMatchObject({
      state: 'ended',
      endedBecause: 'receiver-gone',
      waiting: 0,
      dead: 1,
      unsent: 1,
    });
    expect(await lines('webhook.end')).toEqual([{ person: null, after: { because: 'receiver-gone' } }]);
    const { rows } = await world.ownerPool.query('SELECT secret, old_secret FROM webhook WHERE id = $1', [id]);
    expect(rows).toEqual([{ secret: null, old_secret: null }]);
    await test(id, 409);
  });

  it('is not held up by what always fails beside it', async () => {
    const { id } = await hook();
    receiver.answers = ({ body }) => ({ status: body.includes('webhook.tested') ? 500 : 204 });
    await test(id);
    await delivered(world);
    await lot(operation, await ranch(operation));
    await close();
    await delivered(world);
    expect((await deliveries(id)).map(({ type, state }) => [type, state])).toEqual([
      ['books.closed', 'delivered'],
      ['webhook.tested', 'waiting'],
    ]);
  });

  it('and a redirect, leads nowhere else', async () => {
    const { id } = await hook();
    receiver.answers = () => ({ status: 307, headers: { Location: receiver.url('/elsewhere') } });
    await test(id);
    await delivered(world);
    expect(receiver.idsAt('/elsewhere')).toEqual([]);
    expect(await deliveries(id)).toMatchObject([{ state: 'waiting', lastStatus: 307 }]);
  });
});

describe('a webhook', () => {
  it('shows its secret once, keeps it sealed, and rotates it with an overlap', async () => {
    const body = { label: 'Books', url: receiver.url(path), happenings: ['books.closed'] };
    const key = 'the same request';
    const first = await operation.as.owner.post<WebhookShown>(operation.at('/webhooks'), body, { key, expect: 201 });
    const repeat = await operation.as.owner.post<WebhookShown>(operation.at('/webhooks'), body, { key, expect: 201 });
    expect([repeat.body.id, repeat.body.secret]).toEqual([first.body.id, null]);
    const { id, secret: old } = first.body;
    expect(old).toMatch(/^whsec_[A-Za-z0-9+/]{43}=$/);
    expect(await shown(id)).not.toHaveProperty('secret');

    const rotated = await operation.as.owner.post<WebhookShown>(
      operation.at(`/webhooks/${id}/rotation`),
      { overlapHours: 2 },
      { expect: 200 },
    );
    const { secret } = rotated.body;
    expect([secret === old, rotated.body.olderSecretUntil]).toEqual([
      false,
      new Date(world.clock.now().getTime() + 7_200_000).toISOString(),
    ]);
    await test(id);
    await delivered(world);
    const [during] = messages();
    expect(String(during?.headers['webhook-signature']).split(' ')).toHaveLength(2);
    for (const one of [secret, old]) expect(verified(one, during!, world)).toMatchObject({ type: 'webhook.tested' });
    await later({ hours: 2 });
    await test(id);
    await delivered(world);
    const [, after] = messages();
    expect(verified(secret, after!, world)).toMatchObject({ type: 'webhook.tested' });
    expect(() => verified(old, after!, world)).toThrow('No matching signature found');
    const tampered = { ...after!, body: after!.body.replace('{', '{ ') };
    expect(() => verified(secret, tampered, world)).toThrow('No matching signature found');

    // Nothing of it stands in the database, in the audit or in the archive.
    const { rows } = await world.ownerPool.query<{ all: string }>(
      `SELECT string_agg(t::text, '') AS all FROM (
         SELECT w::text AS t FROM webhook w UNION ALL SELECT a::text FROM audit_entry a
         UNION ALL SELECT i::text FROM idempotency_record i) AS everything`,
    );
    for (const one of [secret, old]) expect(rows[0]?.all).not.toContain(one.slice('whsec_'.length));
    const archive = await operation.as.owner.get<{ tables: { table: string }[] }>(operation.at('/archive'), {
      expect: 200,
    });
    expect(archive.body.tables.filter(({ table }) => table.startsWith('webhook'))).toEqual([]);
    expect((await lines('webhook.create')).map(({ after }) => after)).toEqual([
      { label: 'Books', host: receiver.host, happenings: ['books.closed'], lowHayDays: 30, state: 'active' },
    ]);
    expect(await lines('webhook.rotate')).toHaveLength(1);
  });

  it('is shown with its whole address to who may manage it, and else with its host', async () => {
    const made = await webhook(operation, receiver.url(`${path}?token=hidden`), ['books.closed']);
    const { origin } = new URL(receiver.url(path));
    const at = operation.at('/webhooks');
    for (const address of [at, `${at}/${made.id}`]) {
      expect((await operation.as.accountant.get(address, { expect: 200 })).text).not.toMatch(/hidden|hook-/);
      expect((await operation.as.owner.get(address, { expect: 200 })).text).toContain('?token=hidden');
    }
    expect((await shown(made.id)).url).toBe(`${origin}/…`);
  });

  it('tells no time of the next attempt that is past, and none while nothing is sent', async () => {
    const { id } = await hook();
    const { body } = await test(id);
    await passed(world, { minutes: 5 });
    await signedIn();
    expect((await one(id, body.id)).nextTryAt).toBe(world.clock.now().toISOString());
    await change(id, { paused: true });
    expect((await one(id, body.id)).nextTryAt).toBeNull();
  });

  it('says what to do where it is refused for want of a second look, or of the present version', async () => {
    const { id } = await hook();
    const address = operation.at(`/webhooks/${id}`);
    const stale = await operation.as.owner.patch<Refused>(address, { label: 'Books' }, { ifMatch: '"1-x"' });
    expect([stale.status, stale.body.errors]).toEqual([
      412,
      [
        {
          parameter: 'If-Match',
          code: 'not-current-version',
          given: '"1-x"',
          allowed: `the ETag that GET ${address} answers with now`,
          message: expect.any(String) as string,
        },
      ],
    ]);
    await passed(world, { minutes: 11 });
    const body = { label: 'Books', url: receiver.url(path), happenings: ['books.closed'] };
    const late = await operation.as.owner.post<Refused>(operation.at('/webhooks'), body);
    expect([late.status, late.body.type]).toEqual([403, '/problems/second-look-needed']);
    expect(late.body.detail).toContain('"Have an address told of what happens"');
    expect(late.body.detail).toContain('POST /v1/me/second-look');
  });

  it('waits while it is paused, and is ended at once', async () => {
    const { id } = await hook();
    await change(id, { paused: true, label: 'Paused' });
    await lot(operation, await ranch(operation));
    await close();
    await delivered(world);
    await test(id, 409);
    expect([messages(), await shown(id)]).toMatchObject([[], { state: 'paused', label: 'Paused', waiting: 1 }]);
    await change(id, { paused: false });
    await delivered(world);
    expect(messages()).toHaveLength(1);

    await test(id);
    const address = operation.at(`/webhooks/${id}`);
    const { headers } = await operation.as.owner.get(address, { expect: 200 });
    await operation.as.owner.delete(address, { ifMatch: headers['etag'] ?? '', expect: 204 });
    await delivered(world);
    expect(messages()).toHaveLength(1);
    expect(await shown(id)).toMatchObject({ state: 'ended', endedBecause: 'by-owner', waiting: 0, dead: 0, unsent: 1 });
    expect(await deliveries(id, { state: 'dead' })).toEqual([]);
    expect(await deliveries(id, { state: 'unsent' })).toMatchObject([
      { state: 'unsent', attempts: 0, nextTryAt: null },
    ]);
    expect(await lines('webhook.end')).toHaveLength(1);
    for (const again of [`/webhooks/${id}/rotation`, `/webhooks/${id}/tests`])
      expect((await operation.as.owner.post(operation.at(again), again.endsWith('n') ? {} : undefined)).status).toBe(
        409,
      );
  });

  it('is one of five at most, and cannot be tried all day', async () => {
    const made = [];
    for (let more = 0; more < 5; more += 1) made.push(await hook());
    const sixth = { label: 'Sixth', url: receiver.url(path), happenings: ['hay.low'] };
    expect((await operation.as.owner.post(operation.at('/webhooks'), sixth)).status).toBe(409);
    const { id } = made[0]!;
    await test(id);
    await test(id, 409);
    for (let tried = 1; tried < 20; tried += 1) {
      await delivered(world);
      await test(id);
    }
    await delivered(world);
    await test(id, 429);
  });

  it('rests once its owner is one no more, until another takes it over, whose secret alone signs', async () => {
    const { id, secret } = await hook();
    await lot(operation, await ranch(operation));
    const heir = await person(world, 'heir');
    await join(world, heir, operation.id, 'owner');
    const asHeir = await clientOf(world, heir);
    await world.ownerPool.query('UPDATE membership SET until_at = $1 WHERE operation_id = $2 AND person_id = $3', [
      world.clock.now().toISOString(),
      operation.id,
      operation.people.owner.id,
    ]);
    await close('2026-12-30');
    await delivered(world);
    expect(messages()).toEqual([]);
    expect(await shown(id)).toMatchObject({ state: 'waits-for-owner', waiting: 0 });
    await test(id, 409);
    const taken = await asHeir.post<WebhookShown>(operation.at(`/webhooks/${id}/rotation`), {}, { expect: 200 });
    expect(taken.body).toMatchObject({ state: 'active', answeredBy: heir.id, olderSecretUntil: null });
    await close('2026-12-31');
    await delivered(world);
    expect(toldTo(taken.body.secret)).toMatchObject([{ type: 'books.closed' }]);
    expect(() => verified(secret, messages()[0]!, world)).toThrow('No matching signature found');
  });

  it('forgets what it sent after 30 days and what it gave up after 90, and finds what lost its job', async () => {
    const { id } = await hook();
    await test(id);
    await delivered(world);
    receiver.answers = () => ({ status: 410 });
    await test(id);
    await delivered(world);
    const chores = (): Promise<void> => world.application.get(WebhookWork).chores();
    for (const [days, left] of [
      [29, ['dead', 'delivered']],
      [2, ['dead']],
      [58, ['dead']],
      [2, []],
    ] as const) {
      await later({ days });
      await chores();
      expect((await deliveries(id)).map(({ state }) => state)).toEqual(left);
    }

    receiver.answers = () => ({ status: 204 });
    const lost = await hook();
    await test(lost.id);
    await world.ownerPool.query('DELETE FROM rickyard_jobs.job');
    await delivered(world);
    expect(await shown(lost.id)).toMatchObject({ waiting: 1 });
    await passed(world, { minutes: 11 });
    await chores();
    await delivered(world);
    expect(await shown(lost.id)).toMatchObject({ waiting: 0 });
  });
});
