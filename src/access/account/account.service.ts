import { Injectable } from '@nestjs/common';
import { Database } from '../../platform/database/database.js';
import type { Tenant } from '../../platform/database/types.js';
import type { Asker } from '../../platform/http/asker.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import { secondLookUntil } from '../../platform/http/second-look.js';
import { ApiKeyRead, type ApiKeyRow } from '../api-keys/api-key.read.js';
import { OwnKeysService } from '../api-keys/own-keys.service.js';
import { refuseCommon, refuseTelling } from '../people/passphrase-rule.js';
import { PasskeyRead } from '../passkeys/passkey.read.js';
import { PersonRead } from '../people/person.read.js';
import { PersonStore } from '../people/person.store.js';
import { PersonKeyRead } from '../person-keys/person-key.read.js';
import { RecoveryCodeStore } from '../recovery/recovery-code.store.js';
import { keyUri } from '../second-factor/one-time-code.js';
import { FirstFactor } from '../second-factor/first-factor.js';
import { LastFactor } from '../second-factor/last-factor.js';
import { SecondFactorStore } from '../second-factor/second-factor.store.js';
import { Attempts } from '../sign-in/attempts.js';
import { hashPassphrase } from '../sign-in/passphrase.js';
import { SessionRead } from '../sign-in/session.read.js';
import { SessionStore } from '../sign-in/session.store.js';
import { SignInStore } from '../sign-in/sign-in.store.js';
import { ACCOUNT_NOTICES } from '../../platform/wire/words.data.js';
import { AccountEventRead } from './account-event.read.js';
import type * as api from './account.schema.js';
import { SelfProof, wrongCode } from './self-proof.js';

/** What a person does about their own account. Everything that could take it over asks for the passphrase again. */
@Injectable()
export class AccountService {
  constructor(
    private readonly database: Database,
    private readonly people: PersonRead,
    private readonly personStore: PersonStore,
    private readonly signIns: SignInStore,
    private readonly sessions: SessionRead,
    private readonly sessionStore: SessionStore,
    private readonly attempts: Attempts,
    private readonly factors: SecondFactorStore,
    private readonly codes: RecoveryCodeStore,
    private readonly apiKeys: ApiKeyRead,
    private readonly ownKeys: OwnKeysService,
    private readonly personKeys: PersonKeyRead,
    private readonly events: AccountEventRead,
    private readonly proof: SelfProof,
    private readonly passkeys: PasskeyRead,
    private readonly lastFactor: LastFactor,
    private readonly firstFactor: FirstFactor,
  ) {}

  async changePassphrase(
    asker: Asker,
    { body }: InputOf<typeof api.changePassphrase>,
    accessToken: string | undefined,
  ): Promise<AnswerOf<typeof api.changePassphrase>> {
    await this.proof.either(asker, body, 'changePassphrase');
    await refuseCommon(body.newPassphrase, '#/newPassphrase');
    const { email } = await this.database.read(asker, ({ db }) => this.people.one(db, asker.personId));
    const hash = await hashPassphrase(body.newPassphrase, await this.signIns.peopleByEmail(email));
    return this.database.write(asker, async (tenant) => {
      const session = await this.signIns.sessionOf(tenant, accessToken);
      refuseTelling(body.newPassphrase, await this.people.one(tenant.db, asker.personId), '#/newPassphrase');
      await this.personStore.changePassphrase(tenant.db, asker.personId, hash);
      await this.sessionStore.endAll(tenant, 'passphrase changed', session);
      const keysEnded = body.endKeys ? await this.ownKeys.endAll(tenant) : 0;
      const [ofOperations, own] = [await this.apiKeys.working(tenant), await this.personKeys.working(tenant)];
      return {
        keysEnded,
        keysRemaining: [
          ...ofOperations.map((row) => ({ ...remaining(row), operationId: row.operation_id })),
          ...own.map((row) => ({ ...remaining(row), operationId: null })),
        ],
      };
    });
  }

  /** For some minutes this session may do what takes an account or books over. */
  async secondLook(
    asker: Asker,
    { body }: InputOf<typeof api.secondLook>,
    accessToken: string | undefined,
  ): Promise<AnswerOf<typeof api.secondLook>> {
    await this.proof.either(asker, body, 'takeSecondLook');
    await this.database.write(asker, async (tenant) => {
      const present = await this.signIns.sessionOf(tenant, accessToken);
      if (present !== undefined) await this.sessionStore.prove(tenant, present);
      return {};
    });
    return { goodUntil: secondLookUntil(asker.moment).toISOString() };
  }

