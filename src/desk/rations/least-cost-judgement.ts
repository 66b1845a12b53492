import type { ColdLeftOut } from '../../core/cautions/cold-left-out.js';
import type { RaisedCaution } from '../../core/cautions/caution.js';
import { lotCautions } from '../../core/cautions/lot-cautions.js';
import { waterCautions, type WaterOnTheDay } from '../../core/cautions/water.js';
import type { ObservedLot } from '../../core/cautions/hay-observations.js';
import { dietContextOf } from '../../core/judge/diet-context.js';
import type { NutrientLine } from '../../core/judge/nutrient-line.js';
import { partsOf, rationSupply } from '../../core/judge/ration-supply.js';
import { cautionsOfSpan, type JudgedDay, linesOnDays } from '../../core/judge/span-days.js';
import { LAYER_ROLES } from '../../core/laying/layer.js';
import { type Outcome, succeeded } from '../../core/outcome/outcome.js';
import type { RationLayer, RationLot } from '../../core/ration/ration.js';
import type { WholeBaleRation } from '../../core/ration/whole-bale-ration.js';
import type { DietContext, RequirementSet } from '../../core/requirements/requirement-set.js';
import type { Candidate } from '../../core/ration/ration-rows.js';
import type { InputOf } from '../../platform/http/endpoint.js';
import type { HerdFacts, HerdOnDay } from '../facts/herd-facts.js';
import { type LotFacts, testingOf } from '../facts/lot-facts.js';
import { waterOfHerd } from '../facts/water.js';
import {
  coldLeftOutOf,
  type JudgedRation,
  type JudgedWaste,
  judgedOn,
  type JudgeOptions,
  needOf,
  wastedOf,
} from '../judge/ration-judge.js';
import type { HerdSpan } from './herd-span.read.js';
import { bindingDays, needOverSpan, worstWeekOf } from './span-need.js';
import type * as api from './least-cost.schema.js';

type Body = InputOf<typeof api.leastCostRationFor>['body'];
type Judged = Pick<JudgedRation, 'requirement' | 'evaluation' | 'cautions' | 'wasted' | 'refusedBecause'>;

type Whom = Pick<Parameters<typeof judgedOn>[1], 'animal' | 'animals' | 'temperatureC' | 'before' | 'coldLeftOut'>;

/** Offers get names of their own among the lots, so that the answer can tell them apart. */
export const QUOTE_PREFIX = 'quote-';
export const OFFER_PREFIX = 'offer-';

/** The judge for one least-cost question, used by the search and by the answer. */
export interface Judging {
  readonly span: HerdSpan;
  readonly wasted: JudgedWaste;
  readonly water: WaterOnTheDay | null;
  readonly needOn: (diet: DietContext) => Outcome<RequirementSet>;
  /** The cautions that a lot carries wherever it is fed. */
  readonly ownCautions: (lot: RationLot) => readonly RaisedCaution[];
  readonly judge: (layers: readonly RationLayer[]) => Judged;
  readonly worstWeek: (
    layers: readonly RationLayer[],
  ) => { readonly from: string; readonly until: string; readonly lines: readonly NutrientLine[] } | null;
  /** Days of the span that a ration does not suit though it suits the ones that were held. */
  readonly bindingDays: (layers: readonly RationLayer[]) => readonly HerdOnDay[];
  readonly cautionsOfTheWater: () => readonly RaisedCaution[];
  readonly layersOfBales: (ration: WholeBaleRation) => readonly RationLayer[];
}

/** Judges the herd over its days like a ration of one day, from facts already gathered. */
export function judgingOf(
  herd: HerdFacts,
  span: HerdSpan,
  body: Body,
  {
    lots,
    candidates,
    held,
  }: {
    readonly lots: ReadonlyMap<string, LotFacts>;
    readonly candidates: readonly Candidate[];
    /** Days that the search holds a ration against one by one. */
    readonly held: readonly HerdOnDay[];
  },
): Judging {
  const options: JudgeOptions = { edition: body.edition, coldMethod: body.coldMethod };
  const wasted = wastedOf(herd, {
    ...options,
    statedWastedShare: body.wastedPercent === undefined ? null : body.wastedPercent / 100,
    fedAtPresent: false,
  });
  const water = waterOfHerd(herd.water, span.animals);
  const needOn = needOverSpan(span, held, options);
  const dietOf = (layers: readonly RationLayer[]): DietContext =>
    dietContextOf(rationSupply({ layers, wastedShare: wasted.share }));
  const { knownOf, judgeOn, judgeDay } = judgesOf({ herd, span, options, wasted, lots, dietOf });
  return {
    span,
    wasted,
    water,
    needOn,
    ownCautions: (lot) => lotCautions(knownOf([lot])),
    judge: (layers) => {
      const diet = dietOf(layers);
      const ofDays = body.days === 1 ? [] : span.everyDay.map((day) => judgeDay(layers, diet, day));
      return withDays(judgeOn(layers, needOn(diet)), ofDays);
    },
    worstWeek: (layers) => {
      const worst = worstWeekOf(span, options, dietOf(layers));
      if (worst === null) return null;
      const { evaluation } = judgeOn(layers, succeeded(worst.requirement));
      return evaluation === null ? null : { from: worst.week.from, until: worst.week.until, lines: evaluation.lines };
    },
    bindingDays: (layers) => bindingDays(span, held, options, dietOf(layers)),
    cautionsOfTheWater: () => (water === null ? [] : waterCautions(water)),
    layersOfBales: (ration) => layersOfBales(ration, candidates),
  };
}

