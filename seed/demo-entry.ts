import { Database } from '../src/platform/database/database.js';
import type { OperationTenant } from '../src/platform/database/types.js';
import type { Asker } from '../src/platform/http/asker.js';
import type { INestApplicationContext } from '@nestjs/common';

/** A person of the scenario at a moment of the scenario. */
export function demoAsker(personId: string, moment: Date): Asker {
  return { personId, apiKeyId: undefined, moment, requestId: 'demo', address: 'demo', idempotency: undefined };
}

/** Enters an operation as the given person and writes there, in one transaction. */
export function writeAs<T>(
  application: INestApplicationContext,
  asker: Asker,
  operationId: string,
  work: (tenant: OperationTenant) => Promise<T>,
): Promise<T> {
  return application.get(Database, { strict: false }).writeIn(asker, operationId, work);
}
