/*
 * Who belongs where: places and their history, engagements, keys, the audit, and what an owner may do with the books as
 * a whole.
 */
import { createHash } from 'node:crypto';
import { gunzipSync } from 'node:zlib';
import { parse } from 'csv-parse/sync';
import { sql } from 'kysely';
import { DenialRecorder, KINDS_AN_HOUR } from '../../src/access/denials/denial-recorder.store.js';
import { unpackArchive } from '../../src/access/data-rights/archive-format.js';
import { restoreOperation } from '../../src/commands/restore-operation.js';
import { newId } from '../../src/platform/identifiers.js';
import type { Answer, ApiClient } from '../support/client.js';
import {
  clientOf,
  engage,
  join,
  type Operation,
  operationWith,
  PASSPHRASE,
  person,
  signIn,
} from '../support/people.js';
import { restoreTerms } from '../support/restore.js';
import { feeding, feedingBody } from '../support/things.js';
import { aWinterIn } from '../support/winter.js';
import { openWorld, openYard, type World } from '../support/world.js';

let world: World;
beforeAll(async () => {
  world = await openWorld();
});
afterAll(async () => {
  await world.close();
});

interface Place {
  id: string;
  personId: string;
  role: string;
  version: number;
  seesPrices: boolean;
}
const placeOf = async (of: Operation, personId: string, as: ApiClient = of.as.owner): Promise<Place> => {
  const { items } = (await as.get<{ items: Place[] }>(of.at('/memberships'), { query: { ended: 'show' }, expect: 200 }))
    .body;
  const found = items.find((one) => one.personId === personId);
  if (found === undefined) throw new Error('no such place');
  return found;
};
const tag = async (client: ApiClient, path: string): Promise<string> =>
  (await client.get(path, { expect: 200 })).headers['etag'] ?? '';
const settled = (): Promise<void> => world.application.get(DenialRecorder).settled();

describe('places in an operation', () => {
  it('change by an owner, and keep their history', async () => {
    const ranch = await operationWith(world);
    const place = await placeOf(ranch, ranch.people.manager.id);
    const path = ranch.at(`/memberships/${place.id}`);
    await ranch.as.owner.patch(path, { seesPrices: false }, { ifMatch: await tag(ranch.as.owner, path), expect: 200 });
    expect((await ranch.as.manager.get<{ memberships: object[] }>('/v1/me')).body.memberships).toEqual([
      expect.objectContaining({ seesPrices: false }),
    ]);
    await ranch.as.owner.patch(path, { role: 'hand' }, { ifMatch: await tag(ranch.as.owner, path), expect: 200 });
    expect((await ranch.as.manager.post(ranch.at('/ranches'), { name: 'No longer' })).status).toBe(403);
    const { changes } = (await ranch.as.owner.get<{ changes: object[] }>(`${path}/history`, { expect: 200 })).body;
    expect(changes).toEqual([
      expect.objectContaining({ what: 'begun', role: 'manager', seesPrices: true, version: 1 }),
      expect.objectContaining({
        what: 'changed',
        role: 'manager',
        seesPrices: false,
        version: 2,
        changedBy: ranch.people.owner.id,
      }),
      expect.objectContaining({ what: 'changed', role: 'hand', seesPrices: false, version: 3 }),
    ]);
    expect(
      (await ranch.as.owner.patch(path, { seesPrices: true }, { ifMatch: await tag(ranch.as.owner, path) })).status,
    ).toBe(422);
  });

  it('end at once by an owner, or by the person: from then on there is nothing to see', async () => {
    const ranch = await operationWith(world);
    const hand = await placeOf(ranch, ranch.people.hand.id);
    const path = ranch.at(`/memberships/${hand.id}`);
    expect(
      (
        await ranch.as.manager.post(
          `${path}/end`,
          { reason: 'Not mine to say' },
          { ifMatch: await tag(ranch.as.manager, path), key: null },
        )
      ).status,
    ).toBe(403);
    await ranch.as.owner.post(
      `${path}/end`,
      { reason: 'Winter is over' },
      { ifMatch: await tag(ranch.as.owner, path), key: null, expect: 200 },
    );
    expect((await ranch.as.hand.get(ranch.at('/herds'))).status).toBe(404);
    const own = await placeOf(ranch, ranch.people.accountant.id, ranch.as.accountant);
    await ranch.as.accountant.post(
      ranch.at(`/memberships/${own.id}/end`),
      { reason: 'Moving away' },
      {
        ifMatch: await tag(ranch.as.accountant, ranch.at(`/memberships/${own.id}`)),
        key: null,
        expect: 200,
      },
    );
    expect((await ranch.as.accountant.get(ranch.at('/herds'))).status).toBe(404);
    const { changes } = (
      await ranch.as.owner.get<{ changes: { what: string; changedBy: string }[] }>(
        ranch.at(`/memberships/${own.id}/history`),
      )
    ).body;
    expect(changes.at(-1)).toMatchObject({ what: 'ended', changedBy: ranch.people.accountant.id });
  });

  it('never leave an operation without an owner, whoever leaves at the same moment', async () => {
    const ranch = await operationWith(world, { roles: ['owner'] });
    const own = await placeOf(ranch, ranch.people.owner.id);
    const ownAt = ranch.at(`/memberships/${own.id}`);
    const end = (as: ApiClient, place: Place, ifMatch: string): Promise<{ status: number }> =>
      as.post(ranch.at(`/memberships/${place.id}/end`), { reason: 'Selling out' }, { ifMatch, key: null });
    expect(await end(ranch.as.owner, own, await tag(ranch.as.owner, ownAt))).toMatchObject({
      status: 409,
      body: { type: '/problems/last-owner' },
    });
    expect(
      (await ranch.as.owner.patch(ownAt, { role: 'manager' }, { ifMatch: await tag(ranch.as.owner, ownAt) })).status,
    ).toBe(409);
    expect(
      (
        await ranch.as.owner.patch(
          ownAt,
          { until: '2027-12-31T00:00:00Z' },
          { ifMatch: await tag(ranch.as.owner, ownAt) },
        )
      ).status,
    ).toBe(409);
    const others = await Promise.all(Array.from({ length: 5 }, (_, index) => person(world, `partner ${index}`)));
    for (const other of others) await join(world, other, ranch.id, 'owner');
    const clients = await Promise.all([ranch.people.owner, ...others].map((one) => clientOf(world, one)));
    const places = await Promise.all([ranch.people.owner, ...others].map((one) => placeOf(ranch, one.id)));
    const tags = await Promise.all(places.map(({ id }) => tag(ranch.as.owner, ranch.at(`/memberships/${id}`))));
    const answers = await Promise.all(
      places.map((place, index) => end(clients[index] ?? ranch.as.owner, place, tags[index] ?? '')),
    );
    expect(answers.map((one) => one.status).sort()).toEqual([200, 200, 200, 200, 200, 409]);
    const { rows } = await world.ownerPool.query(
      "SELECT 1 FROM membership WHERE operation_id = $1 AND role = 'owner' AND until_at IS NULL",
      [ranch.id],
    );
    expect(rows).toHaveLength(1);
    await expect(
      world.ownerPool.query(
        "UPDATE membership SET until_at = now() WHERE operation_id = $1 AND until_at IS NULL AND role = 'owner'",
        [ranch.id],
      ),
    ).rejects.toMatchObject({ code: 'RY050' });
  });

  it("are nobody's to raise but an owner's, in the database too", async () => {
    const ranch = await operationWith(world);
    const raise = world.database.writeIn(
      {
        personId: ranch.people.manager.id,
        apiKeyId: undefined,
        moment: world.clock.now(),
        requestId: 'r',
        address: 'a',
        idempotency: undefined,
      },
      ranch.id,
      async ({ db }) => {
        await db
          .updateTable('membership')
          .set({ role: 'owner' })
          .where('person_id', '=', ranch.people.manager.id)
          .execute();
        return {};
      },
    );
    await expect(raise).rejects.toMatchObject({ code: expect.stringMatching(/^(42501|RY051)$/) as string });
  });
});

