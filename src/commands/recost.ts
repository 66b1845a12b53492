import { readConfig } from '../platform/config.js';
import { findCheckout, openDatabase } from '../platform/open-database.js';
import { CostingRead } from '../records/hay/costing/costing.read.js';
import { WrittenCostsService } from '../records/hay/costing/written-costs.service.js';
import { WrittenCostsStore } from '../records/hay/costing/written-costs.store.js';

/**
 * `npm run recost`: writes every cost of hay that is still due. With `-- --check` it only holds what is written against
 * a replay of the whole ledger, operation by operation, and ends with 1 where an entry differs.
 */
async function recost(check: boolean): Promise<void> {
  const opened = await openDatabase(readConfig(process.env, findCheckout(__dirname)));
  try {
    const { database } = opened;
    const costs = new WrittenCostsService(new CostingRead(), new WrittenCostsStore());
    const operations = await database.operationsWithCosts('all');
    for (const [index, operationId] of operations.entries()) {
      if (!check) while ((await database.keepBooks(operationId, (books) => costs.writePart(books))) === 'more');
      const { written, differ } = await database.keepBooks(operationId, (books) => costs.differences(books));
      console.log(
        `Operation ${index + 1} of ${operations.length}: ${written} costs written, ` +
          `${differ.length} differ from the ledger (${operationId}).`,
      );
      differ.forEach((one) => console.log(`  ${one}`));
      if (differ.length > 0) process.exitCode = 1;
    }
  } finally {
    await opened.close();
  }
}

recost(process.argv.includes('--check')).catch((error: unknown) => {
  console.error(error instanceof Error ? error.message : String(error));
  process.exit(1);
});
