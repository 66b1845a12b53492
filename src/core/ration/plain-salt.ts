import { SODIUM_IN_SALT } from '../cautions/minerals.js';
import { mostOf } from '../judge/ration-supply.js';
import type { RationLot } from './ration.js';
import { SAFE_LIMITS } from './safe-limits.data.js';

/** Whether a mineral feed is salt and nothing else. */
export const isPlainSalt = (lot: RationLot): boolean =>
  lot.feedGroup === 'mineral' &&
  (mostOf({ lot, field: 'sodiumPercent' }) ?? 0) / SODIUM_IN_SALT >= SAFE_LIMITS.plainSaltPercent.value;
