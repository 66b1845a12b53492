import { addDays } from '../core/time/calendar-day.js';
import type { OperationTenant } from '../platform/database/types.js';
import { CostingService } from '../records/hay/costing/costing.service.js';
import { lastClosing } from '../records/kit/posting.read.js';
import type { Flag } from './report.schema.js';

/**
 * If the costing method was changed after a closing, open days do not start with the value that the closed ones ended
 * with; this gives the difference.
 */
export async function methodChangeFlags(
  tenant: OperationTenant,
  costing: CostingService,
  span: { until: string },
): Promise<Flag[]> {
  const closing = await lastClosing(tenant);
  if (
    closing === undefined ||
    span.until < addDays(closing.until_on, 1) ||
    closing.costing_method === tenant.operation.costingMethod
  )
    return [];
  // What stands at the end needs no entries.
  const entriesFrom = addDays(closing.until_on, 1);
  const closed = await costing.upTo(tenant, closing.until_on, { entriesFrom });
  const open = await costing.upTo(tenant, closing.until_on, {
    entriesFrom,
    underMethod: tenant.operation.costingMethod,
  });
  const difference = open.replay.closingValue.minus(closed.replay.closingValue);
  return [
    {
      code: 'costing-method-changed',
      message:
        `The period up to ${closing.until_on} was closed under ${closing.costing_method}; later days are valued ` +
        `by ${tenant.operation.costingMethod}, under which the hay on hand at closing is worth ` +
        `${difference.toString()} more than in the closed reports. That difference is not posted.`,
    },
  ];
}
