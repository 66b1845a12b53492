import { Injectable } from '@nestjs/common';
import { Database } from '../../platform/database/database.js';
import type { Asker } from '../../platform/http/asker.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { DenialRecorder } from '../denials/denial-recorder.store.js';
import { Attempts } from '../sign-in/attempts.js';
import { Challenges, type ChallengeUse } from './challenges.js';
import { type Assertion, challengeIn, PasskeyVerifier } from './passkey-verifier.js';
import { PasskeyRead } from './passkey.read.js';
import { PasskeyStore } from './passkey.store.js';
import { SpentChallengeStore } from './spent-challenge.store.js';

interface At {
  address: string;
  requestId: string;
  moment: Date;
}

/** Whose passkey was shown, as far as it says, and whether it answers. */
interface Shown {
  personId: string | undefined;
  good: boolean;
}

/** A passkey is shown: it counts as passphrase and one-time code at once, since its keeper verifies the person. */
@Injectable()
export class PasskeyProof {
  constructor(
    private readonly database: Database,
    private readonly challenges: Challenges,
    private readonly spent: SpentChallengeStore,
    private readonly verifier: PasskeyVerifier,
    private readonly passkeys: PasskeyRead,
    private readonly store: PasskeyStore,
    private readonly attempts: Attempts,
    private readonly denials: DenialRecorder,
  ) {}

  /** Before anybody is known. @returns the person. @throws Problem passkey-failed, too-many-attempts */
  async signsIn(credential: Assertion, at: At): Promise<string> {
    this.#refuseWhereNotOffered();
    const attempt = await this.attempts.ofStranger('passkey', credential.id, at.address, at.moment);
    const { personId, good } = await this.#shown(credential, { purpose: 'sign-in' }, at);
    if (personId === undefined || !good) {
      this.#noteFailure(personId, 'signInByPasskey', at);
      throw new Problem('passkey-failed');
    }
    await this.attempts.succeeded(attempt);
    return personId;
  }

  /** By whoever is signed in. @throws Problem rule-broken, too-many-attempts */
  async byPerson(asker: Asker, credential: Assertion, endpoint: string): Promise<void> {
    this.#refuseWhereNotOffered();
    await this.attempts.ofPerson(asker.personId, asker.moment);
    const { good } = await this.#shown(credential, { purpose: 'proof', personId: asker.personId }, asker);
    if (!good) {
      this.#noteFailure(asker.personId, endpoint, asker);
      throw ruleBroken(
        '#/passkey',
        'wrong-passkey',
        null,
        'a passkey of your own that answers a challenge of POST /v1/me/passkey-challenges, once, within minutes',
        'This is no passkey of yours, or it answers no challenge that is still good.',
      );
    }
    await this.attempts.forgetPerson(asker.personId);
  }

  async #shown(credential: Assertion, use: ChallengeUse, { address, moment }: At): Promise<Shown> {
    const row = await this.passkeys.shown(credential.id);
    const personId = row?.person_id;
    const challenge = challengeIn(credential) ?? '';
    const until = this.challenges.goodUntil(challenge, use, moment);
    // It is spent by the answer, whatever that is worth.
    if (until === undefined || !(await this.spent.spend(challenge, until, moment))) return { personId, good: false };
    if (row === undefined || (use.personId !== undefined && use.personId !== personId))
      return { personId, good: false };
    const signed = await this.verifier.asserted(credential, challenge, row);
    if (signed === undefined) return { personId, good: false };
    const at = moment.toISOString();
    const good = await this.database.withProof({ person_id: row.person_id, moment: at }, async (db) => {
      const held = await this.passkeys.hold(db, row.person_id, credential.id);
      if (held === undefined) return false;
      if (!isNext(signed.counter, Number(held.counter))) {
        await this.store.note(db, held.id, { count_fell_at: at });
        return false;
      }
      await this.store.note(db, held.id, {
        counter: String(signed.counter),
        backed_up: signed.backedUp,
        last_used_at: at,
        last_used_from: address,
      });
      return true;
    });
    return { personId, good };
  }

  #noteFailure(personId: string | undefined, endpoint: string, { address, requestId, moment }: At): void {
    if (personId === undefined) return;
    this.denials.noteAccount({ id: personId }, { endpoint, address, requestId, moment, code: 'passkey-failed' });
  }

  #refuseWhereNotOffered(): void {
    if (this.verifier.offeredAt === undefined) throw new Problem('passkeys-not-offered');
  }
}

/**
 * A count that does not rise comes from a copy of the passkey, or of its keeper (WebAuthn Level 2, 6.1.1 and 7.2, step
 * 21); who keeps none says 0 each time.
 */
function isNext(counter: number, last: number): boolean {
  return counter > last || (counter === 0 && last === 0);
}
