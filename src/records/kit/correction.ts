import type { OperationTenant } from '../../platform/database/types.js';
import { Problem } from '../../platform/http/problem.js';

const AT = '#/entry';

/** Enters what is right, which stands under `entry` in the body of a correction: problems and questions point there. */
export async function entered<Answer>(tenant: OperationTenant, work: () => Promise<Answer>): Promise<Answer> {
  tenant.doubts.within(AT);
  try {
    return await work();
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    const errors = error.errors.map(({ pointer, ...one }) => ({
      ...one,
      ...(pointer === undefined ? {} : { pointer: pointer.replace('#', AT) }),
    }));
    throw new Problem(error.code, error.detail, errors, error.headers, error.subject);
  }
}
