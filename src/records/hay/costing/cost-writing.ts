import { Injectable, Logger, type OnApplicationShutdown } from '@nestjs/common';
import { Database } from '../../../platform/database/database.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { WrittenCostsService } from './written-costs.service.js';

const WAIT_MS = 2000;
const WORTH_A_LINE_MS = 500;

/** When costs are written: with the entry that changes them or, where that would take long, soon after it. */
@Injectable()
export class CostWriting implements OnApplicationShutdown {
  readonly #log = new Logger('costs of hay');
  readonly #waiting = new Map<string, NodeJS.Timeout>();

  constructor(
    private readonly database: Database,
    private readonly costs: WrittenCostsService,
  ) {}

  /** Has what this request changes in the costs written, once, when all of the request is in the ledger. */
  withThisEntry(tenant: OperationTenant, operation = tenant.operation): void {
    tenant.beforeCommit('costs of hay', async () => {
      if (!(await this.costs.write({ ...tenant, operation }))) this.#soon(tenant.operationId);
    });
  }

  /** Writes everything that is due, as after an upgrade; reports replay the ledger until it is done. */
  async everywhere(): Promise<void> {
    for (const operationId of await this.database.operationsWithCosts()) await this.#all(operationId);
  }

  onApplicationShutdown(): void {
    for (const timer of this.#waiting.values()) clearTimeout(timer);
  }

  #soon(operationId: string): void {
    if (this.#waiting.has(operationId)) return;
    const timer = setTimeout(() => {
      this.#waiting.delete(operationId);
      this.#all(operationId).catch((error: unknown) => this.#log.error(error));
    }, WAIT_MS);
    timer.unref();
    this.#waiting.set(operationId, timer);
  }

  async #all(operationId: string): Promise<void> {
    const began = Date.now();
    await this.database.keepBooks(operationId, (books) => this.costs.write(books, Infinity));
    const took = Date.now() - began;
    if (took > WORTH_A_LINE_MS) this.#log.log(`written for operation ${operationId} in ${took} ms`);
  }
}
