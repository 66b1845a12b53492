import { existsSync, readFileSync } from 'node:fs';
import { checkHeads, fileOfHeads, keepHeads, linesOf } from '../access/audit/kept-heads.js';
import { readConfig } from '../platform/config.js';
import { findCheckout, openDatabase } from '../platform/open-database.js';
import { openSecretBox } from '../platform/secrets/secret-key.js';

/**
 * `npm run check-audit -- [file of kept heads] …`: computes every link of every operation's audit again, and compares
 * the heads that were kept, in the data folder and in the files named, with the chains as they are. Ends with 1 if
 * something was changed, cut off or rewritten.
 */
async function main(): Promise<void> {
  const config = readConfig(process.env, findCheckout(__dirname));
  const opened = await openDatabase(config);
  try {
    const { box } = openSecretBox({ given: config.secretKey, folder: opened.dataFolder, shared: false });
    const own = fileOfHeads(opened.dataFolder);
    const files = [...(existsSync(own) ? [own] : []), ...process.argv.slice(2)];
    const kept = files.flatMap((file) => linesOf(readFileSync(file, 'utf8')));
    const { operations, faults, notes } = await checkHeads({ database: opened.database, secrets: box }, kept);
    notes.forEach((note) => console.log(note));
    faults.forEach((fault) => console.error(fault));
    console.log(`Audits of ${operations} operations checked, and ${kept.length} kept heads: ${faults.length} faults.`);
    if (faults.length > 0) process.exitCode = 1;
    else await keepHeads({ database: opened.database, secrets: box, file: own }, new Date());
  } finally {
    await opened.close();
  }
}

main().catch((error: unknown) => {
  console.error(error instanceof Error ? error.message : String(error));
  process.exit(1);
});
