import { Injectable } from '@nestjs/common';
import { type Selectable, sql, type Transaction } from 'kysely';
import { z } from 'zod';
import { Database } from '../../platform/database/database.js';
import type { DB, OperationTenant, Tenant } from '../../platform/database/types.js';
import { pageOf, readCursor } from '../../platform/http/cursor.js';
import type { AnswerOf, CallOf } from '../../platform/http/endpoint.js';
import { notFound, Problem, ruleBroken } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { MembershipService } from '../memberships/membership.service.js';
import { EngagementLapse } from './engagement.lapse.js';
import type * as api from './engagement.schema.js';

type Row = Selectable<DB['engagement']>;
type Answer = AnswerOf<typeof api.getEngagement>;
interface Terms { seesPrices: boolean; until?: string | undefined; afterEnd: 'history' | 'nothing'; note?: string | undefined }

const OFFER_DAYS = 30;

/** Engagements: offered by one side, accepted by the other, ended by either. What they grant is a membership as nutritionist. */
@Injectable()
export class EngagementService {
  constructor(private readonly database: Database, private readonly memberships: MembershipService, private readonly lapse: EngagementLapse) {}

  // ── the operation's side ──

  async offer({ asker, params, body }: CallOf<typeof api.offerEngagement>): Promise<Answer> {
    return this.database.writeIn(asker, params.operationId, async (tenant) => {
      const row = await this.#insert(tenant, body, { consultant_email: body.consultantEmail, begun_by: 'operation', state: 'offered' });
      await tenant.audit({ action: 'engagement.offer', subjectKind: 'engagement', subjectId: row.id, after: row });
      return written(row, tenant.moment);
    });
  }

  /** The consultant proposed; the owner names the operation and the terms. */
  async acceptProposal({ asker, params, body }: CallOf<typeof api.acceptProposal>): Promise<Answer> {
    return this.database.writeIn(asker, params.operationId, async (tenant) => {
      const { db, moment } = tenant;
      await knowOwnEmail(db);
      const proposal = await db.selectFrom('engagement_proposal').selectAll().where('id', '=', body.proposalId).where('consultant_id', '<>', asker.personId).forUpdate().executeTakeFirst();
      if (proposal === undefined) throw notFound('proposal');
      if (proposal.state !== 'open' || proposal.expires_at <= moment.toISOString()) throw new Problem('conflict', 'This proposal is no longer open.');
      await refuseTwice(tenant, proposal.consultant_id);
      await db.updateTable('engagement_proposal').set((e) => ({ state: 'accepted', answered_at: moment.toISOString(), version: e('version', '+', 1) })).where('id', '=', proposal.id).execute();
      const membershipId = await this.#grant(tenant.db, params.operationId, proposal.consultant_id, body.seesPrices, instant(body.until), moment);
      const row = await this.#insert(tenant, body, { consultant_email: proposal.consultant_email, consultant_id: proposal.consultant_id, begun_by: 'consultant', state: 'accepted', answered_at: moment.toISOString(), membership_id: membershipId });
      await tenant.audit({ action: 'engagement.accept', subjectKind: 'engagement', subjectId: row.id, after: row });
      return written(row, moment);
    });
  }

  async list({ asker, params, query }: CallOf<typeof api.listEngagements>): Promise<AnswerOf<typeof api.listEngagements>> {
    return this.database.readIn(asker, params.operationId, async ({ db, moment }) => {
      let rows = db.selectFrom('engagement').selectAll().where('operation_id', '=', params.operationId).orderBy('id', 'desc').limit(query.limit + 1);
      if (query.cursor !== undefined) rows = rows.where('id', '<', readCursor(query.cursor, z.tuple([z.uuid()]))[0]);
      return pageOf(await rows.execute(), query.limit, (row) => written(row, moment), (row) => [row.id]);
    });
  }

  async get({ asker, params }: CallOf<typeof api.getEngagement>): Promise<Answer> {
    return this.database.readIn(asker, params.operationId, async (tenant) => written(await one(tenant.db, params), tenant.moment));
  }

