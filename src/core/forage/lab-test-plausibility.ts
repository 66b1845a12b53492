import { analysisOnDryMatter, type ConcentrationBasis } from './basis.js';
import type { ForageAnalysis, ForageAnalysisField } from './forage-analysis.js';
import { rohweder1978RelativeFeedValue } from './forage-index.js';
import { LAB_TEST_LIMITS, RELATIVE_FEED_VALUE_TOLERANCE, SUM_OF_PARTS_LIMIT } from './lab-test-limits.data.js';
import type { Caution } from '../outcome/caution.js';
import { type Outcome, refused, succeeded } from '../outcome/outcome.js';
import type { Problem } from '../outcome/problem.js';

const ASK_THE_LAB = 'Check the report and its basis; ask the laboratory before feeding by it.';

function mustBeBelow(
  analysis: ForageAnalysis,
  lower: ForageAnalysisField,
  upper: ForageAnalysisField,
  code: string,
  message: string,
): Problem[] {
  const low = analysis[lower];
  const high = analysis[upper];
  if (low === undefined || high === undefined || low < high) return [];
  return [{ code, field: lower, given: low, allowed: `below ${upper} (${high})`, message }];
}

function sumOfParts(analysis: ForageAnalysis): number | undefined {
  const { crudeProteinPercent, neutralDetergentFiberPercent } = analysis;
  if (crudeProteinPercent === undefined || neutralDetergentFiberPercent === undefined) return undefined;
  return (
    crudeProteinPercent + 0.93 * neutralDetergentFiberPercent + (analysis.fatPercent ?? 0) + (analysis.ashPercent ?? 0)
  );
}

/**
 * Checks a hay test. What cannot be true is refused (every problem at once); what is merely unlikely comes back as
 * warnings beside the analysis, moved to the dry matter basis. Impossible: dry matter not in (0, 100], CP above 40 % of
 * DM, ADF not below NDF, lignin not below ADF, NEg not below NEm, aNDFom above NDF, parts that add up to more than the
 * whole, negative values. Limits and sources: `lab-test-limits.data.ts`.
 */
export function checkLabTest({
  analysis: given,
  basis,
}: {
  analysis: ForageAnalysis;
  basis: ConcentrationBasis;
}): Outcome<{
  analysis: ForageAnalysis;
  warnings: readonly Caution[];
}> {
  const problems: Problem[] = [];
  const dryMatter = given.dryMatterPercent;
  const dryMatterImpossible = !Number.isFinite(dryMatter) || dryMatter <= 0 || dryMatter > 100;
  if (dryMatterImpossible) {
    problems.push({
      code: 'dry-matter-impossible',
      field: 'dryMatterPercent',
      given: Number.isFinite(dryMatter) ? dryMatter : String(dryMatter),
      allowed: 'above 0 and at most 100 %',
      message: 'Dry matter must lie above 0 and not above 100 %.',
    });
    // As received, nothing else can be judged without it.
    if (basis !== 'dry-matter') return refused(problems);
  }
  const analysis = dryMatterImpossible ? given : analysisOnDryMatter({ analysis: given, basis });
  const warnings: Caution[] = [];
  for (const limit of LAB_TEST_LIMITS) {
    const value = analysis[limit.field];
    if (value === undefined || (limit.field === 'dryMatterPercent' && dryMatterImpossible)) continue;
    const [lowest, highest] = limit.possible;
    if (!Number.isFinite(value) || value < lowest || value > highest) {
      problems.push({
        code: 'value-impossible',
        field: limit.field,
        given: given[limit.field] ?? null,
        allowed: `${lowest} to ${highest} ${limit.unit}`,
        message: `${limit.field} cannot be ${value} ${limit.unit}.`,
      });
      continue;
    }
    const [from, to] = limit.likely;
    if (value < from || value > to) {
      warnings.push({
        code: 'value-unlikely',
        message: `${limit.field} of ${Number(value.toPrecision(6))} ${limit.unit} is rarely seen in hay.`,
        given: value,
        threshold: value < from ? from : to,
        unit: limit.unit,
        source: limit.source,
        advice: ASK_THE_LAB,
      });
    }
  }
  problems.push(
    ...mustBeBelow(
      analysis,
      'acidDetergentFiberPercent',
      'neutralDetergentFiberPercent',
      'adf-not-below-ndf',
      'ADF is a part of NDF and must be smaller.',
    ),
    ...mustBeBelow(
      analysis,
      'ligninPercent',
      'acidDetergentFiberPercent',
      'lignin-not-below-adf',
      'Lignin is a part of ADF and must be smaller.',
    ),
    ...mustBeBelow(
      analysis,
      'netEnergyGainMcalPerKg',
      'netEnergyMaintenanceMcalPerKg',
      'gain-energy-not-below-maintenance-energy',
      'A feed gives less energy for gain than for maintenance.',
    ),
  );
  const { ashFreeNeutralDetergentFiberPercent: ashFree, neutralDetergentFiberPercent: ndf } = analysis;
  if (ashFree !== undefined && ndf !== undefined && ashFree > ndf) {
    problems.push({
      code: 'ash-free-fiber-above-fiber',
      field: 'ashFreeNeutralDetergentFiberPercent',
      given: ashFree,
      allowed: `at most NDF (${ndf})`,
      message: 'NDF without its ash cannot exceed NDF.',
    });
  }
  const sum = sumOfParts(analysis);
  if (sum !== undefined && sum > SUM_OF_PARTS_LIMIT.percent) {
    problems.push({
      code: 'parts-exceed-whole',
      field: 'neutralDetergentFiberPercent',
      given: ndf ?? null,
      allowed: `0.93·NDF + CP + fat + ash at most ${SUM_OF_PARTS_LIMIT.percent} % of DM`,
      message: `Fibre, protein, fat and ash add up to ${sum.toFixed(1)} % of the dry matter.`,
    });
  }
  if (problems.length > 0) return refused(problems);

  const { acidDetergentFiberPercent: adf, relativeFeedValue: printed } = analysis;
  if (printed !== undefined && adf !== undefined && ndf !== undefined) {
    const computed = rohweder1978RelativeFeedValue({
      acidDetergentFiberPercent: adf,
      neutralDetergentFiberPercent: ndf,
    }).relativeFeedValue;
    if (Math.abs(computed - printed) > RELATIVE_FEED_VALUE_TOLERANCE.points) {
      warnings.push({
        code: 'relative-feed-value-differs',
        message:
          `The printed relative feed value of ${printed} does not follow from its fibres, which give ` +
          `${computed.toFixed(0)}: the basis may be mixed up.`,
        given: printed,
        threshold: computed,
        unit: 'index',
        source: 'Rohweder, Barnes & Jorgensen 1978',
        advice: ASK_THE_LAB,
      });
    }
  }
  return succeeded({ analysis, warnings });
}
