import { randomBytes } from 'node:crypto';
import { parseArgs } from 'node:util';
import { PersonStore } from '../access/people/person.store.js';
import { RecoveryCodeStore } from '../access/recovery/recovery-code.store.js';
import { email } from '../access/sign-in/sign-in.schema.js';
import { readConfig } from '../platform/config.js';
import type { Database } from '../platform/database/database.js';
import { Problem } from '../platform/http/problem.js';
import { findCheckout, openDatabase } from '../platform/open-database.js';
import { name } from '../platform/wire/common.schema.js';

const PASSPHRASE_BYTES = 18;

/**
 * Enrolls a person with a generated passphrase, to be changed after the first sign-in. @throws ZodError, or Problem
 * conflict where the email is taken.
 */
export async function enrollPerson(
  database: Database,
  given: { email: string | undefined; name: string | undefined },
): Promise<{ personId: string; email: string; passphrase: string; recoveryCodes: string[] }> {
  const person = {
    email: email.parse(given.email),
    name: name.parse(given.name),
    passphrase: randomBytes(PASSPHRASE_BYTES).toString('base64url'),
  };
  const personId = await new PersonStore(database).enroll(person);
  const recoveryCodes = await database.withProof({ person_id: personId }, (db) =>
    new RecoveryCodeStore(database).make(db, personId, new Date()),
  );
  return { personId, email: person.email, passphrase: person.passphrase, recoveryCodes };
}

/**
 * `npm run enroll-person -- --email you@ranch.example --name "Your Name"`: the first person on a server of your own,
 * where there is nobody to send an invitation. Whoever signs in may open an operation and invites the others over the
 * API. The passphrase and the recovery codes are printed once.
 */
async function main(): Promise<void> {
  const { values } = parseArgs({ options: { email: { type: 'string' }, name: { type: 'string' } } });
  const opened = await openDatabase(readConfig(process.env, findCheckout(__dirname)));
  try {
    const enrolled = await enrollPerson(opened.database, { email: values.email, name: values.name });
    console.log(`Enrolled ${enrolled.email}. Passphrase, shown this once: ${enrolled.passphrase}`);
    console.log('Recovery codes, each good for one new passphrase at POST /v1/recovery-by-code; keep them on paper:');
    enrolled.recoveryCodes.forEach((code) => console.log(`  ${code}`));
    console.log(
      'Sign in at POST /v1/sign-in, change it at POST /v1/me/passphrase, then open your operation at POST ' +
        '/v1/operations.',
    );
  } finally {
    await opened.close();
  }
}

if (require.main === module) {
  main().catch((error: unknown) => {
    console.error(
      error instanceof Problem && error.code === 'conflict'
        ? 'Somebody with this email is enrolled already.'
        : error instanceof Error
          ? error.message
          : String(error),
    );
    process.exit(1);
  });
}
