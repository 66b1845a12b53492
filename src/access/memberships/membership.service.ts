import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { z } from 'zod';
import { Database } from '../../platform/database/database.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { pageOf, readCursor } from '../../platform/http/cursor.js';
import type { AnswerOf, CallOf } from '../../platform/http/endpoint.js';
import { notFound, Problem, ruleBroken } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { EngagementArchive } from '../engagements/engagement.archive.js';
import { hashToken, newToken, RECOVERY_PREFIX } from '../sign-in/tokens.js';
import type * as api from './membership.schema.js';
import type { Role } from './membership.store.js';

type Row = Selectable<DB['membership']>;
type NamedRow = Row & { name: string; email: string };
type Answer = AnswerOf<typeof api.getMembership>;

const RECOVERY_HOURS = 24;
/** Whose passphrase an owner may help to renew: people of the house, not partners and not consultants. */
const RECOVERABLE: readonly string[] = ['manager', 'hand', 'accountant'];

/** Who belongs to an operation. Its history is written by the database; the last owner is kept there too. */
@Injectable()
export class MembershipService {
  constructor(private readonly database: Database, private readonly archive: EngagementArchive) {}

  async list({ asker, params, query }: CallOf<typeof api.listMemberships>): Promise<AnswerOf<typeof api.listMemberships>> {
    return this.database.readIn(asker, params.operationId, async (tenant) => {
      let rows = named(tenant).orderBy('membership.id').limit(query.limit + 1);
      if (query.ended === 'hide') rows = rows.where((e) => e.or([e('membership.until_at', 'is', null), e('membership.until_at', '>', tenant.moment.toISOString())]));
      if (query.cursor !== undefined) rows = rows.where('membership.id', '>', readCursor(query.cursor, z.tuple([z.uuid()]))[0]);
      return pageOf(await rows.execute(), query.limit, (row) => written(row, tenant.moment), (row) => [row.id]);
    });
  }

  async get({ asker, params }: CallOf<typeof api.getMembership>): Promise<Answer> {
    return this.database.readIn(asker, params.operationId, async (tenant) => written(await one(tenant, params.membershipId), tenant.moment));
  }

  async history({ asker, params }: CallOf<typeof api.membershipHistory>): Promise<AnswerOf<typeof api.membershipHistory>> {
    return this.database.readIn(asker, params.operationId, async (tenant) => {
      await one(tenant, params.membershipId);
      const rows = await tenant.db.selectFrom('membership_change').selectAll().where('operation_id', '=', params.operationId).where('membership_id', '=', params.membershipId).orderBy('version').orderBy('changed_at').execute();
      return { changes: rows.map((row) => ({ what: row.what as 'begun', role: row.role as Role, seesPrices: row.sees_prices, until: row.until_at, version: row.version, changedAt: row.changed_at, changedBy: row.changed_by })) };
    });
  }

  async change({ asker, params, body, expectedVersion }: CallOf<typeof api.changeMembership>): Promise<Answer> {
    return keepingAnOwner(() => this.database.writeIn(asker, params.operationId, async (tenant) => {
      const before = await one(tenant, params.membershipId);
      if (hasEnded(before, tenant.moment)) throw new Problem('conflict', 'This place has ended; invite the person again.');
      if (before.role === 'nutritionist' || body.role === 'nutritionist') throw ruleBroken('#/role', 'by-engagement', body.role ?? before.role, 'a role other than nutritionist', 'A nutritionist\'s place is granted and changed by an engagement.');
      const role = body.role ?? before.role;
      const seesPrices = body.seesPrices ?? (role === 'hand' ? false : role === 'owner' ? true : before.sees_prices);
      refusePrices(role, seesPrices);
      if (typeof body.until === 'string' && new Date(body.until) <= tenant.moment) throw ruleBroken('#/until', 'in-the-past', body.until, `after ${tenant.moment.toISOString()}`, 'A place cannot end in the past; end it now instead.');
      const until = body.until === undefined ? before.until_at : body.until === null ? null : new Date(body.until).toISOString();
      const after = await tenant.db.updateTable('membership').set((e) => ({ role, sees_prices: seesPrices, until_at: until, version: e('version', '+', 1) }))
        .where('operation_id', '=', params.operationId).where('id', '=', params.membershipId).where('version', '=', expectedVersion).returningAll().executeTakeFirst();
      if (after === undefined) throw new Problem('changed-meanwhile');
      await tenant.audit({ action: 'membership.change', subjectKind: 'membership', subjectId: after.id, before: plain(before), after });
      return written({ ...after, name: before.name, email: before.email }, tenant.moment);
    }));
  }

  async end({ asker, params, body, expectedVersion }: CallOf<typeof api.endMembership>): Promise<Answer> {
    if (asker.apiKeyId !== undefined) throw new Problem('not-permitted', 'A key cannot end a place; sign in as a person.');
    return keepingAnOwner(() => this.database.writeIn(asker, params.operationId, async (tenant) => {
      const before = await one(tenant, params.membershipId);
      const byOwner = tenant.may('own');
      if (!byOwner && before.person_id !== tenant.personId) throw new Problem('not-permitted', 'Only an owner ends the place of another.');
      if (hasEnded(before, tenant.moment)) throw new Problem('conflict', 'This place has ended already.');
      const after = await this.close(tenant, before, { expectedVersion, reason: body.reason, by: byOwner && before.person_id !== tenant.personId ? 'operation' : 'consultant' });
      return written({ ...after, name: before.name, email: before.email }, tenant.moment);
    }));
  }

