import { Inject, Injectable } from '@nestjs/common';
import type { Transaction } from 'kysely';
import { type Clock, CLOCK } from '../../platform/clock.js';
import { Database } from '../../platform/database/database.js';
import { showProof } from '../../platform/database/proof.js';
import type { DB } from '../../platform/database/types.js';
import type { InputOf } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import type { recoverByCode, recoverByToken } from '../account/account.schema.js';
import { AuditStore } from '../audit/audit.store.js';
import { DenialRecorder } from '../denials/denial-recorder.store.js';
import { MembershipRead } from '../memberships/membership.read.js';
import { refuseCommon, refuseTelling } from '../people/passphrase-rule.js';
import { PersonRead } from '../people/person.read.js';
import { PersonStore } from '../people/person.store.js';
import { SecondFactorStore } from '../second-factor/second-factor.store.js';
import { Attempts } from '../sign-in/attempts.js';
import { hashPassphrase } from '../sign-in/passphrase.js';
import { SessionStore } from '../sign-in/session.store.js';
import { type KnownPerson, SignInStore } from '../sign-in/sign-in.store.js';
import { hashToken } from '../sign-in/tokens.js';
import { RecoveryCodeStore } from './recovery-code.store.js';
import { RecoveryTokenStore } from './recovery-token.store.js';

interface Proofs {
  oneTimeCode?: string | undefined;
  secondRecoveryCode?: string | undefined;
}

interface RequestOrigin {
  address: string;
  requestId: string;
}

/**
 * A new passphrase for a person who has lost the old one. Whatever fails, the answer is the same and no code is used
 * up.
 */
@Injectable()
export class RecoveryService {
  constructor(
    private readonly database: Database,
    private readonly store: SignInStore,
    private readonly tokens: RecoveryTokenStore,
    private readonly membershipRead: MembershipRead,
    private readonly people: PersonRead,
    private readonly personStore: PersonStore,
    private readonly sessions: SessionStore,
    private readonly audit: AuditStore,
    private readonly attempts: Attempts,
    private readonly factors: SecondFactorStore,
    private readonly codes: RecoveryCodeStore,
    private readonly denials: DenialRecorder,
    @Inject(CLOCK) private readonly clock: Clock,
  ) {}

  async byCode(body: InputOf<typeof recoverByCode>['body'], origin: RequestOrigin): Promise<void> {
    const moment = this.clock.now();
    await this.attempts.ofStranger('recovery', body.email, origin.address, moment);
    await refuseCommon(body.newPassphrase, '#/newPassphrase');
    const accounts = await this.store.peopleByEmail(body.email);
    // Hashed whether or not there is anybody, so that the time of a failure tells nothing.
    const hash = await hashPassphrase(body.newPassphrase, accounts);
    const holder = await this.codes.holder(body.recoveryCode);
    const personId = accounts.find(({ id }) => id === holder)?.id ?? '00000000-0000-0000-0000-000000000000';
    try {
      // Guesses at the second proof are counted against the person, but only for a caller with a valid recovery code:
      // nobody else can use them up.
      const guarded = await this.database.withProof(
        { person_id: personId },
        async (db) =>
          (await this.codes.holds(db, personId, body.recoveryCode)) && (await this.factors.inForce(db, personId)),
      );
      if (guarded) await this.attempts.ofPerson(personId, moment);
      await this.database.withProof({ person_id: personId, moment: moment.toISOString() }, async (db) => {
        if (!(await this.codes.take(db, personId, body.recoveryCode, moment))) throw new Problem('recovery-failed');
        await this.#proveSecond(db, personId, body, moment);
        await this.#renew(db, personId, body.newPassphrase, hash, moment);
      });
    } catch (error) {
      // A valid code with an unacceptable passphrase is not noted as an attempt.
      if (!(error instanceof Problem && error.code === 'rule-broken'))
        for (const account of accounts)
          this.denials.noteAccount(account, { ...origin, endpoint: 'recoverByCode', moment, code: 'recovery-failed' });
      throw error;
    }
    await this.attempts.forgetStranger('recovery', body.email, origin.address);
  }

