import { Injectable } from '@nestjs/common';
import { addDays } from '../../core/time/calendar-day.js';
import { ClosingService } from '../../office/closings/closing.service.js';
import { dayIn } from '../../platform/clock.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import type * as api from './closing-page.schema.js';

type Page = AnswerOf<typeof api.closingsPage>;
const MOST = 50;
/** What the service finds before it writes anything: told at the field, with nothing to take back. */
const SAID_BEFOREHAND: readonly string[] = ['period-not-over', 'closed-already', 'nothing-to-close'];

@Injectable()
export class ClosingPageService {
  constructor(private readonly closings: ClosingService) {}

  page(tenant: OperationTenant, { params, query }: InputOf<typeof api.closingsPage>): Promise<Page> {
    const { until, note = '' } = query;
    return this.#page(tenant, params, { until: until ?? '', note, sure: until !== undefined });
  }

  async close(tenant: OperationTenant, { params, body }: InputOf<typeof api.closeBooksByForm>): Promise<Page> {
    const { until, note = '' } = body;
    try {
      const made = await this.closings.close(tenant, { params, body: { until, ...(note === '' ? {} : { note }) } });
      return await this.#page(tenant, params, { made });
    } catch (error) {
      const [first] = error instanceof Problem ? error.errors : [];
      if (first === undefined || !SAID_BEFOREHAND.includes(first.code)) throw error;
      return this.#page(tenant, params, { until, note, problem: `${first.message} Allowed: ${first.allowed}.` });
    }
  }

  async #page(tenant: OperationTenant, params: { operationId: string }, more: Partial<Page>): Promise<Page> {
    const { items } = await this.closings.list(tenant, { params, query: { limit: MOST } });
    const last = items.find((one) => one.reopening === null);
    return {
      operationId: tenant.operationId,
      operation: tenant.operation.name,
      today: dayIn(tenant.operation.timeZone, tenant.moment),
      until: '',
      note: '',
      problem: null,
      sure: false,
      openFrom: last === undefined ? null : addDays(last.until, 1),
      made: null,
      closings: items,
      ...more,
    };
  }
}
