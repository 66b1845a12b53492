import { Injectable } from '@nestjs/common';
import { Database } from '../../platform/database/database.js';
import { showProof } from '../../platform/database/proof.js';
import type { OperationTenant, Tenant } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { Asker } from '../../platform/http/asker.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { notFound, Problem, ruleBroken } from '../../platform/http/problem.js';
import { emailNote } from '../../platform/wire/unproven-address.schema.js';
import { MembershipRead } from '../memberships/membership.read.js';
import { MembershipService } from '../memberships/membership.service.js';
import { MembershipStore } from '../memberships/membership.store.js';
import { PersonRead } from '../people/person.read.js';
import { hashCode, newCode } from '../sign-in/tokens.js';
import { EngagementLapse } from './engagement-lapse.store.js';
import { EngagementRead, type EngagementRow } from './engagement.read.js';
import type * as api from './engagement.schema.js';
import { EngagementStore } from './engagement.store.js';
import { ProposalRead, type ProposalRow } from './proposal.read.js';
import { ProposalStore } from './proposal.store.js';

type Where = Pick<OperationTenant, 'db' | 'operationId' | 'moment'>;
type Answer = AnswerOf<typeof api.getEngagement>;
interface Terms {
  seesPrices: boolean;
  until?: string | undefined;
  afterEnd: 'history' | 'nothing';
  note?: string | undefined;
}

/** People whose address is proven, with it. */
type Proven = ReadonlyMap<string | null, string>;
type Reader = Pick<Tenant, 'moment' | 'personId'>;

const OFFER_DAYS = 30;
const OPEN_PROPOSALS_MOST = 20;

/**
 * Engagements: offered by one side, accepted by the other, ended by either. What they grant is a membership as
 * nutritionist.
 */
@Injectable()
export class EngagementService {
  constructor(
    private readonly database: Database,
    private readonly engagements: EngagementRead,
    private readonly store: EngagementStore,
    private readonly proposals: ProposalRead,
    private readonly proposalStore: ProposalStore,
    private readonly people: PersonRead,
    private readonly membershipRead: MembershipRead,
    private readonly membershipStore: MembershipStore,
    private readonly memberships: MembershipService,
    private readonly lapse: EngagementLapse,
  ) {}

  // ── the operation's side ──

  async offer(tenant: OperationTenant, { body }: InputOf<typeof api.offerEngagement>): Promise<Answer> {
    return this.#offer(tenant, body, { consultant_email: body.consultantEmail, begun_by: 'operation' });
  }