  async change({ asker, params, body, expectedVersion }: CallOf<typeof api.changeEngagement>): Promise<Answer> {
    return this.database.writeIn(asker, params.operationId, async (tenant) => {
      const { db, moment } = tenant;
      const before = await one(db, params, expectedVersion);
      const state = stateOf(before, moment);
      if (state === 'ended' ? body.seesPrices !== undefined || body.until !== undefined || body.afterEnd === 'history' : state !== 'offered' && state !== 'accepted') {
        throw new Problem('conflict', state === 'ended' ? 'After the end only the consultant\'s copy can be taken away.' : 'This engagement is over.');
      }
      if (typeof body.until === 'string' && new Date(body.until) <= moment) throw ruleBroken('#/until', 'in-the-past', body.until, `after ${moment.toISOString()}`, 'It cannot end in the past; end it now instead.');
      const set = {
        sees_prices: body.seesPrices ?? before.sees_prices, after_end: body.afterEnd ?? before.after_end,
        until_at: body.until === undefined ? before.until_at : body.until === null ? null : instant(body.until),
      };
      if (state === 'accepted' && before.membership_id !== null) {
        await db.updateTable('membership').set((e) => ({ sees_prices: set.sees_prices, until_at: set.until_at, version: e('version', '+', 1) })).where('operation_id', '=', params.operationId).where('id', '=', before.membership_id).execute();
      }
      if (set.after_end === 'nothing') await db.deleteFrom('engagement_archive').where('operation_id', '=', params.operationId).where('engagement_id', '=', before.id).execute();
      const after = await db.updateTable('engagement').set((e) => ({ ...set, version: e('version', '+', 1) })).where('operation_id', '=', params.operationId).where('id', '=', before.id).returningAll().executeTakeFirstOrThrow();
      await tenant.audit({ action: 'engagement.change', subjectKind: 'engagement', subjectId: before.id, before, after });
      return written(after, moment);
    });
  }

