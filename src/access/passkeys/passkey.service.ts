import { Inject, Injectable } from '@nestjs/common';
import { type Clock, CLOCK } from '../../platform/clock.js';
import type { Tenant } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { PASSKEY_TRANSPORTS } from '../../platform/wire/words.data.js';
import { PersonRead } from '../people/person.read.js';
import { RecoveryCodeStore } from '../recovery/recovery-code.store.js';
import { FirstFactor } from '../second-factor/first-factor.js';
import { LastFactor } from '../second-factor/last-factor.js';
import { Challenges } from './challenges.js';
import { challengeIn, PasskeyVerifier } from './passkey-verifier.js';
import { PasskeyRead, type PasskeyRow } from './passkey.read.js';
import type * as api from './passkey.schema.js';
import { PasskeyStore } from './passkey.store.js';
import { SpentChallengeStore } from './spent-challenge.store.js';

const PASSKEYS_MOST = 20;

/** A person's own passkeys, and the challenges for them. */
@Injectable()
export class PasskeyService {
  constructor(
    private readonly challenges: Challenges,
    private readonly spent: SpentChallengeStore,
    private readonly verifier: PasskeyVerifier,
    private readonly passkeys: PasskeyRead,
    private readonly store: PasskeyStore,
    private readonly people: PersonRead,
    private readonly codes: RecoveryCodeStore,
    private readonly lastFactor: LastFactor,
    private readonly firstFactor: FirstFactor,
    @Inject(CLOCK) private readonly clock: Clock,
  ) {}

  /** Where browsers take passkeys of this server; undefined where nowhere. */
  get offeredAt(): string | undefined {
    return this.verifier.offeredAt;
  }

  async begin(tenant: Tenant): Promise<AnswerOf<typeof api.beginPasskey>> {
    const { db, personId, moment } = tenant;
    const person = await this.people.one(db, personId);
    const challenge = this.challenges.make({ purpose: 'register', personId }, moment);
    return this.verifier.creationOptions(person, challenge, await this.passkeys.working(tenant));
  }

  async create(
    tenant: Tenant,
    { body }: InputOf<typeof api.createPasskey>,
    accessToken: string | undefined,
  ): Promise<AnswerOf<typeof api.createPasskey>> {
    const { db, personId, moment } = tenant;
    const { credential, name } = body;
    const challenge = challengeIn(credential) ?? '';
    const until = this.challenges.goodUntil(challenge, { purpose: 'register', personId }, moment);
    if (until === undefined || !(await this.spent.spendIn(db, challenge, until))) throw notMade();
    if ((await this.passkeys.working(tenant)).length >= PASSKEYS_MOST)
      throw new Problem('conflict', `${PASSKEYS_MOST} passkeys are working at present; end one first.`);
    const made = await this.verifier.registered(credential, challenge);
    if (made === undefined) throw notMade();
    const row = await this.firstFactor.whileSetUp(tenant, accessToken, () =>
      this.store.insert(tenant, newId(), {
        name,
        credential_id: made.credentialId,
        public_key: made.publicKey,
        counter: String(made.counter),
        backed_up: made.backedUp,
        transports: PASSKEY_TRANSPORTS.filter((one) => credential.response.transports?.includes(one) === true),
      }),
    );
    if (row === undefined) throw new Problem('conflict', 'This passkey is registered already.');
    const left = await this.codes.left(db, personId);
    return { ...answerFrom(row), recoveryCodes: left > 0 ? null : await this.codes.make(db, personId, moment) };
  }

  async list(tenant: Tenant, { query }: InputOf<typeof api.listPasskeys>): Promise<AnswerOf<typeof api.listPasskeys>> {
    return pageOf(await this.passkeys.page(tenant, query), query.limit, answerFrom, (row) => [row.id]);
  }

  /** Those that work. */
  async working(tenant: Tenant): Promise<AnswerOf<typeof api.getPasskey>[]> {
    return (await this.passkeys.working(tenant)).map(answerFrom);
  }

  async get(tenant: Tenant, { params }: InputOf<typeof api.getPasskey>): Promise<AnswerOf<typeof api.getPasskey>> {
    return answerFrom(await this.passkeys.one(tenant, params.passkeyId));
  }

  async rename(
    tenant: Tenant,
    { params, body, expectedVersion }: InputOf<typeof api.renamePasskey>,
  ): Promise<AnswerOf<typeof api.renamePasskey>> {
    const { id } = await this.passkeys.one(tenant, params.passkeyId);
    return answerFrom(await this.store.change(tenant, { id, version: expectedVersion }, { name: body.name }));
  }

  async end(tenant: Tenant, { params, expectedVersion }: InputOf<typeof api.endPasskey>): Promise<void> {
    const { id, ended_at: endedAt } = await this.passkeys.one(tenant, params.passkeyId);
    if (endedAt !== null) throw new Problem('conflict', 'This passkey has ended.');
    await this.store.change(tenant, { id, version: expectedVersion }, { ended_at: tenant.moment.toISOString() });
    await this.lastFactor.refuseLockedOut(tenant);
  }

  async beginProof(tenant: Tenant): Promise<AnswerOf<typeof api.beginPasskeyProof>> {
    const { personId, moment } = tenant;
    const challenge = this.challenges.make({ purpose: 'proof', personId }, moment);
    return this.verifier.requestOptions(challenge, await this.passkeys.working(tenant));
  }

  beginSignIn(): Promise<AnswerOf<typeof api.beginPasskeySignIn>> {
    return this.verifier.requestOptions(this.challenges.make({ purpose: 'sign-in' }, this.clock.now()));
  }
}

function notMade(): Problem {
  return ruleBroken(
    '#/credential',
    'not-a-new-passkey',
    null,
    'what a browser made at the address of this server for POST /v1/me/passkey-registrations, once, within ten minutes',
    'This is no passkey that was made here just now for you, by a keeper that verified who you are.',
  );
}

function answerFrom(row: PasskeyRow): AnswerOf<typeof api.getPasskey> {
  return {
    id: row.id,
    name: row.name,
    createdAt: row.created_at,
    lastUsedAt: row.last_used_at,
    lastUsedFrom: row.last_used_from,
    backedUp: row.backed_up,
    countFellAt: row.count_fell_at,
    endedAt: row.ended_at,
    version: row.version,
  };
}