  /** The consultant proposed; the owner names the operation and the terms, and offers them to that account alone. */
  async acceptProposal(tenant: OperationTenant, { body }: InputOf<typeof api.acceptProposal>): Promise<Answer> {
    const { moment } = tenant;
    const proposal = await this.proposals.received(tenant, body.proposalId, { code: body.code });
    if (proposal.state !== 'open' || proposal.expires_at <= moment.toISOString())
      throw new Problem('conflict', 'This proposal is no longer open.');
    await this.#refuseTwice(tenant, proposal.consultant_id);
    await this.proposalStore.answer(tenant, proposal.id, 'accepted');
    return this.#offer(tenant, body, {
      consultant_email: proposal.consultant_email,
      consultant_id: proposal.consultant_id,
      begun_by: 'consultant',
    });
  }

  /** Nobody who only claims the address has the code: the owner hands it over by another road. */
  async #offer(
    tenant: OperationTenant,
    terms: Terms,
    to: Pick<EngagementRow, 'consultant_email' | 'begun_by'> & Partial<Pick<EngagementRow, 'consultant_id'>>,
  ): Promise<Answer> {
    const code = newCode();
    const row = await this.#insert(tenant, terms, { ...to, state: 'offered', code_hash: hashCode(code) });
    await tenant.audit({
      action: 'engagement.offer',
      subjectKind: 'engagement',
      subjectId: row.id,
      after: withoutCode(row),
    });
    return { ...(await this.#answer(tenant, row)), code };
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listEngagements>,
  ): Promise<AnswerOf<typeof api.listEngagements>> {
    const rows = await this.engagements.page(tenant, query);
    const proven = await this.#proven(tenant, rows);
    return pageOf(
      rows,
      query.limit,
      (row) => answerFrom(row, tenant, proven),
      (row) => [row.id],
    );
  }

  async get(tenant: OperationTenant, { params }: InputOf<typeof api.getEngagement>): Promise<Answer> {
    return this.#answer(tenant, await this.engagements.one(tenant, params.engagementId));
  }

  async change(
    tenant: OperationTenant,
    { params, body, expectedVersion }: InputOf<typeof api.changeEngagement>,
  ): Promise<Answer> {
    const { moment } = tenant;
    const before = await this.engagements.one(tenant, params.engagementId, expectedVersion);
    const state = stateOf(before, moment);
    if (
      state === 'ended'
        ? body.seesPrices !== undefined || body.until !== undefined || body.afterEnd === 'history'
        : state !== 'offered' && state !== 'unconfirmed' && state !== 'accepted'
    ) {
      throw new Problem(
        'conflict',
        state === 'ended' ? "After the end only the consultant's copy can be removed." : 'This engagement is over.',
      );
    }
    if (typeof body.until === 'string' && new Date(body.until) <= moment)
      throw ruleBroken(
        '#/until',
        'in-the-past',
        body.until,
        `after ${moment.toISOString()}`,
        'It cannot end in the past; end it now instead.',
      );
    const set = {
      sees_prices: body.seesPrices ?? before.sees_prices,
      after_end: body.afterEnd ?? before.after_end,
      until_at: body.until === undefined ? before.until_at : body.until === null ? null : instant(body.until),
    };
    if (before.membership_id !== null && state !== 'ended')
      await this.membershipStore.follow(tenant, before.membership_id, {
        sees_prices: set.sees_prices,
        until_at: set.until_at,
      });
    if (set.after_end === 'nothing') await this.store.dropCopy(tenant, before.id);
    const after = await this.store.change(tenant, before.id, set);
    await tenant.audit({
      action: 'engagement.change',
      subjectKind: 'engagement',
      subjectId: before.id,
      before: withoutCode(before),
      after: withoutCode(after),
    });
    return this.#answer(tenant, after);
  }

  async end(
    tenant: OperationTenant,
    { params, body, expectedVersion }: InputOf<typeof api.endEngagement>,
  ): Promise<Answer> {
    return this.#end(tenant, params.engagementId, expectedVersion, body.reason, 'operation');
  }

  // ── the consultant's side ──

  async listOwn(
    tenant: Tenant,
    { query }: InputOf<typeof api.listOwnEngagements>,
  ): Promise<AnswerOf<typeof api.listOwnEngagements>> {
    const rows = await this.engagements.ownPage(tenant, query);
    const proven = await this.#proven(tenant, rows);
    return pageOf(
      rows,
      query.limit,
      (row) => answerFrom(row, tenant, proven),
      (row) => [row.id],
    );
  }

  async getOwn(tenant: Tenant, { params }: InputOf<typeof api.getOwnEngagement>): Promise<Answer> {
    return this.#answer(tenant, await this.engagements.ownOne(tenant, params.engagementId));
  }

  /** The offer that somebody holds the code of, whose address is not proven. */
  async byCode(tenant: Tenant, { body }: InputOf<typeof api.findOffer>): Promise<Answer> {
    return this.#answer(tenant, await this.engagements.offeredWith(tenant, body.code));
  }

  /** It opens nothing yet: an owner confirms who accepted. */
  async accept(
    tenant: Tenant,
    { params, body, expectedVersion }: InputOf<typeof api.acceptEngagement>,
  ): Promise<Answer> {
    const { db, moment } = tenant;
    const before = await this.engagements.ownOne(tenant, params.engagementId, { expectedVersion, code: body.code });
    const proof = hashCode(body.code);
    // To one without its code the offer is not there.
    if (before.state === 'offered' && before.code_hash !== proof) throw notFound('offer with this code');
    if (stateOf(before, moment) !== 'offered') throw new Problem('conflict', 'This offer is no longer open.');
    if (before.until_at !== null && before.until_at <= moment.toISOString())
      throw new Problem('conflict', 'The engagement would already be over.');
    const there = { db, moment, operationId: before.operation_id };
    await this.#refuseTwice(there, tenant.personId);
    await showProof(db, { audited_operation: before.operation_id, proof });
    const membershipId = await this.#grant(there, tenant.personId, before);
    const after = await this.store.change(there, before.id, {
      state: 'unconfirmed',
      consultant_id: tenant.personId,
      answered_at: moment.toISOString(),
      membership_id: membershipId,
    });
    await tenant.auditIn(before.operation_id, {
      action: 'engagement.accept',
      subjectKind: 'engagement',
      subjectId: before.id,
      before: withoutCode(before),
      after: withoutCode(after),
    });
    return this.#answer(tenant, after);
  }

  async decline(
    tenant: Tenant,
    { params, body, expectedVersion }: InputOf<typeof api.declineEngagement>,
  ): Promise<Answer> {
    const { db, moment } = tenant;
    const before = await this.engagements.ownOne(tenant, params.engagementId, { expectedVersion, code: body.code });
    if (!['offered', 'unconfirmed'].includes(stateOf(before, moment)))
      throw new Problem('conflict', 'This offer is no longer open.');
    await showProof(db, { audited_operation: before.operation_id });
    const there = { db, operationId: before.operation_id };
    if (before.membership_id !== null)
      await this.membershipStore.leave(there, before.membership_id, moment.toISOString());
    const after = await this.store.change(there, before.id, {
      state: 'declined',
      answered_at: moment.toISOString(),
    });
    await tenant.auditIn(before.operation_id, {
      action: 'engagement.decline',
      subjectKind: 'engagement',
      subjectId: before.id,
      before: withoutCode(before),
      after: withoutCode(after),
    });
    return this.#answer(tenant, after);
  }

  async endOwn(asker: Asker, { params, body, expectedVersion }: InputOf<typeof api.endOwnEngagement>): Promise<Answer> {
    const found = await this.database.read(asker, (tenant) => this.engagements.ownOne(tenant, params.engagementId));
    if (stateOf(found, asker.moment) !== 'accepted')
      throw new Problem('conflict', 'Only an engagement in force can be ended.');
    return this.database.writeIn(asker, found.operation_id, (tenant) =>
      this.#end(tenant, found.id, expectedVersion, body.reason, 'consultant'),
    );
  }

  async copy(
    asker: Asker,
    { params }: InputOf<typeof api.engagementCopy>,
  ): Promise<AnswerOf<typeof api.engagementCopy>> {
    const found = await this.database.read(asker, (tenant) => this.engagements.ownOne(tenant, params.engagementId));
    if (found.state === 'accepted' && stateOf(found, asker.moment) === 'ended')
      await this.lapse.settle(found.operation_id, asker);
    return this.database.read(asker, async (tenant) => {
      const engagement = await this.engagements.ownOne(tenant, params.engagementId);
      const row = await this.engagements.ownCopy(tenant, engagement);
      return {
        operationId: row.operation_id,
        endedAt: row.ended_at,
        records: row.record_count,
        content: Buffer.from(row.content).toString('base64'),
      };
    });
  }

  // ── proposals ──

  async propose(
    tenant: Tenant,
    { body }: InputOf<typeof api.createProposal>,
  ): Promise<AnswerOf<typeof api.getProposal>> {
    const person = await this.people.one(tenant.db, tenant.personId);
    if ((await this.proposals.countOpen(tenant)) >= OPEN_PROPOSALS_MOST)
      throw new Problem('conflict', 'Twenty proposals are open; withdraw one first.');
    const code = newCode();
    const row = await this.proposalStore.insert(tenant, {
      code_hash: hashCode(code),
      consultant_name: person.name,
      consultant_email: person.email,
      owner_email: body.ownerEmail,
      note: body.note ?? null,
      expires_at: later(tenant.moment),
    });
    return { ...proposalAnswer(row, tenant, await this.#proven(tenant, [row])), code };
  }

  /** Read by the code that the consultant handed over; nothing is changed. */
  async findProposal(
    tenant: Tenant,
    { body }: InputOf<typeof api.findProposal>,
  ): Promise<AnswerOf<typeof api.getProposal>> {
    const row = await this.proposals.receivedWith(tenant, body.code);
    return proposalAnswer(row, tenant, await this.#proven(tenant, [row]));
  }

  /** By the owner it was made to, also one who has the code and no proven address. */
  async declineProposal(
    tenant: Tenant,
    { params, body, expectedVersion }: InputOf<typeof api.declineProposal>,
  ): Promise<AnswerOf<typeof api.getProposal>> {
    const { code } = body;
    const row = await this.proposals.one(tenant, params.proposalId, { expectedVersion, code });
    if (row.consultant_id === tenant.personId) throw notFound('proposal to you');
    if (row.state !== 'open') throw new Problem('conflict', 'This proposal is no longer open.');
    await this.proposalStore.answer(tenant, row.id, 'declined');
    const after = await this.proposals.one(tenant, row.id, { code });
    return proposalAnswer(after, tenant, await this.#proven(tenant, [after]));
  }

  async listProposals(
    tenant: Tenant,
    { query }: InputOf<typeof api.listProposals>,
  ): Promise<AnswerOf<typeof api.listProposals>> {
    const rows = await this.proposals.page(tenant, query);
    const proven = await this.#proven(tenant, rows);
    return pageOf(
      rows,
      query.limit,
      (row) => proposalAnswer(row, tenant, proven),
      (row) => [row.id],
    );
  }

  async getProposal(
    tenant: Tenant,
    { params }: InputOf<typeof api.getProposal>,
  ): Promise<AnswerOf<typeof api.getProposal>> {
    const row = await this.proposals.one(tenant, params.proposalId);
    return proposalAnswer(row, tenant, await this.#proven(tenant, [row]));
  }

  async closeProposal(tenant: Tenant, { params, expectedVersion }: InputOf<typeof api.closeProposal>): Promise<void> {
    const row = await this.proposals.one(tenant, params.proposalId, { expectedVersion });
    if (row.state !== 'open') throw new Problem('conflict', 'This proposal is no longer open.');
    await this.proposalStore.answer(tenant, row.id, row.consultant_id === tenant.personId ? 'withdrawn' : 'declined');
  }

  // ── both ──

  async #answer(tenant: Tenant, row: EngagementRow): Promise<Answer> {
    return answerFrom(row, tenant, await this.#proven(tenant, [row]));
  }

  /** Of the consultants, those who have proven an address, with it. */
  #proven({ db }: Tenant, rows: readonly { consultant_id: string | null }[]): Promise<Proven> {
    return this.people.provenEmails(
      db,
      rows.map((row) => row.consultant_id),
    );
  }

  async #end(
    tenant: OperationTenant,
    engagementId: string,
    expectedVersion: number,
    reason: string,
    by: 'operation' | 'consultant',
  ): Promise<Answer> {
    const { moment } = tenant;
    const before = await this.engagements.one(tenant, engagementId, expectedVersion);
    if (before.state === 'offered' && by === 'operation') {
      const after = await this.store.change(tenant, before.id, {
        state: 'withdrawn',
        answered_at: moment.toISOString(),
      });
      await tenant.audit({
        action: 'engagement.withdraw',
        subjectKind: 'engagement',
        subjectId: before.id,
        before: withoutCode(before),
        after: { reason },
      });
      return this.#answer(tenant, after);
    }
    if (!['unconfirmed', 'accepted'].includes(stateOf(before, moment)) || before.membership_id === null)
      throw new Problem('conflict', 'This engagement is over.');
    const membership = await this.membershipRead.one(tenant, before.membership_id);
    await this.memberships.close(tenant, membership, { expectedVersion: membership.version, reason, by });
    return this.#answer(tenant, await this.engagements.one(tenant, engagementId));
  }

  async #grant(
    where: Where,
    personId: string,
    terms: Pick<EngagementRow, 'sees_prices' | 'until_at'>,
  ): Promise<string> {
    const membership = await this.membershipStore.insert(where, {
      person_id: personId,
      role: 'nutritionist',
      sees_prices: terms.sees_prices,
      from_at: where.moment.toISOString(),
      until_at: terms.until_at,
    });
    return membership.id;
  }

  async #refuseTwice(where: Where, personId: string): Promise<void> {
    if (await this.membershipRead.belongs(where, personId))
      throw new Problem('conflict', 'This person already belongs to the operation.');
  }

  async #insert(
    tenant: OperationTenant,
    terms: Terms,
    more: Pick<EngagementRow, 'consultant_email' | 'begun_by' | 'state'> &
      Partial<Pick<EngagementRow, 'consultant_id' | 'code_hash'>>,
  ): Promise<EngagementRow> {
    const until = instant(terms.until);
    if (until !== null && until <= tenant.moment.toISOString())
      throw ruleBroken(
        '#/until',
        'in-the-past',
        terms.until,
        `after ${tenant.moment.toISOString()}`,
        'The engagement would already be over.',
      );
    return this.store.insert(tenant, {
      operation_name: tenant.operation.name,
      sees_prices: terms.seesPrices,
      until_at: until,
      after_end: terms.afterEnd,
      note: terms.note ?? null,
      offered_at: tenant.moment.toISOString(),
      expires_at: later(tenant.moment),
      ...more,
    });
  }
}

function withoutCode({ code_hash: _hash, ...row }: EngagementRow): Omit<EngagementRow, 'code_hash'> {
  return row;
}

function later(moment: Date): string {
  return new Date(moment.getTime() + OFFER_DAYS * 86_400_000).toISOString();
}

function instant(given: string | undefined): string | null {
  return given === undefined ? null : new Date(given).toISOString();
}

function stateOf(row: EngagementRow, moment: Date): Answer['state'] {
  if (row.state === 'offered' && row.expires_at <= moment.toISOString()) return 'expired';
  if (row.state === 'unconfirmed' && row.until_at !== null && row.until_at <= moment.toISOString()) return 'expired';
  if (row.state === 'accepted' && row.until_at !== null && row.until_at <= moment.toISOString()) return 'ended';
  return row.state;
}

function answerFrom(row: EngagementRow, { moment, personId }: Reader, proven: Proven): Answer {
  const state = stateOf(row, moment);
  const isProven = proven.get(row.consultant_id) === row.consultant_email;
  return {
    id: row.id,
    operationId: row.operation_id,
    operation: row.operation_name,
    consultantEmail: row.consultant_email,
    // Whoever accepted goes by that address still, and has proven it.
    consultantEmailProven: isProven,
    consultantEmailNote: emailNote(isProven, row.consultant_id === personId ? 'own' : 'invited'),
    consultantId: row.consultant_id,
    begunBy: row.begun_by,
    state,
    code: null,
    seesPrices: row.sees_prices,
    until: row.until_at,
    afterEnd: row.after_end,
    note: row.note,
    offeredAt: row.offered_at,
    expiresAt: row.expires_at,
    answeredAt: row.answered_at,
    membershipId: row.membership_id,
    endedAt: row.ended_at ?? (state === 'ended' ? row.until_at : null),
    endedBy: row.ended_by,
    version: row.version,
  };
}

function proposalAnswer(
  row: ProposalRow,
  { moment, personId }: Reader,
  proven: Proven,
): AnswerOf<typeof api.getProposal> {
  const isProven = proven.get(row.consultant_id) === row.consultant_email;
  return {
    id: row.id,
    consultantId: row.consultant_id,
    consultant: row.consultant_name,
    consultantEmail: row.consultant_email,
    consultantEmailProven: isProven,
    consultantEmailNote: emailNote(isProven, row.consultant_id === personId ? 'own' : 'proposes'),
    ownerEmail: row.owner_email,
    code: null,
    note: row.note,
    state: row.state === 'open' && row.expires_at <= moment.toISOString() ? 'expired' : row.state,
    createdAt: row.created_at,
    expiresAt: row.expires_at,
    version: row.version,
  };
}