  async end({ asker, params, body, expectedVersion }: CallOf<typeof api.endEngagement>): Promise<Answer> {
    return this.database.writeIn(asker, params.operationId, (tenant) => this.#end(tenant, params, expectedVersion, body.reason, 'operation'));
  }

  // ── the consultant's side ──

  async listOwn({ asker, query }: CallOf<typeof api.listOwnEngagements>): Promise<AnswerOf<typeof api.listOwnEngagements>> {
    return this.database.read(asker, async ({ db, moment }) => {
      const email = await knowOwnEmail(db);
      let rows = db.selectFrom('engagement').selectAll().where((e) => e.or([e('consultant_id', '=', asker.personId), e.and([e('consultant_email', '=', email), e('consultant_id', 'is', null)])])).orderBy('id', 'desc').limit(query.limit + 1);
      if (query.cursor !== undefined) rows = rows.where('id', '<', readCursor(query.cursor, z.tuple([z.uuid()]))[0]);
      return pageOf(await rows.execute(), query.limit, (row) => written(row, moment), (row) => [row.id]);
    });
  }

  async getOwn({ asker, params }: CallOf<typeof api.getOwnEngagement>): Promise<Answer> {
    return this.database.read(asker, async (tenant) => written(await ownOne(tenant, params.engagementId), tenant.moment));
  }

  async accept({ asker, params, expectedVersion }: CallOf<typeof api.acceptEngagement>): Promise<Answer> {
    return this.database.write(asker, async (tenant) => {
      const { db, moment } = tenant;
      const before = await ownOne(tenant, params.engagementId, expectedVersion);
      if (stateOf(before, moment) !== 'offered') throw new Problem('conflict', 'This offer is no longer open.');
      if (before.until_at !== null && before.until_at <= moment.toISOString()) throw new Problem('conflict', 'The engagement would be over already.');
      await refuseTwice({ ...tenant, operationId: before.operation_id }, asker.personId);
      await sql`SELECT set_config('rickyard.audited_operation', ${before.operation_id}, true)`.execute(db);
      const membershipId = await this.#grant(db, before.operation_id, asker.personId, before.sees_prices, before.until_at, moment);
      const after = await db.updateTable('engagement').set((e) => ({ state: 'accepted', consultant_id: asker.personId, answered_at: moment.toISOString(), membership_id: membershipId, version: e('version', '+', 1) }))
        .where('operation_id', '=', before.operation_id).where('id', '=', before.id).returningAll().executeTakeFirstOrThrow();
      await tenant.auditIn(before.operation_id, { action: 'engagement.accept', subjectKind: 'engagement', subjectId: before.id, before, after });
      return written(after, moment);
    });
  }

  async decline({ asker, params, expectedVersion }: CallOf<typeof api.declineEngagement>): Promise<Answer> {
    return this.database.write(asker, async (tenant) => {
      const { db, moment } = tenant;
      const before = await ownOne(tenant, params.engagementId, expectedVersion);
      if (stateOf(before, moment) !== 'offered') throw new Problem('conflict', 'This offer is no longer open.');
      await sql`SELECT set_config('rickyard.audited_operation', ${before.operation_id}, true)`.execute(db);
      const after = await db.updateTable('engagement').set((e) => ({ state: 'declined', answered_at: moment.toISOString(), version: e('version', '+', 1) }))
        .where('operation_id', '=', before.operation_id).where('id', '=', before.id).returningAll().executeTakeFirstOrThrow();
      await tenant.auditIn(before.operation_id, { action: 'engagement.decline', subjectKind: 'engagement', subjectId: before.id, before, after });
      return written(after, moment);
    });
  }

  async endOwn({ asker, params, body, expectedVersion }: CallOf<typeof api.endOwnEngagement>): Promise<Answer> {
    const found = await this.database.read(asker, (tenant) => ownOne(tenant, params.engagementId));
    if (stateOf(found, asker.moment) !== 'accepted') throw new Problem('conflict', 'Only an engagement that holds can be ended.');
    return this.database.writeIn(asker, found.operation_id, (tenant) => this.#end(tenant, { operationId: found.operation_id, engagementId: found.id }, expectedVersion, body.reason, 'consultant'));
  }

  async copy({ asker, params }: CallOf<typeof api.engagementCopy>): Promise<AnswerOf<typeof api.engagementCopy>> {
    const found = await this.database.read(asker, (tenant) => ownOne(tenant, params.engagementId));
    if (found.state === 'accepted' && stateOf(found, asker.moment) === 'ended') await this.lapse.settle(found.operation_id, asker);
    return this.database.read(asker, async (tenant) => {
      const engagement = await ownOne(tenant, params.engagementId);
      const row = await tenant.db.selectFrom('engagement_archive').selectAll().where('operation_id', '=', engagement.operation_id).where('engagement_id', '=', engagement.id).where('consultant_id', '=', asker.personId).executeTakeFirst();
      if (row === undefined) throw notFound('copy');
      return { operationId: row.operation_id, endedAt: row.ended_at, records: row.record_count, content: Buffer.from(row.content).toString('base64') };
    });
  }

  // ── proposals ──

  async propose({ asker, body }: CallOf<typeof api.createProposal>): Promise<AnswerOf<typeof api.getProposal>> {
    return this.database.write(asker, async ({ db, moment }) => {
      const person = await db.selectFrom('person').select(['name', 'email']).where('id', '=', asker.personId).executeTakeFirstOrThrow();
      const open = await db.selectFrom('engagement_proposal').select((e) => e.fn.countAll<string>().as('open')).where('consultant_id', '=', asker.personId).where('state', '=', 'open').where('expires_at', '>', moment.toISOString()).executeTakeFirstOrThrow();
      if (Number(open.open) >= 20) throw new Problem('conflict', 'Twenty proposals are open; withdraw one first.');
      const row = await db.insertInto('engagement_proposal').values({
        id: newId(), consultant_id: asker.personId, consultant_name: person.name, consultant_email: person.email, owner_email: body.ownerEmail, note: body.note ?? null, created_at: moment.toISOString(), expires_at: later(moment),
      }).returningAll().executeTakeFirstOrThrow();
      return writtenProposal(row, moment);
    });
  }

  async listProposals({ asker, query }: CallOf<typeof api.listProposals>): Promise<AnswerOf<typeof api.listProposals>> {
    return this.database.read(asker, async ({ db, moment }) => {
      await knowOwnEmail(db);
      let rows = db.selectFrom('engagement_proposal').selectAll().orderBy('id', 'desc').limit(query.limit + 1);
      if (query.cursor !== undefined) rows = rows.where('id', '<', readCursor(query.cursor, z.tuple([z.uuid()]))[0]);
      return pageOf(await rows.execute(), query.limit, (row) => writtenProposal(row, moment), (row) => [row.id]);
    });
  }

  async getProposal({ asker, params }: CallOf<typeof api.getProposal>): Promise<AnswerOf<typeof api.getProposal>> {
    return this.database.read(asker, async ({ db, moment }) => {
      await knowOwnEmail(db);
      const row = await db.selectFrom('engagement_proposal').selectAll().where('id', '=', params.proposalId).executeTakeFirst();
      if (row === undefined) throw notFound('proposal');
      return writtenProposal(row, moment);
    });
  }

  async closeProposal({ asker, params, expectedVersion }: CallOf<typeof api.closeProposal>): Promise<void> {
    await this.database.write(asker, async ({ db, moment }) => {
      await knowOwnEmail(db);
      const row = await db.selectFrom('engagement_proposal').selectAll().where('id', '=', params.proposalId).forUpdate().executeTakeFirst();
      if (row === undefined) throw notFound('proposal');
      if (row.version !== expectedVersion) throw new Problem('changed-meanwhile');
      if (row.state !== 'open') throw new Problem('conflict', 'This proposal is no longer open.');
      await db.updateTable('engagement_proposal').set((e) => ({ state: row.consultant_id === asker.personId ? 'withdrawn' : 'declined', answered_at: moment.toISOString(), version: e('version', '+', 1) })).where('id', '=', row.id).execute();
      return {};
    });
  }

  // ── both ──

  async #end(tenant: OperationTenant, params: { operationId: string; engagementId: string }, expectedVersion: number, reason: string, by: 'operation' | 'consultant'): Promise<Answer> {
    const { db, moment } = tenant;
    const before = await one(db, params, expectedVersion);
    if (before.state === 'offered' && by === 'operation') {
      const after = await db.updateTable('engagement').set((e) => ({ state: 'withdrawn', answered_at: moment.toISOString(), version: e('version', '+', 1) })).where('operation_id', '=', params.operationId).where('id', '=', before.id).returningAll().executeTakeFirstOrThrow();
      await tenant.audit({ action: 'engagement.withdraw', subjectKind: 'engagement', subjectId: before.id, before, after: { reason } });
      return written(after, moment);
    }
    if (stateOf(before, moment) !== 'accepted' || before.membership_id === null) throw new Problem('conflict', 'This engagement is over.');
    const membership = await db.selectFrom('membership').selectAll().where('operation_id', '=', params.operationId).where('id', '=', before.membership_id).executeTakeFirstOrThrow();
    await this.memberships.close(tenant, membership, { expectedVersion: membership.version, reason, by });
    return written(await one(db, params), moment);
  }

  async #grant(db: Transaction<DB>, operationId: string, personId: string, seesPrices: boolean, until: string | null, moment: Date): Promise<string> {
    const id = newId();
    await db.insertInto('membership').values({ operation_id: operationId, id, person_id: personId, role: 'nutritionist', sees_prices: seesPrices, from_at: moment.toISOString(), until_at: until, created_at: moment.toISOString() }).execute();
    return id;
  }

