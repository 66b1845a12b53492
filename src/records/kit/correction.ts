import type { OperationTenant } from '../../platform/database/types.js';
import { Problem } from '../../platform/http/problem.js';

const AT = '#/entry';

/** Takes the mistake out on its own day: where that is closed, `postTo` of the entry says where both go. */
export async function takenOut<Answer>(work: () => Promise<Answer>): Promise<Answer> {
  return placed(work, (pointer) => (pointer === '#/effectiveOn' ? `${AT}/postTo` : pointer));
}

/** Enters what is right, which stands under `entry` in the body of a correction: problems and questions point there. */
export async function entered<Answer>(tenant: OperationTenant, work: () => Promise<Answer>): Promise<Answer> {
  tenant.doubts.within(AT);
  // Which entry it corrects is not said in the body.
  return placed(work, (pointer) => (pointer === '#/correctsId' ? AT : pointer.replace('#', AT)));
}

async function placed<Answer>(work: () => Promise<Answer>, place: (pointer: string) => string): Promise<Answer> {
  try {
    return await work();
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    const errors = error.errors.map(({ pointer, ...one }) => ({
      ...one,
      ...(pointer === undefined ? {} : { pointer: place(pointer) }),
    }));
    throw new Problem(error.code, error.detail, errors, error.headers, error.subject);
  }
}
