import { worstFirst } from '../cautions/caution.js';
import { mostEatenOf } from '../cautions/left-over.js';
import { type Outcome, refused, succeeded } from '../outcome/outcome.js';
import { bookValuesOf } from './book-values-used.js';
import { conditionOf } from './condition-verdict.js';
import { costOf } from './cost-verdict.js';
import { evaluationProblems } from './evaluation-problems.js';
import { worseOfRatio } from '../cautions/minerals.js';
import type { EvaluationRequest, RationEvaluation } from './evaluation.js';
import { gainOf } from './gain-verdict.js';
import { nutrientLines } from './nutrient-lines.js';
import { nitrateOf, otherCautions, ratiosOfKnown, sulfurOf } from './ration-cautions.js';
import { energyOf } from './ration-energy.js';
import {
  type MetabolizableProteinOfRation,
  metabolizableProteinOfRation,
  rationSupply,
  type RationSupply,
} from './ration-supply.js';

/**
 * Supply of a layered ration against what one animal needs: every nutrient with surplus and shortfall, gain or change
 * of condition, cost, what rests on book values, and the cautions. Unknown values stay unknown. Equations:
 * `requirements/*` (each names its source). Refuses impossible amounts.
 */
export function evaluateRation(request: EvaluationRequest): Outcome<RationEvaluation> {
  const problems = evaluationProblems(request);
  if (problems.length > 0) return refused(problems);
  const { animal, requirement, layers, wastedShare = 0 } = request;
  const offered = rationSupply({ layers, wastedShare });
  const supply = heldOf(request, offered);
  const protein = metabolizableProteinOfRation({ supply, edition: requirement.edition });
  const energy = energyOf(request, supply);
  const nitrate = nitrateOf(request, offered);
  const sulfur = sulfurOf(request, supply);
  return succeeded({
    supply,
    lines: nutrientLines({
      animal,
      requirement,
      supply,
      offered,
      protein,
      retainedEnergyMcalPerDay: energy?.retainedEnergyMcalPerDay ?? null,
      tableNeeds: request.tableNeeds,
      guides: request.guides,
      sulfurFromWaterG: sulfur?.fromWaterG ?? 0,
    }),
    metabolizableProtein: protein,
    degradableProteinBalanceG: degradableProteinBalance(supply, protein),
    ...mineralRatios(supply),
    // Of all that is eaten: where a small part does not tell it, at least so much.
    sulfurPercentOfDryMatter:
      supply.minerals.sulfur.value === null || sulfur === null ? null : sulfur.gramsPerDay / (supply.dryMatterKg * 10),
    nitrate: { wholeRationNitrateNitrogenPpmDm: nitrate.wholeRationNitrateNitrogenPpmDm, verdict: nitrate.verdict },
    forageShare: supply.forageDryMatterKg / supply.dryMatterKg,
    longStemShare: supply.longStemDryMatterKg / supply.dryMatterKg,
    gain: gainOf(request, energy, protein),
    condition: conditionOf(animal, requirement, energy),
    cost: costOf(request),
    bookValues: bookValuesOf(layers),
    cautions: worstFirst([...nitrate.cautions, ...otherCautions(request, offered, supply)]),
  });
}

/** What they can hold of the mixture; what is left of a larger offer feeds nobody. */
function heldOf({ requirement, layers, wastedShare, holdToIntake }: EvaluationRequest, offered: RationSupply) {
  const mostEatenKg = mostEatenOf(requirement.dryMatterIntakeKgPerDay);
  if (holdToIntake !== true || offered.dryMatterKg <= mostEatenKg) return offered;
  return rationSupply({ layers, mostEatenKg, ...(wastedShare === undefined ? {} : { wastedShare }) });
}

function degradableProteinBalance(
  { degradableProteinG }: RationSupply,
  protein: MetabolizableProteinOfRation | null,
): number | null {
  if (protein === null || degradableProteinG.value === null) return null;
  return degradableProteinG.value - protein.degradableProteinNeededG;
}

function mineralRatios(supply: RationSupply): Pick<RationEvaluation, 'calciumToPhosphorus' | 'tetanyRatio'> {
  const { minerals } = supply;
  const { calcium, phosphorus, magnesium, potassium } = minerals;
  const areKnown = (...those: readonly { readonly value: number | null }[]) =>
    those.every(({ value }) => value !== null);
  const ratios = ratiosOfKnown(supply);
  return {
    calciumToPhosphorus: areKnown(calcium, phosphorus) ? worseOfRatio(ratios.calciumToPhosphorus) : null,
    tetanyRatio: areKnown(calcium, magnesium, potassium) ? ratios.tetanyRatio : null,
  };
}