  async #insert(tenant: OperationTenant, terms: Terms, more: Pick<Row, 'consultant_email' | 'begun_by' | 'state'> & Partial<Pick<Row, 'consultant_id' | 'answered_at' | 'membership_id'>>): Promise<Row> {
    const until = instant(terms.until);
    if (until !== null && until <= tenant.moment.toISOString()) throw ruleBroken('#/until', 'in-the-past', terms.until, `after ${tenant.moment.toISOString()}`, 'The engagement would be over already.');
    return tenant.db.insertInto('engagement').values({
      operation_id: tenant.operationId, id: newId(), operation_name: tenant.operation.name, sees_prices: terms.seesPrices, until_at: until, after_end: terms.afterEnd, note: terms.note ?? null,
      offered_at: tenant.moment.toISOString(), expires_at: later(tenant.moment), ...more,
    }).returningAll().executeTakeFirstOrThrow();
  }
}

async function refuseTwice({ db, moment, operationId }: Pick<OperationTenant, 'db' | 'moment' | 'operationId'>, personId: string): Promise<void> {
  const present = await db.selectFrom('membership').select('id').where('operation_id', '=', operationId).where('person_id', '=', personId)
    .where((e) => e.or([e('until_at', 'is', null), e('until_at', '>', moment.toISOString())])).executeTakeFirst();
  if (present !== undefined) throw new Problem('conflict', 'This person belongs to the operation already.');
}

