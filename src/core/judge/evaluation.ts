import type { Words } from '../units/wording.js';
import type { RaisedCaution } from '../cautions/caution.js';
import type { ColdLeftOut } from '../cautions/cold-left-out.js';
import type { GuideChoices } from '../cautions/guides.data.js';
import type { ObservedLot } from '../cautions/hay-observations.js';
import type { LotTesting } from '../cautions/lab-tests.js';
import type { NitrateVerdict } from '../cautions/nitrate.js';
import type { LotShare } from '../cautions/rumen.js';
import type { FedBefore } from './fed-before.js';
import type { WaterOnTheDay } from '../cautions/water.js';
import type { MissingReason, RationLayer } from '../ration/ration.js';
import type { AnimalDescription, RequirementSet } from '../requirements/requirement-set.js';
import type { Money } from '../units/money.js';
import type { NutrientLine } from './nutrient-line.js';
import type { TableNeeds } from './nutrient-lines.js';
import type { MetabolizableProteinOfRation, RationSupply } from './ration-supply.js';

export interface EvaluationRequest {
  readonly animal: AnimalDescription;
  /** True if some of the herd are pregnant, though the average animal is not: what harms a calf harms theirs. */
  readonly anyPregnant?: boolean;
  /** True if the stage of some is not on record: they are judged as if they were pregnant. */
  readonly mayBePregnant?: boolean;
  /** Mean of the day, where the weather is known or assumed. */
  readonly temperatureC?: number;
  /** Where nothing is known of the weather of the day: what that leaves out of the need. */
  readonly coldLeftOut?: ColdLeftOut;
  /** Of this animal with this ration's diet (see `dietContextOf`), on this day. */
  readonly requirement: RequirementSet;
  /** Build order, bottom first. */
  readonly layers: readonly RationLayer[];
  readonly tableNeeds?: TableNeeds;
  /** Refused or wasted share of what is offered, 0 to below 1. */
  readonly wastedShare?: number;
  /**
   * True where the ration is an offer: more than cattle are predicted to hold is left over and feeds nobody. Otherwise
   * the amounts are what is eaten, as a feeding trial or a worked example states it.
   */
  readonly holdToIntake?: boolean;
  /** Whether the reader may see prices; without it no cost is worked out. */
  readonly showCost?: boolean;
  readonly guides?: GuideChoices;
  /** What they are used to. */
  readonly before?: FedBefore;
  /** Shares that a change of feed is told of, where those of the layers are only rounded to whole bales. */
  readonly evenedShares?: readonly LotShare[];
  /** True if hay is laid with dew, frost, rain or snow on it. */
  readonly fedWet?: boolean;
  readonly water?: WaterOnTheDay;
  readonly testing?: readonly LotTesting[];
  /** What was seen of each lot. */
  readonly observed?: readonly ObservedLot[];
}

export interface GainVerdict {
  /** Negative: loss. */
  readonly energyAllowableKgPerDay: number | null;
  readonly proteinAllowableKgPerDay: number | null;
  /**
   * The smaller of the two, negative for a loss; `null` while the energy is not known. Where protein is not known,
   * the energy alone, and `ruledBy` says so.
   */
  readonly expectedKgPerDay: number | null;
  readonly ruledBy: 'energy' | 'protein' | 'energy, protein not known' | null;
  /** Drawn from the body where the ration lacks energy; 0 where it does not. */
  readonly bodyEnergyLostMcalPerDay: number | null;
  /** What they gain and what holds it down, or of a loss what it comes from; `null` while it is not known. */
  readonly words: Words | null;
  readonly unknownBecause: MissingReason | 'mature-cattle' | null;
}

export interface ConditionVerdict {
  readonly netEnergyBalanceMcalPerDay: number | null;
  readonly direction: 'gain' | 'loss' | 'steady' | null;
  /** Days to gain or lose one condition score; `null` when steady, at the end of the scale, or not known. */
  readonly daysToOneScore: number | null;
  readonly unknownBecause: MissingReason | 'growing-cattle' | null;
}

export interface CostVerdict {
  readonly perHeadDay: Money | null;
  readonly perLot: readonly { readonly lotId: string; readonly lotName: string; readonly perHeadDay: Money | null }[];
  readonly unknownBecause: 'prices-not-shown' | 'a-price-is-missing' | null;
}

export interface RationEvaluation {
  readonly supply: RationSupply;
  readonly lines: readonly NutrientLine[];
  readonly metabolizableProtein: MetabolizableProteinOfRation | null;
  /** Degradable protein supplied less what the microbes need, g/d. */
  readonly degradableProteinBalanceG: number | null;
  readonly calciumToPhosphorus: number | null;
  /** K/(Ca+Mg) in equivalents. */
  readonly tetanyRatio: number | null;
  readonly sulfurPercentOfDryMatter: number | null;
  readonly nitrate: {
    readonly wholeRationNitrateNitrogenPpmDm: number | null;
    readonly verdict: NitrateVerdict | null;
  };
  readonly forageShare: number;
  readonly longStemShare: number;
  readonly gain: GainVerdict;
  readonly condition: ConditionVerdict;
  readonly cost: CostVerdict;
  /** Lots and values that come from a book and not from a test. */
  readonly bookValues: readonly { readonly lotName: string; readonly fields: readonly string[] }[];
  /** Worst first. */
  readonly cautions: readonly RaisedCaution[];
}
