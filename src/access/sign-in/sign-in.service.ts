import { Inject, Injectable } from '@nestjs/common';
import { type Clock, CLOCK } from '../../platform/clock.js';
import { Database } from '../../platform/database/database.js';
import type { Asker } from '../../platform/http/asker.js';
import type { AnswerOf } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import { passphraseMatches } from './passphrase.js';
import type { me, signIn } from './sign-in.schema.js';
import { type KnownPerson, SignInStore, type TokenPair } from './sign-in.store.js';

const WINDOW_MINUTES = 15;
/** Per pair of email and address, so that a stranger elsewhere cannot lock a person out; per address, so that one cannot try many emails. */
const PAIR_ATTEMPTS = 8;
const ADDRESS_ATTEMPTS = 60;

@Injectable()
export class SignInService {
  constructor(
    private readonly store: SignInStore,
    private readonly database: Database,
    @Inject(CLOCK) private readonly clock: Clock,
  ) {}

  async signIn(email: string, passphrase: string, address: string, userAgent: string | undefined): Promise<AnswerOf<typeof signIn>> {
    const moment = this.clock.now();
    const pair = `pair:${email}:${address}`;
    const [pairAttempts, addressAttempts] = await this.store.countAttempt([pair, `address:${address}`], moment, new Date(moment.getTime() - WINDOW_MINUTES * 60_000));
    if ((pairAttempts ?? 0) > PAIR_ATTEMPTS || (addressAttempts ?? 0) > ADDRESS_ATTEMPTS) {
      throw new Problem('too-many-attempts', undefined, [], { 'Retry-After': String(WINDOW_MINUTES * 60) });
    }
    const person = await this.store.personByEmail(email);
    if (!(await passphraseMatches(person?.passphrase_hash, passphrase)) || person === undefined) throw new Problem('sign-in-failed');
    await this.store.forgetAttempts(pair);
    return sessionAnswer(await this.store.openSession(person.id, userAgent, moment), person);
  }

  async refresh(refreshToken: string): Promise<AnswerOf<typeof signIn>> {
    const rotated = await this.store.rotate(refreshToken, this.clock.now());
    if (rotated === undefined) throw new Problem('refresh-failed');
    const person = await this.database.withProof({ person_id: rotated.personId }, (db) =>
      db.selectFrom('person').select(['id', 'name', 'email', 'passphrase_hash']).where('id', '=', rotated.personId).executeTakeFirstOrThrow());
    return sessionAnswer(rotated.pair, person);
  }

  async signOut(asker: Asker, accessToken: string | undefined, everywhere: boolean): Promise<void> {
    await this.store.endSessions(asker.personId, accessToken, everywhere, asker.moment);
  }

  async me(asker: Asker): Promise<AnswerOf<typeof me>> {
    return this.database.read(asker, async (tenant) => {
      const person = await tenant.db.selectFrom('person').select(['id', 'name', 'email']).where('id', '=', asker.personId).executeTakeFirstOrThrow();
      const operations = await tenant.db.selectFrom('operation').select(['id', 'name']).execute();
      const names = new Map(operations.map((operation) => [operation.id, operation.name]));
      return {
        person,
        memberships: tenant.memberships.map((membership) => ({ ...membership, operation: names.get(membership.operationId) ?? '' })),
      };
    });
  }
}

function sessionAnswer(pair: TokenPair, person: KnownPerson): AnswerOf<typeof signIn> {
  return { tokenType: 'Bearer', ...pair, person: { id: person.id, name: person.name, email: person.email } };
}
