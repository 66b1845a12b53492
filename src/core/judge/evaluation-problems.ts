import type { Problem } from '../outcome/problem.js';
import type { RationLayer, RationPart } from '../ration/ration.js';
import type { EvaluationRequest } from './evaluation.js';
import { partsOf } from './ration-supply.js';

/** Everything that keeps a ration from being judged, at once. */
export function evaluationProblems({ layers, wastedShare = 0 }: EvaluationRequest): Problem[] {
  const problems = [
    ...layers.flatMap((layer, index) =>
      layer.lots.flatMap((part, place) => partProblems(part, `layers[${index}].lots[${place}]`)),
    ),
    ...wasteProblems(wastedShare),
  ];
  return [...problems, ...(problems.length === 0 ? emptyProblems(layers) : []), ...currencyProblems(layers)];
}

function partProblems({ lot, asFedKgPerHeadPerDay }: RationPart, field: string): Problem[] {
  const problems: Problem[] = [];
  if (!(asFedKgPerHeadPerDay >= 0) || !Number.isFinite(asFedKgPerHeadPerDay)) {
    problems.push({
      code: 'amount-out-of-range',
      field: `${field}.asFedKgPerHeadPerDay`,
      given: asFedKgPerHeadPerDay,
      allowed: '0 kg or more',
      message: `${lot.lotName}: ${asFedKgPerHeadPerDay} kg per head is not a valid amount.`,
    });
  }
  const dryMatter = lot.dryMatterPercent.value;
  if (!(dryMatter > 0 && dryMatter <= 100)) {
    problems.push({
      code: 'dry-matter-out-of-range',
      field: `${field}.lot.dryMatterPercent`,
      given: dryMatter,
      allowed: 'above 0 and at most 100 %',
      message: `${lot.lotName}: dry matter of ${dryMatter} % is not possible.`,
    });
  }
  return problems;
}

function wasteProblems(wastedShare: number): Problem[] {
  if (wastedShare >= 0 && wastedShare < 1) return [];
  return [
    {
      code: 'waste-out-of-range',
      field: 'wastedShare',
      given: wastedShare,
      allowed: '0 to below 1',
      message: `A wasted share of ${wastedShare} is not possible.`,
    },
  ];
}

function emptyProblems(layers: readonly RationLayer[]): Problem[] {
  if (partsOf(layers).some((part) => part.asFedKgPerHeadPerDay > 0)) return [];
  return [
    {
      code: 'ration-empty',
      field: 'layers',
      given: null,
      allowed: 'at least one lot with more than 0 kg',
      message: 'The ration is empty.',
    },
  ];
}

function currencyProblems(layers: readonly RationLayer[]): Problem[] {
  const currencies = new Set(
    partsOf(layers).flatMap(({ lot }) => (lot.price === undefined ? [] : [lot.price.currency])),
  );
  if (currencies.size <= 1) return [];
  return [
    {
      code: 'currencies-mixed',
      field: 'layers',
      given: [...currencies].join(', '),
      allowed: 'prices in one currency',
      message: 'The lots are priced in more than one currency.',
    },
  ];
}
