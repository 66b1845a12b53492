import { LineSigner } from '../../src/access/audit/line-signer.js';
import type { RestoreTerms } from '../../src/access/data-rights/restore-terms.js';
import type { SecretBox } from '../../src/platform/secrets/secret-box.js';
import { SECRETS } from './world.js';

/** As the command asks for on a server that has no kept heads; with other terms where they are given. */
export function restoreTerms(other: Partial<RestoreTerms> = {}, secrets: SecretBox = SECRETS): RestoreTerms {
  return {
    signer: new LineSigner(secrets),
    ownHeads: [],
    by: 'keeper',
    moment: new Date('2027-01-15T15:00:00Z'),
    ...other,
  };
}
