import type { Money } from '../../core/units/money.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { Problem } from '../../platform/http/problem.js';

/**
 * A credit takes from what was charged, so only whoever sees that enters one; and what is refused must not depend on a
 * figure that the person may not see: by trying, they would find it.
 */
export function refuseCreditUnseen(tenant: OperationTenant, amount: Money): void {
  if (amount.isNegative() && !tenant.may('prices', tenant.operationId))
    throw new Problem(
      'not-permitted',
      'A credit is measured against what was charged, so it needs the permission "prices" in this operation.',
    );
}
