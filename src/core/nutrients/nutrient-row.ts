import type { FeedGroup } from './feed-groups.data.js';

/** What a nutrient belongs to. Minerals are judged, listed and offered to the least-cost ration by this alone. */
type NutrientGroup =
  | 'dry matter'
  | 'protein'
  | 'fiber'
  | 'fat and ash'
  | 'energy'
  | 'mineral'
  | 'trace mineral'
  | 'vitamin'
  | 'nitrate'
  | 'index'
  | 'structure';

/** The unit of a field of `ForageAnalysis`. */
export type AnalysisUnit =
  | '%'
  | '% of DM'
  | '% of CP'
  | '% of NDF'
  | 'Mcal/kg of DM'
  | 'mg NO3-N/kg of DM'
  | 'mg/kg of DM'
  | 'IU/kg of DM'
  | 'index';

/** Outside `possible` a lab report is refused, outside `likely` it is warned about. In the unit of the field. */
export interface LabLimits {
  readonly possible: readonly [lowest: number, highest: number];
  readonly likely: readonly [lowest: number, highest: number];
  readonly source: string;
}

/** How a lab reports it. */
export interface LabReport {
  /** Field of `ForageAnalysis` that holds it. */
  readonly field: string;
  readonly unit: AnalysisUnit;
  /** Units it may be typed in, with their factor to the field's unit. */
  readonly typedIn: Readonly<Record<string, number>>;
  /** Whether the figure scales with dry matter. Indexes and shares of another nutrient do not. */
  readonly scalesWithDryMatter: boolean;
  /** Near-infrared only estimates it: such a figure does not count where wet chemistry measured it. */
  readonly weakByNearInfrared?: true;
  readonly mayBeNegative?: true;
  /** A label never states the least of it: a figure that does not say which it is, is the most. */
  readonly labelStates?: 'maximum';
  /**
   * Several tests of one lot: their weighted mean, the highest of them where the nutrient is a danger, or both where it
   * is needed and too much or too little of it is a danger: the mean against the need, the worse against the limit.
   */
  readonly severalTests: 'mean' | 'highest' | 'mean-and-worst';
  /** By the kind of feed that was tested. */
  readonly limits: Readonly<Record<FeedGroup, LabLimits>>;
}

/**
 * Its amount in a ration, summed over the lots: dry matter eaten × content × `perKg`, or the share that the lot's
 * test names of another nutrient's amount.
 */
type RationSum =
  | {
      /** Amount in `unit` that one unit of the lab's field makes in a kilogram of dry matter. */
      readonly perKg: number;
      readonly unit: 'kg' | 'g' | 'Mcal' | 'mg' | 'IU';
    }
  | { readonly shareOf: 'crudeProtein'; readonly unit: 'g' };

/** Share of the dry matter that an animal needs, by stage, and the highest that it tolerates. */
export interface NeedOfDryMatter {
  readonly unit: '% of DM' | 'mg/kg of DM' | 'IU/kg of DM';
  readonly growing: number;
  readonly gestating: number;
  /** Early lactation stands for all of it. */
  readonly lactating: number;
  /** `null` where the source has none. */
  readonly maximum: number | null;
  /** A later guide that tolerates less; a ration is held to it. */
  readonly stricterMaximum?: { readonly maximum: number; readonly source: string };
  readonly note: string;
  readonly source: string;
}

interface Need {
  /** Unit of the supply, the need and the surplus of one animal. */
  readonly unit: 'kg/d' | 'g/d' | 'Mcal/d' | 'mg/d' | 'IU/d';
  /** Decimal places that a requirement is reported to. */
  readonly decimals: number;
  /** A mineral's need: the sum of its uses, each by an equation, or a share of the dry matter eaten (`ofDryMatter`). */
  readonly equation?: 'sum of uses' | 'share of dry matter';
  /** A mineral that the least-cost ration can be asked to cover from the hay alone. */
  readonly inLeastCost?: true;
}

/**
 * How a ration is held to what an animal needs. `minimum`: more does no harm. `range`: too much does harm as well; a
 * mineral says where the upper end comes from. `maximum`: only too much matters. A row without a need is for
 * information: reported and summed, judged against nothing.
 */
export type NutrientNeed =
  | (Need & { readonly kind: 'minimum' | 'maximum' })
  | (Need & {
      readonly kind: 'range';
      readonly tooMuch: 'predicted intake' | 'tolerable share of dry matter' | 'sulfur of feed and water';
    });

export interface NutrientRow {
  readonly name: string;
  readonly group: NutrientGroup;
  readonly lab?: LabReport;
  readonly ration?: RationSum;
  readonly need?: NutrientNeed;
  readonly ofDryMatter?: NeedOfDryMatter;
}