interface JudgedBy {
  readonly herd: HerdFacts;
  readonly span: HerdSpan;
  readonly options: JudgeOptions;
  readonly wasted: JudgedWaste;
  readonly lots: ReadonlyMap<string, LotFacts>;
  readonly dietOf: (layers: readonly RationLayer[]) => DietContext;
}

/** The judge of the mean of the days, and that of one of them. */
function judgesOf({ herd, span, options, wasted, lots, dietOf }: JudgedBy) {
  const knownOf = (fed: readonly RationLot[]) => ({
    testing: testingOfLots(fed, lots, herd.on),
    observed: observedOfLots(fed, lots),
  });
  const judgedAs = (layers: readonly RationLayer[], need: Outcome<RequirementSet>, whom: Whom) =>
    judgedOn(need, {
      ...whom,
      water: herd.water,
      layers,
      wastedShare: wasted.share,
      showCost: true,
      ...knownOf(partsOf(layers).map(({ lot }) => lot)),
    });
  const judgeOn = (layers: readonly RationLayer[], need: Outcome<RequirementSet>): Judged => ({
    ...judgedAs(layers, need, {
      animal: span.animal,
      animals: span.animals,
      temperatureC: span.hottestC,
      before: herd.fedBefore,
      coldLeftOut: coldLeftOutOver(span, options, dietOf(layers)),
    }),
    wasted,
  });
  const judgeDay = (layers: readonly RationLayer[], diet: DietContext, day: HerdOnDay): JudgedDay => {
    const { cautions, evaluation } = judgedAs(layers, needOf(day, options, { diet }), {
      animal: day.animal,
      animals: day.standing.parts.map((part) => part.animal),
      temperatureC: day.weather?.temperatureC ?? null,
      before: day.on === herd.on ? herd.fedBefore : null,
      coldLeftOut: null,
    });
    return { on: day.on, cautions, lines: evaluation?.lines ?? [] };
  };
  return { knownOf, judgeOn, judgeDay };
}

/** What is left out of the need on the first day whose weather is not known. */
function coldLeftOutOver({ everyDay }: HerdSpan, options: JudgeOptions, diet: DietContext): ColdLeftOut | null {
  for (const day of everyDay) {
    const left = coldLeftOutOf(day, options, diet);
    if (left !== null) return left;
  }
  return null;
}

/** The mean hides what a ration does on one of the days: each is judged by itself, and what it adds is named. */
function withDays(judged: Judged, days: readonly JudgedDay[]): Judged {
  const { requirement, evaluation } = judged;
  const notes = evaluation === null ? [] : linesOnDays(evaluation.lines, days);
  return {
    ...judged,
    cautions: cautionsOfSpan(judged.cautions, days),
    requirement: requirement === null ? null : { ...requirement, notes: [...requirement.notes, ...notes] },
  };
}

/** For lots on hand, what is known from their tests; hay on offer has none unless the seller's values are used. */
function testingOfLots(of: readonly RationLot[], lots: ReadonlyMap<string, LotFacts>, on: string) {
  const fed = [...new Map(of.map((lot) => [lot.lotId, lot])).values()];
  const offered = fed.filter(
    ({ lotId, dryMatterPercent }) => !lots.has(lotId) && dryMatterPercent.origin !== 'lab-test',
  );
  return [
    ...testingOf(
      fed.flatMap(({ lotId }) => lots.get(lotId) ?? []),
      on,
      false,
    ),
    ...offered.map(({ lotName }) => ({
      lotName,
      daysSinceSample: null,
      daysUntilFed: null,
      balesCored: null,
      lotKg: null,
    })),
  ];
}

function observedOfLots(of: readonly RationLot[], lots: ReadonlyMap<string, LotFacts>): ObservedLot[] {
  const fed = new Set(of.map(({ lotId }) => lotId));
  return [...fed].flatMap((lotId) => lots.get(lotId)?.observed ?? []);
}

function layersOfBales({ parts }: WholeBaleRation, candidates: readonly Candidate[]): RationLayer[] {
  return LAYER_ROLES.flatMap((role): RationLayer[] => {
    const inLayer = parts.filter((part) => part.role === role);
    const found = inLayer.flatMap(({ lotId, asFedKgPerHeadPerDay }) => {
      const lot = candidates.find((one) => one.lot.lotId === lotId)?.lot;
      return lot === undefined ? [] : [{ lot, asFedKgPerHeadPerDay }];
    });
    return found.length === 0 ? [] : [{ role, lots: found }];
  });
}
