import { Problem } from './problem.js';

/** An entry dated in a closed period; `postable` where the request may ask for the first open day instead. */
export function periodClosed({
  on,
  closedUntil,
  pointer,
  postable = false,
}: {
  on: string;
  closedUntil: string;
  pointer?: string;
  postable?: boolean;
}): Problem {
  return new Problem('period-closed', `${on} is in a closed period; the books are closed through ${closedUntil}.`, [
    {
      ...(pointer === undefined ? {} : { pointer }),
      code: 'period-closed',
      given: on,
      allowed: `after ${closedUntil}${postable ? ', or postTo "open-period"' : ''}`,
      message: `${on} is in a closed period.`,
    },
  ]);
}
