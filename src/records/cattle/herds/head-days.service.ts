import { Injectable } from '@nestjs/common';
import { addDays } from '../../../core/time/calendar-day.js';
import { headEvents, headDays, headHistory, integrateHeadDays } from '../../../core/standing/head-days.js';
import { decimal, decimalText } from '../../../core/units/decimal.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { Problem } from '../../../platform/http/problem.js';
import { HerdRead } from './herd.read.js';
import type * as api from './herd.schema.js';

const MEAN_PLACES = 4;

/** How many head there were, day by day. */
@Injectable()
export class HeadDaysService {
  constructor(private readonly herds: HerdRead) {}

  async get(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.getHeadDays>,
  ): Promise<AnswerOf<typeof api.getHeadDays>> {
    const herd = await this.herds.one(tenant, params.herdId);
    const events = headEvents(await this.herds.changes(tenant, [herd.id], query.until));
    const end = addDays(query.until, 1);
    const flow = integrateHeadDays({ events, from: query.from, until: end });
    const history = headHistory(events);
    if (!flow.ok || !history.ok) {
      throw new Problem(
        'invalid-input',
        undefined,
        (flow.ok ? [] : flow.problems).map((one) => ({
          parameter: 'until',
          code: one.code,
          given: query.until,
          allowed: `${query.from} or later`,
          message: one.message,
        })),
      );
    }
    const edges = [
      query.from,
      ...history.steps.map((step) => step.from).filter((day) => day > query.from && day < end),
      end,
    ];
    const steps = edges.slice(0, -1).map((from, index) => {
      const next = edges[index + 1] ?? end;
      const inStep = headDays(history.steps, from, next);
      return {
        from,
        until: addDays(next, -1),
        head: headDays(history.steps, from, addDays(from, 1)),
        headDays: inStep,
      };
    });
    return {
      herdId: herd.id,
      from: query.from,
      until: query.until,
      days: flow.days,
      openingHead: flow.openingHead,
      closingHead: flow.closingHead,
      headDays: flow.headDays,
      meanHead: decimalText(decimal(flow.headDays).div(flow.days).toDecimalPlaces(MEAN_PLACES)),
      steps,
      byMonth: flow.byMonth.map((month) => ({ ...month })),
      method:
        'An event counts from its own day on: cattle that come in on the 1st are counted on the 1st; one ' +
        'sold, moved or dead on the 10th is not counted on the 10th.',
    };
  }
}
