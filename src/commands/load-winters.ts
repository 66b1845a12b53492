import { randomBytes } from 'node:crypto';
import { parseArgs } from 'node:util';
import { z } from 'zod';
import { letFirstOwnerSignIn, loadWinters } from '../../seed/load/load-winters.js';
import { ownerOf } from '../../seed/load/winters-of-operation.js';
import { readConfig } from '../platform/config.js';
import { findCheckout, openDatabase, ownerOf as schemaOwnerOf } from '../platform/open-database.js';
import { say } from '../platform/say.js';

const PASSPHRASE_BYTES = 18;
const count = (most: number): z.ZodType<number, unknown> => z.coerce.number().int().min(1).max(most);
const size = z.object({ operations: count(100_000), winters: count(50), herds: count(100) });

/**
 * `npm run load-winters -- --operations 1000 --winters 10`: fills a database of its own with invented operations, for
 * measuring. A winter of a herd is 492 movements, and 8 more that bring the hay. The owner of the
 * first operation can sign in.
 */
async function main(): Promise<void> {
  const option = (given: string): { type: 'string'; default: string } => ({ type: 'string', default: given });
  const { values } = parseArgs({ options: { operations: option('1000'), winters: option('10'), herds: option('1') } });
  const asked = size.parse(values);
  const opened = await openDatabase(readConfig(process.env, findCheckout(__dirname)));
  try {
    const ownerUrl = schemaOwnerOf(opened);
    const began = Date.now();
    const movements = await loadWinters(ownerUrl, asked, (words) => say(`Load: ${words} …`));
    say(`Load: ${movements} movements in ${((Date.now() - began) / 1000).toFixed(0)} s. All of it is invented.`);
    const passphrase = randomBytes(PASSPHRASE_BYTES).toString('base64url');
    await letFirstOwnerSignIn(ownerUrl, passphrase);
    say(`Load: sign in as ${ownerOf(0)}. Passphrase, shown this once: ${passphrase}`);
  } finally {
    await opened.close();
  }
}

main().catch((error: unknown) => {
  console.error(error instanceof Error ? error.message : String(error));
  process.exit(1);
});
