import { Inject, Injectable } from '@nestjs/common';
import { type Selectable, sql, type Transaction } from 'kysely';
import { z } from 'zod';
import { type Clock, CLOCK } from '../../platform/clock.js';
import { Database } from '../../platform/database/database.js';
import type { DB } from '../../platform/database/types.js';
import { pageOf, readCursor } from '../../platform/http/cursor.js';
import type { AnswerOf, CallOf } from '../../platform/http/endpoint.js';
import { notFound, Problem, ruleBroken } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { refusePrices } from '../memberships/membership.service.js';
import type { Role } from '../memberships/membership.store.js';
import { refuseCommon, refuseTelling } from '../people/passphrase-rule.js';
import { Attempts } from '../sign-in/attempts.js';
import { hashPassphrase } from '../sign-in/passphrase.js';
import { hashToken, INVITATION_PREFIX, newToken } from '../sign-in/tokens.js';
import type * as api from './invitation.schema.js';

type Row = Selectable<DB['invitation']>;
type Joined = AnswerOf<typeof api.acceptInvitation>;

/** Where a request comes from that nobody has signed yet. */
export interface Whence {
  address: string;
  requestId: string;
}

/** How people come in: an owner invites an address, whoever holds the token accepts. */
@Injectable()
export class InvitationService {
  constructor(private readonly database: Database, private readonly attempts: Attempts, @Inject(CLOCK) private readonly clock: Clock) {}

  async create({ asker, params, body }: CallOf<typeof api.createInvitation>): Promise<AnswerOf<typeof api.createInvitation>> {
    const seesPrices = body.seesPrices ?? body.role !== 'hand';
    refusePrices(body.role, seesPrices);
    const from = body.from === undefined ? null : new Date(body.from).toISOString();
    const until = body.until === undefined ? null : new Date(body.until).toISOString();
    const earliest = from ?? asker.moment.toISOString();
    if (until !== null && until <= earliest) throw ruleBroken('#/until', 'ends-before-it-begins', body.until, `after ${earliest}`, 'The place would end before it begins.');
    if (body.role === 'owner' && until !== null) throw ruleBroken('#/until', 'owner-has-no-end', body.until, 'no end for an owner', 'An owner\'s place has no end of its own.');
    const token = newToken(INVITATION_PREFIX);
    const id = newId();
    const answer = await this.database.writeIn(asker, params.operationId, async (tenant) => {
      const row = await tenant.db.insertInto('invitation').values({
        operation_id: params.operationId, id, email: body.email, role: body.role, sees_prices: seesPrices, from_at: from, until_at: until, note: body.note ?? null, token_hash: hashToken(token), invited_by: asker.personId,
        created_at: asker.moment.toISOString(), expires_at: new Date(asker.moment.getTime() + body.days * 86_400_000).toISOString(),
      }).returningAll().executeTakeFirstOrThrow();
      await tenant.audit({ action: 'invitation.create', subjectKind: 'invitation', subjectId: id, after: withoutToken(row) });
      return { ...written(row, asker.moment), token: null as string | null };
    });
    return answer.id === id ? { ...answer, token } : answer;
  }

  async list({ asker, params, query }: CallOf<typeof api.listInvitations>): Promise<AnswerOf<typeof api.listInvitations>> {
    return this.database.readIn(asker, params.operationId, async ({ db, moment }) => {
      let rows = db.selectFrom('invitation').selectAll().where('operation_id', '=', params.operationId).orderBy('id', 'desc').limit(query.limit + 1);
      if (query.cursor !== undefined) rows = rows.where('id', '<', readCursor(query.cursor, z.tuple([z.uuid()]))[0]);
      return pageOf(await rows.execute(), query.limit, (row) => written(row, moment), (row) => [row.id]);
    });
  }

