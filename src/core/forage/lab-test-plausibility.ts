import { isNitrateOfAnotherUnit, NITRATE_OF_ANOTHER_UNIT } from './nitrate-unit.data.js';
import { analysisOnDryMatter, type ConcentrationBasis } from './basis.js';
import type { ForageAnalysis, ForageAnalysisField } from './forage-analysis.js';
import { rohweder1978RelativeFeedValue } from './forage-index.js';
import { FEED_GROUPS, type FeedGroup } from '../nutrients/feed-groups.data.js';
import { NUTRIENTS } from '../nutrients/nutrients.data.js';
import { LAB_NUTRIENTS, type LabNutrient, labReport } from '../nutrients/nutrients.js';
import { RELATIVE_FEED_VALUE_TOLERANCE, SUM_OF_PARTS_LIMIT } from './lab-test-limits.data.js';
import type { Caution } from '../outcome/caution.js';
import { type Outcome, refused, succeeded } from '../outcome/outcome.js';
import type { Problem } from '../outcome/problem.js';

const ASK_THE_LAB = 'Check the report and its basis; ask the laboratory before you feed by it.';

function mustBeBelow(
  analysis: ForageAnalysis,
  lower: ForageAnalysisField,
  upper: ForageAnalysisField,
  { code, whole, message }: { code: string; whole: (value: number) => string; message: string },
): Problem[] {
  const low = analysis[lower];
  const high = analysis[upper];
  if (low === undefined || high === undefined || low < high) return [];
  // A feed with none of a substance has no part of it either: salt has neither fiber nor energy.
  if (low === 0 && high === 0) return [];
  return [{ code, field: lower, given: low, allowed: `below ${whole(high)}`, message }];
}

function sumOfParts(analysis: ForageAnalysis): number | undefined {
  const { crudeProteinPercent, neutralDetergentFiberPercent } = analysis;
  if (crudeProteinPercent === undefined || neutralDetergentFiberPercent === undefined) return undefined;
  return (
    crudeProteinPercent + 0.93 * neutralDetergentFiberPercent + (analysis.fatPercent ?? 0) + (analysis.ashPercent ?? 0)
  );
}

function outOfRange(value: number, [from, to]: readonly [number, number]): boolean {
  return !Number.isFinite(value) || value < from || value > to;
}

/** Dry matter first: as received, nothing else can be judged without it. */
function dryMatterProblems({ dryMatterPercent }: ForageAnalysis): Problem[] {
  if (Number.isFinite(dryMatterPercent) && dryMatterPercent > 0 && dryMatterPercent <= 100) return [];
  return [
    {
      code: 'dry-matter-impossible',
      field: 'dryMatterPercent',
      given: Number.isFinite(dryMatterPercent) ? dryMatterPercent : String(dryMatterPercent),
      allowed: 'above 0 and at most 100 %',
      message: 'Dry matter must be above 0 and at most 100 %.',
    },
  ];
}

const namedReport = (code: LabNutrient) => ({ name: NUTRIENTS[code].name, ...labReport(code) });

/** Every value against the limits of its row. `given` is what the lab printed, on its own basis. */
function checkLimits(
  analysis: ForageAnalysis,
  given: ForageAnalysis,
  reports: readonly ReturnType<typeof namedReport>[],
  group: FeedGroup,
): { problems: Problem[]; warnings: Caution[] } {
  const problems: Problem[] = [];
  const warnings: Caution[] = [];
  for (const { name, field, unit, limits } of reports) {
    const value = analysis[field];
    if (value === undefined) continue;
    const { possible, likely, source } = limits[group];
    if (outOfRange(value, possible)) {
      problems.push({
        code: 'value-impossible',
        field,
        given: given[field] ?? null,
        allowed: `${possible[0]} to ${possible[1]} ${unit}`,
        message: `${name} cannot be ${value} ${unit}.`,
      });
    } else if (outOfRange(value, likely)) {
      warnings.push({
        code: 'value-unlikely',
        message: `${name} of ${Number(value.toPrecision(6))} ${unit} is rare in ${FEED_GROUPS[group].name}.`,
        given: value,
        threshold: value < likely[0] ? likely[0] : likely[1],
        unit,
        source,
        advice: ASK_THE_LAB,
      });
    }
  }
  return { problems, warnings };
}

/** So little nitrate is in no forage that holds any: a figure of percent was typed as parts per million. */
function nitrateUnitWarnings({ nitrateNitrogenPpm: ppm }: ForageAnalysis, group: FeedGroup): Caution[] {
  if (ppm === undefined || !FORAGE_GROUPS.includes(group) || !isNitrateOfAnotherUnit(ppm)) return [];
  return [
    {
      code: 'nitrate-unit-unlikely',
      message:
        `${Number(ppm.toPrecision(3))} ppm NO3-N is less than forage holds: a lab prints such figures in percent. If ` +
        'the report says %, enter it as % NO3-N or % NO3. As it stands it counts as no nitrate test.',
      given: ppm,
      threshold: NITRATE_OF_ANOTHER_UNIT.value,
      unit: NITRATE_OF_ANOTHER_UNIT.unit,
      source: NITRATE_OF_ANOTHER_UNIT.source,
      advice: ASK_THE_LAB,
    },
  ];
}
const FORAGE_GROUPS: readonly FeedGroup[] = ['hay', 'silage'];