  async listSessions(
    tenant: Tenant,
    { query }: InputOf<typeof api.listSessions>,
    accessToken: string | undefined,
  ): Promise<AnswerOf<typeof api.listSessions>> {
    const present = await this.signIns.sessionOf(tenant, accessToken);
    return pageOf(
      await this.sessions.page(tenant, query),
      query.limit,
      (row) => ({
        id: row.id,
        startedAt: row.created_at,
        lastRenewedAt: row.renewed_at ?? row.created_at,
        userAgent: row.user_agent,
        address: row.address,
        present: row.id === present,
      }),
      (row) => [row.id],
    );
  }

  async endSession(tenant: Tenant, { params }: InputOf<typeof api.endSession>): Promise<void> {
    await this.sessionStore.end(tenant, params.sessionId, 'ended by its person');
  }

  async listActivity(
    tenant: Tenant,
    { query }: InputOf<typeof api.listActivity>,
  ): Promise<AnswerOf<typeof api.listActivity>> {
    return pageOf(
      await this.events.page(tenant, query),
      query.limit,
      (row) => ({
        happenedAt: row.happened_at,
        kind: row.kind,
        address: row.address,
        subjectId: row.subject_id,
        attempts: row.attempts,
        notice: ACCOUNT_NOTICES.some((kind) => kind === row.kind),
      }),
      (row) => [row.sequence],
    );
  }

  async makeRecoveryCodes(
    asker: Asker,
    { body }: InputOf<typeof api.makeRecoveryCodes>,
  ): Promise<AnswerOf<typeof api.makeRecoveryCodes>> {
    await this.proof.either(asker, body, 'makeRecoveryCodes');
    return this.database.write(asker, async ({ db }) => ({
      codes: await this.codes.make(db, asker.personId, asker.moment),
    }));
  }

  async secondFactor({ db, personId }: Tenant): Promise<AnswerOf<typeof api.getSecondFactor>> {
    const factor = await this.factors.of(db, personId);
    return {
      inForce: typeof factor?.confirmed_at === 'string',
      since: factor?.confirmed_at ?? null,
      passkeys: (await this.passkeys.working({ db, personId })).length,
      recoveryCodesLeft: await this.codes.left(db, personId),
    };
  }

  async beginSecondFactor(
    asker: Asker,
    { body }: InputOf<typeof api.beginSecondFactor>,
  ): Promise<AnswerOf<typeof api.beginSecondFactor>> {
    // Said before any code is used up.
    await this.database.read(asker, async ({ db, personId }) => {
      if (await this.factors.codesInForce(db, personId))
        throw new Problem('conflict', 'A second factor is turned on; remove it first.');
    });
    await this.proof.either(asker, body, 'beginSecondFactor');
    return this.database.write(asker, async ({ db }) => {
      if (await this.factors.codesInForce(db, asker.personId))
        throw new Problem('conflict', 'A second factor is turned on; remove it first.');
      const secret = await this.factors.begin(db, asker.personId, asker.moment);
      const { email } = await this.people.one(db, asker.personId);
      return { secret, keyUri: keyUri(email, secret) };
    });
  }

  async confirmSecondFactor(
    asker: Asker,
    { body }: InputOf<typeof api.confirmSecondFactor>,
    accessToken: string | undefined,
  ): Promise<AnswerOf<typeof api.confirmSecondFactor>> {
    await this.attempts.ofPerson(asker.personId, asker.moment);
    const made = await this.database.write(asker, async (tenant) => {
      const { db } = tenant;
      const factor = await this.factors.of(db, asker.personId);
      if (factor === undefined || factor.confirmed_at !== null)
        throw new Problem('conflict', 'No second factor is waiting for its first code.');
      if (!(await this.factors.takeCode(db, asker.personId, body.oneTimeCode, asker.moment)))
        throw wrongCode('#/oneTimeCode');
      await this.firstFactor.whileSetUp(tenant, accessToken, () =>
        this.factors.confirm(db, asker.personId, asker.moment),
      );
      return { codes: await this.codes.make(db, asker.personId, asker.moment) };
    });
    await this.attempts.forgetPerson(asker.personId);
    return made;
  }

  async removeSecondFactor(asker: Asker, { body }: InputOf<typeof api.removeSecondFactor>): Promise<void> {
    await this.proof.either(asker, body, 'removeSecondFactor');
    await this.database.write(asker, async (tenant) => {
      if (!(await this.factors.codesInForce(tenant.db, asker.personId)))
        throw new Problem('conflict', 'No second factor is turned on.');
      await this.factors.remove(tenant.db, asker.personId);
      await this.lastFactor.refuseLockedOut(tenant);
      return {};
    });
  }
}

function remaining(row: Pick<ApiKeyRow, 'id' | 'name' | 'expires_at' | 'last_used_at' | 'last_used_from'>) {
  return {
    id: row.id,
    name: row.name,
    expiresAt: row.expires_at,
    lastUsedAt: row.last_used_at,
    lastUsedFrom: row.last_used_from,
  };
}
