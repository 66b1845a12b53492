import { Injectable, Logger, type OnApplicationShutdown } from '@nestjs/common';
import type { CostingMethod } from '../../../core/stock/costing-entries.js';
import { Database } from '../../../platform/database/database.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { HeavyWork } from '../../../platform/workers/heavy-work.js';
import type { LedgerRow } from './costing.read.js';
import { type Progress, WrittenCostsService } from './written-costs.service.js';
import type { KindTip } from './written-costs.store.js';

const NAME = 'costs of hay';
const WAIT_MS = 2000;
/** An entry that comes meanwhile makes another one necessary. */
const ATTEMPTS = 3;
const WORTH_A_LINE_MS = 500;
const TURN_MS = 1000;

/** When costs are written: with the entry that changes them or, where that would take long, soon after it. */
@Injectable()
export class CostWriting implements OnApplicationShutdown {
  readonly #log = new Logger('costs of hay');
  readonly #waiting = new Map<string, NodeJS.Timeout>();
  readonly #underWay = new Set<Promise<void>>();
  /** Transactions that have entered something already. */
  readonly #entered = new WeakSet<OperationTenant['db']>();

  constructor(
    private readonly database: Database,
    private readonly costs: WrittenCostsService,
    private readonly heavyWork: HeavyWork,
  ) {}

  /** Has what this request changes in the costs written, once, when all of the request is in the ledger. */
  withThisEntry(tenant: OperationTenant): void {
    this.#entered.add(tenant.db);
    tenant.beforeCommit(NAME, async () => {
      if (!(await this.costs.write(tenant))) this.#soon(tenant.operationId);
    });
  }

  /**
   * The same for movements that most likely come after all others of their kinds: without waiting for the database.
   * @param tips read by `tips` in this transaction, before the movements were entered
   */
  withMovements(tenant: OperationTenant, tips: readonly KindTip[], movements: readonly LedgerRow[]): void {
    const costs = this.#entered.has(tenant.db) ? undefined : this.costs.after(tenant, tips, movements);
    this.withThisEntry(tenant);
    if (costs === undefined) return;
    tenant.beforeCommit(NAME, (sentWithCommit) => {
      const written = this.costs.append(tenant, costs).then((all) => {
        if (!all) this.#soon(tenant.operationId);
      });
      sentWithCommit(written);
      return Promise.resolve();
    });
  }

  tips(tenant: OperationTenant, lotIds: readonly string[]): Promise<KindTip[]> {
    return this.costs.tips(tenant, lotIds);
  }

  /** What a change of the method begins with: entries wait for its end. */
  beforeOtherMethod(tenant: OperationTenant): Promise<void> {
    return this.costs.changeMethod(tenant);
  }

  /** Keeps costs under another method from here on; at once where they are few. */
  withOtherMethod(tenant: OperationTenant, costingMethod: CostingMethod): void {
    const books = { ...tenant, operation: { ...tenant.operation, costingMethod } };
    const mayWrite = tenant.may('records', tenant.operationId);
    tenant.beforeCommit(NAME, async () => {
      if (!mayWrite || !(await this.costs.write(books, 'all'))) this.#soon(tenant.operationId);
    });
  }

  /** Writes everything that is due, as after an upgrade; reports replay the ledger until it is done. */
  async everywhere(): Promise<void> {
    const operations = await this.database.operationsWithCosts('due');
    for (const [index, operationId] of operations.entries())
      await this.#all(operationId, `${index + 1} of ${operations.length}`);
  }

  /** Writes now what was to be written soon: a thread sleeps between its jobs, and its timers with it. */
  async withoutDelay(): Promise<void> {
    for (const [operationId, timer] of this.#waiting) {
      clearTimeout(timer);
      this.#begin(operationId);
    }
    await Promise.all(this.#underWay);
  }

  onApplicationShutdown(): void {
    for (const timer of this.#waiting.values()) clearTimeout(timer);
  }

  #soon(operationId: string): void {
    if (this.#waiting.has(operationId)) return;
    const timer = setTimeout(() => this.#begin(operationId), WAIT_MS);
    timer.unref();
    this.#waiting.set(operationId, timer);
  }

  #begin(operationId: string): void {
    this.#waiting.delete(operationId);
    const writing = this.#all(operationId).finally(() => this.#underWay.delete(writing));
    this.#underWay.add(writing);
  }

  /** What cannot be written now stays due until the next entry, or the next start. */
  async #all(operationId: string, which = operationId): Promise<void> {
    const began = Date.now();
    try {
      for (let attempt = 1; attempt <= ATTEMPTS;) {
        const progress = await this.#somewhere(operationId);
        if (progress === 'all') break;
        if (progress === 'stays') attempt += 1;
      }
    } catch (error) {
      this.#log.error(error, `not written for operation ${which}`);
    }
    const took = Date.now() - began;
    if (took > WORTH_A_LINE_MS) this.#log.log(`written for operation ${which} in ${took} ms`);
  }

  /** In a thread, if there are threads that know the database: a part of a long history would hold the event loop. */
  async #somewhere(operationId: string): Promise<Progress> {
    if (!this.heavyWork.answersRequests) return this.inTurn(operationId);
    return (await this.heavyWork.run(
      { personId: operationId, operationId },
      { kind: 'costs', operationId },
    )) as Progress;
  }

  /** Writes parts of what is due for a while, so that other work comes in between. */
  async inTurn(operationId: string): Promise<Progress> {
    const until = Date.now() + TURN_MS;
    let progress: Progress;
    do {
      progress = await this.database.keepBooks(operationId, (books) => this.costs.writePart(books));
    } while (progress === 'more' && Date.now() < until);
    return progress;
  }
}
