import { type RaisedCaution, worstFirst } from '../../core/cautions/caution.js';
import { lotCautions } from '../../core/cautions/lot-cautions.js';
import { waterCautions, type WaterOnTheDay } from '../../core/cautions/water.js';
import type { ObservedLot } from '../../core/cautions/hay-observations.js';
import { dietContextOf } from '../../core/judge/diet-context.js';
import type { NutrientLine } from '../../core/judge/nutrient-line.js';
import { partsOf, rationSupply } from '../../core/judge/ration-supply.js';
import { LAYER_ROLES } from '../../core/laying/layer.js';
import { type Outcome, succeeded } from '../../core/outcome/outcome.js';
import type { RationLayer, RationLot } from '../../core/ration/ration.js';
import type { WholeBaleRation } from '../../core/ration/whole-bale-ration.js';
import type { DietContext, RequirementSet } from '../../core/requirements/requirement-set.js';
import type { Candidate } from '../../core/ration/ration-rows.js';
import type { InputOf } from '../../platform/http/endpoint.js';
import type { HerdFacts } from '../facts/herd-facts.js';
import { type LotFacts, testingOf } from '../facts/lot-facts.js';
import { waterOfHerd } from '../facts/water.js';
import {
  type JudgedRation,
  type JudgedWaste,
  judgedOn,
  type JudgeOptions,
  needOf,
  wastedOf,
} from '../judge/ration-judge.js';
import { type HerdSpan, needOverSpan, worstWeekOf } from './herd-span.read.js';
import type * as api from './least-cost.schema.js';

type Body = InputOf<typeof api.leastCostRationFor>['body'];
type Judged = Pick<JudgedRation, 'requirement' | 'evaluation' | 'cautions' | 'wasted' | 'refusedBecause'>;

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
  }: {
    readonly lots: ReadonlyMap<string, LotFacts>;
    readonly candidates: readonly Candidate[];
  },
): Judging {
  const options: JudgeOptions = { edition: body.edition, coldMethod: body.coldMethod };
  const wasted = wastedOf(herd, {
    ...options,
    statedWastedShare: body.wastedPercent === undefined ? null : body.wastedPercent / 100,
    fedAtPresent: false,
  });
  const water = waterOfHerd(herd.water, span.animals);
  const needOn = needOverSpan(span, options);
  const dietOf = (layers: readonly RationLayer[]): DietContext =>
    dietContextOf(rationSupply({ layers, wastedShare: wasted.share }));
  const knownOf = (fed: readonly RationLot[]) => ({
    testing: testingOfLots(fed, lots, herd.on),
    observed: observedOfLots(fed, lots),
  });
  const judgeOn = (layers: readonly RationLayer[], need: Outcome<RequirementSet>, animal = span.animal): Judged => ({
    ...judgedOn(need, {
      animal,
      animals: span.animals,
      water: herd.water,
      temperatureC: span.hottestC,
      layers,
      wastedShare: wasted.share,
      showCost: true,
      ...knownOf(partsOf(layers).map(({ lot }) => lot)),
      before: herd.fedBefore,
    }),
    wasted,
  });
  const endsOf = (layers: readonly RationLayer[]): RaisedCaution[] =>
    body.days === 1
      ? []
      : span.ends.flatMap((end) => {
          const need = needOf(end, options, { diet: dietOf(layers) });
          return [...judgeOn(layers, need, end.animal).cautions];
        });
  return {
    span,
    wasted,
    water,
    needOn,
    ownCautions: (lot) => lotCautions(knownOf([lot])),
    judge: (layers) => withEnds(judgeOn(layers, needOn(dietOf(layers))), endsOf(layers)),
    worstWeek: (layers) => {
      const worst = worstWeekOf(span, options, dietOf(layers));
      if (worst === null) return null;
      const { evaluation } = judgeOn(layers, succeeded(worst.requirement));
      return evaluation === null ? null : { from: worst.week.from, until: worst.week.until, lines: evaluation.lines };
    },
    cautionsOfTheWater: () => (water === null ? [] : waterCautions(water)),
    layersOfBales: (ration) => layersOfBales(ration, candidates),
  };
}

/** The mean of the days hides what a ration does on the first or the last of them. */
function withEnds(judged: Judged, ofEnds: readonly RaisedCaution[]): Judged {
  const same = (one: RaisedCaution, other: RaisedCaution): boolean =>
    one.code === other.code && one.subject?.name === other.subject?.name && one.severity === other.severity;
  const more = ofEnds.filter(
    (one, index) =>
      !judged.cautions.some((other) => same(one, other)) && ofEnds.findIndex((other) => same(one, other)) === index,
  );
  return more.length === 0 ? judged : { ...judged, cautions: worstFirst([...judged.cautions, ...more]) };
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
