import { Inject, Injectable, Logger, type OnModuleDestroy, type OnModuleInit } from '@nestjs/common';
import { type Clock, CLOCK, dayIn } from '../../platform/clock.js';
import { Database } from '../../platform/database/database.js';
import { Jobs } from '../../platform/jobs/jobs.js';
import { WebhookChoresStore } from './webhook-chores.store.js';

const HOUR_MS = 3_600_000;
/** How soon a process notices that another one has made the first webhook. */
const LOOK_FOR_FIRST_MS = 300_000;
/** Actions of the audit that may have written something to be sent. */
const WORTH_A_LOOK = /\.reverse$|^books\.|^late-cost\.|^webhook\./;

/** When this process works for webhooks: once there is one, then whenever something happens, and every hour. */
@Injectable()
export class WebhookWork implements OnModuleInit, OnModuleDestroy {
  readonly #log = new Logger('webhooks');
  #timers: NodeJS.Timeout[] = [];
  #serves = false;
  #began = false;

  constructor(
    private readonly database: Database,
    private readonly jobs: Jobs,
    private readonly store: WebhookChoresStore,
    @Inject(CLOCK) private readonly clock: Clock,
  ) {}

  onModuleInit(): void {
    this.jobs.handle('webhook-chores', () => this.chores());
    this.database.watchAudit((actions) => {
      if (!actions.some((action) => WORTH_A_LOOK.test(action))) return;
      this.jobs.lookSoon();
      if (actions.includes('webhook.create')) void this.#beginIfNeeded();
    });
  }

  onModuleDestroy(): void {
    this.#timers.forEach((timer) => clearInterval(timer));
  }

  /** From now on this process sends; a server without webhooks asks every five minutes whether there is one. */
  serve(): void {
    if (this.#serves) return;
    this.#serves = true;
    void this.#beginIfNeeded();
    this.#timers.push(setInterval(() => void this.#beginIfNeeded(), LOOK_FOR_FIRST_MS).unref());
  }

  /** What the hour brings, for every operation that has webhooks. */
  async chores(): Promise<void> {
    for (const operationId of await this.database.operationsWithWebhooks()) {
      const moment = this.clock.now();
      await this.database.serveWebhooks(operationId, moment, async (server) => {
        await this.store.prune(server);
        await this.store.wakeWhatLies(server);
        await this.store.judgeHayOfDay(server, dayIn(await this.store.timeZone(server), moment));
      });
    }
    this.jobs.lookSoon();
  }

  async #beginIfNeeded(): Promise<void> {
    if (!this.#serves || this.#began) return;
    try {
      if ((await this.database.operationsWithWebhooks()).length === 0 || this.#began) return;
      this.#began = true;
      this.jobs.start();
      await this.#planChores();
      this.#timers.push(setInterval(() => void this.#planChores(), HOUR_MS).unref());
    } catch (error) {
      this.#log.warn(`Webhooks wait: ${error instanceof Error ? error.message : String(error)}`);
    }
  }

  /** Of several processes, one does them. */
  async #planChores(): Promise<void> {
    try {
      await this.jobs.addAlone('webhook-chores', {}, { oncePer: { key: 'hour', seconds: HOUR_MS / 1000 } });
      this.jobs.lookSoon();
    } catch (error) {
      this.#log.warn(`The chores of this hour wait: ${error instanceof Error ? error.message : String(error)}`);
    }
  }
}
