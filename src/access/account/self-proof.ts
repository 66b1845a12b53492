import { Injectable } from '@nestjs/common';
import { Database } from '../../platform/database/database.js';
import type { Asker } from '../../platform/http/asker.js';
import { type Problem, ruleBroken } from '../../platform/http/problem.js';
import { DenialRecorder } from '../denials/denial-recorder.store.js';
import { PasskeyProof } from '../passkeys/passkey-proof.js';
import type { Assertion } from '../passkeys/passkey-verifier.js';
import { PersonRead } from '../people/person.read.js';
import { SecondFactorStore } from '../second-factor/second-factor.store.js';
import { Attempts } from '../sign-in/attempts.js';
import { passphraseMatches } from '../sign-in/passphrase.js';

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
    private readonly denials: DenialRecorder,
    private readonly passkeys: PasskeyProof,
  ) {}

  /** Answers the hash that it was proven by. @throws Problem rule-broken, too-many-attempts */
  async passphrase(asker: Asker, passphrase: string, endpoint: string): Promise<string | null> {
    await this.attempts.ofPerson(asker.personId, asker.moment);
    const hash = await this.database.read(asker, ({ db }) => this.people.passphraseHash(db, asker.personId));
    if (!(await passphraseMatches(hash, passphrase))) {
      this.denials.noteAccount({ id: asker.personId }, { ...asker, endpoint, code: 'wrong-passphrase' });
      throw ruleBroken(
        '#/presentPassphrase',
        'wrong-passphrase',
        null,
        'the present passphrase',
        'This is not the present passphrase.',
      );
    }
    await this.attempts.forgetPerson(asker.personId);
    return hash;
  }

  /** One of the two, whichever was given. @throws Problem rule-broken, too-many-attempts */
  async either(
    asker: Asker,
    { presentPassphrase, passkey }: { presentPassphrase?: string | undefined; passkey?: Assertion | undefined },
    endpoint: string,
  ): Promise<void> {
    if (passkey === undefined) await this.passphrase(asker, presentPassphrase ?? '', endpoint);
    else await this.passkeys.byPerson(asker, passkey, endpoint);
  }

  /** @throws Problem rule-broken, too-many-attempts */
  async code(asker: Asker, oneTimeCode: string, endpoint: string): Promise<void> {
    await this.attempts.ofPerson(asker.personId, asker.moment);
    const { taken } = await this.database.write(asker, async ({ db, personId, moment }) => ({
      taken:
        (await this.factors.codesInForce(db, personId)) &&
        (await this.factors.takeCode(db, personId, oneTimeCode, moment)),
    }));
    if (!taken) {
      this.denials.noteAccount({ id: asker.personId }, { ...asker, endpoint, code: 'second-factor-failed' });
      throw wrongCode('#/oneTimeCode');
    }
    await this.attempts.forgetPerson(asker.personId);
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
