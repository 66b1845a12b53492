import { randomBytes } from 'node:crypto';
import type { INestApplicationContext } from '@nestjs/common';
import { PersonStore } from '../src/access/people/person.store.js';
import { hashPassphrase, passphraseMatches } from '../src/access/sign-in/passphrase.js';
import { SessionStore } from '../src/access/sign-in/session.store.js';
import { SignInStore } from '../src/access/sign-in/sign-in.store.js';
import { Database } from '../src/platform/database/database.js';
import type { Scenario } from './scenario.schema.js';

type People = Pick<Scenario, 'people'>;

/** The scenario with passphrases that stand in no file: for a server that others can reach. */
export function withFreshPassphrases<Logged extends People>(scenario: Logged): Logged {
  return {
    ...scenario,
    people: scenario.people.map((person) => ({ ...person, passphrase: randomBytes(12).toString('base64url') })),
  };
}

/**
 * Gives every account that still opens with its published passphrase the one of `fresh`, and ends its sessions.
 * @returns the emails of those accounts.
 */
export async function replacePublished(
  application: INestApplicationContext,
  published: People,
  fresh: People,
  moment: Date,
): Promise<string[]> {
  const replaced: string[] = [];
  for (const { key, email, passphrase } of published.people) {
    const next = fresh.people.find((person) => person.key === key)?.passphrase;
    if (next === undefined) throw new RangeError(`There is no new passphrase for ${key}`);
    for (const { id, passphrase_hash: kept } of await application.get(SignInStore).peopleByEmail(email)) {
      if (!(await passphraseMatches(kept, passphrase))) continue;
      const hash = await hashPassphrase(next);
      await application.get(Database).withProof({ person_id: id }, async (db) => {
        await application.get(PersonStore).changePassphrase(db, id, hash);
        await application.get(SessionStore).endAll({ db, personId: id, moment }, 'passphrase changed');
      });
      replaced.push(email);
    }
  }
  return replaced;
}