/** A part is smaller than what it is a part of. */
function partsOfWholes(analysis: ForageAnalysis): Problem[] {
  const { ashFreeNeutralDetergentFiberPercent: ashFree, neutralDetergentFiberPercent: ndf } = analysis;
  const problems = [
    ...mustBeBelow(analysis, 'acidDetergentFiberPercent', 'neutralDetergentFiberPercent', {
      code: 'adf-not-below-ndf',
      whole: (value) => `NDF (${value} %)`,
      message: 'ADF is a part of NDF and must be smaller.',
    }),
    ...mustBeBelow(analysis, 'ligninPercent', 'acidDetergentFiberPercent', {
      code: 'lignin-not-below-adf',
      whole: (value) => `ADF (${value} %)`,
      message: 'Lignin is a part of ADF and must be smaller.',
    }),
    ...mustBeBelow(analysis, 'netEnergyGainMcalPerKg', 'netEnergyMaintenanceMcalPerKg', {
      code: 'gain-energy-not-below-maintenance-energy',
      whole: (value) => `NEm (${value} Mcal/kg)`,
      message: 'A feed gives less energy for gain than for maintenance.',
    }),
  ];
  if (ashFree !== undefined && ndf !== undefined && ashFree > ndf) {
    problems.push({
      code: 'ash-free-fiber-above-fiber',
      field: 'ashFreeNeutralDetergentFiberPercent',
      given: ashFree,
      allowed: `at most NDF (${ndf} %)`,
      message: 'NDF without its ash cannot exceed NDF.',
    });
  }
  return problems;
}

function sumOfPartsProblems(analysis: ForageAnalysis): Problem[] {
  const sum = sumOfParts(analysis);
  if (sum === undefined || sum <= SUM_OF_PARTS_LIMIT.percent) return [];
  return [
    {
      code: 'parts-exceed-whole',
      field: 'neutralDetergentFiberPercent',
      given: analysis.neutralDetergentFiberPercent ?? null,
      allowed: `0.93·NDF + CP + fat + ash at most ${SUM_OF_PARTS_LIMIT.percent} % of DM`,
      message: `Fiber, protein, fat and ash add up to ${sum.toFixed(1)} % of the dry matter.`,
    },
  ];
}

/** The printed index must follow from the fibers beside it. */
function feedValueWarnings({
  acidDetergentFiberPercent,
  neutralDetergentFiberPercent,
  relativeFeedValue: printed,
}: ForageAnalysis): Caution[] {
  if (printed === undefined || acidDetergentFiberPercent === undefined || neutralDetergentFiberPercent === undefined)
    return [];
  const computed = rohweder1978RelativeFeedValue({
    acidDetergentFiberPercent,
    neutralDetergentFiberPercent,
  }).relativeFeedValue;
  if (Math.abs(computed - printed) <= RELATIVE_FEED_VALUE_TOLERANCE.points) return [];
  return [
    {
      code: 'relative-feed-value-differs',
      message:
        `The printed relative feed value of ${printed} does not follow from its fibers, which give ` +
        `${computed.toFixed(0)}: the basis may be mixed up.`,
      given: printed,
      threshold: computed,
      unit: 'index',
      source: 'Rohweder, Barnes & Jorgensen 1978',
      advice: ASK_THE_LAB,
    },
  ];
}

/**
 * Checks a test of hay, or of another feed by the limits of its group. What cannot be true is refused (every problem at
 * once); what is merely unlikely comes back as warnings beside the analysis, moved to the dry matter basis. Impossible:
 * dry matter not in (0, 100], a value outside the limits of its row (CP of hay above 40 % of DM), ADF not below NDF,
 * lignin not below ADF, NEg not below NEm, aNDFom above NDF, parts that add up to more than the whole, negative values.
 * Limits and sources: the nutrient table.
 */
export function checkLabTest({
  analysis: given,
  basis,
  group = 'hay',
}: {
  analysis: ForageAnalysis;
  basis: ConcentrationBasis;
  group?: FeedGroup;
}): Outcome<{
  analysis: ForageAnalysis;
  warnings: readonly Caution[];
}> {
  const impossible = dryMatterProblems(given);
  if (impossible.length > 0 && basis !== 'dry-matter') return refused(impossible);
  const analysis = impossible.length > 0 ? given : analysisOnDryMatter({ analysis: given, basis });
  const checked = checkLimits(
    analysis,
    given,
    LAB_NUTRIENTS.map(namedReport).filter(({ field }) => impossible.length === 0 || field !== 'dryMatterPercent'),
    group,
  );
  const problems = [...impossible, ...checked.problems, ...partsOfWholes(analysis), ...sumOfPartsProblems(analysis)];
  if (problems.length > 0) return refused(problems);
  return succeeded({
    analysis,
    warnings: [...checked.warnings, ...nitrateUnitWarnings(analysis, group), ...feedValueWarnings(analysis)],
  });
}
