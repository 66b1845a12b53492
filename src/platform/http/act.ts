import type { Act } from '../roles/roles.data.js';

export { ACTS, type Act } from '../roles/roles.data.js';

/** Who may call an endpoint: anybody, anybody signed in, or those who may do this act in the operation in the path. */
export type Access = 'public' | 'signed-in' | Act;