/** Lets what is offered to the asker's own email show in this transaction. */
async function knowOwnEmail(db: Transaction<DB>): Promise<string> {
  const { rows } = await sql<{ email: string }>`SELECT rickyard.know_own_email() AS email`.execute(db);
  return rows[0]?.email ?? '';
}

async function one(db: Transaction<DB>, { operationId, engagementId }: { operationId: string; engagementId: string }, expectedVersion?: number): Promise<Row> {
  const select = db.selectFrom('engagement').selectAll().where('operation_id', '=', operationId).where('id', '=', engagementId);
  const row = await (expectedVersion === undefined ? select : select.forUpdate()).executeTakeFirst();
  if (row === undefined) throw notFound('engagement');
  if (expectedVersion !== undefined && row.version !== expectedVersion) throw new Problem('changed-meanwhile');
  return row;
}

/** An engagement that is offered to the asker or held by them; an owner's look at it goes through the operation. */
async function ownOne({ db, personId }: Tenant, engagementId: string, expectedVersion?: number): Promise<Row> {
  const email = await knowOwnEmail(db);
  const select = db.selectFrom('engagement').selectAll().where('id', '=', engagementId).where((e) => e.or([e('consultant_id', '=', personId), e.and([e('consultant_email', '=', email), e('consultant_id', 'is', null)])]));
  const row = await (expectedVersion === undefined ? select : select.forUpdate()).executeTakeFirst();
  if (row === undefined) throw notFound('engagement');
  if (expectedVersion !== undefined && row.version !== expectedVersion) throw new Problem('changed-meanwhile');
  return row;
}

function later(moment: Date): string {
  return new Date(moment.getTime() + OFFER_DAYS * 86_400_000).toISOString();
}

function instant(given: string | undefined): string | null {
  return given === undefined ? null : new Date(given).toISOString();
}

function stateOf(row: Row, moment: Date): Answer['state'] {
  if (row.state === 'offered' && row.expires_at <= moment.toISOString()) return 'expired';
  if (row.state === 'accepted' && row.until_at !== null && row.until_at <= moment.toISOString()) return 'ended';
  return row.state as Answer['state'];
}

function written(row: Row, moment: Date): Answer {
  const state = stateOf(row, moment);
  return {
    id: row.id, operationId: row.operation_id, operation: row.operation_name, consultantEmail: row.consultant_email, consultantId: row.consultant_id, begunBy: row.begun_by as Answer['begunBy'], state,
    seesPrices: row.sees_prices, until: row.until_at, afterEnd: row.after_end as Answer['afterEnd'], note: row.note, offeredAt: row.offered_at, expiresAt: row.expires_at, answeredAt: row.answered_at,
    membershipId: row.membership_id, endedAt: row.ended_at ?? (state === 'ended' ? row.until_at : null), endedBy: row.ended_by as Answer['endedBy'], version: row.version,
  };
}

function writtenProposal(row: Selectable<DB['engagement_proposal']>, moment: Date): AnswerOf<typeof api.getProposal> {
  return {
    id: row.id, consultantId: row.consultant_id, consultant: row.consultant_name, consultantEmail: row.consultant_email, ownerEmail: row.owner_email, note: row.note,
    state: row.state === 'open' && row.expires_at <= moment.toISOString() ? 'expired' : row.state as 'open', createdAt: row.created_at, expiresAt: row.expires_at, version: row.version,
  };
}
