import { readConfig } from '../platform/config.js';
import { findCheckout, openDatabase, ownerOf } from '../platform/open-database.js';
import { sealStoredSecrets } from '../platform/secrets/seal-stored.js';
import { SecretBox } from '../platform/secrets/secret-box.js';

/**
 * `npm run migrate`: all that takes the owner of the schema, and ends: the schema of this release, the login that
 * APP_DATABASE_URL names, and with RICKYARD_SECRET_KEY the secrets that an earlier release kept in plain text.
 */
async function migrate(): Promise<void> {
  const config = readConfig(process.env, findCheckout(__dirname));
  const opened = await openDatabase(config);
  try {
    const box = config.secretKey === undefined ? undefined : new SecretBox(config.secretKey);
    const sealed = await sealStoredSecrets(ownerOf(opened), box);
    opened.notes.forEach((note) => console.log(`Database: ${note}.`));
    sealed.forEach((note) => console.log(`Secrets: ${note}.`));
  } finally {
    await opened.close();
  }
}

migrate().catch((error: unknown) => {
  console.error(error instanceof Error ? error.message : String(error));
  process.exit(1);
});
