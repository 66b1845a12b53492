import type { LayerRole } from '../laying/layer.js';
import type { FeedGroup } from '../nutrients/feed-groups.data.js';
import { NUTRIENTS } from '../nutrients/nutrients.data.js';
import { RATION_NUTRIENTS, type RationField } from '../nutrients/nutrients.js';
import type { PricePerMass } from '../units/money.js';

/** Composition that a ration is judged by, all on the dry matter basis except the share of degradable protein. */
export const RATION_FIELDS: readonly RationField[] = RATION_NUTRIENTS.map((code) => NUTRIENTS[code].lab.field);
export type { RationField };

/** Why a number is unknown. */
export type MissingReason = 'not-tested-and-no-book-value' | 'a-lot-lacks-it' | 'nothing-eaten' | 'no-energy-value';

/**
 * Where a composition value comes from. `calculated` says that a published equation made it from other values of the
 * same lot.
 */
type ValueOrigin = 'lab-test' | 'book-value' | 'calculated';

/** Lowest and highest on record of one lot, of a nutrient that is a danger; absent where all are equal. */
export interface TestsThatDiffer {
  readonly least: number;
  readonly most: number;
}

/** A composition value. `null` is not zero: it is unknown, with the reason. */
export type CompositionValue =
  | {
      readonly value: number;
      readonly origin: ValueOrigin;
      readonly source: string;
      readonly restsOnBookValue: boolean;
      /** The most that a label allows; absent where none does. */
      readonly atMost?: number;
      readonly differ?: TestsThatDiffer;
    }
  | { readonly value: null; readonly reason: MissingReason };

/** The sample of which the highest of several values is. */
export interface WorstSample {
  readonly lotName: string;
  readonly sampledOn: string;
  /** How much of the sampled hay was moved into the lot, kg; `null` where the lot is or was that hay. */
  readonly movedInKg: number | null;
}

/** A hay or another feed in the ration. */
export interface RationLot {
  readonly lotId: string;
  readonly lotName: string;
  readonly dryMatterPercent: { readonly value: number; readonly origin: 'lab-test' | 'book-value' };
  /** A field that is absent was not tested and has no book value. */
  readonly composition: Readonly<
    Partial<
      Record<
        RationField,
        {
          readonly value: number;
          readonly origin: 'lab-test' | 'book-value';
          readonly source?: string;
          /** The most that it may hold, by a label or the worst of several tests; absent where `value` is all known. */
          readonly atMost?: number;
          readonly differ?: TestsThatDiffer;
          /** Of a danger: which sample holds the most, where another holds less or only a part was sampled. */
          readonly worst?: WorstSample;
        }
      >
    >
  >;
  /** By whose limits a value that nobody tested is bounded; absent where nothing is known of the kind. */
  readonly feedGroup?: FeedGroup;
  readonly isForage: boolean;
  /** Hay or straw that was not chopped or ground. */
  readonly isLongStem: boolean;
  readonly isStraw: boolean;
  readonly isStarchyGrain: boolean;
  /** 0 to 1 by dry matter; `null` if nobody said. */
  readonly legumeShare: number | null;
  readonly canGatherNitrate: boolean;
  /** Fields that were tested only in hay moved into the lot, not in the rest of it. */
  readonly knownInPart?: readonly RationField[];
  /** Crude protein equivalent from urea, biuret or ammonia, % of dry matter. 0 if not given. */
  readonly nonProteinNitrogenPercent?: number;
  /** Landed cost per weight as fed; absent if unknown, or if the reader may not see prices. */
  readonly price?: PricePerMass;
}

export interface RationLayer {
  readonly role: LayerRole;
  readonly lots: readonly RationPart[];
}

export interface RationPart {
  readonly lot: RationLot;
  /** Offered per head per day, kg as fed. */
  readonly asFedKgPerHeadPerDay: number;
  /** Kept in front of the cattle: the amount is what they take of it. */
  readonly freeChoice?: boolean;
}