interface Engagement {
  id: string;
  version: number;
  state: string;
  code: string | null;
  operation: string;
  consultantId: string | null;
  membershipId: string | null;
}

describe('an engagement', () => {
  const offer = async (of: Operation, email: string, terms: object = {}): Promise<Engagement> =>
    (
      await of.as.owner.post<Engagement & Record<string, unknown>>(
        of.at('/engagements'),
        { consultantEmail: email, ...terms },
        { expect: 201 },
      )
    ).body;

  it('is offered by the operation and accepted by the consultant, who then sees what was granted', async () => {
    const ranch = await operationWith(world, { roles: ['owner', 'manager'], name: 'North bench' });
    await aWinterIn(ranch);
    const consultant = await person(world, 'consultant');
    const as = await clientOf(world, consultant);
    const offered = await offer(ranch, consultant.email);
    const { id } = offered;
    expect((await as.get(ranch.at('/herds'))).status).toBe(404);
    // Nobody has shown that the address is theirs, so the offer shows by its code alone.
    expect((await as.get<{ items: Engagement[] }>('/v1/me/engagements', { expect: 200 })).body.items).toEqual([]);
    const { body: found } = await as.post<Engagement>(
      '/v1/me/engagement-offers',
      { code: offered.code },
      { key: null, expect: 200 },
    );
    expect(found).toMatchObject({ id, state: 'offered', code: null, operation: 'North bench', seesPrices: false });
    expect((await (await clientOf(world, await person(world, 'other'))).get(`/v1/me/engagements/${id}`)).status).toBe(
      404,
    );
    await engage(ranch, as, offered);
    const purchases = (await as.get<{ items: { price: unknown }[] }>(ranch.at('/hay-purchases'), { expect: 200 })).body
      .items;
    expect(purchases.length).toBeGreaterThan(0);
    expect(purchases.every((one) => one.price === null)).toBe(true);
    const path = ranch.at(`/engagements/${id}`);
    await ranch.as.owner.patch(path, { seesPrices: true }, { ifMatch: await tag(ranch.as.owner, path), expect: 200 });
    expect(
      (await as.get<{ items: { price: unknown }[] }>(ranch.at('/hay-purchases'))).body.items.some(
        (one) => one.price !== null,
      ),
    ).toBe(true);
  });

  it(
    'ends by either side: the live records close, and a copy as it stood at the end stays, with money only where ' +
      'it was seen',
    async () => {
      for (const by of ['operation', 'consultant'] as const) {
        const ranch = await operationWith(world, { roles: ['owner', 'manager'] });
        const winter = await aWinterIn(ranch);
        const consultant = await person(world, 'leaving');
        const as = await clientOf(world, consultant);
        const offered = await offer(ranch, consultant.email, { seesPrices: by === 'consultant' });
        const { id } = offered;
        const path = `/v1/me/engagements/${id}`;
        await engage(ranch, as, offered);
        if (by === 'operation')
          await ranch.as.owner.post(
            ranch.at(`/engagements/${id}/end`),
            { reason: 'Season over' },
            { ifMatch: await tag(ranch.as.owner, ranch.at(`/engagements/${id}`)), key: null, expect: 200 },
          );
        else
          await as.post(
            `${path}/end`,
            { reason: 'Too far to drive' },
            { ifMatch: await tag(as, path), key: null, expect: 200 },
          );
        expect((await as.get(ranch.at(`/herds/${winter.herdId}`))).status).toBe(404);
        // What comes later is nowhere: neither live nor in the copy.
        await ranch.as.manager.patch(
          ranch.at(`/herds/${winter.herdId}`),
          { name: 'Renamed after the end' },
          { ifMatch: await tag(ranch.as.manager, ranch.at(`/herds/${winter.herdId}`)), expect: 200 },
        );
        const copy = (await as.get<{ content: string; records: number }>(`${path}/copy`, { expect: 200 })).body;
        const { records } = unpackArchive(Buffer.from(copy.content, 'base64'));
        const tables = new Set(records.map((record) => record.table));
        expect(copy.records).toBe(records.length);
        expect([tables.has('herd'), tables.has('feeding'), tables.has('lab_test')]).toEqual([true, true, true]);
        expect([tables.has('stock_cost'), tables.has('hay_purchase_price')]).toEqual(
          by === 'consultant' ? [true, true] : [false, false],
        );
        for (const closed of ['audit_entry', 'membership', 'api_key', 'denied_attempt', 'person'])
          expect([closed, tables.has(closed)]).toEqual([closed, false]);
        expect(records.some((record) => record.row.includes('Renamed after the end'))).toBe(false);
        expect(records.every((record) => record.table === 'operation' || record.row.includes(ranch.id))).toBe(true);
        expect((await (await clientOf(world, await person(world, 'nosy'))).get(`${path}/copy`)).status).toBe(404);
        // The owner's choice: nothing at all.
        const side = ranch.at(`/engagements/${id}`);
        await ranch.as.owner.patch(
          side,
          { afterEnd: 'nothing' },
          { ifMatch: await tag(ranch.as.owner, side), expect: 200 },
        );
        expect((await as.get(`${path}/copy`)).status).toBe(404);
        expect(
          (await ranch.as.owner.patch(side, { afterEnd: 'history' }, { ifMatch: await tag(ranch.as.owner, side) }))
            .status,
        ).toBe(409);
      }
    },
  );

  describe('that ends by its own date', () => {
    interface Lapsing {
      ranch: Operation;
      winter: Awaited<ReturnType<typeof aWinterIn>>;
      as: ApiClient;
      path: string;
      id: string;
      until: string;
    }
    const held = async (terms: object = {}): Promise<Lapsing> => {
      const ranch = await operationWith(world, { roles: ['owner', 'manager', 'hand'] });
      const winter = await aWinterIn(ranch);
      const consultant = await person(world, 'by the season');
      const as = await clientOf(world, consultant);
      const until = new Date(world.clock.now().getTime() + 10 * 60_000).toISOString();
      const offered = await offer(ranch, consultant.email, { until, ...terms });
      const { id } = offered;
      const path = `/v1/me/engagements/${id}`;
      await engage(ranch, as, offered);
      return { ranch, winter, as, path, id, until };
    };
    const rename = async ({ ranch, winter }: Lapsing, name: string): Promise<void> => {
      const herd = ranch.at(`/herds/${winter.herdId}`);
      await ranch.as.manager.patch(herd, { name }, { ifMatch: await tag(ranch.as.manager, herd), expect: 200 });
    };
    const copyOf = async ({ as, path }: Lapsing): Promise<{ endedAt: string; rows: string; tables: Set<string> }> => {
      const { content, endedAt } = (await as.get<{ content: string; endedAt: string }>(`${path}/copy`, { expect: 200 }))
        .body;
      const { records } = unpackArchive(Buffer.from(content, 'base64'));
      return {
        endedAt,
        rows: records.map((one) => `${one.table} ${one.row}`).join('\n'),
        tables: new Set(records.map((one) => one.table)),
      };
    };

    it('leaves what stood at the end, though records came and changed before anybody looked', async () => {
      const lapsing = await held();
      const { ranch, winter, as, path, until } = lapsing;
      await rename(lapsing, 'Named before the end');
      expect((await as.get(`${path}/copy`)).status).toBe(404);
      world.clock.advance({ minutes: 9 });
      const last = await feeding(ranch, winter.herdId, [[winter.lots[0]?.lotId ?? '', '11.25']]);
      await as.get(ranch.at(`/feedings/${last}`), { expect: 200 });
      world.clock.advance({ minutes: 2 });
      expect((await as.get(ranch.at(`/feedings/${last}`))).status).toBe(404);
      // The first to write after the end is a hand, who may see nothing of any engagement.
      const { body: later } = await ranch.as.hand.post<{ id: string }>(
        ranch.at('/feedings'),
        feedingBody(winter.herdId, [[winter.lots[0]?.lotId ?? '', '12.75']]),
        { expect: 201 },
      );
      await rename(lapsing, 'Named after the end');
      world.clock.advance({ minutes: 2 });
      const copy = await copyOf(lapsing);
      expect(copy.endedAt).toBe(until);
      expect([copy.rows.includes(last), copy.rows.includes(later.id)]).toEqual([true, false]);
      expect([copy.rows.includes('Named before the end'), copy.rows.includes('Named after the end')]).toEqual([
        true,
        false,
      ]);
      expect([copy.tables.has('herd'), copy.tables.has('stock_cost'), copy.tables.has('audit_entry')]).toEqual([
        true,
        false,
        false,
      ]);
      expect(copy.rows).not.toContain(ranch.people.hand.email);
      expect((await as.get(path)).body).toMatchObject({ state: 'ended', endedAt: until, endedBy: null, version: 3 });
      const { items } = (
        await ranch.as.owner.get<{ items: { action: string; personId: string | null; after: object }[] }>(
          ranch.at('/audit'),
          { query: { action: 'engagement.lapse' }, expect: 200 },
        )
      ).body;
      expect(items).toEqual([
        expect.objectContaining({ personId: null, after: expect.objectContaining({ endedAt: until }) as object }),
      ]);
      expect((await ranch.as.owner.get(ranch.at('/audit/verification'))).body).toMatchObject({ holds: true });
    });

    it('leaves the same where the consultant looks first, and money where money was shown', async () => {
      const lapsing = await held({ seesPrices: true });
      await rename(lapsing, 'Named before the end');
      world.clock.advance({ minutes: 11 });
      const before = await copyOf(lapsing);
      await rename(lapsing, 'Named after the end');
      const after = await copyOf(lapsing);
      expect(after.rows).toBe(before.rows);
      expect([
        after.rows.includes('Named before the end'),
        after.tables.has('stock_cost'),
        after.tables.has('hay_purchase_price'),
      ]).toEqual([true, true, true]);
    });

    it('is settled once by many who write at the same moment, and everything they wrote is there', async () => {
      const lapsing = await held();
      world.clock.advance({ minutes: 11 });
      const made = await Promise.all(
        Array.from({ length: 8 }, (_, index) =>
          lapsing.ranch.as.manager.post<{ id: string }>(
            lapsing.ranch.at('/ranches'),
            { name: `After the end ${index}` },
            { expect: 201 },
          ),
        ),
      );
      expect(new Set(made.map((one) => one.body.id)).size).toBe(8);
      const { rows } = await world.ownerPool.query('SELECT ended_at FROM engagement_archive WHERE engagement_id = $1', [
        lapsing.id,
      ]);
      expect(rows).toHaveLength(1);
      expect((await copyOf(lapsing)).rows).not.toContain('After the end');
    });

    it('leaves nothing where the owner said so, before or after', async () => {
      const never = await held({ afterEnd: 'nothing' });
      const taken = await held();
      world.clock.advance({ minutes: 11 });
      await rename(never, 'Named after the end');
      expect((await never.as.get(`${never.path}/copy`)).status).toBe(404);
      expect(
        (await world.ownerPool.query('SELECT 1 FROM engagement_archive WHERE engagement_id = $1', [never.id])).rows,
      ).toEqual([]);
      // The owner's tag is from before anybody settled it: settling is no change that the owner has not seen.
      const side = taken.ranch.at(`/engagements/${taken.id}`);
      await taken.ranch.as.owner.post(
        '/v1/me/second-look',
        { presentPassphrase: PASSPHRASE },
        { key: null, expect: 200 },
      );
      await taken.ranch.as.owner.patch(
        side,
        { afterEnd: 'nothing' },
        { ifMatch: await tag(taken.ranch.as.owner, side), expect: 200 },
      );
      expect((await taken.as.get(`${taken.path}/copy`)).status).toBe(404);
      expect(
        (
          await taken.ranch.as.owner.patch(
            side,
            { until: '2027-12-31T00:00:00Z' },
            { ifMatch: await tag(taken.ranch.as.owner, side) },
          )
        ).status,
      ).toBe(409);
    });

    it('does not end while the owner puts the date off', async () => {
      const lapsing = await held();
      const side = lapsing.ranch.at(`/engagements/${lapsing.id}`);
      await lapsing.ranch.as.owner.patch(
        side,
        { until: new Date(world.clock.now().getTime() + 3_600_000).toISOString() },
        { ifMatch: await tag(lapsing.ranch.as.owner, side), expect: 200 },
      );
      world.clock.advance({ minutes: 11 });
      await rename(lapsing, 'Still seen');
      expect(
        (await lapsing.as.get(lapsing.ranch.at(`/herds/${lapsing.winter.herdId}`), { expect: 200 })).body,
      ).toMatchObject({ name: 'Still seen' });
      expect((await lapsing.as.get(`${lapsing.path}/copy`)).status).toBe(404);
    });
  });

  it('leaves nothing where the owner said so from the start', async () => {
    const ranch = await operationWith(world, { roles: ['owner'] });
    const consultant = await person(world, 'nothing left');
    const as = await clientOf(world, consultant);
    const offered = await offer(ranch, consultant.email, { afterEnd: 'nothing' });
    const { id } = offered;
    const path = `/v1/me/engagements/${id}`;
    await engage(ranch, as, offered);
    await ranch.as.owner.post(
      ranch.at(`/engagements/${id}/end`),
      { reason: 'Done' },
      { ifMatch: await tag(ranch.as.owner, ranch.at(`/engagements/${id}`)), key: null, expect: 200 },
    );
    expect((await as.get(`${path}/copy`)).status).toBe(404);
  });

  it(
    "is proposed by the consultant to an owner's email and " + 'accepted for the operation that the owner names',
    async () => {
      const ranch = await operationWith(world, { roles: ['owner'] });
      const consultant = await person(world, 'proposer');
      const as = await clientOf(world, consultant);
      const sent = (
        await as.post<{ id: string; code: string }>(
          '/v1/me/engagement-proposals',
          { ownerEmail: ranch.people.owner.email, note: 'I pass your way on Tuesdays' },
          { expect: 201 },
        )
      ).body;
      const unknown = await as.post('/v1/me/engagement-proposals', { ownerEmail: 'nobody-at-all@example.test' });
      expect(unknown.status).toBe(201);
      const { code } = sent;
      const received = await ranch.as.owner.post('/v1/me/received-proposals', { code }, { key: null, expect: 200 });
      expect(received.body).toMatchObject({ id: sent.id, consultant: 'proposer' });
      const answering = { proposalId: sent.id, code };
      const stranger = await operationWith(world, { roles: ['owner'] });
      expect((await stranger.as.owner.post(stranger.at('/engagements/by-proposal'), answering)).status).toBe(404);
      const { body: offered } = await ranch.as.owner.post<Engagement>(
        ranch.at('/engagements/by-proposal'),
        { ...answering, seesPrices: true },
        { expect: 201 },
      );
      await engage(ranch, as, offered);
      await as.get(ranch.at('/herds'), { expect: 200 });
      expect((await ranch.as.owner.post(ranch.at('/engagements/by-proposal'), answering)).status).toBe(409);
    },
  );

  it('is declined, and withdrawn, and then no longer open', async () => {
    const ranch = await operationWith(world, { roles: ['owner'] });
    const consultant = await person(world, 'decliner');
    const as = await clientOf(world, consultant);
    const first = await offer(ranch, consultant.email);
    const at = (id: string): string => `/v1/me/engagements/${id}`;
    const tagBy = async ({ code }: Engagement): Promise<string> =>
      (await as.post('/v1/me/engagement-offers', { code }, { key: null, expect: 200 })).headers['etag'] ?? '';
    await as.post(
      `${at(first.id)}/refusal`,
      { code: first.code },
      { ifMatch: await tagBy(first), key: null, expect: 200 },
    );
    expect(
      (await as.post(`${at(first.id)}/acceptance`, { code: first.code }, { ifMatch: await tagBy(first), key: null }))
        .status,
    ).toBe(409);
    const second = await offer(ranch, consultant.email);
    await ranch.as.owner.post(
      ranch.at(`/engagements/${second.id}/end`),
      { reason: 'Second thoughts' },
      { ifMatch: await tag(ranch.as.owner, ranch.at(`/engagements/${second.id}`)), key: null, expect: 200 },
    );
    expect(
      (await as.post(`${at(second.id)}/acceptance`, { code: second.code }, { ifMatch: await tagBy(second), key: null }))
        .status,
    ).toBe(409);
    expect((await as.get(ranch.at('/herds'))).status).toBe(404);
  });

  it('lets two competing ranches share one consultant, and neither learns of the other', async () => {
    const [one, other] = [
      await operationWith(world, { roles: ['owner', 'manager'] }),
      await operationWith(world, { roles: ['owner', 'manager'] }),
    ];
    const consultant = await person(world, 'shared');
    const as = await clientOf(world, consultant);
    for (const ranch of [one, other]) {
      await aWinterIn(ranch);
      await engage(ranch, as, await offer(ranch, consultant.email));
    }
    expect(
      (await as.get<{ items: { id: string }[] }>('/v1/operations')).body.items.map((item) => item.id).sort(),
    ).toEqual([one.id, other.id].sort());
    for (const path of ['/memberships', '/engagements', '/audit', '/herds', '/hay-lots'])
      expect((await one.as.owner.get(one.at(path))).text).not.toContain(other.id);
    expect((await one.as.owner.get(one.at('/memberships'))).text).not.toContain(other.people.owner.email);
  });
});

