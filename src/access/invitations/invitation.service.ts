import { Inject, Injectable } from '@nestjs/common';
import type { Transaction } from 'kysely';
import { maySeePrices } from '../../platform/roles/roles.data.js';
import { type Clock, CLOCK } from '../../platform/clock.js';
import { Database } from '../../platform/database/database.js';
import { showProof } from '../../platform/database/proof.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { Asker } from '../../platform/http/asker.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { notFound, Problem, ruleBroken } from '../../platform/http/problem.js';
import { emailNote } from '../../platform/wire/unproven-address.schema.js';
import { newId } from '../../platform/identifiers.js';
import { AuditStore } from '../audit/audit.store.js';
import { EngagementStore } from '../engagements/engagement.store.js';
import { MembershipRead } from '../memberships/membership.read.js';
import { refusePrices } from '../memberships/membership.service.js';
import { MembershipStore } from '../memberships/membership.store.js';
import { refuseCommon, refuseTelling } from '../people/passphrase-rule.js';
import { PersonRead } from '../people/person.read.js';
import { PersonStore } from '../people/person.store.js';
import { RecoveryCodeStore } from '../recovery/recovery-code.store.js';
import { Attempts } from '../sign-in/attempts.js';
import { hashPassphrase } from '../sign-in/passphrase.js';
import { SignInStore } from '../sign-in/sign-in.store.js';
import { hashToken, INVITATION_PREFIX, newToken } from '../sign-in/tokens.js';
import { InvitationRead, type InvitationRow } from './invitation.read.js';
import type * as api from './invitation.schema.js';
import { InvitationStore } from './invitation.store.js';

type Where = Pick<OperationTenant, 'db' | 'operationId' | 'moment'>;
type Joined = AnswerOf<typeof api.joinByInvitation>;

/** Where a request comes from that nobody has signed in to. */
export interface RequestOrigin {
  address: string;
  requestId: string;
}

/** How people come in: an owner invites an address, whoever holds the token accepts, an owner confirms who it was. */
@Injectable()
export class InvitationService {
  constructor(
    private readonly database: Database,
    private readonly invitations: InvitationRead,
    private readonly store: InvitationStore,
    private readonly people: PersonRead,
    private readonly personStore: PersonStore,
    private readonly membershipRead: MembershipRead,
    private readonly membershipStore: MembershipStore,
    private readonly engagements: EngagementStore,
    private readonly audit: AuditStore,
    private readonly attempts: Attempts,
    private readonly signIns: SignInStore,
    private readonly codes: RecoveryCodeStore,
    @Inject(CLOCK) private readonly clock: Clock,
  ) {}

  async create(
    tenant: OperationTenant,
    { body }: InputOf<typeof api.createInvitation>,
  ): Promise<AnswerOf<typeof api.createInvitation>> {
    const seesPrices = body.seesPrices ?? maySeePrices(body.role);
    refusePrices(body.role, seesPrices);
    const from = body.from === undefined ? null : new Date(body.from).toISOString();
    const until = body.until === undefined ? null : new Date(body.until).toISOString();
    const earliest = from ?? tenant.moment.toISOString();
    if (until !== null && until <= earliest)
      throw ruleBroken(
        '#/until',
        'ends-before-it-begins',
        body.until,
        `after ${earliest}`,
        'The membership would end before it begins.',
      );
    if (body.role === 'owner' && until !== null)
      throw ruleBroken(
        '#/until',
        'owner-has-no-end',
        body.until,
        'no end for an owner',
        "An owner's membership has no end of its own.",
      );
    const token = newToken(INVITATION_PREFIX);
    const id = newId();
    const row = await this.store.insert(tenant, id, {
      operation_name: tenant.operation.name,
      email: body.email,
      role: body.role,
      sees_prices: seesPrices,
      from_at: from,
      until_at: until,
      note: body.note ?? null,
      token_hash: hashToken(token),
      expires_at: new Date(tenant.moment.getTime() + body.days * 86_400_000).toISOString(),
    });
    await tenant.audit({
      action: 'invitation.create',
      subjectKind: 'invitation',
      subjectId: id,
      after: withoutToken(row),
    });
    await this.store.refuseTooMany(tenant);
    return { ...answerFrom(row, tenant.moment, new Set()), token };
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listInvitations>,
  ): Promise<AnswerOf<typeof api.listInvitations>> {
    const rows = await this.invitations.page(tenant, query);
    const proven = await this.invitations.proven(tenant, rows);
    return pageOf(
      rows,
      query.limit,
      (row) => answerFrom(row, tenant.moment, proven),
      (row) => [row.id],
    );
  }