  async get({ asker, params }: CallOf<typeof api.getInvitation>): Promise<AnswerOf<typeof api.getInvitation>> {
    return this.database.readIn(asker, params.operationId, async ({ db, moment }) => {
      const row = await db.selectFrom('invitation').selectAll().where('operation_id', '=', params.operationId).where('id', '=', params.invitationId).executeTakeFirst();
      if (row === undefined) throw notFound('invitation');
      return written(row, moment);
    });
  }

  async withdraw({ asker, params, expectedVersion }: CallOf<typeof api.withdrawInvitation>): Promise<void> {
    await this.database.writeIn(asker, params.operationId, async (tenant) => {
      const before = await tenant.db.selectFrom('invitation').selectAll().where('operation_id', '=', params.operationId).where('id', '=', params.invitationId).forUpdate().executeTakeFirst();
      if (before === undefined) throw notFound('invitation');
      if (before.version !== expectedVersion) throw new Problem('changed-meanwhile');
      if (before.accepted_at !== null || before.withdrawn_at !== null) throw new Problem('conflict', 'This invitation was accepted or withdrawn before.');
      await tenant.db.updateTable('invitation').set((e) => ({ withdrawn_at: asker.moment.toISOString(), version: e('version', '+', 1) })).where('operation_id', '=', params.operationId).where('id', '=', params.invitationId).execute();
      await tenant.audit({ action: 'invitation.withdraw', subjectKind: 'invitation', subjectId: params.invitationId, before: withoutToken(before) });
      return {};
    });
  }

  /** Somebody new: enrolled with the invitation's email. */
  async accept({ body }: CallOf<typeof api.acceptInvitation>, whence: Whence): Promise<Joined> {
    const moment = this.clock.now();
    const proof = hashToken(body.token);
    await this.attempts.ofStranger('invitation', proof, whence.address, moment);
    refuseCommon(body.passphrase, '#/passphrase');
    const passphraseHash = await hashPassphrase(body.passphrase);
    const personId = newId();
    const joined = await this.database.withProof({ proof, enrolling_id: personId, moment: moment.toISOString() }, async (db) => {
      const invitation = await openInvitation(db, proof, moment);
      refuseTelling(body.passphrase, { email: invitation.email, name: body.name }, '#/passphrase');
      await sql`SELECT set_config('rickyard.sign_in_email', ${invitation.email}, true)`.execute(db);
      const known = await db.selectFrom('person').select('id').where('email', '=', invitation.email).executeTakeFirst();
      if (known !== undefined) throw new Problem('conflict', 'Somebody with this email is enrolled already: sign in and accept at /v1/me/invitation-acceptances.');
      await db.insertInto('person').values({ id: personId, email: invitation.email, name: body.name, passphrase_hash: passphraseHash, created_at: moment.toISOString() }).execute();
      return this.#join(db, invitation, personId, moment, whence);
    });
    await this.attempts.forgetStranger('invitation', proof, whence.address);
    return joined;
  }

  /** Somebody enrolled already, and signed in. A token for another's email is no invitation to them. */
  async join({ asker, body }: CallOf<typeof api.joinByInvitation>): Promise<Joined> {
    const proof = hashToken(body.token);
    await this.attempts.ofStranger('invitation', proof, asker.address, asker.moment);
    return this.database.withProof({ proof, person_id: asker.personId, moment: asker.moment.toISOString() }, async (db) => {
      const invitation = await openInvitation(db, proof, asker.moment);
      const person = await db.selectFrom('person').select('email').where('id', '=', asker.personId).executeTakeFirstOrThrow();
      if (person.email !== invitation.email) throw notFound('invitation');
      const present = await db.selectFrom('membership').select('id').where('operation_id', '=', invitation.operation_id).where('person_id', '=', asker.personId)
        .where((e) => e.or([e('until_at', 'is', null), e('until_at', '>', asker.moment.toISOString())])).executeTakeFirst();
      if (present !== undefined) throw new Problem('conflict', 'One belongs to this operation already.');
      return this.#join(db, invitation, asker.personId, asker.moment, asker);
    });
  }

