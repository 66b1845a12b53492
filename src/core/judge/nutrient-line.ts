import type { NutrientNeed } from '../nutrients/nutrient-row.js';
import { NUTRIENTS } from '../nutrients/nutrients.data.js';
import type { Nutrient } from '../nutrients/nutrients.js';
import { JUDGEMENT } from './judgement.data.js';
import type { MissingReason } from '../ration/ration.js';
import type { Supply } from './ration-supply.js';

/** `excess` only where too much does harm or will not be eaten. `no-need`: nothing is required. */
export type Verdict = 'short' | 'near' | 'meets' | 'excess' | 'no-need' | 'unknown';

export interface NutrientLine {
  readonly nutrient: Nutrient;
  readonly unit: NutrientNeed['unit'];
  /** `null`: not known, never zero. */
  readonly supply: number | null;
  /**
   * True where a part of the ration lacks the value and counts as zero, since it is small or what is known meets the
   * need by itself: the ration holds this much or more.
   */
  readonly supplyIsAtLeast: boolean;
  readonly need: number | null;
  readonly unknownBecause: MissingReason | 'no-requirement' | null;
  readonly missingIn: readonly string[];
  /** What the lots with a value give; equals `supply` where all is known. */
  readonly supplyAtLeast: number;
  /** supply − need: positive is surplus, negative shortfall. */
  readonly surplus: number | null;
  readonly surplusPercent: number | null;
  readonly verdict: Verdict;
  /** Amount above which it is `excess`; `null` where more does no harm. */
  readonly harmfulAbove: number | null;
  /** Dry matter that shares of this line are of, kg. */
  readonly shareOfKg: number;
  readonly restsOnBookValues: boolean;
  readonly bookValueLots: readonly string[];
}

/**
 * Supply against need for one nutrient. A supply that is not known is `unknown`, unless what is known already meets the
 * need: then it is that lower bound. A lower bound is judged as it stands, and the line says so.
 */
export function nutrientLine({
  nutrient,
  supply,
  need,
  harmfulAbove = null,
}: {
  readonly nutrient: Nutrient;
  readonly supply: Supply;
  readonly need: number | null;
  readonly harmfulAbove?: number | null;
}): Omit<NutrientLine, 'shareOfKg'> {
  const known = knownFor(supply, need);
  const surplus = known === null || need === null ? null : known - need;
  return {
    nutrient,
    unit: NUTRIENTS[nutrient].need.unit,
    supply: known,
    supplyIsAtLeast: supply.isAtLeast || (supply.value === null && known !== null),
    need,
    unknownBecause: supply.reason ?? (need === null ? 'no-requirement' : null),
    missingIn: supply.missingIn,
    supplyAtLeast: supply.atLeast,
    surplus,
    surplusPercent: surplus === null || need === null || need === 0 ? null : (surplus / need) * 100,
    verdict: judge({ supply, need, harmfulAbove }),
    harmfulAbove,
    restsOnBookValues: supply.bookValueLots.length > 0,
    bookValueLots: supply.bookValueLots,
  };
}

/** What is known of a supply: all of it, or a part that meets the need by itself, whatever the rest brings. */
function knownFor({ value, atLeast }: Supply, need: number | null): number | null {
  if (value !== null) return value;
  return need !== null && need > 0 && atLeast >= need ? atLeast : null;
}

function judge({
  supply,
  need,
  harmfulAbove,
}: {
  readonly supply: Supply;
  readonly need: number | null;
  readonly harmfulAbove: number | null;
}): Verdict {
  if (harmfulAbove !== null && supply.atMost > harmfulAbove * (1 + 1e-12)) return 'excess';
  if (need === null) return 'unknown';
  if (need <= 0) return 'no-need';
  const known = knownFor(supply, need);
  if (known === null) return 'unknown';
  // A need that is met exactly must not fall short by a rounding error.
  const share = known / need + 1e-12;
  if (share >= 1) return 'meets';
  return share >= JUDGEMENT.nearFromShareOfNeed.value ? 'near' : 'short';
}