  async get(
    tenant: OperationTenant,
    { params }: InputOf<typeof api.getInvitation>,
  ): Promise<AnswerOf<typeof api.getInvitation>> {
    const row = await this.invitations.one(tenant, params.invitationId);
    return answerFrom(row, tenant.moment, await this.invitations.proven(tenant, [row]));
  }

  async withdraw(
    tenant: OperationTenant,
    { params, expectedVersion }: InputOf<typeof api.withdrawInvitation>,
  ): Promise<void> {
    const before = await this.invitations.one(tenant, params.invitationId, expectedVersion);
    if (before.accepted_at !== null || before.withdrawn_at !== null)
      throw new Problem('conflict', 'This invitation was already accepted or withdrawn.');
    await this.store.withdraw(tenant, before.id);
    await tenant.audit({
      action: 'invitation.withdraw',
      subjectKind: 'invitation',
      subjectId: params.invitationId,
      before: withoutToken(before),
    });
  }

  /** Somebody new: enrolled with the invitation's email, whoever else has an account that names it. */
  async accept(
    { body }: InputOf<typeof api.acceptInvitation>,
    origin: RequestOrigin,
  ): Promise<AnswerOf<typeof api.acceptInvitation>> {
    const moment = this.clock.now();
    const proof = hashToken(body.token);
    const { email, operation_id: answersFor } = await this.#opened(proof, origin.address, moment);
    await refuseCommon(body.passphrase, '#/passphrase');
    refuseTelling(body.passphrase, { email, name: body.name }, '#/passphrase');
    // Nobody may guess at an account of this email here more often than at sign-in, where it is counted apart.
    await this.attempts.ofEnrollment(email, { answersFor, address: origin.address }, moment);
    const accounts = await this.signIns.peopleByEmail(email);
    const passphraseHash = await hashPassphrase(body.passphrase, accounts);
    // Told only to whoever holds email and passphrase; to anybody else the answer is the same, enrolled or not.
    if (accounts.some((one) => one.passphrase_hash === passphraseHash))
      throw new Problem(
        'conflict',
        'This email and passphrase open an account already: sign in and accept at /v1/me/invitation-acceptances.',
      );
    const personId = newId();
    const joined = await this.database.withProof(
      { proof, enrolling_id: personId, moment: moment.toISOString() },
      async (db) => {
        const invitation = await this.invitations.open(db, proof, moment);
        await this.personStore.insert(
          db,
          {
            id: personId,
            email: invitation.email,
            name: body.name,
            passphrase_hash: passphraseHash,
            vouched_by_operation: invitation.operation_id,
            vouched_by_name: invitation.operation_name,
            vouched_at: moment.toISOString(),
          },
          moment,
        );
        const made = await this.#join(db, invitation, personId, moment, origin);
        return { ...made, recoveryCodes: await this.codes.make(db, personId, moment) };
      },
    );
    await this.attempts.forgetCode('invitation', proof);
    return joined;
  }

