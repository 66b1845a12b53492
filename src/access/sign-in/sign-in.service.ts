import { Inject, Injectable } from '@nestjs/common';
import { emailNote } from '../../platform/wire/unproven-address.schema.js';
import { type Clock, CLOCK } from '../../platform/clock.js';
import { Database } from '../../platform/database/database.js';
import { together } from '../../platform/database/together.js';
import type { Asker } from '../../platform/http/asker.js';
import type { Tenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import { AccountEventRead } from '../account/account-event.read.js';
import { OwnKeysService } from '../api-keys/own-keys.service.js';
import { DenialRecorder } from '../denials/denial-recorder.store.js';
import { MembershipRead } from '../memberships/membership.read.js';
import { PAGE_HOURS } from '../page-sign-in/page-cookie.js';
import { PasskeyProof } from '../passkeys/passkey-proof.js';
import type { Assertion } from '../passkeys/passkey-verifier.js';
import { type NamedPerson, PersonRead } from '../people/person.read.js';
import { RecoveryCodeStore } from '../recovery/recovery-code.store.js';
import { SecondFactorStore } from '../second-factor/second-factor.store.js';
import { Attempts } from './attempts.js';
import { KnownDevices } from './known-devices.js';
import { openedBy } from './passphrase.js';
import type { me, signIn } from './sign-in.schema.js';
import { type KnownPerson, SignInStore, type TokenPair } from './sign-in.store.js';

/** Where a request comes from that nobody has signed in to. */
export interface Origin {
  address: string;
  userAgent: string | undefined;
  requestId: string;
}

/** What a browser keeps: the token of its cookie, and the mark of the device. */
export interface PageSession {
  readonly token: string;
  readonly device: string;
}

type Body = InputOf<typeof signIn>['body'];

@Injectable()
export class SignInService {
  constructor(
    private readonly store: SignInStore,
    private readonly database: Database,
    private readonly people: PersonRead,
    private readonly membershipRead: MembershipRead,
    private readonly attempts: Attempts,
    private readonly devices: KnownDevices,
    private readonly factors: SecondFactorStore,
    private readonly codes: RecoveryCodeStore,
    private readonly denials: DenialRecorder,
    private readonly ownKeys: OwnKeysService,
    private readonly events: AccountEventRead,
    private readonly passkeys: PasskeyProof,
    @Inject(CLOCK) private readonly clock: Clock,
  ) {}

  async signIn(body: Body, origin: Origin): Promise<AnswerOf<typeof signIn>> {
    const moment = this.clock.now();
    const person = await this.#proven(body, origin, moment);
    return this.#session(await this.store.openSession(person.id, origin.userAgent, moment, origin.address), person);
  }

  /** The same sign-in for a browser: returns the token for its cookie, which opens pages and no API address. */
  async signInToPages(body: Body, origin: Origin): Promise<PageSession> {
    const moment = this.clock.now();
    return this.#pageSession((await this.#proven(body, origin, moment)).id, origin, moment);
  }

  /** It counts as passphrase and one-time code in one. */
  async signInByPasskey(credential: Assertion, origin: Origin): Promise<AnswerOf<typeof signIn>> {
    const moment = this.clock.now();
    const personId = await this.passkeys.signsIn(credential, { ...origin, moment });
    const person = await this.database.withProof({ person_id: personId }, (db) => this.people.one(db, personId));
    return this.#session(await this.store.openSession(personId, origin.userAgent, moment, origin.address), person);
  }

  async signInToPagesByPasskey(credential: Assertion, origin: Origin): Promise<PageSession> {
    const moment = this.clock.now();
    return this.#pageSession(await this.passkeys.signsIn(credential, { ...origin, moment }), origin, moment);
  }

  async #pageSession(personId: string, { userAgent, address }: Origin, moment: Date): Promise<PageSession> {
    const token = await this.store.openPageSession(personId, userAgent, moment, address, PAGE_HOURS);
    return { token, device: this.devices.mark(personId, moment) };
  }

  async #proven(
    { email, passphrase, oneTimeCode, recoveryCode, device }: Body,
    { address, requestId }: Origin,
    moment: Date,
  ): Promise<KnownPerson> {
    const accounts = await this.store.peopleByEmail(email);
    const personIds = accounts.map(({ id }) => id);
    const counted = await this.attempts.ofAccount({ email, personIds }, { address, device }, moment);
    const person = await openedBy(accounts, passphrase);
    const attempt = await this.attempts.unlessKnown(counted, { email, personIds, opened: person?.id }, moment);
    if (person === undefined) {
      for (const account of accounts)
        this.denials.noteAccount(account, { endpoint: 'signIn', address, requestId, moment, code: 'sign-in-failed' });
      throw new Problem('sign-in-failed');
    }
    const needsMore = await this.database.withProof({ person_id: person.id }, (db) =>
      this.factors.inForce(db, person.id),
    );
    if (needsMore) {
      if (oneTimeCode === undefined && recoveryCode === undefined) {
        await this.attempts.takeBack(attempt);
        throw new Problem('second-factor-needed');
      }
      await this.attempts.ofPerson(person.id, moment);
      const taken = await this.database.withProof({ person_id: person.id }, (db) =>
        oneTimeCode === undefined
          ? this.codes.take(db, person.id, recoveryCode ?? '', moment)
          : this.factors.takeCode(db, person.id, oneTimeCode, moment),
      );
      if (!taken) {
        this.denials.noteAccount(person, {
          endpoint: 'signIn',
          address,
          requestId,
          moment,
          code: 'second-factor-failed',
        });
        throw new Problem('sign-in-failed', 'The one-time code is not the current one, or it was already used.');
      }
      await this.attempts.forgetPerson(person.id);
    }
    // Where others name the same email, signing in to one account must not make guesses at another forgotten.
    await (accounts.length === 1 ? this.attempts.succeeded(attempt) : this.attempts.takeBack(attempt));
    return person;
  }

  async refresh(
    refreshToken: string,
    { address, requestId }: Omit<Origin, 'userAgent'>,
  ): Promise<AnswerOf<typeof signIn>> {
    const moment = this.clock.now();
    const rotated = await this.store.rotate(refreshToken, moment);
    if (rotated?.pair === undefined) {
      if (rotated !== undefined)
        this.denials.noteAccount(
          { id: rotated.personId },
          { endpoint: 'refreshTokens', address, requestId, moment, code: 'refresh-failed' },
        );
      throw new Problem('refresh-failed');
    }
    const person = await this.database.withProof({ person_id: rotated.personId }, (db) =>
      this.people.one(db, rotated.personId),
    );
    return this.#session(rotated.pair, person);
  }

  async signOut(asker: Asker, accessToken: string | undefined, everywhere: boolean, endKeys = false): Promise<void> {
    if (endKeys) await this.database.write(asker, async (tenant) => ({ ended: await this.ownKeys.endAll(tenant) }));
    await this.store.endSessions(asker.personId, accessToken, everywhere, asker.moment);
  }

  #session(pair: TokenPair, person: NamedPerson): AnswerOf<typeof signIn> {
    const device = this.devices.mark(person.id, this.clock.now());
    return { tokenType: 'Bearer', ...pair, device, person: personAnswer(person) };
  }

  async me(tenant: Tenant): Promise<AnswerOf<typeof me>> {
    const [names, person, notices] = await together(
      this.membershipRead.operationNames(tenant),
      this.people.one(tenant.db, tenant.personId),
      this.events.notices(tenant),
    );
    return {
      person: personAnswer(person),
      notices,
      memberships: tenant.memberships.map((membership) => ({
        ...membership,
        operation: names.get(membership.operationId) ?? '',
      })),
      withheld: [...tenant.withheld],
    };
  }
}

function personAnswer({ id, name, email, email_proven_at: proven }: NamedPerson): AnswerOf<typeof signIn>['person'] {
  return { id, name, email, emailProven: proven !== null, emailNote: emailNote(proven !== null, 'own') };
}