  /** Ends a place now, and with it the engagement that it rests on, if there is one. */
  async close(tenant: OperationTenant, before: Row, { expectedVersion, reason, by }: { expectedVersion: number; reason: string; by: 'operation' | 'consultant' }): Promise<Row> {
    const { operationId, moment } = tenant;
    const engagement = before.role !== 'nutritionist' ? undefined : await tenant.db.selectFrom('engagement').selectAll().where('operation_id', '=', operationId).where('membership_id', '=', before.id).executeTakeFirst();
    const kept = engagement?.after_end === 'history' ? await this.archive.take(tenant, engagement.id, before.person_id) : undefined;
    if (engagement !== undefined) {
      await tenant.db.updateTable('engagement').set((e) => ({ state: 'ended', ended_at: moment.toISOString(), ended_by: by, version: e('version', '+', 1) })).where('operation_id', '=', operationId).where('id', '=', engagement.id).execute();
    }
    // The audit line comes before the end: afterwards one who leaves may not write here any more. It commits with it or not at all.
    await tenant.audit({ action: 'membership.end', subjectKind: 'membership', subjectId: before.id, before: plain(before), after: { untilAt: moment.toISOString(), reason, ...(kept === undefined ? {} : { recordsKept: kept }) } });
    const after = await tenant.db.updateTable('membership').set((e) => ({ until_at: moment.toISOString(), version: e('version', '+', 1) }))
      .where('operation_id', '=', operationId).where('id', '=', before.id).where('version', '=', expectedVersion).returningAll().executeTakeFirst();
    if (after === undefined) throw new Problem('changed-meanwhile');
    return after;
  }

  async issueRecoveryToken({ asker, params, body }: CallOf<typeof api.issueRecoveryToken>): Promise<AnswerOf<typeof api.issueRecoveryToken>> {
    const token = newToken(RECOVERY_PREFIX);
    const id = newId();
    const answer = await this.database.writeIn(asker, params.operationId, async (tenant) => {
      const membership = await one(tenant, params.membershipId);
      if (hasEnded(membership, tenant.moment)) throw new Problem('conflict', 'This place has ended.');
      if (!RECOVERABLE.includes(membership.role)) throw ruleBroken('#', 'not-recoverable-by-owner', membership.role, `a ${RECOVERABLE.join(', ')}`, 'Owners and consultants recover by their own codes.');
      const expiresAt = new Date(tenant.moment.getTime() + RECOVERY_HOURS * 3_600_000).toISOString();
      await tenant.db.insertInto('recovery_token').values({
        operation_id: params.operationId, id, membership_id: membership.id, person_id: membership.person_id, token_hash: hashToken(token), issued_by: asker.personId, created_at: tenant.moment.toISOString(), expires_at: expiresAt,
      }).execute();
      await tenant.audit({ action: 'recovery-token.issue', subjectKind: 'membership', subjectId: membership.id, after: { reason: body.reason, expiresAt } });
      return { id, membershipId: membership.id, token: null as string | null, expiresAt };
    });
    return { ...answer, token: answer.id === id ? token : null };
  }
}

function named({ db, operationId }: OperationTenant) {
  return db.selectFrom('membership').innerJoin('person', 'person.id', 'membership.person_id').selectAll('membership').select(['person.name', 'person.email']).where('membership.operation_id', '=', operationId);
}

async function one(tenant: OperationTenant, membershipId: string): Promise<NamedRow> {
  const row = await named(tenant).where('membership.id', '=', membershipId).executeTakeFirst();
  if (row === undefined) throw notFound('membership');
  return row;
}

export function refusePrices(role: string, seesPrices: boolean, pointer = '#/seesPrices'): void {
  if (role === 'hand' && seesPrices) throw ruleBroken(pointer, 'hand-sees-no-prices', true, 'false', 'A hand does not see money.');
  if (role === 'owner' && !seesPrices) throw ruleBroken(pointer, 'owner-sees-prices', false, 'true', 'An owner sees the own books.');
}

/** What the database says about the last owner, in the API's words. */
export async function keepingAnOwner<T>(work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    if ((error as { code?: unknown }).code === 'RY050') throw new Problem('last-owner');
    throw error;
  }
}

function hasEnded(row: Row, moment: Date): boolean {
  return row.until_at !== null && row.until_at <= moment.toISOString();
}

function plain({ name: _name, email: _email, ...row }: Row & Partial<NamedRow>): Row {
  return row;
}

function written(row: NamedRow, moment: Date): Answer {
  const at = moment.toISOString();
  return {
    id: row.id, personId: row.person_id, name: row.name, email: row.email, role: row.role as Role, seesPrices: row.sees_prices, from: row.from_at, until: row.until_at,
    present: row.from_at <= at && (row.until_at === null || row.until_at > at), version: row.version,
  };
}
