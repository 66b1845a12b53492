import { readConfig } from '../platform/config.js';
import { findCheckout, openDatabase } from '../platform/open-database.js';

/** `npm run migrate`: brings the database to the schema of this release, and ends. */
async function migrate(): Promise<void> {
  const opened = await openDatabase(readConfig(process.env, findCheckout(__dirname)));
  opened.notes.forEach((note) => console.log(`Database: ${note}.`));
  await opened.close();
}

migrate().catch((error: unknown) => {
  console.error(error instanceof Error ? error.message : String(error));
  process.exit(1);
});