  /** A token that is right has its own count; what strangers at the same address guessed is not held against it. */
  async #opened(proof: string, address: string, moment: Date): Promise<InvitationRow> {
    const found = await this.database.withProof({ proof }, (db) => this.invitations.found(db, proof, moment));
    if (found !== undefined) {
      await this.attempts.ofCode('invitation', proof, moment);
      return found;
    }
    await this.attempts.ofStranger('invitation', proof, address, moment);
    throw notFound('invitation');
  }

  /** A person who is already enrolled and signed in. A token for somebody else's email does not invite them. */
  async join(asker: Asker, { body }: InputOf<typeof api.joinByInvitation>): Promise<Joined> {
    const proof = hashToken(body.token);
    await this.#opened(proof, asker.address, asker.moment);
    return this.database.withProof(
      { proof, person_id: asker.personId, moment: asker.moment.toISOString() },
      async (db) => {
        const invitation = await this.invitations.open(db, proof, asker.moment);
        const person = await this.people.one(db, asker.personId);
        if (person.email !== invitation.email) throw notFound('invitation');
        if (
          await this.membershipRead.belongs(
            { db, operationId: invitation.operation_id, moment: asker.moment },
            asker.personId,
          )
        )
          throw new Problem('conflict', 'You already belong to this operation.');
        return this.#join(db, invitation, asker.personId, asker.moment, asker);
      },
    );
  }

  async #join(
    db: Transaction<DB>,
    invitation: InvitationRow,
    personId: string,
    moment: Date,
    origin: RequestOrigin,
  ): Promise<Joined> {
    const operationId = invitation.operation_id;
    const where = { db, operationId, moment };
    const from =
      invitation.from_at !== null && invitation.from_at > moment.toISOString()
        ? invitation.from_at
        : moment.toISOString();
    await showProof(db, { person_id: personId, audited_operation: operationId });
    const membership = await this.membershipStore.insert(where, {
      person_id: personId,
      role: invitation.role,
      sees_prices: invitation.sees_prices,
      from_at: from,
      until_at: invitation.until_at,
    });
    if (invitation.role === 'nutritionist') await this.#engage(where, invitation, membership);
    await this.store.accept(where, invitation.id, membership.id);
    await this.audit.append(db, {
      operationId,
      personId,
      requestId: origin.requestId,
      address: origin.address,
      action: 'invitation.accept',
      subjectKind: 'membership',
      subjectId: membership.id,
      after: { ...membership, invitation_id: invitation.id },
    });
    return {
      personId,
      operationId,
      membershipId: membership.id,
      role: invitation.role,
      seesPrices: invitation.sees_prices,
      from,
      until: invitation.until_at,
    };
  }

  /** Inviting a nutritionist makes an engagement, offered and accepted. */
  async #engage(where: Where, invitation: InvitationRow, membership: { id: string; person_id: string }): Promise<void> {
    await this.engagements.insert(where, {
      operation_name: invitation.operation_name ?? '',
      consultant_email: invitation.email,
      consultant_id: membership.person_id,
      begun_by: 'operation',
      state: 'unconfirmed',
      sees_prices: invitation.sees_prices,
      until_at: invitation.until_at,
      after_end: 'history',
      note: invitation.note,
      offered_at: invitation.created_at,
      expires_at: invitation.expires_at,
      answered_at: where.moment.toISOString(),
      membership_id: membership.id,
    });
  }
}

function withoutToken({ token_hash: _hash, ...row }: InvitationRow): Omit<InvitationRow, 'token_hash'> {
  return row;
}

/** @param proven those whose address was proven by whoever accepted */
function answerFrom(row: InvitationRow, moment: Date, proven: ReadonlySet<string>): AnswerOf<typeof api.getInvitation> {
  return {
    id: row.id,
    email: row.email,
    emailProven: proven.has(row.id),
    emailNote: emailNote(proven.has(row.id), 'invited'),
    role: row.role,
    seesPrices: row.sees_prices,
    from: row.from_at,
    until: row.until_at,
    note: row.note,
    state:
      row.accepted_at !== null
        ? 'accepted'
        : row.withdrawn_at !== null
          ? 'withdrawn'
          : row.expires_at <= moment.toISOString()
            ? 'expired'
            : 'open',
    invitedBy: row.invited_by,
    createdAt: row.created_at,
    expiresAt: row.expires_at,
    acceptedAt: row.accepted_at,
    membershipId: row.membership_id,
    version: row.version,
  };
}