  async byToken(body: InputOf<typeof recoverByToken>['body'], origin: RequestOrigin): Promise<void> {
    const moment = this.clock.now();
    const proof = hashToken(body.token);
    await this.attempts.ofStranger('recovery', proof, origin.address, moment);
    await refuseCommon(body.newPassphrase, '#/newPassphrase');
    const hash = await hashPassphrase(body.newPassphrase, await this.#besideTokenHolder(proof));
    let known: { operation_id: string; person_id: string } | undefined;
    await this.database
      .withProof({ proof, moment: moment.toISOString() }, async (db) => {
        const token = await this.tokens.hold(db, proof);
        known = token;
        if (token === undefined || token.used_at !== null || token.expires_at <= moment.toISOString())
          throw new Problem('recovery-failed');
        await showProof(db, { person_id: token.person_id, audited_operation: token.operation_id });
        // Whoever belongs elsewhere too, or is wanted there, is not this owner's to recover: an owner must never come
        // into another's books by a member in common.
        const memberships = await this.membershipRead.membershipsOf(db, token.person_id);
        const here = memberships.find((membership) => membership.id === token.membership_id);
        if (
          (await this.membershipRead.standsElsewhere(db, token.person_id, token.operation_id)) ||
          here === undefined ||
          here.confirmed_at === null ||
          here.role === 'owner' ||
          (here.until_at !== null && here.until_at <= moment.toISOString())
        )
          throw new Problem('recovery-failed');
        await this.#proveSecond(db, token.person_id, body, moment);
        await this.tokens.use(db, token, moment);
        await this.#renew(db, token.person_id, body.newPassphrase, hash, moment);
        await this.personStore.vouch(db, token.person_id, {
          vouched_by_operation: token.operation_id,
          vouched_by_name: token.operation_name,
          vouched_at: moment.toISOString(),
        });
        await this.audit.append(db, {
          ...origin,
          operationId: token.operation_id,
          personId: token.person_id,
          action: 'recovery-token.use',
          subjectKind: 'membership',
          subjectId: token.membership_id,
        });
      })
      .catch((error: unknown) => {
        // Only for the operation that issued it, not for any other the person may belong to.
        if (known !== undefined && error instanceof Problem && error.code === 'recovery-failed') {
          this.denials.note({
            ...origin,
            moment,
            endpoint: 'recoverByToken',
            code: 'recovery-failed',
            operationId: known.operation_id,
            personId: known.person_id,
            apiKeyId: undefined,
          });
        }
        throw error;
      });
  }

  /** The accounts of the email that a token is for; none where there is no such token. */
  async #besideTokenHolder(proof: string): Promise<KnownPerson[]> {
    const email = await this.database.withProof({ proof }, async (db) => {
      const token = await this.tokens.hold(db, proof);
      if (token === undefined) return '';
      await showProof(db, { person_id: token.person_id });
      return (await this.people.one(db, token.person_id)).email;
    });
    return this.store.peopleByEmail(email);
  }

  async #proveSecond(
    db: Transaction<DB>,
    personId: string,
    { oneTimeCode, secondRecoveryCode }: Proofs,
    moment: Date,
  ): Promise<void> {
    if (!(await this.factors.inForce(db, personId))) return;
    const proven =
      oneTimeCode !== undefined
        ? await this.factors.takeCode(db, personId, oneTimeCode, moment)
        : secondRecoveryCode !== undefined && (await this.codes.take(db, personId, secondRecoveryCode, moment));
    if (!proven) throw new Problem('recovery-failed');
  }

  async #renew(db: Transaction<DB>, personId: string, passphrase: string, hash: string, moment: Date): Promise<void> {
    refuseTelling(passphrase, await this.people.one(db, personId), '#/newPassphrase');
    await this.personStore.changePassphrase(db, personId, hash);
    await this.sessions.endAll({ db, personId, moment }, 'passphrase recovered');
  }
}