describe('keys', () => {
  it('rotate with an overlap: both are good until the older one ends', async () => {
    const ranch = await operationWith(world);
    const made = (
      await ranch.as.accountant.post<{ id: string; secret: string }>(
        ranch.at('/api-keys'),
        { name: 'Month end', scopes: ['read', 'prices'], expiresAt: '2027-12-31T00:00:00Z' },
        { expect: 201 },
      )
    ).body;
    expect((await ranch.as.owner.post(ranch.at(`/api-keys/${made.id}/rotation`), { overlapHours: 2 })).status).toBe(
      403,
    );
    const next = (
      await ranch.as.accountant.post<{ id: string; secret: string; replacesId: string; scopes: string[] }>(
        ranch.at(`/api-keys/${made.id}/rotation`),
        { overlapHours: 2 },
        { expect: 201 },
      )
    ).body;
    expect(next).toMatchObject({ replacesId: made.id, scopes: ['read', 'prices'] });
    const status = async (secret: string): Promise<number> =>
      (await world.anyone.as(secret).get(ranch.at('/herds'))).status;
    expect([await status(made.secret), await status(next.secret)]).toEqual([200, 200]);
    const before = world.clock.now().toISOString();
    world.clock.advance({ hours: 2 });
    expect([await status(made.secret), await status(next.secret)]).toEqual([401, 200]);
    world.clock.set(before);
    expect(
      (await ranch.as.accountant.get<{ lastUsedAt: string }>(ranch.at(`/api-keys/${next.id}`))).body.lastUsedAt,
    ).toEqual(expect.any(String));
    await settled();
    const denied = (await ranch.as.owner.get<{ items: object[] }>(ranch.at('/denied-attempts'), { expect: 200 })).body
      .items;
    expect(denied).toContainEqual(expect.objectContaining({ code: 'key-no-longer-good', apiKeyId: made.id }));
  });

  it("of a consultant's own reach the operations that engage them, and no account", async () => {
    const [engaged, employed] = [
      await operationWith(world, { roles: ['owner'] }),
      await operationWith(world, { roles: ['owner'] }),
    ];
    const consultant = await person(world, 'key holder');
    await join(world, consultant, engaged.id, 'nutritionist', { seesPrices: true });
    await join(world, consultant, employed.id, 'accountant');
    const as = await clientOf(world, consultant);
    const made = (
      await as.post<{ id: string; secret: string }>(
        '/v1/me/api-keys',
        { name: 'Portfolio pull', scopes: ['read'], expiresAt: '2027-12-31T00:00:00Z' },
        { expect: 201 },
      )
    ).body;
    const key = world.anyone.as(made.secret);
    expect([(await key.get(engaged.at('/herds'))).status, (await key.get(employed.at('/herds'))).status]).toEqual([
      200, 404,
    ]);
    expect(
      (await key.get<{ items: { id: string }[] }>('/v1/operations', { expect: 200 })).body.items.map((item) => item.id),
    ).toEqual([engaged.id]);
    for (const path of ['/v1/me/sessions', '/v1/me/api-keys', '/v1/me/engagements'])
      expect([path, (await key.get(path)).status]).toEqual([path, 403]);
    expect(
      (await key.post('/v1/me/passphrase', { presentPassphrase: 'x', newPassphrase: 'y' }, { key: null })).status,
    ).toBe(403);
    expect(
      (await key.post('/v1/operations', { name: 'By key', unitPreference: 'us', currency: 'USD', timeZone: 'UTC' }))
        .status,
    ).toBe(403);
    const next = (
      await as.post<{ secret: string }>(`/v1/me/api-keys/${made.id}/rotation`, { overlapHours: 0 }, { expect: 201 })
    ).body;
    expect([
      (await key.get(engaged.at('/herds'))).status,
      (await world.anyone.as(next.secret).get(engaged.at('/herds'))).status,
    ]).toEqual([401, 200]);
  });
});

