import { Injectable } from '@nestjs/common';
import { Database } from '../../platform/database/database.js';
import type { Asker } from '../../platform/http/asker.js';
import { type Problem, ruleBroken } from '../../platform/http/problem.js';
import { DenialRecorder } from '../denials/denial-recorder.store.js';
import { PasskeyProof } from '../passkeys/passkey-proof.js';
import type { Assertion } from '../passkeys/passkey-verifier.js';
import { PersonRead } from '../people/person.read.js';
import { RecoveryCodeStore } from '../recovery/recovery-code.store.js';
import { SecondFactorStore } from '../second-factor/second-factor.store.js';
import { Attempts } from '../sign-in/attempts.js';
import { passphraseMatches } from '../sign-in/passphrase.js';

interface GivenProof {
  presentPassphrase?: string | undefined;
  oneTimeCode?: string | undefined;
  recoveryCode?: string | undefined;
  passkey?: Assertion | undefined;
}

/**
 * Whoever is signed in shows that it is still them: somebody else may be using a session that was left open. Attempts
 * are counted for the person, and those that fail are told to them.
 */
@Injectable()
export class SelfProof {
  constructor(
    private readonly database: Database,
    private readonly people: PersonRead,
    private readonly attempts: Attempts,
    private readonly factors: SecondFactorStore,
    private readonly codes: RecoveryCodeStore,
    private readonly denials: DenialRecorder,
    private readonly passkeys: PasskeyProof,
  ) {}

  /** The passphrase, in a session that has shown both factors lately. @throws Problem rule-broken, too-many-attempts */
  async passphrase(asker: Asker, passphrase: string, endpoint: string): Promise<void> {
    await this.#passphrase(asker, passphrase, endpoint);
    await this.attempts.forgetPerson(asker.personId);
  }

  /**
   * A passkey; or the passphrase, and where that alone does not sign in, a code beside it: else a session that was left
   * open would give away the second factor to whoever has the first. @throws Problem rule-broken, too-many-attempts
   */
  async either(asker: Asker, given: GivenProof, endpoint: string): Promise<void> {
    if (given.passkey !== undefined) return this.passkeys.byPerson(asker, given.passkey, endpoint);
    await this.#passphrase(asker, given.presentPassphrase ?? '', endpoint);
    if (!(await this.#codeWhereNeeded(asker, given))) {
      this.denials.noteAccount({ id: asker.personId }, { ...asker, endpoint, code: 'second-factor-failed' });
      throw wrongCode(given.oneTimeCode === undefined ? '#/recoveryCode' : '#/oneTimeCode');
    }
    await this.attempts.forgetPerson(asker.personId);
  }

  async #passphrase(asker: Asker, passphrase: string, endpoint: string): Promise<void> {
    await this.attempts.ofPerson(asker.personId, asker.moment);
    const hash = await this.database.read(asker, ({ db }) => this.people.passphraseHash(db, asker.personId));
    if (await passphraseMatches(hash, passphrase)) return;
    this.denials.noteAccount({ id: asker.personId }, { ...asker, endpoint, code: 'wrong-passphrase' });
    throw ruleBroken(
      '#/presentPassphrase',
      'wrong-passphrase',
      null,
      'the present passphrase',
      'This is not the present passphrase.',
    );
  }

  /** Was a code taken, or is none needed? */
  async #codeWhereNeeded(asker: Asker, { oneTimeCode, recoveryCode }: GivenProof): Promise<boolean> {
    const beside: Asker = { ...asker, idempotency: undefined };
    const { taken } = await this.database.write(beside, async ({ db, personId, moment }) => {
      if (!(await this.factors.inForce(db, personId))) return { taken: true };
      if (oneTimeCode !== undefined)
        return {
          taken:
            (await this.factors.codesInForce(db, personId)) &&
            (await this.factors.takeCode(db, personId, oneTimeCode, moment)),
        };
      if (recoveryCode !== undefined) return { taken: await this.codes.take(db, personId, recoveryCode, moment) };
      throw ruleBroken(
        '#/oneTimeCode',
        'code-needed',
        null,
        'beside the passphrase the current code of the generator, or an unused recovery code; or else a passkey',
        'The passphrase alone does not sign you in, so it is not enough here either.',
      );
    });
    return taken;
  }
}

export function wrongCode(pointer: string): Problem {
  return ruleBroken(
    pointer,
    'wrong-code',
    null,
    'the current code of the generator, or an unused recovery code',
    'The code is not the current one, or it was already used.',
  );
}
