import type { RaisedCaution } from '../../core/cautions/caution.js';
import type { LotShare } from '../../core/cautions/rumen.js';
import type { WaterOnTheDay } from '../../core/cautions/water.js';
import { layingCautions, likelyEatenOrder } from '../../core/laying/laying-cautions.js';
import type { LayerRole } from '../../core/laying/layer.js';
import { dietContextOf } from '../../core/judge/diet-context.js';
import { evaluateRation } from '../../core/judge/evaluate.js';
import type { RationEvaluation } from '../../core/judge/evaluation.js';
import { rationSupply } from '../../core/judge/ration-supply.js';
import type { ColdMethod, RequirementEdition, RequirementSet } from '../../core/requirements/requirement-set.js';
import { requirementsFor } from '../../core/requirements/requirements-for.js';
import type { Outcome } from '../../core/outcome/outcome.js';
import { type HerdFacts, weatherContextOf } from '../facts/herd-facts.js';
import { testingOf } from '../facts/lot-facts.js';
import type { LaidRation } from '../facts/ration-content.js';

interface JudgeOptions {
  edition: RequirementEdition;
  coldMethod: ColdMethod;
  useWeather: boolean;
  wastedShare: number;
  showCost: boolean;
  inUse: boolean;
  /** What is fed now, if another ration is in use. */
  before?: readonly LotShare[];
  water?: WaterOnTheDay;
}

export interface JudgedRation {
  requirement: RequirementSet;
  evaluation: RationEvaluation;
  laying: RaisedCaution[];
  likelyEatenFirst: { position: number; role: LayerRole }[];
}

/** Legume share of the dry matter, or null while one lot does not tell. */
export function legumeShareOf(laid: LaidRation): number | null {
  let legume = 0;
  for (const {
    facts: { lot },
    shares,
  } of laid.parts) {
    if (lot.legumeShare === null) return null;
    legume += lot.legumeShare * shares.dryMatterShare;
  }
  return legume;
}

/** Gather is done: what is laid, against what this herd needs on this day. Pure. */
export function judgeRation(herd: HerdFacts, laid: LaidRation, options: JudgeOptions): Outcome<JudgedRation> {
  const { animal, weather } = herd;
  const diet = dietContextOf(rationSupply({ layers: laid.layers, wastedShare: options.wastedShare }));
  const requirement = requirementsFor(animal, {
    edition: options.edition,
    diet,
    ...(weather === null || !options.useWeather ? {} : { weather: weatherContextOf(weather, options.coldMethod) }),
  });
  if (!requirement.ok) return requirement;
  const facts = new Map(laid.parts.map((part) => [part.lotId, part.facts])).values();
  const evaluation = evaluateRation({
    animal,
    requirement: requirement.value,
    layers: laid.layers,
    wastedShare: options.wastedShare,
    showCost: options.showCost,
    testing: testingOf(facts, herd.on, options.inUse),
    ...(options.before === undefined ? {} : { before: options.before }),
    ...(options.water === undefined ? {} : { water: options.water }),
  });
  if (!evaluation.ok) return evaluation;
  const layers = laid.parts.map((part) => ({ position: part.position, role: part.role }));
  const eaten = likelyEatenOrder({ layers: [...new Map(layers.map((layer) => [layer.position, layer])).values()] });
  return {
    ok: true,
    value: {
      requirement: requirement.value,
      evaluation: evaluation.value,
      likelyEatenFirst: [...eaten.order],
      laying: layingCautions({
        weather: 'dry',
        hayWasWet: null,
        blended: false,
        legumeShareOfDryMatter: null,
        head: Math.max(herd.head, 1),
        space: herd.space,
        layers: laid.parts.map((part) => ({
          name: part.facts.lot.lotName,
          role: part.role,
          texture: part.facts.kind.texture,
          kgAsFed: part.asFedKgPerHead * Math.max(herd.head, 1),
          bulkDensityKgPerM3: part.shares.bulkDensityKgPerM3.value,
        })),
      }),
    },
  };
}