describe('the audit', () => {
  it('begin with the opening of the books, in the audit of that operation and of no other', async () => {
    const [first, second] = [
      await operationWith(world, { roles: ['owner'] }),
      await operationWith(world, { roles: ['owner'] }),
    ];
    const another = await first.as.owner.post<{ id: string }>(
      '/v1/operations',
      { name: 'A second yard', unitPreference: 'metric', currency: 'CAD', timeZone: 'America/Regina' },
      { expect: 201 },
    );
    interface Lines {
      items: { sequence: number | string; action: string; subjectId: string; personId: string }[];
    }
    for (const [client, id, opener] of [
      [first.as.owner, first.id, first.people.owner.id],
      [second.as.owner, second.id, second.people.owner.id],
      [first.as.owner, another.body.id, first.people.owner.id],
    ] as const) {
      const { items } = (await client.get<Lines>(`/v1/operations/${id}/audit`, { expect: 200 })).body;
      expect(items).toEqual([expect.objectContaining({ action: 'operation.open', subjectId: id, personId: opener })]);
    }
  });

  it('is read, filtered, paged, exported and verified by the owner alone', async () => {
    const ranch = await operationWith(world);
    await aWinterIn(ranch);
    for (const role of ['manager', 'hand', 'nutritionist', 'accountant'] as const)
      expect((await ranch.as[role].get(ranch.at('/audit'))).status).toBe(403);
    // These four are lines of the audit themselves, written beside the requests.
    await settled();
    const seen: number[] = [];
    let path: string | undefined = ranch.at('/audit?limit=7');
    while (path !== undefined) {
      const page: Answer<{ items: { sequence: number }[] }> = await ranch.as.owner.get(path, { expect: 200 });
      seen.push(...page.body.items.map((item) => item.sequence));
      path = /<([^>]+)>; rel="next"/.exec(page.headers['link'] ?? '')?.[1];
    }
    expect(seen).toEqual(Array.from({ length: seen.length }, (_, index) => seen.length - index));
    const herds = (
      await ranch.as.owner.get<{ items: { action: string; personId: string; after: { name?: string } }[] }>(
        ranch.at('/audit'),
        { query: { action: 'herd', personId: ranch.people.manager.id } },
      )
    ).body.items;
    expect(herds.map((one) => one.action)).toEqual(['herd.create']);
    const csv = await ranch.as.owner.get(ranch.at('/audit/export'), { query: { format: 'csv' }, expect: 200 });
    expect(csv.text.split('\r\n').filter((line) => /^\d+,/.test(line))).toHaveLength(seen.length);
    expect((await ranch.as.owner.get(ranch.at('/audit/verification'))).body).toMatchObject({
      holds: true,
      lines: seen.length,
      firstBreak: null,
    });
    await world.ownerPool.query('ALTER TABLE audit_entry DISABLE TRIGGER USER');
    await world.ownerPool.query(
      "UPDATE audit_entry SET address = '10.9.9.9' WHERE operation_id = $1 AND sequence = 4",
      [ranch.id],
    );
    await world.ownerPool.query('ALTER TABLE audit_entry ENABLE TRIGGER USER');
    expect((await ranch.as.owner.get(ranch.at('/audit/verification'))).body).toMatchObject({
      holds: false,
      firstBreak: 4,
    });
  });

  it('tells of denied attempts: a stranger, a member beyond the role, a failed sign-in', async () => {
    const ranch = await operationWith(world);
    const stranger = await person(world, 'stranger');
    const as = await clientOf(world, stranger);
    for (let attempt = 0; attempt < 5; attempt += 1) await as.get(ranch.at('/herds'));
    await ranch.as.hand.post(ranch.at('/ranches'), { name: 'Mine' });
    await expect(signIn(world, ranch.people.hand, 'not the passphrase')).rejects.toThrow('401');
    await settled();
    const { items } = (await ranch.as.owner.get<{ items: object[] }>(ranch.at('/denied-attempts'), { expect: 200 }))
      .body;
    expect(items).toHaveLength(3);
    expect(items).toEqual(
      expect.arrayContaining([
        expect.objectContaining({ endpoint: 'listHerds', code: 'not-found', personId: stranger.id, attempts: 5 }),
        expect.objectContaining({
          endpoint: 'createRanch',
          code: 'not-permitted',
          personId: ranch.people.hand.id,
          attempts: 1,
        }),
        expect.objectContaining({
          endpoint: 'signIn',
          code: 'sign-in-failed',
          personId: ranch.people.hand.id,
          address: expect.stringMatching(/^10\./) as string,
        }),
      ]),
    );
    const audit = (
      await ranch.as.owner.get<{ items: object[] }>(ranch.at('/audit'), { query: { action: 'access.denied' } })
    ).body.items;
    expect(audit).toHaveLength(3);
    expect((await ranch.as.owner.get(ranch.at('/audit/verification'))).body).toMatchObject({ holds: true });
  });

  /** The recipe of the description of the export, in its words and without the program. */
  const jsonText = (value: unknown): string => {
    if (Array.isArray(value)) return `[${value.map(jsonText).join(', ')}]`;
    if (typeof value !== 'object' || value === null) return JSON.stringify(value);
    const keys = Object.keys(value).sort(
      (a, b) => Buffer.byteLength(a) - Buffer.byteLength(b) || Buffer.compare(Buffer.from(a), Buffer.from(b)),
    );
    const pair = (key: string): string =>
      `${JSON.stringify(key)}: ${jsonText((value as Record<string, unknown>)[key])}`;
    return `{${keys.map(pair).join(', ')}}`;
  };
  interface Line {
    sequence: number;
    recordedAt: string;
    personId: string | null;
    apiKeyId: string | null;
    requestId: string;
    address: string;
    action: string;
    subjectKind: string;
    subjectId: string | null;
    before: unknown;
    after: unknown;
    chainHash: string;
  }
  const firstUnfit = (of: Operation, lines: readonly Line[]): number | undefined => {
    let last = '';
    for (const [index, one] of lines.entries()) {
      const text = jsonText([
        last,
        of.id,
        one.sequence,
        one.recordedAt.replace(/Z$/, ''),
        one.personId,
        one.apiKeyId,
        one.requestId,
        one.address,
        one.action,
        one.subjectKind,
        one.subjectId,
        one.before,
        one.after,
      ]);
      if (one.sequence !== index + 1 || createHash('sha256').update(text).digest('hex') !== one.chainHash)
        return index + 1;
      last = one.chainHash;
    }
    return undefined;
  };

  it(
    'is checked from either export by the recipe of its description; a line that is changed, taken out or put in ' +
      'shows at its place',
    async () => {
      const ranch = await operationWith(world);
      await aWinterIn(ranch);
      const asJson = async (): Promise<Line[]> =>
        (await ranch.as.owner.get<{ items: Line[] }>(ranch.at('/audit/export'), { expect: 200 })).body.items;
      const asCsv = async (): Promise<Line[]> => {
        const rows = parse<Record<string, string>>(
          (await ranch.as.owner.get(ranch.at('/audit/export'), { query: { format: 'csv' }, expect: 200 })).text,
          { columns: true },
        );
        const or = (text: string | undefined): string | null => (text === '' || text === undefined ? null : text);
        return rows.map((row) => ({
          sequence: Number(row['sequence']),
          recordedAt: row['recordedAt'] ?? '',
          personId: or(row['personId']),
          apiKeyId: or(row['apiKeyId']),
          requestId: row['requestId'] ?? '',
          address: row['address'] ?? '',
          action: row['action'] ?? '',
          subjectKind: row['subjectKind'] ?? '',
          subjectId: or(row['subjectId']),
          before: JSON.parse(or(row['before']) ?? 'null') as unknown,
          after: JSON.parse(or(row['after']) ?? 'null') as unknown,
          chainHash: row['chainHash'] ?? '',
        }));
      };
      const whole = await asJson();
      expect(whole.length).toBeGreaterThan(30);
      expect([firstUnfit(ranch, whole), firstUnfit(ranch, await asCsv())]).toEqual([undefined, undefined]);
      const verified = async (): Promise<object> =>
        (await ranch.as.owner.get(ranch.at('/audit/verification'), { expect: 200 })).body;
      const tampered = async (at: number, statement: string): Promise<void> => {
        await world.ownerPool.query('CREATE TABLE kept_audit AS SELECT * FROM audit_entry WHERE operation_id = $1', [
          ranch.id,
        ]);
        await world.ownerPool.query('ALTER TABLE audit_entry DISABLE TRIGGER USER');
        await world.ownerPool.query(statement.replaceAll('$1', `'${ranch.id}'`));
        expect([statement, await verified()]).toEqual([
          statement,
          expect.objectContaining({ holds: false, firstBreak: at }),
        ]);
        expect([statement, firstUnfit(ranch, await asJson()), firstUnfit(ranch, await asCsv())]).toEqual([
          statement,
          at,
          at,
        ]);
        await world.ownerPool.query('DELETE FROM audit_entry WHERE operation_id = $1', [ranch.id]);
        await world.ownerPool.query('INSERT INTO audit_entry SELECT * FROM kept_audit');
        await world.ownerPool.query('DROP TABLE kept_audit');
        await world.ownerPool.query('ALTER TABLE audit_entry ENABLE TRIGGER USER');
        expect(await verified()).toMatchObject({ holds: true });
      };
      await tampered(
        5,
        'UPDATE audit_entry SET after = after || \'{"name": "Never so"}\' WHERE operation_id = $1 AND sequence = 5',
      );
      await tampered(7, 'DELETE FROM audit_entry WHERE operation_id = $1 AND sequence = 7');
      await tampered(
        8,
        'DELETE FROM audit_entry WHERE operation_id = $1 AND sequence = 8; UPDATE audit_entry SET sequence = ' +
          '-sequence WHERE operation_id = $1 AND sequence > 8; UPDATE audit_entry SET sequence = -sequence - 1 ' +
          'WHERE operation_id = $1 AND sequence < 0',
      );
      await tampered(
        whole.length + 1,
        (
          `INSERT INTO audit_entry SELECT operation_id, ${whole.length + 1}, person_id, api_key_id, request_id, ` +
          'address, action, subject_kind, subject_id, before, after, recorded_at, chain_hash FROM audit_entry WHERE ' +
          'operation_id = $1 AND sequence = 3'
        ).replace(
          'INSERT INTO audit_entry SELECT',
          'INSERT INTO audit_entry (operation_id, sequence, person_id, api_key_id, request_id, address, action, ' +
            'subject_kind, subject_id, before, after, recorded_at, chain_hash) SELECT',
        ),
      );
    },
  );

  interface Denied {
    endpoint: string;
    code: string;
    personId: string | null;
    apiKeyId: string | null;
    attempts: number;
    address: string;
  }
  const deniedAt = async (of: Operation): Promise<Denied[]> => {
    await settled();
    return (await of.as.owner.get<{ items: Denied[] }>(of.at('/denied-attempts'), { expect: 200 })).body.items;
  };

  it('tells of what a service refused, of credentials that are none and of keys, each once', async () => {
    const ranch = await operationWith(world);
    const { manager, accountant, hand } = ranch.people;
    // Refused inside services: the guard let these pass.
    expect(
      (
        await ranch.as.accountant.post(ranch.at('/api-keys'), {
          name: 'More than mine',
          scopes: ['read', 'records'],
          expiresAt: '2027-12-31T00:00:00Z',
        })
      ).status,
    ).toBe(403);
    const place = await placeOf(ranch, hand.id);
    expect(
      (
        await ranch.as.manager.post(
          ranch.at(`/memberships/${place.id}/end`),
          { reason: 'Not mine to say' },
          { ifMatch: await tag(ranch.as.manager, ranch.at(`/memberships/${place.id}`)), key: null },
        )
      ).status,
    ).toBe(403);
    // Nobody known: without a token, and with one that is none.
    await world.anyone.get(ranch.at('/herds'));
    await world.anyone.as(`rya_${'A'.repeat(43)}`).get(ranch.at('/hay-lots'));
    // A key outside its operation, and one whose time is over, at its own operation and at another's.
    const key = (
      await ranch.as.accountant.post<{ id: string; secret: string }>(
        ranch.at('/api-keys'),
        { name: 'Pull', scopes: ['read'], expiresAt: new Date(world.clock.now().getTime() + 60_000).toISOString() },
        { expect: 201 },
      )
    ).body;
    const withKey = world.anyone.as(key.secret);
    expect((await withKey.get('/v1/operations')).status).toBe(403);
    world.clock.advance({ minutes: 2 });
    const neighbor = await operationWith(world, { roles: ['owner'] });
    expect([(await withKey.get(ranch.at('/herds'))).status, (await withKey.get(neighbor.at('/herds'))).status]).toEqual(
      [401, 401],
    );
    const denied = await deniedAt(ranch);
    // Each is noted after its answer went out, so that two in a row may stand in either order.
    const alphabetical = (one: { endpoint: string; code: string }, other: { endpoint: string; code: string }): number =>
      `${one.endpoint} ${one.code}` < `${other.endpoint} ${other.code}` ? -1 : 1;
    expect(
      denied
        .map(({ endpoint, code, personId, apiKeyId, attempts }) => ({ endpoint, code, personId, apiKeyId, attempts }))
        .sort(alphabetical),
    ).toEqual([
      { endpoint: 'createApiKey', code: 'not-permitted', personId: accountant.id, apiKeyId: null, attempts: 1 },
      { endpoint: 'endMembership', code: 'not-permitted', personId: manager.id, apiKeyId: null, attempts: 1 },
      { endpoint: 'listHerds', code: 'key-no-longer-good', personId: accountant.id, apiKeyId: key.id, attempts: 2 },
      { endpoint: 'listHerds', code: 'not-signed-in', personId: null, apiKeyId: null, attempts: 2 },
      { endpoint: 'listOperations', code: 'not-permitted', personId: accountant.id, apiKeyId: key.id, attempts: 1 },
    ]);
    expect((await deniedAt(neighbor)).map(({ code, personId, apiKeyId }) => ({ code, personId, apiKeyId }))).toEqual([
      { code: 'not-signed-in', personId: null, apiKeyId: null },
    ]);
  });

  it(
    "tells of attempts upon a member's account: a refresh token twice, a wrong passphrase in an open session, a " +
      'recovery',
    async () => {
      const ranch = await operationWith(world, { roles: ['owner', 'hand'] });
      const { hand } = ranch.people;
      const { refreshToken, accessToken } = await signIn(world, hand);
      await world.anyone
        .as(accessToken)
        .post(
          '/v1/me/passphrase',
          { presentPassphrase: 'not this one', newPassphrase: 'a barn full of second cutting' },
          { key: null },
        );
      for (const status of [200, 401])
        expect((await world.anyone.post('/v1/token-refresh', { refreshToken }, { key: null })).status).toBe(status);
      await world.anyone.post(
        '/v1/recovery-by-code',
        { email: hand.email, recoveryCode: '00000-00000-00000-00000', newPassphrase: 'a barn full of second cutting' },
        { key: null },
      );
      expect(
        (await deniedAt(ranch)).map(({ endpoint, code, personId }) => [endpoint, code, personId]).reverse(),
      ).toEqual([
        ['changePassphrase', 'wrong-passphrase', hand.id],
        ['refreshTokens', 'refresh-failed', hand.id],
        ['recoverByCode', 'recovery-failed', hand.id],
      ]);
    },
  );

  it('cannot be crowded out: what others try leaves room for what members try', async () => {
    const ranch = await operationWith(world, { roles: ['owner', 'hand'] });
    const recorder = world.application.get(DenialRecorder);
    for (let index = 0; index < KINDS_AN_HOUR + 30; index += 1)
      recorder.note({
        operationId: ranch.id,
        endpoint: 'listHerds',
        code: 'not-signed-in',
        personId: undefined,
        apiKeyId: undefined,
        address: `10.67.0.${index}`,
        requestId: 'r',
        moment: world.clock.now(),
      });
    await settled();
    await ranch.as.hand.post(ranch.at('/ranches'), { name: 'Mine' });
    await settled();
    const { rows } = await world.ownerPool.query<{ endpoint: string; code: string; attempts: number }>(
      'SELECT endpoint, code, attempts FROM denied_attempt WHERE operation_id = $1',
      [ranch.id],
    );
    expect(rows.filter((row) => row.endpoint === 'createRanch')).toEqual([
      { endpoint: 'createRanch', code: 'not-permitted', attempts: 1 },
    ]);
    // Every attempt is counted, the last ones together.
    expect(rows.filter((row) => row.code === 'not-signed-in').reduce((sum, row) => sum + row.attempts, 0)).toBe(
      KINDS_AN_HOUR + 30,
    );
    expect(rows.some((row) => row.endpoint === 'more-of-this-hour')).toBe(true);
  });

  it('of one kind that come in a flood are counted in few writes', async () => {
    const ranch = await operationWith(world, { roles: ['owner'] });
    const recorder = world.application.get(DenialRecorder);
    const writes = jest.spyOn(world.database, 'withProof');
    for (let index = 0; index < 900; index += 1)
      recorder.note({
        operationId: ranch.id,
        endpoint: 'listHerds',
        code: 'not-signed-in',
        personId: undefined,
        apiKeyId: undefined,
        address: '10.68.0.1',
        requestId: 'r',
        moment: world.clock.now(),
      });
    await settled();
    expect(writes.mock.calls.length).toBeLessThan(10);
    writes.mockRestore();
    expect(await deniedAt(ranch)).toEqual([expect.objectContaining({ attempts: 900 })]);
  });

  it('cannot be flooded: an hour writes so many kinds and counts the rest', async () => {
    const ranch = await operationWith(world, { roles: ['owner'] });
    const recorder = world.application.get(DenialRecorder);
    for (let round = 0; round < 6; round += 1) {
      for (let index = 0; index < 20; index += 1)
        recorder.note({
          operationId: ranch.id,
          endpoint: 'listHerds',
          code: 'not-found',
          personId: undefined,
          apiKeyId: undefined,
          address: `10.66.${round}.${index}`,
          requestId: 'r',
          moment: world.clock.now(),
        });
      await recorder.settled();
    }
    const { rows } = await world.ownerPool.query<{ kinds: string; audited: string }>(
      'SELECT (SELECT count(*) FROM denied_attempt WHERE operation_id = $1) AS kinds, (SELECT count(*) FROM ' +
        "audit_entry WHERE operation_id = $1 AND action = 'access.denied') AS audited",
      [ranch.id],
    );
    // Writers of one moment may each see room for a last kind; what matters is that the number has a bound.
    expect(Number(rows[0]?.kinds)).toBeLessThanOrEqual(KINDS_AN_HOUR + 21);
    expect(rows[0]?.kinds).toBe(rows[0]?.audited);
  });

  it('takes no note of operations that do not exist, and answers in the same words', async () => {
    const as = await clientOf(world, await person(world, 'prober'));
    const before = await world.ownerPool.query<{ n: string }>('SELECT count(*) AS n FROM denied_attempt');
    await as.get(`/v1/operations/${newId()}/herds`);
    await settled();
    expect((await world.ownerPool.query('SELECT count(*) AS n FROM denied_attempt')).rows).toEqual(before.rows);
  });
});