  async #join(db: Transaction<DB>, invitation: Row, personId: string, moment: Date, whence: Whence): Promise<Joined> {
    const operationId = invitation.operation_id;
    const from = invitation.from_at !== null && invitation.from_at > moment.toISOString() ? invitation.from_at : moment.toISOString();
    await sql`SELECT set_config('rickyard.person_id', ${personId}, true), set_config('rickyard.audited_operation', ${operationId}, true)`.execute(db);
    const membership = {
      operation_id: operationId, id: newId(), person_id: personId, role: invitation.role, sees_prices: invitation.sees_prices, from_at: from, until_at: invitation.until_at, created_at: moment.toISOString(),
    };
    await db.insertInto('membership').values(membership).execute();
    if (invitation.role === 'nutritionist') await this.#engage(db, invitation, membership, moment);
    await db.updateTable('invitation').set((e) => ({ accepted_at: moment.toISOString(), membership_id: membership.id, version: e('version', '+', 1) })).where('operation_id', '=', operationId).where('id', '=', invitation.id).execute();
    await db.insertInto('audit_entry').values({
      operation_id: operationId, sequence: '0', person_id: personId, api_key_id: null, request_id: whence.requestId, address: whence.address, action: 'invitation.accept', subject_kind: 'membership', subject_id: membership.id,
      before: null, after: JSON.stringify({ ...membership, invitation_id: invitation.id }), chain_hash: '',
    }).execute();
    return { personId, operationId, membershipId: membership.id, role: membership.role as Role, seesPrices: membership.sees_prices, from, until: membership.until_at };
  }

  /** An invitation of a nutritionist is an engagement, offered and accepted. */
  async #engage(db: Transaction<DB>, invitation: Row, membership: { id: string; person_id: string }, moment: Date): Promise<void> {
    await sql`SELECT * FROM rickyard.enter(${membership.person_id}::uuid, NULL, ${moment.toISOString()}::timestamptz, ${invitation.operation_id}::uuid)`.execute(db);
    const operation = await db.selectFrom('operation').select('name').where('id', '=', invitation.operation_id).executeTakeFirst();
    await db.insertInto('engagement').values({
      operation_id: invitation.operation_id, id: newId(), operation_name: operation?.name ?? '', consultant_email: invitation.email, consultant_id: membership.person_id, begun_by: 'operation', state: 'accepted',
      sees_prices: invitation.sees_prices, until_at: invitation.until_at, after_end: 'history', note: invitation.note, offered_at: invitation.created_at, expires_at: invitation.expires_at, answered_at: moment.toISOString(), membership_id: membership.id,
    }).execute();
  }
}

async function openInvitation(db: Transaction<DB>, proof: string, moment: Date): Promise<Row> {
  const row = await db.selectFrom('invitation').selectAll().where('token_hash', '=', proof).forUpdate().executeTakeFirst();
  if (row === undefined || row.accepted_at !== null || row.withdrawn_at !== null || row.expires_at <= moment.toISOString() || (row.until_at !== null && row.until_at <= moment.toISOString())) throw notFound('invitation');
  return row;
}

function withoutToken({ token_hash: _hash, ...row }: Row): Omit<Row, 'token_hash'> {
  return row;
}

function written(row: Row, moment: Date): AnswerOf<typeof api.getInvitation> {
  return {
    id: row.id, email: row.email, role: row.role as Role, seesPrices: row.sees_prices, from: row.from_at, until: row.until_at, note: row.note,
    state: row.accepted_at !== null ? 'accepted' : row.withdrawn_at !== null ? 'withdrawn' : row.expires_at <= moment.toISOString() ? 'expired' : 'open',
    invitedBy: row.invited_by, createdAt: row.created_at, expiresAt: row.expires_at, acceptedAt: row.accepted_at, membershipId: row.membership_id, version: row.version,
  };
}