describe('the books as a whole', () => {
  it('leave in one archive and come back into an empty server, row for row and digit for digit', async () => {
    const ranch = await operationWith(world);
    await aWinterIn(ranch);
    const other = await operationWith(world, { roles: ['owner'] });
    expect((await ranch.as.manager.get(ranch.at('/archive'))).status).toBe(403);
    const archive = (
      await ranch.as.owner.get<{ content: string; records: number; sha256: string }>(ranch.at('/archive'), {
        expect: 200,
      })
    ).body;
    const content = Buffer.from(archive.content, 'base64');
    const text = gunzipSync(content).toString('utf8');
    expect(text).not.toContain(other.id);
    for (const secret of ['argon2', 'secret_hash', 'token_hash', 'passphrase_hash'])
      expect([secret, text.includes(secret)]).toEqual([secret, false]);
    const yard = await openYard();
    const client = await yard.ownerPool.connect();
    try {
      const restored = await restoreOperation(client, content, restoreTerms());
      expect(restored).toMatchObject({
        operationId: ranch.id,
        records: archive.records,
        owners: [{ email: ranch.people.owner.email }],
      });
      const { records } = unpackArchive(content);
      for (const table of new Set(records.map((record) => record.table))) {
        const columns =
          table === 'person'
            ? "jsonb_build_object('id', t.id, 'email', t.email, 'name', t.name, 'created_at', t.created_at)"
            : 'to_jsonb(t)';
        // The audit goes on with the line of the restore.
        const where = table === 'audit_entry' ? "WHERE action <> 'operation.restore'" : '';
        const { rows } = await client.query<{ row: string }>(`SELECT ${columns}::text AS row FROM ${table} t ${where}`);
        expect([table, rows.map((one) => one.row).sort()]).toEqual([
          table,
          records
            .filter((record) => record.table === table)
            .map((record) => record.row)
            .sort(),
        ]);
      }
      const guards = await client.query(
        "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'O' UNION ALL SELECT relname " +
          "FROM pg_class WHERE relnamespace = 'public'::regnamespace AND relkind = 'r' AND relname <> " +
          "'_prisma_migrations' AND NOT relforcerowsecurity",
      );
      expect(guards.rows).toEqual([]);
      await expect(restoreOperation(client, content, restoreTerms())).rejects.toThrow('is on this server already');
    } finally {
      client.release();
      await yard.close();
    }
  });

  it('are refused where the archive was changed or cut short', async () => {
    const ranch = await operationWith(world, { roles: ['owner'] });
    const content = Buffer.from(
      (await ranch.as.owner.get<{ content: string }>(ranch.at('/archive'), { expect: 200 })).body.content,
      'base64',
    );
    const { gzipSync } = await import('node:zlib');
    const text = gunzipSync(content).toString('utf8');
    expect(() => unpackArchive(gzipSync(text.replace('Winter yard', 'Summer yard')))).toThrow('checksum');
    expect(() => unpackArchive(gzipSync(text.split('\n').slice(0, -2).join('\n')))).toThrow('cut short');
    expect(() => unpackArchive(content.subarray(0, 40))).toThrow('gzip');
    expect(() => unpackArchive(gzipSync('{"a":1}\n'))).toThrow('cut short');
  });

  it('go in two steps with a wait between, and leave a trace outside', async () => {
    const ranch = await operationWith(world, { name: 'To be let go' });
    await aWinterIn(ranch);
    const bystander = await operationWith(world, { roles: ['owner', 'manager'] });
    await aWinterIn(bystander);
    const now = world.clock.now().toISOString();
    const confirm = { name: 'To be let go', understood: 'every record is deleted for good' };
    expect((await ranch.as.manager.post(ranch.at('/deletion'), { name: 'To be let go', reason: 'Spite' })).status).toBe(
      403,
    );
    expect((await ranch.as.owner.post(ranch.at('/deletion/confirmation'), confirm, { key: null })).status).toBe(409);
    expect((await ranch.as.owner.post(ranch.at('/deletion'), { name: 'Another', reason: 'Sold' })).status).toBe(422);
    await ranch.as.owner.post(
      ranch.at('/deletion'),
      { name: 'To be let go', reason: 'Sold the ranch' },
      { expect: 201 },
    );
    await ranch.as.owner.delete(ranch.at('/deletion'), { expect: 204 });
    const asked = (
      await ranch.as.owner.post<{ confirmableFrom: string }>(
        ranch.at('/deletion'),
        { name: 'To be let go', reason: 'Sold the ranch' },
        { expect: 201 },
      )
    ).body;
    world.clock.advance({ days: 13 });
    const owner = await clientOf(world, ranch.people.owner);
    expect((await owner.post(ranch.at('/deletion/confirmation'), confirm, { key: null })).body).toMatchObject({
      type: '/problems/deletion-not-ready',
    });
    world.clock.set(asked.confirmableFrom);
    const again = await clientOf(world, ranch.people.owner);
    const gone = (
      await again.post<{ records: number; lastAuditHash: string }>(ranch.at('/deletion/confirmation'), confirm, {
        key: null,
        expect: 200,
      })
    ).body;
    expect(gone.records).toBeGreaterThan(30);
    expect((await again.get(ranch.at('/herds'))).status).toBe(404);
    expect((await again.get<{ items: object[] }>('/v1/me/erased-operations', { expect: 200 })).body.items).toEqual([
      expect.objectContaining({ operationId: ranch.id, name: 'To be let go', lastAuditHash: gone.lastAuditHash }),
    ]);
    const { rows } = await world.ownerPool.query<{ relname: string }>(
      'SELECT c.relname FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid WHERE c.relnamespace = ' +
        "'public'::regnamespace AND c.relkind = 'r' AND a.attname = 'operation_id' AND NOT a.attisdropped",
    );
    for (const { relname } of rows) {
      const left = await world.ownerPool.query(`SELECT 1 FROM ${relname} WHERE operation_id = $1`, [ranch.id]);
      expect([relname, left.rowCount]).toEqual([relname, 0]);
    }
    const kept = await world.ownerPool.query<{ n: string }>(
      'SELECT count(*) AS n FROM feeding WHERE operation_id = $1',
      [bystander.id],
    );
    expect(Number(kept.rows[0]?.n)).toBeGreaterThan(0);
    world.clock.set(now);
  });

  it('cannot be deleted by any other road', async () => {
    const ranch = await operationWith(world, { roles: ['owner'] });
    const as = {
      personId: ranch.people.owner.id,
      apiKeyId: undefined,
      moment: world.clock.now(),
      requestId: 'r',
      address: 'a',
      idempotency: undefined,
    };
    for (const statement of [
      `DELETE FROM membership WHERE operation_id = '${ranch.id}'`,
      'SELECT rickyard_erasure.erase_rows()',
      'SET LOCAL ROLE rickyard_eraser',
      'SELECT rickyard_erasure.allow()',
      'INSERT INTO erased_operation (id, name, requested_at, requested_by, confirmed_at, confirmed_by, ' +
        `request_id, address, row_counts, last_sequence, last_chain_hash) VALUES ('${ranch.id}', '', now(), ` +
        `'${ranch.id}', now(), '${ranch.id}', '', '', '{}', 0, '')`,
    ]) {
      await expect(
        world.database.writeIn(as, ranch.id, async ({ db }) => {
          await sql.raw(statement).execute(db);
          return {};
        }),
      ).rejects.toMatchObject({ code: '42501' });
    }
    await expect(
      world.database.writeIn(as, ranch.id, async ({ db }) => {
        await sql`SELECT rickyard_erasure.erase_operation(${ranch.id}::uuid, 'r', 'a')`.execute(db);
        return {};
      }),
    ).rejects.toMatchObject({ code: 'deletion-not-ready' });
  });
});
